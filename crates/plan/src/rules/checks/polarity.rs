//! What each wire would meet if the plug were put over as it is: the wrong pole, or a supply on a signal.

use catalogue::WorkKind;
use model::Pin;
use model::board::Port;
use model::machine::{Detail, UNKNOWN_COLOUR};

use crate::facts::PairFacts;
use crate::facts::harness::ActionKind;
use crate::rules::judging::{Finding, Handling, Judge, Subject, Verdict};

pub(crate) const ID: &str = "polarity";

/// Only a plug that goes on as it is can go on wrongly; the supply is asked too, since its two ends go where they went before.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let device = pair.device();
    if matches!(device.detail, Detail::Motor(_)) || pair.way.own_supply {
        return;
    }
    if matches!(device.detail, Detail::Supply(_)) {
        supply(pair, judge);
        return alike(pair, judge);
    }
    let (wires, pins) = (&device.cable.pins, &pair.port().pins);
    let goes_on =
        matches!(pair.work(), Some(WorkKind::PlugOver | WorkKind::PlugLoose)) && wires.len() == pins.len();
    let has_poles = wires.iter().any(|wire| pole(wire.value).is_some());
    if !goes_on && has_poles {
        return alike(pair, judge);
    }
    if !has_poles {
        return;
    }
    let wrong = || {
        wires
            .iter()
            .zip(pins)
            .enumerate()
            .filter(|(_, (wire, pin))| meets_wrongly(wire.value, pin.value))
    };
    if wrong().next().is_none() {
        judge.say(Verdict::Pass, || {
            let words = format!(
                "{} put over to {} as it is has + on + and - on -",
                pair.device_name(),
                pair.port_name()
            );
            Finding::new(words, "common-practice").at(pair.port().place)
        });
        return;
    }
    judge.dealt(true).say(Verdict::Caution, || {
        let meetings: Vec<String> = wrong()
            .map(|(at, (wire, pin))| {
                format!(
                    "Wire {} ({}) would meet pin {} ({})",
                    at + 1,
                    wire.value,
                    at + 1,
                    pin.value
                )
            })
            .collect();
        let words = format!(
            "the plug of {} fits {} with its wires at the wrong contacts. {}",
            pair.device_name(),
            pair.port_name(),
            meetings.join(". ")
        );
        let tag = &device.tag.value;
        Finding::new(words, "common-practice")
            .at(pair.port().place)
            .remedy(
                "move the contacts in the housing first, as the wiring table says. Check + and − with a meter before you plug it in",
            )
            .handled_by(Handling::wiring(tag, ActionKind::RePin))
            .handled_by(Handling::step("poles", tag))
    });
}

/// Wires that go on one by one are told apart by their colours, unless plus has that of minus.
fn alike(pair: &PairFacts<'_>, judge: &mut Judge) {
    let cable = &pair.device().cable;
    let colour_of = |wanted: Pole| {
        let wires = cable.pins.iter().zip(&cable.colours);
        let known = wires.filter(|(_, colour)| colour.value != UNKNOWN_COLOUR);
        let mut of_pole = known.filter(move |(wire, _)| pole(wire.value) == Some(wanted));
        of_pole.next().map(|(_, colour)| colour)
    };
    let (Some(plus), Some(minus)) = (colour_of(Pole::Plus), colour_of(Pole::Minus)) else {
        return;
    };
    if plus.value != minus.value {
        return;
    }
    judge.say(Verdict::Caution, || {
        let words = format!(
            "plus and minus of {} have the same colour, {}. At {} a colour does not tell them apart",
            pair.device_name(),
            plus.value,
            pair.port_name()
        );
        Finding::new(words, "common-practice")
            .about(Subject::aspect(pair.device(), "colours"))
            .at(plus.place)
            .remedy("find + with a meter at its old port, and mark it before you unplug it. Note it under `colours`, such as \"RDBK\"")
    });
}

/// The supply is clamped wire by wire: what misleads is that the terminals used to be the other way round.
fn supply(pair: &PairFacts<'_>, judge: &mut Judge) {
    let first = |port: &Port| port.pins.iter().find_map(|pin| pole(pin.value));
    let (Some(old), Some(new)) = (pair.old_port().and_then(first), first(pair.port())) else {
        return;
    };
    let port = pair.port();
    let order = || {
        let pins: Vec<&str> = port.pins.iter().map(|pin| pin.value.word()).collect();
        pins.join(" ")
    };
    if old == new {
        judge.say(Verdict::Pass, || {
            let words = format!(
                "the terminals of {} follow as on the old board: {}",
                port.name,
                order()
            );
            Finding::new(words, "common-practice").at(port.place)
        });
        return;
    }
    let borne = pair
        .board
        .input
        .reverse_polarity
        .as_ref()
        .is_some_and(|borne| borne.value);
    let (verdict, harm) = if borne {
        (
            Verdict::Note,
            "the board bears reversed polarity, but does not run on it",
        )
    } else {
        (Verdict::Caution, "reversed polarity destroys the board")
    };
    judge.dealt(true).say(verdict, || {
        let words = format!(
            "the terminals of {} are in reversed order against the old board: {} from pin 1",
            port.name,
            order()
        );
        Finding::new(words, "common-practice")
            .at(port.place)
            .remedy(format!(
                "mark the + wire before it comes off, and clamp by the mark. Check + and − with a meter before power: {harm}"
            ))
            .handled_by(Handling::step("poles", &pair.device().tag.value))
    });
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Pole {
    Plus,
    Minus,
}

fn pole(pin: Pin) -> Option<Pole> {
    match pin {
        Pin::Plus | Pin::SwitchedPlus => Some(Pole::Plus),
        Pin::Minus | Pin::SwitchedMinus => Some(Pole::Minus),
        _ => None,
    }
}

/// A pole on the other pole, or a supply on a signal in either direction.
fn meets_wrongly(wire: Pin, pin: Pin) -> bool {
    if wire == Pin::Unused || pin == Pin::Unused {
        return false;
    }
    pole(wire) != pole(pin)
}
