//! A healthy heat-up under its controller: what a watch for a rise must leave alone.

use quantity::si::{TemperatureInterval, ThermodynamicTemperature, Time, kelvin};
use quantity::{Number, Quantity, Value};

use super::heat_up::HeatedPart;
use super::steps::{Above, Steps};
use super::two_bodies::TwoBodies;
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

/// How many whole steps a power that was asked for waits. The half step by which a held power comes late on average makes up the dead time.
const IN_DEAD_TIME: usize = 10;
/// Every how many steps a reading is kept.
const KEPT: usize = 2;
/// Of a part that rises by less, in kelvins, it is said that it stands still.
const STILL: f64 = 0.05;
/// For how many dead times a heat-up is followed after it arrived.
const AFTER: usize = 12;
/// The longest course that is followed.
const STEPS: usize = 20_000;

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
    /// When it does, and how far it has risen by then.
    arrival: (Time, f64),
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
    steps: Steps,
    step: Time,
    /// After each step, in kelvins above the air.
    states: Vec<Above>,
}

impl FullPower {
    /// The part before its heater is switched on.
    ///
    /// # Errors
    /// [`OutOfRange`] where the dead time or a capacity is not positive, or no heat can leave.
    pub fn of(part: HeatedPart, dead_time: Time) -> Result<Self, OutOfRange> {
        let dead_time = OutOfRange::check_positive("dead time", dead_time)?;
        let step = dead_time / (IN_DEAD_TIME as f64 + 0.5);
        let steps = Steps::of(&part, step)?;
        Ok(Self {
            steps,
            step,
            states: vec![steps.begin(0.0, 0.0); IN_DEAD_TIME + 1],
        })
    }

    /// Up to which step, at a reading, the part stays below `above` and goes on to rise; none where the start already stands still.
    fn rises_below(&mut self, above: f64, patience: usize) -> usize {
        let apart = patience * KEPT;
        let mut far = 2 * apart;
        while far < STEPS && self.after(far).heated < above && self.rises(far, apart) {
            far *= 2;
        }
        let below = self.states.partition_point(|state| state.heated < above);
        let last = (below.min(STEPS) / KEPT).saturating_sub(1) * KEPT;
        // At full power the rise becomes slower and slower, once it began.
        let rises = self.rises(apart, apart) && self.rises(last, apart);
        if rises { last } else { 0 }
    }

    /// Whether it rose within some steps before one; what has had no time for it did.
    fn rises(&self, at: usize, apart: usize) -> bool {
        let state = |at: usize| self.states.get(at).map_or(f64::INFINITY, |state| state.heated);
        at < apart || state(at) - state(at - apart) >= STILL
    }

    /// After so many steps, of which the first are the dead time.
    fn after(&mut self, steps: usize) -> Above {
        while self.states.len() <= steps {
            let last = self.states[self.states.len() - 1];
            self.states.push(self.steps.next(last, 1.0));
        }
        self.states[steps]
    }
}

impl Approach {
    /// The heat-up. One that shows no rise for as long as `longest` is not followed any further.
    ///
    /// The power is held for about a tenth of the dead time, and a step is exact for it. The controller is computed as often, without loss of
    /// time; where it is computed at times of its own, count half its sample time with the dead time.
    ///
    /// # Errors
    /// [`OutOfRange`] where the dead time or a capacity is not positive, or no heat can leave.
    ///
    /// # Source
    /// A simulation of our own; held against another integration with another step.
    pub fn climb(&self, longest: Time) -> Result<Climb, OutOfRange> {
        let course = FullPower::of(self.part, self.dead_time)?;
        let begun = Begun {
            index: 0,
            state: course.states[0],
            control: Control::new(self, course.step.base()),
            climb: Climb::in_steps_of(course.step),
        };
        Ok(self.follow(&course, begun, longest))
    }

