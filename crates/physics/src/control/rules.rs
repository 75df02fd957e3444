//! Published rules that set a controller from a model or from the ultimate gain.

use quantity::Number;
use quantity::si::{TemperatureCoefficient, Time};
use serde::Serialize;

use super::model::{FirstOrder, SecondOrder};
use super::pid::Pid;
use crate::Formula;

/// See [`ziegler_nichols_ultimate`].
pub static ZIEGLER_NICHOLS_ULTIMATE: Formula = Formula::new(
    "ziegler-nichols-ultimate",
    "Rule of Ziegler and Nichols, from the ultimate gain",
    "P: 0.5 Kᵤ; PI: 0.45 Kᵤ, Tᵤ/1.2; PID: 0.6 Kᵤ, Tᵤ/2, Tᵤ/8",
    "ziegler-nichols-1942",
    "",
);
/// See [`ziegler_nichols_reaction`].
pub static ZIEGLER_NICHOLS_REACTION: Formula = Formula::new(
    "ziegler-nichols-reaction",
    "Rule of Ziegler and Nichols, from the reaction curve",
    "P: τ/(K θ); PI: 0.9 τ/(K θ), 3.33 θ; PID: 1.2 τ/(K θ), 2 θ, 0.5 θ",
    "ziegler-nichols-1942",
    "",
);
/// See [`tyreus_luyben`].
pub static TYREUS_LUYBEN: Formula = Formula::new(
    "tyreus-luyben",
    "Rule of Tyreus and Luyben",
    "PI: Kᵤ/3.2, 2.2 Tᵤ; PID: Kᵤ/2.2, 2.2 Tᵤ, Tᵤ/6.3",
    "tyreus-luyben-1992",
    "",
);
/// See [`cohen_coon`].
pub static COHEN_COON: Formula = Formula::new(
    "cohen-coon",
    "Rule of Cohen and Coon",
    "r = θ/τ; P: (1 + r/3)/(K r); PI: (0.9 + r/12)/(K r), θ (30 + 3 r)/(9 + 20 r); PID: (4/3 + r/4)/(K r), θ (32 + 6 r)/(13 + 8 r), 4 θ/(11 + 2 r)",
    "cohen-coon-1953",
    "",
);
/// See [`amigo`].
pub static AMIGO: Formula = Formula::new(
    "amigo",
    "Rule of Åström and Hägglund",
    "PI: Kc = 0.15/K + (0.35 − θ τ/(θ + τ)²) τ/(K θ), Tᵢ = 0.35 θ + 13 θ τ²/(τ² + 12 θ τ + 7 θ²); PID: Kc = (0.2 + 0.45 τ/θ)/K, Tᵢ = θ (0.4 θ + 0.8 τ)/(θ + 0.1 τ), T_d = 0.5 θ τ/(0.3 θ + τ)",
    "astrom-hagglund-2006",
    "eq. (7.5), p. 227 ff.",
);
/// See [`simc_pi`] and [`simc_pid`].
pub static SIMC: Formula = Formula::new(
    "simc",
    "Rule of Skogestad, series form",
    "Kc = τ₁ / (K · (τc + θ)), Tᵢ = min(τ₁, 4 · (τc + θ)), T_d = τ₂",
    "skogestad-2003",
    "",
);
/// See [`simc_improved_pi`].
pub static SIMC_IMPROVED: Formula = Formula::new(
    "simc-improved",
    "Improved rule of Skogestad for PI",
    "as simc, with τ₁ + θ/3 for τ₁",
    "grimholt-skogestad-2012",
    "",
);

/// Which terms a controller has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Terms {
    /// Proportional.
    P,
    /// Proportional and integral.
    Pi,
    /// All three.
    Pid,
}

/// Gain and period at which a loop with proportional control just oscillates for ever.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ultimate {
    /// Kᵤ.
    pub gain: TemperatureCoefficient,
    /// Tᵤ.
    pub period: Time,
}

/// Rule of Ziegler and Nichols from the ultimate gain; quick, with a swing of a quarter from peak to peak.
///
/// # Source
/// [ziegler-nichols-1942]; some reprints have Kᵤ/1.7 for PID.
#[must_use]
pub fn ziegler_nichols_ultimate(ultimate: Ultimate, terms: Terms) -> Pid {
    let Ultimate { gain, period } = ultimate;
    match terms {
        Terms::P => Pid::p(gain * 0.5),
        Terms::Pi => Pid::pi(gain * 0.45, period / 1.2),
        Terms::Pid => Pid::three_terms(gain * 0.6, period / 2.0, period / 8.0),
    }
}

/// Rule of Ziegler and Nichols from the reaction curve.
///
/// # Source
/// [ziegler-nichols-1942].
#[must_use]
pub fn ziegler_nichols_reaction(model: FirstOrder, terms: Terms) -> Pid {
    let base = inverse_gain(model) * (model.lag / model.delay).base();
    let delay = model.delay;
    match terms {
        Terms::P => Pid::p(base),
        Terms::Pi => Pid::pi(base * 0.9, delay * (10.0 / 3.0)),
        Terms::Pid => Pid::three_terms(base * 1.2, delay * 2.0, delay * 0.5),
    }
}

