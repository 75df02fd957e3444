//! Controllers for the process of a log, each run against it with this input's noise and steps.

use physics::control::Process as Part;
use quantity::Number as _;
use quantity::si::{TemperatureInterval, ThermodynamicTemperature, Time, kelvin, second};
use statrs::function::erf::erfc;
use tuning::{Outcome, Trial, by_rules, mark_best};

use super::process::Process;
use super::swing::{Cause, Swing};

/// A controller with what a run of it showed.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// What the run showed.
    pub outcome: Outcome,
    /// Width of the band with 99 % of the *readings* once settled, as the log's own is measured: what the temperature does in the simulation, and
    /// what no controller changes (noise, steps, pick-up and drift of this log); nothing where nothing was held.
    pub width: Option<TemperatureInterval>,
}

/// All rules, the one to take first.
pub(super) fn proposals(
    process: &Process,
    swing: Option<&Swing>,
    wanted: ThermodynamicTemperature,
    log_step: Time,
) -> Vec<Proposal> {
    let model = process.model();
    let (Ok(first), Ok(two)) = (model.first_order(), model.second_order()) else {
        return Vec::new();
    };
    let trial = trial(process, swing, wanted, log_step);
    if trial.wanted.base() <= 0.0 || process.gain.nominal() <= trial.wanted {
        return Vec::new();
    }
    let rules = by_rules(first, two).into_iter();
    let mut all: Vec<Outcome> = rules.filter_map(|(rule, pid)| trial.run(rule, pid)).collect();
    mark_best(&mut all);
    let width = |outcome: &Outcome| swing.map(|swing| width_of_readings(outcome, swing));
    all.into_iter()
        .map(|outcome| Proposal {
            width: width(&outcome),
            outcome,
        })
        .collect()
}

fn trial(
    process: &Process,
    swing: Option<&Swing>,
    wanted: ThermodynamicTemperature,
    log_step: Time,
) -> Trial {
    let nominal = process.model();
    // A log that is coarser than the controller does not tell how often that one computes; a second is slow for one.
    let sample = second(log_step.base().clamp(0.05, 1.0));
    // Whole steps make a sample: a tenth of the dead time, and at most as long as the sample.
    let wished = (nominal.delay.base() / 10.0).clamp(0.02, sample.base());
    let liveliest: Part = process.liveliest().model();
    Trial {
        nominal,
        corners: Vec::new(),
        liveliest,
        wanted: kelvin(wanted.base() - process.room.base()),
        sample,
        step: sample / (sample.base() / wished).ceil(),
        pulse: None,
        resolution: swing.and_then(Swing::step).unwrap_or(kelvin(0.0)),
        noise: swing.map_or(kelvin(0.0), |swing| swing.noise.nominal()),
    }
}

/// What readings are off the temperature whatever the controller does stands beside what the run showed: noise, steps and drift, and pick-up,
/// which has the shape of a sine.
fn width_of_readings(outcome: &Outcome, swing: &Swing) -> TemperatureInterval {
    let besides = rms(swing, &[Cause::Noise, Cause::Steps, Cause::Drift]);
    let pick_up = rms(swing, &[Cause::PickUp]);
    kelvin(width(
        outcome.nominal.deviation.base().hypot(besides),
        pick_up * core::f64::consts::SQRT_2,
    ))
}

/// Root of the sum of squares of some parts, K.
fn rms(swing: &Swing, causes: &[Cause]) -> f64 {
    let parts = causes.iter().filter_map(|cause| swing.part(*cause));
    parts.map(|part| part.size.base()).fold(0.0, f64::hypot)
}

/// Width of the band with 99 % of the values of a normal part (its deviation) and a sine (its peak) together. A sine keeps within its peaks: taken
/// for normal, it would have a band nearly twice as wide.
fn width(normal: f64, peak: f64) -> f64 {
    const TURNS: u32 = 200;
    let normal = normal.max(1e-9 + 1e-3 * peak);
    let above = |half: f64| -> f64 {
        let of = |turn: u32| {
            let sine = peak * (core::f64::consts::TAU * (f64::from(turn) + 0.5) / f64::from(TURNS)).sin();
            // Both sides are alike over a whole turn.
            erfc((half - sine) / normal * core::f64::consts::FRAC_1_SQRT_2)
        };
        (0..TURNS).map(of).sum::<f64>() / f64::from(TURNS)
    };
    let (mut low, mut high) = (0.0, peak + 4.0 * normal);
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if above(middle) > 0.01 {
            low = middle;
        } else {
            high = middle;
        }
    }
    low + high
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 99 % of a normal distribution lie within ± 2.5758 deviations (table of the normal distribution), and of a sine within sin(0.99 · 90°) of its peak
    /// (the arcsine law).
    #[test]
    fn the_band_of_a_sum_has_that_of_its_parts_at_its_ends() {
        assert!((width(0.1, 0.0) - 0.515_17).abs() < 1e-4);
        assert!((width(0.0, 1.0) - 2.0 * (0.99 * core::f64::consts::FRAC_PI_2).sin()).abs() < 0.005);
        let both = width(0.1, 1.0);
        assert!(both > 2.0 && both < 2.0 + 0.515, "{both}");
    }
}
