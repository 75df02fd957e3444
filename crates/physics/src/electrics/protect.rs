//! Protection and derating: fuse between load and wire, what a wire bears for a short time, inrush, warm connectors.

use quantity::si::{
    Area, Capacitance, ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio, TemperatureInterval,
    ThermodynamicTemperature, Time, kelvin,
};
use quantity::{Number, Range};
use serde::Serialize;

use crate::{Formula, OutOfRange};

/// See [`overload_share`].
pub static OVERLOAD_SHARE: Formula = Formula::new(
    "overload-share",
    "Overload that a fuse lets pass, against what its wire bears",
    "s = k₂ · Iₙ / (1.45 · I_z)",
    "iec-60364-4-43",
    "433.1",
);
/// See [`withstand_time`].
pub static WITHSTAND_TIME: Formula = Formula::new(
    "withstand-time",
    "Time for which a wire bears a short circuit",
    "t = (k · A / I)²",
    "iec-60364-4-43",
    "434.5.2",
);
/// See [`charge_time`].
pub static CHARGE_TIME: Formula = Formula::new(
    "charge-time",
    "Time constant of an inrush",
    "τ = R · C",
    "iec-80000-6",
    "",
);
/// See [`inrush_after`].
pub static INRUSH_AFTER: Formula = Formula::new(
    "inrush-after",
    "Inrush current of a capacitor some time after switching on",
    "I = U / R · exp(−t / (R · C))",
    "iec-80000-6",
    "",
);
/// See [`inrush_rating`].
pub static INRUSH_RATING: Formula = Formula::new(
    "inrush-rating",
    "Rating of a fuse that an inrush leaves whole",
    "I = U · √(C / (2 · R · k))",
    "iec-80000-6",
    "Joule integral",
);
/// See [`ramp_current`].
pub static RAMP_CURRENT: Formula = Formula::new(
    "ramp-current",
    "Current that brings a capacitor up in a time",
    "I = C · U / t",
    "iec-80000-6",
    "",
);

/// See [`continuous_current`].
pub static CONTINUOUS_CURRENT: Formula = Formula::new(
    "continuous-current",
    "Current that a part bears for long",
    "I = s · Iᵣ",
    "common-practice",
    "",
);
/// See [`contact_temperature`].
pub static CONTACT_TEMPERATURE: Formula = Formula::new(
    "contact-temperature",
    "Temperature of a contact",
    "ϑ = ϑₐ + ΔTᵣ · (I / (k · Iᵣ))²",
    "iec-60512-5-2",
    "basic derating curve",
);
/// See [`even_share`].
pub static EVEN_SHARE: Formula = Formula::new(
    "even-share",
    "Current of one of several equal wires side by side",
    "I₁ = I / n",
    "iec-80000-6",
    "",
);
/// See [`unbundled`].
pub static UNBUNDLED: Formula = Formula::new(
    "unbundled",
    "Current that a wire bears by itself, from what it bears in a bundle",
    "I = I_b / k",
    "iec-60364-5-52",
    "table B.52.17, row 1",
);
/// See [`warm_rating`].
pub static WARM_RATING: Formula = Formula::new(
    "warm-rating",
    "Rated current of a contact in warm air",
    "I = Iᵣ · √((ϑₘ − ϑ) / (ϑₘ − ϑᵣ))",
    "iec-60512-5-2",
    "derating curve",
);
/// See [`bundle_factor`].
pub static BUNDLE_FACTOR: Formula = Formula::new(
    "bundle-factor",
    "Share of the rated current when several conductors are loaded together",
    "k(n): table",
    "iec-60364-5-52",
    "table B.52.17, row 1",
);

/// Overload that a fuse lets pass for a long time, against what its wire bears; above 1 the wire is not protected.
///
/// `s = k₂ · Iₙ / (1.45 · I_z)`
///
/// - `opening`: multiple of its rating at which the fuse is sure to open ([`super::FuseClass::opening_multiple`]).
/// - `rating`: of the fuse. `wire`: current that the wire bears for ever, > 0 A.
///
/// Monotone in each. The fuse must also be rated above its load and not above its wire.
///
/// # Source
/// [iec-60364-4-43], 433.1 (from memory). It is written for installations; local codes and a qualified person decide.
#[must_use]
pub fn overload_share(opening: Ratio, rating: ElectricCurrent, wire: ElectricCurrent) -> Ratio {
    opening * (rating / wire) / 1.45
}

