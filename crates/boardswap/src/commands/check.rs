//! `check`: plan one board and show what the checks say.

use std::process::ExitCode;

use plan::{Finding, Plan, Verdict};
use serde::Serialize;

use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::{FAINT, HEADING, Out, styled, verdict_style};
use crate::table::{Table, terminal_width, wrapped};

#[derive(Serialize)]
struct Report<'a> {
    board: &'a str,
    invented: bool,
    optimum: &'a plan::Optimum,
    findings: &'a [Finding],
}

/// Prints the findings; exit code 1 where there is a blocker.
pub fn run(args: &Args, board: &BoardArg, all: bool, out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let plan = super::wanted_plan(&swap, board)?;
    if args.json {
        out.json(&Report {
            board: &plan.board.name.value,
            invented: swap.invented,
            optimum: &plan.optimum,
            findings: &plan.findings,
        })?;
    } else {
        print(&plan, all, out);
    }
    Ok(if plan.count(Verdict::Blocker) > 0 {
        ExitCode::from(1)
    } else {
        ExitCode::SUCCESS
    })
}

fn print(plan: &Plan<'_>, all: bool, out: &mut Out) {
    out.line(styled(
        format!("{} on {}", plan.board.name, plan.swap.machine.name),
        HEADING,
    ));
    for verdict in Verdict::WORST_FIRST {
        let findings = if verdict >= Verdict::Caution {
            plan.with(verdict)
        } else {
            let of_verdict = |finding: &&Finding| finding.verdict == verdict;
            plan.findings.iter().filter(of_verdict).collect()
        };
        if findings.is_empty() || (verdict == Verdict::Pass && !all) {
            continue;
        }
        out.line("");
        let mut table = Table::new(&[verdict.word(), "margin", ""], &[1]);
        for finding in findings {
            let mut words = finding.headline.clone();
            if let (Some(remedy), true) = (&finding.remedy, verdict >= Verdict::Caution) {
                words = format!("{words}. Do: {remedy}");
            }
            table.row(
                vec![finding.id.clone(), margin(finding), words],
                Some(verdict_style(verdict)),
            );
        }
        for line in table.lines(terminal_width()) {
            out.line(line);
        }
    }
    out.line("");
    let counts: Vec<String> = Verdict::WORST_FIRST
        .iter()
        .map(|verdict| (plan.count(*verdict), verdict))
        .map(|(count, verdict)| {
            styled(
                format!("{count} {}{}", verdict.word(), plural(count, *verdict)),
                verdict_style(*verdict),
            )
        })
        .collect();
    out.line(counts.join(", "));
    for line in wrapped(&format!("assignment {}", plan.optimum.proof), terminal_width()) {
        out.line(styled(line, FAINT));
    }
    out.line(styled("open any of them: boardswap why FINDING", FAINT));
}

fn plural(count: usize, verdict: Verdict) -> &'static str {
    match (count, verdict) {
        (1, _) => "",
        (_, Verdict::Pass) => "es",
        _ => "s",
    }
}

fn margin(finding: &Finding) -> String {
    finding.margin.map_or_else(String::new, dossier::margin_words)
}
