//! What a device is called beside what is stated of it. Sheets and tags carry the name: whoever works goes by it.
//!
//! Only whole words count that mean one thing at any machine; a name that says two things of one kind agrees with either.

use model::machine::{Detail, Device};
use model::{Cooled, Name, Place, Swap, Zone};
use quantity::si::ElectricPotential;
use quantity::{Number, Value, si};

use crate::facts::{loads, name_of};
use crate::rules::judging::{Finding, Judge, Stake, Subject, Verdict, brief};

/// Words of a heated part, as they stand beside each other in a name.
const ZONES: [(&[&str], Zone); 8] = [
    (&["bed"], Zone::Bed),
    (&["heatbed"], Zone::Bed),
    (&["hotbed"], Zone::Bed),
    (&["hot", "end"], Zone::HotEnd),
    (&["hotend"], Zone::HotEnd),
    (&["nozzle"], Zone::HotEnd),
    (&["chamber"], Zone::Chamber),
    (&["build", "plate"], Zone::Bed),
];

/// Words of what a fan cools. A fan of the hot end may cool either, so that these two words say nothing.
const COOLED: [(&[&str], Cooled); 8] = [
    (&["part", "fan"], Cooled::Part),
    (&["part", "cooling"], Cooled::Part),
    (&["part", "cooler"], Cooled::Part),
    (&["heat", "sink"], Cooled::HeatSink),
    (&["heatsink"], Cooled::HeatSink),
    (&["board", "fan"], Cooled::Board),
    (&["electronics", "fan"], Cooled::Board),
    (&["chamber", "fan"], Cooled::Case),
];

/// What stands behind `mains` where it is no word of the device's own supply.
const NEAR_MAINS: [&str; 8] = [
    "inlet", "socket", "side", "switch", "filter", "terminal", "cable", "wiring",
];

/// What makes of the words before it a place where the device sits, and no use: "on the X carriage".
const PLACES: [&str; 8] = [
    "carriage", "gantry", "beam", "rail", "arm", "side", "bracket", "frame",
];

/// From here on a voltage in the name of a supply is that of its input.
const INPUT_OF_SUPPLY: f64 = 85.0;

/// Numbers of a name within this factor of what is stated are the same, since a name is round.
const ROUND: f64 = 1.3;

pub(super) fn check(swap: &Swap, device: &Device, judge: &mut Judge) {
    if matches!(device.detail, Detail::Plug(_)) {
        return;
    }
    let words = words(&device.name.value);
    heated(device, &words, judge);
    cooled(device, &words, judge);
    moved(swap, device, &words, judge);
    fed(device, &words, judge);
}

/// The words of a name in small letters, with a mark where something else than a blank or a hyphen stands between two.
fn words(name: &str) -> Vec<String> {
    let parts = name.split(|letter: char| !letter.is_alphanumeric() && letter != '.');
    let parts = parts.map(|part| part.trim_matches('.').to_lowercase());
    parts.filter(|part| !part.is_empty()).collect()
}

fn says(words: &[String], phrase: &[&str]) -> bool {
    words
        .windows(phrase.len())
        .enumerate()
        .filter(|(at, _)| !is_place(words, at + phrase.len()))
        .any(|(_, window)| window.iter().zip(phrase).all(|(word, wanted)| word == wanted))
}

/// Whether the word at this place makes a place of what stands before it.
fn is_place(words: &[String], at: usize) -> bool {
    words.get(at).is_some_and(|next| PLACES.contains(&next.as_str()))
}

fn named<T: Copy + PartialEq>(words: &[String], table: &[(&[&str], T)]) -> Vec<T> {
    let found = table.iter().filter(|(phrase, _)| says(words, phrase));
    found.map(|(_, meaning)| *meaning).collect()
}

fn say(judge: &mut Judge, device: &Device, (what, stake): (&str, Stake), place: Place, stated: &str) {
    judge.at_stake(stake);
    judge.say(Verdict::Caution, || {
        let headline = format!("the name of {} says something else than its {what}: {stated}", name_of(device));
        Finding::new(headline, "own-statement")
            .about(Subject::aspect(device, "name"))
            .at(place)
            .remedy("look at the device itself and follow its wires. Correct the name or the fact: tags and sheets carry the name")
    });
    judge.at_stake(Stake::Hardware);
}

fn heated(device: &Device, words: &[String], judge: &mut Judge) {
    let zone = match &device.detail {
        Detail::Heater(heater) => heater.zone,
        Detail::Thermometer(thermometer) => thermometer.zone,
        _ => return,
    };
    let named = named(words, &ZONES);
    if named.is_empty() || named.contains(&zone) {
        return;
    }
    let stated = format!("`{}`", zone.word());
    say(judge, device, ("zone", Stake::Safety), device.name.place, &stated);
}

fn cooled(device: &Device, words: &[String], judge: &mut Judge) {
    let Detail::Fan(fan) = &device.detail else { return };
    let named = named(words, &COOLED);
    // The fan of the electronics is mostly that of their case.
    let alike = |one: Cooled| {
        one == fan.cools
            || [one, fan.cools]
                .iter()
                .all(|of| matches!(of, Cooled::Board | Cooled::Case))
    };
    if named.is_empty() || named.into_iter().any(alike) {
        return;
    }
    let stated = format!("it cools `{}`", fan.cools.word());
    say(
        judge,
        device,
        ("use", Stake::Hardware),
        device.name.place,
        &stated,
    );
}

