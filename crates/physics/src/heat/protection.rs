//! The windows that tell a slipped thermometer or a dead heater from a slow but healthy part: while it heats up, and while it holds.

use quantity::si::{
    HeatCapacity, Power, Ratio, TemperatureInterval, ThermalConductance, ThermodynamicTemperature, Time,
    kelvin,
};
use quantity::{Number, Value};

use super::body::{final_temperature, temperature_after, time_constant, time_to};
use crate::Formula;

/// See [`rise_in`].
pub static RISE_IN: Formula = Formula::new(
    "rise-in",
    "Rise of a heated body within a time",
    "Δϑ = (ϑₐ + P / G − ϑ) · (1 − exp(−t · G / C))",
    "heat-transfer-textbook",
    "lumped body",
);
/// See [`missed_until`].
pub static MISSED_UNTIL: Formula = Formula::new(
    "missed-until",
    "Time from which the rise that a slipped thermometer still shows is too little",
    "t = C / G · ln(s · (ϑₐ + P / G − ϑ) · (1 − exp(−w · G / C)) / Δϑ)",
    "heat-transfer-textbook",
    "lumped body, solved for the time",
);
/// See [`slip_noticed`].
pub static SLIP_NOTICED: Formula = Formula::new(
    "slip-noticed",
    "Time until a window for a rise notices a detached sensor as the part heats up",
    "t = 2 · w − u, (ϑₑ − ϑ) · (exp(u / τ) − 1) − (ϑ − ϑₛ) · (1 − exp(−(w − u) / τₛ)) = Δϑ",
    "heat-transfer-textbook",
    "lumped bodies",
);
/// See [`fall_time`].
pub static FALL_TIME: Formula = Formula::new(
    "fall-time",
    "Time in which a thermometer that slipped out falls to a temperature",
    "t = τ · ln((ϑ₁ − ϑₐ) / (ϑ₂ − ϑₐ))",
    "heat-transfer-textbook",
    "lumped body",
);

/// Rise of a heated body within a time at constant power; smallest where it is hottest.
///
/// `Δϑ = (ϑₐ + P / G − ϑ) · (1 − exp(−t · G / C))`
///
/// - `at`: temperature at the beginning of the time; the others as for [`super::temperature_after`].
///
/// Monotone in each while `at` is above `air` and below the end.
///
/// # Source
/// [heat-transfer-textbook], lumped body.
#[must_use]
pub fn rise_in(
    at: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
    power: Power,
    loss: ThermalConductance,
    capacity: HeatCapacity,
    time: Time,
) -> TemperatureInterval {
    let left = final_temperature(air, power, loss).base() - at.base();
    TemperatureInterval::from_base(-left * (-(time / time_constant(capacity, loss)).base()).exp_m1())
}

/// Time in which a thermometer that slipped out falls to a temperature; infinite where the air is as warm.
///
/// `t = τ · ln((ϑ₁ − ϑₐ) / (ϑ₂ − ϑₐ))`
///
/// - `constant`: of the thermometer in air. `from`, `to`: temperatures, `from` ≥ `to`. `air`: where it hangs.
///
/// Monotone in each while all temperatures are above the air's.
///
/// # Source
/// [heat-transfer-textbook], lumped body.
#[must_use]
pub fn fall_time(
    constant: Time,
    from: ThermodynamicTemperature,
    to: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
) -> Time {
    if to <= air {
        return Time::from_base(f64::INFINITY);
    }
    constant * ((from.base() - air.base()) / (to.base() - air.base())).ln()
}

/// Time from which a thermometer that shows only a share of the rise shows less than a window asks for; zero where it does so at once.
///
/// `t = C / G · ln(s · (ϑₐ + P / G − ϑ) · (1 − exp(−w · G / C)) / Δϑ)`
///
/// - `share`: s, of the true rise that the thermometer still shows; `rise`: Δϑ > 0 K and `window`: w, what the window asks for.
/// - `from`: ϑ, where the heat-up begins; the others as for [`super::temperature_after`].
///
/// # Source
/// [heat-transfer-textbook], [`rise_in`] along the heat-up, solved for the time.
#[must_use]
pub fn missed_until(
    share: Ratio,
    (rise, window): (TemperatureInterval, Time),
    from: ThermodynamicTemperature,
    air: ThermodynamicTemperature,
    power: Power,
    loss: ThermalConductance,
    capacity: HeatCapacity,
) -> Time {
    let first = rise_in(from, air, power, loss, capacity, window).base() * share.base();
    let constant = time_constant(capacity, loss);
    constant * (first / rise.base()).ln().max(0.0)
}

