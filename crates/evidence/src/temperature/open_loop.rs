//! Whether the duty of a log reacts to its reading: where it does not, nothing was held, and the log tells the process alone.

use statistics::{extremes, median_high};

use super::view::View;

/// Duties nearer than this are one, as a share of full power.
const SAME: f64 = 2e-3;
/// A duty that changes in fewer than one of so many rows changes in steps.
const STEPS: usize = 20;
/// Readings at which a thermostat switches lie within this share of all that were reached.
const THRESHOLD: f64 = 0.15;
/// A correlation of so many times its deviation under independence is a reaction.
const CLEAR: f64 = 5.0;
/// Share of the readings within one band from which on a temperature is held.
const HELD: f64 = 0.4;

/// Whether the duty does not react: it is constant, changes in steps that follow no threshold, or runs on smoothly whatever the reading does.
///
/// A log that tells a target is one of a control, and one without duty tells nothing of it.
pub(super) fn is_open(view: &View) -> bool {
    const FEWEST: usize = 12;
    let duty = &view.duty;
    if duty.len() < FEWEST || view.target.iter().any(|target| *target > 0.0) {
        return false;
    }
    let changes = duty.windows(2).filter(|two| (two[1] - two[0]).abs() > SAME);
    let changes = changes.count();
    if changes * STEPS <= duty.len() {
        return !is_thermostat(view);
    }
    !(follows_the_noise(view) || is_held(view))
}

/// Whether the duty goes off at one reading and on at another, from the first time on.
fn is_thermostat(view: &View) -> bool {
    let (least, most) = extremes(view.duty.iter().copied());
    let large = (most - least) / 2.0;
    let at = |falls: bool| -> Vec<f64> {
        let steps = view.duty.windows(2).zip(&view.measured[1..]);
        let sign = if falls { -1.0 } else { 1.0 };
        steps
            .filter(|(two, _)| sign * (two[1] - two[0]) > large)
            .map(|(_, reading)| *reading)
            .collect()
    };
    // What a heater that goes on first does on its way up is no threshold.
    let (falls, rises) = (at(true), at(false));
    let rises = &rises[usize::from(rises.len() > falls.len()).min(rises.len())..];
    if falls.len() < 3 || rises.len() < 2 || is_clocked(view, large) {
        return false;
    }
    let (low, high) = extremes(view.measured.iter().copied());
    let narrow = |readings: &[f64]| {
        let (least, most) = extremes(readings.iter().copied());
        most - least <= THRESHOLD * (high - low)
    };
    narrow(&falls) && narrow(rises)
}

/// Whether the duty is on for the same number of rows each time, from the first on: a thermostat is longest on for its first heat-up.
fn is_clocked(view: &View, large: f64) -> bool {
    let (mut since, mut lengths) = (0, Vec::new());
    for (at, two) in view.duty.windows(2).enumerate() {
        if two[1] - two[0] > large {
            since = at + 1;
        } else if two[0] - two[1] > large {
            lengths.push((at + 1 - since) as f64);
        }
    }
    let (least, most) = extremes(lengths.iter().copied());
    most - least <= 2.0_f64.max(0.02 * most)
}

/// Whether quick changes of the duty go with quick changes of the reading in the same row, or one or two before.
fn follows_the_noise(view: &View) -> bool {
    let quick = |values: &[f64]| -> Vec<f64> {
        let second = values
            .windows(3)
            .map(|three| three[0] - 2.0 * three[1] + three[2]);
        let second: Vec<f64> = second.collect();
        // A few large ones, such as those of a step, would be all that counts.
        let mut sizes: Vec<f64> = second
            .iter()
            .map(|value| value.abs())
            .filter(|size| *size > 0.0)
            .collect();
        if sizes.is_empty() {
            return second;
        }
        let most = 4.0 * median_high(&mut sizes);
        second.into_iter().map(|value| value.clamp(-most, most)).collect()
    };
    let (duty, reading) = (quick(&view.duty), quick(&view.measured));
    (0..=2).any(|lag| {
        let pairs = duty[lag..].iter().zip(&reading);
        let (mut both, mut one, mut other) = (0.0, 0.0, 0.0);
        for (duty, reading) in pairs {
            both += duty * reading;
            one += duty * duty;
            other += reading * reading;
        }
        let count = (duty.len() - lag) as f64;
        // Second differences are correlated over two neighbours: they count for about half.
        both.abs() > CLEAR * (one * other / (count / 2.0)).sqrt()
    })
}

