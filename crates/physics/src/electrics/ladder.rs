//! A light strip as a ladder: voltage along it, how far one feed reaches.

use quantity::si::{ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio};
use quantity::{Number, Range};

use crate::{Formula, OutOfRange};

/// See [`strip_drop`].
pub static STRIP_DROP: Formula = Formula::new(
    "strip-drop",
    "Voltage lost from the feed to the end of a light strip",
    "ΔU = r · I₁ · n · (n + 1) / 2",
    "iec-80000-6",
    "sum over the ladder",
);
/// See [`lights_per_feed`].
pub static LIGHTS_PER_FEED: Formula = Formula::new(
    "lights-per-feed",
    "Lights that one feed can serve",
    "n = √(1/4 + 2 · ΔU / (r · I₁)) − 1/2",
    "iec-80000-6",
    "sum over the ladder, solved",
);
/// See [`even_drop`].
pub static EVEN_DROP: Formula = Formula::new(
    "even-drop",
    "Voltage lost along a strip that draws evenly",
    "ΔU = I · R / 2",
    "iec-80000-6",
    "integral over the strip",
);
/// See [`channel_share`].
pub static CHANNEL_SHARE: Formula = Formula::new(
    "channel-share",
    "Share of its light that a colour keeps at a low voltage",
    "k = min(1, (U − U₀) / (U₁ − U₀))",
    "common-practice",
    "",
);
/// See [`starved_end`].
pub static STARVED_END: Formula = Formula::new(
    "starved-end",
    "Voltage at the last light of a strip whose lights starve",
    "I = I₁ · min(1, (U − U₀) / (U₁ − U₀)) in each of n lights, from Uₛ on over Rₗ and r before each",
    "iec-80000-6",
    "solved from the last light on",
);
/// See [`strip_voltages`].
pub static STRIP_LADDER: Formula = Formula::new(
    "strip-ladder",
    "Voltage at a light of a resistive ladder",
    "Kirchhoff's laws at each light",
    "ladder-network",
    "",
);

/// Voltage lost from the feed to the last light of a strip, out and back, with a constant current in each light.
///
/// `ΔU = r · I₁ · n · (n + 1) / 2`: the segment before the k-th light carries the current of all lights from it on
///
/// - `segment`: resistance of one segment, out *and* back, > 0 Ω.
/// - `each`: current of one light. `lights`: how many the feed serves.
///
/// Monotone in each. Leaves out: that a starved light takes less current; the true drop is smaller then.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6].
#[must_use]
pub fn strip_drop(segment: ElectricalResistance, each: ElectricCurrent, lights: Ratio) -> ElectricPotential {
    segment * each * (lights.base() * (lights.base() + 1.0) / 2.0)
}

/// Lights that one feed can serve until the last one has lost a given voltage; not rounded.
///
/// `n = √(1/4 + 2 · ΔU / (r · I₁)) − 1/2`; the inverse of [`strip_drop`]
///
/// Monotone in each.
///
/// # Source
/// As for [`strip_drop`].
#[must_use]
pub fn lights_per_feed(
    allowed: ElectricPotential,
    segment: ElectricalResistance,
    each: ElectricCurrent,
) -> Ratio {
    let share = allowed.base() / (segment.base() * each.base());
    Ratio::from_base((0.25 + 2.0 * share).sqrt() - 0.5)
}

/// Voltage lost from the feed to the end of a strip that draws its current evenly along its length, as plain strips nearly do.
///
/// `ΔU = I · R / 2`: the limit of [`strip_drop`] for very many lights
///
/// - `current`: of the whole strip. `resistance`: of the whole strip, out and back.
///
/// Monotone in both.
///
/// # Source
/// Integral of Kirchhoff's laws, [iec-80000-6].
#[must_use]
pub fn even_drop(current: ElectricCurrent, resistance: ElectricalResistance) -> ElectricPotential {
    current * resistance / 2.0
}

/// Voltage at the last light of a strip whose lights take less where they starve; never below zero.
///
/// Kirchhoff's laws from the supply Uₛ over the lead Rₗ and a segment r before each of n lights that take I₁ · min(1, (U − U₀) / (U₁ − U₀)), and
/// nothing below U₀
///
/// - `supply`: Uₛ, ≥ 0 V; `lead`: Rₗ, ≥ 0 Ω, out and back, of the wires to the strip; `segment`: r, > 0 Ω, out and back.
/// - `lights`: n, and `each`: I₁, what one takes from `full` on. `dark`: U₀, at which it takes nothing. `full`: U₁ > `dark`.
///
/// Monotone in each. As [`strip_drop`] where all have `full`.
///
/// # Source
/// Kirchhoff's laws, [iec-80000-6]: what the last light has tells what the one before has, and so on to the supply; found by halving.
#[must_use]
pub fn starved_end(
    (supply, lead): (ElectricPotential, ElectricalResistance),
    segment: ElectricalResistance,
    (each, lights): (ElectricCurrent, Ratio),
    (dark, full): (ElectricPotential, ElectricPotential),
) -> ElectricPotential {
    let supply_for = |last: f64| {
        let (mut voltage, mut current, mut left) = (last, 0.0, lights.base());
        while left >= 0.5 {
            let share = channel_share(ElectricPotential::from_base(voltage), dark, full);
            current += each.base() * share.base();
            voltage += segment.base() * current;
            left -= 1.0;
        }
        voltage + lead.base() * current
    };
    let (mut low, mut high) = (0.0, supply.base());
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if supply_for(middle) < supply.base() {
            low = middle;
        } else {
            high = middle;
        }
    }
    ElectricPotential::from_base(low)
}

