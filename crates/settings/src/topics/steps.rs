//! Microsteps, and the steps per length that follow from them and from the mechanics.

use catalogue::Limits;
use model::board::Driver;
use model::machine::{Axis, AxisId, Detail, Drive, Motor};
use physics::{Worked, motion, named, work};
use quantity::si::{Length, Ratio, StepDensity};
use quantity::{Number, Value, si};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, Old, SettingValue};
use crate::words::percent;
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for at in 0..job.setup.swap.machine.axes.len() {
        let id = AxisId(at);
        if let Some(microsteps) = microsteps(job, id) {
            microstep_setting(job, id, &microsteps, list);
        }
    }
    for at in 0..job.setup.swap.machine.axes.len() {
        if let Some(draft) = steps(job, AxisId(at)) {
            list.push(draft);
        }
    }
}

/// Microsteps of an axis, before and after.
pub(crate) struct Microsteps {
    pub old: Option<(u32, Old)>,
    wanted: u32,
    pub new: u32,
}

/// Microsteps that all connected motors of an axis can make; `None` where none is connected.
pub(crate) fn microsteps(job: &Job<'_>, id: AxisId) -> Option<Microsteps> {
    let axis = job.setup.swap.machine.axis(id);
    let drivers: Vec<&Driver> = job.motors(id).filter_map(|pair| pair.driver()).collect();
    let first = drivers.first()?;
    let written = axis.old_microsteps.as_ref().map(|old| {
        (
            old.value,
            job.written(old, SettingValue::Number(f64::from(old.value))),
        )
    });
    let reported = job
        .reported(Topic::Microsteps, &axis.name.value)
        .and_then(|(_, reported)| {
            let number = reported.number;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "checked to be whole and small"
            )]
            let whole =
                (number.fract() == 0.0 && (1.0..=4096.0).contains(&number)).then_some(number as u32)?;
            Some((whole, job.old(Topic::Microsteps, &axis.name.value)?))
        });
    let old = reported.or(written);
    let wanted = axis.microsteps.as_ref().map(|wanted| wanted.value);
    let wanted = wanted.or(old.as_ref().map(|(old, _)| *old)).unwrap_or(16);
    let new = drivers
        .iter()
        .fold(plan::drivers::offered(first, wanted), |least, driver| {
            least.min(plan::drivers::offered(driver, wanted))
        });
    Some(Microsteps { old, wanted, new })
}

fn microstep_setting(job: &Job<'_>, id: AxisId, microsteps: &Microsteps, list: &mut List<'_>) {
    let axis = job.setup.swap.machine.axis(id);
    let Microsteps { old, wanted, new } = microsteps;
    let (fate, mut reason) = match old {
        _ if new != wanted => (
            Fate::Recomputed,
            format!("{wanted} microsteps are wanted; the driver offers {new}."),
        ),
        Some((before, _)) if before == new => (Fate::Carried, "The new driver offers the same.".to_owned()),
        Some(_) => (
            Fate::Recomputed,
            format!("The machine file asks for {new} on the new board."),
        ),
        None => (Fate::New, "The old setting is not known.".to_owned()),
    };
    let differs = axis
        .old_microsteps
        .as_ref()
        .filter(|written| old.as_ref().is_some_and(|(old, _)| *old != written.value));
    if let Some(written) = differs {
        reason = format!(
            "{reason} The machine file says that the old ones were {}; what the controller reported is believed.",
            written.value
        );
    }
    list.push(
        Draft::new(Topic::Microsteps, axis.name.value.clone(), fate, reason)
            .old(old.as_ref().map(|(_, old)| old.clone()))
            .value(SettingValue::Number(f64::from(*new)))
            .caution(differs.is_some()),
    );
}

