//! Torque that a drive gives at speed, torque that an axis asks for, and the speed and acceleration that hold.

use core::f64::consts::TAU;

use quantity::si::{
    Acceleration, AngularVelocity, ElectricCurrent, ElectricPotential, ElectricalResistance, Force,
    Inductance, Length, Mass, MomentOfInertia, Ratio, Time, Torque, Velocity,
};
use quantity::{Number, Range};

use super::pair::Pair;
use super::winding::{back_emf, torque_at_current};
use crate::{Formula, OutOfRange};

/// See [`MotorDrive::torque`].
pub static PULL_OUT: Formula = Formula::new(
    "pull-out-torque",
    "Torque that a stepping motor gives at speed",
    "M = Mₕ · max(I · cos ψ) / (√2 · Iᵣ) − Mₕ · τ · ω over all load angles ψ with |(R + j · Nᵣ · ω · L) · I · exp(j · ψ) + E| ≤ U",
    "electric-machines-textbook",
    "phasor diagram, solved; the drag of the iron is an own derivation",
);
/// See [`axis_force`].
pub static AXIS_FORCE: Formula = Formula::new(
    "axis-force",
    "Force that an axis asks for",
    "F = m · (a + g · s) + Fᵣ",
    "iso-80000-4",
    "",
);
/// See [`axis_torque`].
pub static AXIS_TORQUE: Formula = Formula::new(
    "axis-torque",
    "Torque at the motor for a force on the axis",
    "M = F · h / (2 π · η)",
    "iso-80000-4",
    "work",
);
/// See [`reachable_acceleration`].
pub static REACHABLE_ACCELERATION: Formula = Formula::new(
    "reachable-acceleration",
    "Acceleration that a torque gives to an axis",
    "a = (2 π · η · M / h − Fᵣ) / m − g · s",
    "iso-80000-4",
    "work",
);
/// See [`rotor_mass`].
pub static ROTOR_MASS: Formula = Formula::new(
    "rotor-mass",
    "Mass on the axis that a turning body stands for",
    "m = J · (2 π / h)²",
    "iso-80000-4",
    "kinetic energy",
);
/// See [`corner_speed`].
pub static CORNER_SPEED: Formula = Formula::new(
    "corner-speed",
    "Sudden change of speed that a motor can follow",
    "v = √(2 · a · δ)",
    "iso-80000-3",
    "uniform acceleration",
);
/// See [`peak_speed`].
pub static PEAK_SPEED: Formula = Formula::new(
    "peak-speed",
    "Speed that a move reaches from rest to rest",
    "v = √(a · l)",
    "iso-80000-3",
    "uniform acceleration",
);

/// Standard acceleration of free fall, 9.80665 m/s². [iso-80000-3]
#[must_use]
pub fn free_fall() -> Acceleration {
    Acceleration::from_base(9.806_65)
}

/// A stepping motor on a driver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MotorDrive {
    /// Rated holding torque, both phases at `rated`.
    pub holding: Torque,
    /// Rated current of one phase.
    pub rated: ElectricCurrent,
    /// Resistance of one phase, hot.
    pub resistance: ElectricalResistance,
    /// Inductance of one phase.
    pub inductance: Inductance,
    /// Teeth of the rotor: 50 for 1.8°.
    pub rotor_teeth: Ratio,
    /// Supply at the driver.
    pub supply: ElectricPotential,
    /// Current that is set, peak of one phase.
    pub current: ElectricCurrent,
    /// What iron and bearings take of the holding torque, as a share of it for each rad/s; 0 s for none.
    pub drag: Time,
}

impl MotorDrive {
    /// What one of two equal motors on this driver sees, joined as `pair`.
    ///
    /// In series both get the current, and share the voltage: resistance, inductance and back-EMF are all twice one motor's. In
    /// parallel both get the voltage, and share the current.
    #[must_use]
    pub fn one_of(self, pair: Pair) -> Self {
        match pair {
            Pair::Series => Self {
                supply: self.supply / 2.0,
                ..self
            },
            Pair::Parallel => Self {
                current: self.current / 2.0,
                ..self
            },
        }
    }

