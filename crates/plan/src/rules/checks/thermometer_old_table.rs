//! What a thermometer would read if the old table and pull-up were kept in the settings.

use physics::{named, sensing, work};
use quantity::si::{TemperatureInterval, ThermodynamicTemperature};
use quantity::{Number, Value};

use crate::facts::PairFacts;
use crate::facts::thermometry::{self, Thermometry, input_of, kelvin};
use crate::rules::judging::{Finding, Handling, Judge, Verdict};
use model::board::ThermometerInput;
use model::machine::{Detail, UNKNOWN_PORT};

pub(crate) const ID: &str = "thermometer-old-table";

/// The setting can always be changed, so it is a caution; a reading that is too cold overheats the part and is said so.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(at) = pair.thermometry() else { return };
    let unread = |headline: String| set_anew(pair, at, Finding::new(headline, "common-practice"));
    let Some(old) = pair.old_port().and_then(input_of) else {
        judge.dealt(true).say(Verdict::Caution, || {
            let open = match &pair.device().cable.old_port {
                None => "its `old_port` is not stated".to_owned(),
                Some(port) if port.value == UNKNOWN_PORT => "which port it had is not known".to_owned(),
                Some(port) => format!("the input of its old port {port} is not described"),
            };
            unread(format!(
                "how far off the old table {} would read at {} is open: {open}",
                pair.device_name(),
                pair.port_name()
            ))
        });
        return;
    };
    let hot = at.hot.high();
    let Some(error) = error(pair, at, old, hot) else {
        judge.dealt(true).say(Verdict::Caution, || {
            unread(format!(
                "with the old table {} at {} has no reading: it is beyond the end of that table",
                pair.device_name(),
                pair.port_name()
            ))
        });
        return;
    };
    let most = Value::between(
        smaller_size(error),
        size(error.nominal()),
        size(error.low()).larger(size(error.high())),
    );
    let limits = pair.limits();
    judge.dealt(true).at_most(
        most,
        limits.thermometer_table_error_caution.value,
        Verdict::Caution,
        || {
            let kept = most.high() <= limits.thermometer_table_error_caution.value.low();
            let worst = if size(error.low()) > size(error.high()) {
                error.low()
            } else {
                error.high()
            };
            let side = if worst.base() < 0.0 { "cold" } else { "hot" };
            let headline = if kept {
                format!(
                    "the old table for {} holds at {} too. It reads {} within {} at {}",
                    at.row.name,
                    pair.port_name(),
                    pair.device_name(),
                    kelvin(most.high()),
                    Value::exact(hot)
                )
            } else {
                format!(
                    "with the old table {} at {} reads up to {} too {side} at {}{}",
                    pair.device_name(),
                    pair.port_name(),
                    kelvin(size(worst)),
                    Value::exact(hot),
                    comes_to(pair, at, old, hot)
                )
            };
            let finding = Finding::new(headline, "common-practice");
            set_anew(pair, at, with_working(pair, finding, at, old, hot))
        },
    );
}

/// A finding that the settings deal with: they tell the controller sensor and pull-up anew.
fn set_anew(pair: &PairFacts<'_>, at: &Thermometry<'_>, finding: Finding) -> Finding {
    let of = told_as(pair);
    finding
        .at(at.input.pull_up.place)
        .remedy(remedy(pair, at))
        .handled_by(Handling::setting("thermometer-kind", &of))
        .handled_by(Handling::setting("thermometer-pull-up", &of))
        .handled_by(Handling::step("ambient", &pair.device().tag.value))
}

