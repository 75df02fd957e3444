//! What everything draws from rails, from the input of the board and from the supply: at heat-up, and once all is hot.

use model::board::{Rail, RailId};
use model::machine::{Detail, DeviceId, Heater, Motor};
use physics::{Named, electrics, motion, named};
use quantity::si::{ElectricCurrent, ElectricPotential, Power, ThermodynamicTemperature, Time};
use quantity::{Number, Value};

use crate::facts::axes;
use crate::facts::drivers::Loss;
use crate::facts::feed::converter_efficiency;
use crate::facts::kinematics;
use crate::facts::loads;
use crate::facts::of_pair::PairFacts;
use crate::facts::pair::Pair;
use crate::facts::rails::{drawn_from_feeder, outside_before, supply_voltage};
use crate::facts::site::Site;
use crate::facts::torque::winding::{self, Winding};

/// When the sum is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Everything on, heaters still cold, motors at most holding still: for some minutes.
    HeatUp,
    /// Everything on, heaters at their working temperature, motors moving: the most that flows for long.
    Hot,
}

/// What draws.
#[derive(Clone, Copy, Debug)]
pub enum Drawn<'a> {
    /// A heater directly.
    Heater(Pair<'a>, State),
    /// A motor by way of its driver.
    Motor(Pair<'a>, State),
    /// Anything else that hangs on a rail.
    Device(Pair<'a>),
    /// A device with a converter of its own.
    Converter(Pair<'a>),
    /// A rail of the board with all that hangs on it.
    Rail(&'a Rail),
    /// The board itself.
    Board(&'a Rail),
}

impl Drawn<'_> {
    /// What it is, for a working.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Drawn::Heater(pair, State::HeatUp) => format!("{}, cold", pair.device_name()),
            Drawn::Heater(pair, State::Hot) => format!("{}, hot", pair.device_name()),
            Drawn::Motor(pair, State::HeatUp) => {
                let assumed =
                    axes::motor(&pair.device().detail).is_some_and(|motor| motor.resistance.is_none());
                let assumed = if assumed { " (usual winding assumed)" } else { "" };
                format!("{}, off or holding still{assumed}", pair.device_name())
            }
            Drawn::Motor(pair, State::Hot) => format!("{}, from off to top speed", pair.device_name()),
            Drawn::Device(pair) => pair.device_name(),
            Drawn::Converter(pair) => format!("{} by its converter", pair.device_name()),
            Drawn::Rail(rail) => format!("rail {} with all on it", rail.name),
            Drawn::Board(rail) => format!("the board itself, from {}", rail.name),
        }
    }
}

/// One line of a sum.
#[derive(Clone, Copy, Debug)]
pub struct Line<'a, Q> {
    /// What draws.
    pub what: Drawn<'a>,
    /// How much.
    pub amount: Value<Q>,
}

/// The sum of lines.
pub fn sum<Q: Number + core::ops::Add<Output = Q>>(lines: &[Line<'_, Q>]) -> Value<Q> {
    lines.iter().map(|line| line.amount).sum()
}

/// Lines as the inputs of a working.
pub(crate) fn inputs<Q: Number>(symbol: &'static str, lines: &[Line<'_, Q>]) -> Vec<Named<Q>> {
    lines
        .iter()
        .map(|line| named(symbol, line.what.words(), line.amount))
        .collect()
}

/// The sums of an assignment.
#[derive(Clone, Debug)]
pub struct Budget<'a> {
    /// The heater that must go over an external switch because the input of the board, or its fuse, is too weak for all
    /// together: the strongest one, where that is enough; else none, since nothing is mended by it.
    pub moved: Option<DeviceId>,
    /// What would come in through the input of the board at heat-up with that heater on the board.
    all_on_board: Vec<Line<'a, ElectricCurrent>>,
    heat_up: Sums<'a>,
    hot: Sums<'a>,
}

