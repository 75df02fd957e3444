//! An axis: its drive and what is known of its motion.

use quantity::si::{Length, StepDensity};
use quantity::{Number, Value, si};

use crate::check::Checker;
use crate::diagnostic::Diagnostic;
use crate::file::machine::AxisFile;
use crate::machine::{Axis, Drive};
use crate::source::Located;
use crate::words::DriveKind;

/// `full_steps` are those of its motor for one turn.
pub(super) fn axis(mut file: AxisFile, full_steps: u32, checker: &mut Checker<'_>) -> Option<Axis> {
    let by_steps_alone = file.wheel.is_none() && file.old_steps.is_some();
    let what = format!("a drive by {}", file.drive.value);
    let place = file.place;
    for microsteps in [&file.old_microsteps, &file.microsteps].into_iter().flatten() {
        checker.microsteps(microsteps);
    }
    let drive = match file.drive.value {
        DriveKind::Belt => {
            let pitch = checker.need(file.pitch.take(), "pitch", place, &what);
            let teeth = checker.need(file.teeth.take(), "teeth", place, &what);
            if let Some(teeth) = &teeth
                && !(5..=400).contains(&teeth.value)
            {
                let problem = format!("no pulley has {} teeth", teeth.value);
                checker.fault(
                    Diagnostic::new("bad-value", teeth.place, problem, "out of range").expected("5 to 400"),
                );
            }
            pitch
                .zip(teeth)
                .map(|(pitch, teeth)| Drive::Belt { pitch, teeth })
        }
        DriveKind::Screw => checker
            .need(file.lead.take(), "lead", place, &what)
            .map(|lead| Drive::Screw { lead }),
        DriveKind::Extruder => match (file.wheel.take(), file.old_steps.take()) {
            (Some(wheel), Some(steps)) => {
                let problem = format!("{what} has `wheel` and `old_steps`: which counts?");
                checker.fault(
                    Diagnostic::new("contradiction", steps.place, problem, "beside `wheel`")
                        .other(wheel.place, "the wheel")
                        .expected("`wheel` with `ratio`, or `old_steps` with `old_microsteps`"),
                );
                None
            }
            (None, Some(steps)) => {
                by_steps(&steps, &file, full_steps, checker).map(|wheel| Drive::Extruder { wheel })
            }
            (wheel, None) => checker
                .need(wheel, "wheel", place, &what)
                .map(|wheel| Drive::Extruder { wheel }),
        },
    };
    let leftover = [
        ("pitch", file.pitch.map(|value| value.place)),
        ("teeth", file.teeth.map(|value| value.place)),
        ("lead", file.lead.map(|value| value.place)),
        ("wheel", file.wheel.map(|value| value.place)),
        ("old_steps", file.old_steps.map(|value| value.place)),
    ];
    checker.leftover(
        leftover
            .into_iter()
            .filter_map(|(key, place)| Some((key, place?)))
            .collect(),
        &what,
    );
    for (share, key, least) in [
        (&file.weight_share, "weight_share", 0.0),
        (&file.efficiency, "efficiency", f64::MIN_POSITIVE),
    ] {
        if let Some(share) = share
            && (share.low().base() < least || share.high().base() > 1.0)
        {
            let problem = format!("`{key}` is a share");
            checker.fault(
                Diagnostic::new("bad-value", share.place, problem, "out of range")
                    .expected("a share up to 1"),
            );
        }
    }
    let drive = drive?;
    for (length, key) in match drive {
        Drive::Belt { pitch, .. } => [(pitch, "pitch")],
        Drive::Screw { lead } => [(lead, "lead")],
        Drive::Extruder { wheel } => [(wheel, "wheel")],
    } {
        if length.low().base() <= 0.0 {
            checker.fault(Diagnostic::new(
                "bad-value",
                length.place,
                format!("`{key}` must be above zero"),
                "not above zero",
            ));
            return None;
        }
    }
    Some(Axis {
        name: file.name,
        drive,
        ratio_stated: file.ratio.is_some() || by_steps_alone,
        homing: file.homing,
        ratio: file
            .ratio
            .map_or(Value::exact(si::ratio(1.0)), |ratio| ratio.value),
        travel: file.travel,
        max_speed: file.max_speed,
        acceleration: file.acceleration,
        homing_speed: file.homing_speed,
        mass: file.mass,
        friction: file.friction,
        weight_share: file.weight_share,
        efficiency: file.efficiency,
        corner_speed: file.corner_speed,
        old_direction: file.old_direction,
        old_microsteps: file.old_microsteps,
        microsteps: file.microsteps,
        place,
    })
}

/// The wheel that makes the steps which the old controller was set to, at the ratio that is stated, or at 1: travel, torque and steps that
/// follow from it are those of the real wheel behind its gears.
fn by_steps(
    steps: &Located<Value<StepDensity>>,
    file: &AxisFile,
    full_steps: u32,
    checker: &mut Checker<'_>,
) -> Option<Located<Value<Length>>> {
    let what = "an extruder that is known by `old_steps`";
    let micro = checker.need(file.old_microsteps, "old_microsteps", file.place, what)?;
    let ratio = file
        .ratio
        .map_or(Value::exact(si::ratio(1.0)), |ratio| ratio.value);
    let turn = f64::from(full_steps) * f64::from(micro.value);
    let wheel = Value::corners(|end| {
        let metres = turn * ratio.at(end).base() / (steps.at(end.other()).base() * core::f64::consts::PI);
        Length::from_base(metres)
    });
    Some(Located {
        value: wheel,
        place: steps.place,
    })
}
