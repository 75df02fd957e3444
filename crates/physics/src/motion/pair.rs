//! Two motors on one driver: what the driver sees, and what each motor gets.

use quantity::Number;
use quantity::si::{ElectricCurrent, ElectricalResistance, Inductance};
use serde::Serialize;

use crate::Formula;
use crate::electrics::parallel;

/// See [`Pair::resistance`] in series.
pub static SERIES: Formula = Formula::new(
    "series-resistance",
    "Two resistors in series",
    "R = R₁ + R₂",
    "iec-80000-6",
    "",
);
/// See [`current_share`].
pub static CURRENT_SHARE: Formula = Formula::new(
    "current-share",
    "Current of the first of two parallel windings",
    "I₁ = I · R₂ / (R₁ + R₂)",
    "iec-80000-6",
    "",
);

/// See [`series_current`].
pub static SERIES_CURRENT: Formula = Formula::new(
    "series-current",
    "Current of two motors in series that is enough for both",
    "I = max(I₁, I₂)",
    "iec-80000-6",
    "",
);

/// How two motors hang on one driver, phase by phase.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Pair {
    /// One after the other: both get the full current, and need twice the voltage at speed.
    Series,
    /// Side by side: they share the current.
    Parallel,
}

impl Pair {
    /// Resistance of one phase that the driver sees.
    ///
    /// Monotone in both.
    #[must_use]
    pub fn resistance(self, one: ElectricalResistance, other: ElectricalResistance) -> ElectricalResistance {
        match self {
            Self::Series => series(one, other),
            Self::Parallel => parallel(one, other),
        }
    }

    /// Inductance of one phase that the driver sees; the motors are not coupled.
    #[must_use]
    pub fn inductance(self, one: Inductance, other: Inductance) -> Inductance {
        let (one, other) = (one.base(), other.base());
        Inductance::from_base(match self {
            Self::Series => one + other,
            Self::Parallel => one * other / (one + other),
        })
    }

    /// Current of the first motor when the driver gives `current`.
    ///
    /// In parallel it goes by resistance at rest; at speed the inductances share it.
    #[must_use]
    pub fn current(
        self,
        current: ElectricCurrent,
        one: ElectricalResistance,
        other: ElectricalResistance,
    ) -> ElectricCurrent {
        match self {
            Self::Series => current,
            Self::Parallel => current_share(current, one, other),
        }
    }

    /// Current that the driver must give so that each of two equal motors gets `each`.
    #[must_use]
    pub fn driver_current(self, each: ElectricCurrent) -> ElectricCurrent {
        match self {
            Self::Series => each,
            Self::Parallel => each * 2.0,
        }
    }
}

/// Two resistors in series.
///
/// `R = R₁ + R₂`. Monotone in both.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6].
#[must_use]
pub fn series(one: ElectricalResistance, other: ElectricalResistance) -> ElectricalResistance {
    one + other
}

/// Current of two motors in series that is enough for both: one current flows through both.
///
/// `I = max(I₁, I₂)`. Monotone in both.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6].
#[must_use]
pub fn series_current(one: ElectricCurrent, other: ElectricCurrent) -> ElectricCurrent {
    one.larger(other)
}

/// Current of the first of two parallel windings.
///
/// `I₁ = I · R₂ / (R₁ + R₂)`, resistances > 0 Ω. Monotone in each.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6].
#[must_use]
pub fn current_share(
    current: ElectricCurrent,
    one: ElectricalResistance,
    other: ElectricalResistance,
) -> ElectricCurrent {
    current * (other / (one + other)).base()
}
