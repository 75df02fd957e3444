//! Motor currents: what each driver is told so that its motors get the current that they shall run at.

use core::f64::consts::SQRT_2;

use model::board::{CurrentLaw, Driver};
use model::machine::{Detail, Motor};
use model::{Connection, CurrentDefinition};
use physics::{motion, named, work};
use plan::Pair;
use quantity::si::{ElectricCurrent, ElectricPotential};
use quantity::{Number, Value, si};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, SettingValue};
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for pair in job.setup.pairs() {
        let (Some(driver), Detail::Motor(motor)) = (pair.driver(), &pair.device().detail) else {
            continue;
        };
        if pair.way.second {
            continue;
        }
        let wanted = wanted(job, &pair, driver);
        match driver.law {
            CurrentLaw::Levels { levels } => list.push(level(job, &pair, motor, driver, levels, &wanted)),
            CurrentLaw::SenseResistor { .. } | CurrentLaw::PerAmpere { .. } => {
                list.push(reference(job, &pair, driver, &wanted));
            }
        }
    }
}

/// What the driver shall give, effective, with the words that say why.
#[derive(Clone)]
struct Wanted {
    current: Value<ElectricCurrent>,
    reason: String,
    caution: bool,
}

/// The run current of one motor, or of the two that share the driver, within what the driver can give.
fn wanted(job: &Job<'_>, pair: &Pair<'_>, driver: &Driver) -> Wanted {
    let port = pair.port();
    let currents: Vec<Value<ElectricCurrent>> = job
        .setup
        .pairs()
        .filter(|other| other.port().kind == port.kind)
        .filter_map(|other| match &other.device().detail {
            // More than its rating is never told: `motor-current` says so.
            Detail::Motor(motor) => Some(motor.told_current()),
            _ => None,
        })
        .collect();
    let hot = job.setup.pairs().any(|other| {
        other.port().kind == port.kind
            && matches!(&other.device().detail, Detail::Motor(motor) if motor.run_current.low() > motor.current.high())
    });
    let own = currents.first().copied().unwrap_or(Value::exact(si::ampere(0.0)));
    let (sum, mut reason) = match (currents.len(), driver.motor_connection) {
        (0 | 1, _) => (own, format!("The motor shall run at {own} effective.")),
        (count, Connection::Parallel) => (
            currents.iter().copied().sum(),
            format!(
                "{count} motors share the driver side by side, so that it gives the sum of their currents."
            ),
        ),
        (count, Connection::Series) => (
            own,
            format!(
                "{count} motors share the driver one after the other, so that each sees its whole current."
            ),
        ),
    };
    if hot {
        reason = format!("{reason} Its file asks for more than its rating, which is told instead.");
    }
    let range = driver.rms_range();
    let held = sum.nominal().larger(range.low()).smaller(range.high());
    let caution = held != sum.nominal();
    if caution {
        reason = format!("{reason} The driver gives {range} effective: it is set to the end of that.");
    }
    Wanted {
        current: if caution { Value::exact(held) } else { sum },
        reason,
        caution: caution || hot,
    }
}

/// Whose current it is: the axis for its first motor, which the word of a controller names; the tag for any further one.
fn part(job: &Job<'_>, pair: &Pair<'_>, motor: &Motor) -> String {
    let first = job.motors(motor.axis).find(|other| !other.way.second);
    if first.is_some_and(|first| first.id == pair.id) {
        job.setup.swap.machine.axis(motor.axis).name.value.clone()
    } else {
        pair.device().tag.value.clone()
    }
}

/// A driver on a bus: the nearest of its levels.
fn level(
    job: &Job<'_>,
    pair: &Pair<'_>,
    motor: &Motor,
    driver: &Driver,
    levels: u32,
    wanted: &Wanted,
) -> Draft {
    let largest = driver.current.high();
    let goal = match driver.current_definition {
        CurrentDefinition::Peak => wanted.current.nominal() * SQRT_2,
        CurrentDefinition::Rms => wanted.current.nominal(),
    };
    let step = (goal.base() / largest.base() * f64::from(levels))
        .round()
        .clamp(1.0, f64::from(levels));
    let inputs = (
        named("I₁", "current at the highest level", Value::exact(largest)),
        named("k", "level", Value::exact(si::ratio(step))),
        named(
            "n",
            "number of levels",
            Value::exact(si::ratio(f64::from(levels))),
        ),
    );
    let made = work(&motion::BUS_CURRENT, "I", inputs, |(i, k, n)| {
        motion::bus_current(i, k, n)
    });
    let (effective, peak) = match driver.current_definition {
        CurrentDefinition::Rms => (made.value.nominal(), None),
        CurrentDefinition::Peak => {
            let inputs = (named("Iₚ", "peak that the level gives", made.value),);
            let rms = work(&motion::RMS_OF_PEAK, "I", inputs, |(peak,)| {
                motion::rms_of_peak(peak)
            });
            (rms.value.nominal(), Some(rms.working))
        }
    };
    let of = part(job, pair, motor);
    let old = job.old(Topic::MotorCurrent, &of);
    let told_together = job.setup.swap.machine.tagged(&of) == Some(pair.id);
    let mut reason = format!("{} Level {step} of {levels} comes nearest.", wanted.reason);
    if told_together {
        reason.push_str(
            " A controller that is told the current of a whole axis sets it with that of the first motor.",
        );
    }
    let fate = match &old {
        None => Fate::New,
        Some(old)
            if old
                .value
                .any()
                .is_some_and(|value| near(value.nominal, effective.base())) =>
        {
            Fate::Carried
        }
        Some(_) => Fate::Recomputed,
    };
    Draft::new(Topic::MotorCurrent, of, fate, reason)
        .old(old)
        .value(SettingValue::exact(effective))
        .caution(wanted.caution)
        .working([made.working])
        .working(peak)
        .at(pair)
}

