//! The protection window: narrow enough for a slipped thermometer, wide enough for a healthy heat-up at the worst corner.

use model::machine::{Detail, Heater};
use model::{Element, Zone};
use physics::{Worked, electrics, heat, named, work};
use plan::Pair;
use plan::heating::Heating;
use plan::protection::{Protection, Usual};
use quantity::si::{Power, TemperatureInterval, ThermodynamicTemperature, Time};
use quantity::{Number, Value, si};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, SettingValue};
use crate::topics::control::heater;
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for zone in [Zone::HotEnd, Zone::Bed, Zone::Chamber] {
        let Some((pair, heater)) = heater(job, zone) else {
            continue;
        };
        highest(job, zone, &pair, heater, list);
        lowest(job, zone, list);
        fall(job, zone, &pair, list);
        rise(job, zone, &pair, heater, list);
    }
}

/// The lowest of what asks for a switch-off: a little above the work, below the weakest part, inside the thermometer's range.
fn highest(job: &Job<'_>, zone: Zone, pair: &Pair<'_>, heater: &Heater, list: &mut List<'_>) {
    let headroom = pair.limits().thermometer_headroom.value.nominal();
    let work = heater.working_temperature.value.high();
    let above = ThermodynamicTemperature::from_base(work.base() + headroom.base());
    let mut bounds = vec![(
        above,
        format!(
            "{} above the {} that is asked of it",
            Value::exact(headroom),
            Value::exact(work)
        ),
    )];
    if let Some(weakest) = pair.facts().heating().and_then(Heating::weakest) {
        bounds.push((
            weakest.low(),
            "what its weakest part bears at the least".to_owned(),
        ));
    }
    bounds.extend(
        thermometer_end(job, zone).map(|end| (end, "where the table of its thermometer ends".to_owned())),
    );
    let lowest = bounds
        .iter()
        .fold(above, |lowest, (bound, _)| lowest.smaller(*bound));
    let why = bounds
        .iter()
        .find(|(bound, _)| *bound == lowest)
        .map_or("", |(_, why)| why.as_str());
    let tight = lowest < above;
    let mut reason = format!("It is {why}.");
    if tight {
        let most = ThermodynamicTemperature::from_base(lowest.base() - headroom.base());
        reason = format!(
            "{reason} That leaves less than {} above the work: overshoot trips it. Work at {} at the most, or change what is weakest.",
            Value::exact(headroom),
            Value::exact(most)
        );
    }
    list.push(
        Draft::new(Topic::HighestTemperature, zone.word(), Fate::New, reason)
            .value(SettingValue::exact(lowest))
            .caution(tight)
            .at(pair),
    );
}

/// Between the coldest room and what a broken thermometer reads like, where the input parts the two.
fn lowest(job: &Job<'_>, zone: Zone, list: &mut List<'_>) {
    let thermometer = job.setup.pairs().find(
        |pair| matches!(&pair.device().detail, Detail::Thermometer(thermometer) if thermometer.zone == zone),
    );
    let Some((pair, lowest)) = thermometer.and_then(|pair| Some((pair, plan::refuse_below(&pair.facts())?)))
    else {
        return;
    };
    list.push(
        Draft::new(
            Topic::LowestTemperature,
            zone.word(),
            Fate::New,
            "A broken thermometer reads colder than this, and would be heated without end; the coldest room stays above it.",
        )
        .value(SettingValue::exact(lowest))
        .at(&pair),
    );
}

fn thermometer_end(job: &Job<'_>, zone: Zone) -> Option<ThermodynamicTemperature> {
    job.setup.pairs().find_map(|pair| match &pair.device().detail {
        Detail::Thermometer(thermometer) if thermometer.zone == zone => {
            let kind = pair
                .swap
                .catalogue
                .thermometers()
                .get(&thermometer.sensor.value)?;
            let table = kind.points.last().map(|point| point.temperature);
            Some(table.map_or(kind.usable.high(), |end| end.smaller(kind.usable.high())))
        }
        _ => None,
    })
}

