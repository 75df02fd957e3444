//! The control of a heated part, predicted from its figures: model, settings by published rules, how each would hold.
//!
//! [`model()`] is cheap and stands behind the check `temperature-control`. [`predictions`] runs each rule against the limits, steps, noise and
//! pulses of this input, as named and at both corners: some tens of milliseconds a part, for whoever asks.

use physics::control::{
    Controller, FirstOrder, Pid, Process, SIMC, SecondOrder, Simulation, margins, pi_gain_margin, simc_pi,
    simulate,
};
use physics::{Working, named, sensing, work};
use quantity::si::{Ratio, TemperatureCoefficient, TemperatureInterval, Time};
use quantity::{Number, Value, si};
use tuning::{DERIVATIVE_FILTER, Outcome, Rule, Trial, by_rules};

use crate::facts::heating::Heating;
use crate::facts::of_pair::PairFacts;
use crate::facts::pair::Pair;
use crate::facts::thermometry::{self, Thermometry};

/// A heated part as a process of first order with dead time.
#[derive(Clone, Debug)]
pub struct Model {
    /// Rise at full power, in the end.
    pub gain: Value<TemperatureInterval>,
    /// Time constant.
    pub lag: Value<Time>,
    /// From a change of power to the reading: of the part, half a period of the controller, half a pulse, the filter of the input.
    pub delay: Value<Time>,
    /// Rise in each second at full power, at its fastest: gain over time constant, in which the loss cancels. The loop also runs at goals
    /// just above the room, where a copper track gives the most power.
    pub fastest: Ratio,
    /// Rise in each second at full power, at its slowest.
    pub slowest: Ratio,
}

/// The model of a heated part whose thermometer is read at `thermometer`; `None` where its body is not known.
#[must_use]
pub fn model(heating: &Heating<'_>, thermometer: Option<&PairFacts<'_>>) -> Option<Model> {
    let limits = heating.pair.limits();
    let power = heating.power_when_hot();
    let loss = heating.whole_loss()?;
    let own = heating.capacity?;
    let capacity = heating.second.map_or(own, |second| own + second.capacity);
    let of = |power: si::Power, loss: si::ThermalConductance| {
        TemperatureInterval::from_base(power.base() / loss.base())
    };
    let gain = Value::corners(|end| of(power.at(end), loss.at(end.other())));
    let constant = physics::heat::time_constant;
    let lag = Value::corners(|end| constant(capacity.at(end), loss.at(end.other())));
    let filter = thermometer
        .and_then(|pair| pair.thermometry()?.input.filter)
        .map_or(Value::exact(si::second(0.0)), |filter| filter.value);
    let half = |time: Value<Time>| time.scale(0.5);
    let delay = heating.dead_time()
        + half(limits.control_sample_time.value)
        + half(limits.control_pulse_period.value)
        + filter;
    let most = power.high().larger(heating.power_when_cold().high());
    Some(Model {
        gain,
        lag,
        delay,
        fastest: Ratio::from_base(most.base() / own.low().base()),
        slowest: Ratio::from_base(power.low().base() / capacity.high().base()),
    })
}

impl Model {
    /// Every value as it is named.
    #[must_use]
    pub fn nominal(&self) -> FirstOrder {
        FirstOrder {
            gain: self.gain.nominal(),
            lag: self.lag.nominal(),
            delay: self.delay.nominal(),
        }
    }

    /// The corner at which a loop is liveliest: it rises fastest, over all temperatures that it is asked for, and answers last.
    #[must_use]
    pub fn liveliest(&self) -> FirstOrder {
        // The loss cancels in gain over time constant, so that not both stand at their worst.
        let lag = self.lag.nominal();
        FirstOrder {
            gain: TemperatureInterval::from_base(self.fastest.base() * lag.base()),
            lag,
            delay: self.delay.high(),
        }
    }

    /// The corner at which a loop is laziest: it rises least and slowest, and answers first.
    #[must_use]
    pub fn laziest(&self) -> FirstOrder {
        let gain = self.gain.low();
        FirstOrder {
            gain,
            lag: Time::from_base(gain.base() / self.slowest.base()),
            delay: self.delay.low(),
        }
    }

    /// PI by the rule of Skogestad, its closed loop at first as slow as the dead time, then as much slower as the liveliest corner needs to keep
    /// its gain margin.
    #[must_use]
    pub fn calmed(&self, heating: &Heating<'_>) -> Pid {
        let (model, lively) = (self.nominal(), self.liveliest());
        let kept = heating.pair.limits().control_gain_margin.value.high();
        let first = simc_pi(model, model.delay);
        let margin = pi_gain_margin(lively, first);
        if margin >= kept {
            return first;
        }
        // The gain goes with one over the sum of both times. A longer integral time only makes it calmer.
        let sum = model.delay * (2.0 * (kept / margin).base());
        simc_pi(model, sum - model.delay)
    }

