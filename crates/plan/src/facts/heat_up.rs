//! The supply while everything heats up from cold: power over time, and how long it lies above what the supply likes for long.

use model::Swap;
use model::machine::DeviceId;
use physics::heat::{HeatedPart, State as Temperatures, Stepper};
use physics::{Working, electrics, named, work, work_many};
use quantity::si::{Power, ThermodynamicTemperature, Time};
use quantity::{Number, Value, si};

use crate::facts::budget::{Drawn, Line, State, inputs, sum};
use crate::facts::heating::{Corner, Heating};
use crate::facts::of_pair::PairFacts;
use crate::facts::of_whole::WholeFacts;

/// The step of the simulation: the slowest track hardly changes its power within one.
const STEP_S: f64 = 1.0;
/// The longest heat-up that is followed.
pub const FOLLOWED_S: f64 = 7200.0;

/// What the supply may give in its air.
///
/// The air is that of the case, or the room where the machine's file states none. `None` where there is no supply.
#[must_use]
pub fn rating(swap: &Swap) -> Option<Value<Power>> {
    let (_, supply) = swap.machine.supplies().next()?;
    let (rated, limits) = (supply.power.value, swap.catalogue.limits());
    let (slope, from) = (limits.supply_derating.value, limits.supply_derating_from.value);
    let air = air(swap);
    Some(Value::corners(|end| {
        electrics::derated_power(
            rated.at(end),
            slope.at(end.other()),
            air.at(end.other()),
            from.at(end),
        )
    }))
}

fn air(swap: &Swap) -> Value<ThermodynamicTemperature> {
    let stated = swap.machine.case.air;
    stated.map_or(swap.ambient.temperature.value, |air| air.value)
}

/// How [`rating`] comes about.
#[must_use]
pub fn rating_working(swap: &Swap) -> Option<Working> {
    let (_, supply) = swap.machine.supplies().next()?;
    let limits = swap.catalogue.limits();
    let inputs = (
        named("Pᵣ", "rating of the supply", supply.power.value),
        named(
            "k",
            "share of it that is lost with each kelvin above ϑ₀",
            limits.supply_derating.value,
        ),
        named("ϑ", "air around the supply", air(swap)),
        named(
            "ϑ₀",
            "air from which it gives less",
            limits.supply_derating_from.value,
        ),
    );
    let worked = work(
        &electrics::DERATED_POWER,
        "P",
        inputs,
        |(rated, slope, air, from)| electrics::derated_power(rated, slope, air, from),
    );
    Some(worked.working)
}

/// How the power of all lines together comes about, and then [`rating`].
pub(crate) fn against_rating(
    swap: &Swap,
    lines: &[Line<'_, Power>],
) -> impl Iterator<Item = Working> + use<> {
    let drawn = work_many(
        &electrics::POWER_SUM,
        "P",
        inputs("Pₙ", lines),
        electrics::power_sum,
    );
    [drawn.working].into_iter().chain(rating_working(swap))
}

/// One moment of a course.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Since everything was switched on.
    pub time: Time,
    /// What the supply gives, averaged over the pulses of what holds its goal.
    pub power: Power,
}

/// The power of the supply over one heat-up.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// From the start until all heaters are at their goal, and a tenth of that longer.
    pub moments: Vec<Moment>,
    /// When the last heater reaches its goal; `None` where one does not within two hours.
    pub done: Option<Time>,
}

impl Course {
    /// The most that is taken at any moment.
    #[must_use]
    pub fn peak(&self) -> Power {
        let powers = self.moments.iter().map(|moment| moment.power);
        powers.fold(Power::from_base(0.0), Number::larger)
    }

    /// How long the power lies above a level, all times together.
    #[must_use]
    pub fn above(&self, level: Power) -> Time {
        let steps = self.moments.windows(2).filter(|pair| pair[0].power > level);
        steps.fold(Time::from_base(0.0), |sum, pair| {
            sum + (pair[1].time - pair[0].time)
        })
    }

    /// Whether it ends above a level: then it stays there, for all are at their goal.
    #[must_use]
    pub fn stays_above(&self, level: Power) -> bool {
        self.moments.last().is_some_and(|last| last.power > level)
    }
}

/// A heater with its corners.
struct Heated<'a> {
    heating: Heating<'a>,
    /// The most that it takes when cold.
    cold: Power,
}

/// All that the supply feeds, split into heaters whose body is known and the rest.
pub struct HeatUp<'a> {
    heaters: Vec<Heated<'a>>,
    /// All that is no heater: motors off at the least, holding still at the most.
    rest: Value<Power>,
    cold_start: ThermodynamicTemperature,
    /// Heaters of which the machine's file tells too little.
    pub unknown: Vec<DeviceId>,
}

/// What of the tolerances of a heater counts: its power, and how slowly it gets warm.
type Ends = (Corner, Corner);

const WORST: Ends = (Corner::Fastest, Corner::Slowest);
const NOMINAL: Ends = (Corner::Nominal, Corner::Nominal);