/// Share of its light that one colour of a light keeps when its voltage falls below what drives it fully.
///
/// `k = min(1, (U − U₀) / (U₁ − U₀))`, never below 0
///
/// - `voltage`: at the light. `dark`: at which that colour is dark, near its forward voltage. `full`: from which its current is held.
///
/// Monotone in each: rises with `voltage`, falls with `dark` and `full`. Blue and green need about a volt more than red: what blue loses, red does not, so that
/// white turns yellow and red.
///
/// # Source
/// A straight line between the two ends; common practice, no source.
#[must_use]
pub fn channel_share(voltage: ElectricPotential, dark: ElectricPotential, full: ElectricPotential) -> Ratio {
    let share = (voltage - dark) / (full - dark);
    Ratio::from_base(share.base().clamp(0.0, 1.0))
}

/// Where to join feeds to a strip so that no light is more than `reach` lights from one: indices from 0, as few as that takes.
///
/// - `lights`: how many there are. `reach`: lights that one feed can serve to each side ([`lights_per_feed`], rounded down);
///   between two feeds each serves its half, so that their reach may touch.
#[must_use]
pub fn feed_places(lights: usize, reach: usize) -> Vec<usize> {
    let served = 2 * reach + 1;
    let feeds = lights.div_ceil(served);
    // Spread evenly, so that the last feed does not sit at the end with little to serve.
    let place = |feed: usize| ((2 * feed + 1) * lights / (2 * feeds)).min(lights - 1);
    (0..feeds).map(place).collect()
}

/// What one light of a strip takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LightLoad {
    /// A constant current, as addressable lights have while their voltage suffices.
    Current(ElectricCurrent),
    /// A resistance, as plain lights with a series resistor nearly have.
    Resistance(ElectricalResistance),
}

/// Voltage at each light of a strip that is fed at some of its lights.
///
/// - `supply`: at each feed; `feeds`: indices of the lights at which wires are joined to the strip, at least one.
/// - `lights`: how many; `segment`: resistance from light to light, out and back, > 0 Ω.
///
/// A feed at the first light stands for a strip whose own lead is counted elsewhere. Voltages below zero, which a constant current
/// would ask for, mean that the lights cannot have it.
///
/// # Errors
/// [`OutOfRange`] where there is no feed, a feed is not on the strip, or the segment has no resistance.
///
/// # Source
/// Kirchhoff's laws, solved from light to light; [ladder-network].
pub fn strip_voltages(
    supply: ElectricPotential,
    lights: usize,
    segment: ElectricalResistance,
    load: LightLoad,
    feeds: &[usize],
) -> Result<Vec<ElectricPotential>, OutOfRange> {
    let segment = OutOfRange::check_positive("resistance of a segment", segment)?.base();
    let whole = |number: usize| Ratio::from_base(number as f64);
    OutOfRange::check_positive("number of feeds", whole(feeds.len()))?;
    for feed in feeds {
        let range = Range::new(Ratio::from_base(0.0), whole(lights.saturating_sub(1)));
        OutOfRange::check("place of a feed", whole(*feed), range)?;
    }
    let (drawn, conductance) = match load {
        LightLoad::Current(current) => (current.base(), 0.0),
        LightLoad::Resistance(resistance) => (
            0.0,
            1.0 / OutOfRange::check_positive("resistance of a light", resistance)?.base(),
        ),
    };
    // Per node: below · U[k−1] + at · U[k] + above · U[k+1] = right, scaled by the segment; a feed pins its node.
    let rows = (0..lights).map(|node| {
        if feeds.contains(&node) {
            return [0.0, 1.0, 0.0, supply.base()];
        }
        let below = if node > 0 { -1.0 } else { 0.0 };
        let above = if node + 1 < lights { -1.0 } else { 0.0 };
        [
            below,
            -below - above + conductance * segment,
            above,
            -drawn * segment,
        ]
    });
    Ok(solved(rows.collect())
        .into_iter()
        .map(ElectricPotential::from_base)
        .collect())
}

/// Solves a tridiagonal system whose rows are below, diagonal, above, right-hand side.
fn solved(mut rows: Vec<[f64; 4]>) -> Vec<f64> {
    for index in 1..rows.len() {
        let [_, diagonal, above, right] = rows[index - 1];
        let factor = rows[index][0] / diagonal;
        rows[index][1] -= factor * above;
        rows[index][3] -= factor * right;
    }
    let mut solution = vec![0.0; rows.len()];
    let mut next = 0.0;
    for (index, [_, diagonal, above, right]) in rows.into_iter().enumerate().rev() {
        next = (right - above * next) / diagonal;
        solution[index] = next;
    }
    solution
}