/// The sums in one state.
#[derive(Clone, Debug)]
struct Sums<'a> {
    rails: Vec<Vec<Line<'a, ElectricCurrent>>>,
    supply: Vec<Line<'a, Power>>,
}

impl<'a> Budget<'a> {
    /// The sums of an assignment.
    #[must_use]
    pub fn of(site: &Site<'a>, pairs: &[PairFacts<'a>]) -> Self {
        let mut sums = Summing {
            site,
            pairs,
            moved: None,
        };
        let mut rails = sums.rails(State::HeatUp);
        let mut all_on_board = Vec::new();
        sums.moved = too_much(site, &rails[RailId::INPUT.0]);
        if sums.moved.is_some() {
            all_on_board = rails.swap_remove(RailId::INPUT.0);
            rails = sums.rails(State::HeatUp);
        }
        Budget {
            moved: sums.moved,
            all_on_board,
            heat_up: sums.with_supply(rails, State::HeatUp),
            hot: sums.with_supply(sums.rails(State::Hot), State::Hot),
        }
    }

    fn sums(&self, state: State) -> &Sums<'a> {
        match state {
            State::HeatUp => &self.heat_up,
            State::Hot => &self.hot,
        }
    }

    /// What comes in through the input of the board.
    #[must_use]
    pub fn input(&self, state: State) -> &[Line<'a, ElectricCurrent>] {
        self.rail(RailId::INPUT, state)
    }

    /// What would come in through the input of the board at heat-up with the heater on the board that is [`Self::moved`] off it.
    #[must_use]
    pub fn input_with_all_on_board(&self) -> &[Line<'a, ElectricCurrent>] {
        match self.moved {
            Some(_) => &self.all_on_board,
            None => self.input(State::HeatUp),
        }
    }

    /// What hangs on a rail of the board: devices, the board itself, and rails that this one feeds. Motors hang on the input.
    #[must_use]
    pub fn rail(&self, rail: RailId, state: State) -> &[Line<'a, ElectricCurrent>] {
        &self.sums(state).rails[rail.0]
    }

    /// What the supply gives: through the board, to heaters behind external switches, and to converters of devices.
    #[must_use]
    pub fn supply(&self, state: State) -> &[Line<'a, Power>] {
        &self.sums(state).supply
    }

    /// Whether a heater hangs on an external switch and not on the board.
    #[must_use]
    pub fn is_outside(&self, pair: &PairFacts<'_>) -> bool {
        is_outside(self.moved, pair)
    }
}

fn is_outside(moved: Option<DeviceId>, pair: &PairFacts<'_>) -> bool {
    moved == Some(pair.id) || pair.external_switch().is_some()
}

/// Whether the rail of a pair's way comes from a supply outside the board.
fn is_from_outside(site: &Site<'_>, pair: &PairFacts<'_>) -> bool {
    let rail = pair.way.rail;
    rail.is_some_and(|rail| outside_before(site.swap, site.board, rail).is_some())
}

/// The heater to move off the board, from what comes in through its input with all on it.
fn too_much(site: &Site<'_>, lines: &[Line<'_, ElectricCurrent>]) -> Option<DeviceId> {
    let bound = bound(site);
    let total = sum(lines).high();
    let heaters = lines.iter().filter_map(|line| match line.what {
        Drawn::Heater(pair, _) => Some((pair.id, line.amount.high())),
        _ => None,
    });
    let (id, most) = heaters.max_by(|one, other| one.1.base().total_cmp(&other.1.base()))?;
    (total > bound && total - most <= bound).then_some(id)
}

/// What may flow through the input at heat-up: the rating of its terminals, or what its fuse is sure to hold, if that is less.
#[must_use]
pub fn bound(site: &Site<'_>) -> ElectricCurrent {
    let input = &site.board.input;
    let opens = electrics::FuseClass::Blade.opening_multiple();
    let fuse = input.fuse.map(|fuse| fuse.low() * opens);
    fuse.map_or(input.current.low(), |fuse| fuse.smaller(input.current.low()))
}