/// Time until a window for a rise notices a detached sensor as the part heats up.
///
/// `t = 2 · w − u`, where u solves `(ϑₑ − ϑ) · (exp(u / τ) − 1) − (ϑ − ϑₛ) · (1 − exp(−(w − u) / τₛ)) = Δϑ`
///
/// A window that began u before the slip has seen the part rise for u and its thermometer fall for the rest. The last that still shows the
/// rise began at that u; the next one sees nothing but the fall. One that begins anew with each success is no later than that.
///
/// - `rise`: Δϑ > 0 K and `window`: w > 0 s, what the window asks for. `at`: ϑ, what the thermometer reads as it slips.
/// - `end`: ϑₑ, where the part would end ([`super::final_temperature`]), and `constant`: τ > 0 s, its own ([`super::time_constant`]).
/// - `seen`: ϑₛ ≤ ϑ, what the slipped thermometer falls to, and `in_air`: τₛ > 0 s, its time constant there.
///
/// Returns w where no window that the slip falls into still shows the rise. Monotone in each while `at` is below the end.
///
/// Leaves out: that the part may not have been on its way for as long as u, which is no help against harm.
///
/// # Source
/// [heat-transfer-textbook], [`rise_in`] backwards from the slip and [`fall_time`] onwards from it.
#[must_use]
pub fn slip_noticed(
    (rise, window): (TemperatureInterval, Time),
    at: ThermodynamicTemperature,
    (end, constant): (ThermodynamicTemperature, Time),
    (seen, in_air): (ThermodynamicTemperature, Time),
) -> Time {
    let (w, part, bead) = (window.base(), constant.base(), in_air.base());
    let (left, drop) = (end.base() - at.base(), at.base() - seen.base());
    let excess = |u: f64| left * (u / part).exp_m1() + drop * (-(w - u) / bead).exp_m1() - rise.base();
    if excess(w) < 0.0 {
        return window;
    }
    // Rising and bent upwards, so that Newton's steps from the end come down to the root from one side.
    let mut u = w;
    for _ in 0..50 {
        let slope = left / part * (u / part).exp() + drop / bead * (-(w - u) / bead).exp();
        let step = excess(u) / slope;
        u = (u - step).max(0.0);
        if step <= w * 1e-12 {
            break;
        }
    }
    Time::from_base(2.0 * w - u)
}

/// A heated part with its tolerances, what its protection has to tell apart, and what endangers it.
#[derive(Clone, Copy, Debug)]
pub struct Guarded {
    /// Heater power: the least of the hot heater, the most of the cold one.
    pub power: Value<Power>,
    /// Loss to the air.
    pub loss: Value<ThermalConductance>,
    /// Heat capacity.
    pub capacity: Value<HeatCapacity>,
    /// Air around it.
    pub air: Value<ThermodynamicTemperature>,
    /// The highest temperature that is held.
    pub held: ThermodynamicTemperature,
    /// What the weakest part bears.
    pub limit: ThermodynamicTemperature,
    /// How much of the true rise a slipped thermometer still shows, at most.
    pub slipped_share: Ratio,
    /// The least rise that stands out of noise and steps.
    pub least_rise: TemperatureInterval,
    /// Time constant of the thermometer where it hangs, at most.
    pub in_air: Time,
    /// By how much a healthy part falls below its goal at most: a fan that starts, cold filament.
    pub healthy_fall: TemperatureInterval,
    /// The shortest time over which a judgement is no chance: some readings, the dead time.
    pub shortest: Time,
    /// The longest time for which a heater may be left to itself.
    pub longest: Time,
    /// From a change of power to the first change at the thermometer, at most; while it heats up, the part is ahead of its reading by what
    /// it rises in that time.
    pub dead_time: Time,
}

/// A moment at which a thermometer slips out, and the part whose heater then stays on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slip {
    /// What the thermometer reads as it slips.
    pub reading: ThermodynamicTemperature,
    /// How hot the part then is; as the reading where it slipped before the heat-up.
    pub part: ThermodynamicTemperature,
    /// Heater power, at its corner.
    pub power: Power,
    /// Loss to the air, at its corner.
    pub loss: ThermalConductance,
    /// Heat capacity, at its corner.
    pub capacity: HeatCapacity,
}

