//! Controllers run against a part from cold.

use physics::control::{Controller, Pid, Process, Simulation, margins, simulate};
use quantity::si::{Ratio, TemperatureInterval, Time, kelvin, ratio, second};
use quantity::{Number as _, Range};

use crate::Rule;

/// The derivative of a controller is filtered with its time divided by so much; common practice, no source.
pub const DERIVATIVE_FILTER: f64 = 10.0;
/// The most lively that is still taken: Ms of 2 ([astrom-hagglund-2006] names 1.2 to 2.0 as the range of use).
const LIVELIEST: f64 = 2.0;
/// A run lasts so many of the slowest time constant.
const LASTS: f64 = 5.0;
/// Least and most that a run lasts, s.
const BOUNDS: [f64; 2] = [300.0, 10_800.0];
/// What is settled is judged over this last share of a run.
const SETTLED: f64 = 0.3;

/// What controllers are run against.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// The part as named or as logged.
    pub nominal: Process,
    /// What it may be as well; the worst of each figure is told over these, too.
    pub corners: Vec<Process>,
    /// The part with the highest loop gain that it may have: margins are told for it.
    pub liveliest: Process,
    /// From the room to the setpoint.
    pub wanted: TemperatureInterval,
    /// Time from one computation of the controller to the next.
    pub sample: Time,
    /// Step of the simulation; at most `sample`.
    pub step: Time,
    /// Period of the heater's pulses; nothing for a steady power.
    pub pulse: Option<Time>,
    /// Step of the temperature input; 0 K for none.
    pub resolution: TemperatureInterval,
    /// Noise of the temperature input, root mean square.
    pub noise: TemperatureInterval,
}

/// How a heat-up from the room to the setpoint runs, and what is left when it has settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Course {
    /// Overshoot.
    pub overshoot: TemperatureInterval,
    /// The time after which it stays within a kelvin, from the start of the heat-up; `None` where it never does.
    pub settled: Option<Time>,
    /// From lowest to highest true temperature once settled.
    pub swing: TemperatureInterval,
    /// How far the true temperature is off the setpoint once settled, root mean square.
    pub deviation: TemperatureInterval,
}

impl Course {
    /// Each figure of the one that is worse in it.
    fn worse(self, other: Self) -> Self {
        Self {
            overshoot: self.overshoot.larger(other.overshoot),
            settled: self
                .settled
                .zip(other.settled)
                .map(|(one, other)| one.larger(other)),
            swing: self.swing.larger(other.swing),
            deviation: self.deviation.larger(other.deviation),
        }
    }
}

/// What a trial of one controller showed.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// The rule.
    pub rule: Rule,
    /// The controller in the ideal form.
    pub pid: Pid,
    /// With the part as named or as logged.
    pub nominal: Course,
    /// The worst of each figure among that and the corners.
    pub worst: Course,
    /// Maximum sensitivity, nominal: 1.4 to 1.7 is calm, above 2 lively.
    pub sensitivity_peak: Ratio,
    /// The same at the liveliest; infinite where that oscillates.
    pub sensitivity_peak_worst: Ratio,
    /// Factor by which the gain may grow at the liveliest.
    pub gain_margin_worst: Ratio,
    /// Whether it is the one to take.
    pub chosen: bool,
}

impl Outcome {
    fn is_calm(&self) -> bool {
        self.sensitivity_peak_worst.base() <= LIVELIEST
    }

    /// Among calm ones that settle, the least overshoot and swing together; a second of settling weighs a hundredth of a kelvin.
    fn cost(&self) -> f64 {
        let course = &self.nominal;
        let settled = course.settled.map_or(1e6, |time| time.base());
        course.overshoot.base() + course.swing.base() + settled * 0.01
    }
}

/// Sorts by what is to be taken first, and marks the first one if it is calm and settles.
pub fn mark_best(all: &mut [Outcome]) {
    let rank = |outcome: &Outcome| (!outcome.is_calm(), outcome.cost());
    all.sort_by(|one, other| {
        rank(one)
            .partial_cmp(&rank(other))
            .unwrap_or(core::cmp::Ordering::Equal)
    });
    if let Some(best) = all.first_mut() {
        best.chosen = best.is_calm() && best.nominal.settled.is_some();
    }
}

impl Trial {
    /// Runs one controller; nothing where the part cannot be simulated.
    #[must_use]
    pub fn run(&self, rule: Rule, pid: Pid) -> Option<Outcome> {
        let filter = pid.derivative / DERIVATIVE_FILTER;
        let controller = Controller::Ideal { pid, filter };
        let calm = margins(&self.nominal, controller);
        let lively = margins(&self.liveliest, controller);
        let is_stable = lively.gain_margin.base() > 1.0;
        let nominal = self.course(&self.nominal, pid)?;
        let worst = self
            .corners
            .iter()
            .try_fold(nominal, |worst, part| Some(worst.worse(self.course(part, pid)?)))?;
        Some(Outcome {
            rule,
            pid,
            nominal,
            worst,
            sensitivity_peak: calm.sensitivity_peak,
            sensitivity_peak_worst: if is_stable {
                lively.sensitivity_peak
            } else {
                ratio(f64::INFINITY)
            },
            gain_margin_worst: lively.gain_margin,
            chosen: false,
        })
    }

