//! Two motors on one driver: what each of them gets.

use model::Connection;
use physics::{motion, named, work};

use crate::facts::{PairFacts, axes, driving};
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "shared-driver";

/// Side by side they share the current by their coils; one after the other both get all of it. Each motor is judged by its own rating.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (Some(motor), Some(driver)) = (axes::motor(&pair.device().detail), pair.driver()) else {
        return;
    };
    let (Some(other), Some(total)) = (driving::other(pair), pair.driver_current()) else {
        return;
    };
    let joint = driving::joint(pair, driver);
    let limits = pair.limits();
    let gets = driving::gets(limits, motor, Some((other, joint)), total);
    let coils = driving::coils(limits, motor, other);
    let words = || {
        let assumed = if pair.has_second_socket() && !driver.connection_stated {
            " (assumed, not stated)"
        } else {
            ""
        };
        let how = format!("in {joint}{assumed}");
        let headline = match (joint, coils) {
            (Connection::Series, _) => format!(
                "{} and a second motor share the driver of {} {how}. Both get its {}, and {} is rated for {}",
                pair.device_name(),
                pair.port_name(),
                brief(total.nominal()),
                pair.device().tag,
                brief(motor.current.nominal())
            ),
            (Connection::Parallel, Some(_)) => format!(
                "{} and a second motor share the driver of {} {how}. Of {} it gets {} to {}",
                pair.device_name(),
                pair.port_name(),
                brief(total.nominal()),
                brief(gets.low()),
                brief(gets.high())
            ),
            (Connection::Parallel, None) => format!(
                "{} and a second motor share the driver of {} {how}. Each gets half of {} if both coils have the same resistance",
                pair.device_name(),
                pair.port_name(),
                brief(total.nominal())
            ),
        };
        let finding = Finding::new(headline, "iec-80000-6").at(driver.place);
        let finding = match (joint, coils) {
            (Connection::Parallel, Some((own, other))) => {
                let inputs = (
                    named("I", "current that the driver gives, effective value", total),
                    named("R₁", "one coil of this motor", own),
                    named("R₂", "one coil of the other", other),
                );
                let worked = work(&motion::CURRENT_SHARE, "I₁", inputs, |(current, one, other)| {
                    motion::current_share(current, one, other)
                });
                finding.working(worked.working)
            }
            (Connection::Parallel, None) => finding,
            (Connection::Series, _) => {
                let inputs = (
                    named("I₁", "run current of this motor", motor.told_current()),
                    named("I₂", "run current of the other", other.told_current()),
                );
                let worked = work(&motion::SERIES_CURRENT, "I", inputs, |(one, other)| {
                    motion::series_current(one, other)
                });
                finding.working(worked.working)
            }
        };
        finding.remedy(match joint {
            Connection::Parallel if coils.is_none() => {
                "measure one coil of each motor with a meter and state `resistance`. The motor with less takes more. Never pull one plug while the driver is on"
            }
            Connection::Parallel => {
                "use two motors of one kind, lower the current, or give each its own driver. Never pull one plug while the driver is on"
            }
            Connection::Series => {
                "set at most the rating of the weaker motor, use two motors of one kind, or give each its own driver. Never pull one plug while the driver is on"
            }
        })
    };
    let rated = motor.current.value;
    if joint == Connection::Parallel && coils.is_none() && gets.high() <= rated.low() {
        // How unlike they are is not known.
        judge.say(Verdict::Note, words);
    } else {
        judge.at_most(gets, rated, Verdict::Caution, words);
    }
}
