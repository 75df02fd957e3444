//! Compensation of the pressure in the nozzle, from a pattern printed at several values.
//!
//! Either the width of the line where the speed changes, less its width elsewhere: it falls through zero at the right value. Or a
//! score by eye, the lower the better: it has a valley there (or a peak, where higher scores are better). Both places are ratios of fitted coefficients; their interval is Fieller's.

use quantity::si::{Length, Time, millimetre, second};
use quantity::{Number, Value};

use super::mm;
use crate::Refused;
use crate::quantities::InUnit as _;
use crate::report::{Advice, Figure, Mark, Picture, Plot, Report, Series, Table, Trouble, Verdict};
use statistics::{CONFIDENCE, Estimate, LinearRegression, fieller_ratio, linear_regression};

/// What was seen at one place of the pattern.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measure {
    /// Width at the change of speed less width elsewhere; a bulge is positive.
    Bulge(Length),
    /// A score by eye; 0 is perfect, larger is worse. Scores that have a peak in place of a valley are taken the other way round.
    Score(f64),
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
pub struct PressureCalibration {
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
pub fn pressure(corners: &[Corner]) -> Result<PressureCalibration, Refused> {
    let by_score = corners.iter().any(|c| matches!(c.measure, Measure::Score(_)));
    if by_score && corners.iter().any(|c| matches!(c.measure, Measure::Bulge(_))) {
        return Err(Refused::new(
            "widths and scores are mixed",
            "give one file for the widths and another for the scores",
        ));
    }
    let x: Vec<f64> = corners.iter().map(|c| c.compensation.base()).collect();
    let y: Vec<f64> = corners
        .iter()
        .map(|c| match c.measure {
            Measure::Bulge(width) => mm(width),
            Measure::Score(score) => score,
        })
        .collect();
    if let Some(at) = (0..x.len()).find(|at| !x[*at].is_finite() || !y[*at].is_finite()) {
        return Err(Refused::new(
            format!("line {} holds something that is no number", corners[at].line),
            "write the value of the compensation in seconds, and what was seen there",
        ));
    }
    let mut values = x.clone();
    values.sort_by(f64::total_cmp);
    values.dedup();
    let needed = if by_score { 4 } else { 3 };
    if corners.len() < needed + 1 || values.len() < needed {
        return Err(Refused::new(
            format!("{} places at {} values are too few", corners.len(), values.len()),
            format!(
                "print at least {needed} values, and measure {} places",
                needed + 1
            ),
        ));
    }
    let (low, high) = (values[0], values[values.len() - 1]);
    let centre = f64::midpoint(low, high);
    let rows = |degree: i32| -> Vec<Vec<f64>> {
        x.iter()
            .map(|x| (0..=degree).map(|k| (x - centre).powi(k)).collect())
            .collect()
    };
    let no_fit = |_| Refused::new("no curve fits the pattern", "print values that differ more");
    let curve = linear_regression(&rows(if by_score { 2 } else { 1 }), &y).map_err(no_fit)?;
    let by_peak = by_score && curve.coefficient(2, CONFIDENCE).high < 0.0;
    let place = match (by_score, by_peak) {
        (false, _) => zero(&curve),
        (true, false) => valley(&curve, 1.0),
        (true, true) => valley(&curve, -1.0),
    };
    let best = place.map(|place| place.map(|p| p + centre));
    // Whether a straight line was too little for the widths.
    let bent = (!by_score && values.len() > 3)
        .then(|| linear_regression(&rows(2), &y).ok())
        .flatten();
    let bends = bent.is_some_and(|f| f.freedom >= 1.0 && !f.coefficient(2, 0.99).holds(0.0));
    Ok(PressureCalibration {
        bracketed: best.is_some_and(|b| low <= b.value && b.value <= high),
        best,
        by_score,
        by_peak,
        deviation: curve.deviation_interval(CONFIDENCE),
        corners: corners.to_vec(),
        coefficients: curve.coefficients,
        centre,
        bends,
    })
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

impl PressureCalibration {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let good = self.bracketed && !self.bends;
        let verdict = if good {
            Verdict::Measured
        } else {
            Verdict::NotShown
        };
        let sentence = match self.best {
            Some(best) if self.bracketed => {
                let best: Value<Time> = best.of(second);
                format!("The compensation that fits is {best}.")
            }
            Some(_) => "The best compensation lies beyond the values that were printed: extend the pattern to that side.".to_owned(),
            None => "The pattern does not show a best compensation: what was seen does not change with it beyond its scatter.".to_owned(),
        };
        let mut figures = Vec::new();
        if let Some(best) = self.best {
            let best: Value<Time> = best.of(second);
            figures.push(Figure::with_interval(
                "compensation",
                "compensation that fits",
                best,
            ));
        }
        let mut tables = vec![self.table()];
        if self.by_score {
            // A score has no unit, and is no share of anything: it stands in a table.
            let score = |score: f64| format!("{score:.2}");
            let row = [self.deviation.value, self.deviation.low, self.deviation.high].map(score);
            tables.push(Table::of(
                "Scatter of a single score",
                &["standard deviation", "from", "to"],
                [row.to_vec()],
            ));
        } else {
            let width: Value<Length> = self.deviation.of(millimetre);
            figures.push(Figure::with_interval(
                "width-deviation",
                "scatter of a single width",
                width,
            ));
        }
        Report {
            title: "Pressure compensation".into(),
            verdict,
            sentence,
            figures,
            advice: self.advice(),
            tables,
            pictures: vec![Picture::Plot(self.plot())],
            troubles: self.troubles(),
            sources: vec!["fieller-1954", "nist-handbook"],
        }
    }

    fn advice(&self) -> Vec<Advice> {
        let mut advice = Vec::new();
        if !self.bracketed {
            advice.push(Advice::helps(
                "Print a wider range of values, and measure three places at each.",
            ));
        }
        if self.by_score {
            advice.push(Advice::helps("Measure widths instead of scoring by eye: the same pattern then tells the value several times as well."));
        }
        advice.push(Advice::helps(
            "Calibrate steps and flow before: they shift every width.",
        ));
        advice.push(Advice::in_vain("Taking the value over to another material or nozzle: it belongs to the melt, its heat and its bore."));
        advice
    }

    fn table(&self) -> Table {
        let rows = self.corners.iter().map(|c| {
            let seen = match c.measure {
                Measure::Bulge(width) => format!("{:+.3} mm", mm(width)).replace('-', "−"),
                Measure::Score(score) => format!("{score}"),
            };
            vec![Value::exact(c.compensation).to_string(), seen]
        });
        let seen = if self.by_score { "score" } else { "bulge" };
        Table::of("Places of the pattern", &["compensation", seen], rows)
    }

    fn plot(&self) -> Plot {
        let points: Vec<[f64; 2]> = self
            .corners
            .iter()
            .map(|c| {
                let y = match c.measure {
                    Measure::Bulge(width) => mm(width),
                    Measure::Score(score) => score,
                };
                [c.compensation.base(), y]
            })
            .collect();
        let ends = points
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
                (low.min(p[0]), high.max(p[0]))
            });
        let curve = (0..=60).map(|k| {
            let x = ends.0 + (ends.1 - ends.0) * f64::from(k) / 60.0;
            let powers = self.coefficients.iter().rev();
            [x, powers.fold(0.0, |sum, c| sum * (x - self.centre) + c)]
        });
        let mark = self.best.filter(|_| self.bracketed).map(|best| Mark {
            name: "fits".into(),
            at: best.value,
            upright: true,
        });
        Plot {
            title: if self.by_score {
                "Score over compensation"
            } else {
                "Bulge over compensation"
            }
            .into(),
            x: "compensation, s".into(),
            y: if self.by_score {
                "score"
            } else {
                "width less width elsewhere, mm"
            }
            .into(),
            series: vec![
                Series {
                    name: "seen".into(),
                    points,
                    dots: true,
                },
                Series {
                    name: "fitted".into(),
                    points: curve.collect(),
                    dots: false,
                },
            ],
            marks: mark.into_iter().collect(),
            logarithmic: [false, false],
        }
    }

    fn troubles(&self) -> Vec<Trouble> {
        let bends = self.bends.then(|| {
            Trouble::of_all("the widths do not follow a straight line: print a narrower range about the value, or look whether lines touched")
        });
        let peak = self.by_peak.then(|| {
            Trouble::of_all("the scores have a peak: higher is taken to be better; where you gave low scores to what was good, this pattern shows no best value")
        });
        bends.into_iter().chain(peak).collect()
    }
}