/// Steps per length that the mechanics give.
pub(crate) fn from_mechanics(axis: &Axis, motor: &Motor, microsteps: u32) -> Worked<StepDensity> {
    let step = named(
        "φ",
        "full step of the motor",
        Value::exact(si::degree(360.0 / f64::from(motor.steps_per_turn))),
    );
    let number = named("n", "microsteps", Value::exact(si::ratio(f64::from(microsteps))));
    let gear = named("i", "turns of the motor per turn", axis.ratio);
    match &axis.drive {
        Drive::Belt { pitch, teeth } => {
            let inputs = (
                step,
                number,
                gear,
                named("p", "pitch of the belt", pitch.value),
                named(
                    "z",
                    "teeth of the pulley",
                    Value::exact(si::ratio(f64::from(teeth.value))),
                ),
            );
            work(&motion::BELT_STEPS, "s", inputs, |(a, n, i, p, z)| {
                motion::belt_steps(a, n, i, p, z)
            })
        }
        Drive::Screw { lead } => {
            let inputs = (step, number, gear, named("h", "lead of the screw", lead.value));
            work(&motion::SCREW_STEPS, "s", inputs, |(a, n, i, h)| {
                motion::screw_steps(a, n, i, h)
            })
        }
        Drive::Extruder { wheel } => {
            let inputs = (
                step,
                number,
                gear,
                named("d", "effective diameter of the wheel", wheel.value),
            );
            work(&motion::ROLLER_STEPS, "s", inputs, |(a, n, i, d)| {
                motion::roller_steps(a, n, i, d)
            })
        }
    }
}

/// What is known of an axis before the verdict.
struct Facts<'a> {
    limits: &'a Limits,
    axis: &'a Axis,
    new: u32,
    old: u32,
    captured: Value<StepDensity>,
    /// The mechanics with the old microsteps.
    before: Worked<StepDensity>,
    /// The mechanics with the new ones.
    after: Worked<StepDensity>,
    /// How far the captured value lies from the mechanics, as a share.
    off: f64,
}

/// The verdict: which value is believed, and why.
struct Verdict {
    fate: Fate,
    value: StepDensity,
    reason: String,
    caution: bool,
    working: Vec<physics::Working>,
}

fn steps(job: &Job<'_>, id: AxisId) -> Option<Draft> {
    let axis = job.setup.swap.machine.axis(id);
    let microsteps = microsteps(job, id)?;
    let motor = job.motors(id).find_map(|pair| match &pair.device().detail {
        Detail::Motor(motor) => Some(motor),
        _ => None,
    })?;
    let after = from_mechanics(axis, motor, microsteps.new);
    let name = axis.name.value.clone();
    let draft = |verdict: Verdict| {
        Draft::new(Topic::StepsPerLength, name.clone(), verdict.fate, verdict.reason)
            .old(job.old(Topic::StepsPerLength, &name))
            .value(SettingValue::exact(verdict.value))
            .caution(verdict.caution)
            .working(verdict.working)
    };
    let captured = job
        .reported(Topic::StepsPerLength, &name)
        .and_then(|(_, value)| value.value.typed::<StepDensity>());
    let (Some(captured), Some((old, _))) = (captured, &microsteps.old) else {
        let what = if captured.is_some() {
            "With which microsteps the old value was meant is not known; it follows from the mechanics."
        } else {
            "Nothing was captured; it follows from the mechanics."
        };
        return Some(draft(Verdict {
            fate: if captured.is_some() {
                Fate::Recomputed
            } else {
                Fate::New
            },
            value: after.value.nominal(),
            reason: what.to_owned(),
            caution: false,
            working: vec![after.working],
        }));
    };
    let before = from_mechanics(axis, motor, *old);
    let facts = Facts {
        off: captured.nominal().base() / before.value.nominal().base() - 1.0,
        limits: job.setup.limits(),
        axis,
        new: microsteps.new,
        old: *old,
        captured,
        before,
        after,
    };
    Some(draft(match axis.drive {
        Drive::Extruder { .. } => extruder(&facts),
        Drive::Belt { .. } | Drive::Screw { .. } => rigid(&facts),
    }))
}