    /// The most of the current of one phase that can be in phase with the back-EMF at a speed, peak: what makes torque.
    ///
    /// As the load grows the rotor lags, and the current leads the back-EMF by the load angle. Of all currents, as phasors with the back-EMF on
    /// the real axis, that are no larger than what is set and need no more voltage than there is, it is the largest real part: on the axis
    /// where the set current fits; where the circle of the voltage has its rightmost point inside that of the current,
    /// `U / Z − E · R / Z²`, the pull-out of the textbooks; else where the two circles meet. Zero where they do not.
    #[must_use]
    pub fn current(&self, speed: AngularVelocity) -> ElectricCurrent {
        let emf = back_emf(self.holding, self.rated, speed).base();
        let (r, set) = (self.resistance.base(), self.current.base());
        let x = self.rotor_teeth.base() * speed.base() * self.inductance.base();
        let square = r * r + x * x;
        if square == 0.0 {
            return if emf <= self.supply.base() {
                self.current
            } else {
                ElectricCurrent::from_base(0.0)
            };
        }
        // The middle of the circle of the voltage, and its radius.
        let (real, imaginary) = (-emf * r / square, emf * x / square);
        let radius = self.supply.base() / square.sqrt();
        let in_phase = if (set - real).powi(2) + imaginary * imaginary <= radius * radius {
            set
        } else if (real + radius).powi(2) + imaginary * imaginary <= set * set {
            real + radius
        } else {
            meet((real, imaginary), radius, set)
        };
        ElectricCurrent::from_base(in_phase.max(0.0))
    }

    /// Torque at a speed, at which the motor is about to lose steps.
    ///
    /// `M = Mₕ · Iₚ / (√2 · Iᵣ) − Mₕ · τ · ω`, with Iₚ from [`Self::current`] and τ the drag of iron and bearings
    ///
    /// Falls with speed. Leaves out: the resonances at low and middle speed, which damping keeps small or does not; plan with a third in reserve
    /// or more (common practice, no source).
    ///
    /// # Source
    /// [electric-machines-textbook], pull-out torque over the load angle (from memory); the drag is an own derivation.
    #[must_use]
    pub fn torque(&self, speed: AngularVelocity) -> Torque {
        let drag = self.holding * (self.drag.base() * speed.base());
        (torque_at_current(self.holding, self.rated, self.current(speed)) - drag)
            .larger(Torque::from_base(0.0))
    }

    /// A speed at which the motor gives nothing any more.
    #[must_use]
    pub fn end(&self) -> AngularVelocity {
        let at_rest = (self.current / self.rated).base() / core::f64::consts::SQRT_2;
        let by_drag = at_rest / self.drag.base();
        // Without drag nothing but the reactance limits it: a speed at which no axis runs.
        AngularVelocity::from_base(by_drag.min(2.0e4))
    }

    /// The highest speed at which the motor still gives a torque; nothing where it does not give it at rest.
    ///
    /// By the secant between two speeds of which one holds, halved where that is slow, to 10⁻¹² of [`Self::end`].
    #[must_use]
    pub fn speed_for(&self, torque: Torque) -> Option<AngularVelocity> {
        let at_rest = AngularVelocity::from_base(0.0);
        if self.torque(at_rest) < torque {
            return None;
        }
        let over = |speed: f64| (self.torque(AngularVelocity::from_base(speed)) - torque).base();
        let end = self.end().base();
        // Speeds with what the torque is over at each.
        let (mut holds, mut fails) = ((0.0, over(0.0)), (end, over(end)));
        let mut width = end;
        for round in 0..80 {
            let between = fails.0 - holds.0;
            if between <= 1e-12 * end {
                break;
            }
            // The curve has corners, at which a secant may creep.
            let halved = round % 3 == 2 && between > width / 8.0 || holds.1 - fails.1 <= 0.0;
            if round % 3 == 2 {
                width = between;
            }
            let share = if halved {
                0.5
            } else {
                (holds.1 / (holds.1 - fails.1)).clamp(1e-3, 0.999)
            };
            let middle = holds.0 + between * share;
            let value = over(middle);
            // Of two steps on one side the other end counts half, so that it moves too (Illinois).
            if value >= 0.0 {
                holds = (middle, value);
                fails.1 /= 2.0;
            } else {
                fails = (middle, value);
                holds.1 /= 2.0;
            }
        }
        Some(AngularVelocity::from_base(holds.0))
    }
}

/// The larger real part of the two points at which a circle about the origin meets another; nothing where they do not.
fn meet((real, imaginary): (f64, f64), radius: f64, about_origin: f64) -> f64 {
    let apart = (real * real + imaginary * imaginary).sqrt();
    if apart == 0.0 || apart > radius + about_origin || radius < (apart - about_origin).abs() {
        return 0.0;
    }
    // Along the line of the middles, then at a right angle to it.
    let along = (apart * apart + about_origin * about_origin - radius * radius) / (2.0 * apart);
    let across = (about_origin * about_origin - along * along).max(0.0).sqrt();
    (along * real + across * imaginary.abs()) / apart
}

