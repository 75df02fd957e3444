//! Controllers that published rules propose for the process, each run against it with this input's noise and steps.

use physics::control::{
    self, Controller, FirstOrder, Pid, SecondOrder, Simulation, Terms, amigo, cohen_coon, margins, simc_pi,
    simc_pid, simulate, tyreus_luyben, ultimate, ziegler_nichols_reaction, ziegler_nichols_ultimate,
};
use quantity::si::{Ratio, TemperatureInterval, ThermodynamicTemperature, Time, kelvin, ratio, second};
use quantity::{Number as _, Range};

use statrs::function::erf::erfc;

use super::process::Process;
use super::swing::{Cause, Swing};

/// A controller with what a run of it showed.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// The rule.
    pub rule: &'static str,
    /// Key of its source.
    pub source: &'static str,
    /// The controller in the ideal form.
    pub pid: Pid,
    /// By how much the target is exceeded after a heat-up from cold.
    pub overshoot: TemperatureInterval,
    /// The time until the temperature stays within 1 K; nothing where it never does.
    pub settled: Option<Time>,
    /// From lowest to highest true temperature once settled.
    pub swing: TemperatureInterval,
    /// Width of the band with 99 % of the *readings* once settled, as the log's own is measured: what the temperature does in the simulation, and
    /// what no controller changes (noise, steps, pick-up and drift of this log).
    pub width: TemperatureInterval,
    /// Ms, at the liveliest that another run of the part may be: 1.4 to 1.7 is calm, above 2 lively.
    pub sensitivity_peak: Ratio,
    /// Whether it is the one to take.
    pub chosen: bool,
}

/// The most lively that is still proposed: Ms of 2 ([astrom-hagglund-2006] names 1.2 to 2.0 as the range of use).
const LIVELIEST: f64 = 2.0;
/// Share of the derivative time over which the derivative is smoothed; common practice, no source.
const SMOOTHED: f64 = 0.1;

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
    let bench = Bench::of(process, swing, wanted, log_step);
    if bench.wanted.base() <= 0.0 || process.gain.nominal() <= bench.wanted {
        return Vec::new();
    }
    let mut all: Vec<Proposal> = controllers(&model, first, two)
        .into_iter()
        .filter_map(|(rule, source, pid)| bench.run(rule, source, pid))
        .collect();
    let rank = |proposal: &Proposal| (!proposal.is_calm(), proposal.cost());
    all.sort_by(|one, other| {
        rank(one)
            .partial_cmp(&rank(other))
            .unwrap_or(core::cmp::Ordering::Equal)
    });
    if let Some(best) = all.first_mut() {
        best.chosen = best.is_calm() && best.settled.is_some();
    }
    all
}

impl Proposal {
    fn is_calm(&self) -> bool {
        self.sensitivity_peak.base() <= LIVELIEST
    }

    /// Among calm ones that settle, the least overshoot and swing together; a second of settling weighs a hundredth of a kelvin.
    fn cost(&self) -> f64 {
        let settled = self.settled.map_or(1e6, |time| time.base());
        self.overshoot.base() + self.swing.base() + settled * 0.01
    }
}

fn controllers(
    model: &control::Process,
    first: FirstOrder,
    two: SecondOrder,
) -> Vec<(&'static str, &'static str, Pid)> {
    let mut all = vec![
        ("Skogestad, PI", "skogestad-2003", simc_pi(first, first.delay)),
        ("Skogestad, PID", "skogestad-2003", simc_pid(two, two.delay)),
        (
            "Ziegler and Nichols, reaction curve, PID",
            "ziegler-nichols-1942",
            ziegler_nichols_reaction(first, Terms::Pid),
        ),
        (
            "Cohen and Coon, PID",
            "cohen-coon-1953",
            cohen_coon(first, Terms::Pid),
        ),
    ];
    all.extend(amigo(first, Terms::Pi).map(|pid| ("Åström-Hägglund, PI", "astrom-hagglund-2006", pid)));
    all.extend(amigo(first, Terms::Pid).map(|pid| ("Åström-Hägglund, PID", "astrom-hagglund-2006", pid)));
    if let Some(found) = ultimate(model) {
        all.push((
            "Ziegler and Nichols, ultimate gain, PID",
            "ziegler-nichols-1942",
            ziegler_nichols_ultimate(found, Terms::Pid),
        ));
        all.extend(
            tyreus_luyben(found, Terms::Pi).map(|pid| ("Tyreus and Luyben, PI", "tyreus-luyben-1992", pid)),
        );
        all.extend(
            tyreus_luyben(found, Terms::Pid).map(|pid| ("Tyreus and Luyben, PID", "tyreus-luyben-1992", pid)),
        );
    }
    all
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

struct Bench {
    process: control::Process,
    /// At the liveliest that another run may be.
    liveliest: control::Process,
    wanted: TemperatureInterval,
    sample: Time,
    noise: TemperatureInterval,
    resolution: TemperatureInterval,
    /// What readings are off the temperature whatever the controller does, root mean square, K: noise, steps and drift; and pick-up, which has the
    /// shape of a sine.
    besides: f64,
    pick_up: f64,
}

impl Bench {
    fn of(
        process: &Process,
        swing: Option<&Swing>,
        wanted: ThermodynamicTemperature,
        log_step: Time,
    ) -> Self {
        let part = |causes: &[Cause]| swing.map_or(0.0, |swing| rms(swing, causes));
        Self {
            process: process.model(),
            liveliest: process.liveliest().model(),
            wanted: kelvin(wanted.base() - process.room.base()),
            // A log that is coarser than the controller does not tell how often that one computes; a second is slow for one.
            sample: second(log_step.base().clamp(0.05, 1.0)),
            noise: swing.map_or(kelvin(0.0), |swing| swing.noise.nominal()),
            resolution: swing.and_then(Swing::step).unwrap_or(kelvin(0.0)),
            besides: part(&[Cause::Noise, Cause::Steps, Cause::Drift]),
            pick_up: part(&[Cause::PickUp]),
        }
    }

    fn run(&self, rule: &'static str, source: &'static str, pid: Pid) -> Option<Proposal> {
        let slowest = self.process.lags.iter().map(|lag| lag.base()).fold(1.0, f64::max);
        let filter = pid.derivative * SMOOTHED;
        // Whole steps make a sample: a tenth of the dead time, and at most as long as the sample.
        let wished = (self.process.delay.base() / 10.0).clamp(0.02, self.sample.base());
        let step = self.sample / (self.sample.base() / wished).ceil();
        let record = simulate(&Simulation {
            process: self.process.clone(),
            pid,
            sample: self.sample,
            step,
            duration: second((8.0 * slowest).clamp(300.0, 3_600.0)),
            wanted: self.wanted,
            load: ratio(0.0),
            limits: Some(Range::new(ratio(0.0), ratio(1.0))),
            pulse: None,
            resolution: self.resolution,
            noise: self.noise,
            seed: 1,
            derivative_filter: filter,
        })
        .ok()?;
        let margins = margins(&self.liveliest, Controller::Ideal { pid, filter });
        Some(Proposal {
            rule,
            source,
            pid,
            overshoot: self.wanted * record.overshoot().base(),
            settled: record.settled(kelvin(1.0)),
            swing: record.swing(ratio(0.3)),
            width: kelvin(width(
                record.root_mean_square(ratio(0.3)).base().hypot(self.besides),
                self.pick_up * core::f64::consts::SQRT_2,
            )),
            sensitivity_peak: margins.sensitivity_peak,
            chosen: false,
        })
    }
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
