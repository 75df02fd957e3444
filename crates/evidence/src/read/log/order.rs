//! Time as it was written to time that can be reckoned with: it rises, and where it does not the log is cut or a sample left out.

use super::samples::Samples;
use crate::read::gaps::{GAP, ordinary_step};
use crate::read::troubles::Troubles;

/// From this share of repeated stamps on, the clock of the log is coarser than its samples.
const COARSE: f64 = 0.2;
const DAY: f64 = 86_400.0;

/// Puts the samples in order; the first samples of the pieces between which time was lost come back, 0 among them.
pub(super) fn order(samples: &mut Samples, clock: bool, troubles: &mut Troubles) -> Vec<usize> {
    if clock {
        midnights(&mut samples.time, troubles);
    }
    // Nearly every log rises throughout, and without a gap: one look tells.
    let (least, most) = steps(&samples.time);
    if least > 0.0 && most <= GAP * ordinary_step(&samples.time) {
        return vec![0];
    }
    leave_out_repeated(samples, troubles);
    let repeated = samples.time.windows(2).filter(|pair| pair[0] == pair[1]).count();
    if repeated as f64 > COARSE * samples.time.len() as f64 {
        spread(&mut samples.time);
        troubles.of_all(
            "many samples share one time stamp: the clock of the log is coarser than its samples, which were spread evenly over it",
        );
    }
    rising(samples, troubles)
}

/// The least and the largest step of the time; nothing where any is no number.
fn steps(time: &[f64]) -> (f64, f64) {
    const LANES: usize = 8;
    let [mut least, mut most] = [[f64::INFINITY; LANES], [f64::NEG_INFINITY; LANES]];
    let mut numbers = true;
    let mut look = |lane: usize, one: f64, next: f64| {
        let step = next - one;
        least[lane] = if step < least[lane] { step } else { least[lane] };
        most[lane] = if step > most[lane] { step } else { most[lane] };
        numbers &= !step.is_nan();
    };
    let later = time.get(1..).unwrap_or_default();
    let (eights, rest) = later.as_chunks::<LANES>();
    for (earlier, eight) in time.chunks_exact(LANES).zip(eights) {
        for lane in 0..LANES {
            look(lane, earlier[lane], eight[lane]);
        }
    }
    for (one, next) in time[eights.len() * LANES..].iter().zip(rest) {
        look(0, *one, *next);
    }
    if numbers {
        (
            statistics::extremes(least.into_iter()).0,
            statistics::extremes(most.into_iter()).1,
        )
    } else {
        (f64::NAN, f64::NAN)
    }
}

/// Leaves out rows that repeat an earlier one whole, stamp and all: a buffer written twice, two files in one. Where samples share stamps and
/// differ, the clock is coarse and equal rows may be two looks at a steady reading: then all are kept.
fn leave_out_repeated(samples: &mut Samples, troubles: &mut Troubles) {
    let same_stamp = |at: usize| samples.time[at] == samples.time[at - 1];
    let stamps = (1..samples.time.len()).filter(|at| same_stamp(*at));
    let is_coarse = stamps.clone().any(|at| !samples.equal(at, at - 1));
    let (mut kept, mut left_out) = (0, 0_u64);
    for at in 0..samples.time.len() {
        let time = samples.time[at];
        let repeats = kept > 0 && {
            let last = samples.time[kept - 1];
            match time.partial_cmp(&last) {
                Some(core::cmp::Ordering::Equal) => !is_coarse && samples.equal(at, kept - 1),
                // A clock that goes backward: the place of this stamp among those that rose, if it has one.
                Some(core::cmp::Ordering::Less) => {
                    earlier(&samples.time[..kept], time).is_some_and(|before| samples.equal(at, before))
                }
                _ => false,
            }
        };
        if repeats {
            left_out += 1;
            continue;
        }
        samples.keep(at, kept, time);
        kept += 1;
    }
    samples.truncate(kept);
    if left_out > 0 {
        let lines = if left_out == 1 {
            "1 line repeats".to_owned()
        } else {
            format!("{left_out} lines repeat")
        };
        troubles.of_all(format!("{lines} an earlier one, stamp and all: left out"));
    }
}

/// Where a stamp stands among those of the last piece that rises.
fn earlier(times: &[f64], time: f64) -> Option<usize> {
    let place = times.partition_point(|own| *own < time);
    (times.get(place) == Some(&time)).then_some(place)
}

/// Leaves out samples whose time does not rise, and shifts what follows a clock that starts anew.
fn rising(samples: &mut Samples, troubles: &mut Troubles) -> Vec<usize> {
    let step = ordinary_step(&samples.time);
    let mut starts = vec![0];
    let (mut kept, mut shift) = (0, 0.0);
    for at in 0..samples.time.len() {
        let mut time = samples.time[at] + shift;
        if kept > 0 {
            let last = samples.time[kept - 1];
            if time == last {
                // Named by the reader, with its line.
                continue;
            }
            if time < last {
                let next = samples.time.get(at + 1).map(|next| next + shift);
                if next.is_some_and(|next| next > last) {
                    continue;
                }
                shift += last + step - time;
                time = last + step;
                starts.push(kept);
                troubles.of_all(format!(
                    "the clock of the log starts anew after {last:.1} s: a reset; what follows is taken as a piece of its own"
                ));
            } else if time - last > GAP * step {
                starts.push(kept);
                troubles.of_all(format!("a gap of {:.1} s after {last:.1} s", time - last));
            }
        }
        samples.keep(at, kept, time);
        kept += 1;
    }
    samples.truncate(kept);
    starts.dedup();
    starts
}

fn midnights(time: &mut [f64], troubles: &mut Troubles) {
    let (mut shift, mut last) = (0.0, f64::NEG_INFINITY);
    for time in time {
        if *time + shift < last - DAY / 2.0 {
            shift += DAY;
            troubles.of_all("the log runs past midnight");
        }
        *time += shift;
        last = *time;
    }
}

/// Spreads each run of equal stamps evenly up to the next one.
fn spread(time: &mut [f64]) {
    let mut start = 0;
    let mut width = 1.0;
    while start < time.len() {
        let same = time[start..]
            .iter()
            .take_while(|own| **own == time[start])
            .count();
        let next = time.get(start + same).copied();
        if let Some(next) = next.filter(|next| *next > time[start]) {
            width = next - time[start];
        }
        let first = time[start];
        for (place, own) in time[start..start + same].iter_mut().enumerate() {
            *own = first + width * place as f64 / same as f64;
        }
        start += same;
    }
}