    /// As [`Self::climb`], beside other heat-ups of the same part with the same dead time, by their common course at full power.
    #[must_use]
    pub fn climb_from(&self, full: &mut FullPower, longest: Time) -> Climb {
        let mut control = Control::new(self, full.step.base());
        let mut climb = Climb::in_steps_of(full.step);
        let (end, patience) = (control.setpoint - self.near.base(), climb.count(longest).max(1));
        let mut index = full.rises_below(control.asks_for_all_below().min(end), patience);
        let readings = full.states.iter().step_by(KEPT).map(|state| state.heated);
        climb.readings.extend(readings.take(index.div_ceil(KEPT)));
        if index > 0 {
            control.last = full.states[index - 1].heated;
        }
        while index < STEPS {
            let reading = full.after(index).heated;
            if reading >= end || !control.asks_for_all(reading) {
                break;
            }
            if index.is_multiple_of(KEPT) && climb.stands_still(reading, patience) {
                return climb;
            }
            index += 1;
        }
        let state = full.after(index);
        let begun = Begun {
            index,
            state,
            control,
            climb,
        };
        self.follow(full, begun, longest)
    }

    /// The rest of a heat-up that went at full power so far.
    fn follow(&self, course: &FullPower, begun: Begun, longest: Time) -> Climb {
        let step = course.step;
        let Begun {
            mut index,
            mut state,
            mut control,
            mut climb,
        } = begun;
        let (setpoint, end) = (control.setpoint, control.setpoint - self.near.base());
        let patience = climb.count(longest).max(1);
        let mut under_way = UnderWay::at_full_power(index);
        while state.heated < end {
            if index >= STEPS || index.is_multiple_of(KEPT) && climb.stands_still(state.heated, patience) {
                return climb;
            }
            let share = under_way.exchange(control.output(state.heated));
            state = course.steps.next(state, share);
            index += 1;
        }
        climb.arrives = true;
        // Between the last two steps.
        let over = (state.heated - end) / (state.heated - state.before);
        let late = if over.is_finite() {
            over.clamp(0.0, 1.0)
        } else {
            0.0
        };
        climb.arrival = (step * (index as f64 - late), end);
        let (mut highest, mut fallen) = (0.0_f64, 0);
        for after in 0..STEPS - index.min(STEPS) {
            highest = highest.max(state.heated - setpoint);
            if state.heated < end {
                fallen = after;
            } else if after > AFTER * IN_DEAD_TIME {
                break;
            }
            let share = under_way.exchange(control.output(state.heated));
            state = course.steps.next(state, share);
        }
        climb.overshoot = kelvin(highest);
        climb.falls_back = step * fallen as f64;
        climb
    }

