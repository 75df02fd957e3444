//! What the driver is set to for the run current, and how finely it can be set.

use model::board::CurrentLaw;
use model::{CurrentDefinition, board::Driver};
use physics::{Working, motion, named, work};
use quantity::si::{ElectricCurrent, ElectricalResistance};
use quantity::{Number, Value, si};

use crate::facts::{PairFacts, drivers};
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "current-step";

/// A setting that jumps by much is lived with; the number to set stands in the headline.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (Some(driver), Some(wanted)) = (pair.driver(), pair.driver_current()) else {
        return;
    };
    // A driver that does not give the current at all is the business of another check.
    let range = driver.rms_range();
    let wanted = wanted.nominal().smaller(range.high()).larger(range.low());
    let current = drivers::as_stated(driver, Value::exact(wanted)).nominal();
    let step = step(driver);
    let share = Value::corners(|end| step.at(end) / current);
    // A step that is felt at most is worth knowing; one that takes the current far from what was meant is not.
    let (felt, coarse) = (
        pair.limits().motor_current_step_caution.value,
        pair.limits().motor_current_step_coarse.value,
    );
    let (bound, broken) = if share.high() > coarse.low() {
        (coarse, Verdict::Caution)
    } else {
        (felt, Verdict::Note)
    };
    judge.at_most(share, bound, broken, || {
        let (setting, working) = setting(driver, current);
        let headline = format!(
            "set the driver of {} to {setting} for {}{}. One step is {:.1} % of it",
            pair.port_name(),
            brief(wanted),
            if pair.way.second { " (both motors)" } else { " (rms)" },
            share.nominal().base() * 100.0
        );
        Finding::new(headline, driver_source(driver))
            .at(driver.current.place)
            .working(working)
            .remedy("set the step below, and run the axis fast for ten minutes. Go one up only where it loses steps")
    });
}

fn driver_source(driver: &Driver) -> &'static str {
    match driver.law {
        CurrentLaw::SenseResistor { .. } => "translator-driver-sheets",
        CurrentLaw::PerAmpere { .. } => "integrated-sense-driver-sheets",
        CurrentLaw::Levels { .. } => "common-practice",
    }
}

/// The smallest change of the current, as the driver states currents.
fn step(driver: &Driver) -> Value<ElectricCurrent> {
    match driver.law {
        CurrentLaw::SenseResistor { gain, resistor, step } => step / (gain * resistor),
        CurrentLaw::PerAmpere { reference, step } => step / (reference / Value::exact(si::ampere(1.0))),
        CurrentLaw::Levels { levels } => Value::exact(driver.current.high() / f64::from(levels)),
    }
}

/// What the driver is told for a current that is meant as it states currents, and how that comes about.
fn setting(driver: &Driver, current: ElectricCurrent) -> (String, Working) {
    let what = match driver.current_definition {
        CurrentDefinition::Peak => "run current, peak of one phase",
        CurrentDefinition::Rms => "run current, effective value",
    };
    let current = Value::exact(current);
    match driver.law {
        CurrentLaw::SenseResistor { gain, resistor, .. } => {
            let inputs = (
                named("g", "gain of the driver", gain),
                named("Rₛ", "sense resistor of the board", resistor),
                named("I", what, current),
            );
            let worked = work(
                &motion::GAIN_REFERENCE,
                "Uᵣ",
                inputs,
                |(gain, sense, current)| motion::gain_reference(gain, sense, current),
            );
            (
                format!("a reference of {}", volts(worked.value.nominal())),
                worked.working,
            )
        }
        CurrentLaw::PerAmpere { reference, .. } => {
            let scale = reference.map(|reference| ElectricalResistance::from_base(reference.base()));
            let inputs = (
                named("k", "volt for one ampere", scale),
                named("I", what, current),
            );
            let worked = work(&motion::SCALE_REFERENCE, "Uᵣ", inputs, |(scale, current)| {
                motion::scale_reference(scale, current)
            });
            (
                format!("a reference of {}", volts(worked.value.nominal())),
                worked.working,
            )
        }
        CurrentLaw::Levels { levels } => {
            let full = driver.current.high();
            let level = (current.nominal() / full).base() * f64::from(levels);
            let level = level.round().max(1.0);
            let inputs = (
                named("I₁", "highest current of the driver", Value::exact(full)),
                named("k", "level", Value::exact(si::ratio(level))),
                named(
                    "n",
                    "number of levels",
                    Value::exact(si::ratio(f64::from(levels))),
                ),
            );
            let worked = work(&motion::BUS_CURRENT, "I", inputs, |(full, level, levels)| {
                motion::bus_current(full, level, levels)
            });
            (format!("level {level} of {levels}"), worked.working)
        }
    }
}

fn volts(reference: si::ElectricPotential) -> String {
    format!("{:.3} V", reference.base())
}
