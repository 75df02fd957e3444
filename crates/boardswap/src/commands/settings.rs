//! `settings`: what carries over, what is recomputed, what must be measured again, and why.

use std::process::ExitCode;

use ::settings::captured::Unread;
use ::settings::{Awaiting, By, Decided, Fate, Guess, Setting, Settings, Untold};

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::{FAINT, HEADING, Out, styled, verdict_style};
use crate::table::{Table, terminal_width, wrapped};

/// What to print of the settings.
#[derive(Clone, Copy, Debug, Default, clap::Args)]
pub struct Which {
    /// Print the program for a running controller
    #[arg(long, conflicts_with = "sheet")]
    pub gcode: bool,
    /// Print the sheet of what is compiled or configured in
    #[arg(long)]
    pub sheet: bool,
}

/// Prints the settings, or one of the texts that are made from them.
pub fn run(args: &Args, board: &BoardArg, which: Which, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plan = super::wanted_plan(&swap, board)?;
    let settings = ::settings::settings(&plan.setup());
    let sheet = ::settings::build_sheet(&settings);
    match (which.gcode, which.sheet, args.json) {
        (true, _, _) => out.line(::settings::gcode(&settings).trim_end()),
        (_, true, true) => out.json(&sheet)?,
        (_, true, false) => out.line(sheet.text().trim_end()),
        (_, _, true) => out.json(&settings)?,
        _ => print(&settings, out),
    }
    Ok(ExitCode::SUCCESS)
}

fn print(settings: &Settings, out: &mut Out) {
    out.line(styled(format!("Settings for {}", settings.board), HEADING));
    for fate in Fate::ALL {
        let of_fate: Vec<&Setting> = settings
            .settings
            .iter()
            .filter(|setting| setting.fate == fate)
            .collect();
        if of_fate.is_empty() {
            continue;
        }
        out.line("");
        let mut table = Table::new(&[fate.word(), "of", "old", "new", "by", "why"], &[]);
        for setting in of_fate {
            let style = if setting.caution {
                verdict_style(plan::Verdict::Caution)
            } else {
                HEADING
            };
            let mark = if setting.caution { "! " } else { "" };
            table.row(
                vec![
                    format!("{mark}{}", setting.title),
                    setting.of.clone(),
                    setting.old_text().unwrap_or_else(|| "-".to_owned()),
                    setting.new_text().unwrap_or_else(|| "-".to_owned()),
                    by(&setting.by),
                    setting.reason.clone(),
                ],
                Some(style),
            );
        }
        for line in table.lines(terminal_width()) {
            out.line(line);
        }
    }
    out.line("");
    words(settings, out);
    unread("could not be read of what was captured", &settings.unread, out);
    unread("captured, but left out", &settings.doubtful, out);
    unknown(settings, out);
    untold(settings, out);
    let counts: Vec<String> = Fate::ALL
        .iter()
        .map(|fate| format!("{} {}", settings.count(*fate), fate.word()))
        .collect();
    out.line(counts.join(", "));
    out.line(styled(
        "for the controller: --gcode; for the build: --sheet; ! wants to be read",
        FAINT,
    ));
}

/// A paragraph of its own, wrapped; the lines after the first stand in by two.
fn paragraph(text: &str, out: &mut Out) {
    for (at, line) in wrapped(text, terminal_width() - 2).into_iter().enumerate() {
        out.line(if at == 0 { line } else { format!("  {line}") });
    }
}

fn unread(heading: &str, lines: &[Unread], out: &mut Out) {
    if lines.is_empty() {
        return;
    }
    out.line(styled(heading, HEADING));
    for unread in lines {
        let Unread {
            path,
            line,
            text,
            reason,
        } = unread;
        paragraph(&format!("{path}:{line}: `{}`: {reason}", text.trim()), out);
    }
    out.line("");
}

