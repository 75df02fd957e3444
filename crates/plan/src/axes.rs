//! Motors on their drivers and axes: travel, steps, speeds, currents, and the two motors of one driver.

use core::f64::consts::{PI, TAU};

use catalogue::Limits;
use model::board::Driver;
use model::machine::{Axis, AxisId, Detail, Drive, Machine, Motor};
use model::{Joint, Kinematics, Measure};
use physics::motion;
use quantity::si::{
    Angle, AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance, Inductance, Length,
    Ratio, StepDensity, Torque, Velocity,
};
use quantity::{Number, Value, si};

use crate::changes::offered;
use crate::harness::has_second_socket;
use crate::setup::Pair;

/// Microsteps where neither the old setting nor a wish is known: what most axes are set to.
pub const USUAL_MICROSTEPS: u32 = 16;

/// The motor of a device.
pub(crate) fn motor(detail: &Detail) -> Option<&Motor> {
    match detail {
        Detail::Motor(motor) => Some(motor),
        _ => None,
    }
}

/// One full step of a motor.
#[must_use]
pub fn full_step(motor: &Motor) -> Angle {
    Angle::from_base(TAU / f64::from(motor.steps_per_turn))
}

/// Travel of an axis for one turn of its motor.
#[must_use]
pub fn travel_per_turn(axis: &Axis) -> Value<Length> {
    let of_wheel = match axis.drive {
        Drive::Belt { pitch, teeth } => pitch.value.scale(f64::from(*teeth)),
        Drive::Screw { lead } => lead.value,
        Drive::Extruder { wheel } => wheel.value.scale(PI),
    };
    of_wheel / axis.ratio
}

/// Steps per length of an axis.
#[must_use]
pub fn steps_per_length(axis: &Axis, motor: &Motor, microsteps: u32) -> Value<StepDensity> {
    let per_turn = f64::from(motor.steps_per_turn) * f64::from(microsteps);
    travel_per_turn(axis).map(|travel| StepDensity::from_base(per_turn / travel.base()))
}

/// The microsteps that an axis would like: what its file asks for, the old ones, or the usual ones.
#[must_use]
pub fn wanted_microsteps(axis: &Axis) -> u32 {
    let stated = axis.microsteps.or(axis.old_microsteps);
    stated.map_or(USUAL_MICROSTEPS, |stated| stated.value)
}

/// The microsteps of an axis on a driver.
#[must_use]
pub fn microsteps(axis: &Axis, driver: &Driver) -> u32 {
    offered(driver, wanted_microsteps(axis))
}

/// Whether a motor of this axis moves one of two crossed belts, so that it turns for both of their axes.
#[must_use]
pub fn crosses(kinematics: Kinematics, axis: &Axis) -> bool {
    kinematics == Kinematics::CrossedBelts
        && matches!(
            axis.name.value.as_str(),
            "X" | "Y" | "x" | "y" | "A" | "B" | "a" | "b"
        )
}

/// Whether each motor of an axis carries a load of its own: two carriages on one rail, which do not share their mass, need not turn the same
/// way, and cannot hang on one driver.
#[must_use]
pub fn carries_each(machine: &Machine, axis: &Axis) -> bool {
    machine.kinematics == Kinematics::TwoCarriages && matches!(axis.name.value.as_str(), "X" | "x")
}

/// Whether an axis is the gantry of a belt bed, tilted against the belt: Y, where the belt is Z.
#[must_use]
pub fn is_gantry(machine: &Machine, axis: &Axis) -> bool {
    machine.kinematics == Kinematics::BeltBed && matches!(axis.name.value.as_str(), "Y" | "y")
}

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
        let place = motion::Place {
            x: reach * cos,
            y: reach * sin,
            z: si::metre(0.0),
        };
        worst = worst.max(kinematics.largest_shares(place).ok()?[tower].base());
    }
    Some(worst)
}

/// The top speeds of the axes whose two belts cross; none for other machines.
fn crossed_speeds(machine: &Machine) -> impl Iterator<Item = Value<Velocity>> {
    let axes = machine.axes.iter();
    axes.filter(|axis| crosses(machine.kinematics, axis))
        .map(|axis| axis.top_speed.value)
}

/// The highest speed of the belt, nut or wheel of an axis: of two crossed belts one moves by as much as both axes together where both are at
/// their own top speed, a carriage of a delta by as much as its arm lies flat at the rim.
#[must_use]
pub fn top_speed(machine: &Machine, axis: &Axis) -> Value<Velocity> {
    if crosses(machine.kinematics, axis) {
        // The other axis counts as this one where the file has none.
        let alone = crossed_speeds(machine).count() < 2;
        return crossed_speeds(machine)
            .chain(alone.then_some(axis.top_speed.value))
            .sum();
    }
    axis.top_speed.value.scale(tower_factor(machine, axis))
}

/// The speed at which the motor of an axis steps while all motors together step most: two crossed belts share the way of both axes, so that
/// their sum is twice the larger of the two speeds.
#[must_use]
pub fn stepping_speed(machine: &Machine, axis: &Axis) -> Value<Velocity> {
    let larger = |one: Value<Velocity>, other: Value<Velocity>| {
        Value::corners(|end| one.at(end).larger(other.at(end)))
    };
    let own = axis.top_speed.value;
    if crosses(machine.kinematics, axis) {
        return crossed_speeds(machine).fold(own, larger);
    }
    own
}

