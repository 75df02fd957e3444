//! Thermometers: kind, table, pull-up and constant, and what would be read if the old ones were kept.

use catalogue::{Law, Thermometer as Kind};
use model::Circuit;
use model::board::{PortKind, ThermometerInput};
use model::machine::{Detail, Thermometer};
use physics::sensing::{self, RtCurve};
use physics::{Worked, named, try_work, work};
use plan::Pair;
use quantity::si::{ElectricalResistance, TemperatureInterval, ThermodynamicTemperature};
use quantity::{AnyValue, Digits, Number, Value, show, si};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, SettingValue};
use crate::thermometer::{self, ThermometerTable};
use model::Topic;

/// A connected thermometer with everything that is known of it.
pub(crate) struct Sensed<'a> {
    pub pair: Pair<'a>,
    pub detail: &'a Thermometer,
    pub input: &'a ThermometerInput,
    /// The heated part, or the tag where another thermometer has taken that name.
    pub of: String,
    kind: Option<&'a Kind>,
    curve: Option<RtCurve>,
}

/// The connected thermometers, each heated part once by its name.
pub(crate) fn sensed<'a>(job: &Job<'a>) -> Vec<Sensed<'a>> {
    let mut out: Vec<Sensed<'a>> = Vec::new();
    for pair in job.setup.pairs() {
        let (Detail::Thermometer(detail), PortKind::Thermometer(input)) =
            (&pair.device().detail, &pair.port().kind)
        else {
            continue;
        };
        let zone = detail.zone.word();
        let taken = out.iter().any(|earlier| earlier.of == zone);
        let kind = pair.swap.catalogue.thermometers().get(&detail.sensor.value);
        out.push(Sensed {
            of: if taken {
                pair.device().tag.value.clone()
            } else {
                zone.to_owned()
            },
            detail,
            input,
            kind,
            curve: kind.and_then(plan::curve),
            pair,
        });
    }
    out
}

/// The tables for the build.
pub(crate) fn tables(job: &Job<'_>) -> Vec<ThermometerTable> {
    let table = |sensed: Sensed<'_>| {
        let (kind, curve) = (sensed.kind?, sensed.curve.as_ref()?);
        let port = sensed.pair.port();
        let rows = thermometer::rows(kind, curve, sensed.input);
        let (between_rows, at_points) = thermometer::errors(kind, curve, sensed.input, &rows);
        Some(ThermometerTable {
            between_rows,
            at_points,
            tag: sensed.pair.device().tag.value.clone(),
            sensor: kind.name.clone(),
            port: port.name.value.clone(),
            pin: port.processor_pin.as_ref().map(|pin| pin.value.clone()),
            pull_up: Value::exact(sensed.input.pull_up.nominal()).into(),
            amplification: sensed.input.amplification.nominal().base(),
            bits: sensed.input.adc_bits.value,
            rows,
            source: kind.source.clone(),
            of: sensed.of,
        })
    };
    sensed(job).into_iter().filter_map(table).collect()
}

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for sensed in sensed(job) {
        kind(job, &sensed, list);
        pull_up(job, &sensed, list);
        constant(job, &sensed, list);
        if sensed.input.circuit.value == Circuit::Amplifier {
            let gain = SettingValue::Number(sensed.input.amplification.nominal().base());
            list.push(
                Draft::new(
                    Topic::ThermometerAmplification,
                    sensed.of.clone(),
                    Fate::New,
                    "The port amplifies before it converts; the table counts it in.",
                )
                .value(gain)
                .at(&sensed.pair),
            );
        }
    }
}

