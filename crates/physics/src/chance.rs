//! How likely a limit holds, beside the worst case: the tolerances of the inputs drawn as distributions.
//!
//! The worst case asks whether a limit can be broken at all; with many inputs it is broken only if all conspire. A chance says how
//! likely that is, and is worth no more than the distributions that it assumes: a tolerance says nothing about how parts lie within it.
//!
//! Draw number `k` of a seed is the same number whoever draws it: a caller may split the draws among cores and add the
//! [`Chance`]s, and gets the same result as on one. This crate has no threads of its own.

use core::convert::Infallible;
use core::ops::{Add, Range};

use quantity::si::Ratio;
use quantity::{AnyValue, Number, Quantity, Value};
use rand::TryRng;
use rand_distr::{Distribution, StandardNormal};
use serde::Serialize;

use crate::Inputs;

/// How a value is taken to lie within its tolerance.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Spread {
    /// Anywhere between the bounds alike: right where parts are sorted by what they measured. The cautious choice.
    #[default]
    #[serde(rename = "rectangular")]
    Uniform,
    /// Around the nominal, with the bounds at three standard deviations on their side, and cut off there.
    Normal,
}

/// How often a limit held.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Chance {
    /// Draws in which it held.
    pub held: u64,
    /// All draws.
    pub draws: u64,
}

impl Chance {
    /// The share of draws in which the limit held.
    #[must_use]
    pub fn share(&self) -> Ratio {
        Ratio::from_base(self.held as f64 / self.draws.max(1) as f64)
    }

    /// The share with its interval: 95 % of such intervals hold the true probability, also where no draw failed.
    ///
    /// # Source
    /// E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209 (from memory).
    #[must_use]
    pub fn interval(&self) -> Value<Ratio> {
        const Z: f64 = 1.959_963_984_540_054;
        if self.draws == 0 {
            return Value::between(
                Ratio::from_base(0.0),
                Ratio::from_base(0.5),
                Ratio::from_base(1.0),
            );
        }
        let (n, p) = (self.draws as f64, self.share().base());
        let below = 1.0 + Z * Z / n;
        let middle = (p + Z * Z / (2.0 * n)) / below;
        let half = Z / below * (p * (1.0 - p) / n + Z * Z / (4.0 * n * n)).sqrt();
        let low = Ratio::from_base((middle - half).max(0.0));
        let high = Ratio::from_base((middle + half).min(1.0));
        Value::between(low, self.share(), high)
    }
}

impl Add for Chance {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            held: self.held + other.held,
            draws: self.draws + other.draws,
        }
    }
}

/// How often `holds` is true for a formula whose inputs are drawn; `draws` are the numbers of the draws.
///
/// ```
/// use physics::{Spread, chance, electrics::heater_power, named};
/// use quantity::{Number, Value, si::{ohm, volt}};
///
/// let supply = Value::relative(volt(24.0), 0.05);
/// let heater = Value::relative(ohm(14.4), 0.10);
/// let inputs = || (named("U", "supply", supply), named("R", "heater", heater));
/// // 45 W can be passed, but hardly ever is.
/// let chance = chance(inputs(), Spread::Normal, 1, 0..20_000, |(u, r)| heater_power(u, r).base() < 45.0);
/// assert!((0.97..0.9999).contains(&chance.share().base()));
/// ```
pub fn chance<I: Inputs>(
    inputs: I,
    spread: Spread,
    seed: u64,
    draws: Range<u64>,
    holds: impl Fn(I::Point) -> bool,
) -> Chance {
    let bounds: Vec<(f64, f64, f64)> = inputs
        .values()
        .iter()
        .map(|value| (value.low, value.nominal, value.high))
        .collect();
    let mut point = vec![0.0; bounds.len()];
    let mut chance = Chance::default();
    for draw in draws {
        let mut sampler = Sampler::new(seed, draw);
        for (coordinate, (low, nominal, high)) in point.iter_mut().zip(&bounds) {
            *coordinate = sampler.within(*low, *nominal, *high, spread);
        }
        chance.draws += 1;
        chance.held += u64::from(holds(I::point(&point)));
    }
    chance
}

/// One draw: every value that is asked of it, in a fixed order, comes from the seed and the number of the draw.
#[derive(Clone, Debug)]
pub struct Sampler {
    state: u64,
}

impl Sampler {
    /// The draw of a number from a seed.
    #[must_use]
    pub fn new(seed: u64, draw: u64) -> Self {
        let mut sampler = Self {
            state: seed
                .wrapping_mul(0xD134_2543_DE82_EF95)
                .wrapping_add(draw.wrapping_mul(0x9E37_79B9_7F4A_7C15)),
        };
        // Neighbouring draws differ in few bits; two rounds part them.
        sampler.bits();
        sampler.bits();
        sampler
    }

    /// A value from within its tolerance.
    pub fn value<Q: Quantity>(&mut self, value: Value<Q>, spread: Spread) -> Q {
        Q::from_base(self.within(
            value.low().base(),
            value.nominal().base(),
            value.high().base(),
            spread,
        ))
    }

    /// As [`Sampler::value`], for a value whose kind is known only at run time; in SI base units.
    pub fn any(&mut self, value: &AnyValue, spread: Spread) -> f64 {
        self.within(value.low, value.nominal, value.high, spread)
    }

    fn within(&mut self, low: f64, nominal: f64, high: f64, spread: Spread) -> f64 {
        if low == high {
            return nominal;
        }
        match spread {
            Spread::Uniform => low + (high - low) * self.share(),
            Spread::Normal => loop {
                let deviate = self.normal();
                if deviate.abs() <= 3.0 {
                    let side = if deviate < 0.0 {
                        nominal - low
                    } else {
                        high - nominal
                    };
                    return nominal + side * deviate / 3.0;
                }
            },
        }
    }

    /// Uniform between 0 and 1, both excluded.
    fn share(&mut self) -> f64 {
        ((self.bits() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// Normal with mean 0 and deviation 1.
    fn normal(&mut self) -> f64 {
        StandardNormal.sample(self)
    }

    /// The generator splitmix64 of Steele, Lea and Flood (2014).
    fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
}

/// The generator as the distributions of `rand_distr` take it.
impl TryRng for Sampler {
    type Error = Infallible;

    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        Ok((self.bits() >> 32) as u32)
    }

    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        Ok(self.bits())
    }

    fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), Infallible> {
        for chunk in bytes.chunks_mut(8) {
            chunk.copy_from_slice(&self.bits().to_le_bytes()[..chunk.len()]);
        }
        Ok(())
    }
}
