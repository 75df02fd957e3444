//! Whether each axis has something that senses its home position.

use model::machine::{AxisId, Detail};
use model::{End, WishKind};

use crate::facts::needs::{has_end, is_probed};
use crate::facts::{WholeFacts, axes, kinematics};
use crate::rules::checks::load_homing::load_homing_works;
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

pub(crate) const ID: &str = "axis-ends";

/// A limit switch, a bed probe for an axis that lifts nozzle or bed, or stall detection; extruders have no end, nor has the belt of a belt bed.
/// An axis that nothing senses would run into its end: a blocker, unless the file says that it is placed by hand. Of two carriages each has an
/// end of its own: one sensed end leaves the other carriage unsensed.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let machine = &facts.swap.machine;
    for (at, axis) in machine.axes.iter().enumerate() {
        let moved = facts
            .pairs()
            .any(|pair| axes::motor(&pair.device().detail).is_some_and(|motor| motor.axis == AxisId(at)));
        if !moved || !has_end(machine, axis) {
            continue;
        }
        let needed = if kinematics::carries_each(machine, axis) {
            2
        } else {
            1
        };
        let told_by = told_by(facts, AxisId(at));
        let sensed = told_by.len() >= needed;
        let verdict = match (sensed, axis.homing) {
            (true, _) => Verdict::Pass,
            (false, Some(_)) => Verdict::Caution,
            (false, None) => Verdict::Blocker,
        };
        judge.say(verdict, || {
            let headline = if sensed {
                let count = if needed == 1 { 1 } else { told_by.len() };
                format!("the home position of {} is sensed by {}", axis.name, told_by[..count].join(" and "))
            } else if let Some(one) = told_by.first() {
                format!("{one} senses one of the two carriages of {}. Nothing senses the home position of the other", axis.name)
            } else {
                format!("nothing senses the home position of {}", axis.name)
            };
            let finding = Finding::new(headline, "common-practice")
                .about(Subject::named(axis.name.value.clone()))
                .at(axis.homing.map_or(axis.place, |homing| homing.place));
            match (sensed, axis.homing) {
                (true, _) => finding,
                (false, Some(_)) => {
                    finding.remedy(format!("place {} by hand before each start, with the motors off. Otherwise it runs into its end", axis.name))
                }
                (false, None) if needed == 2 => finding.remedy(format!(
                    "connect one limit switch of {0} for each carriage. Or ask for homing by stall detection of each of its motors",
                    axis.name
                )),
                (false, None) => finding.remedy(format!(
                    "connect a limit switch of {0}. Or ask for homing by stall detection on a driver that has it. State homing = \"by hand\" only where {0} is placed by hand before each start",
                    axis.name
                )),
            }
        });
    }
}

/// What senses the home position of an axis: switches at ends of their own, then a bed probe, then motors by their load.
fn told_by(facts: &WholeFacts<'_>, id: AxisId) -> Vec<String> {
    let machine = &facts.swap.machine;
    let axis = machine.axis(id);
    let mut ends: Vec<End> = Vec::new();
    let mut out: Vec<String> = Vec::new();
    for pair in facts.pairs() {
        if let Detail::LimitSwitch { axis, end, .. } = &pair.device().detail
            && *axis == id
            && !ends.contains(end)
        {
            ends.push(*end);
            out.push(pair.device_name().to_owned());
        }
    }
    let others = facts.pairs().filter_map(|pair| match &pair.device().detail {
        Detail::BedProbe(_) if is_probed(machine, axis) => Some(pair.device_name().to_owned()),
        Detail::Motor(motor)
            if motor.axis == id
                && facts.wished(pair.id, WishKind::StallDetectionHoming)
                && load_homing_works(pair) =>
        {
            Some(format!("the load of {}", pair.device_name()))
        }
        _ => None,
    });
    out.extend(others);
    out
}