fn kind(job: &Job<'_>, sensed: &Sensed<'_>, list: &mut List<'_>) {
    let name = &sensed.detail.sensor.value;
    let draft =
        |topic, reason: String| Draft::new(topic, sensed.of.clone(), Fate::New, reason).at(&sensed.pair);
    let Some(kind) = sensed.kind else {
        list.push(
            draft(
                Topic::ThermometerKind,
                format!("The catalogue has no `{name}`: take its table from the maker of the thermometer, and read it at room temperature."),
            )
            .value(SettingValue::words(name.clone()))
            .caution(true),
        );
        return;
    };
    list.push(
        draft(
            Topic::ThermometerKind,
            if kind.kind_unknown {
                "Its kind is not known. The table below lies in the middle of what it may be: for heating to 100 °C only, until an independent thermometer has told the kind.".to_owned()
            } else {
                "Choose the table of this kind in the build, or take the one below.".to_owned()
            },
        )
        .value(SettingValue::words(kind.name.clone()))
        .caution(kind.kind_unknown),
    );
    let error = kept_error(job, sensed);
    let reason = match &error {
        Some(error) => {
            let low = error.value.nominal().base() < 0.0;
            let (size, side) = if low {
                (-error.value, "low")
            } else {
                (error.value, "high")
            };
            let at = Value::exact(working_temperature(sensed));
            format!(
                "Kept, it would nominally read {} too {side} at {at}.",
                show(&AnyValue::from(Value::exact(size.nominal())), Digits::new(3))
            )
        }
        None => {
            "It is computed from the curve of the thermometer and from the circuit of the port.".to_owned()
        }
    };
    let large = table_error_caution(job);
    let caution = error.as_ref().is_some_and(|error| widest(error.value) > large);
    list.push(
        draft(Topic::ThermometerTable, reason)
            .value(SettingValue::words("the table below"))
            .caution(caution)
            .working(error.map(|error| error.working)),
    );
}

/// The error of a reading from which it is worth a caution, in kelvin.
pub(crate) fn table_error_caution(job: &Job<'_>) -> f64 {
    let limits = job.setup.limits();
    limits.thermometer_table_error_caution.value.nominal().base()
}

fn widest(error: Value<TemperatureInterval>) -> f64 {
    error.low().base().abs().max(error.high().base().abs())
}

/// The temperature at which a thermometer matters most: what is asked of it, or what is usual for its part.
pub(crate) fn working_temperature(sensed: &Sensed<'_>) -> ThermodynamicTemperature {
    plan::thermometer_working(sensed.pair.swap, sensed.detail).nominal()
}

/// What the old controller believed: a two-point law and a pull-up.
pub(crate) struct Believed {
    pub curve: RtCurve,
    pub pull_up: ElectricalResistance,
}

pub(crate) fn believed(job: &Job<'_>, sensed: &Sensed<'_>) -> Option<Believed> {
    let reported = |topic| Some(job.reported(topic, &sensed.of)?.1.value);
    let resistance = reported(Topic::ThermometerResistance)?.typed::<ElectricalResistance>()?;
    let beta = reported(Topic::ThermometerConstant)?.typed::<TemperatureInterval>()?;
    let pull_up = reported(Topic::ThermometerPullUp)
        .and_then(AnyValue::typed::<ElectricalResistance>)
        .or_else(|| Some(old_input(sensed)?.pull_up.value))?;
    let positive =
        resistance.nominal().base() > 0.0 && beta.nominal().base() > 0.0 && pull_up.nominal().base() > 0.0;
    positive.then(|| Believed {
        curve: RtCurve::beta(resistance.nominal(), beta.nominal()),
        pull_up: pull_up.nominal(),
    })
}

/// The input of the old board that the thermometer was on.
pub(crate) fn old_input<'a>(sensed: &Sensed<'a>) -> Option<&'a ThermometerInput> {
    match &sensed.pair.old_port()?.kind {
        PortKind::Thermometer(input) => Some(input),
        _ => None,
    }
}

/// The error at the working temperature if constant and pull-up of the old controller were told to the new one.
fn kept_error(job: &Job<'_>, sensed: &Sensed<'_>) -> Option<Worked<TemperatureInterval>> {
    let (curve, believed) = (sensed.curve.as_ref()?, believed(job, sensed)?);
    if sensed.input.circuit.value == Circuit::Amplifier {
        return None;
    }
    let temperature = Value::exact(working_temperature(sensed));
    let inputs = (
        named("ϑ", "true temperature", temperature),
        named("Rₚ", "pull-up of the new port", sensed.input.pull_up.value),
        named(
            "Rₚₐ",
            "pull-up that the old controller believed in",
            Value::exact(believed.pull_up),
        ),
    );
    try_work(&sensing::READING_ERROR, "Δϑ", inputs, |(t, real, assumed)| {
        sensing::reading_error(curve, real, &believed.curve, assumed, t)
    })
    .ok()
}

