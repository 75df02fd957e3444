//! Time as it was written to time that can be reckoned with: it rises, and where it does not the log is cut or a sample left out.

use super::log::Columns;
use super::troubles::Troubles;

/// A step of more than this many ordinary ones is a gap.
const GAP: f64 = 5.0;
/// From this share of repeated stamps on, the clock of the log is coarser than its samples.
const COARSE: f64 = 0.2;
const DAY: f64 = 86_400.0;

/// Puts the samples in order; the first samples of the pieces between which time was lost come back, 0 among them.
pub(super) fn order(columns: &mut Columns, clock: bool, troubles: &mut Troubles) -> Vec<usize> {
    if clock {
        midnights(&mut columns.time, troubles);
    }
    let repeated = columns.time.windows(2).filter(|pair| pair[0] == pair[1]).count();
    if repeated as f64 > COARSE * columns.time.len() as f64 {
        spread(&mut columns.time);
        troubles.of_all(
            "many samples share one time stamp: the clock of the log is coarser than its samples, which were spread evenly over it",
        );
    }
    let step = ordinary_step(&columns.time);
    let mut starts = vec![0];
    let (mut kept, mut shift) = (0, 0.0);
    let count = columns.time.len();
    for at in 0..count {
        let mut time = columns.time[at] + shift;
        if kept > 0 {
            let last = columns.time[kept - 1];
            if time == last {
                // Named by the reader, with its line.
                continue;
            }
            if time < last {
                let next = columns.time[at + 1..count].first().map(|next| next + shift);
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
        columns.keep(at, kept, time);
        kept += 1;
    }
    columns.truncate(kept);
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
    let middle = steps.len() / 2;
    *steps.select_nth_unstable_by(middle, f64::total_cmp).1
}
