//! What runs whenever the board has power, and what must now be told to run.

use model::Cooled;
use model::board::PortKind;
use model::machine::Detail;

use crate::facts::PairFacts;
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "always-on";

/// A part fan that cannot be switched is refused. A fan that guards something and is now switched needs a setting before any heat.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let permanent = match pair.port().kind {
        PortKind::Permanent => true,
        PortKind::Switched { .. } => false,
        _ => return,
    };
    let (device, port, place) = (|| pair.device_name(), pair.port_name(), pair.port().place);
    match (&pair.device().detail, permanent) {
        (Detail::Fan(fan), true) if fan.cools == Cooled::Part => judge.say(Verdict::Blocker, || {
            let words = format!("{port} is always on, and {} must be switched", device());
            Finding::new(words, "common-practice")
                .at(place)
                .remedy("use a switched output")
        }),
        (Detail::Fan(_), true) => judge.say(Verdict::Pass, || {
            let words = format!("{} runs whenever the board has power ({port})", device());
            Finding::new(words, "common-practice").at(place)
        }),
        (Detail::Fan(fan), false) if fan.cools != Cooled::Part => judge.say(Verdict::Note, || {
            let (needs, setting) = told(pair, fan.cools);
            let words = format!(
                "{port} is switched, so the controller must run {}. It {needs}",
                device()
            );
            Finding::new(words, "common-practice").at(place).remedy(setting)
        }),
        // Lights that are addressed are dark until they are told.
        (Detail::LightStrip(strip), true) if strip.led_count.is_none() => judge.say(Verdict::Note, || {
            let words = format!("{} is lit whenever the board has power ({port})", device());
            Finding::new(words, "common-practice")
                .at(place)
                .remedy("use a switched output where that disturbs")
        }),
        _ => {}
    }
}

/// What a fan is for, and the setting that it needs where it is switched.
fn told(pair: &PairFacts<'_>, duty: Cooled) -> (&'static str, String) {
    match duty {
        Cooled::HeatSink => {
            let from = pair.limits().fan_switch_on_temperature.value;
            let setting =
                format!("set it to run from {from} of the hot end, and verify that before any other heat");
            ("keeps the hot end from jamming", setting)
        }
        Cooled::Board => (
            "keeps the drivers cool",
            "set it to run while motors or heaters are on".to_owned(),
        ),
        Cooled::Case | Cooled::Part => ("moves air", "set when it runs".to_owned()),
    }
}
