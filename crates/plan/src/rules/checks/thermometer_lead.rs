//! What the lead adds to the reading of a platinum thermometer with two wires.

use physics::{electrics, named, work};
use quantity::si::TemperatureInterval;
use quantity::{Number, Value};

use crate::facts::{PairFacts, thermometry};
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "thermometer-lead";

/// A thermistor has so much resistance that its lead does not matter; of a platinum resistor it is some kelvin.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(at) = pair.thermometry() else { return };
    if !at.is_platinum() {
        return;
    }
    let cable = &pair.device().cable;
    let Some(gauge) = pair.swap.catalogue.wires().gauge(cable.wire.value) else {
        return;
    };
    let per_length = gauge.resistance;
    let (length, temperature) = (cable.length.value, pair.limits().lead_copper_temperature.value);
    let hot = at.hot.high();
    // Ohm for one kelvin at the working temperature.
    let slope = at.curve.slope(hot).base() * at.curve.resistance(hot).base();
    let resistance = |length, per_length, temperature| {
        electrics::lead_resistance(length, per_length, temperature).map_or(f64::NAN, Number::base)
    };
    let error = Value::corners(|end| {
        TemperatureInterval::from_base(
            resistance(length.at(end), per_length.at(end), temperature.at(end)) / slope,
        )
    });
    judge.at_most(
        error,
        pair.limits().thermometer_self_heating_caution.value,
        Verdict::Note,
        || {
            let inputs = (
                named("l", "length of the lead", length),
                named("R′", "resistance of its wire per length at 20 °C", per_length),
                named("ϑ", "temperature of its copper", temperature),
            );
            let worked = work(
                &electrics::LEAD_RESISTANCE,
                "R",
                inputs,
                |(length, per_length, temperature)| {
                    electrics::lead_resistance(length, per_length, temperature)
                        .unwrap_or(quantity::si::ohm(f64::NAN))
                },
            );
            let headline = format!(
                "the cable of {} makes it read up to {} too hot",
                pair.device_name(),
                thermometry::kelvin(error.high())
            );
            Finding::new(headline, "iec-60028")
                .at(cable.length.place)
                .working(worked.working)
                .remedy(
                    "subtract it in the settings, use thicker wire, or an amplifier with three or four wires",
                )
        },
    );
}