/// A belt or a screw: its geometry is exact, so that a bent value hides another error.
fn rigid(facts: &Facts<'_>) -> Verdict {
    let off = facts.off.abs();
    let caution = facts.limits.steps_deviation_caution.value.nominal().base();
    let changed = facts.new != facts.old;
    // A report has two decimals: 0.005 of 80 is one part in 16,000.
    let bent = off > 1e-4;
    let mut reason = if changed {
        format!("The microsteps change from {} to {}.", facts.old, facts.new)
    } else {
        "The mechanics and the microsteps stay.".to_owned()
    };
    if bent {
        let (way, from) = (
            if facts.off > 0.0 { "above" } else { "below" },
            facts.before.value,
        );
        reason = format!(
            "{reason} The captured value is {} {way} the {from} of the mechanics: somebody bent it until a part measured right. \
             {} cannot be off by that; the cause lies elsewhere (flow, shrinkage, a part measured over its seam). The figure of the mechanics is kept.",
            percent(off),
            match facts.axis.drive {
                Drive::Screw { .. } => "A screw",
                _ => "A toothed belt on a counted pulley",
            }
        );
    }
    Verdict {
        fate: if changed || bent {
            Fate::Recomputed
        } else {
            Fate::Carried
        },
        value: facts.after.value.nominal(),
        reason,
        caution: off > caution,
        working: vec![facts.after.working.clone()],
    }
}

/// A wheel that bites into filament: the captured value was found by feeding and measuring, the diameter is a guess.
fn extruder(facts: &Facts<'_>) -> Verdict {
    let fate = if facts.new == facts.old {
        Fate::Carried
    } else {
        Fate::Recomputed
    };
    let reason = format!(
        "The captured value was found by feeding filament and is {} from what the wheel's diameter gives ({}): it is believed, \
         since the wheel bites into the filament.",
        percent(facts.off.abs()),
        facts.before.value
    );
    believed(facts, reason, fate, false)
}

/// The captured value, scaled by the microsteps.
fn believed(facts: &Facts<'_>, mut reason: String, fate: Fate, caution: bool) -> Verdict {
    let count = |number: u32| Value::<Ratio>::exact(si::ratio(f64::from(number)));
    let inputs = (
        named("s₀", "steps per length as captured", facts.captured),
        named("n", "new microsteps", count(facts.new)),
        named("n₀", "old microsteps", count(facts.old)),
    );
    let scaled = work(&motion::SCALED_STEPS, "s", inputs, |(s, n, o)| {
        motion::scaled_steps(s, n, o)
    });
    if facts.new != facts.old {
        reason = format!(
            "{reason} It is scaled from {} to {} microsteps.",
            facts.old, facts.new
        );
    }
    Verdict {
        fate,
        value: scaled.value.nominal(),
        reason,
        caution,
        working: vec![scaled.working, facts.before.working.clone()],
    }
}

/// What of the mechanics would explain steps that are another multiple of what the file gives: "a pulley of 16 teeth would explain it".
pub(crate) fn explained(axis: &Axis, motor: &Motor, old_microsteps: f64, ratio: f64) -> Option<String> {
    let near = |number: f64| (number - number.round()).abs() < 0.01 * number.abs().max(1.0);
    let octaves = ratio.log2();
    if (octaves - octaves.round()).abs() < 0.01 {
        let microsteps = (old_microsteps * octaves.round().exp2()).round();
        let full = f64::from(motor.steps_per_turn) * octaves.round().exp2();
        return Some(format!(
            "{microsteps} old microsteps, or a motor of {full} steps, would explain it"
        ));
    }
    match axis.drive {
        Drive::Belt { teeth, .. } => {
            let teeth = f64::from(teeth.value) / ratio;
            (near(teeth) && teeth >= 10.0)
                .then(|| format!("a pulley of {} teeth would explain it", teeth.round()))
        }
        Drive::Screw { lead } => {
            let lead = Value::<Length>::exact(lead.nominal() / ratio);
            Some(format!("a lead of {lead} would explain it"))
        }
        Drive::Extruder { .. } => None,
    }
}
