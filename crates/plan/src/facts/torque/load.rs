//! What one axis alone has to move: mass, weight, friction, and the rotor of its motor.

use catalogue::Limits;
use model::machine::{Axis, AxisId, Drive, Machine};
use physics::motion;
use quantity::si::{Acceleration, Force, Mass, MomentOfInertia, Ratio};
use quantity::{Number, Value, si};

use crate::facts::axes::{self, motor_of};
use crate::facts::kinematics;

/// What one axis alone has to move, for each of the motors that share it.
pub(crate) struct Load {
    pub mass: Option<Value<Mass>>,
    pub acceleration: Option<Value<Acceleration>>,
    pub lift: Value<Ratio>,
    pub friction: Value<Force>,
    /// What the rotor of the motor stands for; it has no weight on the axis.
    pub rotor: Value<Mass>,
}

impl Load {
    /// `None` for an extruder whose file does not state what pushes the filament.
    pub fn of(machine: &Machine, limits: &Limits, id: AxisId) -> Option<Self> {
        let axis = machine.axis(id);
        let sharing = if kinematics::carries_each(machine, axis) {
            1
        } else {
            machine.motors_of(id).count().max(1)
        };
        let share = 1.0 / f64::from(u32::try_from(sharing).unwrap_or(u32::MAX));
        let assumed = match axis.drive {
            Drive::Belt { .. } => Some(limits.axis_friction.value),
            // The efficiency of a plain screw is that of its friction.
            Drive::Screw { .. } => Some(Value::exact(Force::from_base(0.0))),
            Drive::Extruder { .. } => None,
        };
        Some(Self {
            mass: axis.mass.map(|mass| mass.value.scale(share)),
            acceleration: axis.acceleration.map(|asked| asked.value),
            lift: lift(machine, limits, axis),
            friction: axis.friction.map(|stated| stated.value).or(assumed)?.scale(share),
            rotor: rotor(machine, limits, id),
        })
    }
    /// All that accelerates.
    pub fn moved(&self) -> Option<Value<Mass>> {
        Some(self.mass? + self.rotor)
    }
    pub fn accelerating(&self) -> Option<Value<Force>> {
        Some(self.moved()? * self.acceleration?)
    }
    pub fn weight(&self) -> Value<Force> {
        let fall = Value::exact(motion::free_fall());
        // A mass that is not stated has no weight to count; the checks say that it is not.
        self.mass.map_or(Value::exact(Force::from_base(0.0)), |mass| {
            mass * (fall * self.lift)
        })
    }
}

/// The moment of inertia of the motor of an axis, of several the largest; the two motors of crossed belts move both axes. Usual where the file
/// states none.
pub(crate) fn rotor_inertia(machine: &Machine, limits: &Limits, id: AxisId) -> Value<MomentOfInertia> {
    let usual = limits.motor_rotor_inertia.value;
    let crossed = |axis: AxisId| kinematics::crosses(machine.kinematics, machine.axis(axis));
    let stated = machine.device_ids().filter_map(|(_, device)| {
        let (motor, axis) = motor_of(device)?;
        let moves = axis == id || crossed(axis) && crossed(id);
        moves.then(|| motor.rotor_inertia.map_or(usual, |stated| stated.value))
    });
    let larger = |one: Value<MomentOfInertia>, other: Value<MomentOfInertia>| {
        Value::corners(|end| one.at(end).larger(other.at(end)))
    };
    stated.reduce(larger).unwrap_or(usual)
}

/// The mass on the axis that the rotor of its motor stands for.
fn rotor(machine: &Machine, limits: &Limits, id: AxisId) -> Value<Mass> {
    let inertia = rotor_inertia(machine, limits, id);
    let travel = axes::travel_per_turn(machine.axis(id));
    Value::corners(|end| motion::rotor_mass(inertia.at(end), travel.at(end.other())))
}

/// The share of its weight that an axis lifts: as stated, else all of it for a lead screw, the sine of the tilt for the gantry of a
/// belt bed, and nothing for other belts.
fn lift(machine: &Machine, limits: &Limits, axis: &Axis) -> Value<Ratio> {
    if let Some(stated) = axis.weight_share {
        return stated.value;
    }
    match axis.drive {
        Drive::Screw { .. } => Value::exact(si::ratio(1.0)),
        Drive::Belt { .. } if kinematics::is_gantry(machine, axis) => {
            let stated = machine.geometry.as_ref().and_then(|geometry| geometry.tilt);
            let tilt = stated.map_or(limits.belt_bed_tilt.value, |stated| stated.value);
            tilt.map(|tilt| si::ratio(tilt.base().sin()))
        }
        _ => Value::exact(si::ratio(0.0)),
    }
}

pub(crate) fn efficiency(limits: &Limits, axis: &Axis) -> Value<Ratio> {
    axis.efficiency.map_or_else(
        || match axis.drive {
            Drive::Belt { .. } | Drive::Extruder { .. } => limits.drive_belt_efficiency.value,
            Drive::Screw { .. } => limits.drive_screw_efficiency.value,
        },
        |stated| stated.value,
    )
}