    /// Settings from which one may be chosen: `first`, that of [`Self::calmed`], then calmer ones, also with shorter integral times, as long as the
    /// liveliest corner has the gain margin `kept`; the one that makes up soonest for a disturbance before the others.
    ///
    /// A calmer gain takes power off earlier, but does not swing; a shorter integral time gives back sooner what the gain took off too early.
    pub fn candidates(&self, first: Pid, kept: Ratio) -> impl Iterator<Item = Pid> + use<> {
        let (delay, lively) = (self.delay.nominal(), self.liveliest());
        let own = first.integral.unwrap_or(delay * 8.0);
        let shorter = [8.0, 5.6, 4.0, 2.8].map(|times| delay * times).into_iter();
        let times: Vec<Time> = [own]
            .into_iter()
            .chain(shorter.filter(|time| *time < own))
            .collect();
        let under = |share: f64, time: Time| Pid {
            gain: first.gain * share,
            integral: Some(time),
            ..first
        };
        // The margin goes with one over the gain, so that each integral time is asked once.
        let margins = times.iter().map(|time| pi_gain_margin(lively, under(1.0, *time)));
        let margins: Vec<Ratio> = margins.collect();
        let shares = [1.0, 0.7, 0.5, 0.35, 0.25].into_iter();
        let pairs = shares.flat_map(|share| times.iter().zip(&margins).map(move |time| (share, time)));
        let mut rest: Vec<Pid> = pairs
            .skip(1)
            .filter(|(share, (_, margin))| **margin >= kept * *share)
            .map(|(share, (time, _))| under(share, *time))
            .collect();
        // The mean error after a disturbance is the integral time over the gain (Åström and Hägglund 2006).
        let error = |pid: &Pid| {
            pid.integral
                .map_or(f64::INFINITY, |time| time.base() / pid.gain.base())
        };
        rest.sort_by(|one, other| error(one).total_cmp(&error(other)));
        [first].into_iter().chain(rest)
    }

    /// How the gain of a setting by the rule of Skogestad comes about.
    #[must_use]
    pub fn working(&self, pid: Pid) -> Working {
        let nominal = self.nominal();
        let delay = nominal.delay;
        let closed = nominal.lag * (pid.gain * nominal.gain).base().recip() - delay;
        let inputs = (
            named("K", "rise at full power, in the end", Value::exact(nominal.gain)),
            named("τ₁", "time constant", Value::exact(nominal.lag)),
            named(
                "θ",
                "dead time, with half a period, half a pulse and the filter",
                Value::exact(delay),
            ),
            named("τc", "time constant of the closed loop", Value::exact(closed)),
            named(
                "τ₂",
                "second time constant: a PI counts it with the dead time",
                Value::exact(Time::from_base(0.0)),
            ),
        );
        let rule = work(&SIMC, "Kc", inputs, |(gain, lag, delay, closed, _)| {
            TemperatureCoefficient::from_base(lag.base() / (gain.base() * (closed + delay).base()))
        });
        rule.working
    }

    /// By how much the reading falls at the most, at either corner, once so large a share of full power is lost more, under a setting; `None` where it
    /// cannot be stepped.
    #[must_use]
    pub fn fall(&self, pid: Pid, lost: Ratio) -> Option<TemperatureInterval> {
        let falls = [self.liveliest(), self.laziest()].into_iter().map(|part| {
            let step = part.delay / 20.0;
            // The integral has made up for most of it by then.
            let duration = (part.delay + pid.integral.unwrap_or(part.delay)) * 4.0;
            let linear = Simulation::linear(Process::from(part), pid, step, duration);
            let load = Ratio::from_base(-lost.base());
            let record = simulate(&Simulation { load, ..linear }).ok()?;
            let lowest = record.temperatures.into_iter().reduce(Number::smaller)?;
            Some(TemperatureInterval::from_base(-lowest.base()))
        });
        falls.reduce(|one, other| Some(one?.larger(other?)))?
    }

    /// By how much the gain of a setting may grow at the liveliest corner before its loop swings for ever.
    #[must_use]
    pub fn gain_margin(&self, pid: Pid) -> Ratio {
        let filter = pid.derivative / DERIVATIVE_FILTER;
        margins(&self.liveliest().into(), Controller::Ideal { pid, filter }).gain_margin
    }
}

/// The lags of a part apart: a third of the dead time is taken for a second lag, such as that of the thermometer in its hole.
fn second_order(model: FirstOrder) -> SecondOrder {
    SecondOrder {
        gain: model.gain,
        lag: model.lag,
        second_lag: model.delay / 3.0,
        delay: model.delay * (2.0 / 3.0),
    }
}

/// Every rule against this part and this input, first the setting that is proposed, which is the one to take; none where the body of the part
/// or its thermometer is not known.
#[must_use]
pub fn predictions(heating: &Heating<'_>, thermometer: &PairFacts<'_>, proposed: Pid) -> Vec<Outcome> {
    let Some((model, at)) = model(heating, Some(thermometer)).zip(thermometer.thermometry()) else {
        return Vec::new();
    };
    let nominal = model.nominal();
    let trial = trial(heating, thermometer, at, &model);
    let own = trial.run(Rule::DETUNED, proposed);
    let own = own.map(|own| Outcome { chosen: true, ..own });
    let rules = by_rules(nominal, second_order(nominal)).into_iter();
    own.into_iter()
        .chain(rules.filter_map(|(rule, pid)| trial.run(rule, pid)))
        .collect()
}

/// The part with what the input and the controller add to it.
fn trial(heating: &Heating<'_>, pair: &Pair<'_>, at: &Thermometry<'_>, model: &Model) -> Trial {
    let limits = pair.limits();
    let goal = heating.working().nominal();
    let step = at.kelvin_per_step(at.input, goal).nominal();
    let volts = at
        .input
        .noise
        .map_or(limits.thermometer_converter_noise.value, |noise| noise.value);
    let one = thermometry::step(at.input) * at.input.amplification.nominal().base();
    let part = |model: FirstOrder| Process::from(second_order(model));
    let pulse = limits.control_pulse_period.value.nominal();
    Trial {
        nominal: part(model.nominal()),
        corners: vec![part(model.liveliest()), part(model.laziest())],
        liveliest: model.liveliest().into(),
        wanted: TemperatureInterval::from_base(goal.base() - heating.room.nominal().base()),
        sample: limits.control_sample_time.value.nominal(),
        // Six steps to a pulse show its share to a few per cent; the process itself is far slower.
        step: pulse / 6.0,
        pulse: Some(pulse),
        resolution: step,
        noise: sensing::noise_in_kelvin(step, volts.nominal(), one),
    }
}
