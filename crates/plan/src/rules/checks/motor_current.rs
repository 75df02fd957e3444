//! The current that a motor shall run at against what its driver gives, and against what the motor is rated for.

use physics::{named, work};
use quantity::{Number, Value, si};

use model::CurrentDefinition;
use model::machine::Motor;
use physics::motion;

use crate::facts::{PairFacts, axes, driving};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "motor-current";

/// A driver that gives too little costs torque: a caution, and a blocker where so little is left that steps are lost.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let (Some(motor), Some(driver), Some(needed)) = (
        axes::motor(&pair.device().detail),
        pair.driver(),
        pair.driver_current(),
    ) else {
        return;
    };
    let (range, rated, limits) = (driver.rms_range(), motor.current.value, pair.limits());
    let least_share = limits.motor_current_share_low.value.high();
    // Of the driver no more than the rating is asked (`told_current`); too weak a driver hides no hot motor.
    let hot = motor.run_current.high() > rated.low();
    if hot {
        too_hot(pair, motor, judge);
    }
    let for_both = if driving::other(pair).is_some() {
        " for both motors"
    } else {
        ""
    };
    let words = |headline: String| {
        let finding = Finding::new(headline, "common-practice").at(driver.current.place);
        match driver.current_definition {
            CurrentDefinition::Rms => finding,
            CurrentDefinition::Peak => {
                let peak = Value::exact(driver.current.high());
                let inputs = (named("Iₚ", "highest current of the driver, stated as peak", peak),);
                finding.working(
                    work(&motion::RMS_OF_PEAK, "I", inputs, |(peak,)| {
                        motion::rms_of_peak(peak)
                    })
                    .working,
                )
            }
        }
    };
    if needed.high() > range.high() {
        let enough = range.high() >= needed.nominal() * least_share.base();
        let verdict = if enough {
            Verdict::Caution
        } else {
            Verdict::Blocker
        };
        judge.at_most(needed, Value::exact(range.high()), verdict, || {
            words(format!(
                "{} needs {} (rms){for_both}. The driver of {} gives up to {}",
                pair.device_name(),
                brief(needed.nominal()),
                pair.port_name(),
                brief(range.high())
            ))
            .remedy("run it at less current and test whether it keeps its steps, or use a stronger driver")
        });
    } else if needed.low() < range.low() {
        let verdict = if range.low() > rated.low() {
            Verdict::Blocker
        } else {
            Verdict::Caution
        };
        judge.at_least(needed, Value::exact(range.low()), verdict, || {
            words(format!(
                "{} needs {} (rms){for_both}. The driver of {} gives no less than {}",
                pair.device_name(),
                brief(needed.nominal()),
                pair.port_name(),
                brief(range.low())
            ))
            .remedy("use a smaller driver. The motor would get warmer than it needs to, or too hot")
        });
    } else if !hot {
        let share = (motor.run_current.nominal() / rated.nominal()).base();
        let weak = si::ratio(share) < least_share;
        let words = || {
            words(format!(
                "{} runs at {} (rms), {:.0} % of its rating{}. The driver of {} gives {} to {}{for_both}",
                pair.device_name(),
                brief(motor.run_current.nominal()),
                share * 100.0,
                if weak { ", with that much less torque" } else { "" },
                pair.port_name(),
                brief(range.low()),
                brief(range.high())
            ))
        };
        if weak {
            judge.say(Verdict::Note, || {
                words().remedy("raise the current only where the axis loses steps")
            });
        } else {
            judge.at_most(needed, Value::exact(range.high()), Verdict::Caution, words);
        }
    }
}

/// A run current above the rating of the motor, whatever its driver gives.
fn too_hot(pair: &PairFacts<'_>, motor: &Motor, judge: &mut Judge) {
    let rated = motor.current.value;
    let least = rated.nominal() * pair.limits().motor_current_share.value.nominal().base();
    judge.at_most(motor.run_current, rated, Verdict::Caution, || {
        let headline = format!(
            "{} is set to {} (rms), above its rated {}. It gets too hot for its mount",
            pair.device_name(),
            brief(motor.run_current.high()),
            brief(rated.nominal())
        );
        Finding::new(headline, "common-practice")
            .about(Subject::aspect(pair.device(), "rating"))
            .at(motor.current.place)
            .remedy(format!("lower the run current to {} or less", brief(least)))
    });
}