    /// In how short a time it can rise by so much just before it comes near its setpoint, whatever its controller does; without end where full
    /// power does not bring it there.
    ///
    /// A lower bound, without a simulation: the heater at the power it has at the lower end, the second body as warm as it can be by then. The
    /// readings of a [`Climb`] end up to one reading before the arrival, so that the lower end lies lower by what one reading can rise.
    ///
    /// # Source
    /// Own derivation from the balance of the heated body; held against simulations.
    #[must_use]
    pub fn soonest(&self, rise: TemperatureInterval) -> Time {
        let TwoBodies {
            heated,
            other,
            coupling,
        } = self.part.bodies;
        let air = self.part.air.base();
        let end = self.setpoint.base() - self.near.base() - air;
        let (capacity, coupling) = (heated.capacity.base(), coupling.base());
        let passes = coupling + other.loss.base();
        let warmest = if passes > 0.0 {
            coupling / passes * end
        } else {
            0.0
        };
        let rate = |above: f64| {
            let at = ThermodynamicTemperature::from_base(air + above);
            let power = self.part.heater.power(self.part.voltage, at).base();
            (power - heated.loss.base() * above - coupling * (above - warmest)) / capacity
        };
        let one_reading = rate(0.0) * self.dead_time.base() * KEPT as f64 / IN_DEAD_TIME as f64;
        if rate(end) > 0.0 {
            Time::from_base(rise.base() / rate((end - rise.base() - one_reading).max(0.0)))
        } else {
            Time::from_base(f64::INFINITY)
        }
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

/// A heat-up at full power so far.
struct Begun {
    index: usize,
    state: Above,
    control: Control,
    climb: Climb,
}

impl Climb {
    fn in_steps_of(step: Time) -> Self {
        Self {
            step: step * KEPT as f64,
            readings: Vec::with_capacity(512),
            arrives: false,
            arrival: (Time::from_base(0.0), 0.0),
            overshoot: kelvin(0.0),
            falls_back: Time::from_base(0.0),
        }
    }

    /// Takes a reading; whether nothing rises any more, for so many readings.
    fn stands_still(&mut self, reading: f64, patience: usize) -> bool {
        self.readings.push(reading);
        let last = self.readings.len() - 1;
        last >= patience && self.readings[last] - self.readings[last - patience] < STILL
    }

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
        // What a window has beyond whole readings lies straight between two of them.
        let beyond = (window / self.step).base() - apart as f64;
        let later = self.readings.get(apart..).unwrap_or_default();
        let ends = later
            .iter()
            .zip(later.iter().skip(1))
            .map(|(end, next)| end + (next - end) * beyond);
        let rises = self.readings.iter().zip(ends).map(|(before, end)| end - before);
        let (at, risen) = self.arrival;
        let last = risen - self.reading(at - window);
        let least = rises.fold(last, f64::min);
        kelvin(least.max(0.0))
    }

    /// How far it has risen by a time, straight between readings; nothing before it begins.
    fn reading(&self, time: Time) -> f64 {
        if time.base() <= 0.0 {
            return 0.0;
        }
        let (before, over) = (self.count(time), (time / self.step).base());
        let at = |index: usize| self.readings.get(index).copied().unwrap_or(self.arrival.1);
        at(before) + (at(before + 1) - at(before)) * (over - before as f64)
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

/// The shares of full power that were asked for within the last dead time.
struct UnderWay {
    shares: [f64; IN_DEAD_TIME],
    next: usize,
}

impl UnderWay {
    /// After so many steps, at each of which all was asked for.
    fn at_full_power(steps: usize) -> Self {
        let mut shares = [0.0; IN_DEAD_TIME];
        for before in steps.saturating_sub(IN_DEAD_TIME)..steps {
            shares[before % IN_DEAD_TIME] = 1.0;
        }
        Self {
            shares,
            next: steps % IN_DEAD_TIME,
        }
    }

    /// Takes what is asked for now, and gives what was asked for a dead time ago.
    fn exchange(&mut self, share: f64) -> f64 {
        let arrives = core::mem::replace(&mut self.shares[self.next], share);
        self.next += 1;
        if self.next == IN_DEAD_TIME {
            self.next = 0;
        }
        arrives
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
    /// In kelvins above the air, as the readings.
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
            setpoint: approach.setpoint.base() - approach.part.air.base(),
            integral: 0.0,
            slope: 0.0,
            last: 0.0,
        }
    }

    /// Up to such a reading it asks for more than full power from the start on; the lowest where its derivative has a say.
    fn asks_for_all_below(&self) -> f64 {
        if self.derives == 0.0 {
            // A hundredth less, so that rounding has no say.
            self.setpoint - 1.01 / self.gain
        } else {
            f64::NEG_INFINITY
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
        // By the mean of the step.
        let added = self.integrates * (error + raw / 2.0);
        let mut sum = self.gain * error + self.integral + added;
        if self.derives != 0.0 {
            self.slope = raw + (self.slope - raw) * self.filter;
            sum -= self.derives * self.slope;
        }
        let held = sum.clamp(0.0, 1.0);
        if sum == held || (sum > held) != (added > 0.0) {
            self.integral += added;
        }
        held
    }
}
