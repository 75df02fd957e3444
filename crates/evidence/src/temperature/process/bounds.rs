//! From fitted parameters to a process with its intervals.

use quantity::Value;
use quantity::si::{Time, celsius, kelvin, second};
use statistics::least_squares::Fit;
use statistics::{CONFIDENCE, Estimate, correlation_time, coverage_factor};

use super::Process;
use super::window::Window;
use crate::quantities::InUnit as _;

/// From this correlation time on, residuals hang together.
const TOGETHER: f64 = 1.5;

/// The process of a fit; nothing where one of its intervals has no bound. `rounding` is what the rounding of the duty adds.
pub(super) fn process(
    fit: &Fit,
    fine: &Window,
    rounding: Option<&[Vec<f64>]>,
    from_duty: bool,
) -> Option<Process> {
    let variances = variances(fit, rounding);
    let wide = coverage_factor(fit.freedom, CONFIDENCE);
    let bounds = |at: usize| {
        let half = wide * variances[at].sqrt();
        let middle = fit.parameters[at];
        let [low, value, high] = [middle - half, middle, middle + half].map(f64::exp);
        let finite = [low, value, high].iter().all(|value| value.is_finite());
        finite.then_some(Estimate { value, low, high })
    };
    let time = |at: usize| -> Option<Value<Time>> { Some(bounds(at)?.of(second)) };
    let one = time(1)?;
    let two = match fit.parameters.len() {
        5 => Some(time(4)?),
        _ => None,
    };
    // Which of the lags comes first cannot be told; the larger one is named first.
    let (lag, second_lag) = match two {
        Some(two) if two.nominal() > one.nominal() => (two, Some(one)),
        two => (one, two),
    };
    Some(Process {
        gain: bounds(0)?.of(kelvin),
        lag,
        second_lag,
        delay: time(2)?,
        room: celsius(fine.room.unwrap_or(fit.parameters[3])),
        left: kelvin(fit.deviation),
        from_duty,
    })
}

/// The variance of each parameter.
fn variances(fit: &Fit, rounding: Option<&[Vec<f64>]>) -> Vec<f64> {
    let together = correlation_time(&fit.residuals);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most the number of points"
    )]
    let lags = (2.0 * together).ceil() as usize;
    // White residuals have the plain covariance; estimating what hangs together would only add scatter to it.
    let robust = (together > TOGETHER).then(|| fit.robust_covariance(lags));
    let covariance = robust.as_ref().unwrap_or(&fit.covariance);
    let variance = |at: usize| {
        // What rounding adds hangs together, so that the robust covariance may hold part of it already.
        let own = fit.covariance[at][at] + rounding.map_or(0.0, |rounding| rounding[at][at]);
        covariance[at][at].max(own)
    };
    (0..fit.parameters.len()).map(variance).collect()
}
