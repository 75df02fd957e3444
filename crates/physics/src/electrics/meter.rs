//! What a hand-held meter shows: its own error, a share of the reading and some digits of its range, is part of it.

use quantity::Number;
use quantity::si::{ElectricPotential, ElectricalResistance, Ratio};

use crate::Formula;

/// See [`metered_resistance`].
pub static METERED_RESISTANCE: Formula = Formula::new(
    "metered-resistance",
    "Reading of a resistance with a hand-held meter, its tips subtracted",
    "Rₘ = a · (R + Rₗ) + n · q",
    "iec-80000-6",
    "",
);
/// See [`metered_voltage`].
pub static METERED_VOLTAGE: Formula = Formula::new(
    "metered-voltage",
    "Reading of a voltage with a hand-held meter",
    "Uₘ = a · U + n · q",
    "iec-80000-6",
    "",
);

/// Reading of a resistance at the end of its lead, with a hand-held meter of which what its touching tips show is subtracted.
///
/// `Rₘ = a · (R + Rₗ) + n · q`
///
/// - `accuracy`: 1 with the relative error of the meter as its tolerance.
/// - `resistance`: of the part; `lead`: out and back ([`super::lead_resistance`]).
/// - `digits`: how many steps of the display it may be off, both ways; `step`: of the display in its range ([`display_step`]).
///
/// Monotone in each. Leaves out: contacts that are dirty or hardly touched; they read higher.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6]; how makers state the error of a meter is common practice, no source.
#[must_use]
pub fn metered_resistance(
    accuracy: Ratio,
    resistance: ElectricalResistance,
    lead: ElectricalResistance,
    digits: Ratio,
    step: ElectricalResistance,
) -> ElectricalResistance {
    accuracy * (resistance + lead) + digits * step
}

/// Reading of a voltage with a hand-held meter.
///
/// `Uₘ = a · U + n · q`; the others as for [`metered_resistance`]. Monotone in each. Leaves out: the current that the meter draws.
///
/// # Source
/// A definition, [iec-80000-6].
#[must_use]
pub fn metered_voltage(
    accuracy: Ratio,
    voltage: ElectricPotential,
    digits: Ratio,
    step: ElectricPotential,
) -> ElectricPotential {
    accuracy * voltage + digits * step
}

/// One step of the display of a meter in the least of its ranges that shows a reading; ranges are ten times apart.
///
/// - `counts`: how many steps a range has, ≥ 1. `smallest`: one step of the lowest range, > 0.
#[must_use]
pub fn display_step<Q: Number>(reading: Q, counts: Ratio, smallest: Q) -> Q {
    let mut step = smallest.base();
    // Twelve decades are more than any meter has.
    for _ in 0..12 {
        if reading.base() < step * counts.base() {
            break;
        }
        step *= 10.0;
    }
    Q::from_base(step)
}

#[cfg(test)]
mod tests {
    use quantity::si::{ohm, ratio, volt};

    use super::display_step;

    /// A meter of 2000 counts: 200 Ω in steps of 0.1 Ω, 2 kΩ of 1 Ω, 200 kΩ of 100 Ω; 20 V in steps of 10 mV.
    #[test]
    fn a_reading_picks_its_range() {
        let ohms = |reading: f64| display_step(ohm(reading), ratio(2000.0), ohm(0.1)).value;
        for (reading, step) in [
            (0.0, 0.1),
            (14.4, 0.1),
            (199.9, 0.1),
            (200.0, 1.0),
            (1100.0, 1.0),
            (104e3, 100.0),
        ] {
            assert!((ohms(reading) / step - 1.0).abs() < 1e-9, "{reading}");
        }
        let volts = display_step(volt(12.0), ratio(2000.0), volt(1e-3)).value;
        assert!((volts - 0.01).abs() < 1e-12);
    }
}