    fn course(&self, part: &Process, pid: Pid) -> Option<Course> {
        let slowest = part.lags.iter().map(|lag| lag.base()).fold(0.0, f64::max);
        let record = simulate(&Simulation {
            process: part.clone(),
            pid,
            sample: self.sample,
            step: self.step,
            duration: second((LASTS * slowest).clamp(BOUNDS[0], BOUNDS[1])),
            wanted: self.wanted,
            load: ratio(0.0),
            limits: Some(Range::new(ratio(0.0), ratio(1.0))),
            pulse: self.pulse,
            resolution: self.resolution,
            noise: self.noise,
            seed: 1,
            derivative_filter: pid.derivative / DERIVATIVE_FILTER,
        })
        .ok()?;
        Some(Course {
            overshoot: self.wanted * record.overshoot().base(),
            settled: record.settled(kelvin(1.0)),
            swing: record.swing(ratio(SETTLED)),
            deviation: record.root_mean_square(ratio(SETTLED)),
        })
    }
}

#[cfg(test)]
mod tests {
    use physics::control::{FirstOrder, simc_pi};
    use quantity::si::per_kelvin;

    use super::*;

    const RULE: Rule = Rule::DETUNED;

    /// A part of one lag of ten minutes that full power heats by 200 K.
    fn part(gain: f64) -> FirstOrder {
        FirstOrder {
            gain: kelvin(gain),
            lag: second(600.0),
            delay: second(30.0),
        }
    }

    fn trial() -> Trial {
        Trial {
            nominal: part(200.0).into(),
            corners: Vec::new(),
            liveliest: part(200.0).into(),
            wanted: kelvin(180.0),
            sample: second(1.0),
            step: second(1.0),
            pulse: None,
            resolution: kelvin(0.0),
            noise: kelvin(0.0),
        }
    }

    fn skogestad() -> Pid {
        simc_pi(part(200.0), part(200.0).delay)
    }

    /// Skogestad 2003, table 1: with the tightest of his tunings Ms is 1.59 for a short lag and 1.70 for an integrating part, the gain margin 3.14
    /// and 2.96; a lag of twenty dead times lies between.
    #[test]
    fn margins_are_those_of_the_published_rule() {
        let found = trial().run(RULE, skogestad()).unwrap();
        let within = |own: Ratio, low: f64, high: f64| assert!((low..high).contains(&own.base()), "{own:?}");
        within(found.sensitivity_peak, 1.59, 1.70);
        within(found.gain_margin_worst, 2.955, 3.145);
        assert_eq!(found.sensitivity_peak_worst, found.sensitivity_peak);
        // A part of twice the gain leaves half the margin; one that leaves none oscillates.
        let margin = found.gain_margin_worst.base();
        let of = |times: f64| {
            let liveliest = part(200.0 * times).into();
            let lively = Trial { liveliest, ..trial() };
            lively.run(RULE, skogestad()).unwrap()
        };
        let twice = of(2.0);
        assert!((twice.gain_margin_worst.base() / margin - 0.5).abs() < 1e-6);
        assert_eq!(twice.sensitivity_peak, found.sensitivity_peak);
        assert!(of(margin / 1.1).sensitivity_peak_worst.base() > 5.0);
        assert!(of(margin / 1.1).sensitivity_peak_worst.base().is_finite());
        assert_eq!(of(margin / 0.9).sensitivity_peak_worst.base(), f64::INFINITY);
    }

    /// With the derivative filtered with a tenth of its time.
    #[test]
    fn the_derivative_is_filtered() {
        let pid = Pid {
            derivative: second(15.0),
            ..skogestad()
        };
        let filter = second(1.5);
        let expected = margins(&part(200.0).into(), Controller::Ideal { pid, filter });
        let found = trial().run(RULE, pid).unwrap();
        assert_eq!(found.sensitivity_peak, expected.sensitivity_peak);
        // A derivative without a filter would shake the power with every reading; with one of ten times its time it would come too late.
        let noise = kelvin(0.2);
        let noisy = Trial { noise, ..trial() }.run(RULE, pid).unwrap();
        assert!(noisy.nominal.swing < kelvin(2.0), "{noisy:?}");
    }

