//! Fixed steps of a heated part, in bare numbers: for simulations of very many steps.

use quantity::Number;
use quantity::si::{ThermodynamicTemperature, Time};

use super::heat_up::{HeatedPart, Heater};
use crate::OutOfRange;

/// The two bodies of a part, in kelvins above the air.
#[derive(Clone, Copy, Debug)]
pub(super) struct Above {
    /// The body with the heater.
    pub heated: f64,
    /// The heated body one step before.
    pub before: f64,
    /// The other body.
    pub other: f64,
    /// Full power over the coming step.
    power: f64,
}

/// What a step makes of a part: exact for a power that is constant over the step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Steps {
    matrix: [[f64; 2]; 2],
    /// Kelvins for each watt over the step.
    rise: [f64; 2],
    /// Power as cold as the air.
    cold: f64,
    /// Share of its resistance that the heater gains with each kelvin above the air.
    grows: f64,
    /// So far above the air it gains no more.
    grows_to: f64,
}

impl Steps {
    /// The steps of a part by a fixed time.
    ///
    /// # Errors
    /// [`OutOfRange`] where a capacity is not positive, or no heat can leave.
    pub fn of(part: &HeatedPart, step: Time) -> Result<Self, OutOfRange> {
        let (matrix, rise) = part.bodies.stepper(step)?.above_air();
        let air = part.air;
        let power = |kelvin: f64| {
            let at = ThermodynamicTemperature::from_base(air.base() + kelvin);
            part.heater.power(part.voltage, at).base()
        };
        let cold = power(0.0);
        // Straight up to where it ends, so that two points tell it.
        let grows_to = (Heater::straight_up_to().base() - air.base()).max(0.0);
        let warm = grows_to.clamp(1.0, 10.0).min(grows_to);
        Ok(Self {
            matrix,
            rise,
            cold,
            grows: if warm > 0.0 {
                (cold / power(warm) - 1.0) / warm
            } else {
                0.0
            },
            grows_to,
        })
    }

    /// Where a course begins.
    pub fn begin(&self, heated: f64, other: f64) -> Above {
        Above {
            heated,
            before: heated,
            other,
            power: self.power(heated),
        }
    }

    /// Full power so far above the air.
    fn power(&self, above: f64) -> f64 {
        self.cold / (1.0 + self.grows * above.min(self.grows_to))
    }

    /// One step later at a share of full power.
    ///
    /// The power is that at the middle of the step, by where the two states before lead on to, so that no step waits for a division.
    pub fn next(&self, state: Above, share: f64) -> Above {
        let (heated, other, power) = (state.heated, state.other, state.power * share);
        let [first, second] = self.matrix;
        Above {
            heated: first[0] * heated + first[1] * other + self.rise[0] * power,
            before: heated,
            other: second[0] * heated + second[1] * other + self.rise[1] * power,
            power: self.power(heated + 1.5 * (heated - state.before)),
        }
    }
}
