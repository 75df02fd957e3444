//! Which rail each jumper must choose, and for whom.

use model::board::{JumperId, PortSupply, RailId};

use quantity::Value;

use crate::facts::{PairFacts, WholeFacts};
use crate::rules::judging::{Finding, Handling, Judge, Subject, Verdict};

pub(crate) const ID: &str = "jumpers";

/// A note for each jumper that feeds a device; two rails at once cannot be.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for (at, jumper) in facts.board.jumpers.iter().enumerate() {
        let supply = PortSupply::Jumper(JumperId(at));
        let fed = || {
            facts
                .pairs()
                .filter(move |pair| pair.port().supply == supply)
                .filter_map(|pair| pair.way.rail.map(|rail| (rail, pair)))
        };
        let Some((rail, first)) = fed().next() else {
            continue;
        };
        let subject = || Subject::named(format!("jumper {}", jumper.name));
        if let Some((other, second)) = fed().find(|(other, _)| *other != rail) {
            judge.say(Verdict::Blocker, || {
                let words = format!(
                    "the jumper {} would have to choose {} for {} and {} for {}",
                    jumper.name,
                    name(facts, rail),
                    first.device_name(),
                    name(facts, other),
                    second.device_name()
                );
                Finding::new(words, "own-statement")
                    .about(subject())
                    .at(jumper.name.place)
                    .remedy("move one of them to another port")
            });
            continue;
        }
        judge.say(Verdict::Note, || {
            let devices: Vec<String> = fed().map(|(_, pair)| at_port(pair)).collect();
            let empty: Vec<&str> = facts
                .board
                .ports
                .iter()
                .filter(|port| port.supply == supply && !fed().any(|(_, pair)| pair.port().name == port.name))
                .map(|port| port.name.value.as_str())
                .collect();
            let mut words = format!(
                "the jumper {} goes on {} ({}) for {}",
                jumper.name,
                name(facts, rail),
                Value::exact(facts.rail_voltage(rail).nominal()),
                devices.join(", ")
            );
            if !empty.is_empty() {
                words.push_str(&format!(". {} carries it too", empty.join(", ")));
            }
            Finding::new(words, "own-statement")
                .about(subject())
                .at(jumper.name.place)
                .remedy("set it before power. Measure between + and − at the open port before you plug anything in")
                .handled_by(Handling::setting("jumper", &jumper.name.value))
                .handled_by(Handling::step("jumper", &jumper.name.value))
        });
    }
}

fn name<'a>(facts: &WholeFacts<'a>, rail: RailId) -> &'a str {
    &facts.board.rail(rail).name.value
}

fn at_port(pair: &PairFacts<'_>) -> String {
    format!("{} at {}", pair.device_name(), pair.port_name())
}
