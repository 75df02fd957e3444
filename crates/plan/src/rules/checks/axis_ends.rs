//! Whether each axis has something that tells its end.

use model::WishKind;
use model::machine::{AxisId, Detail, Drive};

use crate::facts::{WholeFacts, axes};
use crate::rules::checks::load_homing::load_homing_works;
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

pub(crate) const ID: &str = "axis-ends";

/// A limit switch, a bed probe for an axis that is lifted by a screw, or a load that is measured; extruders have no end.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for (at, axis) in facts.swap.machine.axes.iter().enumerate() {
        let moved = facts
            .pairs()
            .any(|pair| axes::motor(&pair.device().detail).is_some_and(|motor| motor.axis == AxisId(at)));
        if !moved || matches!(axis.drive, Drive::Extruder { .. }) {
            continue;
        }
        let switch = facts.pairs().find_map(|pair| match &pair.device().detail {
            Detail::LimitSwitch { axis, .. } if axis.0 == at => Some(pair.device_name().to_owned()),
            _ => None,
        });
        let other = || {
            facts.pairs().find_map(|pair| match &pair.device().detail {
                Detail::BedProbe(_) if matches!(axis.drive, Drive::Screw { .. }) => {
                    Some(pair.device_name().to_owned())
                }
                Detail::Motor(motor)
                    if motor.axis.0 == at
                        && facts.wished(pair.id, WishKind::StallDetectionHoming)
                        && load_homing_works(pair) =>
                {
                    Some(format!("the load of {}", pair.device_name()))
                }
                _ => None,
            })
        };
        let told_by = switch.or_else(other);
        let verdict = if told_by.is_some() {
            Verdict::Pass
        } else {
            Verdict::Caution
        };
        judge.say(verdict, || {
            let headline = match &told_by {
                Some(what) => format!("the end of {} is told by {what}", axis.name),
                None => format!("nothing tells the end of {}", axis.name),
            };
            let finding = Finding::new(headline, "common-practice")
                .about(Subject::named(axis.name.value.clone()))
                .at(axis.place);
            if told_by.is_some() {
                finding
            } else {
                finding.remedy("connect its limit switch, or let the driver measure the load; without either this axis must be placed by hand before each start")
            }
        });
    }
}
