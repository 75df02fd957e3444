//! A plan as documents speak of it: where its findings stand, and what its sources are called.

use std::collections::BTreeSet;

use catalogue::Catalogue;
use document::{Citation, Mark, Working, anchor};
use plan::{Draws, Finding, Group, Plan, Verdict, check_named};

use crate::words::{capital, corners};

/// A plan with the places of its findings in a document.
pub(crate) struct About<'p> {
    pub plan: &'p Plan<'p>,
    /// That plan made ready for drawing machines within the tolerances, where that is told.
    pub draws: Option<&'p Draws>,
    /// One for each finding of the plan, in its order.
    anchors: Vec<String>,
}

impl<'p> About<'p> {
    pub fn of(plan: &'p Plan<'p>, draws: Option<&'p Draws>) -> Self {
        Self {
            plan,
            draws,
            anchors: anchors(&plan.findings),
        }
    }
    /// Where a finding stands; nothing for one that is not of the plan.
    pub fn anchor(&self, finding: &Finding) -> Option<&str> {
        self.plan.place_of(finding).map(|at| self.anchors[at].as_str())
    }
    /// The finding of that check about a device.
    pub fn about(&self, check: &str, tag: &str) -> Option<&'p Finding> {
        let mut findings = self.plan.findings.iter();
        findings.find(|finding| finding.check == check && finding.subject.device.as_deref() == Some(tag))
    }
    /// The findings of a group, the worst first.
    pub fn of_group(&self, group: Group) -> Vec<&'p Finding> {
        let findings = self.plan.findings.iter();
        let mut found: Vec<&Finding> = findings.filter(|finding| group_of(finding) == group).collect();
        found.sort_by_key(|finding| core::cmp::Reverse((finding.verdict, finding.stake)));
        found
    }
    pub fn catalogue(&self) -> &'p Catalogue {
        &self.plan.swap.catalogue
    }
    /// What a key of the bibliography stands for.
    pub fn cite(&self, key: &str) -> Citation {
        cite(self.catalogue(), key, "")
    }
    /// Workings as blocks.
    pub fn workings<B: From<Working>>(&self, workings: &[physics::Working]) -> Vec<B> {
        workings
            .iter()
            .map(|own| working(self.catalogue(), own).into())
            .collect()
    }
    /// The sources that the findings lean on, in the alphabetical order of their keys.
    pub fn sources(&self) -> Vec<Citation> {
        let findings = self.plan.findings.iter();
        let keys: BTreeSet<&str> = findings
            .flat_map(|finding| {
                let workings = finding.working.iter().map(|working| working.formula.source);
                workings.chain([finding.source])
            })
            .collect();
        keys.into_iter().map(|key| self.cite(key)).collect()
    }
}

/// A source by its key in the bibliography, and where in it; a key that is not there stands for itself.
pub(crate) fn cite(catalogue: &Catalogue, key: &str, clause: &str) -> Citation {
    match catalogue.sources().get(key) {
        Some(source) => Citation::new(&source.citation, clause, &source.note),
        None => Citation::new(key, clause, ""),
    }
}

/// How a number came about.
pub(crate) fn working(catalogue: &Catalogue, working: &physics::Working) -> Working {
    let inputs = working.inputs.iter().map(|input| document::Input {
        symbol: input.symbol.to_owned(),
        value: input.value.to_string(),
        meaning: input.what.to_string(),
    });
    Working {
        title: capital(working.formula.title),
        law: working.law().to_owned(),
        numbers: working.with_numbers(),
        result: working.result_line(),
        inputs: inputs.collect(),
        corners: corners(working).unwrap_or_default(),
        source: cite(catalogue, working.formula.source, working.formula.clause),
    }
}

/// How a verdict is marked.
pub(crate) fn mark(verdict: Verdict) -> Mark {
    match verdict {
        Verdict::Pass => Mark::Pass,
        Verdict::Note => Mark::Note,
        Verdict::Caution => Mark::Caution,
        Verdict::Blocker => Mark::Stop,
    }
}

/// The section of a finding; a check that is not listed is about the choice.
pub(crate) fn group_of(finding: &Finding) -> Group {
    check_named(finding.check).map_or(Group::Choice, |check| check.group)
}

/// The heading of the check behind a finding.
pub(crate) fn title_of(finding: &Finding) -> &'static str {
    check_named(finding.check).map_or(finding.check, |check| check.title)
}

/// Anchors that are different for each finding.
fn anchors(findings: &[Finding]) -> Vec<String> {
    let mut taken = BTreeSet::new();
    let one = |finding: &Finding| {
        let base = anchor("finding", &finding.id);
        let mut own = base.clone();
        let mut number = 2;
        while !taken.insert(own.clone()) {
            own = format!("{base}-{number}");
            number += 1;
        }
        own
    };
    findings.iter().map(one).collect()
}
