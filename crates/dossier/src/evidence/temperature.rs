//! Temperature logs: which heater of the machine a channel is, and whether the log fits what its file says.

use evidence::read::{Channel, Log, TemperatureScale, WhatIsKnown, Words};
use evidence::temperature::{Analysis, Ask, Process, analyse};
use evidence::{Refused, Trouble};
use model::machine::{Detail, Device, Heater};
use model::{Dialect, Meaning, Reports};
use model::{Scale, Zone};
use plan::heating::Heating;
use quantity::si::{Frequency, ThermodynamicTemperature, Time, celsius, hertz, kelvin};
use quantity::{Number as _, Value};

use super::{Context, Job};

/// What swap and dialect tell about a log.
pub(super) fn known(job: &Job<'_>) -> WhatIsKnown {
    let keys = job.keys;
    WhatIsKnown {
        words: words(job.dialect()),
        interval: keys.interval.as_ref().map(|interval| interval.nominal()),
        scale: keys.scale.as_ref().map(|scale| match scale.value {
            Scale::Celsius => TemperatureScale::Celsius,
            Scale::Fahrenheit => TemperatureScale::Fahrenheit,
            Scale::Kelvin => TemperatureScale::Kelvin,
        }),
        full_duty: keys.full_duty.as_ref().map(|full| f64::from(full.value)),
        full_duty_of_labels: full_duty(job.dialect()),
    }
}

/// The number for full duty behind the labels of a controller, where all its heaters count alike.
fn full_duty(dialect: &Dialect) -> Option<f64> {
    let mut all = dialect.rows().iter().filter_map(|row| match row.meaning {
        Meaning::Report {
            what: Reports::Drive,
            full,
            ..
        } => full,
        _ => None,
    });
    let first = all.next()?;
    all.all(|other| (other - first).abs() < f64::EPSILON)
        .then_some(first)
}

/// Reports are numbers behind labels; a drive belongs to the temperature of the same part.
fn words(dialect: &Dialect) -> Words {
    let of = |wanted: Reports| {
        dialect.rows().iter().filter_map(move |row| match &row.meaning {
            Meaning::Report {
                label, what, about, ..
            } if *what == wanted => Some((label, about)),
            _ => None,
        })
    };
    let temperatures: Vec<String> = of(Reports::Temperature).map(|(label, _)| label.clone()).collect();
    let first = temperatures.first().cloned().unwrap_or_default();
    let duties = of(Reports::Drive).map(|(label, about)| {
        let own = of(Reports::Temperature).find(|(_, of)| *of == about);
        (
            label.clone(),
            own.map_or_else(|| first.clone(), |(own, _)| own.clone()),
        )
    });
    Words {
        duties: duties.collect(),
        temperatures,
    }
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
                let misfit = misfit(job, &analysis);
                analysis.part_in_doubt = !misfit.is_empty();
                // First of all: whatever else is told is then told of the wrong part.
                analysis.troubles.splice(0..0, misfit);
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
            // What has to be switched off is read first.
            out.sort_by_key(|analysis| analysis.alarm.is_none());
            Ok(out)
        }
        (None, refused) => Err(refused.into_iter().next().map_or_else(
            || Refused::new("the log has no heater", "a log with a temperature"),
            |(_, why)| why,
        )),
    }
}

fn ask(job: &Job<'_>, channel: &Channel, several: bool) -> Ask {
    let zone = zone(job)
        .filter(|_| !several)
        .or_else(|| zone_of(job, &channel.name));
    let ambient = job
        .context
        .map(|context| context.swap.ambient.temperature.nominal());
    Ask {
        name: zone.map_or_else(|| channel.name.clone(), |zone| zone.word().to_owned()),
        ambient: ambient.unwrap_or(celsius(22.0)),
        within: match job.keys.tolerance.map(|tolerance| tolerance.value) {
            Some(model::Tolerance::Temperature(within)) => within.nominal(),
            _ => kelvin(1.0),
        },
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
fn zone_of(job: &Job<'_>, name: &str) -> Option<Zone> {
    let lower = name.to_lowercase();
    let of_label = job.dialect().label(name).map(|(_, about)| about.to_owned());
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
        .filter(|channel| zone_of(job, &channel.name) == Some(zone))
        .collect();
    if let [first, ..] = of_zone[..] {
        return Ok(vec![first]);
    }
    match &log.channels[..] {
        [only] if zone_of(job, &only.name).is_none() => Ok(vec![only]),
        _ => Err(Refused::new(
            format!("the entry is about the {zone}, the log about {}", names()),
            "name the device that was logged, or what the log calls it as `channel`",
        )),
    }
}

/// What plan and machine say of a heater.
struct Stated<'a> {
    device: &'a Device,
    heater: &'a Heater,
    /// Rise at full power in the end (K) and time constant (s); nothing where the files do not tell.
    gain: Option<f64>,
    lag: Option<f64>,
    /// What the weakest of its parts bears at best.
    bears: Option<ThermodynamicTemperature>,
}

impl Stated<'_> {
    /// By which factor the process is apart from what is stated, at worst; nothing where nothing is stated.
    fn apart(&self, process: &Process) -> Option<f64> {
        let factor =
            |stated: Option<f64>, found: f64| stated.map(|stated| (found / stated).max(stated / found));
        let gain = factor(self.gain, process.gain.nominal().base());
        let lag = factor(self.lag, process.lag.nominal().base());
        gain.into_iter().chain(lag).reduce(f64::max)
    }

    fn words(&self) -> String {
        let of = [
            self.gain.map(|gain| format!("a rise of {gain:.0} K")),
            self.lag.map(|lag| format!("a time constant of {lag:.0} s")),
        ];
        let of: Vec<String> = of.into_iter().flatten().collect();
        of.join(" and ")
    }

    fn name(&self) -> String {
        format!("{} ({})", self.device.tag.value, self.device.name.value)
    }
}

