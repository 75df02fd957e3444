//! The interval around an estimate in which a condition holds, such as "the profile has not fallen far": walked to, then halved.

use crate::Estimate;

/// How the bounds are looked for.
#[derive(Clone, Copy, Debug)]
pub struct Bisection {
    /// The first step away from the middle, > 0.
    pub first: f64,
    /// Each further step is so many times the one before, > 1.
    pub growth: f64,
    /// Beyond this distance a bound counts as infinite.
    pub farthest: f64,
    /// How often the last step is halved.
    pub halvings: u32,
}

impl Bisection {
    /// The interval around `middle` in which `inside` is true; a bound is infinite where it stays true.
    #[must_use]
    pub fn interval(&self, middle: f64, inside: impl Fn(f64) -> bool) -> Estimate {
        let bound = |sign: f64| {
            let (mut within, mut step) = (0.0, self.first);
            while inside(middle + sign * (within + step)) {
                within += step;
                step *= self.growth;
                if within > self.farthest {
                    return sign * f64::INFINITY;
                }
            }
            let (mut low, mut high) = (within, within + step);
            for _ in 0..self.halvings {
                let between = f64::midpoint(low, high);
                if inside(middle + sign * between) {
                    low = between;
                } else {
                    high = between;
                }
            }
            middle + sign * f64::midpoint(low, high)
        };
        Estimate {
            value: middle,
            low: bound(-1.0),
            high: bound(1.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounds_are_found_on_both_sides_or_are_infinite() {
        let walk = Bisection {
            first: 0.05,
            growth: 1.6,
            farthest: 1e4,
            halvings: 45,
        };
        let found = walk.interval(2.0, |x| (-1.0..=7.5).contains(&x));
        assert!(
            (found.low + 1.0).abs() < 1e-9 && (found.high - 7.5).abs() < 1e-9,
            "{found:?}"
        );
        let open = walk.interval(0.0, |x| x > -3.0);
        assert!(
            (open.low + 3.0).abs() < 1e-9 && open.high.is_infinite(),
            "{open:?}"
        );
    }
}
