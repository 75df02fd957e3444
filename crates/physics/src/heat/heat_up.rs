//! A heat-up simulated: temperatures, power from the supply, and what happens when the switch stays closed.

use quantity::si::{
    ElectricPotential, ElectricalResistance, Power, ThermodynamicTemperature, Time, celsius, watt,
};
use quantity::{Number, Range};

use super::steps::{Above, Abreast, Steps};
use super::two_bodies::{State, TwoBodies};
use crate::electrics::copper_coefficient;
use crate::{Formula, OutOfRange};

/// See [`track_end`].
pub static TRACK_END: Formula = Formula::new(
    "track-end",
    "Temperature that a copper-track heater ends at",
    "ϑ = ϑₐ + (√(k² + 4 · α · U² / (R₂₀ · G)) − k) / (2 · α) with k = 1 + α · (ϑₐ − 20 °C)",
    "iec-60028",
    "balance of power and loss, solved",
);

/// As [`TRACK_END`], behind a cable that leaves less of the voltage.
pub static TRACK_END_BEHIND_LEAD: Formula = Formula::new(
    "track-end-behind-lead",
    "Temperature that a copper-track heater ends at behind its cable",
    "ϑ = ϑₐ + (√(c² + 4 · α · U² / (R₂₀ · G)) − c) / (2 · α) with c = 1 + α · (ϑₐ − 20 °C), U = U₀ · k · R₂₀ / (k · R₂₀ + Rₗ)",
    "iec-60028",
    "balance of power and loss, solved",
);
/// See [`HeatedPart::passes`].
pub static PASSES: Formula = Formula::new(
    "passes",
    "Time in which a heated body, or the one beside it, passes a temperature",
    "C₁ · dϑ₁/dt = P − G₁ · (ϑ₁ − ϑₐ) − K · (ϑ₁ − ϑ₂), C₂ · dϑ₂/dt = K · (ϑ₁ − ϑ₂) − G₂ · (ϑ₂ − ϑₐ), from ϑ₁ = ϑ₀ on until ϑ",
    "heat-transfer-textbook",
    "lumped bodies, stepped",
);

/// A heater as the supply sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Heater {
    /// A resistance that hardly changes, such as a cartridge.
    Resistor(ElectricalResistance),
    /// A copper track, by its resistance at 20 °C.
    CopperTrack(ElectricalResistance),
}

impl Heater {
    /// Up to here a resistance grows in proportion to the temperature; above, a track is taken to keep it.
    pub(super) fn straight_up_to() -> ThermodynamicTemperature {
        celsius(200.0)
    }
    /// Power at a voltage and temperature. Above 200 °C the track is taken to keep the resistance it has there.
    #[must_use]
    pub fn power(&self, voltage: ElectricPotential, temperature: ThermodynamicTemperature) -> Power {
        let resistance = match *self {
            Self::Resistor(resistance) => resistance,
            Self::CopperTrack(at_20) => {
                let above = temperature.base().min(Self::straight_up_to().base()) - celsius(20.0).base();
                at_20 * (1.0 + copper_coefficient().base() * above)
            }
        };
        voltage * voltage / resistance
    }
}

/// A heated part of a machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatedPart {
    /// Its bodies; the heater is in the first.
    pub bodies: TwoBodies,
    /// Its heater.
    pub heater: Heater,
    /// Voltage at the heater.
    pub voltage: ElectricPotential,
    /// Temperature of the air around it.
    pub air: ThermodynamicTemperature,
}

/// Which body a question is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// The body with the heater.
    Heated,
    /// The other.
    Other,
}

/// One moment of a heat-up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Since the start.
    pub time: Time,
    /// Temperatures then.
    pub state: State,
    /// Power from then until the next step.
    pub power: Power,
}

/// How long and how fine a run is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Step of the simulation; the power is constant within one.
    pub step: Time,
    /// How long.
    pub duration: Time,
    /// Every how many steps a moment is kept, from 1.
    pub keep: usize,
}

impl HeatedPart {
    /// The heat-up from a state at which the heater is on until the heated body reaches `goal`, then on and off around it.
    ///
    /// Without a goal the heater stays on: a switch that failed closed. The first moment is the start, the last the end.
    ///
    /// # Errors
    /// [`OutOfRange`] as for [`TwoBodies::end`], or where the step is not positive.
    pub fn heat_up(
        &self,
        start: State,
        goal: Option<ThermodynamicTemperature>,
        run: Run,
    ) -> Result<Vec<Moment>, OutOfRange> {
        let step = OutOfRange::check_positive("step of the simulation", run.step)?;
        let stepper = self.bodies.stepper(step)?;
        let steps = steps(run.duration, step)?;
        let keep = run.keep.max(1);
        let mut moments = Vec::with_capacity(steps / keep + 2);
        let mut state = start;
        // Counted down: a division for each step would cost as much as the step.
        let mut until_kept = 1;
        for index in 0..=steps {
            until_kept -= 1;
            let on = goal.is_none_or(|goal| state.heated < goal);
            let power = if on {
                self.heater.power(self.voltage, state.heated)
            } else {
                watt(0.0)
            };
            if until_kept == 0 || index == steps {
                until_kept = keep;
                moments.push(Moment {
                    time: step * index as f64,
                    state,
                    power,
                });
            }
            state = stepper.step(state, power, self.air);
        }
        Ok(moments)
    }