/// Whether readings stay in one narrow band while the duty is below what brought them there.
fn is_held(view: &View) -> bool {
    let mut sorted = view.measured.clone();
    sorted.sort_by(f64::total_cmp);
    let (low, high) = (sorted[0], sorted[sorted.len() - 1]);
    let band = (0.04 * (high - low)).max(2.0);
    let mut end = 0;
    let mut best = (0, low);
    for (start, from) in sorted.iter().enumerate() {
        while end < sorted.len() && sorted[end] <= from + band {
            end += 1;
        }
        if end - start > best.0 {
            best = (end - start, *from);
        }
    }
    let within = |reading: f64| (best.1..=best.1 + band).contains(&reading);
    let Some(reached) = view.measured.iter().position(|reading| within(*reading)) else {
        return false;
    };
    let before = view.duty[..=reached].iter().copied().fold(0.0, f64::max);
    let held = view.duty[reached..]
        .iter()
        .zip(&view.measured[reached..])
        .filter(|(_, reading)| within(**reading))
        .map(|(duty, _)| *duty);
    let held: Vec<f64> = held.collect();
    let mean = held.iter().sum::<f64>() / held.len() as f64;
    best.0 as f64 >= HELD * view.len() as f64 && mean < 0.8 * before
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A part of two lags, a reading with noise of ± 0.2 K, and a duty by a rule of time and reading.
    fn view(rule: impl Fn(f64, f64, bool) -> f64) -> View {
        let (mut first, mut second) = (0.0, 0.0);
        let mut view = View::default();
        let (mut duty, mut n) = (0.0, 1_234_567_u64);
        for at in 0..1_200_u32 {
            n = n * 16_807 % 2_147_483_647;
            let reading = 22.0 + second + 0.4 * (n as f64 / 2_147_483_647.0 - 0.5);
            duty = rule(f64::from(at), reading, duty > 0.5);
            view.time.push(f64::from(at));
            view.start.push(f64::from(at));
            view.sample.push(0);
            view.measured.push(reading);
            view.target.push(f64::NAN);
            view.duty.push(duty);
            first += (150.0 * duty - first) / 90.0;
            second += (first - second) / 5.0;
        }
        view
    }

    #[test]
    fn what_follows_no_reading_is_open() {
        let check = |name: &str, open: bool, rule: &dyn Fn(f64, f64, bool) -> f64| {
            assert_eq!(is_open(&view(rule)), open, "{name}");
        };
        let sine = |time: f64| 0.5 + 0.5 * (time / 50.0).sin();
        check("constant", true, &|_, _, _| 0.5);
        check("off, then on", true, &|time, _, _| {
            f64::from(u8::from(time > 60.0))
        });
        check("steps by hand", true, &|time, _, _| (time / 300.0).floor() * 0.2);
        check("square", true, &|time, _, _| {
            f64::from(u8::from(time % 200.0 < 100.0))
        });
        check("a sine in whole per cent", true, &|time, _, _| {
            (sine(time) * 100.0).round() / 100.0
        });
        check("pseudo-random", true, &|time, _, _| {
            f64::from(u8::from((time / 10.0).floor() as u64 * 7_919 % 13 < 6))
        });
        check("thermostat", false, &|_, reading, on| {
            f64::from(u8::from(reading < if on { 81.0 } else { 79.0 }))
        });
        check("proportional", false, &|_, reading, _| {
            ((90.0 - reading) * 0.1).clamp(0.0, 1.0)
        });
        check("proportional, in whole per cent", false, &|_, reading, _| {
            ((90.0 - reading) * 3.0).round().clamp(0.0, 100.0) / 100.0
        });
    }
}
