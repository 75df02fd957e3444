//! A delta: three carriages on towers carry the nozzle by arms.

use core::f64::consts::TAU;

use model::Kinematics;
use model::machine::{Axis, AxisId, Drive, Geometry, Machine};
use physics::motion::{self, Place};
use quantity::si::Frequency;
use quantity::{Number, Value, si};

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

/// The keys of the geometry of a delta that its file does not state; empty for other machines. Without arm, radius and reach nothing is known of
/// the speed of a tower, without the mass of the nozzle nothing of its load.
#[must_use]
pub fn missing_geometry(machine: &Machine) -> Vec<&'static str> {
    if machine.kinematics != Kinematics::Delta {
        return Vec::new();
    }
    let stated = machine.geometry.as_ref();
    let has = |key: fn(&Geometry) -> bool| stated.is_some_and(key);
    let keys = [
        ("arm", has(|own| own.arm.is_some())),
        ("radius", has(|own| own.radius.is_some())),
        ("reach", has(|own| own.reach.is_some())),
        ("nozzle_mass", has(|own| own.nozzle_mass.is_some())),
    ];
    keys.into_iter()
        .filter(|(_, has)| !has)
        .map(|(key, _)| key)
        .collect()
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

/// Places that stand for all that a delta prints: the middle, and the rim and half of its radius all around. Empty where arm, radius or reach is
/// not stated.
pub(crate) fn places(machine: &Machine) -> impl Iterator<Item = (motion::Kinematics, Place)> + use<> {
    let reach = machine.geometry.as_ref().and_then(|geometry| geometry.reach);
    let known = delta(machine).zip(reach.map(|reach| reach.high()));
    known.into_iter().flat_map(|(kinematics, reach)| {
        let around = [1.0, 0.5]
            .into_iter()
            .flat_map(|share| (0..12).map(move |step| (share, step)));
        around.chain([(0.0, 0)]).map(move |(share, step)| {
            let (sin, cos) = (f64::from(step) * TAU / 12.0).sin_cos();
            let place = Place {
                x: reach * (share * cos),
                y: reach * (share * sin),
                z: si::metre(0.0),
            };
            (kinematics, place)
        })
    })
}

/// How much faster than the nozzle a carriage of a delta moves at the worst place that is printed; `None` where the geometry is not
/// stated, or the arms do not reach there.
#[must_use]
pub fn tower_share(machine: &Machine, tower: usize) -> Option<f64> {
    let shares = places(machine).map(|(kinematics, place)| {
        let shares = kinematics.largest_shares(place).ok()?;
        Some(shares[tower].base())
    });
    let shares: Option<Vec<f64>> = shares.collect();
    shares?.into_iter().reduce(f64::max).map(|share| share.max(1.0))
}

/// The place where the towers of a delta make most steps together, by the rate of each where its carriage is as fast as the nozzle.
#[must_use]
pub fn towers_together(
    machine: &Machine,
    rates: [Value<Frequency>; 3],
) -> Option<(motion::Kinematics, Place)> {
    let highest = rates.map(|rate| rate.high());
    let sums = places(machine).map(|(kinematics, place)| {
        let sum = kinematics.largest_sum(place, &highest).ok()?;
        Some((sum, kinematics, place))
    });
    let sums: Option<Vec<_>> = sums.collect();
    let worst = sums?
        .into_iter()
        .max_by(|one, other| one.0.base().total_cmp(&other.0.base()));
    worst.map(|(_, kinematics, place)| (kinematics, place))
}

pub(crate) fn tower_factor(machine: &Machine, axis: &Axis) -> f64 {
    let at = machine.axes.iter().position(|other| other.name == axis.name);
    let tower = at.and_then(|at| tower(machine, AxisId(at)));
    tower.and_then(|tower| tower_share(machine, tower)).unwrap_or(1.0)
}
