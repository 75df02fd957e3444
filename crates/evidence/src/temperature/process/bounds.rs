//! From what a log leaves open about the parameters to a process with its intervals.

use quantity::Value;
use quantity::si::{Time, celsius, kelvin, second};
use statistics::{CONFIDENCE, Estimate};

use super::noise::Mixture;
use super::plant::Plant;
use super::window::Window;
use super::{Open, Process};
use crate::quantities::InUnit as _;

/// The process of a mixture for each way in which the duty may have held; nothing where one of its intervals has no bound.
///
/// The intervals reach over all of these: which of them is right is nothing that averages.
pub(super) fn process(all: &[Mixture], fine: &Window, size: usize) -> Option<Process> {
    let interval = |at: usize| -> Option<Estimate> {
        let each: Option<Vec<Estimate>> = all.iter().map(|own| own.interval(at, CONFIDENCE)).collect();
        let each = each?;
        let own = over_all(&each);
        let finite = [own.low, own.value, own.high]
            .iter()
            .all(|value| value.is_finite());
        finite.then_some(own)
    };
    let factor = |at: usize| Some(interval(at)?.map(f64::exp));
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
    let order: &[usize] = match (size, swapped) {
        (5, false) => &[0, 1, 2, 4],
        (5, true) => &[0, 4, 2, 1],
        _ => &[0, 1, 2],
    };
    let mut open = [None; 3];
    for (own, open) in all.iter().zip(&mut open) {
        *open = Some(left_open(own, order));
    }
    let means: Vec<f64> = (0..size).map(|at| all[0].mean(at)).collect();
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
        delay: delay(interval(2)?).of(second),
        room: celsius(fine.room.unwrap_or(means[3])),
        left: kelvin((squares / fine.len() as f64).sqrt()),
        from_duty: true,
        full_power: None,
        open,
    })
}

/// The mean of some estimates, with bounds that reach over all of them.
pub(super) fn over_all(each: &[Estimate]) -> Estimate {
    let count = each.len() as f64;
    Estimate {
        value: each.iter().map(|own| own.value).sum::<f64>() / count,
        low: each.iter().map(|own| own.low).fold(f64::INFINITY, f64::min),
        high: each.iter().map(|own| own.high).fold(f64::NEG_INFINITY, f64::max),
    }
}

fn left_open(own: &Mixture, order: &[usize]) -> Open {
    let mean = |place: usize| order.get(place).map_or(f64::NEG_INFINITY, |at| own.mean(*at));
    let mut covariance = [[0.0; 4]; 4];
    for (row, one) in covariance.iter_mut().zip(order) {
        for (cell, other) in row.iter_mut().zip(order) {
            *cell = own.covariance(*one, *other);
        }
    }
    Open {
        plant: Plant {
            gain: mean(0).exp(),
            lags: [mean(1).exp(), mean(3).exp()],
            delay: mean(2).max(0.0),
        },
        covariance,
    }
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
