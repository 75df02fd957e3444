//! The chance of an outcome that rises or falls with one number: logistic regression that bears separated data.
//!
//! A sweep in which every trial below a value fails and every trial above it succeeds has no likeliest slope: it would be infinite.
//! Such sweeps are the usual ones at the bench. The likelihood is therefore penalised as by Firth: the estimate stays finite, and
//! its bias for few trials goes. Intervals are those of the penalised profile likelihood.

use crate::quantiles::chi_squared_quantile;
use crate::{Bisection, Estimate, extremes};

/// One trial: where, and whether it happened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trial {
    /// The number that the chance depends on.
    pub x: f64,
    /// Whether it happened.
    pub happened: bool,
}

/// A fitted chance `p = 1 / (1 + exp(−(a + b (x − x̄))))`.
#[derive(Clone, Debug, PartialEq)]
pub struct LogisticRegression {
    /// The log odds at x = 0.
    pub intercept: f64,
    /// The change of the log odds with x.
    pub slope: f64,
    /// Standard errors of the two.
    pub errors: [f64; 2],
    /// Minus twice the log likelihood (not penalised).
    pub deviance: f64,
    /// Whether one value of x parts those that happened from the others.
    pub separated: bool,
    counts: Vec<Count>,
    centre: f64,
    scale: f64,
    penalised: bool,
}

/// Trials at one place, in the fit's own scale.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Count {
    x: f64,
    n: f64,
    k: f64,
}

/// Fits outcomes; `penalised` as by Firth, else by maximum likelihood. Nothing where all have one outcome or one place,
/// or where maximum likelihood has no finite answer.
///
/// # Source
/// D. Firth, Biometrika 80 (1993) 27; G. Heinze and M. Schemper, Statistics in Medicine 21 (2002) 2409 (from memory).
#[must_use]
pub fn logistic_regression(outcomes: &[Trial], penalised: bool) -> Option<LogisticRegression> {
    let happened = outcomes.iter().filter(|o| o.happened).count();
    if happened == 0 || happened == outcomes.len() || outcomes.iter().any(|o| !o.x.is_finite()) {
        return None;
    }
    let (low, high) = extremes(outcomes.iter().map(|o| o.x));
    if !(high > low) {
        return None;
    }
    let separated = is_separated(outcomes);
    if separated && !penalised {
        return None;
    }
    let (centre, scale) = (f64::midpoint(low, high), (high - low) / 2.0);
    let mut model = LogisticRegression {
        intercept: 0.0,
        slope: 0.0,
        errors: [f64::NAN; 2],
        deviance: f64::NAN,
        separated,
        counts: counted(outcomes, centre, scale),
        centre,
        scale,
        penalised,
    };
    let (a, b) = model.climb()?;
    model.slope = b / scale;
    model.intercept = a - b * centre / scale;
    model.deviance = -2.0 * model.plain(a, b);
    let [aa, ab, bb] = model.information(a, b);
    let det = aa * bb - ab * ab;
    // Var(a − b c/s) from the covariance of a and b.
    let shift = centre / scale;
    let variance = (bb + 2.0 * shift * ab + shift * shift * aa) / det;
    model.errors = [variance.sqrt(), (aa / det).sqrt() / scale];
    Some(model)
}

impl LogisticRegression {
    /// The chance at a place, with the interval of the profile likelihood.
    #[must_use]
    pub fn chance(&self, x: f64, confidence: f64) -> Estimate {
        let (x, (a, b)) = (self.scaled(x), self.top());
        // Along b the log odds at x are held: a = eta − b x.
        let held = |eta: f64| self.best_along(|b| (eta - b * x, b), b);
        let found = self.profile(a + b * x, confidence, &held);
        found.map(share)
    }

    /// Where the chance is `share`, with the interval of the profile likelihood; a bound may be infinite.
    #[must_use]
    pub fn place(&self, share: f64, confidence: f64) -> Estimate {
        let logit = (share / (1.0 - share)).ln();
        let (a, b) = self.top();
        // Where x is held, a = logit − b x. The slope keeps its sign: an edge that turns round is no edge.
        let held = |x: f64| self.best_along(|b| (logit - b * x, b), b);
        let found = self.profile((logit - a) / b, confidence, &held);
        found.map(|x| self.centre + self.scale * x)
    }

    fn scaled(&self, x: f64) -> f64 {
        (x - self.centre) / self.scale
    }

    fn top(&self) -> (f64, f64) {
        let b = self.slope * self.scale;
        (self.intercept + self.slope * self.centre, b)
    }

    /// The bounds at which the profile has fallen by half the quantile of χ² with one degree of freedom.
    fn profile(&self, middle: f64, confidence: f64, held: &dyn Fn(f64) -> f64) -> Estimate {
        let (a, b) = self.top();
        let floor = self.likelihood(a, b) - chi_squared_quantile(confidence, 1.0) / 2.0;
        let walk = Bisection {
            first: 0.05,
            growth: 1.6,
            farthest: 1e4,
            halvings: 45,
        };
        walk.interval(middle, |x| held(x) > floor)
    }

