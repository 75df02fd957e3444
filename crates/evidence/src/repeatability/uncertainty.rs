//! The uncertainty of an offset that is set from the mean of the trials, for one homing, term by term.

use quantity::Number as _;
use quantity::si::TemperatureInterval;
use statistics::{CONFIDENCE, Estimate, Gauge, coverage_factor};

/// One term of the uncertainty of the offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Term {
    /// What it comes from.
    pub source: Source,
    /// Standard uncertainty, millimetres.
    pub standard: f64,
    /// Its degrees of freedom; infinite for a bound that is known.
    pub freedom: f64,
}

/// What makes an offset uncertain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// Scatter of a single homing of any run.
    SingleHoming,
    /// Scatter of a single trial.
    SingleTrial,
    /// The mean that the offset was set from.
    Mean,
    /// Warming since the offset was set.
    Warming,
}

/// Scatter of the homing that counts, of the mean that the offset was set from, and what warming moves.
///
/// # Source
/// JCGM 100:2008, 4.2, 4.3.7 (a bound of half width a: a/√3) and 5.1 (from memory).
pub(super) fn terms(
    gauge: Option<&Gauge>,
    spread: f64,
    n: f64,
    per_kelvin: Option<Estimate>,
    warming: Option<TemperatureInterval>,
) -> Vec<Term> {
    let term = |source, standard, freedom| Term {
        source,
        standard,
        freedom,
    };
    let mut terms = match gauge {
        Some(gauge) => vec![
            term(Source::SingleHoming, gauge.single.value, gauge.single_freedom),
            term(Source::Mean, gauge.mean_error, gauge.mean_freedom),
        ],
        None => vec![
            term(Source::SingleTrial, spread, n - 1.0),
            term(Source::Mean, spread / n.sqrt(), n - 1.0),
        ],
    };
    if let (Some(slope), Some(warming)) = (per_kelvin, warming) {
        // The steepest slope that the trials allow, and the whole stray as a bound.
        let steepest = slope.low.abs().max(slope.high.abs());
        let reach = steepest * warming.base().abs();
        terms.push(term(Source::Warming, reach / 3.0_f64.sqrt(), f64::INFINITY));
    }
    terms
}

/// Root of the sum of squares, times Student's t for the effective degrees of freedom; with the scatter so many times as large.
///
/// # Source
/// JCGM 100:2008, 5.1.2 and G.4.1, the formula of Welch and Satterthwaite (from memory). The mean and the single trial share one
/// deviation, so that their variances add before their freedom counts.
pub(super) fn expanded(terms: &[Term], larger: f64) -> f64 {
    let squares = |finite: bool| -> f64 {
        terms
            .iter()
            .filter(|t| t.freedom.is_finite() == finite)
            .map(|t| t.standard.powi(2))
            .sum()
    };
    let (scatter, known) = (squares(true) * larger.powi(2), squares(false));
    let freedom = terms.first().map_or(f64::NAN, |t| t.freedom);
    let total = scatter + known;
    let effective = freedom * (total / scatter).powi(2);
    coverage_factor(effective.min(1e6), CONFIDENCE) * total.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008, G.4.1, example: ten, five and fifteen readings with relative uncertainties 0.25 %, 0.57 %, 0.82 % have 19
    /// effective degrees of freedom together (from memory). Here the first term alone carries freedom: the rest is known.
    #[test]
    fn a_known_term_adds_freedom() {
        let term = |standard, freedom| Term {
            source: Source::SingleTrial,
            standard,
            freedom,
        };
        let alone = expanded(&[term(1.0, 9.0)], 1.0);
        assert!((alone - 2.262_157).abs() < 1e-5);
        // As much again of known size: (1 + 1)² / (1/9) = 36 degrees of freedom, t = 2.028.
        let both = expanded(&[term(1.0, 9.0), term(1.0, f64::INFINITY)], 1.0);
        assert!((both / 2.0_f64.sqrt() - 2.028).abs() < 1e-3, "{both}");
    }
}