fn tower_factor(machine: &Machine, axis: &Axis) -> f64 {
    let at = machine.axes.iter().position(|other| other.name == axis.name);
    let tower = at.and_then(|at| tower(machine, AxisId(at)));
    tower.and_then(|tower| tower_share(machine, tower)).unwrap_or(1.0)
}

/// How much faster than its axis the belt, nut or wheel of a motor may move; of crossed belts with both axes at the same share of their top
/// speeds.
#[must_use]
pub fn belt_share(machine: &Machine, axis: &Axis) -> f64 {
    let own = axis.top_speed.nominal();
    if crosses(machine.kinematics, axis) && own.base() > 0.0 {
        (top_speed(machine, axis).nominal() / own).base()
    } else {
        tower_factor(machine, axis)
    }
}

/// Speed of the shaft of a motor at a speed of its axis.
#[must_use]
pub fn shaft_speed(axis: &Axis, speed: Value<Velocity>) -> Value<AngularVelocity> {
    let turns = speed / travel_per_turn(axis);
    turns.map(|turns| AngularVelocity::from_base(TAU * turns.base()))
}

/// How the two motors of a driver are joined: by its sockets, or side by side over a Y-lead.
#[must_use]
pub fn joint(pair: &Pair<'_>, driver: &Driver) -> Joint {
    if has_second_socket(pair) {
        driver.joint
    } else {
        Joint::Parallel
    }
}

/// The first motor of an axis: the one with which a second shares its driver.
pub(crate) fn first_of<'a>(pair: &Pair<'a>, axis: AxisId) -> Option<&'a Motor> {
    let machine = &pair.swap.machine;
    motor(&machine.device(machine.motors_of(axis).next()?).detail)
}

/// The effective current that a driver must give for this motor, and for the other on it: the first one of the axis where this is
/// the second, whichever it is in a whole assignment.
#[must_use]
pub fn driver_current(pair: &Pair<'_>) -> Option<Value<ElectricCurrent>> {
    let own = motor(&pair.device().detail)?;
    let partner = pair
        .partner
        .and_then(|partner| motor(&pair.swap.machine.device(partner).detail));
    let other = match pair.way.second {
        true => partner.or_else(|| first_of(pair, own.axis)),
        false => partner,
    };
    let (own, Some(other)) = (own.run_current, other.map(|other| other.run_current)) else {
        return Some(own.run_current);
    };
    Some(match joint(pair, pair.driver()?) {
        Joint::Parallel => own + other,
        Joint::Series => Value::corners(|end| own.at(end).larger(other.at(end))),
    })
}

/// A current as its driver states currents.
pub(crate) fn as_stated(driver: &Driver, rms: Value<ElectricCurrent>) -> Value<ElectricCurrent> {
    match driver.measure {
        Measure::Peak => rms.map(motion::peak_of_rms),
        Measure::Rms => rms,
    }
}

/// A motor with the figures that its behaviour at speed needs.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Winding {
    pub holding: Value<Torque>,
    pub rated: Value<ElectricCurrent>,
    pub resistance: Value<ElectricalResistance>,
    pub inductance: Value<Inductance>,
    pub rotor_teeth: Ratio,
}

/// The figures of a motor; `None` where its file does not state them all. Usual tolerances where it states none.
pub(crate) fn winding(limits: &Limits, motor: &Motor) -> Option<Winding> {
    let usual = |tolerance: Value<Ratio>| tolerance.nominal().base();
    Some(Winding {
        holding: motor.holding_torque?.value,
        rated: motor.current.value,
        resistance: tolerated(
            motor.resistance?.value,
            usual(limits.motor_resistance_tolerance.value),
        ),
        inductance: tolerated(
            motor.inductance?.value,
            usual(limits.motor_inductance_tolerance.value),
        ),
        rotor_teeth: si::ratio(f64::from(motor.steps_per_turn) / 4.0),
    })
}

fn tolerated<Q: Number>(stated: Value<Q>, usual: f64) -> Value<Q> {
    if stated.is_exact() {
        Value::relative(stated.nominal(), usual)
    } else {
        stated
    }
}

impl Winding {
    /// Peak of the back-EMF at a speed of the shaft.
    pub fn back_emf(&self, speed: Value<AngularVelocity>) -> Value<ElectricPotential> {
        Value::corners(|end| {
            motion::back_emf(self.holding.at(end), self.rated.at(end.other()), speed.at(end))
        })
    }
}

/// Back-EMF at the homing speed against the least that the driver can tell; `None` where a figure is not stated.
pub(crate) struct StallSignal {
    /// Speed of the shaft at the homing speed.
    pub speed: Value<AngularVelocity>,
    /// Peak of the back-EMF there.
    pub back_emf: Value<ElectricPotential>,
    /// The driver's floor, or the usual share of the supply.
    pub floor: Value<ElectricPotential>,
}

/// See [`StallSignal`].
pub(crate) fn stall_signal(pair: &Pair<'_>) -> Option<StallSignal> {
    let motor = motor(&pair.device().detail)?;
    let axis = pair.swap.machine.axis(motor.axis);
    let speed = shaft_speed(axis, axis.homing_speed?.value);
    let limits = pair.limits();
    let (holding, rated) = (motor.holding_torque?.value, motor.current.value);
    let back_emf =
        Value::corners(|end| motion::back_emf(holding.at(end), rated.at(end.other()), speed.at(end)));
    let floor = pair.driver()?.load_floor.map_or_else(
        || {
            let share = limits.stall_back_emf_share.value.nominal();
            pair.supply_voltage().map(|supply| supply * share)
        },
        |floor| floor.value,
    );
    Some(StallSignal {
        speed,
        back_emf,
        floor,
    })
}
