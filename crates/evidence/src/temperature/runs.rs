//! Several logs of one part: how far its runs differ besides the noise of each log, and what the next run will be like.
//!
//! The noise of one log tells how well that log is told, not how alike the next one is: surroundings, draught and contact differ from run to run. One
//! log alone cannot tell by how much; what is usual is taken then (see [`USUAL`]).

mod words;

use quantity::Value;
use quantity::si::{Power, TemperatureInterval, ThermodynamicTemperature, kelvin, second};
use quantity::{Number as _, si::celsius};
use rand::SeedableRng as _;
use rand_pcg::Pcg64;
use statistics::{CONFIDENCE, Estimate, chi_squared_tail, coverage_factor, normal_quantile};

use super::Analysis;
use super::process::{Open, Plant, Process, course};
use super::tuning::{self, Proposal};
use crate::Refused;
use crate::quantities::InUnit as _;

/// What usually differs from run to run, as standard deviations of the logarithms of gain, larger and smaller lag, and of the dead time over the sum of
/// smaller lag and dead time; and how gain and larger lag differ together.
///
/// # Source
/// The six logs in `tests/data/heater-lab` (open data of a teaching rig), rounded; that other rigs are like this one is common practice, no source.
pub(crate) const USUAL: [f64; 4] = [0.035, 0.045, 0.1, 0.1];
const TOGETHER: f64 = 0.7;
/// For how many runs that counts beside those that were logged.
const COUNTS: f64 = 4.0;

/// One of the logs.
#[derive(Clone, Copy, Debug)]
pub struct Run<'a> {
    /// What the log is called, such as its file.
    pub name: &'a str,
    /// What it says.
    pub analysis: &'a Analysis,
}

/// What one log says, and how the others foretell it.
#[derive(Clone, Debug, PartialEq)]
pub struct OfRun {
    /// What the log is called.
    pub name: String,
    /// Its process.
    pub process: Process,
    /// What the first of the other logs foretells of its readings.
    pub foretold: Foretold,
}

/// Readings of a log beside what the process of another one foretells of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Foretold {
    /// Deviation of the readings, root mean square.
    pub off: TemperatureInterval,
    /// The share of the readings in the interval that was foretold.
    pub within: f64,
}

/// Several logs of one part.
#[derive(Clone, Debug, PartialEq)]
pub struct Runs {
    /// What the heater is called.
    pub name: String,
    /// The logs, in their order.
    pub logs: Vec<OfRun>,
    /// The process that the next run is to be expected to have, its intervals for that run; at the mean of the powers where logs tell them.
    pub next: Process,
    /// Standard deviation of the gain from run to run, and that by the noise of one log, as shares.
    pub spread: [f64; 2],
    /// How likely a larger spread of the gain is by noise alone.
    pub by_noise: f64,
    /// Controllers for all that the next run may be.
    pub proposals: Vec<Proposal>,
}

/// The parameters of a process as they are compared: logarithms but for the dead time.
fn parameters(process: &Process) -> [f64; 4] {
    let plant = process.plant();
    let per_watt = process.full_power.map_or(1.0, |power| power.base());
    [
        (plant.gain / per_watt).ln(),
        plant.lags[0].ln(),
        plant.lags[1].max(1e-3).ln(),
        plant.delay,
    ]
}

/// The usual deviations from run to run, of [`parameters`].
fn usual(plant: Plant) -> [f64; 4] {
    let [gain, lag, second, delay] = USUAL;
    [gain, lag, second, delay * (plant.lags[1] + plant.delay)]
}

/// With how far a run may be from one that was logged, besides what that log leaves open.
pub(crate) fn of_another_run(open: &Open) -> Open {
    let [gain, lag, second, delay] = usual(open.plant);
    let second = if open.plant.lags[1] > 0.0 { second } else { 0.0 };
    let mut covariance = open.covariance;
    for (at, deviation) in [gain, lag, delay, second].into_iter().enumerate() {
        // Both runs differ from the part's mean.
        covariance[at][at] += 2.0 * deviation * deviation;
    }
    covariance[0][1] += 2.0 * TOGETHER * gain * lag;
    covariance[1][0] += 2.0 * TOGETHER * gain * lag;
    Open {
        plant: open.plant,
        covariance,
    }
}

