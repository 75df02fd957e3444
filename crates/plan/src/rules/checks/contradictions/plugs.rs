//! Wires, colours and lengths of cables beside what is stated of them.

use model::machine::{Detail, Device};
use model::{Cooled, Pin, Swap, Zone};
use quantity::Number;

use crate::facts::{name_of, old_port};
use crate::rules::judging::{Judge, Stake, Subject, brief};

use crate::rules::checks::contradictions::saying::say;

/// Red is plus at direct current, and green and yellow is for protective earth alone: a wire of another use was noted wrongly or is dangerous.
/// Black may be a signal (IEC 60947-5-2), never plus.
pub(super) fn colours(device: &Device, judge: &mut Judge) {
    let cable = &device.cable;
    let wires = || cable.pins.iter().zip(&cable.colours);
    let coloured =
        |pin: Pin, code: &str| wires().any(|(own, colour)| own.value == pin && colour.value == code);
    let stated = |pin: Pin| wires().any(|(own, _)| own.value == pin);
    let plus = [Pin::Plus, Pin::SwitchedPlus]
        .into_iter()
        .find(|pin| stated(*pin));
    let red_plus = plus.is_some_and(|plus| coloured(plus, "RD"));
    let black_minus = [Pin::Minus, Pin::SwitchedMinus]
        .into_iter()
        .any(|pin| coloured(pin, "BK"));
    let about = || Subject::aspect(device, "colours");
    let earth = wires().find(|(_, colour)| colour.value == "GNYE");
    // Without a plus nothing is to be told by red: ends without polarity, coils.
    let red = wires().find(|(pin, colour)| {
        colour.value == "RD"
            && plus.is_some()
            && !red_plus
            && Some(pin.value) != plus
            && pin.value != Pin::Unused
    });
    let black = wires().find(|(pin, colour)| colour.value == "BK" && Some(pin.value) == plus && !black_minus);
    if let Some((pin, colour)) = earth {
        say(judge, about(), colour.place, || {
            format!(
                "the wire {} of {} is green and yellow, which is kept for protective earth",
                pin.value.word(),
                name_of(device)
            )
        });
    } else if let Some((pin, colour)) = red {
        say(judge, about(), colour.place, || {
            let pin = if matches!(pin.value, Pin::Minus | Pin::SwitchedMinus) {
                "minus"
            } else {
                pin.value.word()
            };
            format!(
                "the {pin} wire of {} is red, and its plus wire is not. Go by the meter, not by the colour",
                name_of(device)
            )
        });
    } else if let Some((_, colour)) = black {
        say(judge, about(), colour.place, || {
            format!(
                "the plus wire of {} is black, and its minus wire is not. Go by the meter, not by the colour",
                name_of(device)
            )
        });
    }
}

/// A wire that sends, at the pin of the old port that sends too: the line worked, so that one of both is named from the other side.
pub(super) fn serial(swap: &Swap, device: &Device, judge: &mut Judge) {
    let Some(port) = old_port(swap, device) else {
        return;
    };
    let wires = &device.cable.pins;
    if wires.len() != port.pins.len() {
        return;
    }
    let speaks = |pin: Pin| matches!(pin, Pin::Transmit | Pin::Receive);
    let met = wires
        .iter()
        .zip(&port.pins)
        .find(|(wire, pin)| speaks(wire.value) && wire.value == pin.value);
    let Some((wire, _)) = met else { return };
    say(judge, Subject::aspect(device, "serial line"), wire.place, || {
        let does = if wire.value == Pin::Transmit {
            "transmit"
        } else {
            "receive"
        };
        format!(
            "the wires of {} and its old port {} both {does} at one pin. Two outputs would be joined: each side is named by what it does itself",
            name_of(device),
            port.name
        )
    });
}

/// A cable of the hot end this part as long as, or as many times longer than, the others that go there is a slip.
const SHORT: f64 = 0.3;
const LONG: f64 = 4.0;

/// Cables that go to one place of the machine are about as long: to the hot end go those of its heater, sensor and fans.
pub(super) fn lengths(swap: &Swap, judge: &mut Judge) {
    let there = |device: &&Device| match &device.detail {
        Detail::Heater(heater) => heater.zone == Zone::HotEnd && heater.relay.is_none(),
        Detail::Thermometer(thermometer) => thermometer.zone == Zone::HotEnd,
        Detail::Fan(fan) => matches!(fan.cools, Cooled::Part | Cooled::HeatSink),
        _ => false,
    };
    let all: Vec<&Device> = swap.machine.devices.iter().filter(there).collect();
    let assumed = |device: &Device| {
        swap.assumed
            .iter()
            .any(|own| own.key == "length" && own.owner.first() == Some(&device.tag.value))
    };
    for device in &all {
        let own = device.cable.length;
        let mut others: Vec<&&Device> = all
            .iter()
            .filter(|other| other.tag.value != device.tag.value && !assumed(other))
            .collect();
        others.sort_by(|one, other| {
            let length = |device: &Device| device.cable.length.nominal().base();
            length(one).total_cmp(&length(other))
        });
        let (Some(least), Some(most)) = (others.first(), others.last()) else {
            continue;
        };
        let short = own.high().base() < SHORT * least.cable.length.low().base();
        let long = own.low().base() > LONG * most.cable.length.high().base();
        // Of two nobody knows which is wrong; both are named then.
        if others.len() < 2 && long || !(short || long) || assumed(device) {
            continue;
        }
        let other = if short { least } else { most };
        let stake = if matches!(device.detail, Detail::Fan(_)) {
            Stake::Hardware
        } else {
            Stake::Safety
        };
        judge.at_stake(stake);
        say(judge, Subject::aspect(device, "length"), own.place, || {
            format!(
                "the cable of {} is stated as {}, and that of {}, which goes to the hot end too, as {}",
                name_of(device),
                brief(own.nominal()),
                name_of(other),
                brief(other.cable.length.nominal())
            )
        });
        judge.at_stake(Stake::Hardware);
    }
}
