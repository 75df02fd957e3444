//! `bring-up`: the steps, one a screen; what is confirmed, read and left out goes into the record before the next question.

use std::path::Path;
use std::process::ExitCode;

use ::record::{Entry, Kind, Record, Stamp, Verdict, sha256};
use bringup::{Duty, Expected, Needs, Progress, Reading, Standing, State, Step};
use document::{Block, Document, Text};
use dossier::screens;
use model::Swap;
use plan::Plan;
use serde::Serialize;

use super::record::{FILE, trouble};
use crate::args::{Args, BoardArg};
use crate::disk;
use crate::faults::Trouble;
use crate::out::Out;

/// What is as described.
const YES: [&str; 2] = ["y", "yes"];
/// The largest file that is attached.
const LARGEST: u64 = 1 << 30;

#[derive(Serialize)]
struct Listed<'a> {
    board: &'a str,
    done: usize,
    left_out: usize,
    of: usize,
    /// What comes next; none where all is done, or all that is left is held.
    next: Option<&'a str>,
    duties: Vec<One<'a>>,
}

#[derive(Serialize)]
struct One<'a> {
    id: &'a str,
    /// The number of its step.
    step: usize,
    title: String,
    needs: Needs,
    #[serde(flatten)]
    state: &'a State,
    /// What keeps it from beginning.
    held_by: Vec<&'a str>,
}

/// Works through the bring-up, or lists where it stands.
pub fn run(
    args: &Args,
    board: &BoardArg,
    who: Option<&str>,
    list: bool,
    out: &mut Out,
) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plan = super::wanted_plan(&swap, board)?;
    let settings = ::settings::settings(&plan.setup());
    let steps = bringup::steps(&plan, &settings);
    let duties = bringup::duties(&steps, &plan, &settings);
    let path = args.folder.join(FILE);
    if list || args.json {
        let rows = Record::read(&path).map_err(|problem| trouble(&problem))?;
        let progress = bringup::progress(duties, &rows);
        if args.json {
            out.json(&listed(&plan, &progress))?;
        } else {
            out.document(&document(&plan, &progress));
        }
        return Ok(ExitCode::SUCCESS);
    }
    let blockers = plan.count(plan::Verdict::Blocker);
    if blockers > 0 {
        let help = "`boardswap check` says what to do about them".to_owned();
        let problem = format!(
            "{} has {}: it is not brought up with them",
            plan.board.name,
            plan.blocking()
        );
        return Err(Trouble::user(problem, help));
    }
    let record = Record::open(&path).map_err(|problem| trouble(&problem))?;
    let mut talk = Talk {
        folder: &args.folder,
        steps: &steps,
        stamp: Stamp {
            who: String::new(),
            board: plan.board.name.value.clone(),
            files: digest(&swap),
        },
        record,
        out,
        shown: None,
        named: None,
        confirmed: None,
        last: None,
    };
    talk.begin(who)?;
    talk.work(&duties)?;
    Ok(ExitCode::SUCCESS)
}

/// SHA-256 over the files of a swap: their names and texts.
fn digest(swap: &Swap) -> String {
    let files = swap.sources.files().iter();
    let all: String = files
        .map(|file| format!("{}\n{}\n", file.path, sha256(file.text.as_bytes())))
        .collect();
    sha256(all.as_bytes())
}

/// What somebody wants, in place of an answer.
enum Said {
    Answer(String),
    /// Leave the duty out, for this reason.
    LeaveOut(String),
    /// Attach a file.
    Attach(String),
    Remark(String),
    /// Put the last reading right.
    Back,
    Help,
    Stop,
}

