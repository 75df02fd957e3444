//! What the protection of a heated part is set to: a rise and a time for the heat-up, a fall and a time for holding.

use std::sync::{Arc, LazyLock, OnceLock};

use catalogue::Limits;
use model::Zone;
use model::machine::{Detail, DeviceId};
use physics::control::Pid;
use physics::heat::{Approach, Climb, Demand, FallWindow, FullPower, Guarded, RiseWindow, typed_in};
use physics::sensing;
use quantity::si::{Ratio, TemperatureInterval, ThermodynamicTemperature, Time};
use quantity::{End, Number, Value, si};

use crate::facts::control::Model;
use crate::facts::heating::Heating;
use crate::facts::of_pair::PairFacts;
use crate::facts::thermometry;

/// The two windows of a heated part.
#[derive(Clone, Debug)]
pub struct Protection {
    /// What went into them.
    pub guarded: Guarded,
    /// What each side of a window shall keep.
    pub margin: Ratio,
    /// The controller under which the healthy part heats up.
    pub pid: Pid,
    /// While it heats up; `None` where no rise of the slowest healthy part stands out.
    pub rise: Option<RiseWindow>,
    /// While it holds its goal.
    pub fall: FallWindow,
    /// The healthy heat-ups, at each corner of the tolerances.
    healthy: Vec<(Approach, Climb)>,
    holds_up_to: OnceLock<HoldsUpTo>,
}

/// The protections of one assignment, by device, as far as they were asked for: whoever derives its facts anew, as settings, steps and pages do,
/// finds them here.
#[derive(Clone, Debug)]
pub struct Protections(Vec<OnceLock<Option<Protection>>>);

impl Protections {
    /// Of so many devices; none is known yet.
    #[must_use]
    pub fn of(devices: usize) -> Self {
        Self(vec![OnceLock::new(); devices])
    }
    /// That of a device.
    pub(crate) fn get(
        &self,
        device: DeviceId,
        design: impl FnOnce() -> Option<Protection>,
    ) -> Option<&Protection> {
        self.0[device.0].get_or_init(design).as_ref()
    }
}

impl Protection {
    /// The windows of a heated part whose thermometer is read at `thermometer`, and the controller under which they hold, designed together;
    /// `None` where its body, or what its weakest part bears, is not known.
    #[must_use]
    pub fn of(heating: &Heating<'_>, thermometer: Option<&PairFacts<'_>>, model: &Model) -> Option<Self> {
        let guarded = guarded(heating, thermometer)?;
        let mut shared = Shared::of(Part::of(heating, &guarded, model));
        let (pid, healthy) = Design::of(&guarded, &mut shared).choose();
        Some(Self::with(heating, guarded, pid, healthy))
    }

    /// The windows of a heated part under a controller that is kept, or was designed before.
    #[must_use]
    pub fn under(
        heating: &Heating<'_>,
        thermometer: Option<&PairFacts<'_>>,
        model: &Model,
        pid: Pid,
    ) -> Option<Self> {
        let guarded = guarded(heating, thermometer)?;
        let healthy = climbs(heating, &guarded, model.delay, pid);
        Some(Self::with(heating, guarded, pid, healthy))
    }

    fn with(heating: &Heating<'_>, guarded: Guarded, pid: Pid, healthy: Vec<(Approach, Climb)>) -> Self {
        let margin = heating.pair.limits().protection_margin.value.high();
        Self {
            guarded,
            margin,
            pid,
            rise: guarded.rise_window(margin, |time| slowest(&healthy, time).1),
            fall: guarded.fall_window(margin),
            healthy,
            holds_up_to: OnceLock::new(),
        }
    }

    /// The healthy heat-up that rises least within the time of a window.
    #[must_use]
    pub fn slowest(&self, window: &RiseWindow) -> Option<&Approach> {
        let (at, _) = slowest(&self.healthy, window.time);
        self.healthy.get(at).map(|(approach, _)| approach)
    }

    /// By how much the reading of the healthy heat-up that overshoots most rises above its setpoint; `None` where no heat-up is known.
    #[must_use]
    pub fn overshoot(&self) -> Option<TemperatureInterval> {
        let overshoots = self.healthy.iter().map(|(_, climb)| climb.overshoot);
        overshoots.reduce(Number::larger)
    }

