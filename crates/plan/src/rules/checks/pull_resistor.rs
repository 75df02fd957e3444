//! Whether the pull-up of an input suits what is on it: contacts want some current, long leads a strong pull, transistors a weak one.

use model::{Output, Pull};
use physics::{electrics, named, work};
use quantity::Value;

use crate::facts::{PairFacts, signals};
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "pull-resistor";

/// A contact needs its wetting current; an open collector must not be asked to sink too much; neither must float in the noise.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (Some(sensor), Some(input)) = (pair.device().signal(), signals::input(&pair.port().kind)) else {
        return;
    };
    let Some(resistor) = input.pull_resistor.filter(|_| input.pull.value == Pull::Up) else {
        return;
    };
    let limits = pair.limits();
    match sensor.output.value {
        Output::PushPull | Output::Pnp => {}
        Output::OpenCollector if resistor.low() < limits.logic_pullup_strong.value.high() => {
            judge.at_least(
                resistor.value,
                limits.logic_pullup_strong.value,
                Verdict::Caution,
                || {
                    let headline = format!(
                        "the pull-up of {} ({}) makes {} sink {}",
                        pair.port_name(),
                        resistor,
                        pair.device_name(),
                        Value::exact((pair.board.processor.logic.value / resistor.value).high())
                    );
                    Finding::new(headline, "common-practice")
                        .at(resistor.place)
                        .remedy(
                            "look up what the sensor can sink. Where it is less, measure the low level first",
                        )
                },
            );
        }
        Output::OpenCollector => {
            judge.at_most(
                resistor.value,
                limits.logic_pullup_weak.value,
                Verdict::Caution,
                || {
                    let headline = format!(
                        "the pull-up of {} is {} for {}",
                        pair.port_name(),
                        resistor,
                        pair.device_name()
                    );
                    weak(Finding::new(headline, "common-practice").at(resistor.place))
                },
            );
        }
        Output::NormallyClosed | Output::NormallyOpen => {
            let logic = pair.board.processor.logic.value;
            judge.at_least(
                logic / resistor.value,
                limits.endstop_wetting_current.value,
                Verdict::Caution,
                || {
                    let inputs = (
                        named("U", "logic level of the board", logic),
                        named("R", "pull-up", resistor.value),
                    );
                    let current = work(&electrics::RESISTIVE_CURRENT, "I", inputs, |(u, r)| {
                        electrics::resistive_current(u, r)
                    });
                    let headline = format!(
                        "{} gives the contact of {} a current of {} through {}",
                        pair.port_name(),
                        pair.device_name(),
                        Value::exact(current.value.low()),
                        Value::exact(resistor.nominal())
                    );
                    let finding = Finding::new(headline, "common-practice").at(resistor.place);
                    weak(finding.working(current.working))
                },
            );
        }
    }
}

fn weak(finding: Finding) -> Finding {
    finding.remedy("add a resistor of 10 kΩ from `signal` to the logic supply at the plug. Contacts stay clean, and interference is less")
}