impl Said {
    fn of(line: &str) -> Self {
        let line = line.trim();
        let (word, rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
        let rest = rest.trim().to_owned();
        match word {
            "skip" => Self::LeaveOut(rest),
            "file" => Self::Attach(rest),
            "note" => Self::Remark(rest),
            "back" if rest.is_empty() => Self::Back,
            "?" | "help" if rest.is_empty() => Self::Help,
            "stop" if rest.is_empty() => Self::Stop,
            _ => Self::Answer(line.to_owned()),
        }
    }
}

/// What happens after an answer.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Then {
    /// Look what is due now.
    GoOn,
    Stop,
}

/// The talk with the person at the machine.
struct Talk<'a> {
    folder: &'a Path,
    steps: &'a [Step],
    stamp: Stamp,
    record: Record,
    out: &'a mut Out,
    /// The number of the step on the screen.
    shown: Option<usize>,
    /// The place of it that was named last.
    named: Option<String>,
    /// What was confirmed in this run: nothing carries over to the next.
    confirmed: Option<String>,
    /// The last reading of this run: its duty, what was read, its row.
    last: Option<(String, String, u64)>,
}

impl Talk<'_> {
    /// Who reads, and the cautions that hold throughout.
    fn begin(&mut self, who: Option<&str>) -> Result<(), Trouble> {
        let before = self.record.rows().last().map(|row| row.stamp.who.clone());
        let who = match who.map(str::to_owned).or(before) {
            Some(who) => Some(who),
            None => self.out.answer("Who reads? ")?,
        };
        let who = who.unwrap_or_default().trim().to_owned();
        if who.is_empty() {
            let help = "name yourself with --who NAME".to_owned();
            return Err(Trouble::user("nobody reads", help));
        }
        self.stamp.who = who;
        self.out.line("");
        for caution in bringup::cautions() {
            self.out.line(format!("! {caution}"));
        }
        let known = match self.record.rows().last() {
            None => "The record is empty.".to_owned(),
            Some(row) => format!(
                "The record has {} rows, the last of {}.",
                row.number,
                row.at.get(..10).unwrap_or_default()
            ),
        };
        self.out.line(format!(
            "\n{} records for {}. {known} ? lists what can be typed; stop ends, and the next run goes on here.",
            self.stamp.who, self.stamp.board
        ));
        Ok(())
    }

    fn work(&mut self, duties: &[Duty<'_>]) -> Result<(), Trouble> {
        loop {
            let progress = bringup::progress(duties.to_vec(), self.record.rows());
            let Some(next) = progress.next() else {
                return self.end(&progress);
            };
            if self.duty(next, &progress)? == Then::Stop {
                let (done, all) = (progress.count(|state| *state == State::Done), duties.len());
                self.out.line(format!(
                    "\nStopped. {done} of {all} done; all readings are recorded."
                ));
                return Ok(());
            }
        }
    }

    /// Nothing more can begin.
    fn end(&mut self, progress: &Progress<'_>) -> Result<(), Trouble> {
        if progress.is_finished() {
            let left_out = progress.count(|state| matches!(state, State::LeftOut(_)));
            self.out.line(match left_out {
                0 => "\nAll steps are done.".to_owned(),
                count => {
                    format!("\nAll steps are done but {count} that were left out: their faults stay unseen.")
                }
            });
            return Ok(());
        }
        self.out.line("\nNothing more can begin:");
        let open = progress.duties.iter().filter(|own| own.state.is_due());
        for own in open {
            let held = ids(progress.held_by(&own.duty));
            self.out
                .line(format!("- {} waits for {}", own.duty.id, held.join(", ")));
        }
        self.out
            .line("Do what was left out: `boardswap bring-up --list` names it.");
        Ok(())
    }

    /// One duty, up to its next answer.
    fn duty(&mut self, next: &Standing<'_>, progress: &Progress<'_>) -> Result<Then, Trouble> {
        let duty = &next.duty;
        if self.shown != Some(duty.number) {
            self.out.line("");
            self.out
                .document(&screens::bring_up_step(self.steps, duty.number));
            self.shown = Some(duty.number);
        }
        if self.named.as_deref() != Some(duty.id) {
            if let Some(part) = duty.part {
                self.out.line(format!("\n{}", part.what));
            }
            match &next.state {
                State::Stale(changed) => self.out.line(format!("To be done again: {}", changed.join("; "))),
                State::Failed(_) => self.out.line("To be read again, once the cause is found."),
                _ => {}
            }
            self.named = Some(duty.id.to_owned());
        }
        if let Some(then) = self.confirm(duty, progress)? {
            return Ok(then);
        }
        let Some(what) = next.missing.first() else {
            return Ok(Then::GoOn);
        };
        self.reading(duty, what, None, progress)
    }

    /// The yes before a live action; nothing where it was said.
    fn confirm(&mut self, duty: &Duty<'_>, progress: &Progress<'_>) -> Result<Option<Then>, Trouble> {
        // Power is confirmed once a step, motion and heat at each place.
        let of = match duty.step.needs {
            Needs::Unplugged => return Ok(None),
            Needs::Power => duty.step.id.as_str(),
            Needs::Motion | Needs::Heat => duty.id,
        };
        if self.confirmed.as_deref() == Some(of) {
            return Ok(None);
        }
        let what = match duty.step.needs {
            Needs::Heat => "It heats. One hand at the switch, an extinguisher at hand, nobody leaves",
            Needs::Motion => "It moves. Fingers, hair and tools away, one hand at the switch",
            _ => "It has power. Nothing is plugged or unplugged but where the step says so",
        };
        let Some(line) = self.out.answer(&format!("{what}. yes to begin: "))? else {
            return Ok(Some(Then::Stop));
        };
        match Said::of(&line) {
            Said::Answer(answer) if answer == "yes" => {
                self.put(Entry::of(Kind::Confirmed, of))?;
                self.confirmed = Some(of.to_owned());
                Ok(None)
            }
            Said::Answer(_) => {
                self.out
                    .line("Not begun. yes begins; skip REASON leaves it out; stop ends.");
                Ok(Some(Then::GoOn))
            }
            said => self.other(duty, said, progress).map(Some),
        }
    }

    /// Asks for a reading, judges and records it; `corrects` is the row that it puts right.
    fn reading(
        &mut self,
        duty: &Duty<'_>,
        what: &str,
        corrects: Option<u64>,
        progress: &Progress<'_>,
    ) -> Result<Then, Trouble> {
        let expected = duty.expected.iter().find(|expected| expected.what == what);
        let limits = expected.map(Expected::words).unwrap_or_default();
        let numbers = expected.is_some_and(|expected| expected.ends() != (None, None));
        let noted = expected.is_some_and(|expected| matches!(expected.reading, Reading::Noted(_)));
        let prompt = match (what.is_empty(), numbers, noted) {
            (true, ..) => "Done? y: ".to_owned(),
            (false, true, _) => format!("{what} ({limits}): "),
            (false, _, true) => format!("{what}, {limits}: "),
            (false, ..) => format!("{what}: {limits}. y, or what you see: "),
        };
        let Some(line) = self.out.answer(&prompt)? else {
            return Ok(Then::Stop);
        };
        let answer = match Said::of(&line) {
            Said::Answer(answer) => answer,
            said => return self.other(duty, said, progress),
        };
        if answer.is_empty() {
            return Ok(Then::GoOn);
        }
        let judged = match expected.map(|expected| expected.judge(&answer)) {
            Some(Err(error)) => {
                self.out.line(format!("No reading: {error}."));
                return Ok(Then::GoOn);
            }
            Some(Ok(Some(judged))) => Some(judged),
            Some(Ok(None)) if noted && YES.contains(&answer.to_lowercase().as_str()) => {
                self.out
                    .line("Type what you note: later steps are held against it.");
                return Ok(Then::GoOn);
            }
            Some(Ok(None)) if noted => Some((answer, true)),
            Some(Ok(None)) | None => self.seen(&answer)?,
        };
        let Some((value, pass)) = judged else {
            return Ok(Then::GoOn);
        };
        let row = self.put(Entry {
            what: what.to_owned(),
            value: value.clone(),
            verdict: Some(if pass { Verdict::Pass } else { Verdict::Fail }),
            reason: limits.clone(),
            basis: duty.basis_text(),
            corrects,
            ..Entry::of(Kind::Reading, duty.id)
        })?;
        self.last = Some((duty.id.to_owned(), what.to_owned(), row));
        if pass {
            self.out.line("  pass");
            return Ok(Then::GoOn);
        }
        let limits = if numbers {
            format!(", not {limits}")
        } else {
            String::new()
        };
        self.out.line(format!(
            "  FAIL: {value}{limits}. Switch off, pull the plug, look for the cause."
        ));
        for hint in &duty.step.otherwise {
            self.out.line(format!("  - {hint}"));
        }
        Ok(Then::GoOn)
    }

    /// Whether something that is seen is as described; nothing where nobody says so.
    fn seen(&mut self, answer: &str) -> Result<Option<(String, bool)>, Trouble> {
        let said = |word: &str| match word.trim().to_lowercase().as_str() {
            "n" | "no" => Some(false),
            word if YES.contains(&word) => Some(true),
            _ => None,
        };
        match said(answer) {
            Some(true) => return Ok(Some(("as described".to_owned(), true))),
            Some(false) => {
                let seen = self.out.answer("What do you see? ")?.unwrap_or_default();
                let seen = seen.trim();
                let seen = if seen.is_empty() { "not as described" } else { seen };
                return Ok(Some((seen.to_owned(), false)));
            }
            None => {}
        }
        let line = self.out.answer("Is that as described? y or n: ")?;
        Ok(line
            .and_then(|line| said(&line))
            .map(|pass| (answer.to_owned(), pass)))
    }

    /// What is no answer.
    fn other(&mut self, duty: &Duty<'_>, said: Said, progress: &Progress<'_>) -> Result<Then, Trouble> {
        match said {
            Said::Stop => return Ok(Then::Stop),
            Said::LeaveOut(reason) => self.leave_out(duty, &reason, progress)?,
            Said::Attach(name) => self.attach(duty, &name)?,
            Said::Remark(words) if words.is_empty() => self.out.line("note WORDS"),
            Said::Remark(words) => {
                self.put(Entry {
                    reason: words,
                    ..Entry::of(Kind::Remark, duty.id)
                })?;
                self.out.line("  noted");
            }
            Said::Back => return self.back(progress),
            Said::Answer(_) | Said::Help => {
                for line in [
                    "a number with its unit, y, or what you see; then it is recorded",
                    "back         puts the last reading of this run right",
                    "skip REASON  leaves this place out; what has power, moves or heats right after it stays closed",
                    "note WORDS   records a remark",
                    "file PATH    attaches a photograph or log by its SHA-256",
                    "stop         ends; the next run goes on here",
                ] {
                    self.out.line(format!("  {line}"));
                }
            }
        }
        Ok(Then::GoOn)
    }

    fn leave_out(&mut self, duty: &Duty<'_>, reason: &str, progress: &Progress<'_>) -> Result<(), Trouble> {
        let failed = progress
            .duties
            .iter()
            .any(|own| own.duty.id == duty.id && matches!(own.state, State::Failed(_)));
        if failed {
            self.out
                .line("A reading that failed is not left out: find the cause, then read again.");
            return Ok(());
        }
        if reason.is_empty() {
            self.out.line("skip REASON: nothing is left out without one.");
            return Ok(());
        }
        self.put(Entry {
            reason: reason.to_owned(),
            basis: duty.basis_text(),
            ..Entry::of(Kind::LeftOut, duty.id)
        })?;
        self.out
            .line(format!("  left out. Unseen now: {}", lower(&duty.step.why)));
        let closed = progress.closed_by(duty);
        if !closed.is_empty() {
            let closed: Vec<&str> = closed.iter().map(|own| own.id).collect();
            self.out
                .line(format!("  Closed until it is done: {}.", closed.join(", ")));
        }
        Ok(())
    }

    fn attach(&mut self, duty: &Duty<'_>, name: &str) -> Result<(), Trouble> {
        if name.is_empty() {
            self.out.line("file PATH");
            return Ok(());
        }
        match disk::bytes(&self.folder.join(name), LARGEST) {
            Ok(bytes) => {
                self.put(Entry {
                    what: name.to_owned(),
                    value: sha256(&bytes),
                    ..Entry::of(Kind::Attached, duty.id)
                })?;
                self.out.line("  attached");
            }
            Err(refused) => self.out.line(format!("  {}", refused.problem())),
        }
        Ok(())
    }

    /// The last reading once more.
    fn back(&mut self, progress: &Progress<'_>) -> Result<Then, Trouble> {
        let Some((id, what, row)) = self.last.clone() else {
            self.out.line("Nothing was read in this run.");
            return Ok(Then::GoOn);
        };
        let Some(Standing { duty, .. }) = progress.duties.iter().find(|own| own.duty.id == id) else {
            return Ok(Then::GoOn);
        };
        self.reading(duty, &what, Some(row), progress)
    }

    /// Records; the number of the row.
    fn put(&mut self, entry: Entry) -> Result<u64, Trouble> {
        let row = self
            .record
            .append(&self.stamp, entry)
            .map_err(|problem| trouble(&problem))?;
        Ok(row.number)
    }
}