    /// Where the part ends with its heater on for ever, found by stepping the balance of power and loss until it rests.
    ///
    /// # Errors
    /// [`OutOfRange`] as for [`TwoBodies::end`].
    pub fn switch_short(&self) -> Result<State, OutOfRange> {
        let mut state = State::both(self.air);
        for _ in 0..200 {
            let next = self
                .bodies
                .end(self.heater.power(self.voltage, state.heated), self.air)?;
            // Half-way, because the power falls with the temperature that it makes.
            let heated =
                ThermodynamicTemperature::from_base(f64::midpoint(state.heated.base(), next.heated.base()));
            let before = state;
            state = State {
                heated,
                other: next.other,
            };
            // Once nothing moves any more, nothing will.
            if state == before {
                break;
            }
        }
        Ok(state)
    }

    /// When a body passes a limit with the heater on for ever; nothing where it does not within `run`.
    ///
    /// Between two steps the course counts as straight.
    ///
    /// # Errors
    /// As for [`Self::heat_up`].
    pub fn passes(
        &self,
        start: State,
        which: Which,
        limit: ThermodynamicTemperature,
        run: Run,
    ) -> Result<Option<Time>, OutOfRange> {
        let step = OutOfRange::check_positive("step of the simulation", run.step)?;
        let stepper = Steps::of(self, step)?;
        let of = |state: Above| match which {
            Which::Heated => state.heated,
            Which::Other => state.other,
        };
        let above = |temperature: ThermodynamicTemperature| temperature.base() - self.air.base();
        let (limit, heated) = (above(limit), above(start.heated));
        let mut part = Abreast::of([(&stepper, stepper.begin(heated, above(start.other)))]);
        let mut before = of(part.state(0));
        for index in 0..=steps(run.duration, step)? {
            let now = of(part.state(0));
            if now >= limit {
                let rise = now - before;
                let short = if rise > 0.0 { (now - limit) / rise } else { 0.0 };
                return Ok(Some(step * (index as f64 - short).max(0.0)));
            }
            before = now;
            part.advance(&[1.0]);
        }
        Ok(None)
    }
}

/// Temperature that a single body with a copper track ends at, in closed form.
///
/// `ϑ = ϑₐ + (√(k² + 4 · α · U² / (R₂₀ · G)) − k) / (2 · α)` with `k = 1 + α · (ϑₐ − 20 °C)`
///
/// - `air`; `voltage` at the heater; `at_20`: resistance at 20 °C; `loss`: conductance to the air, > 0 W/K.
///
/// Monotone in each.
///
/// # Errors
/// [`OutOfRange`] where the result leaves the range of the linear law of copper, −50 °C to 200 °C.
///
/// # Source
/// [iec-60028]; the balance of power and loss, solved.
pub fn track_end(
    air: ThermodynamicTemperature,
    voltage: ElectricPotential,
    at_20: ElectricalResistance,
    loss: quantity::si::ThermalConductance,
) -> Result<ThermodynamicTemperature, OutOfRange> {
    let alpha = copper_coefficient().base();
    let k = 1.0 + alpha * (air.base() - celsius(20.0).base());
    let drive = (voltage * voltage / at_20).base() / loss.base();
    let rise = ((k * k + 4.0 * alpha * drive).sqrt() - k) / (2.0 * alpha);
    let end = ThermodynamicTemperature::from_base(air.base() + rise);
    OutOfRange::check(
        "temperature of the track",
        end,
        Range::new(celsius(-50.0), celsius(200.0)),
    )
}

fn steps(duration: Time, step: Time) -> Result<usize, OutOfRange> {
    let count = (duration / step).base().round();
    // A run of more than a hundred million steps is a slip of units, and would take the memory of the machine.
    let range = Range::new(
        quantity::si::Ratio::from_base(0.0),
        quantity::si::Ratio::from_base(1e8),
    );
    let count = OutOfRange::check("number of steps", quantity::si::Ratio::from_base(count), range)?.base();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked to lie in 0 ..= 10⁸"
    )]
    Ok(count as usize)
}
