//! Motors at work: what a motor gives on its driver at a speed, and what its axis asks of it, for each kind of kinematics.

use core::f64::consts::TAU;

use catalogue::Limits;
use model::board::{Driver, PortKind};
use model::machine::{Axis, AxisId, Detail, Device, Drive, Machine, Motor};
use model::{Joint, Kinematics};
use physics::motion::{self, MotorDrive, Place};
use physics::{Working, named, work};
use quantity::si::{
    Acceleration, AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance, Force,
    Inductance, Length, Mass, MomentOfInertia, Ratio, Torque, Velocity,
};
use quantity::{Number, Value, si};

use crate::facts::axes::{self, Winding};
use crate::facts::setup::{Pair, Setup};

/// A motor on a driver.
#[derive(Clone, Copy, Debug)]
pub struct Given {
    winding: Winding,
    /// Winding and switches of the driver in series.
    resistance: Value<ElectricalResistance>,
    /// What one motor sees of the supply.
    supply: Value<ElectricPotential>,
    /// What one motor gets, peak of one phase.
    current: Value<ElectricCurrent>,
    /// How it is joined to a second motor on its driver.
    joint: Option<Joint>,
}

/// The constants of a motor at one corner of its tolerances.
type Magnet = (Torque, ElectricCurrent);

impl Given {
    /// A motor alone on a driver, or with a second one joined to it; `None` where its file lacks a figure.
    ///
    /// The current is the one it shall run at, or what the driver can give.
    fn of(
        limits: &Limits,
        motor: &Motor,
        driver: &Driver,
        (supply, switches): (Value<ElectricPotential>, Option<Value<ElectricalResistance>>),
        shared: Option<Joint>,
    ) -> Option<Self> {
        let winding = axes::winding(limits, motor)?;
        let most = driver.rms_range().high();
        let most = if shared == Some(Joint::Parallel) {
            most / 2.0
        } else {
            most
        };
        let current = motor
            .run_current
            .map(|run| motion::peak_of_rms(run.smaller(most)));
        let switches = switches.unwrap_or(Value::exact(si::ohm(0.0)));
        // Two motors in series share the supply and the switches; side by side, the switches carry the current of both.
        let (share, crowd) = match shared {
            Some(Joint::Series) => (0.5, 0.5),
            Some(Joint::Parallel) => (1.0, 2.0),
            None => (1.0, 1.0),
        };
        Some(Self {
            winding,
            resistance: winding.resistance * limits.motor_hot_resistance_factor.value + switches.scale(crowd),
            supply: supply.scale(share),
            current,
            joint: shared,
        })
    }

    /// The motor of a pair, as the assignment asks: alone, or as the second on its driver.
    #[must_use]
    pub fn of_pair(pair: &Pair<'_>) -> Option<Self> {
        let (motor, driver) = (axes::motor(&pair.device().detail)?, pair.driver()?);
        let shared = pair.way.second.then(|| axes::joint(pair, driver));
        Self::of(
            pair.limits(),
            motor,
            driver,
            (pair.supply_voltage(), switches(pair.limits(), driver)),
            shared,
        )
    }

    /// The motor of a pair in a whole assignment, where it is known whether another motor shares its driver.
    #[must_use]
    pub fn in_setup(setup: &Setup<'_>, pair: &Pair<'_>) -> Option<Self> {
        let (motor, driver) = (axes::motor(&pair.device().detail)?, pair.driver()?);
        let shared = pair.partner.map(|_| axes::joint(pair, driver));
        Self::of(
            setup.limits(),
            motor,
            driver,
            (pair.supply_voltage(), switches(pair.limits(), driver)),
            shared,
        )
    }

    /// The motor where it was on the old board; `None` for a new one.
    #[must_use]
    pub fn on_old_board(pair: &Pair<'_>) -> Option<Self> {
        let (motor, driver) = (axes::motor(&pair.device().detail)?, pair.old_driver()?);
        let own = pair.old_port()?;
        let others = pair
            .swap
            .machine
            .devices
            .iter()
            .filter(|device| device.tag != pair.device().tag);
        let mut shared = None;
        for port in others.filter_map(|device| crate::facts::setup::old_port(pair.swap, device)) {
            if matches!((&port.kind, &own.kind), (PortKind::Motor { driver: one }, PortKind::Motor { driver: other }) if one == other)
            {
                // Two plugs in one socket hang on a Y-lead, which joins them side by side.
                shared = Some(if port.name == own.name {
                    Joint::Parallel
                } else {
                    driver.joint
                });
            }
        }
        // A resistance that the old board's file does not state is no change.
        let limits = pair.limits();
        let switches = switches(limits, driver).or_else(|| switches(limits, pair.driver()?));
        Self::of(pair.limits(), motor, driver, (old_supply(pair), switches), shared)
    }

