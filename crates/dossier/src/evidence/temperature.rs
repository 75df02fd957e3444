//! Temperature logs: which heater of the machine a channel is, and whether the log fits what its file says.

use evidence::read::{Channel, Log, TemperatureScale, WhatIsKnown, Words};
use evidence::temperature::{Analysis, Ask, analyse};
use evidence::{Refused, Trouble};
use model::machine::{Detail, Heater};
use model::{Scale, Zone};
use quantity::si::{Frequency, Time, celsius, hertz, kelvin};
use quantity::{Number as _, Value};
use settings::{Dialect, Meaning};

use super::Job;

/// A process whose gain is further than this from what the machine's file says is likely that of another part.
const FAR: f64 = 2.5;

/// What swap and dialect tell about a log.
pub(super) fn known(job: &Job<'_>) -> WhatIsKnown {
    let keys = job.keys;
    WhatIsKnown {
        words: words(Dialect::common()),
        interval: keys.interval.as_ref().map(|interval| interval.nominal()),
        scale: keys.scale.as_ref().map(|scale| match scale.value {
            Scale::Celsius => TemperatureScale::Celsius,
            Scale::Fahrenheit => TemperatureScale::Fahrenheit,
            Scale::Kelvin => TemperatureScale::Kelvin,
        }),
        full_duty: keys.full_duty.as_ref().map(|full| f64::from(full.value)),
    }
}

/// Reports are numbers behind labels; a drive belongs to the temperature whose label it begins with, else to that of the hot end.
fn words(dialect: &Dialect) -> Words {
    let reports = || {
        dialect.rows().iter().filter_map(|row| match &row.meaning {
            Meaning::Report { label, what, unit } => Some((label, what, unit)),
            _ => None,
        })
    };
    let temperatures: Vec<String> = reports()
        .filter(|(_, _, unit)| *unit == "°C")
        .map(|(label, _, _)| label.clone())
        .collect();
    let first = temperatures.first().cloned().unwrap_or_default();
    let duties = reports()
        .filter(|(_, what, _)| what.starts_with("drive"))
        .map(|(label, _, _)| {
            let own = temperatures
                .iter()
                .filter(|temperature| {
                    label.len() > temperature.len() && label.starts_with(temperature.as_str())
                })
                .max_by_key(|temperature| temperature.len());
            (label.clone(), own.cloned().unwrap_or_else(|| first.clone()))
        })
        .collect();
    Words { temperatures, duties }
}

/// Looks at the heaters of a log that the entry is about.
pub(super) fn analyses(job: &Job<'_>, log: &Log) -> Result<Vec<Analysis>, Refused> {
    let channels = wanted(job, log)?;
    let several = channels.len() > 1;
    let mut out = Vec::new();
    let mut refused = Vec::new();
    for channel in channels {
        match analyse(log, channel, ask(job, channel, several)) {
            Ok(mut analysis) => {
                analysis.troubles.extend(misfit(job, &analysis));
                out.push(analysis);
            }
            Err(why) => refused.push((channel, why)),
        }
    }
    // One heater of several that says nothing is told with the others; alone it refuses the file.
    match (out.first_mut(), refused) {
        (Some(first), refused) => {
            let told = refused.into_iter().map(|(channel, why)| {
                Trouble::of_all(format!("nothing can be said about `{}`: {why}", channel.name))
            });
            first.troubles.extend(told);
            Ok(out)
        }
        (None, refused) => Err(refused.into_iter().next().map_or_else(
            || Refused::new("the log has no heater", "a log with a temperature"),
            |(_, why)| why,
        )),
    }
}

fn ask(job: &Job<'_>, channel: &Channel, several: bool) -> Ask {
    let zone = zone(job).filter(|_| !several).or_else(|| zone_of(&channel.name));
    let ambient = job
        .context
        .map(|context| context.swap.ambient.temperature.nominal());
    Ask {
        name: zone.map_or_else(|| channel.name.clone(), |zone| zone.word().to_owned()),
        ambient: ambient.unwrap_or(celsius(22.0)),
        within: job
            .keys
            .within
            .as_ref()
            .map_or(kelvin(1.0), |within| within.nominal()),
        pulses: Some(pulses(job)),
    }
}

/// How often a board usually pulses a heater. No board's file states it: it is a matter of the program on the board.
fn pulses(job: &Job<'_>) -> Value<Frequency> {
    let period = job.limits().control_pulse_period.value;
    let often = |period: Time| hertz(period.base().recip());
    Value::between(often(period.high()), often(period.nominal()), often(period.low()))
}

/// The heated part that the entry's devices belong to.
fn zone(job: &Job<'_>) -> Option<Zone> {
    job.devices().find_map(|device| match &device.detail {
        Detail::Heater(heater) => Some(heater.zone),
        Detail::Thermometer(thermometer) => Some(thermometer.zone),
        _ => None,
    })
}

/// The heated part that a name in a log means: the words of the dialect, or the words of people.
fn zone_of(name: &str) -> Option<Zone> {
    let lower = name.to_lowercase();
    let of_label = Dialect::common().label(name).map(|(what, _)| what.to_owned());
    let said = of_label.unwrap_or(lower);
    Zone::ALL.iter().copied().find(|zone| {
        let word = zone.word();
        said.contains(word) || said.contains(&word.replace(' ', ""))
    })
}

fn wanted<'l>(job: &Job<'_>, log: &'l Log) -> Result<Vec<&'l Channel>, Refused> {
    let names = || {
        let all: Vec<String> = log
            .channels
            .iter()
            .map(|channel| format!("`{}`", channel.name))
            .collect();
        all.join(", ")
    };
    if let Some(name) = &job.keys.channel {
        return log
            .channel(&name.value)
            .map(|channel| vec![channel])
            .ok_or_else(|| {
                let mend = match &log.channels[..] {
                    [only] if only.name.is_empty() => {
                        "leave `channel` out: the log has one temperature, and no name for it".to_owned()
                    }
                    _ => format!("name one that it has as `channel`: {}", names()),
                };
                Refused::new(format!("the log has no `{}`", name.value), mend)
            });
    }
    let Some(zone) = zone(job) else {
        return Ok(log.channels.iter().collect());
    };
    let of_zone: Vec<&Channel> = log
        .channels
        .iter()
        .filter(|channel| zone_of(&channel.name) == Some(zone))
        .collect();
    if let [first, ..] = of_zone[..] {
        return Ok(vec![first]);
    }
    match &log.channels[..] {
        [only] if zone_of(&only.name).is_none() => Ok(vec![only]),
        _ => Err(Refused::new(
            format!("the entry is about the {zone}, the log about {}", names()),
            "name the device that was logged, or what the log calls it as `channel`",
        )),
    }
}

/// Whether the process looks like another part than the machine's file says.
fn misfit(job: &Job<'_>, analysis: &Analysis) -> Option<Trouble> {
    let heater: &Heater = job.devices().find_map(|device| match &device.detail {
        Detail::Heater(heater) => Some(heater),
        _ => None,
    })?;
    let loss = heater.heat_loss.as_ref()?;
    let process = analysis.process.as_ref().ok()?;
    let stated = heater.power.nominal().base() / loss.nominal().base();
    let found = process.gain.nominal().base();
    let apart = (found / stated).max(stated / found);
    (apart > FAR).then(|| {
        Trouble::of_all(format!(
            "full power would raise it by {found:.0} K, power and heat loss of the machine's file say {stated:.0} K: \
             a log of another heater, or a file to mend?"
        ))
    })
}
