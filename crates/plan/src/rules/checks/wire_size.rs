//! The current of the device against what its wires bear in a bundle.

use model::machine::Detail;
use quantity::Value;

use crate::facts::budget::State;
use crate::facts::{PairFacts, wires};
use crate::rules::judging::{Finding, Judge, Side, Verdict, shipped_source};
use crate::rules::workings::with_heater_current;

use super::lead_drop::thicker_lead;

pub(crate) const ID: &str = "wire-size";

/// A caution, since the table is guidance; what is more than the wire bears where it lies by itself asks for a thicker lead.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    if matches!(pair.device().detail, Detail::Supply(_)) {
        return;
    }
    let Some(current) = pair.long_current() else {
        return;
    };
    let wire = pair.device().cable.wire;
    let catalogue = &pair.swap.catalogue;
    let (Some(bears), Some(alone)) = (
        wires::bears(catalogue, wire.value),
        wires::bears_alone(catalogue, wire.value),
    ) else {
        judge.say(Verdict::Note, || {
            let words = format!(
                "the wires of {} are {wire}, thinner than any in the table: not checked",
                pair.device_name()
            );
            Finding::new(words, "common-practice")
                .at(wire.place)
                .remedy("feel the cable during the first long run. A warm one is too thin")
        });
        return;
    };
    let words = || {
        let headline = format!(
            "the wires of {} carry up to {} continuously. In a bundle {wire} is rated for {bears}",
            pair.device_name(),
            Value::exact(current.high())
        );
        let source = catalogue.wires().gauge(wire.value);
        let source = source.map_or("own-statement", |row| shipped_source(&row.bundled_source));
        let finding = Finding::new(headline, source).at(wire.place);
        with_heater_current(pair, &[State::Hot], finding)
    };
    let Some(anew) = pair.new_wire().filter(|_| pair.is_too_thin()) else {
        // A lead that is made anew for its drop is thicker than its own.
        let bears = pair.wire_bears().unwrap_or(bears);
        judge.at_most(current, bears, Verdict::Caution, || {
            words().remedy(format!(
                "lay it apart from other loaded wires, where {wire} is rated for {alone}. Feel it in the first long run. Or use a thicker cable"
            ))
        });
        return;
    };
    let words = || words().workings(wires::unbundled(catalogue, wire.value));
    if !anew.serves {
        judge.at_most(current, alone, Verdict::Blocker, || {
            words().remedy(format!(
                "use several wires side by side, nearer to the supply. No wire of the table serves: not even {} is enough",
                anew.size
            ))
        });
        return;
    }
    let words = || {
        words().remedy(format!(
            "make a new cable of {} before any power. On its own {wire} is rated for {alone}: above that its insulation melts",
            anew.size
        ))
    };
    // One lead is made anew once: the check of its drop may have named the part.
    if pair.loses_too_much() {
        judge.at_most(current, alone, Verdict::Caution, words);
    } else {
        judge.mended(thicker_lead(pair, anew.size), || {
            words().against(current, Side::AtMost, alone)
        });
    }
}