    /// Whether each healthy heat-up comes so near its setpoint that it is no longer watched.
    #[must_use]
    pub fn arrives(&self) -> bool {
        self.healthy.iter().all(|(_, climb)| climb.arrives)
    }

    /// Whether the rise window keeps its margin on both sides.
    #[must_use]
    pub fn rise_holds(&self) -> bool {
        self.rise
            .is_some_and(|window| window.slipped_margin() >= self.margin)
    }
    /// Whether the thermometer that leaves the least room slips while the part is on its way, not before.
    #[must_use]
    pub fn under_way(&self, window: &RiseWindow) -> bool {
        window.worst.part > self.guarded.air.high()
    }
    /// Whether the fall window keeps its margin on both sides.
    #[must_use]
    pub fn fall_holds(&self) -> bool {
        self.fall.slipped_margin() >= self.margin
    }

    /// A temperature, in steps of 5 K, up to which both windows keep their margins under a controller designed for it; `None` where they do at
    /// none above 40 °C. Of two temperatures the higher, unless only a controller that overshoots, or a longer window, would hold there.
    ///
    /// It is looked for when it is first read, since it takes longer than all else of a plan.
    #[must_use]
    pub fn holds_up_to(&self, heating: &Heating<'_>, model: &Model) -> HoldsUpTo {
        let search = || {
            let part = Part::of(heating, &self.guarded, model);
            let (guarded, margin) = (self.guarded, self.margin);
            HoldsUpTo(Arc::new(LazyLock::new(Box::new(move || {
                highest_held(guarded, margin, part)
            }))))
        };
        self.holds_up_to.get_or_init(search).clone()
    }
}

type Search = Box<dyn FnOnce() -> Option<ThermodynamicTemperature> + Send>;

/// See [`Protection::holds_up_to`].
#[derive(Clone, Debug)]
pub struct HoldsUpTo(Arc<LazyLock<Option<ThermodynamicTemperature>, Search>>);

impl HoldsUpTo {
    /// The temperature.
    #[must_use]
    pub fn temperature(&self) -> Option<ThermodynamicTemperature> {
        **self.0
    }
}

/// Downwards in steps of 50 K to the first that may hold, then by halving: the colder a part, the longer until harm, and the more its heater
/// has to spare. Far below its work the heater is too strong for any controller, so that nothing may hold there again. On the way only the
/// corner that failed last is asked, where a candidate that fails is out already; what is found is asked at all of them.
fn highest_held(guarded: Guarded, margin: Ratio, part: Part) -> Option<ThermodynamicTemperature> {
    let mut shared = Shared::of(part);
    let celsius = |fives: u32| si::celsius(f64::from(fives) * 5.0);
    let highest = (guarded.held.base() - 273.15) / 5.0;
    let mut holds = |fives: u32, asked: Asked| {
        let guarded = Guarded {
            held: celsius(fives),
            ..guarded
        };
        let keeps = |slipped: Ratio| slipped >= margin;
        keeps(guarded.fall_window(margin).slipped_margin()) && {
            let mut design = Design::of(&guarded, &mut shared);
            let chosen = design.choose_in_time(asked);
            match asked {
                Asked::WorstCorner => chosen.is_some(),
                Asked::EveryCorner => chosen.is_some_and(|chosen| {
                    let healthy = design.healthy(chosen);
                    let rise = guarded.rise_window(margin, |time| slowest(&healthy, time).1);
                    rise.is_some_and(|rise| keeps(rise.slipped_margin()))
                }),
            }
        }
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "some hundreds of degrees at the most"
    )]
    let lost = highest.clamp(8.0, 1e3).ceil() as u32;
    let kept = highest_below(lost, |fives| holds(fives, Asked::WorstCorner))?;
    if holds(kept, Asked::EveryCorner) {
        return Some(celsius(kept));
    }
    // Not one corner is the worst everywhere.
    highest_below(kept, |fives| holds(fives, Asked::EveryCorner)).map(celsius)
}

/// The highest number below one that is lost which may be kept: downwards by tens to the first, then by halving; none below 8.
fn highest_below(mut lost: u32, mut keeps: impl FnMut(u32) -> bool) -> Option<u32> {
    let mut kept = loop {
        let next = lost.checked_sub(10).filter(|next| *next >= 8)?;
        if keeps(next) {
            break next;
        }
        lost = next;
    };
    while lost - kept > 1 {
        let middle = u32::midpoint(kept, lost);
        if keeps(middle) {
            kept = middle;
        } else {
            lost = middle;
        }
    }
    Some(kept)
}