/// What the sums are made of.
struct Summing<'f, 'a> {
    site: &'f Site<'a>,
    pairs: &'f [PairFacts<'a>],
    moved: Option<DeviceId>,
}

impl<'a> Summing<'_, 'a> {
    fn rails(&self, state: State) -> Vec<Vec<Line<'a, ElectricCurrent>>> {
        let mut rails = vec![None; self.site.board.rails.len()];
        for at in 0..rails.len() {
            self.rail(at, state, &mut rails);
        }
        rails.into_iter().map(Option::unwrap_or_default).collect()
    }

    /// Fills in one rail, and before it those that it feeds.
    fn rail(&self, own: usize, state: State, rails: &mut [Option<Vec<Line<'a, ElectricCurrent>>>]) {
        if rails[own].is_some() {
            return;
        }
        let board = self.site.board;
        let mut lines = Vec::new();
        if let Some(made) = &board.rails[own].made
            && made.board_current.high().base() > 0.0
        {
            lines.push(Line {
                what: Drawn::Board(&board.rails[own]),
                amount: made.board_current,
            });
        }
        for pair in self
            .pairs
            .iter()
            .filter(|pair| pair.way.rail == Some(RailId(own)))
        {
            // Behind a switch module a heater takes nothing through the board; of a supply outside it takes what that gives its rail.
            let beside = is_outside(self.moved, pair) && !is_from_outside(self.site, pair);
            if !pair.feed().converts_from_supply() && !beside {
                lines.extend(on_rail(pair, state));
            }
        }
        for (at, fed) in board.rails.iter().enumerate() {
            if fed.made.as_ref().is_none_or(|made| made.fed_by != RailId(own)) {
                continue;
            }
            self.rail(at, state, rails);
            let load = sum(rails[at].as_deref().unwrap_or_default());
            let amount = drawn_from_feeder(self.site.swap, board, RailId(at), load);
            if amount.high().base() > 0.0 {
                lines.push(Line {
                    what: Drawn::Rail(fed),
                    amount,
                });
            }
        }
        rails[own] = Some(lines);
    }

    fn with_supply(&self, rails: Vec<Vec<Line<'a, ElectricCurrent>>>, state: State) -> Sums<'a> {
        let voltage = self.site.supply_voltage();
        let through = rails[RailId::INPUT.0].iter().map(|line| Line {
            what: line.what,
            amount: power_of(line, voltage, state),
        });
        let mut supply: Vec<Line<'a, Power>> = through.collect();
        for pair in self.pairs {
            let (what, amount) = match &pair.device().detail {
                _ if pair.feed().converts_from_supply() => {
                    let fed = pair.device_voltage().zip(pair.current());
                    let Some((voltage, current)) = fed else { continue };
                    (
                        Drawn::Converter(**pair),
                        voltage * current / converter_efficiency(),
                    )
                }
                Detail::Heater(heater)
                    if is_outside(self.moved, pair) && !is_from_outside(self.site, pair) =>
                {
                    (
                        Drawn::Heater(**pair, state),
                        heater_power(pair, heater, voltage, state),
                    )
                }
                _ => continue,
            };
            supply.push(Line { what, amount });
        }
        Sums { rails, supply }
    }
}

/// What a device draws from the rail of its way.
fn on_rail<'a>(pair: &PairFacts<'a>, state: State) -> Option<Line<'a, ElectricCurrent>> {
    let voltage = pair.rail_voltage();
    let (what, amount) = match &pair.device().detail {
        Detail::Supply(_) => return None,
        Detail::Heater(heater) if heater.relay.is_none() => (
            Drawn::Heater(**pair, state),
            voltage? / loads::resistance_at(heater, temperature(pair, heater, state)),
        ),
        Detail::Motor(motor) => (
            Drawn::Motor(**pair, state),
            motor_power(pair, motor, state) / voltage?,
        ),
        _ => {
            let what = if pair.way.own_supply {
                Drawn::Converter(**pair)
            } else {
                Drawn::Device(**pair)
            };
            (what, pair.feed().from_rail(pair.current()?)?)
        }
    };
    Some(Line { what, amount })
}

