//! A healthy heat-up under its controller: what a watch for a rise must leave alone.

use quantity::si::{TemperatureInterval, ThermodynamicTemperature, Time, kelvin};
use quantity::{Number, Quantity, Value};

use super::heat_up::HeatedPart;
use super::steps::{Above, Abreast, Steps, abreast};
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

/// What a healthy heat-up has to show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// The least rise within a time over all moments of it.
    pub rise: TemperatureInterval,
    /// That time.
    pub within: Time,
    /// By how much its reading may rise above its setpoint.
    pub overshoot: TemperatureInterval,
}

impl Demand {
    /// Whether a heat-up shows it.
    #[must_use]
    pub fn met_by(&self, climb: &Climb) -> bool {
        climb.overshoot <= self.overshoot && climb.least_rise(self.within) >= self.rise
    }
}

/// A part at full power from the air on, as far as it was asked for: what all its heat-ups with one dead time share until their controllers
/// take power off.
#[derive(Clone, Debug)]
pub struct FullPower {
    steps: Steps,
    step: Time,
    /// The heated body after each step, in kelvins above the air.
    heated: Vec<f64>,
    /// The other body.
    other: Vec<f64>,
    /// Whether it only rises; where a step is far longer than the part's own time it may swing.
    steady: bool,
    /// Over so many steps it is known to rise up to such a step.
    known_to_rise: (usize, usize),
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
            heated: vec![0.0; IN_DEAD_TIME + 1],
            other: vec![0.0; IN_DEAD_TIME + 1],
            steady: true,
            known_to_rise: (0, 0),
        })
    }

    /// Up to which step the part stays below `above` and goes on to rise; none where it swings.
    fn rises_below(&mut self, above: f64, apart: usize) -> usize {
        if !self.steady {
            return 0;
        }
        let below = self.heated.partition_point(|heated| *heated < above);
        let last = (below.min(STEPS) / KEPT).saturating_sub(1) * KEPT;
        let (over, mut to) = self.known_to_rise;
        if over != apart {
            to = 0;
        }
        while to < last && self.rises(to + KEPT, apart) {
            to += KEPT;
        }
        self.known_to_rise = (apart, to);
        last.min(to)
    }

    /// Whether it rose within some steps before one; what has had no time for it did.
    fn rises(&self, at: usize, apart: usize) -> bool {
        let heated = |at: usize| self.heated.get(at).copied().unwrap_or(f64::INFINITY);
        at < apart || heated(at) - heated(at - apart) >= STILL
    }

    /// After so many steps, of which the first are the dead time.
    fn after(&mut self, steps: usize) -> Above {
        while self.heated.len() <= steps {
            Way::block(&mut [Way::of(self, f64::INFINITY, 1)]);
        }
        self.at(steps)
    }

    /// After so many steps that were gone.
    fn at(&self, steps: usize) -> Above {
        let heated = |back: usize| self.heated[steps.saturating_sub(back)];
        self.steps
            .resumed(self.other[steps], [heated(0), heated(1), heated(2)])
    }
}

/// A course that goes on to where all its heat-ups are at full power.
struct Way<'c> {
    course: &'c mut FullPower,
    /// So far above the air.
    above: f64,
    /// Over so many steps it must rise.
    apart: usize,
}

impl<'c> Way<'c> {
    fn of(course: &'c mut FullPower, above: f64, apart: usize) -> Self {
        Self { course, above, apart }
    }
}

impl Stepped for Way<'_> {
    fn goes_on(&self) -> bool {
        let last = self.course.heated.len() - 1;
        let there = self.course.heated[last] >= self.above;
        !there && last < STEPS && self.course.rises(last, self.apart)
    }

    fn block<const N: usize>(ways: &mut [Self; N]) {
        let mut parts = Abreast::of(ways.each_ref().map(|way| {
            let course = &way.course;
            (&course.steps, course.at(course.heated.len() - 1))
        }));
        for _ in 0..IN_DEAD_TIME {
            parts.advance(&[1.0; N]);
            for (lane, way) in ways.iter_mut().enumerate() {
                let state = parts.state(lane);
                way.course.steady &= state.heated >= state.before;
                way.course.heated.push(state.heated);
                way.course.other.push(state.other);
            }
        }
    }
}