fn near(one: f64, other: f64) -> bool {
    (one / other - 1.0).abs() < 0.01
}

/// A driver with a trimmer: the voltage at its reference, and what current its tolerances make of that.
fn reference(job: &Job<'_>, pair: &Pair<'_>, driver: &Driver, wanted: &Wanted) -> Draft {
    let current = match driver.current_definition {
        CurrentDefinition::Peak => wanted.current.scale(SQRT_2),
        CurrentDefinition::Rms => wanted.current,
    };
    let meant = match driver.current_definition {
        CurrentDefinition::Peak => "peak of the run current",
        CurrentDefinition::Rms => "run current, effective",
    };
    let target = Value::exact(current.nominal());
    let (voltage, forward, backward) = match &driver.law {
        CurrentLaw::SenseResistor { gain, resistor, step } => {
            let (gain_exact, resistor_exact) =
                (Value::exact(gain.nominal()), Value::exact(resistor.nominal()));
            let inputs = (
                named("g", "gain of the driver", gain_exact),
                named("Rₛ", "sense resistor", resistor_exact),
                named("I", meant, target),
            );
            let forward = work(&motion::GAIN_REFERENCE, "Uᵣ", inputs, |(g, r, i)| {
                motion::gain_reference(g, r, i)
            });
            let set = settable(forward.value.nominal(), *step);
            let inputs = (
                named("Uᵣ", "reference voltage as set by hand", set),
                named("g", "gain of the driver", *gain),
                named("Rₛ", "sense resistor", *resistor),
            );
            let backward = work(&motion::GAIN_CURRENT, "I", inputs, |(u, g, r)| {
                motion::gain_current(u, g, r)
            });
            (set, forward.working, backward)
        }
        CurrentLaw::PerAmpere { reference, step } => {
            let scale = reference.map(|at_one_ampere| at_one_ampere / si::ampere(1.0));
            let inputs = (
                named("k", "reference voltage per ampere", Value::exact(scale.nominal())),
                named("I", meant, target),
            );
            let forward = work(&motion::SCALE_REFERENCE, "Uᵣ", inputs, |(k, i)| {
                motion::scale_reference(k, i)
            });
            let set = settable(forward.value.nominal(), *step);
            let inputs = (
                named("Uᵣ", "reference voltage as set by hand", set),
                named("k", "reference voltage per ampere", scale),
            );
            let backward = work(&motion::SCALE_CURRENT, "I", inputs, |(u, k)| {
                motion::scale_current(u, k)
            });
            (set, forward.working, backward)
        }
        CurrentLaw::Levels { .. } => unreachable!("a driver on a bus has no trimmer"),
    };
    let effective = match driver.current_definition {
        CurrentDefinition::Peak => backward.value.map(motion::rms_of_peak),
        CurrentDefinition::Rms => backward.value,
    };
    let reason = format!(
        "{} The law of the driver is meant as {}. With its tolerances and the step of the trimmer the motor gets {effective} effective.",
        wanted.reason,
        match driver.current_definition {
            CurrentDefinition::Peak => "peak",
            CurrentDefinition::Rms => "effective value",
        }
    );
    Draft::new(
        Topic::DriverReference,
        pair.device().tag.value.clone(),
        Fate::New,
        reason,
    )
    .old(job.old(Topic::MotorCurrent, &pair.device().tag.value))
    .value(SettingValue::Quantity(voltage.into()))
    .caution(wanted.caution)
    .working([forward, backward.working])
    .source(match driver.law {
        CurrentLaw::PerAmpere { .. } => "integrated-sense-driver-sheets",
        _ => "translator-driver-sheets",
    })
    .by_hand()
    .at(pair)
}

/// What a hand can set: the nearest multiple of the trimmer's step, off by half a step at the most.
fn settable(voltage: ElectricPotential, step: Value<ElectricPotential>) -> Value<ElectricPotential> {
    let step = step.nominal();
    if step.base() <= 0.0 {
        return Value::exact(voltage);
    }
    let nearest = step * (voltage.base() / step.base()).round().max(1.0);
    Value::between(nearest - step / 2.0, nearest, nearest + step / 2.0)
}