/// The true temperature at which the old controller, with its law and its input, showed `shown`.
pub(crate) fn truly(
    job: &Job<'_>,
    sensed: &Sensed<'_>,
    shown: ThermodynamicTemperature,
) -> Option<ThermodynamicTemperature> {
    let (curve, believed) = (sensed.curve.as_ref()?, believed(job, sensed)?);
    let real = old_input(sensed)?.pull_up.nominal();
    let assumed = believed.curve.resistance(shown).ok()?;
    // The divider stood at one share, whatever was believed of its pull-up.
    curve
        .temperature(sensing::assumed_resistance(assumed, real, believed.pull_up))
        .ok()
}

fn pull_up(job: &Job<'_>, sensed: &Sensed<'_>, list: &mut List<'_>) {
    let new = sensed.input.pull_up.value;
    let old = job.old(Topic::ThermometerPullUp, &sensed.of).or_else(|| {
        let old = old_input(sensed)?;
        Some(job.written(&old.pull_up, SettingValue::exact(old.pull_up.nominal())))
    });
    let before = old
        .as_ref()
        .and_then(|old| old.value.any()?.typed::<ElectricalResistance>());
    let (fate, reason) = match before {
        None => (Fate::New, "The new port has it.".to_owned()),
        Some(before) if (before.nominal().base() / new.nominal().base() - 1.0).abs() < 1e-3 => {
            (Fate::Carried, "The new port has the same.".to_owned())
        }
        Some(before) => (
            Fate::Recomputed,
            format!(
                "The old port had {before}, the new one has {new}: the same thermometer gives another share of the reference."
            ),
        ),
    };
    list.push(
        Draft::new(Topic::ThermometerPullUp, sensed.of.clone(), fate, reason)
            .old(old)
            .value(SettingValue::exact(new.nominal()))
            .at(&sensed.pair),
    );
}

/// Resistance and constant for a controller that computes by the two-point law; a table is better.
fn constant(job: &Job<'_>, sensed: &Sensed<'_>, list: &mut List<'_>) {
    let (Some(kind), Some(curve)) = (sensed.kind, &sensed.curve) else {
        return;
    };
    let (Law::Thermistor { beta, .. }, Ok(at_25)) = (kind.law, curve.resistance(si::celsius(25.0))) else {
        return;
    };
    let at_25 = ElectricalResistance::from_base(at_25.base().round());
    let goal = working_temperature(sensed).smaller(curve.range().high());
    resistance_setting(job, sensed, at_25, list);
    let old = job.old(Topic::ThermometerConstant, &sensed.of);
    let (value, working) = match fitted(curve, goal) {
        Some(fitted) => (fitted.value.nominal(), Some(fitted.working)),
        None => (beta.nominal(), None),
    };
    let worst = worst_error(curve, at_25, value, goal);
    let mut reason = format!(
        "For a controller that knows only the two-point law: right at 25 °C and at {}, off by up to {} in between. A table is better.",
        Value::exact(goal),
        Value::exact(worst)
    );
    let before = old
        .as_ref()
        .and_then(|old| old.value.any())
        .map(|value| value.nominal);
    let differs = before.is_some_and(|before| (before - value.base()).abs() > 0.5);
    if let Some(before) = before.filter(|_| differs) {
        let label = (before - beta.nominal().base()).abs() < 0.5;
        let what = if label {
            "is that of the label, which holds for a narrower range"
        } else {
            "is neither that of the label nor that of the table: it was fitted to something else"
        };
        let shown = truly(job, sensed, goal).map(|truth| {
            format!(
                " When the old controller showed {}, the thermometer was at {}.",
                Value::exact(goal),
                Value::<ThermodynamicTemperature>::exact(truth)
            )
        });
        reason = format!(
            "The old value, {before:.0} K, {what}. {reason}{}",
            shown.unwrap_or_default()
        );
    }
    let limit = table_error_caution(job);
    let misread = kept_error(job, sensed).is_some_and(|error| widest(error.value) > limit);
    list.push(
        Draft::new(
            Topic::ThermometerConstant,
            sensed.of.clone(),
            match (&old, differs) {
                (None, _) => Fate::New,
                (Some(_), true) => Fate::Recomputed,
                (Some(_), false) => Fate::Carried,
            },
            reason,
        )
        .old(old)
        .value(SettingValue::exact(value))
        .caution(differs && misread)
        .working(working)
        .source("iec-60539-1")
        .at(&sensed.pair),
    );
}