/// Time for which a wire bears a short circuit before its insulation suffers.
///
/// `t = (k · A / I)²`, with k = 115 A√s/mm² for copper in PVC
///
/// - `area`: cross-section of the copper. `current`: of the short circuit, > 0 A.
///
/// Monotone in both. Holds up to about 5 s; silicone and PTFE bear more. Compare with the latest opening of the fuse.
///
/// # Source
/// [iec-60364-4-43], 434.5.2 (from memory).
#[must_use]
pub fn withstand_time(area: Area, current: ElectricCurrent) -> Time {
    // 115 A√s/mm² in A√s/m².
    const K: f64 = 115e6;
    let share = K * area.base() / current.base();
    Time::from_base(share * share)
}

/// Time constant of an inrush into a capacitor.
///
/// `τ = R · C`, `resistance` that of source, leads and contacts. Monotone in both.
///
/// # Source
/// [iec-80000-6].
#[must_use]
pub fn charge_time(resistance: ElectricalResistance, capacitance: Capacitance) -> Time {
    Time::from_base(resistance.base() * capacitance.base())
}

/// Inrush current of a capacitor some time after switching on.
///
/// `I = U / R · exp(−t / (R · C))`
///
/// - `voltage`: across the switch before; `resistance`: in the loop, > 0 Ω; `capacitance`: of the empty capacitor.
/// - `time`: since then, 0 s for the peak.
///
/// Monotone in `voltage`, `capacitance` and `time`; in `resistance` it is not (a larger one lowers the peak and stretches the tail):
/// use [`crate::work_sampled`]. Leaves out: inductance of the leads and the current limit of the supply.
///
/// # Source
/// [iec-80000-6].
#[must_use]
pub fn inrush_after(
    voltage: ElectricPotential,
    resistance: ElectricalResistance,
    capacitance: Capacitance,
    time: Time,
) -> ElectricCurrent {
    let share = (-time.base() / charge_time(resistance, capacitance).base()).exp();
    voltage / resistance * share
}

/// Rating of a fuse that an inrush leaves whole.
///
/// `I = U · √(C / (2 · R · k))`: the Joule integral of the inrush, `U² · C / (2 · R)`, must stay below `k · I²`, which the fuse is sure to hold
///
/// - `voltage`, `resistance`, `capacitance`: as for [`inrush_after`]. `hold`: [`super::FuseClass::joule_constant`].
///
/// Monotone in each. Leaves out: inductance of the leads, which stretches the inrush and lowers its integral; many repetitions, which
/// age a fuse.
///
/// # Source
/// Integral of the square of [`inrush_after`] over all times, [iec-80000-6].
#[must_use]
pub fn inrush_rating(
    voltage: ElectricPotential,
    capacitance: Capacitance,
    resistance: ElectricalResistance,
    hold: Time,
) -> ElectricCurrent {
    let integral = capacitance.base() / (2.0 * resistance.base() * hold.base());
    ElectricCurrent::from_base(voltage.base() * integral.sqrt())
}

/// Current that brings an empty capacitor up to a voltage in a time, evenly.
///
/// `I = C · U / t`
///
/// - `time`: of the ramp, > 0 s.
///
/// Monotone in each.
///
/// # Source
/// [iec-80000-6].
#[must_use]
pub fn ramp_current(capacitance: Capacitance, voltage: ElectricPotential, time: Time) -> ElectricCurrent {
    ElectricCurrent::from_base(capacitance.base() * voltage.base() / time.base())
}

/// Current that a part bears for long, where its rating holds for short runs.
///
/// `I = s · Iᵣ`
///
/// - `share`: of the rating, 0 to 1. `rated`: its rating, ≥ 0 A.
///
/// Monotone in both.
///
/// # Source
/// Common practice, no source; wiring codes do the same for loads of three hours and more.
#[must_use]
pub fn continuous_current(share: Ratio, rated: ElectricCurrent) -> ElectricCurrent {
    rated * share
}

