//! `explain`: how a number came about, or why a device is not at a port.

use std::process::ExitCode;

use dossier::screens;
use plan::{Draws, Finding, Plan};
use serde::Serialize;

use super::tolerance::Tolerance;
use crate::args::{Args, BoardArg};
use crate::faults::Trouble;
use crate::out::Out;

/// Answers for a finding, or for a tag and a port.
pub fn run(args: &Args, board: &BoardArg, what: &[String], out: &mut Out) -> Result<ExitCode, Trouble> {
    let swap = super::load(args)?;
    let filler = ["not", "on", "at"];
    let words: Vec<&str> = what
        .iter()
        .map(String::as_str)
        .filter(|word| !filler.contains(word))
        .collect();
    let (plan, blocked) = super::plan_to_explain(&swap, board, words.first().copied())?;
    if blocked && !args.json {
        out.line(format!(
            "No board is free of blockers. This is of {}; --board NAME tells of another.",
            plan.board.name
        ));
    }
    match words[..] {
        [id] => finding(&plan, id, args.json, out)?,
        // In either order: a port is asked about as often as a device.
        [port, tag] if !is_tag(&plan, port) && is_tag(&plan, tag) => {
            why_not(&plan, tag, port, args.json, out)?;
        }
        [tag, port] => why_not(&plan, tag, port, args.json, out)?,
        _ => {
            return Err(Trouble::user(
                "this is neither a finding nor a tag and a port",
                "try `why FINDING` or `why TAG PORT`".to_owned(),
            ));
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn finding(plan: &Plan<'_>, id: &str, json: bool, out: &mut Out) -> Result<(), Trouble> {
    let exact = plan.finding(id);
    let of_check: Vec<&Finding> = match exact {
        Some(finding) => vec![finding],
        None => plan
            .findings
            .iter()
            .filter(|finding| finding.check == id || about(finding, id))
            .collect(),
    };
    if of_check.is_empty() {
        let ids = plan
            .findings
            .iter()
            .map(|finding| finding.id.as_str())
            .chain(plan.findings.iter().map(|finding| finding.check));
        let help = model::nearest(id, ids).map(|near| format!("did you mean `{near}`?"));
        let help = help.or_else(|| Some("`boardswap check --all` lists every finding".to_owned()));
        return Err(Trouble::user(
            format!("there is no finding `{id}` on {}", plan.board.name),
            help,
        ));
    }
    let draws = Draws::of(plan);
    if json {
        let opened: Vec<Opened<'_>> = of_check
            .iter()
            .map(|finding| Opened {
                finding,
                tolerances: super::tolerance::tolerances(plan, &draws, finding),
            })
            .collect();
        return out.json_list("findings", &opened);
    }
    let held = super::tolerance::chances(plan, &draws, &of_check);
    let opened: Vec<_> = of_check.into_iter().zip(held).collect();
    out.document(&screens::opened(plan, &draws, &opened));
    Ok(())
}

/// A finding with what each tolerance does to it.
#[derive(Serialize)]
struct Opened<'a> {
    #[serde(flatten)]
    finding: &'a Finding,
    tolerances: Vec<Tolerance>,
}

/// Whether a finding is about a device or a port of that name.
fn about(finding: &Finding, name: &str) -> bool {
    [
        &finding.subject.device,
        &finding.subject.port,
        &finding.subject.other,
    ]
    .into_iter()
    .flatten()
    .any(|own| own.eq_ignore_ascii_case(name))
}

fn is_tag(plan: &Plan<'_>, word: &str) -> bool {
    plan.swap.machine.tagged(word).is_some()
}

fn why_not(plan: &Plan<'_>, tag: &str, port: &str, json: bool, out: &mut Out) -> Result<(), Trouble> {
    let machine = &plan.swap.machine;
    let device = machine.tagged(tag).ok_or_else(|| {
        let near = model::nearest(
            tag,
            machine.devices.iter().map(|device| device.tag.value.as_str()),
        );
        let tags = || machine.devices.iter().map(|device| device.tag.value.as_str());
        Trouble::user(
            format!("there is no cable with the tag `{tag}`"),
            near.map_or_else(
                || format!("tags are {}", tags().collect::<Vec<_>>().join(", ")),
                |near| format!("did you mean `{near}`?"),
            ),
        )
    })?;
    let found = plan
        .board
        .port_ids()
        .find(|(_, own)| own.name.value.eq_ignore_ascii_case(port))
        .map(|(id, _)| id);
    let found = found.ok_or_else(|| {
        let near = model::nearest(port, plan.board.ports.iter().map(|port| port.name.value.as_str()));
        let suits =
            |port: &&model::board::Port| plan::compatible::role_fits(machine.device(device), port).is_ok();
        let suitable: Vec<&str> = plan
            .board
            .ports
            .iter()
            .filter(suits)
            .map(|port| port.name.value.as_str())
            .collect();
        let help = match near {
            Some(near) => format!("did you mean `{near}`?"),
            None if suitable.is_empty() => format!(
                "{} has no port for a {}",
                plan.board.name,
                machine.device(device).kind()
            ),
            None => format!(
                "a {} could go to {}",
                machine.device(device).kind(),
                suitable.join(", ")
            ),
        };
        Trouble::user(format!("{} has no port `{port}`", plan.board.name), help)
    })?;
    let answer = plan::why_not(plan, device, found);
    if json {
        return out.json(&answer);
    }
    out.document(&screens::why_not(plan, &answer));
    Ok(())
}
