//! Whether each wire that the device needs has a pin at the port, and which contacts must change places.

use catalogue::WorkKind;
use model::Pin;
use model::machine::{Detail, Device};

use crate::facts::PairFacts;
use crate::facts::harness::{self, Part, PinMap, permutation};
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "pin-order";

/// A needed wire without a pin refuses the way; contacts that change places are work, not a fault.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (device, port) = (pair.device(), pair.port());
    let pins = harness::pin_map(&device.detail, &device.cable, port, pair.way.own_supply);
    let wire = |at: usize| device.cable.pins[at].value;
    let elsewhere = |at: usize| doubled(pair, at) || harness::goes_to_converter(pair, wire(at));
    let lacks = |at: &usize| !elsewhere(*at);
    let needed = pins
        .missing()
        .find(|at| lacks(at) && is_needed(device, wire(*at)));
    if let Some(at) = needed {
        judge.say(Verdict::Blocker, || {
            let words = format!(
                "{} needs its wire {} ({}), and {} has no pin for it",
                pair.device_name(),
                at + 1,
                wire(at),
                port.name
            );
            Finding::new(words, "common-practice")
                .at(device.cable.pins[at].place)
                .remedy(format!("use a port with a pin for `{}`", wire(at)))
        });
        return;
    }
    if let Some(at) = pins.missing().find(|at| lacks(at) && wire(*at) != Pin::Unused) {
        judge.say(Verdict::Note, || {
            let words = format!(
                "wire {} ({}) of {} finds no pin at {} and stays out. The device works without it",
                at + 1,
                wire(at),
                pair.device_name(),
                port.name
            );
            Finding::new(words, "common-practice")
                .at(device.cable.pins[at].place)
                .remedy("insulate the end and tie it back")
        });
    }
    if pins.straight {
        judge.say(Verdict::Pass, || {
            let words = format!(
                "each wire of {} meets its pin at {}",
                pair.device_name(),
                port.name
            );
            Finding::new(words, "common-practice").at(port.place)
        });
        return;
    }
    let same_size = device.cable.pins.len() == port.pins.len();
    let keeps_plug = matches!(
        pair.work(),
        Some(WorkKind::PlugOver | WorkKind::PlugLoose | WorkKind::Adaptor)
    ) && same_size;
    let connectors = pair.swap.catalogue.connectors();
    let movable = connectors
        .get(&device.cable.connector.value)
        .is_none_or(|family| family.removable);
    let keeps_plug = keeps_plug && !pair.way.own_supply;
    if keeps_plug && !movable && pair.work() != Some(WorkKind::Adaptor) {
        judge.mended(Part::one("connector adaptor"), || {
            let words = format!(
                "the contacts of {} would have to move for {}, and cannot be moved in a {}",
                pair.device_name(),
                port.name,
                device.cable.connector
            );
            Finding::new(words, "common-practice")
                .at(port.place)
                .remedy("make or buy an adaptor that crosses the wires")
        });
        return;
    }
    judge.say(Verdict::Note, || {
        let words = if keeps_plug {
            let order = permutation(pair, pair.job());
            format!(
                "contacts of {} change places before it goes on {}: {order}",
                pair.device_name(),
                port.name
            )
        } else {
            format!(
                "{} is re-terminated for {}. Wires to pins: {}",
                pair.device_name(),
                port.name,
                places(pair, &pins)
            )
        };
        Finding::new(words, "common-practice")
            .at(port.place)
            .remedy("check each wire with a meter against the wiring table before power")
    });
}

/// "1 (+)→2 (+), 2 (-)→its converter".
fn places(pair: &PairFacts<'_>, pins: &PinMap) -> String {
    let wires = pair.device().cable.pins.iter().zip(&pins.pin_of_wire).enumerate();
    let words: Vec<String> = wires
        .filter(|(_, (wire, _))| wire.value != Pin::Unused)
        .map(|(at, (wire, pin))| {
            let target = match pin {
                Some(pin) => format!("{} ({})", pin + 1, pair.port().pins[*pin].value),
                None if harness::goes_to_converter(pair, wire.value) => "its converter".to_owned(),
                None => "no pin".to_owned(),
            };
            format!("{} ({})→{target}", at + 1, wire.value)
        })
        .collect();
    words.join(", ")
}

/// A second wire of a pole shares the pin of the first, as two wires under one clamp do.
fn doubled(pair: &PairFacts<'_>, at: usize) -> bool {
    let wires = &pair.device().cable.pins;
    let pole = matches!(wires[at].value, Pin::Plus | Pin::Minus);
    pole && wires[..at].iter().any(|other| other.value == wires[at].value)
}

/// Whether a device does not work without a wire of that function.
fn is_needed(device: &Device, wire: Pin) -> bool {
    match (&device.detail, wire) {
        (_, Pin::Unused) => false,
        // The third and fourth wire of a fan tell or set its speed; without them it runs at full speed.
        (Detail::Fan(_), Pin::Signal | Pin::Control) => false,
        _ => true,
    }
}
