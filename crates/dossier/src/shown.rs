//! What a dossier tells of: the board that is shown, its leads, its curves.

use model::Swap;
use model::Zone;
use physics::Chance;
use plan::torque::{self, Curve};
use plan::{Alternative, Entry, Finding, Plan, Row, Verdict, WholeFacts, cables};
use tuning::Outcome;

use crate::Material;
use crate::about::About;
use crate::pictures::heat_up::Courses;

/// How many of the next-best assignments a dossier tells.
const ALTERNATIVES: usize = 3;

/// The shown board with all that is told of it.
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
    pub about: About<'m>,
}

/// A heated part under each published rule.
pub(crate) struct Held {
    /// Tag of the heater.
    pub tag: String,
    /// The heater, as sentences name it.
    pub heater: String,
    /// The part that it heats.
    pub zone: Zone,
    /// One for each rule, the proposed one first.
    pub predictions: Vec<Outcome>,
}

fn control(facts: &WholeFacts<'_>) -> Vec<Held> {
    let held = |heating: &plan::heating::Heating<'_>| {
        let thermometer = facts.thermometer(heating)?;
        let predictions = plan::control::predictions(heating, thermometer, facts.proposed(heating)?);
        (!predictions.is_empty()).then(|| Held {
            tag: heating.pair.device().tag.value.clone(),
            heater: heating.name(),
            zone: heating.heater.zone,
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
            rows: cables(plan),
            alternatives: plan.alternatives(ALTERNATIVES),
            curves: torque::curves(&facts),
            heat_up: Courses::of(&facts),
            control: control(&facts),
            about: About::of(plan, Some(material.draws)),
        }
    }
    /// How often the limits of open findings hold, where they have one.
    pub fn chances(&self) -> Vec<(&'m Finding, Chance)> {
        let drawn = self.plan.findings.iter().zip(&self.material.tally.findings);
        drawn
            .filter(|(finding, _)| finding.verdict >= Verdict::Caution && finding.limit.is_some())
            .filter(|(_, kept)| kept.chance.draws > 0)
            .map(|(finding, kept)| (finding, kept.chance))
            .collect()
    }
    /// Whether machine, board or swap is made up.
    pub fn invented(&self) -> bool {
        self.swap.invented || self.swap.machine.invented || self.plan.board.invented
    }
}
