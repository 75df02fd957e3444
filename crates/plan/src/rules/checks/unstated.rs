//! Facts of used parts that nobody stated, and without which other checks say nothing.

use model::board::{Driver, MadeRail, PortKind};
use model::machine::{AxisId, Detail, Drive, Motor, Sensor};
use model::{Output, Pin, Place};
use quantity::Number;
use quantity::si::ElectricPotential;

use crate::facts::feed::Source;
use crate::facts::{PairFacts, WholeFacts, loads};
use crate::rules::judging::{Finding, Judge, Stake, Subject, Verdict};

pub(crate) const ID: &str = "unstated";

/// The name of what lacks a fact, and its place.
type Lacking = (String, Place);

/// A fact by the key that states it, and what is open without it.
struct Fact {
    key: &'static str,
    stake: Stake,
    /// All that lack it.
    lacks: fn(&WholeFacts<'_>) -> Vec<Lacking>,
    open: &'static str,
    remedy: &'static str,
}

/// A value with a usual one in its place is no such fact: its checks are made, and say that it is assumed.
const FACTS: &[Fact] = &[
    Fact {
        key: "resistance",
        stake: Stake::Function,
        lacks: |facts| of_motors(facts, |motor| motor.resistance.is_none()),
        open: "torque, maximum speed and homing by stall detection",
        remedy: "measure one coil with a meter, less the resistance of its tips, and state it",
    },
    Fact {
        key: "inductance",
        stake: Stake::Function,
        lacks: |facts| of_motors(facts, |motor| motor.inductance.is_none()),
        open: "torque and maximum speed",
        remedy: "look the motor up by its label and state it",
    },
    Fact {
        key: "holding_torque",
        stake: Stake::Function,
        lacks: |facts| of_motors(facts, |motor| motor.holding_torque.is_none()),
        open: "torque, maximum speed and acceleration",
        remedy: "look the motor up by its label and state it",
    },
    Fact {
        key: "friction",
        stake: Stake::Function,
        lacks: |facts| {
            let axes = facts.swap.machine.axes.iter().enumerate();
            let pushing = axes.filter(|(_, axis)| matches!(axis.drive, Drive::Extruder { .. }));
            let lacking =
                pushing.filter(|(at, axis)| axis.friction.is_none() && is_driven(facts, AxisId(*at)));
            lacking
                .map(|(_, axis)| (axis.name.value.clone(), axis.place))
                .collect()
        },
        open: "torque and maximum speed of the extruder",
        remedy: "measure with a spring balance what pushes the filament at its working temperature, and state it",
    },
    Fact {
        key: "on_resistance",
        stake: Stake::Hardware,
        lacks: |facts| of_drivers(facts, |driver| driver.on_resistance.is_none()),
        open: "the heat in the driver, and its share of the enclosure air",
        remedy: "look it up in the data sheet of the driver and state it",
    },
    Fact {
        key: "thermal_resistance",
        stake: Stake::Hardware,
        lacks: |facts| {
            of_drivers(facts, |driver| {
                let sink = driver.thermal_resistance_with_sink.filter(|_| driver.heat_sink);
                sink.or(driver.thermal_resistance).is_none()
            })
        },
        open: "the temperature of the driver",
        remedy: "look it up in the data sheet of the driver and state it",
    },
    Fact {
        key: "switch_resistance",
        stake: Stake::Hardware,
        lacks: |facts| {
            of_ports(facts, |pair| {
                let carries = pair.device().is_direct_heater() && pair.port_current().is_some();
                let unknown = matches!(pair.port().kind, PortKind::Switched { resistance: None, .. });
                carries && unknown
            })
        },
        open: "the heat in the output switch, and its share of the enclosure air",
        remedy: "look up the marking of the switch and state its on-resistance",
    },
    Fact {
        key: "rail",
        stake: Stake::Hardware,
        lacks: |facts| {
            of_ports(facts, |pair| {
                let nothing = matches!(pair.feed().source, Source::Nothing);
                let feeds = pair.port().pins.iter().any(|pin| pin.value == Pin::Plus);
                let takes = loads::rated_voltage(&pair.device().detail).is_some();
                nothing && feeds && takes
            })
        },
        open: "the voltage that it gets, its levels and the load on that rail",
        remedy: "measure the plus pin with the device unplugged, and state the rail",
    },
    Fact {
        key: "voltage",
        stake: Stake::Hardware,
        lacks: |facts| of_sensors(facts, |sensor| sensor.voltage.is_none()),
        open: "what its output needs to work, and what voltage it then puts on the input",
        remedy: "look up its supply on its label, and state it with the wires + and - of its cable. Or correct `output` where it is a bare contact",
    },
    Fact {
        key: "board_current",
        stake: Stake::Hardware,
        lacks: own_consumption,
        open: "what the board itself draws from its rails, and its share of the enclosure air",
        remedy: "state it for the rail that feeds the processor, from the maker's page or measured with nothing connected",
    },
];

/// One finding for each fact, about all that lack it; one pass where nothing does.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let mut complete = true;
    for fact in FACTS {
        let lacking = (fact.lacks)(facts);
        let Some((_, place)) = lacking.first() else {
            continue;
        };
        complete = false;
        judge.at_stake(fact.stake);
        judge.say(Verdict::Caution, || {
            let mut names: Vec<&str> = lacking.iter().map(|(name, _)| name.as_str()).collect();
            names.dedup();
            let (key, open) = (fact.key, fact.open);
            let headline = format!("`{key}` of {} is not stated. Open: {open}", names.join(", "));
            Finding::new(headline, "own-statement")
                .about(Subject::named(key))
                .at(*place)
                .asking()
                .remedy(fact.remedy)
        });
    }
    if complete {
        judge.at_stake(Stake::Function);
        judge.say(Verdict::Pass, || {
            let headline = "no fact is missing that a check of a used part needs";
            Finding::new(headline, "own-statement")
        });
    }
}