/// A rise and a time: a heat-up that shows less than this rise within this time is stopped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RiseWindow {
    /// The rise.
    pub rise: TemperatureInterval,
    /// The time.
    pub time: Time,
    /// The rise of the slowest healthy heat-up in that time.
    pub healthy: TemperatureInterval,
    /// The moment of the heat-up at which a slipped thermometer leaves the least room, at the corner of the tolerances where it does.
    pub worst: Slip,
    /// From that moment on: when it is noticed at the latest; may be infinite.
    pub caught_after: Time,
    /// From that moment on: when harm begins.
    pub harm_after: Time,
}

/// A fall and a time: a part that stays this much below its goal for this time is switched off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FallWindow {
    /// The fall.
    pub fall: TemperatureInterval,
    /// The time.
    pub time: Time,
    /// The deepest healthy fall.
    pub healthy: TemperatureInterval,
    /// When a thermometer that slips out of the hot part is noticed, at the latest.
    pub caught_after: Time,
    /// When harm begins if the heater goes fully on as it slips, at the earliest.
    pub harm_after: Time,
}

impl RiseWindow {
    /// How many times the slowest healthy rise exceeds the window's.
    #[must_use]
    pub fn healthy_margin(&self) -> Ratio {
        self.healthy / self.rise
    }
    /// How many times the time until harm exceeds that until the slipped thermometer is noticed.
    #[must_use]
    pub fn slipped_margin(&self) -> Ratio {
        times(self.harm_after, self.caught_after)
    }
}

impl FallWindow {
    /// How many times the window's fall exceeds the deepest healthy one.
    #[must_use]
    pub fn healthy_margin(&self) -> Ratio {
        self.fall / self.healthy
    }
    /// How many times the time until harm exceeds that until the slipped thermometer is noticed.
    #[must_use]
    pub fn slipped_margin(&self) -> Ratio {
        times(self.harm_after, self.caught_after)
    }
}

/// Seconds that a person would type in.
const TIMES: [f64; 28] = [
    2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0,
    80.0, 90.0, 100.0, 120.0, 150.0, 180.0, 240.0, 300.0, 450.0, 600.0,
];

/// The least of the seconds that a person would type in which is no less than a time.
#[must_use]
pub fn typed_in(at_least: Time) -> Time {
    let fits = TIMES.into_iter().find(|time| *time >= at_least.base());
    fits.map_or(at_least, Time::from_base)
}

/// The times of a window that a person would type in, the shortest first.
pub fn typed_times() -> impl Iterator<Item = Time> {
    TIMES.into_iter().map(Time::from_base)
}

/// Into how many steps the way from the air to the goal is cut; between two of them the room before harm hardly changes.
const MOMENTS: u32 = 12;

/// A slip with what follows from it.
#[derive(Clone, Copy)]
struct Moment {
    slip: Slip,
    /// When harm begins, at the earliest.
    harm: Time,
}

/// What a slipped thermometer does.
#[derive(Clone, Copy)]
enum Slipping {
    /// It had slipped before the heat-up.
    Before,
    /// It slips under way, and may go on to rise by its share.
    Rising,
    /// It slips under way, and falls.
    Falling,
}

