//! A healthy heat-up under its controller: what a watch for a rise must leave alone.

use quantity::si::{TemperatureInterval, ThermodynamicTemperature, Time, kelvin};
use quantity::{Number, Quantity, Value};

use super::heat_up::HeatedPart;
use super::two_bodies::{State, Stepper};
use crate::OutOfRange;
use crate::control::Pid;
use crate::working::{End, Formula, Input, Working};

/// See [`Climb::least_rise`].
pub static HEALTHY_RISE: Formula = Formula::new(
    "healthy-rise",
    "Least rise within a time of a heat-up under its controller",
    "Δϑ = min(ϑ(t + w) − ϑ(t)) until ϑ = ϑₛ − Δϑₙ, C · dϑ/dt = P · u(t − θ) − G · (ϑ − ϑₐ), u = Kc · (e + ∫e dt / Tᵢ) from 0 to 1, e = ϑₛ − ϑ",
    "loop-simulation",
    "lumped body, stepped",
);
/// See [`Climb::least_rise`].
pub static HEALTHY_RISE_OF_TWO: Formula = Formula::new(
    "healthy-rise-of-two",
    "Least rise within a time of a heat-up under its controller, beside a second body",
    "Δϑ = min(ϑ(t + w) − ϑ(t)) until ϑ = ϑₛ − Δϑₙ, C · dϑ/dt = P · u(t − θ) − G · (ϑ − ϑₐ) − K · (ϑ − ϑ₂), C₂ · dϑ₂/dt = K · (ϑ − ϑ₂) − G₂ · (ϑ₂ − ϑₐ), u = Kc · (e + ∫e dt / Tᵢ) from 0 to 1, e = ϑₛ − ϑ",
    "loop-simulation",
    "lumped bodies, stepped",
);

/// Into how many steps a dead time is cut.
const IN_DEAD_TIME: usize = 20;
/// Every how many steps a reading is kept.
const KEPT: usize = 4;
/// For how many dead times a heat-up is followed after it arrived.
const AFTER: usize = 12;
/// The longest course that is followed.
const STEPS: usize = 40_000;

/// A heated part under its controller, on its way from the air around it to a setpoint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Approach {
    /// The part at full power.
    pub part: HeatedPart,
    /// From a change of power to the first change of the reading; > 0 s.
    pub dead_time: Time,
    /// The setpoint.
    pub setpoint: ThermodynamicTemperature,
    /// So far below its setpoint a heat-up is no longer watched.
    pub near: TemperatureInterval,
    /// The controller, its output held between nothing and full power. Its integral waits while the output is held.
    pub pid: Pid,
}

/// The readings of one heat-up until it is no longer watched.
#[derive(Clone, Debug, PartialEq)]
pub struct Climb {
    /// From one reading to the next.
    pub step: Time,
    /// The readings, in kelvins above the first.
    pub readings: Vec<f64>,
    /// Whether it comes as near to its setpoint as a heat-up is watched.
    pub arrives: bool,
    /// How far the reading then rises above the setpoint.
    pub overshoot: TemperatureInterval,
    /// For how long it falls back after it arrived, to where a heat-up would still be watched. A machine beside this one that just misses
    /// its arrival waits that long.
    pub falls_back: Time,
}

/// A part at full power from the air on, as far as it was asked for: what all its heat-ups with one dead time share until their controllers
/// take power off.
#[derive(Clone, Debug)]
pub struct FullPower {
    part: HeatedPart,
    step: Time,
    stepper: Stepper,
    states: Vec<State>,
}

impl FullPower {
    /// The part before its heater is switched on.
    ///
    /// # Errors
    /// [`OutOfRange`] where the dead time or a capacity is not positive, or no heat can leave.
    pub fn of(part: HeatedPart, dead_time: Time) -> Result<Self, OutOfRange> {
        let dead_time = OutOfRange::check_positive("dead time", dead_time)?;
        let step = dead_time / IN_DEAD_TIME as f64;
        Ok(Self {
            step,
            stepper: part.bodies.stepper(step)?,
            states: vec![State::both(part.air)],
            part,
        })
    }