/// Temperature of a contact with a current through it for long.
///
/// `ϑ = ϑₐ + ΔTᵣ · (I / (k · Iᵣ))²`
///
/// - `air`: around it. `rise`: at its rated current, > 0 K. `current`, `rated`: > 0 A.
/// - `factor`: what loaded neighbours leave of the rating, from [`bundle_factor`].
///
/// Monotone in each. Leaves out: thin wire and worn contacts, which are hotter.
///
/// # Source
/// [iec-60512-5-2], the basic derating curve: the rise goes with the square of the current (from memory).
#[must_use]
pub fn contact_temperature(
    air: ThermodynamicTemperature,
    rise: TemperatureInterval,
    current: ElectricCurrent,
    factor: Ratio,
    rated: ElectricCurrent,
) -> ThermodynamicTemperature {
    let share = (current / (rated * factor)).base();
    ThermodynamicTemperature::from_base(air.base() + rise.base() * share * share)
}

/// Current of one of several equal wires side by side.
///
/// `I₁ = I / n`
///
/// - `current`: of all together, ≥ 0 A. `count`: of wires, ≥ 1.
///
/// Monotone in both. Leaves out: that no two joints are equal.
///
/// # Source
/// Kirchhoff's current law, [iec-80000-6].
#[must_use]
pub fn even_share(current: ElectricCurrent, count: Ratio) -> ElectricCurrent {
    current / count
}

/// Current that a wire bears where no other loaded one lies beside it.
///
/// `I = I_b / k`
///
/// - `bundled`: what it bears in the bundle, ≥ 0 A. `factor`: of that bundle, from [`bundle_factor`].
///
/// Monotone in both.
///
/// # Source
/// [iec-60364-5-52], table B.52.17, row 1 (from memory).
#[must_use]
pub fn unbundled(bundled: ElectricCurrent, factor: Ratio) -> ElectricCurrent {
    bundled / factor
}

/// Rated current of a contact in air warmer than its rating was measured in.
///
/// `I = Iᵣ · √((ϑₘ − ϑ) / (ϑₘ − ϑᵣ))`: the rise goes with the square of the current
///
/// - `rated`: in air of `rated_air`. `limit`: highest temperature of the contact, its own rise included.
/// - `air`: around it, at most `limit`.
///
/// Monotone in each for `air` ≥ `rated_air`.
///
/// # Errors
/// [`OutOfRange`] where the air is hotter than the contact may be, or the rating leaves no rise.
///
/// # Source
/// [iec-60512-5-2], the basic derating curve (from memory).
pub fn warm_rating(
    rated: ElectricCurrent,
    limit: ThermodynamicTemperature,
    rated_air: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
) -> Result<ElectricCurrent, OutOfRange> {
    let rated_rise = kelvin(limit.base() - rated_air.base());
    let rated_rise = OutOfRange::check_positive("rise that the rating allows", rated_rise)?;
    let range = Range::new(kelvin(0.0), kelvin(f64::INFINITY));
    let rise = OutOfRange::check(
        "rise that the warm air leaves",
        kelvin(limit.base() - air.base()),
        range,
    )?;
    Ok(rated * (rise / rated_rise).base().sqrt())
}

/// Conductors loaded together, and the share of its own rating that each keeps. [iec-60364-5-52], table B.52.17
const BUNDLE: [(u16, f64); 12] = [
    (1, 1.0),
    (2, 0.80),
    (3, 0.70),
    (4, 0.65),
    (5, 0.60),
    (6, 0.57),
    (7, 0.54),
    (8, 0.52),
    (9, 0.50),
    (12, 0.45),
    (16, 0.41),
    (20, 0.38),
];

/// What is bundled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bundled {
    /// Circuits in a bundle of leads.
    Circuits(u16),
    /// Loaded contacts of one connector, two to a circuit.
    Contacts(u16),
}

/// Share of its rated current that each of several conductors keeps when all are loaded.
///
/// Between two rows of the table the smaller share counts, above 20 circuits that of 20. For the contacts of a connector the
/// table of bundled circuits stands in where its maker gives no curve: that is common practice, not a standard.
///
/// # Source
/// [iec-60364-5-52], table B.52.17, row 1 (from memory).
#[must_use]
pub fn bundle_factor(bundled: Bundled) -> Ratio {
    let circuits = match bundled {
        Bundled::Circuits(count) => count,
        Bundled::Contacts(count) => count.div_ceil(2),
    };
    let row = BUNDLE
        .iter()
        .find(|(count, _)| *count >= circuits)
        .unwrap_or(&BUNDLE[BUNDLE.len() - 1]);
    Ratio::from_base(row.1)
}
