//! `steps`: the bring-up, step by step, with expected readings.

use std::process::ExitCode;

use bringup::{Needs, Step};

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::{FAINT, HEADING, Out, styled, verdict_style};
use crate::table::{hanging, terminal_width};

/// Prints the list of steps.
pub fn run(args: &Args, board: &BoardArg, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plan = super::wanted_plan(&swap, board)?;
    let settings = ::settings::settings(&plan.setup());
    let steps = bringup::steps(&plan, &settings);
    if args.json {
        out.json(&steps)?;
        return Ok(ExitCode::SUCCESS);
    }
    out.line(styled(
        format!("Bring-up of {} with {}", swap.machine.name, plan.board.name),
        HEADING,
    ));
    for caution in bringup::cautions() {
        paragraph(out, "! ", caution, verdict_style(plan::Verdict::Caution));
    }
    let mut phase = None;
    for (at, step) in steps.iter().enumerate() {
        if phase != Some(step.phase) {
            phase = Some(step.phase);
            out.line("");
            out.line(styled(step.phase.title().to_uppercase(), HEADING));
        }
        print(at + 1, step, out);
    }
    Ok(ExitCode::SUCCESS)
}

fn print(number: usize, step: &Step, out: &mut Out) {
    let plain = anstyle::Style::new();
    out.line("");
    let mark = match step.needs {
        Needs::Unplugged => "unplugged",
        Needs::Power => "power",
        Needs::Motion => "motion",
        Needs::Heat => "heat",
    };
    out.line(format!(
        "{} {}",
        styled(format!("{number}. {}", step.title), HEADING),
        styled(format!("[{mark}] {}", step.id), FAINT)
    ));
    paragraph(out, "   ", &step.why, FAINT);
    if let Some(hazard) = &step.hazard {
        paragraph(out, "   ! ", hazard, verdict_style(plan::Verdict::Caution));
    }
    for action in &step.actions {
        paragraph(out, "   - ", action, plain);
    }
    for expected in &step.expected {
        paragraph(
            out,
            "   = ",
            &format!("{}: {}", expected.what, expected.words()),
            plain,
        );
    }
    if !step.otherwise.is_empty() {
        paragraph(
            out,
            "   ? ",
            &format!("otherwise: {}", step.otherwise.join("; ")),
            FAINT,
        );
    }
}

/// Wrapped text; the lines after the first are set under it.
fn paragraph(out: &mut Out, mark: &str, text: &str, style: anstyle::Style) {
    for line in hanging(mark, text, mark.len(), terminal_width()) {
        let (before, line) = line.split_at(mark.len());
        out.line(format!("{before}{}", styled(line, style)));
    }
}
