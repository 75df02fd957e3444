//! The control of a heated part, predicted from its figures: model, settings by published rules, how each would hold.
//!
//! [`model()`] is cheap and stands behind the check `temperature-control`. [`predictions`] runs each rule against the limits, steps, noise and
//! pulses of this input, as named and at both corners: some tens of milliseconds a part, for whoever asks.

use physics::control::{
    Controller, FirstOrder, Margins, Pid, Process, SIMC, SecondOrder, Simulation, Terms, Ultimate, amigo,
    margins, pi_gain_margin, relay_cycle, relay_gain, simc_pi, simc_pid, simulate, tyreus_luyben, ultimate,
    ziegler_nichols_reaction, ziegler_nichols_ultimate,
};
use physics::{Working, named, sensing, work};
use quantity::si::{Ratio, TemperatureCoefficient, TemperatureInterval, Time};
use quantity::{Number, Range, Value, si};
use serde::Serialize;

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

    /// Settings from which one may be chosen: that of [`Self::calmed`] first, then calmer ones, also with shorter integral times, as long as the
    /// liveliest corner keeps its gain margin; the one that makes up soonest for a disturbance before the others.
    ///
    /// A calmer gain takes power off earlier, but does not swing; a shorter integral time gives back sooner what the gain took off too early.
    pub fn candidates(&self, heating: &Heating<'_>) -> impl Iterator<Item = Pid> + use<> {
        let first = self.calmed(heating);
        let (delay, lively) = (self.delay.nominal(), self.liveliest());
        let kept = heating.pair.limits().control_gain_margin.value.high();
        let own = first.integral.unwrap_or(delay * 8.0);
        let times = [8.0, 5.6, 4.0, 2.8].map(|times| delay * times).into_iter();
        let times: Vec<Time> = [own]
            .into_iter()
            .chain(times.filter(move |time| *time < own))
            .collect();
        let pairs = [1.0, 0.7, 0.5, 0.35, 0.25].into_iter();
        let mut rest: Vec<Pid> = pairs
            .flat_map(|share| times.iter().map(move |time| (share, *time)))
            .skip(1)
            .map(|(share, time)| Pid {
                gain: first.gain * share,
                integral: Some(time),
                ..first
            })
            .collect();
        // The mean error after a disturbance is the integral time over the gain (Åström and Hägglund 2006).
        let error = |pid: &Pid| {
            pid.integral
                .map_or(f64::INFINITY, |time| time.base() / pid.gain.base())
        };
        rest.sort_by(|one, other| error(one).total_cmp(&error(other)));
        let rest = rest
            .into_iter()
            .filter(move |pid| pi_gain_margin(lively, *pid) >= kept);
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

/// The derivative of a controller is filtered with its time divided by so much.
const DERIVATIVE_FILTER: f64 = 10.0;

/// How one setting would hold.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Prediction {
    /// The rule.
    pub rule: &'static str,
    /// Key of the bibliography.
    pub source: &'static str,
    /// Share of full power for each kelvin.
    #[serde(skip)]
    pub gain: TemperatureCoefficient,
    /// Integral time; `None` for none.
    #[serde(skip)]
    pub integral: Option<Time>,
    /// Derivative time.
    #[serde(skip)]
    pub derivative: Time,
    /// Peak of the sensitivity with every value as it is named.
    pub sensitivity_peak: f64,
    /// The same at the liveliest corner; infinite where the loop oscillates.
    pub sensitivity_peak_worst: f64,
    /// Factor by which the gain may grow at the liveliest corner.
    pub gain_margin_worst: f64,
    /// How a heat-up runs with every value as it is named.
    #[serde(skip)]
    pub nominal: Course,
    /// The worst of each figure among that, the liveliest and the laziest corner.
    #[serde(skip)]
    pub worst: Course,
}

/// How a heat-up from the room to the working temperature runs, and what is left when it has settled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Course {
    /// Overshoot.
    pub overshoot: TemperatureInterval,
    /// The time after which it stays within a kelvin, from the start of the heat-up; `None` where it never does.
    pub settled: Option<Time>,
    /// From lowest to highest once settled, from noise, steps and pulses.
    pub swing: TemperatureInterval,
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
        }
    }
}

