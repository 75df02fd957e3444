//! The next best question: of the facts that nobody stated, that one which settles most for each minute of finding it out.

use std::collections::BTreeMap;

use catalogue::Question;
use model::{Assumed, Swap};

use crate::decisions::plan::Plan;
use crate::rules::judging::{Finding, Stake, Verdict};

/// A fact that nobody stated, with how it is found out and what that settles.
#[derive(Clone, Debug)]
pub struct Ask<'a> {
    /// The fact.
    pub fact: &'a Assumed,
    /// How it is found out.
    pub question: &'static Question,
    /// The open findings that it settles, those first where most is at stake; of several boards those of each.
    pub settles: Vec<&'a Finding>,
    /// What that is worth for each minute.
    pub worth: f64,
}

/// What settling a finding is worth: people and fire before all, and what blocks before what does not.
fn weight(finding: &Finding) -> f64 {
    match (finding.stake, finding.verdict) {
        (Stake::Safety, _) => 100.0,
        (Stake::Hardware, Verdict::Blocker) => 20.0,
        (Stake::Hardware, _) => 10.0,
        (Stake::Function, Verdict::Blocker) => 4.0,
        (Stake::Function, _) => 1.0,
    }
}

/// The facts behind what is open on some planned boards, the best question first; the order of the files settles what is equal.
#[must_use]
pub fn ask<'a>(swap: &'a Swap, plans: &'a [Plan<'_>]) -> Vec<Ask<'a>> {
    let mut settled: BTreeMap<&str, Vec<&Finding>> = BTreeMap::new();
    for finding in plans.iter().flat_map(|plan| &plan.findings) {
        if let Some(ask) = finding.open.as_ref().and_then(|open| open.ask.as_deref()) {
            settled.entry(ask).or_default().push(finding);
        }
    }
    let mut out: Vec<Ask<'a>> = Vec::new();
    for fact in &swap.assumed {
        let Some(question) = catalogue::question(fact.of, fact.key) else {
            continue;
        };
        // A fact that stands twice, in a row with several names, is asked for once.
        let Some(mut settles) = settled.remove(fact.id().as_str()) else {
            continue;
        };
        settles.sort_by(|one, other| other.stake.cmp(&one.stake).then(other.verdict.cmp(&one.verdict)));
        let worth: f64 = settles.iter().map(|finding| weight(finding)).sum();
        out.push(Ask {
            fact,
            question,
            settles,
            worth: worth / f64::from(question.minutes.max(1)),
        });
    }
    out.sort_by(|one, other| other.worth.total_cmp(&one.worth));
    out
}
