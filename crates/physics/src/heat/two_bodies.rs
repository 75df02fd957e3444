//! Two lumped bodies that exchange heat, one of them heated: a bed and its print surface, a block and its nozzle.

use quantity::Number;
use quantity::si::{HeatCapacity, Power, ThermalConductance, ThermodynamicTemperature, Time};

use crate::{Formula, OutOfRange};

/// See [`TwoBodies::after`].
pub static TWO_BODIES: Formula = Formula::new(
    "two-bodies",
    "Temperatures of two bodies that exchange heat",
    "C₁ · dϑ₁/dt = P − G₁ · (ϑ₁ − ϑₐ) − K · (ϑ₁ − ϑ₂), C₂ · dϑ₂/dt = K · (ϑ₁ − ϑ₂) − G₂ · (ϑ₂ − ϑₐ)",
    "heat-transfer-textbook",
    "lumped bodies",
);
/// See [`loss_with_second`].
pub static LOSS_WITH_SECOND: Formula = Formula::new(
    "loss-with-second",
    "Loss of a heated body and of the one that it warms, at rest",
    "G = G₁ + K · G₂ / (K + G₂)",
    "heat-transfer-textbook",
    "conductances in series and in parallel",
);

/// See [`TwoBodies::held_power`].
pub static HELD_POWER: Formula = Formula::new(
    "held-power",
    "Power that holds a heated body beside another",
    "P = G₁ · (ϑ₁ − ϑₐ) + K · (ϑ₁ − ϑ₂)",
    "heat-transfer-textbook",
    "balance of the heated body",
);

/// Loss of a heated body and of the second one that it warms, once both are at rest, per kelvin of the first above the air.
///
/// `G = G₁ + K · G₂ / (K + G₂)`
///
/// - `own`: of the heated body; `coupling`: between the two; `second`: of the other. Each ≥ 0 W/K, the last two not both zero.
///
/// Monotone in each.
///
/// # Source
/// [heat-transfer-textbook], conductances in series and in parallel.
#[must_use]
pub fn loss_with_second(
    own: ThermalConductance,
    coupling: ThermalConductance,
    second: ThermalConductance,
) -> ThermalConductance {
    own + coupling * (second / (coupling + second)).base()
}

/// A lumped body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Heat that warms it by one kelvin.
    pub capacity: HeatCapacity,
    /// Loss to the air, per kelvin.
    pub loss: ThermalConductance,
}

/// Two bodies that exchange heat; the first carries the heater.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoBodies {
    /// The body with the heater, and usually with the thermometer.
    pub heated: Body,
    /// The other body.
    pub other: Body,
    /// Conductance between them.
    pub coupling: ThermalConductance,
}

/// Temperatures of the two bodies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// Of the body with the heater.
    pub heated: ThermodynamicTemperature,
    /// Of the other.
    pub other: ThermodynamicTemperature,
}

impl State {
    /// Both at one temperature.
    #[must_use]
    pub fn both(temperature: ThermodynamicTemperature) -> Self {
        Self {
            heated: temperature,
            other: temperature,
        }
    }
}

/// What a fixed step of time makes of two bodies: exact for a power that is constant over the step.
#[derive(Clone, Copy, Debug)]
pub struct Stepper {
    /// The matrix exponential of one step.
    matrix: [[f64; 2]; 2],
    /// Kelvin above the air for each watt, in the end.
    rise: [f64; 2],
}

impl TwoBodies {
    /// The temperatures at which the two bodies end with a constant power.
    ///
    /// # Errors
    /// [`OutOfRange`] where a capacity is not positive, a conductance negative, or no heat can leave.
    pub fn end(&self, power: Power, air: ThermodynamicTemperature) -> Result<State, OutOfRange> {
        let [heated, other] = self.rise()?;
        let above = |rise: f64| ThermodynamicTemperature::from_base(air.base() + rise * power.base());
        Ok(State {
            heated: above(heated),
            other: above(other),
        })
    }

    /// Power that holds the heated body where it is at a moment: what it loses, and what goes over to the other body. Never below 0 W.
    ///
    /// # Source
    /// [heat-transfer-textbook], balance of the heated body; held against the end of a Runge-Kutta integration.
    #[must_use]
    pub fn held_power(&self, state: State, air: ThermodynamicTemperature) -> Power {
        let lost = self.heated.loss.base() * (state.heated.base() - air.base());
        let over = self.coupling.base() * (state.heated.base() - state.other.base());
        Power::from_base((lost + over).max(0.0))
    }