/// Rule of Tyreus and Luyben; slower and calmer than that of Ziegler and Nichols. It has no proportional form.
///
/// # Source
/// [tyreus-luyben-1992].
#[must_use]
pub fn tyreus_luyben(ultimate: Ultimate, terms: Terms) -> Option<Pid> {
    let Ultimate { gain, period } = ultimate;
    match terms {
        Terms::P => None,
        Terms::Pi => Some(Pid::pi(gain / 3.2, period * 2.2)),
        Terms::Pid => Some(Pid::three_terms(gain / 2.2, period * 2.2, period / 6.3)),
    }
}

/// Rule of Cohen and Coon; meant for long dead times, lively.
///
/// # Source
/// [cohen-coon-1953]; two public implementations agree.
#[must_use]
pub fn cohen_coon(model: FirstOrder, terms: Terms) -> Pid {
    let r = (model.delay / model.lag).base();
    let base = inverse_gain(model) / r;
    let delay = model.delay;
    match terms {
        Terms::P => Pid::p(base * (1.0 + r / 3.0)),
        Terms::Pi => Pid::pi(
            base * (0.9 + r / 12.0),
            delay * ((30.0 + 3.0 * r) / (9.0 + 20.0 * r)),
        ),
        Terms::Pid => Pid::three_terms(
            base * (4.0 / 3.0 + r / 4.0),
            delay * ((32.0 + 6.0 * r) / (13.0 + 8.0 * r)),
            delay * (4.0 / (11.0 + 2.0 * r)),
        ),
    }
}

/// Rule of Åström and Hägglund; cautious where the dead time is short. It has no proportional form.
///
/// # Source
/// [astrom-hagglund-2006], eq. (7.5) and p. 227 ff.; meant for θ/(θ + τ) above 0.3 in its PID form.
#[must_use]
pub fn amigo(model: FirstOrder, terms: Terms) -> Option<Pid> {
    let (lag, delay) = (model.lag.base(), model.delay.base());
    let gain = inverse_gain(model);
    match terms {
        Terms::P => None,
        Terms::Pi => {
            let sum = lag + delay;
            let factor = 0.15 + (0.35 - lag * delay / (sum * sum)) * lag / delay;
            let below = lag * lag + 12.0 * delay * lag + 7.0 * delay * delay;
            let integral = 0.35 * delay + 13.0 * delay * lag * lag / below;
            Some(Pid::pi(gain * factor, Time::from_base(integral)))
        }
        Terms::Pid => Some(Pid::three_terms(
            gain * (0.2 + 0.45 * lag / delay),
            Time::from_base(delay * (0.4 * delay + 0.8 * lag) / (delay + 0.1 * lag)),
            Time::from_base(0.5 * delay * lag / (0.3 * delay + lag)),
        )),
    }
}

/// Rule of Skogestad for a PI controller.
///
/// - `closed`: τc, the time constant that the closed loop shall have; equal to the dead time for tight and robust control.
///
/// # Source
/// [skogestad-2003].
#[must_use]
pub fn simc_pi(model: FirstOrder, closed: Time) -> Pid {
    let (gain, integral) = simc(model, closed);
    Pid::pi(gain, integral)
}

/// Rule of Skogestad for a PID controller, turned from its series form into the ideal one.
///
/// # Source
/// [skogestad-2003], series form (from memory).
#[must_use]
pub fn simc_pid(model: SecondOrder, closed: Time) -> Pid {
    let (gain, integral, derivative) = simc_series(model, closed);
    Pid::from_series(gain, integral, derivative)
}

/// Rule of Skogestad for a PID controller in the series form in which it is published: Kc′, Tᵢ′, T_d′.
///
/// # Source
/// As for [`simc_pid`].
#[must_use]
pub fn simc_series(model: SecondOrder, closed: Time) -> (TemperatureCoefficient, Time, Time) {
    let first = FirstOrder {
        gain: model.gain,
        lag: model.lag,
        delay: model.delay,
    };
    let (gain, integral) = simc(first, closed);
    (gain, integral, model.second_lag)
}

/// Improved rule of Skogestad for a PI controller: better with long dead times.
///
/// # Source
/// [grimholt-skogestad-2012].
#[must_use]
pub fn simc_improved_pi(model: FirstOrder, closed: Time) -> Pid {
    simc_pi(
        FirstOrder {
            lag: model.lag + model.delay / 3.0,
            ..model
        },
        closed,
    )
}

fn simc(model: FirstOrder, closed: Time) -> (TemperatureCoefficient, Time) {
    let sum = closed + model.delay;
    let gain = inverse_gain(model) * (model.lag / sum).base();
    (gain, model.lag.smaller(sum * 4.0))
}

fn inverse_gain(model: FirstOrder) -> TemperatureCoefficient {
    TemperatureCoefficient::from_base(1.0 / model.gain.base())
}
