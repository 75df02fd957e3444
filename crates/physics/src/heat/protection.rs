//! The windows that tell a slipped thermometer or a dead heater from a slow but healthy part: while it heats up, and while it holds.

use quantity::si::{
    HeatCapacity, Power, Ratio, TemperatureInterval, ThermalConductance, ThermodynamicTemperature, Time,
    kelvin,
};
use quantity::{Number, Value};

use super::body::{final_temperature, time_constant, time_to};
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
    /// The highest temperature at which a heat-up is still watched for its rise: a little below the highest goal.
    pub watched_to: ThermodynamicTemperature,
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
    /// From a change of power to the first change at the thermometer, at most.
    pub dead_time: Time,
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
    /// When a thermometer that slipped out before the heat-up is noticed, at the latest, and when harm begins, at the corner of the
    /// tolerances where the two are closest; the first may be infinite.
    pub caught_after: Time,
    /// See `caught_after`.
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

impl Guarded {
    /// Of the windows that stay `margin` below the slowest healthy rise, the one with the best of both: room before harm, and a rise that
    /// stands out of the noise; nothing where none does.
    ///
    /// The healthy heat-up is the slowest of its tolerances at the highest watched temperature, and begins a dead time late. The slipped thermometer shows its
    /// share of the true rise from the start. A window may begin anew with each success, or at fixed times: the later of the two counts.
    /// Whether the room before harm is enough is for the caller to judge ([`RiseWindow::slipped_margin`]).
    ///
    /// Leaves out: a second body; give the part as one lumped body that is never slower.
    #[must_use]
    pub fn rise_window(&self, margin: Ratio) -> Option<RiseWindow> {
        let windows = TIMES.into_iter().map(Time::from_base);
        let windows = windows.filter(|time| *time >= self.shortest * margin.base() && *time <= self.longest);
        let best = |window: &RiseWindow| {
            let clear = (window.rise / self.least_rise).base();
            window.slipped_margin().base().min(clear)
        };
        windows
            .filter_map(|time| {
                let healthy = rise_in(
                    self.watched_to,
                    self.air.low(),
                    self.power.low(),
                    self.loss.high(),
                    self.capacity.high(),
                    (time - self.dead_time).larger(Time::from_base(0.0)),
                );
                // To half a kelvin, since nobody types in more.
                let rise = kelvin((healthy.base() / margin.base() * 2.0).floor() / 2.0);
                (rise >= self.least_rise && rise.base() > 0.0)
                    .then(|| self.rise_window_of(rise, time, healthy))
            })
            // Of equals the first, which is the shortest.
            .reduce(|so_far, next| if best(&next) > best(&so_far) { next } else { so_far })
    }

    fn rise_window_of(
        &self,
        rise: TemperatureInterval,
        time: Time,
        healthy: TemperatureInterval,
    ) -> RiseWindow {
        let corners = ends(self.power).into_iter().flat_map(|power| {
            ends(self.loss)
                .into_iter()
                .flat_map(move |loss| ends(self.capacity).map(move |capacity| (power, loss, capacity)))
        });
        let air = self.air.high();
        let corners = corners.map(|(power, loss, capacity)| {
            let missed = missed_until(self.slipped_share, (rise, time), air, air, power, loss, capacity);
            // Noticed in the first window that begins after that; at fixed times one may have begun just before.
            let caught = if missed.base() > 0.0 {
                missed + time * 2.0
            } else {
                time
            };
            (caught, time_to(self.limit, air, air, power, loss, capacity))
        });
        let closest = corners.reduce(|worst, next| {
            if times(next.1, next.0) < times(worst.1, worst.0) {
                next
            } else {
                worst
            }
        });
        let (caught_after, harm_after) = closest.unwrap_or((time, time));
        RiseWindow {
            rise,
            time,
            healthy,
            caught_after,
            harm_after,
        }
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
