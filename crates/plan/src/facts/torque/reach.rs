//! How far a motion holds that is asked of an axis, and which corner its motors can follow.

use core::f64::consts::TAU;

use model::machine::AxisId;
use physics::{Working, motion, named, work};
use quantity::si::{Acceleration, Length, Velocity};
use quantity::{Number, Value};

use crate::facts::axes::{self, motor_of};
use crate::facts::kinematics;
use crate::facts::of_pair::PairFacts;
use crate::facts::of_whole::WholeFacts;
use crate::facts::torque::drive::Given;
use crate::facts::torque::on_axis::asked;
use crate::facts::torque::reserve::{axis_speed, usable, with_reserve};

/// On which board a motor is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum On {
    /// The board of the assignment.
    New,
    /// The old board.
    Old,
}

/// How far a motion holds that is asked of an axis: of its weakest motor, at the worst corner, with its reserve of torque kept.
#[derive(Clone, Debug)]
pub struct Reach {
    /// The motor, as sentences name it.
    pub motor: String,
    /// The speed up to which the acceleration that is asked holds; nothing where it does at none.
    pub speed: Velocity,
    /// The acceleration that holds at the speed that is asked; `None` where the mass is not known.
    pub acceleration: Option<Acceleration>,
    /// What the motor gives at the speed that is asked.
    pub working: Working,
}

/// The motors of an axis on a board.
fn motors<'f, 'a>(
    facts: &'f WholeFacts<'a>,
    id: AxisId,
    on: On,
) -> impl Iterator<Item = (&'f PairFacts<'a>, Given)> {
    facts.pairs().filter_map(move |pair| {
        motor_of(pair.device()).filter(|(_, own)| *own == id)?;
        let given = match on {
            On::New => pair.motor().copied(),
            On::Old => Given::on_old_board(pair),
        };
        Some((pair, given?))
    })
}

/// How far a motion holds: a speed of the axis, and an acceleration, or even speed where none is given.
///
/// `None` where the files do not tell enough of the motors, or of what the axis asks for.
#[must_use]
pub fn reach(
    facts: &WholeFacts<'_>,
    id: AxisId,
    on: On,
    speed: Velocity,
    acceleration: Option<Acceleration>,
) -> Option<Reach> {
    let (machine, limits) = (&facts.swap.machine, facts.limits());
    let axis = machine.axis(id);
    let none = Acceleration::from_base(0.0);
    let asked = asked(machine, limits, id)?.accelerated(Value::exact(acceleration.unwrap_or(none)));
    let needed = with_reserve(limits, asked.torque());
    let shaft = axes::shaft_speed(axis, Value::exact(speed * kinematics::belt_share(machine, axis)));
    let reaches = motors(facts, id, on).map(|(pair, given)| {
        let usable = usable(limits, Value::exact(given.least(shaft.high())));
        Reach {
            motor: pair.device_name().to_owned(),
            speed: axis_speed(machine, axis, given.speed_for(needed)).low(),
            acceleration: asked
                .acceleration_from(Value::exact(usable.low()))
                .map(|holds| holds.low()),
            working: given.working(shaft),
        }
    });
    reaches.min_by(|one, other| one.speed.base().total_cmp(&other.speed.base()))
}

/// The sudden change of speed that the motors of an axis can follow, as at a corner.
#[derive(Clone, Copy, Debug)]
pub struct Corners {
    /// The acceleration from slow speed with the reserve kept.
    pub acceleration: Value<Acceleration>,
    /// Travel of the axis for one full step.
    pub step: Value<Length>,
    /// The change of speed.
    pub speed: Value<Velocity>,
}

/// The change of speed that the weakest motor of an axis can follow; `None` where the files do not tell enough.
#[must_use]
pub fn corners(facts: &WholeFacts<'_>, id: AxisId, on: On) -> Option<Corners> {
    let asked = asked(&facts.swap.machine, facts.limits(), id)?;
    let weakest = motors(facts, id, on).min_by(|one, other| {
        let at_rest = |given: &Given| given.at_rest().low().base();
        at_rest(&one.1).total_cmp(&at_rest(&other.1))
    });
    let (pair, given) = weakest?;
    let (motor, _) = motor_of(pair.device())?;
    let acceleration = asked.acceleration_from(usable(facts.limits(), given.at_rest()))?;
    let machine = &facts.swap.machine;
    // The motor makes up its change within a full step of its belt: of the axis that is less, by as much as the belt is faster.
    let share = kinematics::corner_share(machine, machine.axis(id));
    let step = asked.travel.scale(axes::full_step(motor).base() / TAU / share);
    let speed = Value::corners(|end| motion::corner_speed(acceleration.at(end), step.at(end)));
    Some(Corners {
        acceleration,
        step,
        speed,
    })
}

impl Corners {
    /// How the change of speed comes about.
    #[must_use]
    pub fn working(&self) -> Working {
        let inputs = (
            named(
                "a",
                "acceleration from slow speed, with the reserve kept",
                self.acceleration,
            ),
            named("δ", "travel of the axis in one full step of its motor", self.step),
        );
        work(&motion::CORNER_SPEED, "v", inputs, |(acceleration, step)| {
            motion::corner_speed(acceleration, step)
        })
        .working
    }
}
