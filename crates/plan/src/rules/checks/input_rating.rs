//! What stands on a signal pin against what the pin bears, in both directions.

use model::Pin;
use model::board::PortKind;
use model::machine::Detail;
use quantity::si::ElectricPotential;
use quantity::{Value, si};

use crate::facts::harness::Part;
use crate::facts::{PairFacts, signals};
use crate::rules::judging::{Finding, Judge, Side, Verdict};

pub(crate) const ID: &str = "input-rating";

/// A voltage above what the pin bears is mended by a divider or an optocoupler; contacts and open collectors put none on it.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    into_board(pair, judge);
    into_device(pair, judge);
}

fn into_board(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (level, bears) = match (pair.device().detail.share(), &pair.port().kind) {
        (
            Detail::Panel(panel),
            PortKind::Line {
                max_input_voltage: bears,
                ..
            },
        ) if signals::has_wire(pair, Pin::Transmit) => {
            let Some(level) = panel.level else { return };
            (level.value, bears)
        }
        (_, kind) => {
            let (Some(sensor), Some(input)) = (pair.device().signal(), signals::input(kind)) else {
                return;
            };
            let Some(sent) = signals::sent(pair, sensor, input) else {
                return;
            };
            if sent.by_pull_up && sensor.level.is_none() {
                judge.say(Verdict::Pass, || no_voltage(pair));
                return;
            }
            (sent.high, &input.max_input_voltage)
        }
    };
    let most = allowed(pair, bears.value);
    if level.high() <= most.low() {
        judge.at_most(level, most, Verdict::Blocker, || {
            let headline = format!(
                "{} puts {} on the signal pin of {}, which withstands {}",
                pair.device_name(),
                Value::exact(level.high()),
                pair.port_name(),
                bears
            );
            Finding::new(headline, "processor-data-sheets").at(bears.place)
        });
        return;
    }
    // Two resistors make a clean level of 5 V; what comes from 12 V or 24 V is better kept apart.
    let part = if level.high() <= si::volt(6.0) {
        "signal divider"
    } else {
        "optocoupler input"
    };
    judge.mended(Part::one(part), || {
        let headline = format!(
            "{} puts {} on the signal pin of {}, which withstands only {}",
            pair.device_name(),
            Value::exact(level.high()),
            pair.port_name(),
            bears
        );
        Finding::new(headline, "processor-data-sheets")
            .at(bears.place)
            .against(level, Side::AtMost, most)
            .remedy(format!(
                "put the {part} into the signal wire, and measure at the open plug first. Never plug it in without"
            ))
    });
}

fn into_device(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (level, bears, wire) = match (pair.device().detail.share(), &pair.port().kind) {
        (Detail::BedProbe(sensor), PortKind::Probe { level, .. }) => {
            (level, sensor.max_input_voltage.or(sensor.voltage), Pin::Control)
        }
        (Detail::Panel(panel), PortKind::Line { level, .. }) => (
            level,
            panel.max_input_voltage.or(Some(panel.voltage)),
            Pin::Receive,
        ),
        (Detail::LightStrip(strip), PortKind::LightData { level, .. }) => {
            (level, Some(strip.voltage), Pin::Data)
        }
        _ => return,
    };
    let Some(bears) = bears.filter(|_| signals::has_wire(pair, wire)) else {
        return;
    };
    let most = allowed(pair, bears.value);
    // Lights and the line that tells them mostly hang on one rail: only what no tolerance makes up counts.
    let lights = matches!(pair.device().detail.share(), Detail::LightStrip(_));
    let beyond = if lights {
        level.low() > most.high()
    } else {
        level.high() > most.low()
    };
    // A pass would only repeat what the check of the levels says.
    if beyond {
        judge.mended(Part::one("signal divider"), || {
            let headline = format!(
                "{} sends {} to {}, whose input withstands only {}",
                pair.port_name(),
                Value::exact(level.high()),
                pair.device_name(),
                Value::exact(bears.nominal())
            );
            Finding::new(headline, "processor-data-sheets")
                .at(bears.place)
                .against(level.value, Side::AtMost, most)
                .remedy(format!(
                    "put a signal divider into the `{wire}` wire before the first power-up"
                ))
        });
    }
}

/// What a pin is said to bear is the supply that it is made for; inputs bear some tenths of a volt more.
fn allowed(pair: &PairFacts<'_>, bears: Value<ElectricPotential>) -> Value<ElectricPotential> {
    bears + Value::exact(signals::above_bearing(pair))
}

fn no_voltage(pair: &PairFacts<'_>) -> Finding {
    let headline = format!(
        "{} puts no voltage of its own on {}: it only joins the pin to ground",
        pair.device_name(),
        pair.port_name()
    );
    Finding::new(headline, "common-practice")
}