/// Compares logs of one part.
///
/// # Errors
/// [`Refused`] where fewer than two of them tell a process.
pub fn compare(logs: &[Run<'_>]) -> Result<Runs, Refused> {
    let told: Vec<(Run<'_>, Process)> = logs
        .iter()
        .filter_map(|run| Some((*run, *run.analysis.process.as_ref().ok()?)))
        .collect();
    let [(first, _), (_, _), ..] = told[..] else {
        return Err(words::too_few(told.len()));
    };
    let count = told.len() as f64;
    let each: Vec<[f64; 4]> = told.iter().map(|(_, process)| parameters(process)).collect();
    let mean: [f64; 4] = core::array::from_fn(|at| each.iter().map(|own| own[at]).sum::<f64>() / count);
    let powers: Vec<Power> = told
        .iter()
        .filter_map(|(_, process)| process.full_power)
        .collect();
    let full_power = (powers.len() == told.len())
        .then(|| Power::from_base(powers.iter().map(|own| own.base()).sum::<f64>() / count));
    let has_second = told.iter().all(|(_, process)| process.second_lag.is_some());
    let plant = Plant {
        gain: mean[0].exp() * full_power.map_or(1.0, |power| power.base()),
        lags: [mean[1].exp(), if has_second { mean[2].exp() } else { 0.0 }],
        delay: mean[3],
    };
    let freedom = COUNTS + count - 1.0;
    let squares = |one: usize, other: usize| -> f64 {
        each.iter()
            .map(|own| (own[one] - mean[one]) * (own[other] - mean[other]))
            .sum()
    };
    let deviations = usual(plant);
    let order = [0, 1, 3, 2];
    let mut covariance = [[0.0; 4]; 4];
    for (row, one) in covariance.iter_mut().zip(order) {
        for (cell, other) in row.iter_mut().zip(order) {
            let together = match (one, other) {
                (0, 1) | (1, 0) => TOGETHER,
                (one, other) => f64::from(u8::from(one == other)),
            };
            let usual = together * deviations[one] * deviations[other];
            *cell = (COUNTS * usual + squares(one, other)) / freedom * (1.0 + 1.0 / count);
        }
    }
    if !has_second {
        for at in 0..4 {
            covariance[3][at] = 0.0;
            covariance[at][3] = 0.0;
        }
    }
    let open = Open { plant, covariance };
    let noise = |process: &Process| {
        let ends = (process.gain.high().base() / process.gain.low().base()).ln();
        (ends / 2.0 / normal_quantile(f64::midpoint(1.0, CONFIDENCE))).powi(2)
    };
    let noise = told.iter().map(|(_, process)| noise(process)).sum::<f64>() / count;
    let next = next(open, freedom, &told[0].1, full_power);
    let wanted = told.iter().map(|(run, _)| run.analysis.wanted()).fold(
        celsius(-273.15),
        |one: ThermodynamicTemperature, other| {
            if other > one { other } else { one }
        },
    );
    let step = first.analysis.view.step();
    let of = |at: usize| {
        let (run, process) = told[at];
        let other = &told[usize::from(at == 0)].1;
        OfRun {
            name: run.name.to_owned(),
            process,
            foretold: foretell(other, run.analysis),
        }
    };
    Ok(Runs {
        name: first.analysis.ask.name.clone(),
        logs: (0..told.len()).map(of).collect(),
        spread: [(squares(0, 0) / (count - 1.0)).sqrt(), noise.sqrt()],
        by_noise: chi_squared_tail(squares(0, 0) / noise, count - 1.0),
        proposals: tuning::proposals(&next, None, wanted, step),
        next,
    })
}

fn next(open: Open, freedom: f64, first: &Process, full_power: Option<Power>) -> Process {
    let wide = coverage_factor(freedom, CONFIDENCE);
    let Open { plant, covariance } = open;
    let factor =
        |value: f64, at: usize| Estimate::around(value.ln(), wide * covariance[at][at].sqrt()).map(f64::exp);
    let delay = Estimate::around(plant.delay, wide * covariance[2][2].sqrt());
    Process {
        gain: factor(plant.gain, 0).of(kelvin),
        lag: factor(plant.lags[0], 1).of(second),
        second_lag: (plant.lags[1] > 0.0).then(|| factor(plant.lags[1], 3).of(second)),
        delay: Value::between(
            second(delay.low.max(0.0)),
            second(delay.value),
            second(delay.high),
        ),
        full_power,
        open: [Some(open), None, None],
        ..*first
    }
}

/// What the process of one log foretells of the readings of another run: by draws of all that is open, and the noise of that log.
#[must_use]
pub fn foretell(process: &Process, other: &Analysis) -> Foretold {
    const DRAWS: usize = 201;
    let view = &other.view;
    let count = view.len();
    let start = view.measured[..count.min(3)].iter().sum::<f64>() / count.min(3) as f64;
    // Full power of the one is another share of that of the other.
    let scale = match (
        process.full_power,
        other.process.as_ref().ok().and_then(|own| own.full_power),
    ) {
        (Some(own), Some(other)) => other.base() / own.base(),
        _ => 1.0,
    };
    let input: Vec<f64> = view.duty.iter().map(|duty| duty * scale).collect();
    let mut random = Pcg64::seed_from_u64(1);
    let mut courses: Vec<Vec<f64>> = Vec::new();
    for open in process.open.iter().flatten() {
        let open = of_another_run(open);
        courses.extend((0..DRAWS).map(|_| course(open.draw(&mut random), &view.time, &view.start, &input)));
    }
    let middle = course(process.plant(), &view.time, &view.start, &input);
    let noise = normal_quantile(f64::midpoint(1.0, CONFIDENCE)) * process.left.base();
    let (mut squares, mut within) = (0.0, 0);
    let mut at_time = vec![0.0; courses.len()];
    let tail = courses.len() / 40;
    for at in 0..count {
        for (own, course) in at_time.iter_mut().zip(&courses) {
            *own = course[at];
        }
        at_time.sort_by(f64::total_cmp);
        let rise = view.measured[at] - start;
        let (low, high) = (at_time[tail], at_time[at_time.len() - 1 - tail]);
        let (below, above) = ((middle[at] - low).hypot(noise), (high - middle[at]).hypot(noise));
        within += usize::from(middle[at] - below <= rise && rise <= middle[at] + above);
        squares += (rise - middle[at]).powi(2);
    }
    Foretold {
        off: kelvin((squares / count as f64).sqrt()),
        within: within as f64 / count as f64,
    }
}
