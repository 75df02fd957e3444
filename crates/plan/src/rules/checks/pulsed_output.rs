//! Whether what wants to be pulsed sits on an output that can be.

use model::board::PortKind;
use model::machine::Detail;
use model::{Cooled, Side, Zone};

use crate::facts::PairFacts;
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "pulsed-output";

/// A part fan and a hot end want to be set finely; all others do with on and off.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let PortKind::Switched { pwm, side, .. } = pair.port().kind else {
        return;
    };
    let (wants, without) = match &pair.device().detail {
        Detail::Fan(fan) if fan.cools == Cooled::Part => {
            ("a speed that can be set", "runs at full speed or stands")
        }
        Detail::Heater(heater) if heater.zone == Zone::HotEnd => (
            "its power set finely",
            "is switched on and off, and its temperature swings",
        ),
        _ => return,
    };
    let (device, port) = (|| pair.device_name(), pair.port_name());
    // Behind a converter the port still pulses the minus of a fan; the plus it cannot reach.
    if pair.way.own_supply && side == Side::High {
        judge.say(Verdict::Caution, || {
            let words = format!("{port} switches plus, and the plus of {} comes from a converter: it can only switch the converter", device());
            Finding::new(words, "common-practice")
                .at(pair.port().place)
                .remedy("use an output that switches minus, or a fan for the voltage of the rail")
        });
        return;
    }
    let Some(pulsed) = pwm else {
        judge.say(Verdict::Note, || {
            let words = format!(
                "whether {} gets {wants} is open. The board's file does not say whether {port} is PWM-capable",
                device()
            );
            Finding::new(words, "own-statement")
                .at(pair.port().place)
                .remedy("look it up in the board's manual, and state `pwm` for this port")
        });
        return;
    };
    if pulsed {
        judge.say(Verdict::Pass, || {
            Finding::new(
                format!("{} needs {wants}, and {port} is PWM-capable", device()),
                "common-practice",
            )
            .at(pair.port().place)
        });
        return;
    }
    judge.say(Verdict::Caution, || {
        let words = format!(
            "{} needs {wants}, but {port} is not PWM-capable. It {without}",
            device()
        );
        Finding::new(words, "common-practice")
            .at(pair.port().place)
            .remedy("use a PWM-capable output")
    });
}
