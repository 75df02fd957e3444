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

    /// A course resumed where its other body is so far above the air, by its heated body now and in the two steps before.
    pub fn resumed(&self, other: f64, [heated, before, earlier]: [f64; 3]) -> Above {
        Above {
            heated,
            before,
            other,
            power: self.power(ahead(before, earlier)),
        }
    }
}

/// Where a body is in the middle of the step after the coming one, by where the last step leads on to: so no step waits for the division by its
/// own resistance.
fn ahead(now: f64, before: f64) -> f64 {
    now + 1.5 * (now - before)
}

/// Several parts, stepped side by side: each works while another waits for the arithmetic of its last step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Abreast<const N: usize> {
    heated: [f64; N],
    before: [f64; N],
    other: [f64; N],
    power: [f64; N],
    first: [[f64; N]; 2],
    second: [[f64; N]; 2],
    rise: [[f64; N]; 2],
    cold: [f64; N],
    grows: [f64; N],
    grows_to: [f64; N],
}

impl<const N: usize> Abreast<N> {
    /// Parts where they are.
    pub fn of(parts: [(&Steps, Above); N]) -> Self {
        Self {
            heated: parts.map(|(_, state)| state.heated),
            before: parts.map(|(_, state)| state.before),
            other: parts.map(|(_, state)| state.other),
            power: parts.map(|(_, state)| state.power),
            first: [0, 1].map(|column| parts.map(|(steps, _)| steps.matrix[0][column])),
            second: [0, 1].map(|column| parts.map(|(steps, _)| steps.matrix[1][column])),
            rise: [0, 1].map(|row| parts.map(|(steps, _)| steps.rise[row])),
            cold: parts.map(|(steps, _)| steps.cold),
            grows: parts.map(|(steps, _)| steps.grows),
            grows_to: parts.map(|(steps, _)| steps.grows_to),
        }
    }

    /// So far the heated bodies are above the air.
    pub fn heated(&self) -> &[f64; N] {
        &self.heated
    }

    /// Where one of them is.
    pub fn state(&self, lane: usize) -> Above {
        Above {
            heated: self.heated[lane],
            before: self.before[lane],
            other: self.other[lane],
            power: self.power[lane],
        }
    }

    /// One step of each at its share of full power. The power of a step is that in its middle.
    #[inline]
    pub fn advance(&mut self, shares: &[f64; N]) {
        let (heated, other) = (self.heated, self.other);
        let power = abreast::<N>(|lane| self.power[lane] * shares[lane]);
        let row = |[of_heated, of_other]: &[[f64; N]; 2], rise: &[f64; N]| {
            abreast::<N>(|lane| {
                of_heated[lane] * heated[lane] + of_other[lane] * other[lane] + rise[lane] * power[lane]
            })
        };
        (self.heated, self.other) = (row(&self.first, &self.rise[0]), row(&self.second, &self.rise[1]));
        let ahead = abreast::<N>(|lane| ahead(heated[lane], self.before[lane]));
        let straight = abreast::<N>(|lane| {
            if ahead[lane] < self.grows_to[lane] {
                ahead[lane]
            } else {
                self.grows_to[lane]
            }
        });
        self.power = abreast::<N>(|lane| self.cold[lane] / (1.0 + self.grows[lane] * straight[lane]));
        self.before = heated;
    }
}

/// One number a lane.
#[inline]
pub(super) fn abreast<const N: usize>(of: impl Fn(usize) -> f64) -> [f64; N] {
    core::array::from_fn(of)
}
