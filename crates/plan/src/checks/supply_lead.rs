//! The lead from the supply to the board: its wires, its contacts, its drop.

use model::Pin;
use model::machine::Detail;
use quantity::Value;
use quantity::si::{self, ElectricCurrent};

use crate::budget::{Budget, State, sum};
use crate::finding::{Finding, Subject, Verdict, shipped_source};
use crate::judge::Judge;
use crate::setup::{Pair, Setup};
use crate::wires;

pub(crate) const ID: &str = "supply-lead";

/// The sum of all currents shares the wires of a pole where there are several.
pub(crate) fn check(setup: &Setup<'_>, judge: &mut Judge) {
    let supplies = |pair: &Pair<'_>| matches!(pair.device().detail, Detail::Supply(_));
    let Some(pair) = setup.pairs().find(supplies) else {
        return;
    };
    let budget = Budget::of(setup);
    let (cold, hot) = (sum(&budget.input(State::HeatUp)), sum(&budget.input(State::Hot)));
    let plus = |pins: &[model::Located<Pin>]| pins.iter().filter(|pin| pin.value == Pin::Plus).count();
    let lead = &pair.device().lead;
    let conductors = plus(&lead.pins).max(1);
    let terminals = plus(&pair.port().pins).clamp(1, conductors);
    wire(&pair, share(hot, conductors), judge);
    contact(&pair, share(cold, terminals), share(hot, terminals), judge);
    drop(&pair, share(cold, conductors), judge);
}

fn share(current: Value<ElectricCurrent>, conductors: usize) -> Value<ElectricCurrent> {
    #[expect(clippy::cast_precision_loss, reason = "a handful of wires")]
    let count = conductors as f64;
    if conductors == 1 {
        current
    } else {
        current.scale(1.0 / count)
    }
}

fn about(pair: &Pair<'_>, what: &str) -> Subject {
    Subject {
        device: Some(pair.device().tag.value.clone()),
        port: None,
        other: Some(what.to_owned()),
    }
}

fn wire(pair: &Pair<'_>, hot: Value<ElectricCurrent>, judge: &mut Judge) {
    let wire = pair.device().lead.wire;
    let Some(bears) = wires::bears_alone(&pair.swap.catalogue, wire.value) else {
        return;
    };
    judge.at_most(hot, bears, Verdict::Caution, || {
        let headline = format!(
            "each wire of {} carries up to {} once all is hot; {wire} bears {bears} where it lies by itself",
            pair.device_name(),
            Value::exact(hot.high())
        );
        let row = pair.swap.catalogue.wires().gauge(wire.value);
        let source = row.map_or("own-statement", |row| shipped_source(&row.bundled_source));
        Finding::new(headline, source)
            .about(about(pair, "wire"))
            .at(wire.place)
            .remedy("a second pair of wires, or thicker ones, apart from other loaded leads; local codes decide about the wiring of supplies")
    });
}

fn contact(pair: &Pair<'_>, cold: Value<ElectricCurrent>, hot: Value<ElectricCurrent>, judge: &mut Judge) {
    let connector = &pair.port().connector;
    let Some(family) = pair.swap.catalogue.connectors().get(&connector.value) else {
        return;
    };
    let rating = family.contact_current;
    let share = pair.limits().contact_continuous_share.value;
    let words = |current: Value<ElectricCurrent>, when: &str| {
        let headline = format!(
            "a terminal of {} ({connector}) carries up to {} {when}; it is rated for {rating}",
            pair.port_name(),
            Value::exact(current.high())
        );
        Finding::new(headline, shipped_source(&family.source))
            .about(about(pair, "contact"))
            .at(connector.place)
            .remedy("ferrules, screws tightened again after a week, and a hand beside it after a long print; or the bed over an external switch")
    };
    if cold.high() > rating.low() {
        // The board's maker rates the input above what its terminals are commonly rated for: worth a look, not a refusal.
        judge.at_most(cold, rating, Verdict::Caution, || words(cold, "at heat-up"));
    } else {
        judge.at_most(hot, share * rating, Verdict::Caution, || {
            words(hot, "once all is hot")
        });
    }
}

fn drop(pair: &Pair<'_>, cold: Value<ElectricCurrent>, judge: &mut Judge) {
    let lead = &pair.device().lead;
    let Some(family) = pair.swap.catalogue.connectors().get(&pair.port().connector.value) else {
        return;
    };
    let most = family.contact_resistance.high();
    let contacts = (
        Value::exact(si::ratio(2.0)),
        Value::between(si::ohm(0.0), most, most),
    );
    let drop = wires::through(pair, lead.wire.value, lead.length.value, contacts, cold);
    let supply = crate::setup::supply_voltage(pair.swap);
    let share = drop.total / supply;
    judge.at_most(
        share,
        pair.limits().lead_drop_caution.value,
        Verdict::Caution,
        || {
            let headline = format!(
                "the lead of {} loses up to {} of {} at {} a wire",
                pair.device_name(),
                Value::exact(drop.total.high()),
                Value::exact(supply.nominal()),
                Value::exact(cold.high())
            );
            let finding = Finding::new(headline, "iec-60364-5-52")
                .about(about(pair, "drop"))
                .at(lead.wire.place)
                .remedy("shorten it, or lay a second pair of wires");
            wires::with_workings(pair, &drop, finding)
        },
    );
}
