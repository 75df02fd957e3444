//! What runs whenever the board has power, and what must now be told to run.

use model::FanDuty;
use model::board::PortKind;
use model::machine::Detail;

use crate::finding::{Finding, Verdict};
use crate::judge::Judge;
use crate::setup::Pair;

pub(crate) const ID: &str = "always-on";

/// A part fan that cannot be switched is refused. A fan that guards something and is now switched needs a setting before any heat.
pub(crate) fn check(pair: &Pair<'_>, judge: &mut Judge) {
    let permanent = match pair.port().kind {
        PortKind::Permanent => true,
        PortKind::Switched { .. } => false,
        _ => return,
    };
    let (device, port) = (pair.device_name(), pair.port_name());
    let place = pair.port().place;
    match (&pair.device().detail, permanent) {
        (Detail::Fan(fan), true) if fan.duty == FanDuty::Part => judge.say(Verdict::Blocker, || {
            let words = format!("{port} is always on, and {device} must be switched");
            Finding::new(words, "common-practice")
                .at(place)
                .remedy("use a switched output")
        }),
        (Detail::Fan(_), true) => judge.say(Verdict::Pass, || {
            let words = format!("{device} runs whenever the board has power ({port})");
            Finding::new(words, "common-practice").at(place)
        }),
        (Detail::Fan(fan), false) => {
            let (needs, setting) = match fan.duty {
                FanDuty::Part => return,
                FanDuty::HeatSink => {
                    let from = pair.limits().fan_switch_on_temperature.value;
                    (
                        "keeps the hot end from jamming",
                        format!("set it to run from {from} of the hot end, and prove that it does before any other heat"),
                    )
                }
                FanDuty::Board => (
                    "keeps the drivers cool",
                    "set it to run while motors or heaters are on".to_owned(),
                ),
                FanDuty::Case => ("airs the case", "set when it shall run".to_owned()),
            };
            judge.say(Verdict::Note, || {
                let words = format!("{port} is switched, and {device} {needs}: the controller must be told to run it");
                Finding::new(words, "common-practice").at(place).remedy(setting)
            });
        }
        (Detail::LightStrip(_), true) => judge.say(Verdict::Note, || {
            let words = format!("{device} is lit whenever the board has power ({port})");
            Finding::new(words, "common-practice")
                .at(place)
                .remedy("use a switched output where that disturbs")
        }),
        _ => {}
    }
}
