//! The rise of one body, fitted: `ϑ(t) = ϑ∞ − (ϑ∞ − ϑ₀) e^(−t/τ)`, and how far its end and its time constant may be off.

use statistics::{Bisection, CONFIDENCE, Estimate, autocorrelation, fisher_quantile, linear_regression};

/// Readings, and what is known of how independent they are.
pub(super) struct Curve {
    times: Vec<f64>,
    heights: Vec<f64>,
    /// How many readings say no more than one: 1 where what the curve leaves is independent.
    pub alike: f64,
}

/// The best curve of one time constant.
#[derive(Clone, Copy)]
pub(super) struct Fitted {
    /// The time constant, s.
    pub constant: f64,
    /// Where it is bound for, and where it begins, K.
    pub end: f64,
    pub start: f64,
    /// Sum of squared residuals.
    pub sum: f64,
}

impl Curve {
    pub fn of(times: Vec<f64>, heights: Vec<f64>) -> Self {
        Self {
            times,
            heights,
            alike: 1.0,
        }
    }

    /// How many readings it has.
    pub fn count(&self) -> usize {
        self.times.len()
    }

    /// For one time constant: `ϑ = ϑ∞ + b e^(−t/τ)`.
    fn at(&self, constant: f64) -> Option<Fitted> {
        let rows: Vec<Vec<f64>> = self
            .times
            .iter()
            .map(|t| vec![1.0, (-t / constant).exp()])
            .collect();
        let line = linear_regression(&rows, &self.heights).ok()?;
        Some(Fitted {
            constant,
            end: line.coefficients[0],
            start: line.coefficients[0] + line.coefficients[1],
            sum: line.residuals.iter().map(|r| r * r).sum(),
        })
    }

    /// With the end held: `ϑ − ϑ∞ = b e^(−t/τ)`.
    fn with_end(&self, end: f64, constant: f64) -> f64 {
        let (mut above, mut below) = (0.0, 0.0);
        for (t, h) in self.times.iter().zip(&self.heights) {
            let e = (-t / constant).exp();
            above += (h - end) * e;
            below += e * e;
        }
        let b = above / below;
        let rest = self
            .times
            .iter()
            .zip(&self.heights)
            .map(|(t, h)| (h - end - b * (-t / constant).exp()).powi(2));
        rest.sum()
    }

    pub fn best(&self, length: f64) -> Option<Fitted> {
        let sum = |log: f64| self.at(log.exp()).map_or(f64::INFINITY, |f| f.sum);
        self.at(least(ladder(length), &sum).exp())
    }

    /// How many readings say no more than one, and how a reading resembles the one before; 1 and 0 where that is no more than chance.
    ///
    /// # Source
    /// `1 + 2 Σ rₖ` over the first pairs of correlations whose sum is positive: C. J. Geyer, Statistical Science 7 (1992) 473 (from
    /// memory). Each of the three fitted parameters takes as much of the slow strays as so many readings hold, which lowers every
    /// correlation.
    pub fn alike(&self, best: &Fitted) -> (f64, f64) {
        let left = self.left(best);
        let (memory, chance) = autocorrelation(&left);
        if chance >= 0.5 || memory <= 0.0 {
            return (1.0, 0.0);
        }
        let n = left.len() as f64;
        let found = correlations(&left);
        let mut alike = 1.0;
        for _ in 0..20 {
            let taken = 3.0 * alike / n;
            let at = |lag: usize| (found[lag] + taken) / (1.0 + taken);
            let pairs = (0..found.len() / 2).map(|m| at(2 * m) + at(2 * m + 1));
            let sum: f64 = pairs.take_while(|pair| *pair > 2.0 * taken).sum();
            // White noise upon slow strays: the first correlation, and how fast those after it fade (an ARMA(1, 1) process). The
            // pairs alone stop too early in a short log, so the larger of the two counts.
            let fades = ((at(2) + at(3)) / (at(1) + at(2))).clamp(0.0, 0.95);
            alike = (2.0 * sum - 1.0)
                .max(1.0 + 2.0 * at(1) / (1.0 - fades))
                .clamp(1.0, n / 8.0);
        }
        (alike, memory)
    }

