//! How much a single reading of a thermometer jumps, from the noise of its input and the steps of the converter.

use physics::{named, sensing, work};
use quantity::si::{ElectricPotential, TemperatureInterval, ThermodynamicTemperature};
use quantity::{Number, Value};

use crate::facts::PairFacts;
use crate::facts::thermometry::{self, Thermometry, input_of, kelvin};
use crate::rules::checks::thermometer_resolution::{old_step, working};
use crate::rules::judging::{Finding, Judge, Verdict};
use model::board::ThermometerInput;

pub(crate) const ID: &str = "thermometer-noise";

/// Noise averages out: whatever it is, it is a note.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(at) = pair.thermometry() else { return };
    let hot = at.hot.high();
    let value = noise(pair, at.input, at.kelvin_per_step(at.input, hot));
    let before = old_step(pair, at, hot)
        .zip(pair.old_port().and_then(input_of))
        .map(|(step, input)| noise(pair, input, step));
    let limit = pair.limits().thermometer_resolution_caution.value;
    judge.at_most(value, limit, Verdict::Note, || words(pair, at, hot, before));
}

/// Noise in volt with that of the steps, at a reference.
fn volts_at(
    own: ElectricPotential,
    input: &ThermometerInput,
    reference: ElectricPotential,
) -> ElectricPotential {
    // The noise is stated at the converter, so its step there counts, before the amplification is taken off.
    let step = thermometry::converter_step(input, reference);
    sensing::noise_sum(own, sensing::quantisation_noise(step))
}

fn own(pair: &PairFacts<'_>, input: &ThermometerInput) -> Value<ElectricPotential> {
    let stated = input.noise.map(|noise| noise.value);
    stated.unwrap_or(pair.limits().thermometer_converter_noise.value)
}

/// Noise in volt with that of the steps.
fn volts(pair: &PairFacts<'_>, input: &ThermometerInput) -> Value<ElectricPotential> {
    own(pair, input).map(|own| volts_at(own, input, input.reference.nominal()))
}

/// A low reference makes the steps of the converter small against its noise.
fn noise(
    pair: &PairFacts<'_>,
    input: &ThermometerInput,
    kelvin_per_step: Value<TemperatureInterval>,
) -> Value<TemperatureInterval> {
    let (own, reference) = (own(pair, input), input.reference.value);
    Value::corners(|end| {
        let reference = reference.at(end.other());
        let step = thermometry::converter_step(input, reference);
        sensing::noise_in_kelvin(
            kelvin_per_step.at(end),
            volts_at(own.at(end), input, reference),
            step,
        )
    })
}

fn words(
    pair: &PairFacts<'_>,
    at: &Thermometry<'_>,
    hot: ThermodynamicTemperature,
    before: Option<Value<TemperatureInterval>>,
) -> Finding {
    let step = thermometry::step(at.input) * at.input.amplification.nominal().base();
    let inputs = (
        named("δϑ", "kelvin for one step", at.kelvin_per_step(at.input, hot)),
        named("Uₙ", "noise of the input and of its steps", volts(pair, at.input)),
        named("U₁", "step of the converter", Value::exact(step)),
    );
    let worked = work(
        &sensing::NOISE_IN_KELVIN,
        "σ",
        inputs,
        |(kelvin, noise, step)| sensing::noise_in_kelvin(kelvin, noise, step),
    );
    let headline = format!(
        "{} at {} has a reading noise of {} rms at {}{}{}",
        pair.device_name(),
        pair.port_name(),
        kelvin(worked.value.high()),
        Value::exact(hot),
        before.map_or_else(String::new, |before| format!(
            ". On the old board it was {}",
            kelvin(before.nominal())
        )),
        if at.input.noise.is_some() {
            ""
        } else {
            ". The board's file states no noise, so a usual one is assumed"
        }
    );
    Finding::new(headline, "common-practice")
        .at(at.input.noise.map_or(at.input.adc_bits.place, |noise| noise.place))
        .working(working(at, at.input, hot))
        .working(worked.working)
        .remedy("let the controller average: 16 readings leave a quarter of it. Keep the cable away from motor and heater cables")
}
