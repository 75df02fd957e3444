//! Why a device is not at a certain port: refused by a check, or what it would cost.

use assignment::{Limits, Reason, Regret};
use model::board::PortId;
use model::machine::{Detail, DeviceId};
use quantity::{Value, si};
use serde::Serialize;

use crate::decisions::assign::{Meaning, Programme, Scarce, limits};
use crate::decisions::clash;
use crate::decisions::compatible::{Refusal, role_fits};
use crate::decisions::plan::{Objective, Plan};
use crate::facts::{Pair, Way, name_of};
use crate::rules::checks::{PAIR_CHECKS, run_pair};
use crate::rules::judging::{Finding, Judge, Verdict};

/// The answer to "why is this device not at that port".
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WhyNot {
    /// One sentence.
    pub answer: String,
    /// The ways that were looked at.
    pub ways: Vec<WayAnswer>,
}

/// The answer for one way to use the port.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WayAnswer {
    /// The way in words: "from the 24 V input", "with a converter".
    pub way: String,
    /// What stands against it, in a sentence.
    pub answer: String,
    /// The blockers and cautions of the checks there, with their workings.
    pub findings: Vec<Finding>,
    /// What the whole plan would cost more, where it is possible.
    pub more: Option<Objective>,
}

/// Answers for one device and one port.
#[must_use]
pub fn why_not(plan: &Plan<'_>, device: DeviceId, port: PortId) -> WhyNot {
    let (own, target) = (plan.swap.machine.device(device), plan.board.port(port));
    let names = format!("{} at {}", name_of(own), target.name);
    if let Some(way) = plan.ways[device.0].filter(|way| way.port == port) {
        return WhyNot {
            answer: format!("{names} is what the plan does: {}", words(plan, way)),
            ways: Vec::new(),
        };
    }
    if let Err(refusal) = role_fits(own, target) {
        let answer = match refusal {
            Refusal::Role { device, port } => {
                format!("{names} cannot be: a {device} does not go on a {port}")
            }
            Refusal::Interface => format!("{names} cannot be: they speak different interfaces"),
            Refusal::Check { check } => format!("{names} is refused by {check}"),
        };
        return WhyNot {
            answer,
            ways: Vec::new(),
        };
    }
    let candidates = &plan.programme().candidates[device.0];
    let ways: Vec<WayAnswer> = candidates
        .iter()
        .filter(|candidate| candidate.way.port == port)
        .map(|candidate| way_answer(plan, device, candidate.way, candidate.outcome.as_ref().err()))
        .collect();
    let answer = match ways.as_slice() {
        [] if matches!(own.detail, Detail::Supply(_)) => format!(
            "{names} cannot be: the first supply of the file feeds the input of the board, a further one a rail of `source = \"external\"`"
        ),
        [] => format!(
            "{names} cannot be: the port is the second socket of a driver, which only the second motor of an axis uses"
        ),
        ways => {
            let best = ways.iter().find(|way| way.more.is_some()).unwrap_or(&ways[0]);
            format!("{names}: {}", best.answer)
        }
    };
    WhyNot { answer, ways }
}

fn way_answer(plan: &Plan<'_>, device: DeviceId, way: Way, refusal: Option<&Refusal>) -> WayAnswer {
    let pair = Pair::new(&plan.site, device, way).facts();
    let mut judge = Judge::keeping();
    for check in PAIR_CHECKS {
        run_pair(check, &pair, &mut judge);
    }
    let mut findings = judge.into_findings();
    findings.retain(|finding| finding.verdict >= Verdict::Caution);
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.verdict));
    if refusal.is_some() {
        let first = findings
            .first()
            .map_or(String::new(), |finding| finding.headline.clone());
        return WayAnswer {
            way: words(plan, way),
            answer: format!("refused: {first}"),
            findings,
            more: None,
        };
    }
    let programme = plan.programme();
    let Some(choice) = programme.choice_of(device, way) else {
        return WayAnswer {
            way: words(plan, way),
            answer: "not offered".to_owned(),
            findings,
            more: None,
        };
    };
    let limits = Limits {
        nodes: 200_000,
        ..limits()
    };
    let regret = assignment::regret(&programme.problem, plan.solution(), choice, &limits);
    let (answer, more) = match regret {
        Regret::Costs { more, .. } => {
            let more = Objective::of_difference(more);
            let answer = if more == Objective::default() {
                "just as good: it costs the same, and the plan takes the first of equals".to_owned()
            } else {
                format!("possible, but the whole plan {}", more.difference())
            };
            (answer, Some(more))
        }
        Regret::Displaces { more, because, .. } => {
            let more = Objective::of_difference(more);
            (
                format!(
                    "it would leave a needed device without a port: {}",
                    reason(plan, programme, &because)
                ),
                Some(more),
            )
        }
        Regret::Impossible { because } => {
            (format!("impossible: {}", reason(plan, programme, &because)), None)
        }
    };
    WayAnswer {
        way: words(plan, way),
        answer,
        findings,
        more,
    }
}

fn reason(plan: &Plan<'_>, programme: &Programme, reason: &Reason) -> String {
    let device = |item: assignment::Item| match plan.swap.machine.devices.get(item.0) {
        Some(device) => name_of(device),
        None => "a wish".to_owned(),
    };
    match reason {
        Reason::TooMuch {
            resource,
            amount,
            capacity,
        } => match &programme.scarce[resource.0] {
            Scarce::Rail(rail) => format!(
                "it draws {} from the rail {}, which has {} left for devices",
                amperes(*amount),
                plan.board.rail(*rail).name,
                amperes(*capacity)
            ),
            scarce => format!(
                "it asks {amount} of {} that has {capacity}",
                clash::scarce(plan.board, scarce)
            ),
        },
        Reason::Full { resource, needed_by } => {
            let names: Vec<String> = needed_by.iter().map(|item| device(*item)).collect();
            format!(
                "{} is needed by {}",
                clash::scarce(plan.board, &programme.scarce[resource.0]),
                names.join(", ")
            )
        }
        Reason::Excludes { item, choices } => {
            let places: Vec<&str> = choices
                .iter()
                .filter_map(|choice| match &programme.meanings[choice.0] {
                    Meaning::Connect(_, way) => Some(plan.board.port(way.port).name.value.as_str()),
                    _ => None,
                })
                .collect();
            format!("it excludes {} from {}", device(*item), places.join(", "))
        }
        Reason::Together(conflict) => {
            let names: Vec<String> = conflict.items.iter().map(|item| device(*item)).collect();
            format!("{} could then not all be served", names.join(", "))
        }
        Reason::Unknown => "the search was stopped before a reason was found".to_owned(),
    }
}

/// A current that the programme counts in milliamperes.
fn amperes(milliamperes: i64) -> String {
    #[expect(clippy::cast_precision_loss, reason = "a current of this trade")]
    let current = si::ampere(milliamperes as f64 / 1e3);
    Value::exact(current).to_string()
}

/// A way in words.
#[must_use]
pub fn words(plan: &Plan<'_>, way: Way) -> String {
    let port = plan.board.port(way.port);
    let rail = way.rail.map(|rail| plan.board.rail(rail).name.value.clone());
    let mut out = format!("at {}", port.name);
    match (&rail, way.own_supply) {
        (_, true) => out.push_str(", with a converter of its own from the supply"),
        (Some(rail), false) if !matches!(port.kind, model::board::PortKind::Motor { .. }) => {
            out.push_str(&format!(", from the rail {rail}"));
        }
        _ => {}
    }
    if way.second {
        out.push_str(", as the second motor of that driver");
    }
    out
}
