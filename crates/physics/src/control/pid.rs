//! A controller with its three terms, and its two common forms.

use quantity::Number;
use quantity::si::{TemperatureCoefficient, Time, second};

use crate::Formula;

/// See [`Pid::from_series`].
pub static SERIES_TO_IDEAL: Formula = Formula::new(
    "series-to-ideal",
    "Ideal form of a controller in series form",
    "Kc = Kc′ · (1 + T_d′ / Tᵢ′), Tᵢ = Tᵢ′ + T_d′, T_d = Tᵢ′ · T_d′ / (Tᵢ′ + T_d′)",
    "skogestad-2003",
    "eq. (36)",
);

/// A controller in the ideal form: `u = Kc · (e + ∫e dt / Tᵢ + T_d · de/dt)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pid {
    /// Kc: share of full power for each kelvin of error.
    pub gain: TemperatureCoefficient,
    /// Tᵢ; nothing for a controller without integral term.
    pub integral: Option<Time>,
    /// T_d; 0 s for one without derivative term.
    pub derivative: Time,
}

impl Pid {
    /// A proportional controller.
    #[must_use]
    pub fn p(gain: TemperatureCoefficient) -> Self {
        Self {
            gain,
            integral: None,
            derivative: second(0.0),
        }
    }

    /// A controller without derivative term.
    #[must_use]
    pub fn pi(gain: TemperatureCoefficient, integral: Time) -> Self {
        Self {
            gain,
            integral: Some(integral),
            derivative: second(0.0),
        }
    }

    /// A controller with all three terms.
    #[must_use]
    pub fn three_terms(gain: TemperatureCoefficient, integral: Time, derivative: Time) -> Self {
        Self {
            gain,
            integral: Some(integral),
            derivative,
        }
    }

    /// The ideal form of `Kc′ · (1 + 1/(Tᵢ′ s)) · (T_d′ s + 1)`.
    ///
    /// # Source
    /// [skogestad-2003]; algebra.
    #[must_use]
    pub fn from_series(gain: TemperatureCoefficient, integral: Time, derivative: Time) -> Self {
        let sum = integral + derivative;
        let factor = (sum / integral).base();
        Self::three_terms(gain * factor, sum, derivative / factor)
    }
}