    /// What a curve leaves of each reading.
    fn left(&self, best: &Fitted) -> Vec<f64> {
        let readings = self.times.iter().zip(&self.heights);
        readings
            .map(|(t, h)| h - best.end - (best.start - best.end) * (-t / best.constant).exp())
            .collect()
    }

    /// The level of the sum of squares that is still believed: `S (1 + F(1, ν) / ν)`, with as many readings as are independent.
    fn level(&self, best: &Fitted) -> f64 {
        let freedom = ((self.times.len() as f64 - 3.0) / self.alike).max(1.0);
        best.sum * (1.0 + fisher_quantile(CONFIDENCE, 1.0, freedom) / freedom)
    }

    pub fn end_interval(&self, best: &Fitted, length: f64) -> Estimate {
        let sum = |end: f64| {
            let f = |log: f64| self.with_end(end, log.exp());
            f(least(ladder(length), &f))
        };
        bounds(
            best.end,
            (best.end - best.start).abs().max(1e-3),
            self.level(best),
            &sum,
        )
    }

    pub fn constant_interval(&self, best: &Fitted, length: f64) -> Estimate {
        let sum = |log: f64| self.at(log.exp()).map_or(f64::INFINITY, |f| f.sum);
        let (low, high) = ladder(length);
        let found = bounds(best.constant.ln(), 0.5, self.level(best), &sum);
        let cut = |log: f64| {
            if log <= low {
                0.0
            } else if log >= high {
                f64::INFINITY
            } else {
                log.exp()
            }
        };
        Estimate {
            value: best.constant,
            low: cut(found.low),
            high: cut(found.high),
        }
    }
}

/// Time constants that are looked at, as logarithms: from a fiftieth to fifty times the log.
fn ladder(length: f64) -> (f64, f64) {
    ((length / 50.0).ln(), (length * 50.0).ln())
}

/// The place of the least value: coarse first, then the golden section around it.
fn least((low, high): (f64, f64), f: &dyn Fn(f64) -> f64) -> f64 {
    const STEPS: u32 = 32;
    const SHARE: f64 = 0.618_033_988_749_894_8;
    let place = |k: u32| low + (high - low) * f64::from(k) / f64::from(STEPS);
    let best = (0..=STEPS)
        .min_by(|a, b| f(place(*a)).total_cmp(&f(place(*b))))
        .unwrap_or(0);
    let (mut left, mut right) = (place(best.saturating_sub(1)), place((best + 1).min(STEPS)));
    for _ in 0..36 {
        let (a, b) = (right - SHARE * (right - left), left + SHARE * (right - left));
        if f(a) <= f(b) { right = b } else { left = a }
    }
    f64::midpoint(left, right)
}

/// Where a function that is least at `middle` passes a level on both sides; infinite where it does not within some 10,000 steps of `step`.
fn bounds(middle: f64, step: f64, level: f64, f: &dyn Fn(f64) -> f64) -> Estimate {
    let walk = Bisection {
        first: step * 0.02,
        growth: 1.8,
        farthest: step * 14_000.0,
        halvings: 30,
    };
    walk.interval(middle, |x| f(x) <= level)
}

/// The correlation of a series about nothing with itself, over up to a quarter of it.
fn correlations(left: &[f64]) -> Vec<f64> {
    let all: f64 = left.iter().map(|v| v * v).sum();
    let at = |lag: usize| {
        let pairs = left.iter().zip(&left[lag..]);
        pairs.map(|(a, b)| a * b).sum::<f64>() / all
    };
    (0..(left.len() / 4).max(4)).map(at).collect()
}