/// Force that an axis asks for.
///
/// `F = m · (a + g · s) + Fᵣ`, with g = 9.80665 m/s²
///
/// - `mass`: all that moves, the rotor's share included ([`rotor_mass`]; it has no weight on the axis, which this counts too much).
/// - `acceleration`: ≥ 0. `weight_share`: 1 where the axis lifts its mass straight up, 0 where it lies level.
/// - `friction`: of rails, belt and drag.
///
/// Monotone in each.
///
/// # Source
/// Newton's second law, [iso-80000-4].
#[must_use]
pub fn axis_force(mass: Mass, acceleration: Acceleration, weight_share: Ratio, friction: Force) -> Force {
    mass * (acceleration + free_fall() * weight_share) + friction
}

/// Torque at the motor for a force on the axis.
///
/// `M = F · h / (2 π · η)`
///
/// - `force`: [`axis_force`]. `travel`: of the axis in one turn of the *motor*, gear included.
/// - `efficiency`: > 0; about 0.9 for belts and 0.3 to 0.5 for plain lead screws (common practice, no source).
///
/// Monotone in each.
///
/// # Source
/// Work, [iso-80000-4].
#[must_use]
pub fn axis_torque(force: Force, travel: Length, efficiency: Ratio) -> Torque {
    Torque::from_base(force.base() * travel.base() / (TAU * efficiency.base()))
}

/// Acceleration that a torque of the motor gives to an axis; negative where it does not even hold it.
///
/// `a = (2 π · η · M / h − Fᵣ) / m − g · s`; the inverse of [`axis_torque`] of [`axis_force`]
///
/// Monotone in each while the result is positive. Take the torque at the speed in question, with its margin taken off.
///
/// # Source
/// As for [`axis_torque`].
#[must_use]
pub fn reachable_acceleration(
    torque: Torque,
    travel: Length,
    efficiency: Ratio,
    friction: Force,
    mass: Mass,
    weight_share: Ratio,
) -> Acceleration {
    let force = torque.base() * TAU * efficiency.base() / travel.base();
    Acceleration::from_base((force - friction.base()) / mass.base()) - free_fall() * weight_share
}

/// Mass on the axis that a turning body stands for.
///
/// `m = J · (2 π / h)²`
///
/// - `inertia`: of the rotor and what turns with it; from the motor's data sheet.
/// - `travel`: of the axis in one turn of the motor.
///
/// Monotone in both.
///
/// # Source
/// Kinetic energy, [iso-80000-4].
#[must_use]
pub fn rotor_mass(inertia: MomentOfInertia, travel: Length) -> Mass {
    let turns = TAU / travel.base();
    Mass::from_base(inertia.base() * turns * turns)
}

/// Sudden change of speed, as at a corner, that a motor can follow.
///
/// `v = √(2 · a · δ)`: the rotor lags by at most one full step while it makes up the speed at its greatest acceleration
///
/// - `acceleration`: that the torque gives ([`reachable_acceleration`]). `full_step`: travel of one full step.
///
/// Monotone in both. An estimate: the lag of one full step is where the torque of a two-phase motor has its peak; damping is left out.
///
/// # Source
/// Uniform acceleration, [iso-80000-3]; the bound of one step is common practice, no source.
#[must_use]
pub fn corner_speed(acceleration: Acceleration, full_step: Length) -> Velocity {
    Velocity::from_base((2.0 * acceleration.base() * full_step.base()).sqrt())
}

/// Speed that a move reaches half-way when it starts and ends at rest.
///
/// `v = √(a · l)`. Monotone in both. A speed setting above it is never reached on that length.
///
/// # Source
/// Uniform acceleration, [iso-80000-3].
#[must_use]
pub fn peak_speed(acceleration: Acceleration, length: Length) -> Velocity {
    Velocity::from_base((acceleration.base() * length.base()).sqrt())
}

/// Checks that an efficiency is one: above 0 and at most 1.
///
/// # Errors
/// [`OutOfRange`] where it is not.
pub fn efficiency(value: Ratio) -> Result<Ratio, OutOfRange> {
    let range = Range::new(Ratio::from_base(f64::MIN_POSITIVE), Ratio::from_base(1.0));
    OutOfRange::check("efficiency", value, range)
}
