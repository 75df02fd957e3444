//! The control side of a relay at its port: polarity, pulses; and what must stand behind it.

use model::board::PortKind;
use model::machine::{Detail, Heater, Relay};
use model::{Pin, RelayKind};

use crate::facts::{PairFacts, heated_name};
use crate::rules::judging::{Finding, Judge, Stake, Verdict};

pub(crate) const ID: &str = "relay-drive";

/// Voltage and current of the control side are judged as those of any device (`device-voltage`, `port-current`).
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Detail::Heater(heater) = &pair.device().detail else {
        return;
    };
    let Some(relay) = &heater.relay else {
        return;
    };
    polarity(pair, relay, judge);
    pulses(pair, relay, judge);
    cut_out(pair, heater, judge);
}

/// The input of a solid-state relay is a diode: the other way round it never switches on, or is destroyed.
fn polarity(pair: &PairFacts<'_>, relay: &Relay, judge: &mut Judge) {
    let stated = pair.device().cable.pins.iter().any(|pin| pin.value == Pin::Plus);
    if relay.kind.value != RelayKind::SolidState || stated {
        return;
    }
    judge.say(Verdict::Caution, || {
        Finding::new(
            format!("the polarity of the control input of {} is not stated", pair.device_name()),
            "common-practice",
        )
        .at(pair.device().tag.place)
        .remedy("read + and − at the terminals of the relay and state them as `pins`. Check them with a meter before you connect it")
    });
}

/// Contacts wear with each operation: an electromechanical relay is never pulsed. A solid-state relay for AC follows whole half-waves.
fn pulses(pair: &PairFacts<'_>, relay: &Relay, judge: &mut Judge) {
    let PortKind::Switched { pwm, .. } = pair.port().kind else {
        return;
    };
    let (device, port) = (|| pair.device_name(), pair.port_name());
    // A port of which it is not known may pulse.
    match (relay.kind.value, pwm != Some(false)) {
        (RelayKind::Electromechanical, true) => judge.say(Verdict::Caution, || {
            Finding::new(
                format!("{} has contacts, and {port} {}: pulses weld or wear them within hours", device(), if pwm.is_some() { "can be pulsed" } else { "may be pulsed" }),
                "common-practice",
            )
            .at(relay.kind.place)
            .remedy(format!("set on-off control for {port} with at least 10 s between operations. Fit a solid-state relay where the heater needs PID control"))
        }),
        (RelayKind::Electromechanical, false) => judge.say(Verdict::Pass, || {
            Finding::new(format!("{} is on {port}, which only switches on and off", device()), "common-practice")
                .at(relay.kind.place)
        }),
        (RelayKind::SolidState, true) => judge.say(Verdict::Note, || {
            Finding::new(
                format!("{} follows whole half-waves of the mains: {port} must be pulsed slowly", device()),
                "common-practice",
            )
            .at(relay.kind.place)
            .remedy(format!("set the PWM frequency of {port} to 10 Hz or less"))
        }),
        (RelayKind::SolidState, false) => {}
    }
}

/// A relay that fails stays closed more often than open: its load needs a protection that no controller switches.
fn cut_out(pair: &PairFacts<'_>, heater: &Heater, judge: &mut Judge) {
    judge.at_stake(Stake::Safety);
    let verdict = if heater.cut_out.is_some() {
        Verdict::Pass
    } else {
        Verdict::Caution
    };
    judge.say(verdict, || match &heater.cut_out {
        Some(cut_out) => Finding::new(
            format!("a cut-out opens the heater of {} at {}", heated_name(pair.device()), cut_out.value),
            "common-practice",
        )
        .at(cut_out.place),
        None => Finding::new(
            format!("the heater of {} has no thermal cut-out of its own", heated_name(pair.device())),
            "common-practice",
        )
        .at(pair.device().tag.place)
        .remedy("have a thermal cut-out fitted on the heated part, in the circuit of the load, by a qualified person. State it as `cut_out`"),
    });
}