/// What is stepped in blocks as long as a dead time.
trait Stepped: Sized {
    /// Whether there is more of it.
    fn goes_on(&self) -> bool;
    /// The next block of each.
    fn block<const N: usize>(some: &mut [Self; N]);
}

/// Of how many readings the least is sought at a time.
const LANES: usize = 4;

/// How many are stepped side by side, at the most: about as many as keep a processor busy.
const SIDE_BY_SIDE: usize = 4;

/// Steps each to its end, some of them side by side.
fn side_by_side<T: Stepped>(all: impl Iterator<Item = T>) {
    let mut waiting = all.filter(T::goes_on);
    let mut lanes: Vec<T> = Vec::with_capacity(SIDE_BY_SIDE);
    loop {
        lanes.retain(T::goes_on);
        lanes.extend(waiting.by_ref().take(SIDE_BY_SIDE - lanes.len()));
        if lanes.is_empty() {
            return;
        }
        if let Some(lanes) = lanes.first_chunk_mut::<4>() {
            T::block(lanes);
        } else if let Some(lanes) = lanes.first_chunk_mut::<3>() {
            T::block(lanes);
        } else if let Some(lanes) = lanes.first_chunk_mut::<2>() {
            T::block(lanes);
        } else if let Some(lanes) = lanes.first_chunk_mut::<1>() {
            T::block(lanes);
        }
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
        let mut followed = Followed::of(self, &FullPower::of(self.part, self.dead_time)?, longest);
        side_by_side([&mut followed].into_iter());
        Ok(followed.into_climb())
    }

    /// As [`Self::climb`], of several heat-ups, each by the course at full power of its part with its dead time: its place among `courses`.
    ///
    /// They are stepped side by side, so that none waits for the arithmetic of another. One that no longer meets a demand is not followed to its
    /// end, and never arrives.
    ///
    /// # Panics
    /// Where a place is beyond the end of `courses`.
    #[must_use]
    pub fn climbs_from(
        heat_ups: &[(Self, usize)],
        courses: &mut [FullPower],
        longest: Time,
        demand: Option<Demand>,
    ) -> Vec<Climb> {
        let mut above = vec![None::<f64>; courses.len()];
        for (approach, place) in heat_ups {
            let control = Control::new(approach, courses[*place].step.base());
            let until = approach.full_until(&control);
            above[*place] = Some(above[*place].map_or(until, |known| known.max(until)));
        }
        side_by_side(courses.iter_mut().zip(above).filter_map(|(course, above)| {
            let apart = apart(course.step, longest);
            Some(Way::of(course, above?, apart))
        }));
        let begun = heat_ups.iter().map(|(approach, place)| {
            let followed = approach.begun(&mut courses[*place], longest);
            let asked = demand.map(|demand| followed.climb.asked(&demand));
            Followed { asked, ..followed }
        });
        let mut followed: Vec<Followed> = begun.collect();
        side_by_side(followed.iter_mut());
        followed.into_iter().map(Followed::into_climb).collect()
    }

    /// So far above the air it is at full power from the start on, whatever it does later.
    fn full_until(&self, control: &Control) -> f64 {
        control
            .asks_for_all_below()
            .min(control.setpoint[0] - self.near.base())
    }

    /// The heat-up from where its controller takes power off.
    fn begun(&self, full: &mut FullPower, longest: Time) -> Followed {
        let mut begun = Followed::of(self, full, longest);
        let index = full.rises_below(self.full_until(&begun.control), begun.patience * KEPT);
        let readings = full.heated.iter().step_by(KEPT);
        begun.climb.readings.extend(readings.take(index.div_ceil(KEPT)));
        if index > 0 {
            begun.control.last = [full.heated[index - 1]];
        }
        begun.index = index;
        loop {
            begun.state = full.after(begun.index);
            let reading = begun.state.heated;
            let ends = begun.index >= STEPS || reading >= begun.end;
            if ends || !begun.control.asks_for_all(reading) {
                break;
            }
            if begun.stands_still(reading) {
                begun.ended = true;
                break;
            }
            begun.index += 1;
        }
        let whole = |before: usize| f64::from(u8::from(begun.index + before >= IN_DEAD_TIME));
        begun.shares = core::array::from_fn(whole);
        begun
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

/// Over how many steps a part that rises no more is told from one that does.
fn apart(step: Time, longest: Time) -> usize {
    Climb::in_steps_of(step).count(longest).max(1) * KEPT
}

/// A demand in the readings of one heat-up.
#[derive(Clone, Copy)]
struct Asked {
    /// How many whole readings its time has, and what it has beyond.
    window: (usize, f64),
    /// In kelvins.
    rise: f64,
    /// In kelvins.
    overshoot: f64,
}

/// A heat-up as far as it was followed.
struct Followed {
    steps: Steps,
    step: Time,
    index: usize,
    state: Above,
    control: Control,
    /// The shares of full power that were asked for within the last dead time, the first first.
    shares: [f64; IN_DEAD_TIME],
    climb: Climb,
    /// So far above the air it is no longer watched.
    end: f64,
    /// For how many readings it may stand still.
    patience: usize,
    asked: Option<Asked>,
    /// Whether it is followed no further.
    ended: bool,
    /// How many steps it was followed after it arrived.
    after: usize,
    /// At which of them it was last below its end.
    fallen: usize,
    /// How far it rose above its setpoint, in kelvins.
    highest: f64,
}

impl Followed {
    /// At its start.
    fn of(approach: &Approach, course: &FullPower, longest: Time) -> Self {
        let control = Control::new(approach, course.step.base());
        let climb = Climb::in_steps_of(course.step);
        Self {
            steps: course.steps,
            step: course.step,
            index: 0,
            state: course.steps.begin(0.0, 0.0),
            shares: [0.0; IN_DEAD_TIME],
            end: control.setpoint[0] - approach.near.base(),
            patience: climb.count(longest).max(1),
            control,
            climb,
            asked: None,
            ended: false,
            after: 0,
            fallen: 0,
            highest: 0.0,
        }
    }

    /// Takes note of the next reading, by the one before it; whether there is more to follow.
    fn read(&mut self, reading: f64, before: f64) -> bool {
        if !self.climb.arrives {
            if reading < self.end {
                let kept = self.index.is_multiple_of(KEPT);
                if self.index >= STEPS
                    || kept && (self.climb.stands_still(reading, self.patience) || self.rises_too_little())
                {
                    return false;
                }
                self.index += 1;
                return true;
            }
            self.climb.arrives = true;
            // Between the last two steps.
            let over = (reading - self.end) / (reading - before);
            let late = if over.is_finite() {
                over.clamp(0.0, 1.0)
            } else {
                0.0
            };
            self.climb.arrival = (self.step * (self.index as f64 - late), self.end);
        }
        self.highest = self.highest.max(reading - self.control.setpoint[0]);
        if self.asked.is_some_and(|asked| self.highest > asked.overshoot) {
            self.climb.arrives = false;
            return false;
        }
        if reading < self.end {
            self.fallen = self.after;
        } else if self.after > AFTER * IN_DEAD_TIME {
            return false;
        }
        self.after += 1;
        self.after < STEPS.saturating_sub(self.index)
    }

    /// Takes a reading where one is kept; whether it rose no more for too long.
    fn stands_still(&mut self, reading: f64) -> bool {
        self.index.is_multiple_of(KEPT) && self.climb.stands_still(reading, self.patience)
    }

    /// Whether the last whole window has shown less than is demanded.
    fn rises_too_little(&self) -> bool {
        self.asked.is_some_and(|asked| {
            let (apart, beyond) = asked.window;
            let readings = &self.climb.readings;
            let [.., end, next] = readings[..] else {
                return false;
            };
            let before = readings.len().checked_sub(apart + 2).map(|at| readings[at]);
            before.is_some_and(|before| end + (next - end) * beyond - before < asked.rise)
        })
    }

    fn into_climb(mut self) -> Climb {
        self.climb.overshoot = kelvin(self.highest);
        self.climb.falls_back = self.step * self.fallen as f64;
        self.climb
    }
}

impl Stepped for &mut Followed {
    fn goes_on(&self) -> bool {
        !self.ended
    }

    fn block<const N: usize>(some: &mut [Self; N]) {
        let mut parts = Abreast::of(some.each_ref().map(|one| (&one.steps, one.state)));
        let mut controls = Controls::abreast(some.each_ref().map(|one| &one.control));
        let mut shares: [[f64; N]; IN_DEAD_TIME] =
            core::array::from_fn(|step| some.each_ref().map(|one| one.shares[step]));
        let mut readings = [[0.0; N]; IN_DEAD_TIME];
        for (share, reading) in shares.iter_mut().zip(&mut readings) {
            *reading = *parts.heated();
            let asked = controls.output(reading);
            // What was asked for a dead time ago arrives now.
            parts.advance(share);
            *share = asked;
        }
        for (lane, one) in some.iter_mut().enumerate() {
            let mut before = one.state.before;
            for reading in readings {
                let reading = reading[lane];
                if !one.read(reading, before) {
                    one.ended = true;
                    break;
                }
                before = reading;
            }
            one.state = parts.state(lane);
            one.control = controls.one(lane);
            one.shares = shares.map(|share| share[lane]);
        }
    }
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
        let (apart, beyond) = self.window(window);
        let later = self.readings.get(apart..).unwrap_or_default();
        let pairs = later.len().saturating_sub(1);
        let (ends, nexts) = (&later[..pairs], later.get(1..).unwrap_or_default());
        let (at, risen) = self.arrival;
        let last = risen - self.reading(at - window);
        // The least of each lane, since so it becomes vectors.
        let mut least = [last; LANES];
        let rise = |before: f64, end: f64, next: f64| end + (next - end) * beyond - before;
        let befores = self.readings[..pairs].as_chunks::<LANES>();
        let (ends, nexts) = (ends.as_chunks::<LANES>(), nexts.as_chunks::<LANES>());
        for ((before, end), next) in befores.0.iter().zip(ends.0).zip(nexts.0) {
            least = abreast(|lane| {
                let rise = rise(before[lane], end[lane], next[lane]);
                if rise < least[lane] { rise } else { least[lane] }
            });
        }
        let rest = befores.1.iter().zip(ends.1).zip(nexts.1);
        let rest = rest.map(|((before, end), next)| rise(*before, *end, *next));
        let least = least.into_iter().chain(rest).fold(last, f64::min);
        kelvin(least.max(0.0))
    }

    fn asked(&self, demand: &Demand) -> Asked {
        Asked {
            window: self.window(demand.within),
            rise: demand.rise.base(),
            overshoot: demand.overshoot.base(),
        }
    }

    /// How many whole readings a window has, and what it has beyond, which lies straight between two readings.
    fn window(&self, window: Time) -> (usize, f64) {
        let apart = self.count(window);
        (apart, (window / self.step).base() - apart as f64)
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

/// A controller with its memory.
type Control = Controls<1>;

/// Controllers, each with its memory, side by side.
#[derive(Clone, Copy)]
struct Controls<const N: usize> {
    gain: [f64; N],
    /// What an error of one kelvin adds to the integral in a step.
    integrates: [f64; N],
    /// Output for a slope of one kelvin in a step.
    derives: [f64; N],
    /// What one step leaves of the filtered slope.
    filter: [f64; N],
    /// In kelvins above the air, as the readings.
    setpoint: [f64; N],
    integral: [f64; N],
    slope: [f64; N],
    last: [f64; N],
}

impl Control {
    fn new(approach: &Approach, step: f64) -> Self {
        let pid = &approach.pid;
        let (gain, derivative) = (pid.gain.base(), pid.derivative.base());
        Self {
            gain: [gain],
            integrates: [pid.integral.map_or(0.0, |time| gain * step / time.base())],
            derives: [gain * derivative / step],
            // Filtered with a tenth of its time, as in the predictions of the controller.
            filter: [if derivative > 0.0 {
                (-10.0 * step / derivative).exp()
            } else {
                0.0
            }],
            setpoint: [approach.setpoint.base() - approach.part.air.base()],
            integral: [0.0],
            slope: [0.0],
            last: [0.0],
        }
    }

    /// Up to such a reading it asks for more than full power from the start on; the lowest where its derivative has a say.
    fn asks_for_all_below(&self) -> f64 {
        if self.derives == [0.0] {
            // A hundredth less, so that rounding has no say.
            self.setpoint[0] - 1.01 / self.gain[0]
        } else {
            f64::NEG_INFINITY
        }
    }

    /// Whether it asks for more than full power, as it does from the start on; then it only takes note of the reading.
    fn asks_for_all(&mut self, reading: f64) -> bool {
        let before = *self;
        let all = self.output(&[reading]) == [1.0] && self.integral == before.integral;
        if !all {
            *self = before;
        }
        all
    }
}

impl<const N: usize> Controls<N> {
    fn abreast(all: [&Control; N]) -> Self {
        Self {
            gain: all.map(|one| one.gain[0]),
            integrates: all.map(|one| one.integrates[0]),
            derives: all.map(|one| one.derives[0]),
            filter: all.map(|one| one.filter[0]),
            setpoint: all.map(|one| one.setpoint[0]),
            integral: all.map(|one| one.integral[0]),
            slope: all.map(|one| one.slope[0]),
            last: all.map(|one| one.last[0]),
        }
    }

    fn one(&self, lane: usize) -> Control {
        Controls {
            gain: [self.gain[lane]],
            integrates: [self.integrates[lane]],
            derives: [self.derives[lane]],
            filter: [self.filter[lane]],
            setpoint: [self.setpoint[lane]],
            integral: [self.integral[lane]],
            slope: [self.slope[lane]],
            last: [self.last[lane]],
        }
    }

    /// The share of full power that each asks for at its reading.
    #[inline]
    fn output(&mut self, readings: &[f64; N]) -> [f64; N] {
        // Quantity by quantity, since so it becomes vectors.
        let error = abreast::<N>(|lane| self.setpoint[lane] - readings[lane]);
        let raw = abreast::<N>(|lane| readings[lane] - self.last[lane]);
        self.last = *readings;
        // By the mean of the step.
        let added = abreast::<N>(|lane| self.integrates[lane] * (error[lane] + 0.5 * raw[lane]));
        self.slope = abreast::<N>(|lane| raw[lane] + (self.slope[lane] - raw[lane]) * self.filter[lane]);
        let sum = abreast::<N>(|lane| {
            let proportional = self.gain[lane] * error[lane];
            proportional + self.integral[lane] + added[lane] - self.derives[lane] * self.slope[lane]
        });
        let least = abreast::<N>(|lane| if sum[lane] < 1.0 { sum[lane] } else { 1.0 });
        let held = abreast::<N>(|lane| if least[lane] > 0.0 { least[lane] } else { 0.0 });
        // It waits while the output is held, unless that leads back.
        let further = abreast::<N>(|lane| (sum[lane] - held[lane]) * added[lane]);
        let taken = abreast::<N>(|lane| if further[lane] > 0.0 { 0.0 } else { added[lane] });
        self.integral = abreast::<N>(|lane| self.integral[lane] + taken[lane]);
        held
    }
}