impl Guarded {
    /// Of the windows that stay `margin` below the slowest healthy rise, the one with the best of both: room before harm, and a rise that
    /// stands out of the noise; nothing where none does.
    ///
    /// `healthy` tells what a healthy heat-up under its controller rises by at the least within a time, over all tolerances
    /// ([`super::Climb::least_rise`]). The thermometer may have slipped before the heat-up, or slip at any moment of it up to the highest temperature that is held; the moment counts that
    /// leaves the least room. From then on the heater is fully on. A window may begin anew with each success, or at fixed times: the later
    /// of the two counts. Whether the room before harm is enough is for the caller to judge ([`RiseWindow::slipped_margin`]).
    ///
    /// Leaves out: a second body; give the part as one lumped body that is never slower. A thermometer that slips below what it still sees
    /// of the hottest part shows its share at once, without its own lag.
    #[must_use]
    pub fn rise_window(
        &self,
        margin: Ratio,
        healthy: impl Fn(Time) -> TemperatureInterval,
    ) -> Option<RiseWindow> {
        let windows =
            typed_times().filter(|time| *time >= self.shortest * margin.base() && *time <= self.longest);
        let last = self.under_way(self.held).harm;
        let moments = self.moments();
        let mut best: Option<(f64, RiseWindow)> = None;
        for time in windows {
            let healthy = healthy(time);
            // To half a kelvin, since nobody types in more.
            let rise = kelvin((healthy.base() / margin.base() * 2.0).floor() / 2.0);
            if rise < self.least_rise || rise.base() <= 0.0 {
                continue;
            }
            let clear = (rise / self.least_rise).base();
            let so_far = best.as_ref().map_or(-1.0, |(score, _)| *score);
            // No window is better than one that notices a slip at the end at once when its time is over: most need no closer look.
            if clear.min(times(last, time).base()) <= so_far {
                continue;
            }
            // Of equals the first, which is the shortest.
            let better = self.rise_window_of(&moments, (rise, time), healthy, so_far);
            best = better
                .map(|window| (window.slipped_margin().base().min(clear), window))
                .or(best);
        }
        best.map(|(_, window)| window)
    }

    /// A window with the moment that leaves the least room; nothing where that is no more than `least`.
    fn rise_window_of(
        &self,
        moments: &[(Moment, Slipping)],
        (rise, time): (TemperatureInterval, Time),
        healthy: TemperatureInterval,
        least: f64,
    ) -> Option<RiseWindow> {
        let room = |(moment, slipping): &(Moment, Slipping)| {
            let caught = self.caught(&moment.slip, *slipping, (rise, time));
            (times(moment.harm, caught).base(), caught)
        };
        // Mostly the last moment leaves the least, so that it tells soonest of a window that is no better.
        if moments.last().is_some_and(|last| room(last).0 <= least) {
            return None;
        }
        let mut worst: Option<(f64, Moment, Time)> = None;
        for moment in moments {
            let (room, caught) = room(moment);
            if room <= least {
                return None;
            }
            if worst.as_ref().is_none_or(|(known, ..)| room < *known) {
                worst = Some((room, moment.0, caught));
            }
        }
        worst.map(|(_, moment, caught)| RiseWindow {
            rise,
            time,
            healthy,
            worst: moment.slip,
            caught_after: caught,
            harm_after: moment.harm,
        })
    }

    /// The moments at which a thermometer is taken to slip: before the heat-up, and at readings from the air to the highest that is held.
    fn moments(&self) -> Vec<(Moment, Slipping)> {
        let (air, held) = (self.air.high(), self.held.base());
        let seen = self.seen_when_slipped();
        let at = |slip: Slip| Moment {
            harm: self.harm(&slip),
            slip,
        };
        let before = self.corners().map(|(power, loss, capacity)| Slip {
            reading: air,
            part: air,
            power,
            loss,
            capacity,
        });
        let mut moments: Vec<_> = before.map(|slip| (at(slip), Slipping::Before)).collect();
        for step in 0..=MOMENTS {
            let way = (held - air.base()).max(0.0) * f64::from(step) / f64::from(MOMENTS);
            let reading = ThermodynamicTemperature::from_base(air.base() + way);
            if reading >= seen {
                // It falls, and both what it rose before and harm are soonest with the most power, the least loss and the least capacity.
                moments.push((self.under_way(reading), Slipping::Falling));
            } else {
                // It may go on to rise by its share: which corner is worst is open.
                let slips = self
                    .corners()
                    .map(|(power, loss, capacity)| self.slip(reading, power, loss, capacity));
                moments.extend(slips.map(|slip| (at(slip), Slipping::Rising)));
            }
        }
        moments
    }

    /// When a window notices a slip, at the latest.
    fn caught(&self, slip: &Slip, slipping: Slipping, (rise, time): (TemperatureInterval, Time)) -> Time {
        match slipping {
            Slipping::Before => {
                let missed = self.missed(slip, rise, time);
                // Noticed in the first window that begins after that; at fixed times one may have begun just before.
                if missed.base() > 0.0 {
                    missed + time * 2.0
                } else {
                    time
                }
            }
            Slipping::Rising => self.missed(slip, rise, time) + time * 2.0,
            Slipping::Falling => slip_noticed(
                (rise, time),
                slip.reading,
                self.course(slip),
                (self.seen_when_slipped(), self.in_air),
            ),
        }
    }

