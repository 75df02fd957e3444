//! From what a log leaves open about the parameters to a process with its intervals.

use quantity::Value;
use quantity::si::{Time, celsius, kelvin, second};
use statistics::{CONFIDENCE, Estimate};

use super::noise::Mixture;
use super::window::Window;
use super::{Process, Spread};
use crate::quantities::InUnit as _;

/// The process of a mixture; nothing where one of its intervals has no bound.
pub(super) fn process(mixture: &Mixture, fine: &Window, size: usize) -> Option<Process> {
    let factor = |at: usize| {
        let own = mixture.interval(at, CONFIDENCE)?.map(f64::exp);
        let finite = [own.low, own.value, own.high]
            .iter()
            .all(|value| value.is_finite());
        finite.then_some(own)
    };
    let time = |at: usize| -> Option<Value<Time>> { Some(factor(at)?.of(second)) };
    let one = time(1)?;
    let two = match size {
        5 => Some(time(4)?),
        _ => None,
    };
    // Which of the lags comes first cannot be told; the larger one is named first.
    let swapped = two.is_some_and(|two| two.nominal() > one.nominal());
    let (lag, second_lag) = match two {
        Some(two) if swapped => (two, Some(one)),
        two => (one, two),
    };
    let order: Vec<usize> = match (size, swapped) {
        (5, false) => vec![0, 1, 2, 4],
        (5, true) => vec![0, 4, 2, 1],
        _ => vec![0, 1, 2],
    };
    let mut spread = Spread::default();
    for (row, one) in order.iter().enumerate() {
        for (column, other) in order.iter().enumerate() {
            spread.0[row][column] = mixture.covariance(*one, *other);
        }
    }
    let means: Vec<f64> = (0..size).map(|at| mixture.mean(at)).collect();
    let mut off = vec![0.0; fine.len()];
    fine.off(&means, &mut off);
    let squares: f64 = off
        .iter()
        .zip(&fine.weight)
        .map(|(off, weight)| (off * weight).powi(2))
        .sum();
    Some(Process {
        gain: factor(0)?.of(kelvin),
        lag,
        second_lag,
        delay: delay(mixture.interval(2, CONFIDENCE)?).of(second),
        room: celsius(fine.room.unwrap_or(means[3])),
        left: kelvin((squares / fine.len() as f64).sqrt()),
        from_duty: true,
        full_power: None,
        spread,
    })
}

/// A dead time is not less than nothing; where the estimate would be, a tenth of what it may be is named, since rules of control divide by it.
fn delay(own: Estimate) -> Estimate {
    let high = own.high.max(1e-3);
    Estimate {
        value: own.value.max(0.1 * high),
        low: own.low.max(0.0),
        high,
    }
}