/// Every heater of the machine; with the voltage of the plan where it has a port there.
fn stated<'a>(context: &Context<'a>) -> Vec<Stated<'a>> {
    let facts = context.plan.facts();
    let heaters = context.swap.machine.heaters();
    heaters
        .map(|(device, heater)| {
            let planned = facts.heated().find(|own| std::ptr::eq(own.heater, heater));
            let lumped = planned.and_then(Heating::lumped);
            let alone = heater
                .thermal_conductance
                .map(|loss| (heater.power.nominal(), loss.value.nominal()));
            let (gain, lag) = match (lumped, alone) {
                (Some((power, loss, capacity)), _) => (
                    Some(power.nominal().base() / loss.nominal().base()),
                    Some(capacity.nominal().base() / loss.nominal().base()),
                ),
                (None, Some((power, loss))) => (
                    Some(power.base() / loss.base()),
                    heater
                        .heat_capacity
                        .map(|own| own.value.nominal().base() / loss.base()),
                ),
                (None, None) => (None, None),
            };
            let named = heater
                .parts
                .iter()
                .map(|part| part.temperature_limit.value.high());
            let weakest = heater.temperature_limit.map(|bears| bears.value.high());
            let bears = named
                .chain(weakest)
                .reduce(|one, other| if other < one { other } else { one });
            Stated {
                device,
                heater,
                gain,
                lag,
                bears,
            }
        })
        .collect()
}

/// Whether the log looks like that of another heater: by the process, and by the temperature that it reached.
fn misfit(job: &Job<'_>, analysis: &Analysis) -> Vec<Trouble> {
    // In another scale it would be another process, and another temperature.
    let Some(context) = job.context.as_ref().filter(|_| !analysis.scale_in_doubt) else {
        return Vec::new();
    };
    let own = job.devices().find_map(|device| match &device.detail {
        Detail::Heater(heater) => Some(&**heater),
        _ => None,
    });
    let all = stated(context);
    // A thermometer is logged with the heater of its part.
    let of_zone = zone(job).or_else(|| {
        Zone::ALL
            .iter()
            .copied()
            .find(|zone| zone.word() == analysis.ask.name)
    });
    let is_own = |one: &&Stated<'_>| match own {
        Some(heater) => std::ptr::eq(one.heater, heater),
        None => Some(one.heater.zone) == of_zone,
    };
    let Some(own) = all.iter().find(is_own) else {
        return Vec::new();
    };
    let others = all.iter().filter(|one| !std::ptr::eq(one.heater, own.heater));
    let hottest = analysis.hottest();
    let limits = job.limits();
    let (far, near) = (
        limits.measured_other_heater_far.value.nominal().base(),
        limits.measured_other_heater_near.value.nominal().base(),
    );
    let over = limits.measured_over_working.value.nominal();
    let mut out = Vec::new();
    if let Ok(process) = &analysis.process
        && let Some(apart) = own.apart(process)
    {
        let nearest = others
            .clone()
            .filter_map(|one| Some((one, one.apart(process)?)))
            .min_by(|(_, one), (_, other)| one.total_cmp(other))
            .filter(|(one, other)| *other < near && bears(one, hottest));
        let likelier = nearest.filter(|(_, other)| apart > near && *other * near < apart);
        if apart > far || likelier.is_some() {
            let who = likelier.map_or_else(String::new, |(one, _)| {
                format!("; it would fit {} ({})", one.name(), one.words())
            });
            out.push(Trouble::of_all(format!(
                "this looks like the log of another heater: it shows a rise of {:.0} K at full power and a time constant of {:.0} s, the files say \
                 {} of {}{who}; name the heater that was logged, or mend the machine's file",
                process.gain.nominal().base(),
                process.lag.nominal().base(),
                own.words(),
                own.name()
            )));
        }
    }
    let working = own.heater.working_temperature.value.high();
    if !bears(own, hottest) || hottest > working + over {
        let limit = own.bears.map_or_else(String::new, |bears| {
            format!(", and its weakest part bears {} at most", Value::exact(bears))
        });
        let who: Vec<String> = others
            .filter(|one| {
                bears(one, hottest) && hottest <= one.heater.working_temperature.value.high() + over
            })
            .map(Stated::name)
            .collect();
        let who = if who.is_empty() {
            String::new()
        } else {
            format!("; {} may be as hot", who.join(", "))
        };
        out.push(Trouble::of_all(format!(
            "this looks like the log of another heater: it reached {}, no more than {} is asked of {}{limit}{who}; if it is the log of that heater \
             after all, look at its parts before it is heated again",
            Value::exact(hottest),
            Value::exact(working),
            own.name()
        )));
    }
    out
}

/// Whether all parts of a heater bear a temperature, as far as the files tell.
fn bears(stated: &Stated<'_>, temperature: ThermodynamicTemperature) -> bool {
    stated.bears.is_none_or(|bears| temperature <= bears)
}