    fn drive(&self, (holding, rated): Magnet, end: fn(&Corner) -> End) -> MotorDrive {
        let (resistance, inductance, supply, current) = end(&Corner(*self));
        MotorDrive {
            holding,
            rated,
            resistance,
            inductance,
            rotor_teeth: self.winding.rotor_teeth,
            supply,
            current,
        }
    }

    /// The motor with nominal figures.
    #[must_use]
    pub fn nominal(&self) -> MotorDrive {
        let magnet = (self.winding.holding.nominal(), self.winding.rated.nominal());
        self.drive(magnet, Corner::nominal)
    }

    /// The motor at both corners where it may give least: a weak magnet gives little at rest, a strong one runs out of voltage sooner.
    fn weakest(&self) -> [MotorDrive; 2] {
        let winding = &self.winding;
        [
            (winding.holding.low(), winding.rated.high()),
            (winding.holding.high(), winding.rated.low()),
        ]
        .map(|magnet| self.drive(magnet, Corner::weak))
    }

    /// The least torque at a speed, over all tolerances.
    #[must_use]
    pub fn least(&self, speed: AngularVelocity) -> Torque {
        let [one, other] = self.weakest();
        one.torque(speed).smaller(other.torque(speed))
    }

    /// No torque at a speed is above this: the strength of a strong magnet with the back-EMF of a weak one.
    #[must_use]
    pub fn most(&self, speed: AngularVelocity) -> Torque {
        let winding = &self.winding;
        let weak = (winding.holding.low(), winding.rated.high());
        let current = self.drive(weak, Corner::strong).current(speed);
        motion::torque_at_current(winding.holding.high(), winding.rated.low(), current)
    }

    /// Torque at a speed with its interval.
    #[must_use]
    pub fn torque(&self, speed: AngularVelocity) -> Value<Torque> {
        Value::between(self.least(speed), self.nominal().torque(speed), self.most(speed))
    }

    /// The highest speed of the shaft at which it still gives a torque; at rest where it never does.
    #[must_use]
    pub fn speed_for(&self, torque: Value<Torque>) -> Value<AngularVelocity> {
        let still = AngularVelocity::from_base(0.0);
        let of = |drive: &MotorDrive, torque| drive.speed_for(torque).unwrap_or(still);
        let [one, other] = self.weakest();
        let least = of(&one, torque.high()).smaller(of(&other, torque.high()));
        // `most` belongs to no one motor: found by halving, up to where the weak magnet's back-EMF meets the supply.
        let emf = motion::back_emf(
            self.winding.holding.low(),
            self.winding.rated.high(),
            AngularVelocity::from_base(1.0),
        );
        let (mut holds, mut fails) = (0.0, self.supply.high().base() / emf.base());
        for _ in 0..40 {
            let middle = f64::midpoint(holds, fails);
            if self.most(AngularVelocity::from_base(middle)) >= torque.low() {
                holds = middle;
            } else {
                fails = middle;
            }
        }
        Value::between(
            least,
            of(&self.nominal(), torque.nominal()),
            AngularVelocity::from_base(fails),
        )
    }

    /// What the motor gives at a speed of its shaft, as a working.
    #[must_use]
    pub fn working(&self, speed: Value<AngularVelocity>) -> Working {
        let inputs = (
            named("Mₕ", "holding torque", self.winding.holding),
            named("Iᵣ", "rated current", self.winding.rated),
            named(
                "R",
                "winding, cold to hot, and switches of the driver",
                self.resistance,
            ),
            named("L", "inductance of the winding", self.winding.inductance),
            named("Nᵣ", "teeth of the rotor", Value::exact(self.winding.rotor_teeth)),
            named("U", "what one motor has of the supply", self.supply),
            named("I", "what one motor gets, peak of one phase", self.current),
            named("ω", "speed of the shaft", speed),
        );
        let at = |(holding, rated, resistance, inductance, rotor_teeth, supply, current, speed)| {
            let drive = MotorDrive {
                holding,
                rated,
                resistance,
                inductance,
                rotor_teeth,
                supply,
                current,
            };
            drive.torque(speed)
        };
        work(&motion::PULL_OUT, "M", inputs, at).working
    }