/// What a window has to tell apart at a heated part; `None` where its body, or what its weakest part bears, is not known.
fn guarded(heating: &Heating<'_>, thermometer: Option<&PairFacts<'_>>) -> Option<Guarded> {
    let limits = heating.pair.limits();
    let (power, loss, capacity) = heating.lumped()?;
    Some(Guarded {
        power,
        loss,
        capacity,
        air: heating.room,
        held: heating.working().high(),
        limit: heating.weakest()?.low(),
        slipped_share: limits.protection_slipped_share.value.high(),
        least_rise: least_rise(thermometer),
        in_air: limits.thermometer_in_air.value.high(),
        healthy_fall: limits.protection_healthy_fall.value.high(),
        shortest: limits
            .protection_shortest
            .value
            .high()
            .larger(heating.dead_time().high()),
        longest: limits.protection_longest.value.low(),
        dead_time: heating.dead_time().high(),
    })
}

/// A heated part as a design needs it, whatever it is heated to.
struct Part {
    model: Model,
    /// The first controller to be tried.
    calmed: Pid,
    /// The gain margin that each keeps.
    gain_margin: Ratio,
    /// What must be left of a rise, so that it stands out.
    owed: TemperatureInterval,
    /// What each side of a window shall keep.
    margin: Ratio,
    /// By how much a heat-up may overshoot.
    overshoot: TemperatureInterval,
    /// The part at each corner, for some temperature and controller.
    corners: Vec<Approach>,
}

impl Part {
    fn of(heating: &Heating<'_>, guarded: &Guarded, model: &Model) -> Self {
        let limits = heating.pair.limits();
        let calmed = model.calmed(heating);
        Self {
            calmed,
            gain_margin: limits.control_gain_margin.value.high(),
            owed: owed(heating, guarded),
            margin: limits.protection_margin.value.high(),
            overshoot: limits.control_overshoot.value.low(),
            corners: approaches(heating, model.delay, calmed, guarded.held),
            model: model.clone(),
        }
    }
}

/// What designs for several temperatures of one part share.
struct Shared {
    part: Part,
    /// The controllers that were tried so far.
    tried: Vec<Pid>,
    /// More of them, each worked out when it is asked for.
    more: Box<dyn Iterator<Item = Pid>>,
    /// The course of the part at full power, at each corner; nothing where one of them has none.
    courses: Vec<FullPower>,
    /// The places of the corners, those that a candidate failed at before the others.
    order: Vec<usize>,
}

impl Shared {
    fn of(part: Part) -> Self {
        let mut more = part.model.candidates(part.calmed, part.gain_margin);
        let courses: Result<_, _> = part
            .corners
            .iter()
            .map(|corner| FullPower::of(corner.part, corner.dead_time))
            .collect();
        Self {
            tried: more.next().into_iter().collect(),
            more: Box::new(more),
            courses: courses.unwrap_or_default(),
            order: Vec::new(),
            part,
        }
    }
}

/// At which corners a candidate is asked.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Asked {
    /// That alone at which one failed last: what fails there is out.
    WorstCorner,
    /// All of them.
    EveryCorner,
}

/// A controller and a watch chosen together: the first setting that leaves each healthy heat-up a rise in so short a time that a detached
/// thermometer is noticed before harm; where none does, the one with the shortest time.
struct Design<'s> {
    shared: &'s mut Shared,
    /// The heat-up of each candidate at each corner, as far as it was asked for.
    climbs: Vec<Vec<Option<Climb>>>,
    setpoint: ThermodynamicTemperature,
    /// The corner that no controller helps, whatever becomes of the others.
    lost: Option<usize>,
    /// The one demand that is made, where no other will be.
    only: Option<Demand>,
    /// What must be left of a rise.
    owed: TemperatureInterval,
    overshoot: TemperatureInterval,
    longest: Time,
    times: Vec<Time>,
    /// The longest time that is noticed before harm, with the margin.
    soon: Time,
}

/// How many candidates, or corners, are asked at a time.
const AT_A_TIME: usize = 4;

