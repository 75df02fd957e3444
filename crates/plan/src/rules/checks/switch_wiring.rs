//! Whether a switch or sensor can work at an input at all: its supply, and what makes the two levels.

use model::machine::{Detail, Sensor};
use model::{Output, Pin, Pull};
use quantity::{Value, si};

use crate::facts::harness::Part;
use crate::facts::{PairFacts, signals};
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "switch-wiring";

/// Without supply or with a pull to the wrong side it cannot work; without any pull a resistor at the plug mends it.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    // What the cable carries of the sensor: without a signal in it, its supply alone.
    let supply = pair
        .device()
        .detail
        .share()
        .sensor()
        .and_then(|sensor| sensor.voltage);
    if let Some(voltage) = supply
        && (pair.way.rail.is_none() || !signals::has_pin(pair, Pin::Plus))
    {
        judge.say(Verdict::Blocker, || no_supply(pair).at(voltage.place));
        return;
    }
    // A port without a pin for the signal is refused by the order of its pins.
    let (Some(sensor), Some(input)) = (pair.device().signal(), signals::input(&pair.port().kind)) else {
        return;
    };
    let contact = signals::is_contact(sensor);
    match (input.pull.value, sensor.output.value) {
        (_, Output::PushPull) => judge.say(Verdict::Pass, || {
            let headline = format!(
                "{} drives both levels of {} by itself",
                pair.device_name(),
                pair.port_name()
            );
            Finding::new(headline, "common-practice").at(input.pull.place)
        }),
        (Pull::Down, Output::Pnp) => judge.say(Verdict::Pass, || {
            let headline = format!(
                "{} pulls {} up, whose pull-down makes the low level",
                pair.device_name(),
                pair.port_name()
            );
            Finding::new(headline, "common-practice").at(input.pull.place)
        }),
        (pull, Output::Pnp) => judge.mended(Part::one("optocoupler input"), || {
            let headline = format!(
                "{} can only pull {} up (PNP), and {}: it never reads low",
                pair.device_name(),
                pair.port_name(),
                if pull == Pull::Up { "its pull-up already holds it there" } else { "nothing pulls it down" }
            );
            Finding::new(headline, "iec-60947-5-2")
                .at(sensor.output.place)
                .remedy("put the optocoupler input between them: the sensor drives its LED, its transistor pulls the input to ground; or fit a sensor with an NPN output")
        }),
        (Pull::Up, _) => judge.say(Verdict::Pass, || {
            let headline = format!(
                "{} works between signal and ground of {}, whose pull-up makes the high level",
                pair.device_name(),
                pair.port_name()
            );
            Finding::new(headline, "common-practice").at(input.pull.place)
        }),
        (Pull::None, _) if sensor.level.is_some() => judge.say(Verdict::Pass, || {
            let headline = format!(
                "{} brings the pull-up that {} does not have",
                pair.device_name(),
                pair.port_name()
            );
            Finding::new(headline, "common-practice").at(input.pull.place)
        }),
        (Pull::None, _) => judge.mended(Part::one("bare pull-up resistor"), || {
            let headline = format!(
                "{} has no pull-up: with {} open it floats and reads anything",
                pair.port_name(),
                pair.device_name()
            );
            Finding::new(headline, "common-practice")
                .at(input.pull.place)
                .remedy(resistor(pair, sensor))
        }),
        (Pull::Down, _) if contact && signals::has_pin(pair, Pin::Plus) => judge.say(Verdict::Caution, || {
            let headline = format!(
                "{} is pulled down: {} goes between signal and the supply pin, not to ground",
                pair.port_name(),
                pair.device_name()
            );
            Finding::new(headline, "common-practice")
                .at(input.pull.place)
                .remedy("make the plug so that the contact joins `signal` and `+`. Across `+` and `-` it would short the rail")
        }),
        (Pull::Down, _) => judge.say(Verdict::Blocker, || {
            let headline = format!(
                "{} can only pull {} low, and its pull-down already holds it there",
                pair.device_name(),
                pair.port_name()
            );
            Finding::new(headline, "common-practice")
                .at(input.pull.place)
                .remedy("use an input with a pull-up")
        }),
    }
}

fn no_supply(pair: &PairFacts<'_>) -> Finding {
    let headline = format!(
        "{} needs a supply, and {} has only {}",
        pair.device_name(),
        pair.port_name(),
        pins(pair)
    );
    let remedy = match pair.device().detail.share() {
        Detail::BedProbe(_) => "use a probe port, or an input with a supply pin",
        _ => "use an input with a supply pin",
    };
    Finding::new(headline, "common-practice").remedy(remedy)
}

/// "`+` and `-`".
fn pins(pair: &PairFacts<'_>) -> String {
    let pins: Vec<String> = pair
        .port()
        .pins
        .iter()
        .map(|pin| format!("`{}`", pin.value))
        .collect();
    if pins.is_empty() {
        "no pins".to_owned()
    } else {
        pins.join(" and ")
    }
}

/// The resistor that the plan adds: as boards have them where the device sinks it without trouble.
fn resistor(pair: &PairFacts<'_>, sensor: &Sensor) -> String {
    let logic = Value::exact(pair.board.processor.logic.nominal());
    let usual = Value::exact(si::ohm(10e3));
    let what = if sensor.output.value == Output::OpenCollector {
        "Its open collector then makes both levels"
    } else {
        "The contact then pulls it to ground"
    };
    format!("fit a resistor of {usual} at the plug, from `signal` to the logic supply ({logic}). {what}")
}