    /// The highest likelihood along a line through the parameters, over slopes of the sign of `start`.
    fn best_along(&self, at: impl Fn(f64) -> (f64, f64), start: f64) -> f64 {
        let sign = start.signum();
        let f = |log: f64| {
            let (a, b) = at(sign * log.exp());
            self.likelihood(a, b)
        };
        // Coarse first, since the penalised likelihood may have a shoulder; then the golden section.
        let middle = start.abs().max(1e-9).ln();
        let steps = 24_i32;
        let place = |k: i32| middle + f64::from(k) * 0.4;
        let best = (-steps..=steps / 2)
            .max_by(|p, q| f(place(*p)).total_cmp(&f(place(*q))))
            .unwrap_or(0);
        let (mut low, mut high) = (place(best - 1), place(best + 1));
        const SHARE: f64 = 0.618_033_988_749_894_8;
        let (mut left, mut right) = (high - SHARE * (high - low), low + SHARE * (high - low));
        let (mut at_left, mut at_right) = (f(left), f(right));
        for _ in 0..30 {
            if at_left >= at_right {
                (high, right, at_right) = (right, left, at_left);
                left = high - SHARE * (high - low);
                at_left = f(left);
            } else {
                (low, left, at_left) = (left, right, at_right);
                right = low + SHARE * (high - low);
                at_right = f(right);
            }
        }
        at_left.max(at_right)
    }

    /// The log likelihood, with half the log determinant of the information where penalised.
    fn likelihood(&self, a: f64, b: f64) -> f64 {
        let plain = self.plain(a, b);
        if !self.penalised {
            return plain;
        }
        let [aa, ab, bb] = self.information(a, b);
        plain + 0.5 * (aa * bb - ab * ab).max(f64::MIN_POSITIVE).ln()
    }

    fn plain(&self, a: f64, b: f64) -> f64 {
        self.counts
            .iter()
            .map(|c| {
                let eta = a + b * c.x;
                c.k * -softplus(-eta) + (c.n - c.k) * -softplus(eta)
            })
            .sum()
    }

    fn information(&self, a: f64, b: f64) -> [f64; 3] {
        self.counts.iter().fold([0.0; 3], |[aa, ab, bb], c| {
            let p = share(a + b * c.x);
            let w = c.n * p * (1.0 - p);
            [aa + w, ab + w * c.x, bb + w * c.x * c.x]
        })
    }

    /// Newton's steps with the modified score, halved where one does not climb.
    fn climb(&self) -> Option<(f64, f64)> {
        let (mut a, mut b) = (0.0, 0.0);
        let mut level = self.likelihood(a, b);
        for _ in 0..200 {
            let step = self.newton_step(a, b)?;
            let mut size = 1.0;
            let mut next = (a, b, level);
            while size > 1e-8 {
                let (to_a, to_b) = (a + size * step.0, b + size * step.1);
                let reached = self.likelihood(to_a, to_b);
                if reached >= level {
                    next = (to_a, to_b, reached);
                    break;
                }
                size /= 2.0;
            }
            let moved = (next.0 - a).abs() + (next.1 - b).abs();
            (a, b, level) = next;
            if moved < 1e-11 {
                break;
            }
        }
        (a.is_finite() && b.is_finite() && b != 0.0).then_some((a, b))
    }

    /// The step by information and score, the score modified where the likelihood is penalised.
    fn newton_step(&self, a: f64, b: f64) -> Option<(f64, f64)> {
        let [aa, ab, bb] = self.information(a, b);
        let det = aa * bb - ab * ab;
        if !(det > 0.0) {
            return None;
        }
        let (mut score_a, mut score_b) = (0.0, 0.0);
        for c in &self.counts {
            let p = share(a + b * c.x);
            let mut left = c.k - c.n * p;
            if self.penalised {
                // The leverage of the place, n w xᵀ I⁻¹ x.
                let h = c.n * p * (1.0 - p) * (bb - 2.0 * ab * c.x + aa * c.x * c.x) / det;
                left += h * (0.5 - p);
            }
            score_a += left;
            score_b += left * c.x;
        }
        Some((
            (bb * score_a - ab * score_b) / det,
            (aa * score_b - ab * score_a) / det,
        ))
    }
}

/// Whether one place parts those that happened from the others.
fn is_separated(outcomes: &[Trial]) -> bool {
    let of = |happened: bool| extremes(outcomes.iter().filter(|o| o.happened == happened).map(|o| o.x));
    let ((yes_low, yes_high), (no_low, no_high)) = (of(true), of(false));
    yes_low >= no_high || no_low >= yes_high
}

fn counted(outcomes: &[Trial], centre: f64, scale: f64) -> Vec<Count> {
    let mut sorted: Vec<&Trial> = outcomes.iter().collect();
    sorted.sort_by(|p, q| p.x.total_cmp(&q.x));
    let mut counts: Vec<Count> = Vec::new();
    for outcome in sorted {
        let x = (outcome.x - centre) / scale;
        let k = f64::from(u8::from(outcome.happened));
        match counts.last_mut() {
            Some(last) if last.x == x => {
                last.n += 1.0;
                last.k += k;
            }
            _ => counts.push(Count { x, n: 1.0, k }),
        }
    }
    counts
}