    /// The voltage that a current needs at a speed, through winding and switches.
    #[must_use]
    pub fn voltage_for(
        &self,
        peak: Value<ElectricCurrent>,
        speed: Value<AngularVelocity>,
    ) -> Value<ElectricPotential> {
        let emf = self.winding.back_emf(speed);
        let (resistance, inductance) = (self.resistance, self.winding.inductance);
        let teeth = self.winding.rotor_teeth;
        Value::corners(|end| {
            motion::voltage_at_speed(
                resistance.at(end),
                inductance.at(end),
                peak.at(end),
                emf.at(end),
                teeth,
                speed.at(end),
            )
        })
    }

    /// How [`Self::voltage_for`] comes about: back-EMF, then voltage.
    #[must_use]
    pub fn voltage_workings(
        &self,
        peak: Value<ElectricCurrent>,
        speed: Value<AngularVelocity>,
    ) -> [Working; 2] {
        let winding = &self.winding;
        let inputs = (
            named("Mₕ", "holding torque", winding.holding),
            named("Iᵣ", "rated current", winding.rated),
            named("ω", "speed of the shaft", speed),
        );
        let emf = work(&motion::BACK_EMF, "E", inputs, |(holding, rated, speed)| {
            motion::back_emf(holding, rated, speed)
        });
        let inputs = (
            named(
                "R",
                "winding, cold to hot, and switches of the driver",
                self.resistance,
            ),
            named("L", "inductance of the winding", winding.inductance),
            named("I", "run current, peak of one phase", peak),
            named("E", "back-EMF", emf.value),
            named("Nᵣ", "teeth of the rotor", Value::exact(winding.rotor_teeth)),
            named("ω", "speed of the shaft", speed),
        );
        let voltage = work(
            &motion::VOLTAGE_AT_SPEED,
            "U",
            inputs,
            |(r, l, i, e, teeth, speed)| motion::voltage_at_speed(r, l, i, e, teeth, speed),
        );
        [emf.working, voltage.working]
    }

    /// How it is joined to a second motor on its driver; `None` where it is alone there.
    #[must_use]
    pub fn joint(&self) -> Option<Joint> {
        self.joint
    }
    /// Current of one motor, peak of one phase.
    #[must_use]
    pub fn current(&self) -> Value<ElectricCurrent> {
        self.current
    }
    /// What one motor sees of the supply.
    #[must_use]
    pub fn supply(&self) -> Value<ElectricPotential> {
        self.supply
    }
    /// Winding and switches in series.
    #[must_use]
    pub fn resistance(&self) -> Value<ElectricalResistance> {
        self.resistance
    }
    /// Torque at rest at the set current, at its least.
    #[must_use]
    pub fn at_rest(&self) -> Value<Torque> {
        self.torque(AngularVelocity::from_base(0.0))
    }
    /// Teeth of the rotor.
    #[must_use]
    pub fn rotor_teeth(&self) -> Ratio {
        self.winding.rotor_teeth
    }
}

/// One end of what goes into a motor beside its magnet.
struct Corner(Given);

type End = (
    ElectricalResistance,
    Inductance,
    ElectricPotential,
    ElectricCurrent,
);

impl Corner {
    fn weak(&self) -> End {
        let given = &self.0;
        (
            given.resistance.high(),
            given.winding.inductance.high(),
            given.supply.low(),
            given.current.low(),
        )
    }
    fn nominal(&self) -> End {
        let given = &self.0;
        (
            given.resistance.nominal(),
            given.winding.inductance.nominal(),
            given.supply.nominal(),
            given.current.nominal(),
        )
    }
    fn strong(&self) -> End {
        let given = &self.0;
        (
            given.resistance.low(),
            given.winding.inductance.low(),
            given.supply.high(),
            given.current.high(),
        )
    }
}

/// The two switches that the current of a phase flows through: as stated, or at the most as hot as they get.
fn switches(limits: &Limits, driver: &Driver) -> Option<Value<ElectricalResistance>> {
    let on = driver.on_resistance?.value;
    let hot = limits.switch_hot_resistance_factor.value.high();
    Some(Value::between(on.low(), on.nominal(), on.high() * hot))
}