/// The rail that feeds the processor: that of its voltage, which a board has where its input has another.
fn own_consumption(facts: &WholeFacts<'_>) -> Vec<Lacking> {
    let board = facts.board;
    let made = || {
        board
            .rails
            .iter()
            .filter_map(|rail| Some((rail, rail.made.as_ref()?)))
    };
    let drawn = |made: &MadeRail| made.board_current.high().base() > 0.0;
    let logic = board.processor.logic.value;
    // Within this the two are meant to be one voltage, wherever each lies within its tolerance.
    let near = |one: ElectricPotential| ((one / logic.nominal()).base() - 1.0).abs() < 0.1;
    let own = made().find(|(_, made)| near(made.voltage.value.nominal()));
    match own {
        Some((_, made)) if drawn(made) => Vec::new(),
        Some((rail, made)) => vec![(rail.name.value.clone(), made.voltage.place)],
        // A rail that nobody described feeds it then.
        None => vec![(board.name.value.clone(), board.place)],
    }
}

/// Sensors at a port of their own that are no bare contact.
fn of_sensors(facts: &WholeFacts<'_>, lacks: impl Fn(&Sensor) -> bool) -> Vec<Lacking> {
    let bare = |output: Output| matches!(output, Output::NormallyClosed | Output::NormallyOpen);
    let lacking = facts.pairs().filter(|pair| {
        let of = match &pair.device().detail {
            Detail::LimitSwitch { sensor, .. }
            | Detail::BedProbe(sensor)
            | Detail::FilamentSwitch(sensor) => sensor,
            _ => return false,
        };
        !bare(of.output.value) && lacks(of)
    });
    lacking
        .map(|pair| (pair.device().tag.value.clone(), pair.device().place))
        .collect()
}

fn is_driven(facts: &WholeFacts<'_>, axis: AxisId) -> bool {
    let mut motors = facts.pairs().filter(|pair| pair.driver().is_some());
    motors.any(|pair| matches!(&pair.device().detail, Detail::Motor(motor) if motor.axis == axis))
}

fn of_motors(facts: &WholeFacts<'_>, lacks: impl Fn(&Motor) -> bool) -> Vec<Lacking> {
    let driven = facts.pairs().filter(|pair| pair.driver().is_some());
    let lacking = driven.filter(|pair| matches!(&pair.device().detail, Detail::Motor(motor) if lacks(motor)));
    lacking
        .map(|pair| (pair.device().tag.value.clone(), pair.device().place))
        .collect()
}

fn of_drivers(facts: &WholeFacts<'_>, lacks: impl Fn(&Driver) -> bool) -> Vec<Lacking> {
    let drivers = facts.pairs().filter_map(|pair| pair.driver());
    let lacking = drivers.filter(|driver| lacks(driver));
    lacking
        .map(|driver| (driver.name.value.clone(), driver.place))
        .collect()
}

fn of_ports(facts: &WholeFacts<'_>, lacks: impl Fn(&PairFacts<'_>) -> bool) -> Vec<Lacking> {
    let named = |pair: &PairFacts<'_>| format!("{} ({})", pair.port_name(), pair.device().tag.value);
    let lacking = facts.pairs().filter(|pair| lacks(pair));
    lacking.map(|pair| (named(pair), pair.port().place)).collect()
}