/// What some duties are called.
fn ids<'p, 's: 'p>(all: impl IntoIterator<Item = &'p Standing<'s>>) -> Vec<&'s str> {
    all.into_iter().map(|own| own.duty.id).collect()
}

/// A sentence that follows a colon.
fn lower(words: &str) -> String {
    let mut chars = words.chars();
    chars
        .next()
        .map_or_else(String::new, |first| first.to_lowercase().chain(chars).collect())
}

fn listed<'a>(plan: &'a Plan<'_>, progress: &'a Progress<'_>) -> Listed<'a> {
    let one = |own: &'a Standing<'_>| One {
        id: own.duty.id,
        step: own.duty.number,
        title: own.duty.title(),
        needs: own.duty.step.needs,
        state: &own.state,
        held_by: ids(progress.held_by(&own.duty)),
    };
    Listed {
        board: &plan.board.name.value,
        done: progress.count(|state| *state == State::Done),
        left_out: progress.count(|state| matches!(state, State::LeftOut(_))),
        of: progress.duties.len(),
        next: progress.next().map(|next| next.duty.id),
        duties: progress.duties.iter().map(one).collect(),
    }
}

fn document(plan: &Plan<'_>, progress: &Progress<'_>) -> Document {
    let done = progress.count(|state| *state == State::Done);
    let next = match progress.next() {
        Some(next) => Text::of("Next: ").and_marked(&format!("{}.", next.duty.title())),
        None if progress.is_finished() => Text::of("Nothing is left to do."),
        None => Text::of("Nothing more can begin: something before it was left out or failed."),
    };
    let lines = progress.duties.iter().map(|own| {
        let words = match &own.state {
            State::Done => "done".to_owned(),
            State::Open => "open".to_owned(),
            State::Failed(what) => format!("FAILED: {}", what.join(", ")),
            State::LeftOut(reason) => format!("left out: {reason}"),
            State::Stale(changed) => format!("again: {}", changed.join("; ")),
        };
        Text::default().code(own.duty.id).and(format!(" {words}"))
    });
    Document {
        title: Text::of(format!(
            "Bring-up of {} with {}: {done} of {} done",
            plan.swap.machine.name,
            plan.board.name,
            progress.duties.len()
        )),
        front: vec![Block::say(next), Block::list(lines)],
        ..Document::default()
    }
}