/// The supply that the old board had.
#[must_use]
pub fn old_supply(pair: &Pair<'_>) -> Value<ElectricPotential> {
    let stated = pair
        .swap
        .machine
        .supplies()
        .next()
        .and_then(|(_, supply)| supply.old_voltage);
    stated.map_or_else(|| pair.supply_voltage(), |old| old.value)
}

/// What an axis asks of one of its motors, as forces at its belt, nut or wheel.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    /// The force that accelerates as the axis is asked to; `None` where mass or acceleration is not stated.
    pub accelerating: Option<Value<Force>>,
    /// The mass that this force stands for, over the acceleration of the axis; with what the rotor stands for.
    pub mass: Option<Value<Mass>>,
    /// The weight that the motor lifts.
    pub weight: Value<Force>,
    /// Friction, or what pushes the filament.
    pub friction: Value<Force>,
    /// Travel in one turn of the motor.
    pub travel: Value<Length>,
    /// Share of its work that the drive passes on.
    pub efficiency: Value<Ratio>,
}

impl Asked {
    /// All forces together while the axis accelerates, or moves evenly where no acceleration is known.
    #[must_use]
    pub fn force(&self) -> Value<Force> {
        self.steady() + self.accelerating.unwrap_or(Value::exact(Force::from_base(0.0)))
    }
    /// The force at even speed.
    #[must_use]
    pub fn steady(&self) -> Value<Force> {
        self.weight + self.friction
    }
    /// The same with another acceleration asked of the axis.
    #[must_use]
    pub fn accelerated(self, asked: Value<Acceleration>) -> Self {
        Self {
            accelerating: self.mass.map(|mass| mass * asked),
            ..self
        }
    }
    /// The torque at the motor for a force.
    #[must_use]
    pub fn torque_of(&self, force: Value<Force>) -> Value<Torque> {
        let (travel, efficiency) = (self.travel, self.efficiency);
        Value::corners(|end| motion::axis_torque(force.at(end), travel.at(end), efficiency.at(end.other())))
    }
    /// The torque at the motor for all forces together.
    #[must_use]
    pub fn torque(&self) -> Value<Torque> {
        self.torque_of(self.force())
    }
    /// The acceleration of the axis that a torque of the motor gives; `None` where the mass is not known.
    #[must_use]
    pub fn acceleration_from(&self, torque: Value<Torque>) -> Option<Value<Acceleration>> {
        let mass = self.mass?;
        let (travel, efficiency, steady) = (self.travel, self.efficiency, self.steady());
        let level = si::ratio(0.0);
        let at = |torque, travel, efficiency, steady, mass| {
            motion::reachable_acceleration(torque, travel, efficiency, steady, mass, level)
                .larger(Acceleration::from_base(0.0))
        };
        Some(Value::corners(|end| {
            at(
                torque.at(end),
                travel.at(end.other()),
                efficiency.at(end),
                steady.at(end.other()),
                mass.at(end.other()),
            )
        }))
    }
}

