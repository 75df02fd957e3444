//! Which level means "met" at the new input, and whether the setting of the old board still says so.

use model::machine::{Detail, Sensor};
use model::{Output, Pull};

use crate::facts::{PairFacts, signals};
use crate::rules::judging::{Finding, Handling, Judge, Verdict};

pub(crate) const ID: &str = "active-level";

/// A sense that turns round is a setting to change; a new sensor has its sense to be set for the first time.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (Some(sensor), Some(input)) = (pair.device().signal(), signals::input(&pair.port().kind)) else {
        return;
    };
    // Pulses of a tachometer stop nothing, and have no level at rest.
    if matches!(pair.device().detail.share(), Detail::Tachometer(_)) {
        return;
    }
    let now = at_rest(sensor, input.pull.value);
    let Some(old) = pair.old_port() else {
        judge.say(Verdict::Note, || {
            let headline = match now {
                Some(level) => format!(
                    "{} is new at {}: it reads {level} at rest and {} when operated",
                    pair.device_name(),
                    pair.port_name(),
                    other(level)
                ),
                None => format!(
                    "{} is new at {}. Its level at rest is open: see its data sheet, or the first test",
                    pair.device_name(),
                    pair.port_name()
                ),
            };
            at(headline, sensor).remedy(
                "set its active level, and watch its state while you press it by hand, before anything moves",
            )
        });
        return;
    };
    let before = signals::input(&old.kind).and_then(|input| at_rest(sensor, input.pull.value));
    let turned = matches!((before, now), (Some(before), Some(now)) if before != now);
    judge.say(if turned { Verdict::Note } else { Verdict::Pass }, || {
        if let Some(level) = now.filter(|_| turned) {
            let headline = format!(
                "{} reads {level} at rest at {}. On the old board it was {}",
                pair.device_name(),
                pair.port_name(),
                other(level)
            );
            let tag = &pair.device().tag.value;
            let family = match pair.device().detail.share() {
                Detail::BedProbe(_) => "probe",
                _ => "switch",
            };
            return at(headline, sensor)
                .remedy("invert the setting of this input, then press the switch by hand and watch its state")
                .handled_by(Handling::setting("switch-sense", tag))
                .handled_by(Handling::step(family, tag));
        }
        let headline = format!(
            "{} keeps its active level at {}{}",
            pair.device_name(),
            pair.port_name(),
            now.map_or_else(String::new, |level| format!(": {level} at rest"))
        );
        at(headline, sensor)
    });
}

fn at(headline: String, sensor: &Sensor) -> Finding {
    Finding::new(headline, "common-practice").at(sensor.output.place)
}

/// The level of a contact that is not met; `None` for sensors, whose rest only their data sheet knows.
fn at_rest(sensor: &Sensor, pull: Pull) -> Option<&'static str> {
    let closed = match sensor.output.value {
        Output::NormallyClosed => true,
        Output::NormallyOpen => false,
        Output::OpenCollector | Output::Pnp | Output::PushPull => return None,
    };
    // Against a pull-down the contact goes to the supply pin; where there is no pull the plan adds a pull-up.
    let closed_reads_high = pull == Pull::Down;
    Some(if closed == closed_reads_high {
        "high"
    } else {
        "low"
    })
}

fn other(level: &str) -> &'static str {
    if level == "high" { "low" } else { "high" }
}