/// What the reports made certain of words that differ between controllers, and where words come from if that has to be said.
fn words(settings: &Settings, out: &mut Out) {
    let decided = settings.decided.iter().map(|decided| {
        let Decided {
            board,
            word,
            meaning,
            because,
        } = decided;
        format!("{word} of {board} counts in {meaning}: {because}")
    });
    let unused = settings.words.unused.iter().map(|path| {
        format!(
            "{path} is spoken by no controller: name it as `words` of a board's `[[controller]]` in swap.toml"
        )
    });
    let all: Vec<String> = decided
        .chain(settings.words.gave_way.iter().cloned())
        .chain(unused)
        .collect();
    if all.is_empty() {
        return;
    }
    out.line(styled("words of the controllers", HEADING));
    for line in all {
        paragraph(&line, out);
    }
    out.line("");
}

/// Captured words without a meaning, what they may hold, and the row that would say so.
fn unknown(settings: &Settings, out: &mut Out) {
    if settings.unknown.is_empty() {
        return;
    }
    out.line(styled(
        "captured, and not understood: what follows is guessed, and not used",
        HEADING,
    ));
    for unknown in &settings.unknown {
        let lines: Vec<String> = unknown.lines.iter().map(ToString::to_string).collect();
        paragraph(
            &format!(
                "{}:{}: `{}`: {}",
                unknown.path,
                lines.join(","),
                unknown.text,
                unknown.why
            ),
            out,
        );
        let mut before: Option<&Guess> = None;
        for guess in &unknown.guesses {
            let letters: String = guess.letters.iter().collect();
            let unit = if guess.unit.is_empty() {
                String::new()
            } else {
                format!(" in {}", guess.unit)
            };
            let begin = if before.is_some_and(|before| before.letters == guess.letters) {
                "  or".to_owned()
            } else {
                format!("{letters} may be")
            };
            let because = match &guess.because[..] {
                [] => String::new(),
                because => format!(": {}", because.join(", ")),
            };
            out.line(format!("    {begin} {}{unit}{because}", guess.setting.id()));
            before = Some(guess);
        }
        if unknown.row.is_empty() {
            out.line("    nothing in the machine's file is near these numbers");
            continue;
        }
        for line in unknown.row.lines() {
            out.line(styled(format!("    {line}").trim_end(), FAINT));
        }
    }
    let file = |board: &str, files: &[String]| {
        files.last().map_or_else(
            || format!("a file words/NAME.toml, named as words = \"NAME\" of {board}'s [[controller]] in swap.toml"),
            Clone::clone,
        )
    };
    let mut told: Vec<String> = Vec::new();
    for unknown in &settings.unknown {
        let files = if unknown.board == settings.board {
            &settings.words.new
        } else {
            &settings.words.old
        };
        let sentence = format!("{}: {}", unknown.board, file(&unknown.board, files));
        if !told.contains(&sentence) {
            told.push(sentence);
        }
    }
    paragraph(
        &format!(
            "Put the rows that are right into the words of the controller. {}.",
            told.join("; ")
        ),
        out,
    );
    out.line("");
}

/// What a running controller could be told and is not.
fn untold(settings: &Settings, out: &mut Out) {
    if settings.shown.reports.is_empty() {
        let ask = settings
            .dialect
            .word_that("asks for all settings")
            .unwrap_or("the word that asks for them");
        let waiting = settings
            .settings
            .iter()
            .filter(|setting| matches!(setting.untold, Some(Untold::NoReport(_))));
        paragraph(
            &format!(
                "{} settings stand in the build sheet until a report of {} has shown their words: load it, send {ask}, save the answer, and name the \
                 file as `after_loading` of its `[[controller]]` in swap.toml.",
                waiting.count(),
                settings.board
            ),
            out,
        );
        return;
    }
    for Awaiting { why, settings: whose } in ::settings::awaiting(settings) {
        paragraph(
            &format!("in the build sheet, since {why}: {}", whose.join("; ")),
            out,
        );
    }
}

fn by(by: &By) -> String {
    match by {
        By::Word { word, letter } => format!("{word} {letter}"),
        By::Build => "build".to_owned(),
        By::Hand => "hand".to_owned(),
    }
}