/// How the torque comes about that an axis asks of one of its motors, in the order of reading; empty where nothing is known of it.
#[must_use]
pub fn workings(machine: &Machine, limits: &Limits, id: AxisId) -> Vec<Working> {
    let Some(asked) = asked(machine, limits, id) else {
        return Vec::new();
    };
    let mut out = Vec::new();
    let none = Value::exact(Acceleration::from_base(0.0));
    let mut pull = |what: &str, load: &Load| {
        let Some(mass) = load.mass else { return };
        let inputs = (
            named("m", what, mass),
            named(
                "a",
                "acceleration that is asked for",
                load.acceleration.unwrap_or(none),
            ),
            named("s", "share of the weight that the motor lifts", load.lift),
            named("Fᵣ", "friction", load.friction),
        );
        let worked = work(
            &motion::AXIS_FORCE,
            "F",
            inputs,
            |(mass, acceleration, weight, friction)| motion::axis_force(mass, acceleration, weight, friction),
        );
        out.push(worked.working);
    };
    let axis = machine.axis(id);
    if axes::crosses(machine.kinematics, axis) {
        for other in (0..machine.axes.len()).map(AxisId) {
            let other_axis = machine.axis(other);
            if axes::crosses(machine.kinematics, other_axis)
                && let Some(load) = Load::of(machine, limits, other)
            {
                pull(
                    &format!(
                        "mass on {}; each of the two motors pulls half of X and half of Y",
                        other_axis.name
                    ),
                    &load,
                );
            }
        }
    } else if axes::tower(machine, id).is_some() && machine.geometry.is_some() {
        // The force at a tower is found over the whole rim: told as its mass, not as one place.
        if let (Some(mass), Some(acceleration)) = (asked.mass, axis.acceleration) {
            let load = Load {
                mass: Some(mass),
                acceleration: Some(acceleration.value),
                lift: asked.weight / (mass * Value::exact(motion::free_fall())),
                friction: asked.friction,
                rotor: Value::exact(Mass::from_base(0.0)),
            };
            pull("mass that a tower feels at the worst place of the rim", &load);
        }
    } else if let Some(load) = Load::of(machine, limits, id) {
        let sharing = machine.motors_of(id).count() > 1 && !axes::carries_each(machine, axis);
        pull(
            if sharing {
                "mass on the axis, for each motor"
            } else {
                "mass on the axis"
            },
            &load,
        );
    }
    out.extend(rotor_workings(machine, limits, id, &asked));
    let inputs = (
        named(
            "F",
            "force at the belt, nut or wheel: all together",
            asked.force(),
        ),
        named("h", "travel in one turn of the motor", asked.travel),
        named("η", "efficiency of the drive", asked.efficiency),
    );
    let torque = work(
        &motion::AXIS_TORQUE,
        "M",
        inputs,
        |(force, travel, efficiency)| motion::axis_torque(force, travel, efficiency),
    );
    out.push(torque.working);
    out
}

/// What one axis alone has to move, for each of the motors that share it.
struct Load {
    mass: Option<Value<Mass>>,
    acceleration: Option<Value<Acceleration>>,
    lift: Value<Ratio>,
    friction: Value<Force>,
    /// What the rotor of the motor stands for; it has no weight on the axis.
    rotor: Value<Mass>,
}

impl Load {
    /// `None` for an extruder whose file does not state what pushes the filament.
    fn of(machine: &Machine, limits: &Limits, id: AxisId) -> Option<Self> {
        let axis = machine.axis(id);
        let sharing = if axes::carries_each(machine, axis) {
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
            lift: lift(machine, axis),
            friction: axis.friction.map(|stated| stated.value).or(assumed)?.scale(share),
            rotor: rotor(machine, limits, id),
        })
    }
    /// All that accelerates.
    fn moved(&self) -> Option<Value<Mass>> {
        Some(self.mass? + self.rotor)
    }
    fn accelerating(&self) -> Option<Value<Force>> {
        Some(self.moved()? * self.acceleration?)
    }
    fn weight(&self) -> Value<Force> {
        let fall = Value::exact(motion::free_fall());
        // A mass that is not stated has no weight to count; the checks say that it is not.
        self.mass.map_or(Value::exact(Force::from_base(0.0)), |mass| {
            mass * (fall * self.lift)
        })
    }
}

