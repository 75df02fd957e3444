//! What the capacitors of board and lights draw at the moment they get power: against the fuse, and against the rail.

use model::RailSource;
use model::machine::Detail;
use physics::electrics::{self, FuseClass};
use physics::{named, work};
use quantity::si::ElectricCurrent;
use quantity::{Number, Value, si};

use crate::facts::budget::{Drawn, Line, State};
use crate::facts::{WholeFacts, wires};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "inrush";

/// Asked only where a file states a capacitance.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    at_the_input(facts, judge);
    on_rails(facts, judge);
}

/// A supply that is switched on behind its output, by a relay or a plug, meets empty capacitors.
fn at_the_input(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let board = facts.board;
    let (Some(capacitance), Some(fuse)) = (board.input.capacitance, board.input.fuse) else {
        return;
    };
    let Some(pair) = facts
        .pairs()
        .find(|pair| matches!(pair.device().detail, Detail::Supply(_)))
    else {
        return;
    };
    let cable = &pair.device().cable;
    let per_length = wires::per_length(&pair.swap.catalogue, cable.wire.value);
    let source = facts.limits().supply_source_resistance.value;
    let loop_of = |source: si::ElectricalResistance, per: si::ResistancePerLength, length: si::Length| {
        source + si::ohm(2.0 * per.base() * length.base())
    };
    let length = cable.length.value;
    let resistance = Value::corners(|end| loop_of(source.at(end), per_length.at(end), length.at(end)));
    let (supply, hold) = (facts.supply_voltage(), FuseClass::Blade.joule_constant());
    let needed = Value::corners(|end| {
        electrics::inrush_rating(
            supply.at(end),
            capacitance.at(end),
            resistance.at(end.other()),
            hold,
        )
    });
    judge.at_most(needed, fuse.value, Verdict::Caution, || {
        let peak = supply.high() / resistance.low();
        let headline = format!(
            "{} draws up to {} for some hundred microseconds when switched on behind the supply. That needs a fuse of {}; it has {}",
            board.name,
            brief(peak),
            brief(needed.high()),
            fuse.value
        );
        let inputs = (
            named("U", "supply voltage", supply),
            named("C", "capacitors behind the input", capacitance.value),
            named("R", "supply and its lead, out and back", resistance),
            named("k", "what a blade fuse holds, by its rating squared", Value::exact(hold)),
        );
        let worked = work(&electrics::INRUSH_RATING, "I", inputs, |(u, c, r, k)| electrics::inrush_rating(u, c, r, k));
        Finding::new(headline, "iso-8820-3")
            .about(Subject::named("input"))
            .at(capacitance.place)
            .working(worked.working)
            .remedy("switch the machine on at the mains side, so that the supply comes up slowly. Never plug the board in under power")
    });
}

/// A converter that comes up must charge what hangs on its rail beside feeding the loads.
fn on_rails(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let budget = facts.budget();
    for pair in facts.pairs() {
        let Detail::LightStrip(strip) = &pair.device().detail else {
            continue;
        };
        let (Some(capacitance), Some(rail)) =
            (strip.capacitance, pair.way.rail.filter(|_| !pair.way.own_supply))
        else {
            continue;
        };
        let Some(made) = &facts.board.rail(rail).made else {
            continue;
        };
        if made.source.value != RailSource::Switching {
            continue;
        }
        let time = made
            .start_time
            .map_or(facts.limits().rail_soft_start.value, |stated| stated.value);
        let charge = Value::corners(|end| {
            electrics::ramp_current(capacitance.at(end), made.voltage.at(end), time.at(end.other()))
        });
        // Lights are dark until they are told otherwise.
        let waits = |line: &&Line<'_, ElectricCurrent>| matches!(line.what, Drawn::Device(own) if matches!(own.device().detail, Detail::LightStrip(_) | Detail::BedProbe(_)));
        let lines = budget.rail(rail, State::HeatUp).iter();
        let others: Value<ElectricCurrent> = lines.filter(|line| !waits(line)).map(|line| line.amount).sum();
        let total = charge + others;
        judge.at_most(total, made.current.value, Verdict::Caution, || {
            let headline = format!(
                "the rail {0} starts with up to {2} of its {3} into the capacitors of {1}",
                facts.board.rail(rail).name,
                pair.device_name(),
                brief(charge.high()),
                made.current.value
            );
            let inputs = (
                named("C", "capacitors of the strip", capacitance.value),
                named("U", "voltage of the rail", made.voltage.value),
                named("t", "time in which it comes up", time),
            );
            let worked = work(&electrics::RAMP_CURRENT, "I", inputs, |(c, u, t)| electrics::ramp_current(c, u, t));
            Finding::new(headline, "iec-80000-6")
                .about(Subject::device(pair.device().tag.value.clone()))
                .at(capacitance.place)
                .working(worked.working)
                .remedy("use a dedicated converter for the LEDs, or a smaller capacitor at the strip. A rail that cannot come up restarts again and again")
        });
    }
}
