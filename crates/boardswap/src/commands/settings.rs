//! `settings`: what carries over, what is recomputed, what must be measured again, and why.

use std::process::ExitCode;

use ::settings::{By, Dialect, Fate, Setting, Settings};

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
    let dialect = Dialect::common();
    let settings = ::settings::settings(&plan.setup(), dialect);
    let sheet = ::settings::build_sheet(&settings);
    match (which.gcode, which.sheet, args.json) {
        (true, _, _) => out.line(::settings::gcode(&settings, dialect).trim_end()),
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
    if !settings.unread.is_empty() {
        out.line(styled(
            "could not be read of what the old controller reported",
            HEADING,
        ));
        for unread in &settings.unread {
            for line in wrapped(
                &format!(
                    "{}:{}: `{}`: {}",
                    unread.path,
                    unread.line,
                    unread.text.trim(),
                    unread.reason
                ),
                terminal_width(),
            ) {
                out.line(line);
            }
        }
        out.line("");
    }
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

fn by(by: &By) -> String {
    match by {
        By::Word { word, letter } => format!("{word} {letter}"),
        By::Build => "build".to_owned(),
        By::Hand => "hand".to_owned(),
    }
}
