//! The geometry of a kinematics: lengths of a delta, tilt of a belt bed.

use quantity::{Number, si};

use crate::check::Checker;
use crate::diagnostic::Diagnostic;
use crate::file::machine::Geometry;
use crate::source::Place;
use crate::words::Kinematics;

/// Lengths belong to a delta and the tilt to a belt bed; arms must reach every place that is printed.
pub(super) fn geometry(geometry: &Geometry, kinematics: Kinematics, checker: &mut Checker<'_>) {
    let place = |key: &'static str, place: Option<Place>| place.map(|place| (key, place));
    let of_delta = [
        place("arm", geometry.arm.map(|value| value.place)),
        place("radius", geometry.radius.map(|value| value.place)),
        place("reach", geometry.reach.map(|value| value.place)),
        place("nozzle_mass", geometry.nozzle_mass.map(|value| value.place)),
    ];
    let of_belt = [place("tilt", geometry.tilt.map(|value| value.place))];
    let what = format!("a machine that is {kinematics}");
    let delta = kinematics == Kinematics::Delta;
    let foreign: Vec<_> = of_delta
        .into_iter()
        .filter(|_| !delta)
        .chain(of_belt.into_iter().filter(|_| kinematics != Kinematics::BeltBed))
        .flatten()
        .collect();
    checker.leftover(foreign, &what);
    for (length, key) in [
        (geometry.arm, "arm"),
        (geometry.radius, "radius"),
        (geometry.reach, "reach"),
    ] {
        if let Some(length) = length.filter(|length| length.low().base() <= 0.0) {
            let problem = format!("`{key}` must be above zero");
            checker.fault(Diagnostic::new(
                "bad-value",
                length.place,
                problem,
                "not above zero",
            ));
        }
    }
    if let Some(tilt) = geometry.tilt
        && !(tilt.low() > si::degree(0.0) && tilt.high() <= si::degree(90.0))
    {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                tilt.place,
                "no gantry stands like that",
                "out of range",
            )
            .expected("an angle above 0° and up to 90°, mostly 45°"),
        );
    }
    if let (Some(arm), Some(radius)) = (geometry.arm, geometry.radius) {
        let reach = geometry.reach.map_or(si::metre(0.0), |reach| reach.high());
        if arm.low() <= radius.high() + reach {
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    arm.place,
                    "the arms do not reach",
                    "not longer than `radius` and `reach` together",
                )
                .other(radius.place, "so far to a tower")
                .expected("an arm longer than the way from a tower to the farthest point beyond the middle"),
            );
        }
    }
}