fn resistance_setting(
    job: &Job<'_>,
    sensed: &Sensed<'_>,
    resistance: ElectricalResistance,
    list: &mut List<'_>,
) {
    let old = job.old(Topic::ThermometerResistance, &sensed.of);
    let before = old
        .as_ref()
        .and_then(|old| old.value.any())
        .map(|value| value.nominal);
    let same = before.is_some_and(|before| (before / resistance.base() - 1.0).abs() < 1e-3);
    let (fate, reason) = match before {
        None => (Fate::New, "As the catalogue states it for this kind."),
        Some(_) if same => (Fate::Carried, "The thermometer stays."),
        Some(_) => (
            Fate::Recomputed,
            "The catalogue states another one for this kind: is it the right kind?",
        ),
    };
    list.push(
        Draft::new(Topic::ThermometerResistance, sensed.of.clone(), fate, reason)
            .old(old)
            .value(SettingValue::exact(resistance))
            .caution(before.is_some() && !same)
            .at(&sensed.pair),
    );
}

/// The constant B between 25 °C and a temperature, with its working; whole kelvins, as controllers take it.
fn fitted(curve: &RtCurve, goal: ThermodynamicTemperature) -> Option<Worked<TemperatureInterval>> {
    let reference = si::celsius(25.0);
    // Between two temperatures that nearly are one, the slope is all rounding.
    if (goal.base() - reference.base()).abs() < 10.0 {
        return None;
    }
    let (cold, hot) = (curve.resistance(reference).ok()?, curve.resistance(goal).ok()?);
    let inputs = (
        named("R₁", "resistance at 25 °C", Value::exact(cold)),
        named("T₁", "25 °C", Value::exact(reference)),
        named("R₂", "resistance at the working temperature", Value::exact(hot)),
        named("T₂", "working temperature", Value::exact(goal)),
    );
    let worked = work(&sensing::BETA_BETWEEN, "B", inputs, |(r1, t1, r2, t2)| {
        sensing::beta_between(r1, t1, r2, t2)
    });
    let whole = worked
        .value
        .map(|beta| TemperatureInterval::from_base(beta.base().round()));
    Some(Worked {
        value: whole,
        working: worked.working,
    })
}

/// The largest error of the two-point law between 25 °C and a temperature, looked up every 5 K.
fn worst_error(
    curve: &RtCurve,
    at_25: ElectricalResistance,
    beta: TemperatureInterval,
    goal: ThermodynamicTemperature,
) -> TemperatureInterval {
    let law = RtCurve::beta(at_25, beta);
    let steps = ((goal.base() - si::celsius(25.0).base()) / 5.0).max(0.0).ceil();
    let mut worst = si::kelvin(0.0);
    let mut step = 0.0;
    while step <= steps {
        let temperature = si::celsius(25.0 + 5.0 * step).smaller(goal);
        let one = si::ohm(1.0);
        if let Ok(error) = sensing::reading_error(curve, one, &law, one, temperature) {
            worst = worst.larger(si::kelvin(error.base().abs()));
        }
        step += 1.0;
    }
    worst
}

/// Whether the loop of a heated part sees its thermometer otherwise than before: another circuit, or another law.
pub(crate) fn reads_otherwise(job: &Job<'_>, sensed: &Sensed<'_>) -> Option<String> {
    if sensed
        .pair
        .facts()
        .changes()
        .contains(&plan::changes::Change::ThermometerCircuit)
    {
        return Some("the circuit of the thermometer is another one".to_owned());
    }
    let limit = table_error_caution(job);
    let temperature = working_temperature(sensed);
    let truth = truly(job, sensed, temperature)?;
    let off = (truth.base() - temperature.base()).abs();
    (off > limit).then(|| "the old controller believed in another curve of the thermometer".to_owned())
}
