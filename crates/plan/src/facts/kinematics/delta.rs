//! A delta: three carriages on towers carry the nozzle by arms.

use core::f64::consts::TAU;

use model::Kinematics;
use model::machine::{Axis, AxisId, Drive, Machine};
use physics::motion::{self, Place};
use quantity::si::Length;
use quantity::{Number, si};

/// The geometry of a delta; `None` for other machines, and where arm or radius is not stated.
#[must_use]
pub fn delta(machine: &Machine) -> Option<motion::Kinematics> {
    if machine.kinematics != Kinematics::Delta {
        return None;
    }
    let geometry = machine.geometry.as_ref()?;
    Some(motion::Kinematics::Delta {
        arm: geometry.arm?.nominal(),
        radius: geometry.radius?.nominal(),
    })
}

/// Whether a machine is a delta whose geometry is needed and not stated.
pub(crate) fn lacks_geometry(machine: &Machine) -> bool {
    machine.kinematics == Kinematics::Delta && delta(machine).is_none()
}

/// The tower that an axis of a delta moves, by its place among the axes that are no extruders.
#[must_use]
pub fn tower(machine: &Machine, id: AxisId) -> Option<usize> {
    if machine.kinematics != Kinematics::Delta || matches!(machine.axis(id).drive, Drive::Extruder { .. }) {
        return None;
    }
    let before = machine.axes[..id.0].iter();
    let place = before
        .filter(|axis| !matches!(axis.drive, Drive::Extruder { .. }))
        .count();
    (place < 3).then_some(place)
}

/// How much faster than the nozzle a carriage of a delta moves at the worst place that is printed; `None` where the geometry is not
/// stated, or the arms do not reach there.
#[must_use]
pub fn tower_share(machine: &Machine, tower: usize) -> Option<f64> {
    let kinematics = delta(machine)?;
    let reach = machine.geometry.as_ref()?.reach?.high();
    let mut worst = 1.0_f64;
    for step in 0..12 {
        let (sin, cos) = (f64::from(step) * TAU / 12.0).sin_cos();
        let place = Place {
            x: reach * cos,
            y: reach * sin,
            z: si::metre(0.0),
        };
        worst = worst.max(kinematics.largest_shares(place).ok()?[tower].base());
    }
    Some(worst)
}

pub(crate) fn tower_factor(machine: &Machine, axis: &Axis) -> f64 {
    let at = machine.axes.iter().position(|other| other.name == axis.name);
    let tower = at.and_then(|at| tower(machine, AxisId(at)));
    tower.and_then(|tower| tower_share(machine, tower)).unwrap_or(1.0)
}

/// The largest of two figures over the middle and the rim of what a delta prints.
pub(crate) fn worst_shares(
    machine: &Machine,
    at: impl Fn(&motion::Kinematics, Place) -> Option<(f64, f64)>,
) -> Option<(f64, f64)> {
    let kinematics = delta(machine)?;
    let reach = machine.geometry.as_ref()?.reach?.high();
    let mut worst = (0.0_f64, 0.0_f64);
    for step in 0..=12 {
        let radius = if step == 0 { Length::from_base(0.0) } else { reach };
        let (sin, cos) = (f64::from(step) * TAU / 12.0).sin_cos();
        let place = Place {
            x: radius * cos,
            y: radius * sin,
            z: Length::from_base(0.0),
        };
        let (one, other) = at(&kinematics, place)?;
        worst = (worst.0.max(one), worst.1.max(other));
    }
    Some(worst)
}
