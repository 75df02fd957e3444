//! Whether each axis has something that senses its home position.

use model::WishKind;
use model::machine::{AxisId, Detail};

use crate::facts::needs::{has_end, is_probed};
use crate::facts::{WholeFacts, axes};
use crate::rules::checks::load_homing::load_homing_works;
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

pub(crate) const ID: &str = "axis-ends";

/// A limit switch, a bed probe for an axis that lifts nozzle or bed, or stall detection; extruders have no end, nor has the belt of a belt bed.
/// An axis that nothing senses would run into its end: a blocker, unless the file says that it is placed by hand.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let machine = &facts.swap.machine;
    for (at, axis) in machine.axes.iter().enumerate() {
        let moved = facts
            .pairs()
            .any(|pair| axes::motor(&pair.device().detail).is_some_and(|motor| motor.axis == AxisId(at)));
        if !moved || !has_end(machine, axis) {
            continue;
        }
        let switch = facts.pairs().find_map(|pair| match &pair.device().detail {
            Detail::LimitSwitch { axis, .. } if axis.0 == at => Some(pair.device_name().to_owned()),
            _ => None,
        });
        let other = || {
            facts.pairs().find_map(|pair| match &pair.device().detail {
                Detail::BedProbe(_) if is_probed(machine, axis) => Some(pair.device_name().to_owned()),
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
        let verdict = match (&told_by, axis.homing) {
            (Some(_), _) => Verdict::Pass,
            (None, Some(_)) => Verdict::Caution,
            (None, None) => Verdict::Blocker,
        };
        judge.say(verdict, || {
            let headline = match &told_by {
                Some(what) => format!("the home position of {} is sensed by {what}", axis.name),
                None => format!("nothing senses the home position of {}", axis.name),
            };
            let finding = Finding::new(headline, "common-practice")
                .about(Subject::named(axis.name.value.clone()))
                .at(axis.homing.map_or(axis.place, |homing| homing.place));
            match (&told_by, axis.homing) {
                (Some(_), _) => finding,
                (None, Some(_)) => {
                    finding.remedy(format!("place {} by hand before each start, motors off; it runs into its end otherwise", axis.name))
                }
                (None, None) => finding.remedy(format!(
                    "connect a limit switch of {0}, ask for homing by stall detection on a driver that has it, or state homing = \"by hand\" where {0} is placed by hand before each start",
                    axis.name
                )),
            }
        });
    }
}
