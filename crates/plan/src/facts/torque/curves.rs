//! Torque over speed, for a picture.

use model::Connection;
use model::machine::{Axis, Machine};
use quantity::si::{Acceleration, AngularVelocity, Torque, Velocity};
use quantity::{Number, Value};

use crate::facts::axes::{self, motor_of};
use crate::facts::kinematics;
use crate::facts::of_whole::WholeFacts;
use crate::facts::torque::drive::Given;
use crate::facts::torque::on_axis::asked;
use crate::facts::torque::reserve::{axis_speed, with_reserve};

/// What a motor gives over speed, and what its axis asks, for a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// The axis.
    pub axis: String,
    /// The motors that it holds for, as sentences name them.
    pub motors: Vec<String>,
    /// How the motor is joined to a second one on its driver; `None` where it is alone there.
    pub joint: Option<Connection>,
    /// Points in rising order of speed, from rest.
    pub points: Vec<CurvePoint>,
    /// What is asked of the motor; `None` where the machine's file does not tell it.
    pub demand: Option<Demand>,
    /// The highest speed that is asked of the axis.
    pub max_speed: Value<Velocity>,
    /// The acceleration that is asked of it.
    pub acceleration: Option<Value<Acceleration>>,
    /// The speed up to which the reserve of torque is kept, as the check `max-speed` finds it.
    pub holds: Option<Value<Velocity>>,
}

/// The torque that an axis asks of one of its motors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// At even speed.
    pub steady: Value<Torque>,
    /// While the axis accelerates as asked; as at even speed where no acceleration or mass is known.
    pub accelerating: Value<Torque>,
    /// What the motor must have then so that its reserve is kept.
    pub with_reserve: Value<Torque>,
}

/// One point of a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurvePoint {
    /// Speed of the axis.
    pub speed: Velocity,
    /// The pull-out torque over all tolerances.
    pub torque: Value<Torque>,
    /// The torque with nominal figures on the old board.
    pub old: Option<Torque>,
}

/// How many steps a curve has.
const CURVE_STEPS: u32 = 60;

/// A curve shows at least so many times the top speed that is asked, and at most so many.
const CURVE_REACH: [f64; 2] = [1.5, 8.0];

/// The curves of all connected motors whose files state their figures, up to where a third of the nominal torque is left, as far as that
/// lies between 1.5 and 8 times the top speed. The top speed is a point of its own.
///
/// Motors of one axis whose curves agree are shown once. The points come from the functions that the checks `acceleration` and
/// `max-speed` judge by.
#[must_use]
pub fn curves(facts: &WholeFacts<'_>) -> Vec<Curve> {
    let machine = &facts.swap.machine;
    let mut out: Vec<Curve> = Vec::new();
    for pair in facts.pairs() {
        let Some((_, id)) = motor_of(pair.device()) else {
            continue;
        };
        let Some(given) = pair.motor() else {
            continue;
        };
        let (axis, asked) = (machine.axis(id), asked(machine, facts.limits(), id));
        let demand = asked.map(|asked| Demand {
            steady: asked.torque_of(asked.steady()),
            accelerating: asked.torque(),
            with_reserve: with_reserve(facts.limits(), asked.torque()),
        });
        let holds = demand.map(|demand| axis_speed(machine, axis, given.speed_for(demand.with_reserve)));
        let curve = Curve {
            axis: axis.name.value.clone(),
            motors: vec![pair.device_name().to_owned()],
            joint: given.joint(),
            points: points(machine, axis, given, Given::on_old_board(pair).as_ref()),
            demand,
            max_speed: axis.max_speed.value,
            acceleration: axis.acceleration.map(|asked| asked.value),
            holds,
        };
        let known = out.iter_mut().find(|other| {
            other.axis == curve.axis
                && other.points == curve.points
                && other.demand == curve.demand
                && other.joint == curve.joint
        });
        match known {
            Some(other) => other.motors.extend(curve.motors),
            None => out.push(curve),
        }
    }
    out
}

fn points(machine: &Machine, axis: &Axis, given: &Given, old: Option<&Given>) -> Vec<CurvePoint> {
    let top = axis.max_speed.high();
    let third = Value::exact(given.nominal().torque(AngularVelocity::from_base(0.0)) / 3.0);
    let falls = axis_speed(machine, axis, given.speed_for(third)).nominal();
    let [least, most] = CURVE_REACH.map(|times| top * times);
    let end = falls.larger(least).smaller(most);
    let step = |at: u32| end * (f64::from(at) / f64::from(CURVE_STEPS));
    let below = (0..=CURVE_STEPS).map(step).filter(|speed| *speed < top);
    let above = (0..=CURVE_STEPS).map(step).filter(|speed| *speed > top);
    let share = kinematics::belt_share(machine, axis);
    let point = |speed| {
        // The wheel's tolerance makes one speed of the axis a range of speeds of the shaft.
        let shaft = axes::shaft_speed(axis, Value::exact(speed * share));
        CurvePoint {
            speed,
            torque: Value::between(
                given.least(shaft.high()),
                given.nominal().torque(shaft.nominal()),
                given.most(shaft.low()),
            ),
            old: old.map(|old| old.nominal().torque(shaft.nominal())),
        }
    };
    below.chain([top]).chain(above).map(point).collect()
}
