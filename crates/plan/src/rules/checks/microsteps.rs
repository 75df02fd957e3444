//! The microsteps that an axis gets on its driver.

use physics::{motion, named, work};
use quantity::{Value, si};

use crate::facts::{PairFacts, axes};
use crate::rules::judging::{Finding, Handling, Judge, Verdict, brief};

pub(crate) const ID: &str = "microsteps";

/// Coarser than wanted is a caution: the axis gets louder and its steps per length change.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (Some(motor), Some(driver)) = (axes::motor(&pair.device().detail), pair.driver()) else {
        return;
    };
    let axis = pair.swap.machine.axis(motor.axis);
    let (wanted, gets) = (axes::wanted_microsteps(axis), axes::microsteps(axis, driver));
    let old = axis.old_microsteps.map(|old| old.value);
    let verdict = if gets < wanted {
        Verdict::Caution
    } else if old.is_some_and(|old| old != gets) || gets != wanted {
        Verdict::Note
    } else {
        Verdict::Pass
    };
    judge.dealt(gets >= wanted).say(verdict, || {
        let headline = match old {
            Some(old) if old != gets => format!(
                "{} goes from {old} microsteps to {gets} at {}{}",
                pair.device_name(),
                pair.port_name(),
                if gets == wanted { String::new() } else { format!("; {wanted} are wanted") }
            ),
            _ if gets != wanted => format!("{} gets {gets} microsteps at {}, {wanted} are wanted", pair.device_name(), pair.port_name()),
            _ => format!("{} has {gets} microsteps at {}, as wanted", pair.device_name(), pair.port_name()),
        };
        let place = driver.fixed_microsteps.as_ref().unwrap_or(&driver.max_microsteps).place;
        let finding = Finding::new(headline, "common-practice").at(place).remedy(
            "set the microsteps, and with them the steps per length of this axis. The check `steps-per-mm` gives the number",
        );
        let finding = if gets < wanted {
            // That it is coarser than wanted no setting mends.
            finding
        } else {
            finding
                .handled_by(Handling::setting("microsteps", &axis.name.value))
                .handled_by(Handling::setting("steps-per-length", &axis.name.value))
        };
        match motor.holding_torque {
            Some(holding) => {
                let inputs = (
                    named("Mₕ", "holding torque", holding.value),
                    named("n", "microsteps", Value::exact(si::ratio(f64::from(gets)))),
                );
                let worked = work(&motion::MICROSTEP_TORQUE, "M", inputs, |(holding, microsteps)| {
                    motion::microstep_torque(holding, microsteps)
                });
                let adds = brief(worked.value.nominal());
                let mut finding = finding.working(worked.working);
                if gets > 32 {
                    finding.headline += &format!(". Each adds {adds}, and a load above that stops it");
                }
                finding
            }
            None => finding,
        }
    });
}
