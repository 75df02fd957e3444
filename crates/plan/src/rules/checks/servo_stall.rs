//! The servo or coil of a bed probe that is held fast, against the rail that feeds it.

use model::Pin;
use model::machine::{Detail, Sensor};
use physics::{electrics, work_many};
use quantity::si::ElectricCurrent;
use quantity::{Number, Value};

use crate::facts::budget::{Drawn, State, inputs, sum};
use crate::facts::{PairFacts, WholeFacts, wires};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "servo-stall";

/// A pin that meets the bed too early is held fast: for a moment it draws its stall current, and a rail that folds resets the board.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for pair in facts.pairs() {
        let Detail::BedProbe(sensor) = &pair.device().detail else {
            continue;
        };
        let (Some(stall), Some(rail)) = (stall(pair, sensor), pair.way.rail) else {
            continue;
        };
        if pair.way.own_supply {
            continue;
        }
        let Some(made) = &facts.board.rail(rail).made else {
            continue;
        };
        let mut lines = facts.budget().rail(rail, State::HeatUp).to_vec();
        for line in &mut lines {
            if matches!(line.what, Drawn::Device(own) if own.id == pair.id) {
                line.amount = stall;
            }
        }
        let total = sum(&lines);
        let subject = |what: &str| Subject::aspect(pair.device(), what);
        let place = sensor
            .stall_current
            .as_ref()
            .or(sensor.current.as_ref())
            .map_or(pair.device().place, |stated| stated.place);
        judge.at_most(total, made.current.value, Verdict::Caution, || {
            let headline = format!(
                "the rail {2} carries up to {1} while {0} is held fast. It is rated for {3}",
                pair.device_name(),
                brief(total.high()),
                facts.board.rail(rail).name,
                made.current.value
            );
            let worked = work_many(&electrics::CURRENT_SUM, "I", inputs("Iₙ", &lines), electrics::current_sum);
            Finding::new(headline, "common-practice")
                .about(subject("rail"))
                .at(place)
                .working(worked.working)
                .remedy("dim or move LEDs off that rail, or give the probe a dedicated converter. An overloaded rail resets the board in the middle of a move")
        });
        let (Some(rail_voltage), Some(rated)) = (pair.rail_voltage(), sensor.voltage) else {
            continue;
        };
        let Some(drop) = dropped(pair, stall) else {
            continue;
        };
        let at_probe = rail_voltage - drop.total;
        let least = rated
            .value
            .scale(pair.limits().device_undervoltage_blocker.value.nominal().base());
        judge.at_least(at_probe, Value::exact(least.nominal()), Verdict::Caution, || {
            let headline = format!(
                "while held fast {} gets {} at its end of the cable. It needs {}",
                pair.device_name(),
                brief(at_probe.low()),
                brief(least.nominal())
            );
            let finding = Finding::new(headline, "common-practice")
                .about(subject("lead"))
                .at(pair.device().cable.wire.place)
                .remedy("use thicker or shorter wires for its plus and minus");
            finding.workings(wires::workings(pair, pair.wire(), &drop))
        });
    }
}

/// The stall current: as stated, or the usual one of a small servo where the probe is told to move.
fn stall(pair: &PairFacts<'_>, sensor: &Sensor) -> Option<Value<ElectricCurrent>> {
    if let Some(stated) = sensor.stall_current {
        return Some(stated.value);
    }
    let moves = pair.swap.machine.carrier(pair.id, Pin::Control).is_some();
    // What is stated as its largest current is taken at its word.
    let usual = pair.limits().servo_peak_current.value;
    moves.then(|| sensor.current.map_or(usual, |current| current.value.hull(&usual)))
}

fn dropped(pair: &PairFacts<'_>, stall: Value<ElectricCurrent>) -> Option<wires::Drop> {
    let usual = pair.drop()?;
    Some(wires::through(
        pair,
        pair.device().cable.wire.value,
        usual.length,
        (usual.contacts, usual.contact),
        stall,
    ))
}
