//! `survey`: the machine and the new board asked for, one question after the other. Each answer is in its file before the next question.

pub mod journal;

use std::collections::BTreeMap;
use std::path::Path;
use std::process::ExitCode;

use ::settings::settings;
use ::survey::{Extent, Outcome, Question, Survey, Written};
use model::{Diagnostic, Faults, Files as _, Topic};

use crate::args::Args;
use crate::date;
use crate::disk::{self, Folder, Overlay};
use crate::faults::Trouble;
use crate::out::Out;
use crate::template;

use journal::{Journal, Kept};

/// The folder of what controllers reported.
const CAPTURED: &str = "captured";

/// Asks all questions.
pub fn run(args: &Args, out: &mut Out) -> Result<ExitCode, Trouble> {
    if interview(args, Extent::Whole, out)? {
        out.line("\nEvery question has an answer. `boardswap check` tells what follows, `boardswap ask` what to find out next.");
    }
    Ok(ExitCode::SUCCESS)
}

/// Asks what is open, until nothing is or somebody stops; whether nothing is.
pub fn interview(args: &Args, extent: Extent, out: &mut Out) -> Result<bool, Trouble> {
    if args.json {
        let help = "`boardswap ask --json` lists what is not known".to_owned();
        return Err(Trouble::user("an interview has no JSON", help));
    }
    let mut talk = Talk::open(&args.folder, extent, out)?;
    if talk.survey()?.next(extent, &[]).is_none() {
        return Ok(true);
    }
    talk.begin();
    talk.work()
}

/// The day of a page that was made for one print, while questions are open.
pub fn for_one_print(folder: &Path) -> Option<String> {
    let journal = Journal::open(folder).ok()?;
    let page = journal.page()?;
    let survey = read(folder, &journal).ok()?;
    survey.next(Extent::Whole, &[])?;
    Some(date::day(page))
}

/// The swap as its files have it now.
fn read(folder: &Path, journal: &Journal) -> Result<Survey, Trouble> {
    let mut texts = BTreeMap::new();
    loop {
        let survey = Survey::of(&texts, journal.nothing()).map_err(|path| {
            let help = "`boardswap check` shows where".to_owned();
            Trouble::user(format!("`{path}` is no TOML"), help)
        })?;
        let mut more = false;
        for path in survey.paths() {
            let place = folder.join(&path);
            if texts.contains_key(&path) || !place.exists() {
                continue;
            }
            texts.insert(path, disk::text(&place, model::LARGEST_FILE)?);
            more = true;
        }
        if !more {
            return Ok(survey);
        }
    }
}

/// What the folder and the report of the old controller tell of questions, by their ids.
fn known(path: &Path) -> BTreeMap<String, String> {
    let mut known = BTreeMap::new();
    let folder = Folder::at(path);
    let files = folder.names(CAPTURED);
    if !files.is_empty() {
        let paths: Vec<String> = files.iter().map(|name| format!("{CAPTURED}/{name}")).collect();
        known.insert("old-settings".to_owned(), paths.join(" "));
    }
    let Ok(swap) = model::load(&folder) else {
        return known;
    };
    let Some(board) = swap.candidates.first().filter(|_| !swap.old_settings.is_empty()) else {
        return known;
    };
    let settings = settings(&plan::plan_briefly(&swap, board).setup());
    let speeds = settings
        .settings
        .iter()
        .filter(|setting| setting.topic == Topic::TopSpeed);
    for setting in speeds {
        if let Some(old) = &setting.old {
            known.insert(format!("axis-speed:{}", setting.of), old.value.to_string());
        }
    }
    known
}

struct Talk<'a> {
    folder: &'a Path,
    extent: Extent,
    journal: Journal,
    out: &'a mut Out,
    /// Questions that wait for others.
    later: Vec<String>,
}

/// What becomes of the talk after a line.
#[derive(PartialEq, Eq)]
enum Then {
    GoOn,
    Stop,
}

impl<'a> Talk<'a> {
    fn open(folder: &'a Path, extent: Extent, out: &'a mut Out) -> Result<Self, Trouble> {
        if folder.is_file() {
            return Err(Trouble::user(
                format!("`{}` is a file, not a folder", folder.display()),
                None,
            ));
        }
        if folder.join("swap.toml").exists() {
            let text = |path: &str| disk::text(&folder.join(path), model::LARGEST_FILE).ok();
            template::refuse(text)?;
        }
        Ok(Self {
            folder,
            extent,
            journal: Journal::open(folder)?,
            out,
            later: Vec::new(),
        })
    }

    fn survey(&self) -> Result<Survey, Trouble> {
        let survey = read(self.folder, &self.journal)?;
        Ok(match self.extent {
            Extent::Today => survey,
            Extent::Whole => survey.knowing(known(self.folder)),
        })
    }

    fn begin(&mut self) {
        self.out.line("! Unplug the machine before you open it or touch a wire. Mains wiring is for a qualified person.");
        self.out.line(
            "Enter takes what is proposed; ? where nobody knows; later, undo, stop, photo FILE. Each answer is kept at once.",
        );
    }

    fn work(&mut self) -> Result<bool, Trouble> {
        loop {
            let survey = self.survey()?;
            let Some(question) = survey.next(self.extent, &self.later) else {
                return Ok(true);
            };
            self.show(&survey, &question);
            let Some(line) = self.out.answer(&prompt(&question))? else {
                self.out.line("");
                return Ok(self.stopped());
            };
            if self.take(survey, &question, &line)? == Then::Stop {
                return Ok(self.stopped());
            }
        }
    }

    fn stopped(&mut self) -> bool {
        self.out
            .line("Stopped: every answer is in its file. The same command goes on here.");
        false
    }

