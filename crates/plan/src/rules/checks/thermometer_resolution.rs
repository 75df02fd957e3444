//! How many kelvin one code of the converter is at the working temperature, where the control must live with it.

use model::board::ThermometerInput;
use physics::{named, sensing, work_sampled};
use quantity::si::{TemperatureInterval, ThermodynamicTemperature};
use quantity::{Number, Value};

use crate::facts::PairFacts;
use crate::facts::harness::Part;
use crate::facts::thermometry::{self, Thermometry, input_of, kelvin};
use crate::rules::judging::{Finding, Judge, Side, Verdict};

pub(crate) const ID: &str = "thermometer-resolution";

/// Too coarse refuses a thermistor and asks for an amplifier for a platinum resistor, unless the old board read no finer.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(at) = pair.thermometry() else { return };
    let (cold, hot) = (at.cold.low(), at.hot.high());
    let (value_cold, value_hot) = (
        at.kelvin_per_step(at.input, cold),
        at.kelvin_per_step(at.input, hot),
    );
    let value = value_hot;
    let before = old_step(pair, at, hot);
    let no_finer_before = before.is_some_and(|before| before.nominal() >= value.nominal());
    let (caution, blocker) = (
        pair.limits().thermometer_resolution_caution.value,
        pair.limits().thermometer_resolution_blocker.value,
    );
    let words = || words(pair, at, (cold, value_cold), (hot, value_hot), before);
    let verdict = match (value.high() > blocker.low(), no_finer_before) {
        (true, false) if at.is_platinum() => {
            judge.mended(Part::one("thermometer amplifier"), || {
                words()
                    .against(value, Side::AtMost, blocker)
                    .remedy("put a thermometer amplifier between element and board. The plain divider hardly moves for a platinum resistor")
            });
            return;
        }
        (true, false) => Verdict::Blocker,
        (true, true) => Verdict::Caution,
        (false, true) => Verdict::Note,
        (false, false) => Verdict::Caution,
    };
    let limit = if verdict == Verdict::Blocker {
        blocker
    } else {
        caution
    };
    judge.at_most(value, limit, verdict, || {
        words().remedy(match verdict {
            Verdict::Blocker => "use an input with more bits, or with a pull-up that suits this element better",
            Verdict::Note => "tune the controller anew. The reading was no finer before",
            _ => "tune the controller with little derivative gain, or use an input with more bits or a pull-up that suits better",
        })
    });
}

/// The step of the input on the old board.
pub(crate) fn old_step(
    pair: &PairFacts<'_>,
    at: &Thermometry<'_>,
    temperature: ThermodynamicTemperature,
) -> Option<Value<TemperatureInterval>> {
    let old = input_of(pair.old_port()?)?;
    Some(at.kelvin_per_step(old, temperature))
}

type Step = (ThermodynamicTemperature, Value<TemperatureInterval>);

fn words(
    pair: &PairFacts<'_>,
    at: &Thermometry<'_>,
    (cold, value_cold): Step,
    (hot, value_hot): Step,
    before: Option<Value<TemperatureInterval>>,
) -> Finding {
    let headline = format!(
        "{} reads {} in steps of {} at {} and {} at {}{}",
        pair.port_name(),
        pair.device_name(),
        kelvin(value_hot.high()),
        Value::exact(hot),
        kelvin(value_cold.high()),
        Value::exact(cold),
        before.map_or_else(String::new, |before| format!(
            ". On the old board it was {} at {}",
            kelvin(before.nominal()),
            Value::exact(hot)
        ))
    );
    Finding::new(headline, "common-practice")
        .at(at.input.adc_bits.place)
        .working(working(at, at.input, hot))
        .working(working(at, at.input, cold))
}

/// The working of one step; what the amplifier makes larger makes the step smaller.
pub(crate) fn working(
    at: &Thermometry<'_>,
    input: &ThermometerInput,
    temperature: ThermodynamicTemperature,
) -> physics::Working {
    let step = thermometry::step(input);
    let what = if input.amplification.nominal().base() == 1.0 {
        format!("step of the converter, {} bits", input.adc_bits)
    } else {
        format!(
            "step of the converter, {} bits, over the amplification of {}",
            input.adc_bits,
            input.amplification.nominal().base()
        )
    };
    let inputs = (
        named("U₁", what, Value::exact(step)),
        named(
            "U₀",
            "supply of the pull-up",
            Value::exact(input.reference.nominal()),
        ),
        named(
            "R",
            format!("thermometer at {}", Value::exact(temperature)),
            Value::exact(at.curve.resistance(temperature)),
        ),
        named("Rₚ", "pull-up", input.pull_up.value),
        named(
            "α",
            "relative slope there",
            Value::exact(at.curve.slope(temperature)),
        ),
    );
    let worked = work_sampled(
        &sensing::KELVIN_PER_STEP,
        "δϑ",
        inputs,
        5,
        |(step, supply, r, rp, slope)| sensing::kelvin_per_step(step, supply, r, rp, slope),
    );
    worked.working
}