    /// After so many steps, of which the first are the dead time.
    fn after(&mut self, steps: usize) -> State {
        while self.states.len() <= steps {
            let last = self.states.len() - 1;
            let share = if last < IN_DEAD_TIME { 0.0 } else { 1.0 };
            self.states.push(self.next(self.states[last], share));
        }
        self.states[steps]
    }

    /// One step later at a share of full power.
    fn next(&self, state: State, share: f64) -> State {
        let full = self.part.heater.power(self.part.voltage, state.heated);
        self.stepper.step(state, full * share, self.part.air)
    }
}

impl Approach {
    /// The heat-up. One that shows no rise for as long as `longest` is not followed any further.
    ///
    /// The power is held for a twentieth of the dead time, and a step is exact for it. The controller is computed as often; where it is
    /// computed less often, count half its sample time with the dead time.
    ///
    /// # Errors
    /// [`OutOfRange`] where the dead time or a capacity is not positive, or no heat can leave.
    ///
    /// # Source
    /// A simulation of our own; held against another integration with another step.
    pub fn climb(&self, longest: Time) -> Result<Climb, OutOfRange> {
        Ok(self.climb_from(&mut FullPower::of(self.part, self.dead_time)?, longest))
    }

    /// As [`Self::climb`], beside other heat-ups of the same part with the same dead time, by their common course at full power.
    #[must_use]
    pub fn climb_from(&self, full: &mut FullPower, longest: Time) -> Climb {
        let step = full.step;
        let mut control = Control::new(self, step.base());
        let (start, end) = (self.part.air.base(), self.setpoint.base() - self.near.base());
        let mut climb = Climb {
            step: step * KEPT as f64,
            readings: Vec::with_capacity(512),
            arrives: false,
            overshoot: kelvin(0.0),
            falls_back: Time::from_base(0.0),
        };
        let patience = climb.count(longest).max(1);
        // Whether nothing rises any more.
        let keep = |climb: &mut Climb, reading: f64| {
            climb.readings.push(reading - start);
            let last = climb.readings.len() - 1;
            last >= patience && climb.readings[last] - climb.readings[last - patience] < 0.05
        };
        let mut first = 0;
        while first < STEPS {
            let reading = full.after(first).heated.base();
            if reading >= end || !control.asks_for_all(reading) {
                break;
            }
            if first % KEPT == 0 && keep(&mut climb, reading) {
                return climb;
            }
            first += 1;
        }
        let mut state = full.after(first);
        let mut under_way = [0.0; IN_DEAD_TIME];
        for before in first.saturating_sub(IN_DEAD_TIME)..first {
            under_way[before % IN_DEAD_TIME] = 1.0;
        }
        let mut arrived = None;
        for index in first..STEPS {
            let reading = state.heated.base();
            if let Some(at) = arrived {
                climb.overshoot = climb.overshoot.larger(kelvin(reading - self.setpoint.base()));
                if reading < end {
                    climb.falls_back = step * (index - at) as f64;
                } else if index - at > AFTER * IN_DEAD_TIME {
                    break;
                }
            } else if reading >= end {
                climb.arrives = true;
                arrived = Some(index);
            } else if index % KEPT == 0 && keep(&mut climb, reading) {
                break;
            }
            let share = core::mem::replace(&mut under_way[index % IN_DEAD_TIME], control.output(reading));
            state = full.next(state, share);
        }
        climb
    }