fn temperature(pair: &Pair<'_>, heater: &Heater, state: State) -> Value<ThermodynamicTemperature> {
    match state {
        State::HeatUp => pair.limits().ambient_cold_start.value,
        State::Hot => heater.working_temperature.value,
    }
}

/// The power of a line. Heaters and motors have theirs, so that the tolerance of the voltage is not counted twice.
fn power_of(
    line: &Line<'_, ElectricCurrent>,
    voltage: Value<ElectricPotential>,
    state: State,
) -> Value<Power> {
    match line.what {
        Drawn::Heater(pair, _) => match &pair.device().detail {
            Detail::Heater(heater) => heater_power(&pair, heater, voltage, state),
            _ => voltage * line.amount,
        },
        Drawn::Motor(pair, _) => match &pair.device().detail {
            Detail::Motor(motor) => motor_power(&pair, motor, state),
            _ => voltage * line.amount,
        },
        _ => voltage * line.amount,
    }
}

fn heater_power(
    pair: &Pair<'_>,
    heater: &Heater,
    voltage: Value<ElectricPotential>,
    state: State,
) -> Value<Power> {
    let resistance = loads::resistance_at(heater, temperature(pair, heater, state));
    Value::corners(|end| electrics::heater_power(voltage.at(end), resistance.at(end.other())))
}

/// What a motor takes from the supply: nothing when it is off; holding still, the heat in windings, `2 · I² · R`, and in the driver's
/// switches, conducting and switching; once all is hot it may also move, at most with its mechanical power at top speed on top: back-EMF times current, both peaks.
///
/// Where its resistance is not known, the usual heat of windings is assumed; where its other data are not, moving at most its run current at the
/// full voltage of the supply.
#[must_use]
pub fn motor_power(pair: &Pair<'_>, motor: &Motor, state: State) -> Value<Power> {
    let current = motor.run_current;
    let supply = supply_voltage(pair.swap);
    let none = Power::from_base(0.0);
    let unknown: Value<Power> = current * supply;
    let driver = pair
        .driver()
        .and_then(|driver| Loss::of(pair.swap, driver, current));
    let in_winding: Value<Power> = match motor.resistance {
        Some(winding) => (current * current * winding.value).scale(2.0),
        // Of a usual winding, which is made for its rated current.
        None => Value::corners(|end| {
            let share = (current.at(end) / motor.current.value.at(end.other())).base();
            pair.limits().motor_winding_heat.value.at(end) * (share * share)
        }),
    };
    let heat = in_winding + driver.map_or(Value::exact(none), |loss| loss.total());
    let most = match (state, winding::winding(pair.limits(), motor)) {
        (State::HeatUp, _) => heat.high(),
        (State::Hot, None) => heat.high().larger(unknown.high()),
        (State::Hot, Some(winding)) => heat.high() + work(pair, motor, &winding),
    };
    Value::between(none, heat.nominal(), most)
}

/// The most that a motor turns into work at the top speed of its axis, with the current that the supply can still drive there.
fn work(pair: &Pair<'_>, motor: &Motor, winding: &Winding) -> Power {
    let axis = pair.swap.machine.axis(motor.axis);
    let speed = axes::shaft_speed(axis, kinematics::max_speed(&pair.swap.machine, axis));
    // The current that makes the most torque: of a weak magnet, at the lowest speed.
    let drive = motion::MotorDrive {
        holding: winding.holding.low(),
        rated: winding.rated.high(),
        resistance: winding.resistance.low(),
        inductance: winding.inductance.low(),
        rotor_teeth: winding.rotor_teeth,
        supply: supply_voltage(pair.swap).high(),
        current: motion::peak_of_rms(motor.run_current.high()),
        drag: Time::from_base(0.0),
    };
    winding.back_emf(speed).high() * drive.current(speed.low())
}