fn share(log_odds: f64) -> f64 {
    1.0 / (1.0 + (-log_odds).exp())
}

/// `ln(1 + exp x)` without overflow.
fn softplus(x: f64) -> f64 {
    x.max(0.0) + (-x.abs()).exp().ln_1p()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outcomes(rows: &[(f64, u32, u32)]) -> Vec<Trial> {
        let trials = |(x, n, k): &(f64, u32, u32)| {
            let (x, k) = (*x, *k);
            (0..*n).map(move |i| Trial { x, happened: i < k })
        };
        rows.iter().flat_map(trials).collect()
    }

    /// S. R. Dalal, E. B. Fowlkes and B. Hoadley, Journal of the American Statistical Association 84 (1989) 945: 23 launches,
    /// temperature in °F, thermal distress of an O-ring yes or no. Coefficients 15.0429 (7.3786) and −0.2322 (0.1082), residual
    /// deviance 20.315 (data and values as printed in many texts, from memory).
    #[test]
    fn the_o_ring_data_give_the_published_coefficients() {
        let rows = [
            (53.0, 1, 1),
            (57.0, 1, 1),
            (58.0, 1, 1),
            (63.0, 1, 1),
            (66.0, 1, 0),
            (67.0, 3, 0),
            (68.0, 1, 0),
            (69.0, 1, 0),
            (70.0, 4, 2),
            (72.0, 1, 0),
            (73.0, 1, 0),
            (75.0, 2, 1),
            (76.0, 2, 0),
            (78.0, 1, 0),
            (79.0, 1, 0),
            (81.0, 1, 0),
        ];
        let found = logistic_regression(&outcomes(&rows), false).unwrap();
        assert!((found.intercept - 15.0429).abs() < 5e-4, "{found:?}");
        assert!((found.slope + 0.2322).abs() < 5e-5);
        assert!((found.errors[0] - 7.3786).abs() < 5e-3 && (found.errors[1] - 0.1082).abs() < 1e-4);
        assert!((found.deviance - 20.315).abs() < 1e-3);
    }

    /// C. I. Bliss, Annals of Applied Biology 22 (1935) 134: beetles after five hours of gas, log dose. LogisticRegression coefficients
    /// −60.717 (5.181) and 34.270 (2.912), as printed in A. J. Dobson, An Introduction to Generalized Linear Models (from memory).
    #[test]
    fn the_beetles_give_the_published_coefficients() {
        let rows = [
            (1.6907, 59, 6),
            (1.7242, 60, 13),
            (1.7552, 62, 18),
            (1.7842, 56, 28),
            (1.8113, 63, 52),
            (1.8369, 59, 53),
            (1.8610, 62, 61),
            (1.8839, 60, 60),
        ];
        let found = logistic_regression(&outcomes(&rows), false).unwrap();
        assert!(
            (found.intercept + 60.717).abs() < 1e-2 && (found.slope - 34.270).abs() < 5e-3,
            "{found:?}"
        );
        assert!((found.errors[0] - 5.181).abs() < 2e-3 && (found.errors[1] - 2.912).abs() < 2e-3);
        let half = found.place(0.5, 0.95);
        assert!((half.value - 1.7717).abs() < 1e-3 && half.low < half.value && half.value < half.high);
    }

    /// Firth (1993): in a saturated table the penalty adds half a trial to each cell: p = (k + ½) / (n + 1).
    #[test]
    fn two_places_get_half_a_trial_more_in_each_cell() {
        for (k1, k2) in [(0, 10), (2, 7), (0, 3)] {
            let found = logistic_regression(&outcomes(&[(0.0, 10, k1), (1.0, 10, k2)]), true).unwrap();
            for (x, k) in [(0.0, k1), (1.0, k2)] {
                let p = found.chance(x, 0.95);
                let expected = (f64::from(k) + 0.5) / 11.0;
                assert!((p.value - expected).abs() < 1e-9, "{p:?} for {expected}");
                assert!(p.low < p.value && p.value < p.high);
            }
        }
    }

    #[test]
    fn separated_trials_are_told_and_borne() {
        let rows = [(1.0, 5, 0), (2.0, 5, 0), (3.0, 5, 5), (4.0, 5, 5)];
        assert_eq!(logistic_regression(&outcomes(&rows), false), None);
        let found = logistic_regression(&outcomes(&rows), true).unwrap();
        assert!(found.separated && found.slope.is_finite());
        let place = found.place(0.5, 0.95);
        assert!(
            (place.value - 2.5).abs() < 1e-6 && place.low > 1.5 && place.high < 3.5,
            "{place:?}"
        );
        // Nothing to tell where all is one, at one place, or no number.
        assert_eq!(
            logistic_regression(&outcomes(&[(1.0, 5, 5), (2.0, 5, 5)]), true),
            None
        );
        assert_eq!(logistic_regression(&outcomes(&[(1.0, 5, 2)]), true), None);
        assert_eq!(
            logistic_regression(&outcomes(&[(1.0, 5, 2), (f64::NAN, 1, 1)]), true),
            None
        );
    }
}
