//! Two motors on one driver: what each of them gets.

use model::Connection;
use physics::{motion, named, work};
use quantity::Value;

use crate::facts::{PairFacts, axes, driving};
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "shared-driver";

/// Side by side they share the current by their windings; one after the other both get all of it.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    if !pair.way.second {
        return;
    }
    let (Some(motor), Some(driver)) = (axes::motor(&pair.device().detail), pair.driver()) else {
        return;
    };
    let (Some(first), Some(total)) = (driving::first_of(pair, motor.axis), pair.driver_current()) else {
        return;
    };
    let axis = &pair.swap.machine.axis(motor.axis).name;
    let joint = driving::joint(pair, driver);
    let (Connection::Parallel, Some(own), Some(other)) = (joint, motor.resistance, first.resistance) else {
        judge.at_most(total, motor.current.value, Verdict::Caution, || {
            let headline = format!(
                "{} hangs on the driver of {} in {joint} with the first motor of {axis}: {} for each",
                pair.device_name(),
                pair.port_name(),
                if joint == Connection::Series {
                    brief(total.nominal())
                } else {
                    "half of the current".to_owned()
                }
            );
            Finding::new(headline, "iec-80000-6")
                .at(driver.place)
                .remedy(unequal())
        });
        return;
    };
    // The motor with the smaller winding gets more.
    let share =
        |mine: quantity::si::ElectricalResistance, theirs| motion::current_share(total.high(), mine, theirs);
    let most = Value::between(
        share(own.high(), other.low()),
        motion::current_share(total.nominal(), own.nominal(), other.nominal()),
        share(own.low(), other.high()),
    );
    judge.at_most(most, motor.current.value, Verdict::Caution, || {
        let inputs = (
            named("I", "current that the driver gives, effective value", total),
            named("R₁", "winding of this motor", own.value),
            named("R₂", "winding of the first motor", other.value),
        );
        let worked = work(&motion::CURRENT_SHARE, "I₁", inputs, |(current, one, other)| {
            motion::current_share(current, one, other)
        });
        let headline = format!(
            "{} shares the driver of {} with the first motor of {axis}: of {} it gets {} to {}",
            pair.device_name(),
            pair.port_name(),
            brief(total.nominal()),
            brief(most.low()),
            brief(most.high())
        );
        Finding::new(headline, "iec-80000-6")
            .at(driver.place)
            .working(worked.working)
            .remedy(unequal())
    });
}

fn unequal() -> &'static str {
    "use two motors of one kind, lower the current, or give each its own driver; never pull one plug while the driver is on"
}
