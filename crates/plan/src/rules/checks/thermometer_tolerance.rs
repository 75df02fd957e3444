//! How far a reading may lie from the truth because of the tolerances of element and pull-up, with the right table.

use physics::{Worked, named, sensing, work};
use quantity::si::{ElectricalResistance, Ratio, TemperatureInterval, ThermodynamicTemperature};
use quantity::{Number, Value};

use crate::facts::{PairFacts, thermometry};
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "thermometer-tolerance";

/// Worth knowing before two boards are compared by their readings; nothing to refuse.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(at) = pair.thermometry() else { return };
    let unknown = at.row.kind_unknown;
    let verdict = if unknown { Verdict::Caution } else { Verdict::Note };
    judge.say(verdict, || {
        let hot = at.hot.high();
        let pull_up = thermometry::tolerated_pull_up(pair, at.input);
        let inputs = (
            named("ϑ", "temperature of the part", Value::exact(hot)),
            named("R", "thermometer there, with the tolerance of its kind", at.tolerated(hot)),
            named("Rₚₐ", "pull-up that the table assumes", Value::exact(pull_up.nominal())),
            named("Rₚ", "pull-up as it may be", pull_up),
        );
        let worked = work(&sensing::READING_ERROR, "Δϑ", inputs, |(hot, resistance, assumed, pull_up)| {
            let read = at
                .curve
                .temperature(sensing::assumed_resistance(resistance, assumed, pull_up));
            TemperatureInterval::from_base(read.base() - hot.base())
        });
        let apart = apart(at, hot, pull_up);
        let beside = apart.as_ref().map_or(TemperatureInterval::from_base(0.0), |apart| apart.value.high());
        let value = Value::between(
            worked.value.low() - beside,
            worked.value.nominal(),
            worked.value.high() + beside,
        );
        let most = value.high().abs().larger(value.low().abs());
        let (device, hot_words, within) =
            (pair.device_name(), Value::exact(hot), thermometry::kelvin(most));
        let headline = if unknown {
            format!(
                "the sensor type of {device} is not stated: its reading at {hot_words} may be {within} off. Circuit, wiring and room temperature are judged"
            )
        } else {
            format!(
                "{device} at {} reads within {within} at {hot_words} with the correct table{}",
                pair.port_name(),
                if apart.is_some() {
                    format!(". Of that, {} comes from separate supplies of pull-up and converter", thermometry::kelvin(beside))
                } else {
                    String::new()
                }
            )
        };
        let mut finding = Finding::new(headline, at_source(at))
            .at(at.input.pull_up.place)
            .working(worked.working)
            .remedy(if unknown {
                "set nothing above 100 °C before an independent thermometer has shown its type. Then state that type in the machine's file"
            } else {
                "compare it with a trusted thermometer where the exact temperature matters, and write the difference down"
            });
        if let Some(apart) = apart {
            finding = finding.working(apart.working);
        }
        finding.value = Some(value.into());
        finding
    });
}

/// What it makes where pull-up and converter have a supply each, at the corner where these lie furthest apart; `None` where they share it.
fn apart(
    at: &thermometry::Thermometry<'_>,
    hot: ThermodynamicTemperature,
    pull_up: Value<ElectricalResistance>,
) -> Option<Worked<TemperatureInterval>> {
    let (supply, reference) = (at.input.pull_up_supply?.value, at.input.reference.value);
    let most = Value::corners(|end| supply.at(end) / reference.at(end.other()));
    let off = Ratio::from_base((most.high().base() - 1.0).max(1.0 - most.low().base()));
    let inputs = (
        named("e", "how far both supplies may lie apart", Value::exact(off)),
        named("R", "thermometer there", Value::exact(at.curve.resistance(hot))),
        named("Rₚ", "pull-up", pull_up),
        named(
            "α",
            "relative slope of the thermometer",
            Value::exact(at.curve.slope(hot)),
        ),
    );
    Some(work(
        &sensing::REFERENCE_ERROR,
        "Δϑ",
        inputs,
        |(off, resistance, pull_up, slope)| sensing::reference_error(off, resistance, pull_up, slope),
    ))
}

fn at_source(at: &thermometry::Thermometry<'_>) -> &'static str {
    if at.is_platinum() {
        "iec-60751"
    } else {
        "iec-60539-1"
    }
}
