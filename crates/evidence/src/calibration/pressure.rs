//! Compensation of the pressure in the nozzle, from a pattern printed at several values.
//!
//! Either the width of the line where the speed changes, less its width elsewhere: it falls through zero at the right value. Or a
//! score by eye, the lower the better: it has a valley there (or a peak, where higher scores are better). Both places are ratios of fitted coefficients; their interval is Fieller's.

mod words;

use quantity::Number as _;
use quantity::si::{Length, Time};
use statistics::{CONFIDENCE, Estimate, LinearRegression, extremes, fieller_ratio, linear_regression};

use crate::lengths::mm;
use crate::{Refused, Verdict};
/// What was seen at one place of the pattern.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measure {
    /// Width at the change of speed less width elsewhere; a bulge is positive.
    Bulge(Length),
    /// A score by eye; 0 is perfect, larger is worse. Scores that have a peak in place of a valley are taken the other way round.
    Score(f64),
}

impl Measure {
    /// Millimetres, or the score.
    fn number(self) -> f64 {
        match self {
            Self::Bulge(width) => mm(width),
            Self::Score(score) => score,
        }
    }

    fn is_score(self) -> bool {
        matches!(self, Self::Score(_))
    }
}

/// One place of the pattern.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// The value of the compensation.
    pub compensation: Time,
    /// What was seen.
    pub measure: Measure,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What the pattern says; compensation in seconds.
#[derive(Clone, Debug, PartialEq)]
pub struct ExtrusionPressureTest {
    /// The value at which the bulge vanishes or the score is best; nothing where the pattern does not show one.
    pub best: Option<Estimate>,
    /// Whether that lies among the values that were printed.
    pub bracketed: bool,
    /// Whether scores were fitted, and not bulges.
    pub by_score: bool,
    /// Whether the scores have a peak, so that higher ones are taken to be better.
    pub by_peak: bool,
    /// Standard deviation of a single width (mm) or score.
    pub deviation: Estimate,
    corners: Vec<Corner>,
    coefficients: Vec<f64>,
    centre: f64,
    bends: bool,
}

/// Looks at a pattern.
///
/// # Errors
/// [`Refused`] for widths and scores mixed, fewer than four places, fewer than three values, numbers that are not finite.
pub fn pressure(corners: &[Corner]) -> Result<ExtrusionPressureTest, Refused> {
    let by_score = corners.iter().any(|c| c.measure.is_score());
    let pattern = Pattern::of(corners, by_score)?;
    let curve = pattern
        .fit(if by_score { 2 } else { 1 })
        .ok_or_else(words::no_curve)?;
    let by_peak = by_score && curve.coefficient(2, CONFIDENCE).high < 0.0;
    let place = match (by_score, by_peak) {
        (false, _) => zero(&curve),
        (true, false) => valley(&curve, 1.0),
        (true, true) => valley(&curve, -1.0),
    };
    let best = place.map(|place| place.map(|p| p + pattern.centre()));
    Ok(ExtrusionPressureTest {
        bracketed: best.is_some_and(|b| pattern.low <= b.value && b.value <= pattern.high),
        best,
        by_score,
        by_peak,
        deviation: curve.deviation_interval(CONFIDENCE),
        corners: corners.to_vec(),
        coefficients: curve.coefficients,
        centre: pattern.centre(),
        bends: !by_score && pattern.bends(),
    })
}

/// A pattern as numbers: compensation in seconds, widths in millimetres or scores.
struct Pattern {
    x: Vec<f64>,
    y: Vec<f64>,
    /// How many different values were printed, and the ends of their range.
    values: usize,
    low: f64,
    high: f64,
}

impl Pattern {
    fn of(corners: &[Corner], by_score: bool) -> Result<Self, Refused> {
        if by_score && !corners.iter().all(|c| c.measure.is_score()) {
            return Err(words::mixed());
        }
        let x: Vec<f64> = corners.iter().map(|c| c.compensation.base()).collect();
        let y: Vec<f64> = corners.iter().map(|c| c.measure.number()).collect();
        if let Some(at) = (0..x.len()).find(|at| !x[*at].is_finite() || !y[*at].is_finite()) {
            return Err(words::no_number(corners[at].line));
        }
        let mut values = x.clone();
        values.sort_by(f64::total_cmp);
        values.dedup();
        // A bent curve has one coefficient more.
        let needed = if by_score { 4 } else { 3 };
        if corners.len() < needed + 1 || values.len() < needed {
            return Err(words::too_few(corners.len(), values.len(), needed));
        }
        Ok(Self {
            x,
            y,
            values: values.len(),
            low: values[0],
            high: values[values.len() - 1],
        })
    }

    fn centre(&self) -> f64 {
        f64::midpoint(self.low, self.high)
    }

    /// A polynomial about the middle of the values.
    fn fit(&self, degree: i32) -> Option<LinearRegression> {
        let row = |x: &f64| (0..=degree).map(|k| (x - self.centre()).powi(k)).collect();
        let rows: Vec<Vec<f64>> = self.x.iter().map(row).collect();
        linear_regression(&rows, &self.y).ok()
    }

    /// Whether a straight line is too little.
    fn bends(&self) -> bool {
        let bent = self.fit(2).filter(|_| self.values > 3);
        bent.is_some_and(|f| f.freedom >= 1.0 && !f.coefficient(2, 0.99).holds(0.0))
    }
}

/// Where `a + b x` is zero: `−a / b`.
fn zero(line: &LinearRegression) -> Option<Estimate> {
    let (a, b) = (line.coefficients[0], line.coefficients[1]);
    let (above, below) = ([-1.0, 0.0], [0.0, 1.0]);
    quotient(line, -a, b, &above, &below)
}

/// Where `a + b x + c x²` is least, or with -1 largest: `−b / 2c`; nothing where it does not open that way.
fn valley(curve: &LinearRegression, side: f64) -> Option<Estimate> {
    let (b, c) = (curve.coefficients[1], curve.coefficients[2]);
    let (above, below) = ([0.0, -1.0, 0.0], [0.0, 0.0, 2.0]);
    (side * c > 0.0)
        .then(|| quotient(curve, -b, 2.0 * c, &above, &below))
        .flatten()
}

fn quotient(
    fit: &LinearRegression,
    above: f64,
    below: f64,
    weights_above: &[f64],
    weights_below: &[f64],
) -> Option<Estimate> {
    let variance = fit.deviation.powi(2);
    let covariance = [
        variance * fit.covariance(weights_above, weights_above),
        variance * fit.covariance(weights_above, weights_below),
        variance * fit.covariance(weights_below, weights_below),
    ];
    fieller_ratio(above, below, covariance, fit.freedom, CONFIDENCE)
}

impl ExtrusionPressureTest {
    /// Whether the pattern shows a value to set.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        if self.bracketed && !self.bends {
            Verdict::Result
        } else {
            Verdict::Open
        }
    }

    /// What was seen over the compensation: seconds, millimetres or score.
    fn seen(&self) -> Vec<[f64; 2]> {
        let corners = self.corners.iter();
        corners
            .map(|c| [c.compensation.base(), c.measure.number()])
            .collect()
    }

    /// The fitted curve over the values that were printed.
    fn fitted(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        let places = self.corners.iter().map(|c| c.compensation.base());
        let (low, high) = extremes(places);
        (0..=60).map(move |k| {
            let x = low + (high - low) * f64::from(k) / 60.0;
            let powers = self.coefficients.iter().rev();
            [x, powers.fold(0.0, |sum, c| sum * (x - self.centre) + c)]
        })
    }
}
