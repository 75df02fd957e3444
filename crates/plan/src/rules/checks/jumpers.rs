//! Which rail each jumper must choose, and for whom; how one that does something else must stand.

use model::Name;
use model::board::{Jumper, JumperId, PortSupply, RailId};

use quantity::Value;

use crate::facts::{PairFacts, WholeFacts};
use crate::rules::checks::load_homing;
use crate::rules::judging::{Finding, Handling, Judge, Stake, Subject, Verdict};

pub(crate) const ID: &str = "jumpers";

/// A note for each jumper that feeds a device; two rails at once cannot be.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for (at, jumper) in facts.board.jumpers.iter().enumerate() {
        if let Some(purpose) = &jumper.purpose {
            other(facts, jumper, purpose, judge);
            continue;
        }
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
        if assumed(facts, jumper) {
            judge.at_stake(Stake::Safety);
            judge.say(Verdict::Caution, || {
                let devices: Vec<String> = fed().map(|(_, pair)| at_port(pair)).collect();
                Finding::new(
                    format!("which rails the jumper {} offers is not stated. On it hangs what {} get", jumper.name, devices.join(", ")),
                    "own-statement",
                )
                .about(Subject::aspect(first.device(), format!("jumper {}", jumper.name)))
                .at(jumper.name.place)
                .asking()
                .remedy("look it up in the manual of the board, and state `rails`, or `purpose` where it chooses none. Measure between + and − at the open port before anything is plugged in")
            });
            judge.at_stake(Stake::Hardware);
        }
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

/// Whether nobody stated what a jumper chooses.
fn assumed(facts: &WholeFacts<'_>, jumper: &Jumper) -> bool {
    facts.swap.assumed.iter().any(|own| {
        own.of == "jumper"
            && own.key == "rails"
            && own.place.file == facts.board.place.file
            && own.owner.last() == Some(&jumper.name.value)
    })
}

/// A jumper that chooses no rail is set as the file says; where it does not say, nobody knows what the board does.
fn other(facts: &WholeFacts<'_>, jumper: &Jumper, purpose: &Name, judge: &mut Judge) {
    let subject = || Subject::named(format!("jumper {}", jumper.name));
    match &jumper.position {
        Some(position) => judge.say(Verdict::Note, || {
            Finding::new(
                format!("the jumper {} stands at {position}: it {purpose}", jumper.name),
                "own-statement",
            )
            .about(subject())
            .at(position.place)
            .remedy("set it with the board unplugged, before anything else is connected")
            .handled_by(Handling::setting("jumper", &jumper.name.value))
            .handled_by(Handling::step("jumper", &jumper.name.value))
        }),
        None => judge.say(Verdict::Caution, || {
            Finding::new(
                format!(
                    "how the jumper {} must stand is not stated: it {purpose}",
                    jumper.name
                ),
                "own-statement",
            )
            .about(subject())
            .at(purpose.place)
            .remedy("look it up in the manual of the board, and state it as `position`")
        }),
    }
    let Some((driver, port)) = jumper.stall_signal else {
        return;
    };
    let carried = facts.pairs().find(|pair| pair.way.port == port);
    let Some(carried) = carried else { return };
    let drives = |pair: &&PairFacts<'_>| {
        pair.driver()
            .is_some_and(|own| own.name == facts.board.driver(driver).name)
    };
    let motor = facts.pairs().find(drives);
    let homes = motor.is_some_and(load_homing::load_homing_works);
    let (verdict, what) = if homes {
        (Verdict::Caution, "its axis homes by that signal")
    } else {
        (Verdict::Note, "set so that the signal is not joined")
    };
    judge.say(verdict, || {
        Finding::new(
            format!(
                "the jumper {} can join the stall signal of {} to {}, where {} is plugged in: {what}",
                jumper.name,
                facts.board.driver(driver).name,
                carried.port_name(),
                carried.device_name()
            ),
            "own-statement",
        )
        .about(Subject {
            port: Some(carried.port_name().to_owned()),
            ..subject()
        })
        .at(jumper.name.place)
        .remedy("leave that input empty where the signal is joined: two outputs on one wire fight")
    });
}

fn name<'a>(facts: &WholeFacts<'a>, rail: RailId) -> &'a str {
    &facts.board.rail(rail).name.value
}

fn at_port(pair: &PairFacts<'_>) -> String {
    format!("{} at {}", pair.device_name(), pair.port_name())
}