/// Every rule against this part and this input, first the setting that is proposed; none where the body of the part or its thermometer is not known.
#[must_use]
pub fn predictions(heating: &Heating<'_>, thermometer: &PairFacts<'_>, proposed: Pid) -> Vec<Prediction> {
    let Some((model, at)) = model(heating, Some(thermometer)).zip(thermometer.thermometry()) else {
        return Vec::new();
    };
    let nominal = model.nominal();
    let second = second_order(nominal);
    let plant = Process::from(second);
    let critical = ultimate(&plant);
    let by_relay = relay_test(nominal);
    let rules = [
        (
            "Skogestad, PI, detuned for worst case and heat-up monitoring",
            "skogestad-2003",
            Some(proposed),
        ),
        (
            "Skogestad, PI",
            "skogestad-2003",
            Some(simc_pi(nominal, nominal.delay)),
        ),
        (
            "Skogestad, PID",
            "skogestad-2003",
            Some(simc_pid(second, second.delay)),
        ),
        (
            "Åström and Hägglund, PI",
            "astrom-hagglund-2006",
            amigo(nominal, Terms::Pi),
        ),
        (
            "Åström and Hägglund, PID",
            "astrom-hagglund-2006",
            amigo(nominal, Terms::Pid),
        ),
        (
            "Ziegler and Nichols, reaction curve, PID",
            "ziegler-nichols-1942",
            Some(ziegler_nichols_reaction(nominal, Terms::Pid)),
        ),
        (
            "Ziegler and Nichols, ultimate gain, PID",
            "ziegler-nichols-1942",
            critical.map(|critical| ziegler_nichols_ultimate(critical, Terms::Pid)),
        ),
        (
            "Relay test, then Ziegler and Nichols, PID",
            "astrom-hagglund-1984",
            by_relay.map(|critical| ziegler_nichols_ultimate(critical, Terms::Pid)),
        ),
        (
            "Tyreus and Luyben, PID",
            "tyreus-luyben-1992",
            critical.and_then(|critical| tyreus_luyben(critical, Terms::Pid)),
        ),
    ];
    let input = Input::of(heating, thermometer, at);
    rules
        .into_iter()
        .filter_map(|(rule, source, pid)| predicted(rule, source, pid?, (&model, &plant), &input))
        .collect()
}

/// What a test by switching between nothing and full power would take for the ultimate gain and period of a part.
fn relay_test(model: FirstOrder) -> Option<Ultimate> {
    let (half, none) = (si::ratio(0.5), si::kelvin(0.0));
    let (swing, period) = relay_cycle(model, half, none).ok()?;
    let gain = relay_gain(half, swing, none).ok()?;
    Some(Ultimate { gain, period })
}

/// What the input and the controller add to the process.
struct Input {
    wanted: TemperatureInterval,
    resolution: TemperatureInterval,
    noise: TemperatureInterval,
    sample: Time,
    pulse: Time,
}

impl Input {
    fn of(heating: &Heating<'_>, pair: &Pair<'_>, at: &Thermometry<'_>) -> Self {
        let limits = pair.limits();
        let goal = heating.working().nominal();
        let step = at.kelvin_per_step(at.input, goal).nominal();
        let volts = at
            .input
            .noise
            .map_or(limits.thermometer_converter_noise.value, |noise| noise.value);
        let one = thermometry::step(at.input) * at.input.amplification.nominal().base();
        Self {
            wanted: TemperatureInterval::from_base(goal.base() - heating.room.nominal().base()),
            resolution: step,
            noise: sensing::noise_in_kelvin(step, volts.nominal(), one),
            sample: limits.control_sample_time.value.nominal(),
            pulse: limits.control_pulse_period.value.nominal(),
        }
    }
}

fn predicted(
    rule: &'static str,
    source: &'static str,
    pid: Pid,
    (model, plant): (&Model, &Process),
    input: &Input,
) -> Option<Prediction> {
    let filter = pid.derivative / DERIVATIVE_FILTER;
    let controller = Controller::Ideal { pid, filter };
    let calm: Margins = margins(plant, controller);
    let lively = margins(&model.liveliest().into(), controller);
    let stable = lively.gain_margin.base() > 1.0;
    let course = |part: FirstOrder| course(pid, filter, part, input);
    let nominal = course(model.nominal())?;
    let worst = [model.liveliest(), model.laziest()]
        .into_iter()
        .try_fold(nominal, |worst, corner| Some(worst.worse(course(corner)?)))?;
    Some(Prediction {
        rule,
        source,
        gain: pid.gain,
        integral: pid.integral,
        derivative: pid.derivative,
        sensitivity_peak: calm.sensitivity_peak.base(),
        sensitivity_peak_worst: if stable {
            lively.sensitivity_peak.base()
        } else {
            f64::INFINITY
        },
        gain_margin_worst: lively.gain_margin.base(),
        nominal,
        worst,
    })
}

/// One heat-up with its pulses, steps and noise.
fn course(pid: Pid, filter: Time, part: FirstOrder, input: &Input) -> Option<Course> {
    let setup = Simulation {
        process: Process::from(second_order(part)),
        pid,
        sample: input.sample,
        // Six steps to a pulse show its share to a few per cent; the process itself is far slower.
        step: input.pulse / 6.0,
        duration: part.lag * 5.0,
        wanted: input.wanted,
        load: si::ratio(0.0),
        limits: Some(Range::new(si::ratio(0.0), si::ratio(1.0))),
        pulse: Some(input.pulse),
        resolution: input.resolution,
        noise: input.noise,
        seed: 1,
        derivative_filter: filter,
    };
    let record = simulate(&setup).ok()?;
    Some(Course {
        overshoot: input.wanted * record.overshoot().base(),
        settled: record.settled(si::kelvin(1.0)),
        swing: record.swing(si::ratio(0.2)),
    })
}