fn fall(job: &Job<'_>, zone: Zone, pair: &Pair<'_>, list: &mut List<'_>) {
    let limits = pair.limits();
    let Some(usual) = usual(job, pair) else { return };
    let (fall, time, reason, caution) = match windows(job, pair) {
        None => (
            usual.fall,
            usual.fall_time,
            format!(
                "A healthy part falls by {} at the most; that with a margin, for a dead time with a margin. More is not known of this part: its \
                 capacity, its loss and what its weakest part bears would tell how soon harm begins.",
                Value::exact(limits.protection_healthy_fall.value.high())
            ),
            false,
        ),
        Some(windows) => {
            let window = windows.fall;
            let holds = windows.fall_holds();
            let room = if holds {
                ""
            } else {
                "That leaves too little room: read the finding. "
            };
            let reason = format!(
                "{room}A healthy part falls by {} at the most. A thermometer that slips out while hot is noticed within {}{}.",
                Value::exact(window.healthy),
                at_the_latest(window.caught_after),
                before_harm(window.harm_after)
            );
            (window.fall, window.time, reason, !holds)
        }
    };
    list.push(
        Draft::new(Topic::ProtectionFall, zone.word(), Fate::New, reason.clone())
            .value(SettingValue::exact(fall))
            .caution(caution)
            .at(pair),
    );
    list.push(
        Draft::new(Topic::ProtectionTime, zone.word(), Fate::New, reason)
            .value(SettingValue::exact(rounded_down(time)))
            .caution(caution)
            .at(pair),
    );
}

/// The windows that follow from the machine's figures; `None` where its file does not tell enough.
fn windows(job: &Job<'_>, pair: &Pair<'_>) -> Option<Protection> {
    let facts = job.setup.facts();
    facts.protection(facts.pair(pair.id)?.heating()?).cloned()
}

/// The windows for a part of which no more is known than its dead time.
fn usual(job: &Job<'_>, pair: &Pair<'_>) -> Option<Usual> {
    let facts = job.setup.facts();
    let heater = facts.pair(pair.id)?;
    let thermometer = heater.heating().and_then(|heating| facts.thermometer(heating));
    Usual::of(heater, thermometer)
}

fn before_harm(harm: Time) -> String {
    if harm.base().is_finite() {
        format!(
            "; harm begins after {} at the earliest",
            Value::exact(Time::from_base(harm.base().floor()))
        )
    } else {
        "; nothing that it heats is harmed".to_owned()
    }
}

/// Up, since it is a promise.
fn at_the_latest(time: Time) -> Value<Time> {
    Value::exact(Time::from_base(time.base().ceil()))
}

fn rounded_down(time: Time) -> Time {
    Time::from_base(time.base().floor().max(1.0))
}

fn rise(job: &Job<'_>, zone: Zone, pair: &Pair<'_>, heater: &Heater, list: &mut List<'_>) {
    match windows(job, pair) {
        Some(windows) if windows.rise.is_some() => computed_rise(zone, pair, &windows, list),
        computed => usual_rise(job, zone, pair, heater, computed.is_some(), list),
    }
}

fn computed_rise(zone: Zone, pair: &Pair<'_>, windows: &Protection, list: &mut List<'_>) {
    let Some(window) = windows.rise else { return };
    let holds = windows.rise_holds();
    let room = if holds {
        ""
    } else {
        "That leaves too little room: read the finding. "
    };
    let reason = format!(
        "{room}The slowest healthy heat-up still rises by {} in that time. At the worst moment of it, {}, a thermometer that slips out is noticed \
         within {}{}.",
        Value::exact(window.healthy),
        if windows.under_way(&window) {
            format!("just as it reads {}", Value::exact(window.worst.reading))
        } else {
            "before it begins".to_owned()
        },
        at_the_latest(window.caught_after),
        before_harm(window.harm_after)
    );
    list.push(
        Draft::new(Topic::HeatUpRise, zone.word(), Fate::New, reason.clone())
            .value(SettingValue::exact(window.rise))
            .caution(!holds)
            .at(pair),
    );
    list.push(
        Draft::new(Topic::HeatUpTime, zone.word(), Fate::New, reason)
            .value(SettingValue::exact(window.time))
            .caution(!holds)
            .at(pair),
    );
}