/// The moment of inertia of the motor of an axis, of several the largest; the two motors of crossed belts move both axes. Usual where the file
/// states none.
fn rotor_inertia(machine: &Machine, limits: &Limits, id: AxisId) -> Value<MomentOfInertia> {
    let usual = limits.motor_rotor_inertia.value;
    let crossed = |axis: AxisId| axes::crosses(machine.kinematics, machine.axis(axis));
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

/// The same with its working, and the force that it takes to accelerate the rotor; empty where nothing accelerates.
fn rotor_workings(machine: &Machine, limits: &Limits, id: AxisId, asked: &Asked) -> Vec<Working> {
    let axis = machine.axis(id);
    let crossed = axes::crosses(machine.kinematics, axis);
    let accelerations = (0..machine.axes.len())
        .map(AxisId)
        .filter(|other| *other == id || crossed && axes::crosses(machine.kinematics, machine.axis(*other)));
    let accelerations: Option<Vec<Value<Acceleration>>> = accelerations
        .map(|other| machine.axis(other).acceleration.map(|stated| stated.value))
        .collect();
    let Some(accelerations) = accelerations.filter(|_| asked.accelerating.is_some()) else {
        return Vec::new();
    };
    let inputs = (
        named(
            "J",
            "moment of inertia of the rotor",
            rotor_inertia(machine, limits, id),
        ),
        named("h", "travel in one turn of the motor", asked.travel),
    );
    let mass = work(&motion::ROTOR_MASS, "m", inputs, |(inertia, travel)| {
        motion::rotor_mass(inertia, travel)
    });
    if axes::tower(machine, id).is_some() && machine.geometry.is_some() {
        // Told within the mass that the tower feels.
        return vec![mass.working];
    }
    let what = if crossed {
        "accelerations of both axes, which the rotor follows"
    } else {
        "acceleration that is asked for"
    };
    let inputs = (
        named("m", "mass that the rotor stands for", mass.value),
        named("a", what, accelerations.into_iter().sum()),
        named(
            "s",
            "share of its weight that the motor lifts: none",
            Value::exact(si::ratio(0.0)),
        ),
        named(
            "Fᵣ",
            "friction, counted with the axis",
            Value::exact(Force::from_base(0.0)),
        ),
    );
    let force = work(
        &motion::AXIS_FORCE,
        "F",
        inputs,
        |(mass, acceleration, weight, friction)| motion::axis_force(mass, acceleration, weight, friction),
    );
    vec![mass.working, force.working]
}

/// The share of its weight that an axis lifts: as stated, else all of it for a lead screw, the sine of the tilt for the gantry of a
/// belt bed, and nothing for other belts.
fn lift(machine: &Machine, axis: &Axis) -> Value<Ratio> {
    if let Some(stated) = axis.lift {
        return stated.value;
    }
    let tilt = machine.geometry.as_ref().and_then(|geometry| geometry.tilt);
    match (axis.drive, tilt) {
        (Drive::Screw { .. }, _) => Value::exact(si::ratio(1.0)),
        (Drive::Belt { .. }, Some(tilt)) if axes::is_gantry(machine, axis) => {
            tilt.map(|tilt| si::ratio(tilt.base().sin()))
        }
        _ => Value::exact(si::ratio(0.0)),
    }
}

fn efficiency(limits: &Limits, axis: &Axis) -> Value<Ratio> {
    axis.efficiency.map_or_else(
        || match axis.drive {
            Drive::Belt { .. } | Drive::Extruder { .. } => limits.drive_belt_efficiency.value,
            Drive::Screw { .. } => limits.drive_screw_efficiency.value,
        },
        |stated| stated.value,
    )
}

/// What an axis asks of one of its motors; `None` for an extruder whose file does not state what pushes the filament.
///
/// - Cartesian: mass, weight and friction, shared by the motors of the axis.
/// - Two carriages on a rail: each motor carries its own.
/// - Crossed belts: half of what X and Y ask, both at once: at a corner one slows down while the other speeds up.
/// - Delta: the worst place on the rim of what is printed and the worst direction there, by virtual work.
/// - Belt bed: the gantry lifts the sine of its tilt.
#[must_use]
pub fn asked(machine: &Machine, limits: &Limits, id: AxisId) -> Option<Asked> {
    let axis = machine.axis(id);
    let (travel, efficiency) = (axes::travel_per_turn(axis), efficiency(limits, axis));
    let own = Load::of(machine, limits, id)?;
    let asked = Asked {
        accelerating: own.accelerating(),
        mass: own.moved(),
        weight: own.weight(),
        friction: own.friction,
        travel,
        efficiency,
    };
    if axes::crosses(machine.kinematics, axis) {
        return Some(crossed(machine, limits, own.rotor, &asked));
    }
    if let Some(tower) = axes::tower(machine, id) {
        return Some(on_tower(machine, tower, &own, &asked).unwrap_or(asked));
    }
    Some(asked)
}

/// The rotor follows both axes at once, and has no other motor to share that with.
fn crossed(machine: &Machine, limits: &Limits, rotor: Value<Mass>, own: &Asked) -> Asked {
    let loads: Vec<Load> = (0..machine.axes.len())
        .map(AxisId)
        .filter(|id| axes::crosses(machine.kinematics, machine.axis(*id)))
        .filter_map(|id| Load::of(machine, limits, id))
        .collect();
    let half = |sum: Value<Force>| sum.scale(0.5);
    let pull = |load: &Load| Some((load.mass?.scale(0.5) + rotor) * load.acceleration?);
    let all: Option<Vec<Value<Force>>> = loads.iter().map(pull).collect();
    let masses: Option<Vec<Value<Mass>>> = loads.iter().map(|load| load.mass).collect();
    Asked {
        accelerating: all.map(|forces| forces.into_iter().sum()),
        mass: masses.map(|masses| masses.into_iter().map(|mass| mass.scale(0.5) + rotor).sum()),
        weight: half(loads.iter().map(Load::weight).sum()),
        friction: half(loads.iter().map(|load| load.friction).sum()),
        ..*own
    }
}

/// A tower of a delta; `None` where arm, radius or the mass of the nozzle is not stated, or the arms do not reach.
fn on_tower(machine: &Machine, tower: usize, own: &Load, asked: &Asked) -> Option<Asked> {
    let geometry = machine.geometry.as_ref()?;
    let nozzle = geometry.nozzle_mass?.value;
    let (any, down) = worst_shares(machine, |kinematics, place| {
        let one = Force::from_base(1.0);
        let none = Force::from_base(0.0);
        let share = |force| Some(kinematics.forces(place, force).ok()?[tower].base());
        let (x, y, z) = (
            share([one, none, none])?,
            share([none, one, none])?,
            share([none, none, one])?,
        );
        Some((x.hypot(y).hypot(z), z))
    })?;
    let speed = axes::tower_share(machine, tower)?;
    let carriage = own.mass.unwrap_or(Value::exact(Mass::from_base(0.0)));
    let fall = Value::exact(motion::free_fall());
    let mass = nozzle.scale(any) + (carriage + own.rotor).scale(speed);
    Some(Asked {
        accelerating: own.acceleration.map(|acceleration| mass * acceleration),
        mass: Some(mass),
        weight: (nozzle.scale(down) + carriage) * fall,
        ..*asked
    })
}

/// The largest of two figures over the middle and the rim of what a delta prints.
fn worst_shares(
    machine: &Machine,
    at: impl Fn(&motion::Kinematics, Place) -> Option<(f64, f64)>,
) -> Option<(f64, f64)> {
    let kinematics = axes::delta(machine)?;
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

/// The share of its speed that a motor may use so that its reserve of torque is kept.
#[must_use]
pub fn usable(limits: &Limits, torque: Value<Torque>) -> Value<Torque> {
    let kept = limits.motor_torque_reserve.value;
    Value::corners(|end| torque.at(end) * (1.0 - kept.at(end.other()).base()))
}

/// The torque that a motor must have so that a needed one leaves it its reserve.
#[must_use]
pub fn with_reserve(limits: &Limits, needed: Value<Torque>) -> Value<Torque> {
    let kept = limits.motor_torque_reserve.value;
    Value::corners(|end| needed.at(end) / (1.0 - kept.at(end).base()))
}

/// The speed at which a motor still gives a torque, as a speed of its axis.
#[must_use]
pub fn axis_speed(machine: &Machine, axis: &Axis, shaft: Value<AngularVelocity>) -> Value<Velocity> {
    let share = axes::belt_share(machine, axis);
    let travel = axes::travel_per_turn(axis);
    let at = |shaft: AngularVelocity, travel: Length| {
        Velocity::from_base(shaft.base() / TAU * travel.base() / share)
    };
    Value::corners(|end| at(shaft.at(end), travel.at(end)))
}

/// What a motor gives over speed, and what its axis asks, for a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// The axis.
    pub axis: String,
    /// The motors that it holds for, as sentences name them.
    pub motors: Vec<String>,
    /// How the motor is joined to a second one on its driver; `None` where it is alone there.
    pub joint: Option<Joint>,
    /// Points in rising order of speed, from rest.
    pub points: Vec<CurvePoint>,
    /// What is asked of the motor; `None` where the machine's file does not tell it.
    pub demand: Option<Demand>,
    /// The highest speed that is asked of the axis.
    pub top_speed: Value<Velocity>,
    /// The acceleration that is asked of it.
    pub acceleration: Option<Value<Acceleration>>,
    /// The speed up to which the reserve of torque is kept, as the check `speed-that-holds` finds it.
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
/// `speed-that-holds` judge by.
#[must_use]
pub fn curves(setup: &Setup<'_>) -> Vec<Curve> {
    let machine = &setup.swap.machine;
    let mut out: Vec<Curve> = Vec::new();
    for pair in setup.pairs() {
        let Some((_, id)) = motor_of(pair.device()) else {
            continue;
        };
        let Some(given) = Given::in_setup(setup, &pair) else {
            continue;
        };
        let (axis, asked) = (machine.axis(id), asked(machine, setup.limits(), id));
        let demand = asked.map(|asked| Demand {
            steady: asked.torque_of(asked.steady()),
            accelerating: asked.torque(),
            with_reserve: with_reserve(setup.limits(), asked.torque()),
        });
        let holds = demand.map(|demand| axis_speed(machine, axis, given.speed_for(demand.with_reserve)));
        let curve = Curve {
            axis: axis.name.value.clone(),
            motors: vec![pair.device_name()],
            joint: given.joint,
            points: points(machine, axis, &given, Given::on_old_board(&pair).as_ref()),
            demand,
            top_speed: axis.top_speed.value,
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
    let top = axis.top_speed.high();
    let third = Value::exact(given.nominal().torque(AngularVelocity::from_base(0.0)) / 3.0);
    let falls = axis_speed(machine, axis, given.speed_for(third)).nominal();
    let [least, most] = CURVE_REACH.map(|times| top * times);
    let end = falls.larger(least).smaller(most);
    let step = |at: u32| end * (f64::from(at) / f64::from(CURVE_STEPS));
    let below = (0..=CURVE_STEPS).map(step).filter(|speed| *speed < top);
    let above = (0..=CURVE_STEPS).map(step).filter(|speed| *speed > top);
    let share = axes::belt_share(machine, axis);
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
fn motors<'a>(setup: &Setup<'a>, id: AxisId, on: On) -> impl Iterator<Item = (Pair<'a>, Given)> {
    let setup = *setup;
    setup.pairs().filter_map(move |pair| {
        let (_, own) = motor_of(pair.device())?;
        let given = match on {
            On::New => Given::in_setup(&setup, &pair),
            On::Old => Given::on_old_board(&pair),
        };
        (own == id).then_some((pair, given?))
    })
}

/// How far a motion holds: a speed of the axis, and an acceleration, or even speed where none is given.
///
/// `None` where the files do not tell enough of the motors, or of what the axis asks for.
#[must_use]
pub fn reach(
    setup: &Setup<'_>,
    id: AxisId,
    on: On,
    speed: Velocity,
    acceleration: Option<Acceleration>,
) -> Option<Reach> {
    let (machine, limits) = (&setup.swap.machine, setup.limits());
    let axis = machine.axis(id);
    let none = Acceleration::from_base(0.0);
    let asked = asked(machine, limits, id)?.accelerated(Value::exact(acceleration.unwrap_or(none)));
    let needed = with_reserve(limits, asked.torque());
    let shaft = axes::shaft_speed(axis, Value::exact(speed * axes::belt_share(machine, axis)));
    let reaches = motors(setup, id, on).map(|(pair, given)| {
        let usable = usable(limits, Value::exact(given.least(shaft.high())));
        Reach {
            motor: pair.device_name(),
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
    /// Travel of one full step.
    pub step: Value<Length>,
    /// The change of speed.
    pub speed: Value<Velocity>,
}

/// The change of speed that the weakest motor of an axis can follow; `None` where the files do not tell enough.
#[must_use]
pub fn corners(setup: &Setup<'_>, id: AxisId, on: On) -> Option<Corners> {
    let asked = asked(&setup.swap.machine, setup.limits(), id)?;
    let weakest = motors(setup, id, on).min_by(|one, other| {
        let at_rest = |given: &Given| given.at_rest().low().base();
        at_rest(&one.1).total_cmp(&at_rest(&other.1))
    });
    let (pair, given) = weakest?;
    let (motor, _) = motor_of(pair.device())?;
    let acceleration = asked.acceleration_from(usable(setup.limits(), given.at_rest()))?;
    let step = asked.travel.scale(axes::full_step(motor).base() / TAU);
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
            named("δ", "travel of one full step", self.step),
        );
        work(&motion::CORNER_SPEED, "v", inputs, |(acceleration, step)| {
            motion::corner_speed(acceleration, step)
        })
        .working
    }
}

/// The motor of a device, with its axis.
pub(crate) fn motor_of(device: &Device) -> Option<(&Motor, AxisId)> {
    match &device.detail {
        Detail::Motor(motor) => Some((motor, motor.axis)),
        _ => None,
    }
}

/// Whether a machine is a delta whose geometry is needed and not stated.
pub(crate) fn lacks_geometry(machine: &Machine) -> bool {
    machine.kinematics == Kinematics::Delta && axes::delta(machine).is_none()
}