impl<'s> Design<'s> {
    fn of(guarded: &Guarded, shared: &'s mut Shared) -> Self {
        let Part {
            margin,
            owed,
            overshoot,
            ..
        } = shared.part;
        let setpoint = guarded.held;
        let corners = shared
            .part
            .corners
            .iter()
            .map(|corner| Approach { setpoint, ..*corner });
        let (latest, soonest) = latest(corners, owed);
        if shared.order.is_empty() {
            shared.order = (0..shared.part.corners.len()).collect();
            if latest > 0 {
                shared.order.swap(0, latest);
            }
        }
        // At the latest a slip is noticed after twice the time: a window had just begun.
        let soon = guarded.fall_window(margin).harm_after.base() / (2.0 * margin.base());
        let times = physics::heat::typed_times();
        let times: Vec<Time> = times
            .filter(|time| {
                *time >= guarded.shortest * margin.base() && *time <= guarded.longest && *time >= soonest
            })
            .collect();
        Self {
            climbs: Vec::new(),
            setpoint,
            lost: (times.is_empty() && latest < shared.part.corners.len()).then_some(latest),
            shared,
            only: None,
            owed,
            overshoot,
            longest: guarded.longest,
            times,
            soon: Time::from_base(soon),
        }
    }

    fn choose(mut self) -> (Pid, Vec<(Approach, Climb)>) {
        let later = self.times.iter().copied().filter(|time| *time > self.soon);
        let times: Vec<Time> = self.in_time().into_iter().chain(later).collect();
        let without_end = TemperatureInterval::from_base(f64::INFINITY);
        let found = [self.overshoot, without_end].into_iter().find_map(|overshoot| {
            let mut suited = times.iter();
            suited.find_map(|time| self.first_suited(self.demand(*time, overshoot), Asked::EveryCorner))
        });
        let chosen = found.unwrap_or(0);
        (self.shared.tried[chosen], self.healthy(chosen))
    }

    /// A controller that leaves a rise in so short a time that a slip is noticed before harm, and does not overshoot; `None` where there is none.
    fn choose_in_time(&mut self, asked: Asked) -> Option<usize> {
        let demand = self.demand(self.in_time()?, self.overshoot);
        self.only = Some(demand);
        self.first_suited(demand, asked)
    }

    fn demand(&self, within: Time, overshoot: TemperatureInterval) -> Demand {
        Demand {
            rise: self.owed,
            within,
            overshoot,
        }
    }

    /// The longest time in which a slip is noticed before harm.
    fn in_time(&self) -> Option<Time> {
        let times = self.times.iter().copied();
        times.filter(|time| *time <= self.soon).reduce(Number::larger)
    }

    /// The heat-ups under a candidate, at each corner; where no controller helps one of them, at that alone.
    fn healthy(&mut self, chosen: usize) -> Vec<(Approach, Climb)> {
        let corners = self
            .lost
            .map_or(0..self.shared.part.corners.len(), |lost| lost..lost + 1);
        let all: Vec<(usize, usize)> = corners.map(|corner| (chosen, corner)).collect();
        self.follow(&all);
        let climbs = all.into_iter().filter_map(|(chosen, corner)| {
            let climb = self.climbs[chosen].get_mut(corner)?.take()?;
            Some((self.approach(chosen, corner), climb))
        });
        climbs.collect()
    }

    /// The first candidate that suits.
    fn first_suited(&mut self, demand: Demand, asked: Asked) -> Option<usize> {
        let mut at = 0;
        loop {
            // Mostly the first suits, or none of many.
            let some = if at == 0 { 1 } else { AT_A_TIME };
            while self.shared.tried.len() < at + some
                && let Some(next) = self.shared.more.next()
            {
                self.shared.tried.push(next);
            }
            let some = at..self.shared.tried.len().min(at + some);
            if some.is_empty() {
                return None;
            }
            at = some.end;
            if let Some(worst) = self.shared.order.first() {
                let first: Vec<(usize, usize)> = some.clone().map(|candidate| (candidate, *worst)).collect();
                self.follow(&first);
            }
            for candidate in some {
                if self.suits(candidate, demand, asked) {
                    return Some(candidate);
                }
            }
        }
    }