/// What is usual, where the machine's file does not tell enough, or where no window fits.
fn usual_rise(
    job: &Job<'_>,
    zone: Zone,
    pair: &Pair<'_>,
    heater: &Heater,
    none_fits: bool,
    list: &mut List<'_>,
) {
    let Some(usual) = usual(job, pair) else { return };
    let rise = usual.rise;
    list.push(
        Draft::new(
            Topic::HeatUpRise,
            zone.word(),
            Fate::New,
            "A sensor that has fallen out shows none; steps and noise of its input show less, with a margin.",
        )
        .value(SettingValue::exact(rise))
        .at(pair),
    );
    let slowest = slowest(job, pair, heater, rise);
    let (value, reason, caution) = match &slowest {
        None => {
            let reason = format!(
                "A part that takes {} to get hot shows the rise within that time, behind its dead time, with a margin. Its capacity and its loss \
                 would tell more.",
                Value::exact(usual.heat_up)
            );
            (usual.rise_time, reason, false)
        }
        Some(slowest) => watch(usual.rise_time, slowest.value),
    };
    let (reason, caution) = if none_fits {
        let reason = format!("No watch keeps its margins before harm: read the finding. {reason}");
        (reason, true)
    } else {
        (reason, caution)
    };
    list.push(
        Draft::new(Topic::HeatUpTime, zone.word(), Fate::New, reason)
            .value(SettingValue::exact(value))
            .caution(caution)
            .working(slowest.map(|slowest| slowest.working))
            .at(pair),
    );
}

/// A longer watch would let a thermometer that has slipped off heat a bed by tens of kelvins before it trips.
const LONGEST_WATCH_S: f64 = 120.0;

/// The time of the watch: the usual one, or what the slowest healthy heat-up needs and half as much again.
fn watch(usual: Time, slowest: Value<Time>) -> (Time, String, bool) {
    let fives = |seconds: f64| Time::from_base((seconds / 5.0).ceil() * 5.0);
    let longest = si::second(LONGEST_WATCH_S);
    let needed = fives(slowest.high().base() * 1.5);
    if needed <= usual {
        let reason = format!(
            "A healthy heat-up shows the rise within {} even just below the highest temperature that is asked of it.",
            Value::exact(slowest.high())
        );
        return (usual, reason, false);
    }
    if needed <= longest {
        let reason = format!(
            "Just below the highest temperature that is asked of it, a healthy heat-up takes up to {} for that rise; half as much again.",
            Value::exact(slowest.high())
        );
        return (needed, reason, false);
    }
    // Twice the nominal time, since the worst corner is no measure any more.
    let value = usual.larger(fives(slowest.nominal().base() * 2.0).smaller(longest));
    let reason = "At the worst corner of its tolerances it hardly reaches the highest temperature that is asked of it, and the watch may trip \
                  there on a healthy machine. A longer one would not protect: ask for less, insulate, or measure its capacity and loss.";
    (value, reason.to_owned(), true)
}

/// The time for the last kelvins below the working temperature; `None` where the part is not known as a lumped body.
fn slowest(
    job: &Job<'_>,
    pair: &Pair<'_>,
    heater: &Heater,
    rise: TemperatureInterval,
) -> Option<Worked<Time>> {
    let (_, loss, capacity) = pair.facts().heating()?.lumped()?;
    let goal = heater.working_temperature.value.nominal();
    let start = ThermodynamicTemperature::from_base(goal.base() - rise.base());
    let air = job.setup.swap.ambient.temperature.value;
    let power = power_when_hot(pair, heater)?;
    let inputs = (
        named("ϑ", "highest temperature that is asked of it", Value::exact(goal)),
        named("ϑ₀", "the rise below it", Value::exact(start)),
        named("ϑₐ", "air", air),
        named("P", "power at that temperature", power),
        named("G", "heat lost per kelvin", loss),
        named("C", "heat capacity", capacity),
    );
    Some(work(
        &heat::TIME_TO,
        "t",
        inputs,
        |(goal, start, air, power, loss, capacity)| heat::time_to(goal, start, air, power, loss, capacity),
    ))
}

/// The power at the working temperature, from the voltage of the port and the resistance of the warm track.
pub(crate) fn power_when_hot(pair: &Pair<'_>, heater: &Heater) -> Option<Value<Power>> {
    let voltage = pair.facts().device_voltage()?;
    let at = match heater.element {
        Element::Copper => Value::exact(heater.working_temperature.value.nominal()),
        Element::Alloy => Value::exact(si::celsius(20.0)),
    };
    let resistance = plan::loads::resistance_at(heater, at);
    let inputs = (
        named("U", "voltage of the port", voltage),
        named("R", "resistance of the warm track", resistance),
    );
    Some(
        work(&electrics::HEATER_POWER, "P", inputs, |(u, r)| {
            electrics::heater_power(u, r)
        })
        .value,
    )
}