/// Where the part ends up when it is told the working temperature with the old table; for plain dividers.
fn comes_to(
    pair: &PairFacts<'_>,
    at: &Thermometry<'_>,
    old: &ThermometerInput,
    hot: ThermodynamicTemperature,
) -> String {
    if at.input.amplification.nominal() != old.amplification.nominal() {
        return String::new();
    }
    let seen = sensing::assumed_resistance(
        at.curve.resistance(hot),
        at.input.pull_up.nominal(),
        old.pull_up.nominal(),
    );
    let comes = at.curve.temperature(seen);
    if (comes.base() - hot.base()).abs() < 0.5 {
        return String::new();
    }
    let far = TemperatureInterval::from_base(comes.base() - hot.base())
        > pair.limits().thermometer_table_error_blocker.value.low();
    format!(
        ". At a setpoint of {} the part would reach about {:.0} °C{}",
        Value::exact(hot),
        comes.base() - 273.15,
        if far { ", far too hot for it" } else { "" }
    )
}

fn size(error: TemperatureInterval) -> TemperatureInterval {
    error.abs()
}

/// The smallest size inside an error's interval.
fn smaller_size(error: Value<TemperatureInterval>) -> TemperatureInterval {
    if error.contains(TemperatureInterval::from_base(0.0)) {
        return TemperatureInterval::from_base(0.0);
    }
    size(error.low()).smaller(size(error.high()))
}

/// Reading less truth at the worst corners of the new pull-up.
fn error(
    pair: &PairFacts<'_>,
    at: &Thermometry<'_>,
    old: &ThermometerInput,
    hot: ThermodynamicTemperature,
) -> Option<Value<TemperatureInterval>> {
    let pull_up = thermometry::tolerated_pull_up(pair, at.input);
    let gain = at.input.amplification;
    let read = |pull_up, gain| {
        let read = at.read_as(old, pull_up, gain, hot)?;
        Some(off(read, hot))
    };
    Some(Value::between(
        read(pull_up.low(), gain.high())?,
        read(pull_up.nominal(), gain.nominal())?,
        read(pull_up.high(), gain.low())?,
    ))
}

/// How far a reading is off; what the way there and back through the curve leaves by rounding is no error.
fn off(read: ThermodynamicTemperature, truth: ThermodynamicTemperature) -> TemperatureInterval {
    TemperatureInterval::from_base(((read.base() - truth.base()) * 1e9).round() / 1e9)
}

/// Whose settings those of a thermometer are: its zone's, or its own where another thermometer has the zone.
fn told_as(pair: &PairFacts<'_>) -> String {
    let Detail::Thermometer(own) = &pair.device().detail else {
        return String::new();
    };
    let first =
        pair.swap.machine.device_ids().find(
            |(_, device)| matches!(&device.detail, Detail::Thermometer(other) if other.zone == own.zone),
        );
    if first.is_some_and(|(id, _)| id == pair.id) {
        own.zone.word().to_owned()
    } else {
        pair.device().tag.value.clone()
    }
}

fn remedy(pair: &PairFacts<'_>, at: &Thermometry<'_>) -> String {
    format!(
        "set the table of {} for {} and a pull-up of {}. Compare its reading with the room before any heat",
        pair.device().tag,
        at.row.name,
        Value::exact(at.input.pull_up.nominal())
    )
}

fn with_working(
    pair: &PairFacts<'_>,
    finding: Finding,
    at: &Thermometry<'_>,
    old: &ThermometerInput,
    hot: ThermodynamicTemperature,
) -> Finding {
    // With an amplifier on one side the short form of the law does not hold.
    if at.input.amplification.nominal() != old.amplification.nominal() {
        return finding;
    }
    let inputs = (
        named("ϑ", "temperature of the part", Value::exact(hot)),
        named("R", "thermometer there", Value::exact(at.curve.resistance(hot))),
        named(
            "Rₚₐ",
            "pull-up that the old table assumes",
            Value::exact(old.pull_up.nominal()),
        ),
        named(
            "Rₚ",
            "pull-up of the new input",
            thermometry::tolerated_pull_up(pair, at.input),
        ),
    );
    let worked = work(
        &sensing::READING_ERROR,
        "Δϑ",
        inputs,
        |(hot, resistance, assumed, pull_up)| {
            let read = at
                .curve
                .temperature(sensing::assumed_resistance(resistance, assumed, pull_up));
            off(read, hot)
        },
    );
    finding.working(worked.working)
}
