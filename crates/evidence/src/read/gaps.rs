//! The ordinary step between samples, and what counts as a gap beside it.

use statistics::median_high;

/// A step of more than this many ordinary ones is a gap.
pub(crate) const GAP: f64 = 5.0;

/// The median of the steps forward, from at most some thousand of them over the whole log.
pub(crate) fn ordinary_step(time: &[f64]) -> f64 {
    let every = (time.len() / 4_000).max(1);
    let mut steps: Vec<f64> = (1..time.len())
        .step_by(every)
        .map(|at| time[at] - time[at - 1])
        .filter(|step| *step > 0.0)
        .collect();
    if steps.is_empty() {
        return 1.0;
    }
    median_high(&mut steps)
}
