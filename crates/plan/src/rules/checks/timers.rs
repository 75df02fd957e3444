//! Loads that share a timer of the processor, and with it the frequency of their pulses.

use model::board::PortKind;
use model::machine::{Detail, Relay};
use model::{Cooled, Pin, RelayKind};

use crate::facts::{PairFacts, WholeFacts};
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

pub(crate) const ID: &str = "timers";

/// What kind of pulses a load asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Pulses {
    /// Heaters: slow ones suffice, fast ones warm the switch.
    Slow,
    /// Part fans: fast enough to be smooth, or beyond hearing.
    Fast,
    /// Pulse inputs of probes: 20 ms apart, each about a millisecond long.
    Probe,
    /// Data of lights: a bit in 1.25 µs.
    Data,
}

impl Pulses {
    /// Whether they are too fast to be made without a timer.
    fn need_timer(self) -> bool {
        matches!(self, Pulses::Fast | Pulses::Data)
    }
    /// What is asked for, in words.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Pulses::Slow => "slow pulses",
            Pulses::Fast => "pulses fast enough to run smoothly",
            Pulses::Probe => "a pulse every 20 ms",
            Pulses::Data => "bits of 1.25 µs",
        }
    }
}

/// One finding for each timer whose loads ask for different pulses.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let timed = || {
        facts.pairs().filter_map(|pair| {
            let timer = pair.port().timer.as_ref()?;
            Some((timer.value.as_str(), pulses(pair)?, pair))
        })
    };
    let mut clash = false;
    let mut seen: Vec<&str> = Vec::new();
    for (timer, kind, first) in timed() {
        if seen.contains(&timer) {
            continue;
        }
        seen.push(timer);
        if !timed().any(|(other, other_kind, _)| other == timer && other_kind != kind) {
            continue;
        }
        clash = true;
        judge.say(Verdict::Caution, || {
            let loads: Vec<String> = timed()
                .filter(|(other, _, _)| *other == timer)
                .map(|(_, kind, pair)| {
                    format!(
                        "{1} ({0}) needs {2}",
                        pair.device_name(),
                        pair.port_name(),
                        kind.words()
                    )
                })
                .collect();
            let place = first
                .port()
                .timer
                .as_ref()
                .map_or(first.port().place, |timer| timer.place);
            Finding::new(
                format!(
                    "the timer {timer} drives loads that need different pulses. {}",
                    loads.join(". ")
                ),
                "common-practice",
            )
            .about(Subject::named(timer))
            .at(place)
            .remedy(remedy(
                timed()
                    .filter(|(other, _, _)| *other == timer)
                    .map(|(_, kind, _)| kind),
            ))
        });
    }
    // What can be pulsed without a timer shares none.
    let untold = || {
        facts
            .pairs()
            .filter(|pair| pair.port().timer.is_none() && pulses(pair).is_some_and(Pulses::need_timer))
    };
    if let Some(first) = untold().next() {
        // Where a board's file tells no timer at all, the shares of its outputs were never described.
        let told = facts.board.ports.iter().any(|port| port.timer.is_some());
        let verdict = if told { Verdict::Caution } else { Verdict::Note };
        judge.say(verdict, || {
            let names: Vec<String> = untold()
                .map(|pair| format!("{} ({})", pair.port_name(), pair.device().tag.value))
                .collect();
            Finding::new(
                format!(
                    "the timer of {} is not stated. Whether loads share one and need different pulses is open",
                    names.join(", ")
                ),
                "common-practice",
            )
            .about(Subject::named("unstated"))
            .at(first.port().place)
            .asking()
            .remedy("look up the timers of these pins in the table of the processor and state `timer`")
        });
    } else if !clash {
        judge.say(Verdict::Pass, || {
            Finding::new(
                "loads that share a timer need the same kind of pulses",
                "common-practice",
            )
        });
    }
}

fn remedy(kinds: impl Iterator<Item = Pulses>) -> &'static str {
    match kinds.max() {
        Some(Pulses::Probe | Pulses::Data) => {
            "move all but one to ports of another timer, or switch them on and off only. One sets the timer for all"
        }
        _ => {
            "pulse the heaters without the timer, or set one frequency that suits both (some 100 Hz). Listen to the fan"
        }
    }
}

/// The pulses that a device asks of its port; `None` where it asks for none.
pub(crate) fn pulses(pair: &PairFacts<'_>) -> Option<Pulses> {
    match (pair.device().detail.share(), &pair.port().kind) {
        (Detail::Heater(heater), PortKind::Switched { pwm: Some(true), .. }) => {
            let contacts = |relay: &Relay| relay.kind.value == RelayKind::Electromechanical;
            (!heater.relay.as_ref().is_some_and(contacts)).then_some(Pulses::Slow)
        }
        (Detail::Fan(fan), PortKind::Switched { pwm: Some(true), .. }) if fan.cools == Cooled::Part => {
            Some(Pulses::Fast)
        }
        (Detail::BedProbe(_), PortKind::Probe { .. }) => {
            let wires = &pair.device().cable.pins;
            wires
                .iter()
                .any(|wire| wire.value == Pin::Control)
                .then_some(Pulses::Probe)
        }
        (Detail::LightStrip(_), PortKind::LightData { .. }) => Some(Pulses::Data),
        _ => None,
    }
}
