//! Time by rate, exactly: a rate that rises evenly spreads its time evenly over the rates that it passes.

use quantity::Number as _;
use quantity::si::Time;

use crate::look_ahead::Profile;

/// Bins. A power of two: where a rate lies beyond the last, two bins become one.
pub(crate) const BINS: usize = 256;

/// Time by rate in bins of one width from zero.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Histogram {
    /// Bins in one unit of rate.
    per_unit: f64,
    /// Time in each bin, but for what `steps` adds.
    content: Vec<f64>,
    /// Density of time, in a whole bin, that begins at each bin and goes on to all later ones.
    steps: Vec<f64>,
}

impl Histogram {
    /// With the highest rate that is expected.
    pub fn up_to(rate: f64) -> Self {
        let rate = if rate.is_finite() && rate > 0.0 { rate } else { 1.0 };
        Self {
            // The highest rate itself lies in the last bin.
            per_unit: BINS as f64 / (rate * (1.0 + 1e-9)),
            content: vec![0.0; BINS + 2],
            steps: vec![0.0; BINS + 2],
        }
    }

    /// Adds a piece; its rate is `share` times its speed.
    #[inline(always)]
    pub fn add(&mut self, share: f64, profile: &Profile) {
        let scale = share * self.per_unit;
        let peak = profile.peak * scale;
        if peak >= BINS as f64 {
            return self.widen_and_add(share, profile);
        }
        let (begin, end) = (profile.begin * scale, profile.end * scale);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 to BINS"
        )]
        let at = peak as usize & (BINS - 1);
        let ramps = profile.up + profile.down;
        // Narrower than a thousandth of a bin it is a point; a density would lose its digits.
        if peak - begin.min(end) < 1e-3 {
            self.content[at] += profile.even + ramps;
            return;
        }
        let density = profile.inverse_acceleration / scale;
        self.step(begin, density);
        self.step(end, density);
        self.content[at] += profile.even - 2.0 * density * (1.0 - (peak - at as f64));
        self.steps[at + 1] -= 2.0 * density;
    }

    /// A density from a place on.
    #[inline(always)]
    fn step(&mut self, place: f64, density: f64) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 to BINS"
        )]
        let at = place as usize & (BINS - 1);
        self.content[at] += density * (1.0 - (place - at as f64));
        self.steps[at + 1] += density;
    }

    #[cold]
    #[inline(never)]
    fn widen_and_add(&mut self, share: f64, profile: &Profile) {
        let peak = profile.peak * share;
        if !peak.is_finite() {
            return;
        }
        while peak * self.per_unit >= BINS as f64 {
            self.widen();
        }
        self.add(share, profile);
    }

    fn widen(&mut self) {
        let times = self.times();
        self.per_unit /= 2.0;
        self.steps.fill(0.0);
        self.content.fill(0.0);
        for (at, pair) in times.chunks(2).enumerate() {
            self.content[at] = pair.iter().sum();
        }
    }

    /// Adds another one.
    pub fn merge(&mut self, other: &Self) {
        let mut other = other.clone();
        while other.per_unit > self.per_unit * (1.0 + 1e-12) {
            other.widen();
        }
        while self.per_unit > other.per_unit * (1.0 + 1e-12) {
            self.widen();
        }
        for (own, time) in self.content.iter_mut().zip(other.times()) {
            *own += time;
        }
    }

    /// The width of a bin.
    pub fn width(&self) -> f64 {
        1.0 / self.per_unit
    }

    /// Time in each bin. Rounding leaves next to nothing where there is nothing: that is cut off.
    pub fn times(&self) -> Vec<f64> {
        let mut density = 0.0;
        let all: Vec<f64> = self
            .content
            .iter()
            .zip(&self.steps)
            .take(BINS)
            .map(|(content, step)| {
                density += step;
                content + density
            })
            .collect();
        let least = 1e-9 * all.iter().sum::<f64>();
        all.into_iter()
            .map(|time| if time > least { time } else { 0.0 })
            .collect()
    }

    /// The same as times.
    pub fn told(&self) -> Vec<Time> {
        self.times().into_iter().map(Time::from_base).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn profile(begin: f64, peak: f64, end: f64, acceleration: f64, even: f64) -> Profile {
        Profile {
            begin,
            peak,
            end,
            inverse_acceleration: 1.0 / acceleration,
            up: (peak - begin) / acceleration,
            even,
            down: (peak - end) / acceleration,
        }
    }

    fn profiles() -> impl Strategy<Value = Vec<Profile>> {
        let one = (
            0.0_f64..1.0,
            0.0_f64..1.0,
            1e-3_f64..2.0,
            0.1_f64..10.0,
            0.0_f64..3.0,
        )
            .prop_map(|(begin, end, peak, acceleration, even)| {
                profile(begin * peak, peak, end * peak, acceleration, even)
            });
        proptest::collection::vec(one, 1..40)
    }

    proptest! {
        /// Every bin holds the time that a fine sampling of the same pieces finds there.
        #[test]
        fn a_sampling_finds_the_same(profiles in profiles(), share in 0.1_f64..2.0) {
            let mut histogram = Histogram::up_to(1.0);
            for profile in &profiles {
                histogram.add(share, profile);
            }
            let mut sampled = vec![0.0; BINS];
            let width = histogram.width();
            for profile in &profiles {
                const SAMPLES: u32 = 4_000;
                for (from, time) in [(profile.begin, profile.up), (profile.end, profile.down)] {
                    for at in 0..SAMPLES {
                        let rate = share * (from + (profile.peak - from) * (f64::from(at) + 0.5) / f64::from(SAMPLES));
                        sampled[(rate / width) as usize] += time / f64::from(SAMPLES);
                    }
                }
                sampled[(share * profile.peak / width) as usize] += profile.even;
            }
            let total: f64 = profiles.iter().map(Profile::time).sum();
            for (found, expected) in histogram.times().iter().zip(&sampled) {
                prop_assert!((found - expected).abs() < 2e-3 * total, "{found} {expected}");
            }
            prop_assert!((histogram.times().iter().sum::<f64>() / total - 1.0).abs() < 1e-6);
        }

        #[test]
        fn merging_is_adding_all(one in profiles(), other in profiles()) {
            let (mut a, mut b, mut all) = (Histogram::up_to(0.5), Histogram::up_to(0.5), Histogram::up_to(0.5));
            for profile in &one {
                a.add(1.0, profile);
                all.add(1.0, profile);
            }
            for profile in &other {
                b.add(1.5, profile);
                all.add(1.5, profile);
            }
            a.merge(&b);
            prop_assert!((a.width() / all.width() - 1.0).abs() < 1e-12);
            for (one, other) in a.times().iter().zip(all.times()) {
                prop_assert!((one - other).abs() < 1e-6);
            }
        }
    }
}
