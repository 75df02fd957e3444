//! What the protection of a heated part is set to: a rise and a time for the heat-up, a fall and a time for holding.

use core::cell::OnceCell;

use catalogue::Limits;
use model::Zone;
use model::machine::Detail;
use physics::heat::{FallWindow, Guarded, RiseWindow, typed_in};
use physics::sensing;
use quantity::si::{Ratio, TemperatureInterval, ThermodynamicTemperature, Time};
use quantity::{Number, si};

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
    /// While it heats up; `None` where no rise of the slowest healthy part stands out.
    pub rise: Option<RiseWindow>,
    /// While it holds its goal.
    pub fall: FallWindow,
    holds_up_to: OnceCell<Option<ThermodynamicTemperature>>,
}

impl Protection {
    /// The windows of a heated part whose thermometer is read at `thermometer`; `None` where its body, or what its weakest part bears, is
    /// not known.
    #[must_use]
    pub fn of(heating: &Heating<'_>, thermometer: Option<&PairFacts<'_>>) -> Option<Self> {
        let limits = heating.pair.limits();
        let (power, loss, capacity) = heating.lumped()?;
        let held = heating.working().high();
        let guarded = Guarded {
            power,
            loss,
            capacity,
            air: heating.room,
            watched_to: watched_to(heating, held),
            held,
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
        };
        let margin = limits.protection_margin.value.high();
        Some(Self {
            guarded,
            margin,
            rise: guarded.rise_window(margin),
            fall: guarded.fall_window(margin),
            holds_up_to: OnceCell::new(),
        })
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

    /// The highest temperature, in steps of 5 K, up to which both windows keep their margins; `None` where they do at none above 40 °C.
    #[must_use]
    pub fn holds_up_to(&self, heating: &Heating<'_>) -> Option<ThermodynamicTemperature> {
        *self.holds_up_to.get_or_init(|| self.highest_held(heating))
    }

    fn highest_held(&self, heating: &Heating<'_>) -> Option<ThermodynamicTemperature> {
        let highest = (self.guarded.held.base() - 273.15) / 5.0;
        let mut fives = highest.floor();
        while fives >= 8.0 {
            let held = si::celsius(fives * 5.0);
            let guarded = Guarded {
                held,
                watched_to: watched_to(heating, held),
                ..self.guarded
            };
            let keeps = |slipped: Ratio| slipped >= self.margin;
            let rise = || guarded.rise_window(self.margin);
            if keeps(guarded.fall_window(self.margin).slipped_margin())
                && rise().is_some_and(|rise| keeps(rise.slipped_margin()))
            {
                return Some(held);
            }
            fives -= 1.0;
        }
        None
    }
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

/// A heat-up is watched until it is so near its goal that the control begins to take power off.
fn watched_to(heating: &Heating<'_>, held: ThermodynamicTemperature) -> ThermodynamicTemperature {
    let near = heating.pair.limits().protection_near_goal.value.nominal();
    ThermodynamicTemperature::from_base(held.base() - near.base())
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