    /// How the least rise of its heat-up within a time comes about.
    #[must_use]
    pub fn working(&self, window: Time, rise: TemperatureInterval) -> Working {
        let bodies = &self.part.bodies;
        let power = self.part.heater.power(self.part.voltage, self.setpoint);
        let result = Value::exact(rise).into();
        let mut inputs = Vec::new();
        let mut put = |symbol, what: &'static str, value| {
            inputs.push(Input {
                symbol,
                what: what.into(),
                value,
                lowest: End::Either,
                highest: End::Either,
                swing: result,
            });
        };
        fn exact<Q: Quantity>(quantity: Q) -> quantity::AnyValue {
            Value::exact(quantity).into()
        }
        put("w", "rise time window", exact(window));
        put("ϑₛ", "setpoint", exact(self.setpoint));
        put("Δϑₙ", "so far below it the monitoring ends", exact(self.near));
        put("ϑₐ", "ambient temperature", exact(self.part.air));
        put("P", "power of the heater at the setpoint", exact(power));
        put("C", "heat capacity", exact(bodies.heated.capacity));
        put("G", "thermal conductance to ambient", exact(bodies.heated.loss));
        put(
            "θ",
            "dead time, with half a sample time and half a pulse",
            exact(self.dead_time),
        );
        put("Kc", "proportional gain", exact(self.pid.gain));
        let integral = self.pid.integral.unwrap_or(Time::from_base(f64::INFINITY));
        put("Tᵢ", "integral time", exact(integral));
        let single = bodies.coupling.base() == 0.0;
        if !single {
            put(
                "K",
                "thermal conductance to the second body",
                exact(bodies.coupling),
            );
            put(
                "C₂",
                "heat capacity of the second body",
                exact(bodies.other.capacity),
            );
            put(
                "G₂",
                "its thermal conductance to ambient",
                exact(bodies.other.loss),
            );
        }
        Working {
            formula: if single {
                &HEALTHY_RISE
            } else {
                &HEALTHY_RISE_OF_TWO
            },
            inputs,
            symbol: "Δϑ",
            result,
        }
    }
}

impl Climb {
    /// The least rise within a time over all moments of the heat-up; nothing where it never comes near its setpoint.
    ///
    /// A time that is longer than the whole heat-up sees all of its rise. Where the reading falls back after it arrived, a shorter time sees
    /// nothing: a machine a little beside this one does not arrive before it falls.
    #[must_use]
    pub fn least_rise(&self, window: Time) -> TemperatureInterval {
        if !self.arrives || window < self.falls_back {
            return kelvin(0.0);
        }
        let apart = self.count(window);
        let pairs = self.readings.iter().zip(self.readings.iter().skip(apart));
        let least = pairs.map(|(before, after)| after - before).reduce(f64::min);
        kelvin(
            least
                .unwrap_or_else(|| self.readings.last().copied().unwrap_or(0.0))
                .max(0.0),
        )
    }

    /// How many whole readings lie in a time.
    fn count(&self, window: Time) -> usize {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a time is not negative, and what is too long saturates"
        )]
        let count = (window / self.step).base().floor() as usize;
        count
    }
}

/// The controller with its memory.
struct Control {
    gain: f64,
    /// What an error of one kelvin adds to the integral in a step.
    integrates: f64,
    /// Output for a slope of one kelvin in a step.
    derives: f64,
    /// What one step leaves of the filtered slope.
    filter: f64,
    setpoint: f64,
    integral: f64,
    slope: f64,
    last: f64,
}

impl Control {
    fn new(approach: &Approach, step: f64) -> Self {
        let pid = &approach.pid;
        let (gain, derivative) = (pid.gain.base(), pid.derivative.base());
        Self {
            gain,
            integrates: pid.integral.map_or(0.0, |time| gain * step / time.base()),
            derives: gain * derivative / step,
            // Filtered with a tenth of its time, as in the predictions of the controller.
            filter: if derivative > 0.0 {
                (-10.0 * step / derivative).exp()
            } else {
                0.0
            },
            setpoint: approach.setpoint.base(),
            integral: 0.0,
            slope: 0.0,
            last: approach.part.air.base(),
        }
    }

    /// Whether it asks for more than full power, as it does from the start on; then it only takes note of the reading.
    fn asks_for_all(&mut self, reading: f64) -> bool {
        let before = (self.integral, self.slope, self.last);
        let all = self.output(reading) >= 1.0 && self.integral == before.0;
        if !all {
            (self.integral, self.slope, self.last) = before;
        }
        all
    }

    fn output(&mut self, reading: f64) -> f64 {
        let error = self.setpoint - reading;
        let raw = reading - self.last;
        self.last = reading;
        self.slope = raw + (self.slope - raw) * self.filter;
        let added = self.integrates * error;
        let sum = self.gain * error - self.derives * self.slope + self.integral + added;
        let held = sum.clamp(0.0, 1.0);
        if sum == held || (sum > held) != (added > 0.0) {
            self.integral += added;
        }
        held
    }
}
