//! What all documents share: the board that is shown, its leads, findings by group, the anchors of findings.

use std::collections::BTreeSet;

use model::Swap;
use physics::Working;
use plan::control::Prediction;
use plan::torque::{self, Curve};
use plan::{Alternative, Entry, Finding, Group, Plan, Row, WholeFacts, check_named, leads};

use crate::Material;
use crate::pictures::heat_up::Courses;

/// How many of the next-best assignments a dossier tells.
const ALTERNATIVES: usize = 3;

/// The shown board with what the documents read.
pub(crate) struct Shown<'m> {
    pub material: &'m Material<'m>,
    pub swap: &'m Swap,
    pub plan: &'m Plan<'m>,
    pub entry: &'m Entry,
    pub rows: Vec<Row>,
    pub alternatives: Vec<Alternative>,
    /// Torque over speed.
    pub curves: Vec<Curve>,
    /// The supply over the heat-up.
    pub heat_up: Option<Courses>,
    /// How published rules would hold each heated part of which enough is known.
    pub control: Vec<Held>,
    /// One for each finding of the plan, in its order.
    anchors: Vec<String>,
}

/// A heated part under each published rule.
pub(crate) struct Held {
    /// Tag of the heater.
    pub tag: String,
    /// The heater, as sentences name it.
    pub heater: String,
    /// One for each rule, the proposed one first.
    pub predictions: Vec<Prediction>,
}

fn control(facts: &WholeFacts<'_>) -> Vec<Held> {
    let held = |heating: &plan::heating::Heating<'_>| {
        let thermometer = facts.thermometer(heating)?;
        let predictions = plan::control::predictions(heating, thermometer);
        (!predictions.is_empty()).then(|| Held {
            tag: heating.pair.device().tag.value.clone(),
            heater: heating.pair.device_name(),
            predictions,
        })
    };
    facts.heated().filter_map(held).collect()
}

impl<'m> Shown<'m> {
    pub fn of(material: &'m Material<'m>) -> Self {
        let plan = &material.plans[material.shown];
        let facts = plan.facts();
        let entries = &material.comparison.entries;
        let entry = entries
            .iter()
            .find(|entry| entry.candidate == material.shown)
            .unwrap_or(&entries[0]);
        Self {
            material,
            swap: material.swap,
            plan,
            entry,
            rows: leads(plan),
            alternatives: plan.alternatives(ALTERNATIVES),
            curves: torque::curves(&facts),
            heat_up: Courses::of(&facts),
            control: control(&facts),
            anchors: anchors(&plan.findings),
        }
    }
    /// Whether machine, board or swap is made up.
    pub fn invented(&self) -> bool {
        self.swap.invented || self.swap.machine.invented || self.plan.board.invented
    }
    /// The findings of a group, the worst first.
    pub fn of_group(&self, group: Group) -> Vec<&'m Finding> {
        let mut found: Vec<&Finding> = self
            .plan
            .findings
            .iter()
            .filter(|finding| group_of(finding) == group)
            .collect();
        found.sort_by_key(|finding| std::cmp::Reverse((finding.verdict, finding.stake)));
        found
    }
    /// The anchor of a finding of the plan.
    pub fn anchor(&self, finding: &Finding) -> &str {
        self.plan
            .place_of(finding)
            .map_or("findings", |at| &self.anchors[at])
    }
    /// The anchor of a finding by its identifier, if there is such a finding.
    pub fn anchor_of(&self, id: &str) -> Option<&str> {
        self.plan.finding(id).map(|finding| self.anchor(finding))
    }
    /// The finding of that check about a device.
    pub fn about(&self, check: &str, tag: &str) -> Option<&'m Finding> {
        self.plan
            .findings
            .iter()
            .find(|finding| finding.check == check && finding.subject.device.as_deref() == Some(tag))
    }
    /// What a key of the bibliography stands for.
    pub fn citation<'k>(&self, key: &'k str) -> &'k str
    where
        'm: 'k,
    {
        let source = self.swap.catalogue.sources().get(key);
        source.map_or(key, |source| source.citation.as_str())
    }
    /// The citation of a working's formula with its clause.
    pub fn formula_source(&self, working: &Working) -> String {
        let citation = self.citation(working.formula.source);
        match working.formula.clause {
            "" => citation.to_owned(),
            clause => format!("{citation}, {clause}"),
        }
    }
    /// The keys of the bibliography that the findings lean on, in alphabetical order.
    pub fn sources(&self) -> BTreeSet<&'static str> {
        let findings = self.plan.findings.iter();
        findings
            .flat_map(|finding| {
                let workings = finding.working.iter().map(|working| working.formula.source);
                workings.chain([finding.source])
            })
            .collect()
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

/// Anchors that are safe in a link whatever names the user gave, and different for each finding.
fn anchors(findings: &[Finding]) -> Vec<String> {
    let mut taken = BTreeSet::new();
    let mut out = Vec::with_capacity(findings.len());
    for finding in findings {
        let safe = |c: char| c.is_ascii_alphanumeric() || matches!(c, ':' | '-' | '_' | '.');
        let base: String = finding
            .id
            .chars()
            .map(|c| if safe(c) { c } else { '-' })
            .collect();
        let mut anchor = format!("finding-{base}");
        let mut number = 2;
        while !taken.insert(anchor.clone()) {
            anchor = format!("finding-{base}-{number}");
            number += 1;
        }
        out.push(anchor);
    }
    out
}