    /// The temperatures after a time with a constant power; exact, whatever the time.
    ///
    /// # Errors
    /// As for [`Self::end`].
    ///
    /// # Source
    /// [heat-transfer-textbook], lumped bodies; held against a Runge-Kutta integration.
    pub fn after(
        &self,
        start: State,
        power: Power,
        air: ThermodynamicTemperature,
        time: Time,
    ) -> Result<State, OutOfRange> {
        Ok(self.stepper(time)?.step(start, power, air))
    }

    /// What a fixed step of time makes of these bodies; for simulations of many steps.
    ///
    /// # Errors
    /// As for [`Self::end`].
    pub fn stepper(&self, step: Time) -> Result<Stepper, OutOfRange> {
        let rise = self.rise()?;
        let (c1, c2) = (self.heated.capacity.base(), self.other.capacity.base());
        let (g1, g2, k) = (
            self.heated.loss.base(),
            self.other.loss.base(),
            self.coupling.base(),
        );
        let a = [[-(g1 + k) / c1, k / c1], [k / c2, -(g2 + k) / c2]];
        // exp(A t) = exp(m t) · (cosh(s t) + sinh(s t)/s · (A − m)), m half the trace, s² = m² − det A ≥ 0 here.
        let middle = f64::midpoint(a[0][0], a[1][1]);
        let half = (a[0][0] - a[1][1]) / 2.0;
        let spread = (half * half + a[0][1] * a[1][0]).sqrt();
        let t = step.base();
        let (slow, fast) = ((middle * t + spread * t).exp(), (middle * t - spread * t).exp());
        let cosh = f64::midpoint(slow, fast);
        let sinh = if spread * t > 1e-6 {
            (slow - fast) / (2.0 * spread)
        } else {
            t * (middle * t).exp()
        };
        let matrix = [
            [cosh + sinh * half, sinh * a[0][1]],
            [sinh * a[1][0], cosh - sinh * half],
        ];
        Ok(Stepper { matrix, rise })
    }

    /// Kelvin above the air for each watt, in the end.
    fn rise(&self) -> Result<[f64; 2], OutOfRange> {
        OutOfRange::check_positive("heat capacity", self.heated.capacity)?;
        OutOfRange::check_positive("heat capacity", self.other.capacity)?;
        let (g1, g2, k) = (
            self.heated.loss.base(),
            self.other.loss.base(),
            self.coupling.base(),
        );
        let none = ThermalConductance::from_base(g1.min(g2).min(k));
        let range = quantity::Range::new(
            ThermalConductance::from_base(0.0),
            ThermalConductance::from_base(f64::INFINITY),
        );
        OutOfRange::check("thermal conductance", none, range)?;
        // Through its own loss, or over the coupling through the loss of the other.
        let determinant = g1 * g2 + k * (g1 + g2);
        if determinant <= 0.0 {
            // Without coupling the other body stays at the air's temperature, if the heated one can lose heat by itself.
            let alone = OutOfRange::check_positive("loss of the heated body", self.heated.loss)?;
            return Ok([1.0 / alone.base(), 0.0]);
        }
        Ok([(g2 + k) / determinant, k / determinant])
    }
}

impl Stepper {
    /// The step in kelvins above the air: what it leaves of a state, and what each watt adds.
    pub(super) fn above_air(&self) -> ([[f64; 2]; 2], [f64; 2]) {
        let [first, second] = self.matrix;
        let [heated, other] = self.rise;
        let adds = [
            heated - first[0] * heated - first[1] * other,
            other - second[0] * heated - second[1] * other,
        ];
        (self.matrix, adds)
    }

    /// The state one step later.
    #[must_use]
    pub fn step(&self, state: State, power: Power, air: ThermodynamicTemperature) -> State {
        let end = self.rise.map(|rise| air.base() + rise * power.base());
        let (x, y) = (state.heated.base() - end[0], state.other.base() - end[1]);
        let [first, second] = self.matrix;
        State {
            heated: ThermodynamicTemperature::from_base(end[0] + first[0] * x + first[1] * y),
            other: ThermodynamicTemperature::from_base(end[1] + second[0] * x + second[1] * y),
        }
    }
}