    /// Whether every healthy heat-up that is asked under a candidate meets a demand.
    fn suits(&mut self, candidate: usize, demand: Demand, asked: Asked) -> bool {
        let corners = match asked {
            Asked::WorstCorner => 1.min(self.shared.order.len()),
            Asked::EveryCorner => self.shared.order.len(),
        };
        let mut from = 0;
        while from < corners {
            let to = corners.min(if from == 0 { 1 } else { from + AT_A_TIME });
            let some: Vec<(usize, usize)> = self.shared.order[from..to]
                .iter()
                .map(|corner| (candidate, *corner))
                .collect();
            self.follow(&some);
            for (at, (_, corner)) in (from..to).zip(some) {
                if !self.climbs[candidate]
                    .get(corner)
                    .and_then(Option::as_ref)
                    .is_some_and(|climb| demand.met_by(climb))
                {
                    // It will be the first to be asked of the next candidate.
                    self.shared.order.swap(0, at);
                    return false;
                }
            }
            from = to;
        }
        true
    }

    /// Follows the heat-ups of some candidates at some corners that are not known yet.
    fn follow(&mut self, some: &[(usize, usize)]) {
        let (candidates, corners) = (self.shared.tried.len(), self.shared.courses.len());
        self.climbs.resize_with(candidates, || vec![None; corners]);
        let unknown = some
            .iter()
            .filter(|(candidate, corner)| matches!(self.climbs[*candidate].get(*corner), Some(None)));
        let unknown: Vec<(usize, usize)> = unknown.copied().collect();
        let heat_ups = unknown
            .iter()
            .map(|(candidate, corner)| (self.approach(*candidate, *corner), *corner));
        let heat_ups: Vec<(Approach, usize)> = heat_ups.collect();
        let climbs = Approach::climbs_from(&heat_ups, &mut self.shared.courses, self.longest, self.only);
        for ((candidate, corner), climb) in unknown.into_iter().zip(climbs) {
            self.climbs[candidate][corner] = Some(climb);
        }
    }

    /// A corner under a candidate.
    fn approach(&self, candidate: usize, corner: usize) -> Approach {
        let (setpoint, pid) = (self.setpoint, self.shared.tried[candidate]);
        Approach {
            setpoint,
            pid,
            ..self.shared.part.corners[corner]
        }
    }
}

/// What must be left of a rise, so that it stands out.
fn owed(heating: &Heating<'_>, guarded: &Guarded) -> TemperatureInterval {
    guarded.least_rise * heating.pair.limits().protection_margin.value.high().base()
}

/// Which corner can rise by what it owes in no shorter a time than the others, whatever its controller does, and that time.
fn latest(corners: impl Iterator<Item = Approach>, owed: TemperatureInterval) -> (usize, Time) {
    let times = corners.map(|corner| corner.soonest(owed)).enumerate();
    let latest = times.reduce(|latest, next| if next.1 > latest.1 { next } else { latest });
    latest.unwrap_or((0, Time::from_base(0.0)))
}

/// The heat-ups of a healthy part under a controller, at each corner; where one of them can never show what it owes, that alone.
fn climbs(heating: &Heating<'_>, guarded: &Guarded, delay: Value<Time>, pid: Pid) -> Vec<(Approach, Climb)> {
    let longest = heating.pair.limits().protection_longest.value.low();
    let mut approaches = approaches(heating, delay, pid, guarded.held);
    let (latest, soonest) = latest(approaches.iter().copied(), owed(heating, guarded));
    if soonest > longest {
        approaches = vec![approaches[latest]];
    }
    approaches
        .into_iter()
        .filter_map(|approach| Some((approach, approach.climb(longest).ok()?)))
        .collect()
}

/// A healthy part under a controller, at each corner of what it gets, loses, stores and passes on, and of its dead time.
///
/// A heat-up is watched until it is `protection.near_goal` below its setpoint, at the least.
fn approaches(
    heating: &Heating<'_>,
    delay: Value<Time>,
    pid: Pid,
    setpoint: ThermodynamicTemperature,
) -> Vec<Approach> {
    let near = heating.pair.limits().protection_near_goal.value.low();
    let ends = |exact: bool| {
        if exact {
            &[End::Low][..]
        } else {
            &[End::Low, End::High]
        }
    };
    let second = heating.second;
    let powers = ends(heating.power_when_hot().is_exact());
    let losses = ends(heating.room.is_exact() && heating.whole_loss().is_none_or(|loss| loss.is_exact()));
    let capacities = ends(
        heating.capacity.is_none_or(|own| own.is_exact())
            && second.is_none_or(|second| second.capacity.is_exact()),
    );
    let couplings = ends(second.is_none_or(|second| second.coupling.is_exact()));
    let delays = ends(delay.is_exact());
    let mut approaches = Vec::new();
    for power in powers {
        for lost in losses {
            for stored in capacities {
                for over in couplings {
                    let part = heating.part((*power, heating.fed, heating.cable), (*lost, *stored, *over));
                    let late = |part| {
                        delays.iter().map(move |late| Approach {
                            part,
                            dead_time: delay.at(*late),
                            setpoint,
                            near,
                            pid,
                        })
                    };
                    approaches.extend(part.into_iter().flat_map(late));
                }
            }
        }
    }
    approaches
}

