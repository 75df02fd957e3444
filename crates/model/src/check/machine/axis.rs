//! An axis: its drive and what is known of its motion.

use quantity::{Number, Value, si};

use crate::check::Checker;
use crate::diagnostic::Diagnostic;
use crate::file::machine::AxisFile;
use crate::machine::{Axis, Drive};
use crate::words::DriveKind;

pub(super) fn axis(mut file: AxisFile, checker: &mut Checker<'_>) -> Option<Axis> {
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
        DriveKind::Extruder => checker
            .need(file.wheel.take(), "wheel", place, &what)
            .map(|wheel| Drive::Extruder { wheel }),
    };
    let leftover = [
        ("pitch", file.pitch.map(|value| value.place)),
        ("teeth", file.teeth.map(|value| value.place)),
        ("lead", file.lead.map(|value| value.place)),
        ("wheel", file.wheel.map(|value| value.place)),
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
        ratio_stated: file.ratio.is_some(),
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