fn moved(swap: &Swap, device: &Device, words: &[String], judge: &mut Judge) {
    let axis = match &device.detail {
        Detail::Motor(motor) => motor.axis,
        Detail::LimitSwitch { axis, .. } => *axis,
        _ => return,
    };
    let axes = &swap.machine.axes;
    let is_named = |name: &Name| {
        let name = name.value.to_lowercase();
        let numbered = |word: &String| {
            // "Z2" is the second one of Z. A letter that is a word of its own says nothing: "a".
            let letter = word.trim_end_matches(|digit: char| digit.is_ascii_digit());
            *word == name || letter == name && name.len() == 1
        };
        let named = |(at, word): (usize, &String)| numbered(word) && !is_place(words, at + 1);
        name != "a" && words.iter().enumerate().any(named)
    };
    let mut named = axes.iter().filter(|other| is_named(&other.name)).peekable();
    let own = swap.machine.axis(axis);
    if named.peek().is_none() || named.any(|other| other.name.value == own.name.value) {
        return;
    }
    say(
        judge,
        device,
        ("axis", Stake::Hardware),
        device.name.place,
        own.name.value.as_str(),
    );
}

/// Voltages that a name states, as "24 V", "24V", "230VAC" and "12-24 V" do.
fn voltages(words: &[String]) -> Vec<f64> {
    const UNITS: [&str; 6] = ["v", "vdc", "vac", "volt", "volts", "kv"];
    let mut out = Vec::new();
    for (at, word) in words.iter().enumerate() {
        let end = word
            .find(|letter: char| !letter.is_ascii_digit() && letter != '.')
            .unwrap_or(word.len());
        let (number, unit) = word.split_at(end);
        let Ok(number) = number.parse::<f64>() else {
            continue;
        };
        let next = words.get(at + 1).map_or("", String::as_str);
        // A range or a pair: the unit stands behind the last number.
        let behind = words.get(at + 2).map_or("", String::as_str);
        let pair = next.bytes().next().is_some_and(|first| first.is_ascii_digit())
            && (UNITS.contains(&behind) || UNITS.iter().any(|unit| next.ends_with(unit)));
        let has_unit = UNITS.contains(&unit) || unit.is_empty() && (UNITS.contains(&next) || pair);
        if has_unit && unit != "kv" && next != "kv" && number > 0.0 {
            out.push(number);
        }
    }
    out
}

/// Whether a name says that the device is at mains voltage.
fn at_mains(words: &[String]) -> bool {
    let mains = |at: usize| {
        let next = words.get(at + 1).map_or("", String::as_str);
        words[at] == "mains" && !NEAR_MAINS.contains(&next)
    };
    words.iter().any(|word| {
        word == "vac" || word.ends_with("vac") && word.starts_with(|first: char| first.is_ascii_digit())
    }) || (0..words.len()).any(mains)
}

fn fed(device: &Device, words: &[String], judge: &mut Judge) {
    let supply = matches!(device.detail, Detail::Supply(_));
    let Some(rated) = loads::rated(&device.detail) else {
        return;
    };
    let relay = match &device.detail {
        Detail::Heater(heater) => heater.relay.as_ref().map(|_| &heater.voltage),
        _ => None,
    };
    let all: Vec<Value<ElectricPotential>> = [Some(rated), relay]
        .into_iter()
        .flatten()
        .map(|own| own.value)
        .collect();
    let near = |volts: f64| {
        all.iter().any(|own| {
            let (low, high) = (own.low().base() / ROUND, own.high().base() * ROUND);
            (low..=high).contains(&volts)
        })
    };
    let mut named = voltages(words);
    let low = rated.high().base() < 60.0;
    if supply {
        named.retain(|volts| *volts < INPUT_OF_SUPPLY);
    }
    // What switches a load of the mains may be called by it.
    let mains = low && !supply && relay.is_none() && at_mains(words);
    let otherwise = !named.is_empty() && !named.into_iter().any(near);
    if mains || otherwise {
        let stated = brief(rated.nominal());
        say(judge, device, ("voltage", Stake::Safety), rated.place, &stated);
    }
    power(device, words, judge);
}

/// The power that a name states, as "40 W" and "40W" do.
fn power(device: &Device, words: &[String], judge: &mut Judge) {
    let stated = match &device.detail {
        Detail::Heater(heater) => heater.power,
        Detail::Supply(supply) => supply.power,
        _ => return,
    };
    let named = words.iter().enumerate().find_map(|(at, word)| {
        let alone = words
            .get(at + 1)
            .is_some_and(|next| next == "w" || next == "watt" || next == "watts");
        let number = word.strip_suffix('w').or(alone.then_some(word.as_str()))?;
        number.parse::<f64>().ok().filter(|watts| *watts > 0.0)
    });
    let Some(named) = named else { return };
    let (low, high) = (stated.low().base() / ROUND, stated.high().base() * ROUND);
    if !(low..=high).contains(&named) {
        let power = brief(si::watt(stated.nominal().base()));
        say(judge, device, ("power", Stake::Safety), stated.place, &power);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn voltages_of_names() {
        for (name, volts) in [
            ("board fan 230 VAC", vec![230.0]),
            ("24V fan", vec![24.0]),
            ("fan, 12-24 V", vec![12.0, 24.0]),
            ("5 V strip", vec![5.0]),
            ("230VAC bed", vec![230.0]),
            ("fan 40 mm", vec![]),
            ("strip of 20 lights", vec![]),
            ("V-slot fan", vec![]),
        ] {
            assert_eq!(voltages(&words(name)), volts, "{name}");
        }
    }
}