/// Which of some heat-ups rises least within a time, and by how much; not at all where there is none.
fn slowest(climbs: &[(Approach, Climb)], time: Time) -> (usize, TemperatureInterval) {
    let rises = climbs.iter().map(|(_, climb)| climb.least_rise(time)).enumerate();
    let least = rises.reduce(|least, next| if next.1 < least.1 { next } else { least });
    least.unwrap_or((0, si::kelvin(0.0)))
}

/// The fall that no healthy part shows: its own, with a margin. Nothing needs to be known of the part.
#[must_use]
pub fn least_fall(limits: &Limits) -> TemperatureInterval {
    let healthy = limits.protection_healthy_fall.value.high().base();
    si::kelvin((healthy * limits.protection_margin.value.high().base()).ceil())
}

/// Windows for a part whose body, or what it bears, is not known: what dead time, steps and noise, a healthy fall and the time that people
/// wait for a heat-up make of them.
#[derive(Clone, Copy, Debug)]
pub struct Usual {
    /// Fall while it holds its goal.
    pub fall: TemperatureInterval,
    /// How long the fall must last.
    pub fall_time: Time,
    /// Rise while it heats up.
    pub rise: TemperatureInterval,
    /// In which the rise must show.
    pub rise_time: Time,
    /// What the whole heat-up may take.
    pub heat_up: Time,
}

impl Usual {
    /// Those of a heater and its thermometer; `None` for other devices.
    #[must_use]
    pub fn of(pair: &PairFacts<'_>, thermometer: Option<&PairFacts<'_>>) -> Option<Self> {
        let Detail::Heater(heater) = &pair.device().detail else {
            return None;
        };
        let limits = pair.limits();
        let margin = limits.protection_margin.value.high();
        let (usual_dead, heat_up) = match heater.zone {
            Zone::HotEnd => (limits.hotend_dead_time.value, limits.hotend_heat_up.value.high()),
            Zone::Bed | Zone::Chamber => (limits.bed_dead_time.value, limits.bed_heat_up.value.high()),
        };
        let dead = heater.dead_time.map_or(usual_dead, |stated| stated.value).high();
        let shortest = limits.protection_shortest.value.high().larger(dead);
        // To half a kelvin, since nobody types in more.
        let rise = least_rise(thermometer).base() * margin.base();
        let rise = si::kelvin((rise * 2.0).ceil() / 2.0);
        let room = pair.swap.ambient.temperature.value.high();
        let whole = heater.working_temperature.value.high().base() - room.base();
        let behind = heat_up * (rise.base() / whole.max(rise.base()));
        let time =
            |least: Time| typed_in(least * margin.base()).smaller(limits.protection_longest.value.low());
        Some(Self {
            fall: least_fall(limits),
            fall_time: time(shortest),
            rise,
            rise_time: time(dead + behind),
            heat_up,
        })
    }
}

/// One kelvin, or what steps and noise of the input make of a difference of two readings.
fn least_rise(thermometer: Option<&PairFacts<'_>>) -> TemperatureInterval {
    let one = si::kelvin(1.0);
    let Some((pair, at)) = thermometer.and_then(|pair| Some((pair, pair.thermometry()?))) else {
        return one;
    };
    let step = at.kelvin_per_step(at.input, at.hot.high()).high();
    let volts = at
        .input
        .noise
        .map_or(pair.limits().thermometer_converter_noise.value, |noise| {
            noise.value
        });
    let one_code = thermometry::step(at.input) * at.input.amplification.nominal().base();
    let noise = sensing::noise_in_kelvin(step, volts.high(), one_code);
    // Three times the spread of each of two readings, and a step.
    one.larger(step + noise * (3.0 * core::f64::consts::SQRT_2))
}
