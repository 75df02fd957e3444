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
    let (level, bears) = match (&pair.device().detail, &pair.port().kind) {
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
        (detail, kind) => {
            let (Some(sensor), Some(input)) = (signals::sensor(detail), signals::input(kind)) else {
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
                "{} puts {} on the signal pin of {}, which bears {}",
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
            "{} puts {} on the signal pin of {}, which bears only {}",
            pair.device_name(),
            Value::exact(level.high()),
            pair.port_name(),
            bears
        );
        Finding::new(headline, "processor-data-sheets")
            .at(bears.place)
            .against(level, Side::AtMost, most)
            .remedy(format!(
                "never plug it in bare; put the {part} into the signal wire, and measure at the open plug first"
            ))
    });
}

fn into_device(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (level, bears, wire) = match (&pair.device().detail, &pair.port().kind) {
        (Detail::BedProbe(sensor), PortKind::Probe { level, .. }) => {
            (level, sensor.max_input_voltage.or(sensor.voltage), Pin::Control)
        }
        (Detail::Panel(panel), PortKind::Line { level, .. }) => (
            level,
            panel.max_input_voltage.or(Some(panel.voltage)),
            Pin::Receive,
        ),
        _ => return,
    };
    let Some(bears) = bears.filter(|_| signals::has_wire(pair, wire)) else {
        return;
    };
    let most = allowed(pair, bears.value);
    // A pass would only repeat what the check of the levels says.
    if level.high() > most.low() {
        judge.mended(Part::one("signal divider"), || {
            let headline = format!(
                "{} sends {} to {}, whose input bears only {}",
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