    fn show(&mut self, survey: &Survey, question: &Question) {
        let count = survey.count(self.extent);
        self.out.line("");
        let number = format!("{} of about {}.", count.answered + 1, count.of);
        let ask = match &question.about[..] {
            [one] if question.id.ends_with(one.as_str()) => format!("{one}: {}", question.ask),
            _ => question.ask.clone(),
        };
        self.out.line(format!("{number} {ask}"));
        if question.about.len() > 1 {
            let separator = if question.choices.iter().any(|choice| choice.contains(',')) {
                "semicolons"
            } else {
                "commas"
            };
            self.out.line(format!(
                "   {}: one answer for all, or one each with {separator}",
                question.about.join(", ")
            ));
        } else if let [one] = &question.about[..]
            && !ask.starts_with(one.as_str())
        {
            self.out.line(format!("   {one}"));
        }
        if !question.choices.is_empty() {
            let choices = question.choices.iter().enumerate();
            let choices: Vec<String> = choices
                .map(|(at, choice)| format!("{} {choice}", at + 1))
                .collect();
            self.out.line(format!("   {}", choices.join("; ")));
        }
        if let Some(hint) = &question.hint {
            self.out.line(format!("   {hint}"));
        }
    }

    fn take(&mut self, mut survey: Survey, question: &Question, line: &str) -> Result<Then, Trouble> {
        let (word, rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
        match (word, rest.trim()) {
            ("stop" | "quit", "") => return Ok(Then::Stop),
            ("undo", "") => {
                let said = self.journal.undo(self.folder)?;
                self.out.line(format!("   {said}"));
                return Ok(Then::GoOn);
            }
            ("later", "") => {
                self.postpone(question);
                return Ok(Then::GoOn);
            }
            ("photo", file) => {
                self.photo(question, file)?;
                return Ok(Then::GoOn);
            }
            ("help", "") => {
                self.out.line("   an answer; Enter for what is proposed; ? where nobody knows; later; undo; stop; photo FILE");
                return Ok(Then::GoOn);
            }
            _ => {}
        }
        if line == "?" && question.needed {
            if self.later.contains(&question.id) {
                self.out.line(format!("   Still needed: {}", needed(question)));
                return Ok(Then::Stop);
            }
            self.out.line(format!(
                "   Needed, so asked again at the end: {}",
                needed(question)
            ));
            self.postpone(question);
            return Ok(Then::GoOn);
        }
        match survey.answered(question, line) {
            Err(why) => self.out.line(format!("   No: {why}.")),
            Ok(Outcome::Nothing) => self.journal.add(&question.id, line, Kept::Nothing)?,
            Ok(Outcome::Written(files)) => {
                if let Some(fault) = self.fault(&files)? {
                    self.out.line(format!("   No: {}.", said(&fault)));
                    return Ok(Then::GoOn);
                }
                self.write(question, line, files)?;
            }
        }
        Ok(Then::GoOn)
    }

    fn postpone(&mut self, question: &Question) {
        self.later.retain(|id| *id != question.id);
        self.later.push(question.id.clone());
    }

    /// The first fault that the files would have beside those that only tell what is still missing.
    fn fault(&self, files: &[Written]) -> Result<Option<Diagnostic>, Trouble> {
        let folder = Folder::at(self.folder);
        let texts = files.iter().map(|file| (file.path.clone(), file.text.clone()));
        let faults = match model::load(&Overlay::of(&folder, texts)) {
            Ok(_) => return Ok(None),
            Err(Faults { faults, .. }) => faults,
        };
        Ok(faults.into_iter().find(|fault| !is_missing(fault)))
    }

    fn write(&mut self, question: &Question, line: &str, files: Vec<Written>) -> Result<(), Trouble> {
        let kept = files.iter().map(|file| {
            let was = self.folder.join(&file.path);
            let was = was
                .exists()
                .then(|| disk::text(&was, model::LARGEST_FILE))
                .transpose()?;
            Ok(journal::File::of(&file.path, was, &file.text))
        });
        let kept: Vec<journal::File> = kept.collect::<Result<_, Trouble>>()?;
        let files: Vec<(String, Vec<u8>)> = files
            .into_iter()
            .map(|file| (file.path, file.text.into_bytes()))
            .collect();
        disk::write_all(self.folder, &files)?;
        self.journal.add(&question.id, line, Kept::Files(kept))
    }

    fn photo(&mut self, question: &Question, file: &str) -> Result<(), Trouble> {
        if file.is_empty() || !self.folder.join(file).is_file() {
            self.out
                .line(format!("   No: `{file}` is no file in the folder of the swap."));
            return Ok(());
        }
        self.journal.add(&question.id, file, Kept::Photograph)?;
        self.out.line("   noted");
        Ok(())
    }
}

fn prompt(question: &Question) -> String {
    match &question.usual {
        Some(usual) => format!("   [{usual}] "),
        None => "   > ".to_owned(),
    }
}

/// What helps where nobody knows what must be known.
fn needed(question: &Question) -> &'static str {
    if question.id == "heater-power" {
        "measure the resistance between its wires, unplugged and cold, and type it, such as 14.4 Ω"
    } else {
        "read the label, or measure"
    }
}

/// Whether a fault only tells that something is not there yet.
fn is_missing(fault: &Diagnostic) -> bool {
    fault.code.starts_with("missing-") || ["empty-file", "no-candidate"].contains(&fault.code)
}

/// A fault in one line.
fn said(fault: &Diagnostic) -> String {
    let more = fault.expected.as_ref().or(fault.help.as_ref());
    more.map_or_else(
        || fault.headline.clone(),
        |more| format!("{}; expected: {more}", fault.headline),
    )
}
