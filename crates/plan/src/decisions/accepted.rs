//! What somebody accepted: which findings it covers, and where it does not count.

use model::{Accepted, Swap};
use quantity::{AnyValue, Digits, show};

use crate::rules::checks::ACCEPTED;
use crate::rules::judging::{Acceptance, Disposition, Finding, Side, Stake, Subject, Verdict};

/// The digits in which a value is shown and accepted.
const DIGITS: u8 = 4;
/// What rounding to these digits may take away.
const ROUNDING: f64 = 5e-4;

/// Looks at every entry that is about a candidate: what it covers is accepted, or says why it is not. An entry that covers nothing is a
/// finding of its own.
pub(crate) fn apply(swap: &Swap, candidate: Option<usize>, findings: &mut Vec<Finding>) {
    let mut idle = Vec::new();
    for entry in &swap.accepted {
        if entry.board.is_some() && entry.board != candidate {
            continue;
        }
        let found = findings
            .iter_mut()
            .find(|finding| finding.id == entry.finding.value);
        match found {
            Some(finding) if finding.is_open() => accept(finding, entry),
            Some(finding) => {
                let headline = format!(
                    "`{}` is accepted, and nothing of it is left to decide",
                    finding.id
                );
                idle.push(nothing(entry, headline, Verdict::Note));
            }
            None => {
                let headline = format!("`{}` is accepted, and there is no such finding", entry.finding);
                // On another candidate there may be one.
                let open = entry.board.is_some() || swap.candidates.len() == 1;
                let verdict = if open { Verdict::Caution } else { Verdict::Note };
                idle.push(nothing(entry, headline, verdict));
            }
        }
    }
    findings.extend(idle);
}

fn accept(finding: &mut Finding, entry: &Accepted) {
    let refused = refused(finding, entry).err();
    if refused.is_none() {
        finding.disposition = Disposition::Accepted;
    }
    finding.acceptance = Some(Acceptance {
        by: entry.by.value.clone(),
        reason: entry.reason.value.clone(),
        refused,
    });
}

/// Why an acceptance does not count.
fn refused(finding: &Finding, entry: &Accepted) -> Result<(), String> {
    if finding.verdict == Verdict::Blocker {
        return Err("a blocker must not be built".to_owned());
    }
    // Without a number that holds at the worst corner it counts as failing.
    let holds = finding.limit.is_some() && finding.margin.is_some_and(|margin| margin >= 0.0);
    if finding.stake == Stake::Safety && !holds {
        return Err("it stakes people or fire, and fails".to_owned());
    }
    let shown = |value: AnyValue| show(&value, Digits::new(DIGITS));
    let (worst, limit) = match (finding.worst(), finding.limit, &entry.value) {
        (None, _, None) | (_, None, None) => return Ok(()),
        (None, ..) | (_, None, _) => return Err("it has no value: remove `value` of this entry".to_owned()),
        (Some(worst), Some(_), None) => {
            return Err(format!(
                "state the value that is accepted: `value = \"{}\"`",
                shown(worst)
            ));
        }
        (Some(worst), Some(limit), Some(_)) => (worst, limit),
    };
    let Some(((number, unit), now)) = entry
        .value
        .as_ref()
        .map(|value| &value.value)
        .and_then(|own| Some((own, worst.number_of(&own.1)?)))
    else {
        return Err(format!("its value is of another kind: {}", shown(worst)));
    };
    let slack = now.abs() * ROUNDING;
    let kept = match limit.side {
        Side::AtMost => now <= number + slack,
        Side::AtLeast => now >= number - slack,
    };
    if kept {
        return Ok(());
    }
    Err(format!(
        "lapsed, the value is worse: {} now, {number} {unit} when {} accepted it",
        shown(worst),
        entry.by
    ))
}

fn nothing(entry: &Accepted, headline: String, verdict: Verdict) -> Finding {
    let mut finding = Finding::new(headline, "own-statement")
        .about(Subject::named(entry.finding.value.clone()))
        .at(entry.finding.place)
        .remedy("remove the entry from swap.toml, or correct its name");
    finding.check = ACCEPTED;
    finding.id = finding.subject.identifier(ACCEPTED);
    finding.verdict = verdict;
    if verdict == Verdict::Caution {
        finding.disposition = Disposition::ToDecide;
    }
    finding
}