    /// Where the part of a slip would end, and its time constant.
    #[must_use]
    pub fn course(&self, slip: &Slip) -> (ThermodynamicTemperature, Time) {
        (
            final_temperature(self.air.high(), slip.power, slip.loss),
            time_constant(slip.capacity, slip.loss),
        )
    }

    /// A slip under way where the part heats up fastest.
    fn under_way(&self, reading: ThermodynamicTemperature) -> Moment {
        let slip = self.slip(reading, self.power.high(), self.loss.low(), self.capacity.low());
        Moment {
            harm: self.harm(&slip),
            slip,
        }
    }

    fn slip(
        &self,
        reading: ThermodynamicTemperature,
        power: Power,
        loss: ThermalConductance,
        capacity: HeatCapacity,
    ) -> Slip {
        let part = temperature_after(reading, self.air.high(), power, loss, capacity, self.dead_time);
        Slip {
            reading,
            // A part that cannot get hotter than its reading is no colder either.
            part: part.larger(reading),
            power,
            loss,
            capacity,
        }
    }

    fn missed(&self, slip: &Slip, rise: TemperatureInterval, time: Time) -> Time {
        missed_until(
            self.slipped_share,
            (rise, time),
            slip.reading,
            self.air.high(),
            slip.power,
            slip.loss,
            slip.capacity,
        )
    }

    fn harm(&self, slip: &Slip) -> Time {
        time_to(
            self.limit,
            slip.part,
            self.air.high(),
            slip.power,
            slip.loss,
            slip.capacity,
        )
    }

    fn corners(&self) -> impl Iterator<Item = (Power, ThermalConductance, HeatCapacity)> {
        let (losses, capacities) = (ends(self.loss), ends(self.capacity));
        ends(self.power).into_iter().flat_map(move |power| {
            losses
                .into_iter()
                .flat_map(move |loss| capacities.map(move |capacity| (power, loss, capacity)))
        })
    }

    /// What a slipped thermometer still sees, at the most: its share of the hottest that is not yet harm.
    #[must_use]
    pub fn seen_when_slipped(&self) -> ThermodynamicTemperature {
        let air = self.air.high().base();
        let share = self.slipped_share.base();
        ThermodynamicTemperature::from_base(air + share * (self.limit.base() - air).max(0.0))
    }

    /// The window for a part that holds its goal: deeper than the deepest healthy fall by `margin`, and the longest time that still leaves
    /// `margin` before harm; where none does, the shortest.
    ///
    /// A thermometer that slips out falls with its own time constant towards what it still sees of the part; from that moment the
    /// heater is taken to be fully on.
    #[must_use]
    pub fn fall_window(&self, margin: Ratio) -> FallWindow {
        let fall = kelvin((self.healthy_fall.base() * margin.base()).ceil());
        let below = ThermodynamicTemperature::from_base(self.held.base() - fall.base());
        let falls = fall_time(self.in_air, self.held, below, self.seen_when_slipped());
        let harm_after = time_to(
            self.limit,
            self.held,
            self.air.high(),
            self.power.high(),
            self.loss.low(),
            self.capacity.low(),
        );
        let least = self.shortest * margin.base();
        // Halfway between the two bounds, on the scale on which margins multiply.
        let most = (harm_after / margin.base() - falls).base();
        let middle = if most > least.base() {
            (most * least.base()).sqrt().min(self.longest.base())
        } else {
            least.base()
        };
        let fits = TIMES
            .into_iter()
            .rfind(|time| *time <= middle && *time >= least.base());
        let time = Time::from_base(fits.unwrap_or(least.base()));
        FallWindow {
            fall,
            time,
            healthy: self.healthy_fall,
            caught_after: falls + time,
            harm_after,
        }
    }
}

fn ends<Q: Number>(value: Value<Q>) -> [Q; 2] {
    [value.low(), value.high()]
}

/// How many times one time goes into another; without end where that never comes.
fn times(long: Time, short: Time) -> Ratio {
    if short.base().is_infinite() {
        return Ratio::from_base(0.0);
    }
    Ratio::from_base(long.base() / short.base())
}