    /// What is told of a course is read off a run with a filter of a tenth of the derivative's time, settled within 1 K, beside which neither
    /// another filter nor another band tells the same.
    #[test]
    fn a_course_is_read_off_a_filtered_run() {
        let pid = Pid {
            derivative: second(15.0),
            ..skogestad()
        };
        let found = trial().run(RULE, pid).unwrap().nominal;
        let told = |filter: f64, band: f64| {
            let run = simulate(&Simulation {
                process: part(200.0).into(),
                pid,
                sample: second(1.0),
                step: second(1.0),
                duration: second((LASTS * 600.0).clamp(BOUNDS[0], BOUNDS[1])),
                wanted: kelvin(180.0),
                load: ratio(0.0),
                limits: Some(Range::new(ratio(0.0), ratio(1.0))),
                pulse: None,
                resolution: kelvin(0.0),
                noise: kelvin(0.0),
                seed: 1,
                derivative_filter: second(filter),
            })
            .unwrap();
            (kelvin(180.0) * run.overshoot().base(), run.settled(kelvin(band)))
        };
        assert_eq!((found.overshoot, found.settled), told(1.5, 1.0));
        assert_ne!(found.overshoot, told(150.0, 1.0).0);
        assert_ne!(found.settled, told(1.5, 1.25).1);
    }

    /// Full power from cold reaches 179 K of 200 K after `τ ln(200/21)` and the dead time (algebra); no controller is quicker.
    #[test]
    fn a_course_is_bounded_by_full_power() {
        let found = trial().run(RULE, skogestad()).unwrap().nominal;
        let least = 600.0 * (200.0_f64 / 21.0).ln() + 30.0;
        let settled = found.settled.unwrap().base();
        assert!(
            (least..2.0 * least).contains(&settled),
            "{settled} s, full power {least} s"
        );
        let of_twenty = |own: TemperatureInterval| (0.0..20.0).contains(&own.base());
        assert!(of_twenty(found.overshoot), "{found:?}");
        assert!(
            found.swing < kelvin(0.5) && found.deviation < kelvin(0.5),
            "{found:?}"
        );
        // A hasty integral overshoots, by less than full power could.
        let hasty = Pid {
            gain: per_kelvin(0.05),
            integral: Some(second(60.0)),
            ..skogestad()
        };
        let hasty = trial().run(RULE, hasty).unwrap().nominal;
        assert!(
            of_twenty(hasty.overshoot) && hasty.overshoot > kelvin(0.5),
            "{hasty:?}"
        );
    }

    #[test]
    fn the_worst_is_that_of_each_figure() {
        let slow = FirstOrder {
            lag: second(900.0),
            ..part(200.0)
        };
        let corners = vec![slow.into()];
        let found = Trial { corners, ..trial() }.run(RULE, skogestad()).unwrap();
        assert!(found.worst.settled.unwrap() > found.nominal.settled.unwrap());
        let course = |overshoot: f64, settled: Option<f64>, swing: f64, deviation: f64| Course {
            overshoot: kelvin(overshoot),
            settled: settled.map(second),
            swing: kelvin(swing),
            deviation: kelvin(deviation),
        };
        let (one, other) = (
            course(1.0, Some(10.0), 4.0, 5.0),
            course(2.0, Some(20.0), 3.0, 6.0),
        );
        assert_eq!(one.worse(other), course(2.0, Some(20.0), 4.0, 6.0));
        assert_eq!(other.worse(one), one.worse(other));
        assert_eq!(
            one.worse(course(0.0, None, 0.0, 0.0)),
            course(1.0, None, 4.0, 5.0)
        );
    }

    #[test]
    fn the_best_is_calm_settles_and_costs_least() {
        let found = trial().run(RULE, skogestad()).unwrap();
        let outcome = |peak: f64, overshoot: f64, swing: f64, settled: Option<f64>| Outcome {
            sensitivity_peak_worst: ratio(peak),
            nominal: Course {
                overshoot: kelvin(overshoot),
                swing: kelvin(swing),
                settled: settled.map(second),
                ..found.nominal
            },
            ..found.clone()
        };
        // The rank that each must have, whatever the order in which they come.
        let ranked = [
            outcome(1.5, 0.0, 0.0, Some(150.0)),
            // A second of settling weighs a hundredth of a kelvin, overshoot and swing count together; Ms of 2 is calm.
            outcome(2.0, 0.5, 0.4, Some(100.0)),
            outcome(1.5, 1.0, 0.0, Some(100.0)),
            outcome(1.5, 0.2, 0.9, Some(100.0)),
            outcome(1.5, 0.0, 0.0, Some(220.0)),
            outcome(1.2, 0.0, 0.0, None),
            outcome(2.1, 0.0, 0.0, Some(10.0)),
        ];
        let mut all: Vec<Outcome> = ranked.iter().rev().cloned().collect();
        mark_best(&mut all);
        for (at, (own, expected)) in all.iter().zip(&ranked).enumerate() {
            assert_eq!(own.nominal, expected.nominal, "{at}");
            assert_eq!(own.chosen, at == 0, "{at}");
        }
        for none in [&ranked[5..6], &ranked[6..]] {
            let mut all = none.to_vec();
            mark_best(&mut all);
            assert!(!all[0].chosen, "{:?}", all[0]);
        }
        mark_best(&mut []);
    }
}