impl<'a> HeatUp<'a> {
    /// What an assignment takes.
    #[must_use]
    pub fn of(facts: &WholeFacts<'a>) -> Self {
        let lines = facts.budget().supply(State::HeatUp);
        let mut unknown = Vec::new();
        let mut heaters = Vec::new();
        let mut rest: Vec<Line<'a, Power>> = Vec::new();
        for line in lines {
            let Drawn::Heater(pair, _) = line.what else {
                rest.push(*line);
                continue;
            };
            let heating = facts.pair(pair.id).and_then(PairFacts::heating);
            let heating = heating.filter(|heating| heating.loss.is_some() && heating.capacity.is_some());
            match heating {
                Some(heating) => heaters.push(Heated {
                    heating: heating.clone(),
                    cold: line.amount.high(),
                }),
                None => {
                    unknown.push(pair.id);
                    rest.push(*line);
                }
            }
        }
        // The strongest first: it takes its turn first.
        heaters.sort_by(|one, other| other.cold.base().total_cmp(&one.cold.base()));
        Self {
            heaters,
            rest: sum(&rest),
            cold_start: facts.limits().ambient_cold_start.value.low(),
            unknown,
        }
    }

    /// The names of the heaters, the strongest first.
    #[must_use]
    pub fn names(&self) -> Vec<String> {
        let heaters = self.heaters.iter();
        heaters.map(|own| own.heating.name()).collect()
    }

    /// All heaters at once with nominal figures.
    #[must_use]
    pub fn nominal(&self) -> Course {
        self.run(&vec![NOMINAL; self.heaters.len()], self.rest.nominal(), false)
    }

    /// All heaters at once: strongest heaters, most to warm, motors holding still.
    #[must_use]
    pub fn worst(&self) -> Course {
        self.run(&vec![WORST; self.heaters.len()], self.rest.high(), false)
    }

    /// The same, but one heater after the other, the strongest first.
    #[must_use]
    pub fn in_turns(&self) -> Course {
        self.run(&vec![WORST; self.heaters.len()], self.rest.high(), true)
    }

    /// How long the mean power lies above a level: with nominal figures, and the longest over the corners of the heaters. `None` for one that
    /// does not fall below it for good within two hours.
    ///
    /// A weaker heater takes less and takes it longer: each of the heaters counts strong, as named and weak, with all others so.
    #[must_use]
    pub fn above(&self, level: Value<Power>) -> (Option<Time>, Option<Time>) {
        let time = |course: &Course, level| (!course.stays_above(level)).then(|| course.above(level));
        let nominal = time(&self.nominal(), level.nominal());
        let electric = [Corner::Fastest, Corner::Nominal, Corner::Slowest];
        let count = self.heaters.len();
        let mut longest = Some(Time::from_base(0.0));
        for number in 0..electric.len().pow(u32::try_from(count).unwrap_or(0)) {
            let mut left = number;
            let ends: Vec<Ends> = (0..count)
                .map(|_| {
                    let own = electric[left % electric.len()];
                    left /= electric.len();
                    (own, Corner::Slowest)
                })
                .collect();
            let course = self.run(&ends, self.rest.high(), false);
            longest = longest
                .zip(time(&course, level.low()))
                .map(|(one, other)| one.larger(other));
        }
        (nominal, longest)
    }

    fn run(&self, ends: &[Ends], rest: Power, turns: bool) -> Course {
        let heaters = self.heaters.iter().zip(ends);
        let mut parts: Vec<Warming> = heaters
            .filter_map(|(own, ends)| Warming::of(&own.heating, *ends, self.cold_start))
            .collect();
        let mut moments = Vec::new();
        let mut done = None;
        let mut second = 0.0;
        loop {
            let mut power = rest;
            let mut before_warm = true;
            for part in &mut parts {
                power += part.step(before_warm);
                before_warm &= !turns || part.warm;
            }
            moments.push(Moment {
                time: si::second(second),
                power,
            });
            if done.is_none() && parts.iter().all(|part| part.warm) {
                done = Some(si::second(second));
            }
            let end = done.map_or(FOLLOWED_S, |done| done.base() * 1.1 + 10.0);
            if second >= end.min(FOLLOWED_S) {
                return Course { moments, done };
            }
            second += STEP_S;
        }
    }
}

/// A heated part on its way.
struct Warming {
    part: HeatedPart,
    stepper: Stepper,
    state: Temperatures,
    goal: ThermodynamicTemperature,
    warm: bool,
}

impl Warming {
    fn of(heating: &Heating<'_>, (power, body): Ends, start: ThermodynamicTemperature) -> Option<Self> {
        let part = heating.corner_of(power, body)?;
        Some(Self {
            stepper: part.bodies.stepper(si::second(STEP_S)).ok()?,
            part,
            state: Temperatures::both(start.smaller(part.air)),
            goal: heating.working().nominal(),
            warm: false,
        })
    }

    /// The power at this moment, and one step on. Once warm, what holds it, as far as the heater gives so much.
    fn step(&mut self, on: bool) -> Power {
        let full = self.part.heater.power(self.part.voltage, self.state.heated);
        self.warm |= self.state.heated >= self.goal;
        let power = if !on {
            Power::from_base(0.0)
        } else if self.warm {
            self.part
                .bodies
                .held_power(self.state, self.part.air)
                .smaller(full)
        } else {
            full
        };
        self.state = self.stepper.step(self.state, power, self.part.air);
        if self.warm && power < full {
            // The control holds it, whatever the other body still takes within a step.
            self.state.heated = self.goal;
        }
        power
    }
}
