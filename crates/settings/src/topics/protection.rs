//! The protection window: narrow enough for a slipped thermometer, wide enough for a healthy heat-up at the worst corner.

use model::Zone;
use model::machine::{Detail, Heater};
use plan::Pair;
use plan::heating::Heating;
use plan::protection::{Protection, Usual};
use quantity::si::{ThermodynamicTemperature, Time};
use quantity::{Number, Value};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, SettingValue};
use crate::topics::control::{heater, told};
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for zone in [Zone::HotEnd, Zone::Bed, Zone::Chamber] {
        let Some((pair, heater)) = heater(job, zone) else {
            continue;
        };
        highest(job, zone, &pair, heater, list);
        lowest(job, zone, list);
        fall(job, zone, &pair, list);
        rise(job, zone, &pair, list);
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
    let (fall, time, reason, caution) = match windows(job, zone, pair, list) {
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
                "{room}A healthy part falls by {} at the most. A sensor that comes off while hot is noticed within {}{}.",
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

/// The windows that follow from the machine's figures, under the controller that this plan tells; `None` where its file does not tell enough.
fn windows(job: &Job<'_>, zone: Zone, pair: &Pair<'_>, list: &List<'_>) -> Option<Protection> {
    let facts = job.setup.facts();
    let heating = facts.heating(pair.id)?;
    match told(list, zone) {
        Some(pid) => Protection::under(heating, facts.thermometer(heating), facts.control(heating)?, pid),
        None => facts.protection(heating).cloned(),
    }
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

fn rise(job: &Job<'_>, zone: Zone, pair: &Pair<'_>, list: &mut List<'_>) {
    match windows(job, zone, pair, list) {
        Some(windows) if windows.rise.is_some() => computed_rise(zone, pair, &windows, list),
        Some(windows) => open_rise(zone, pair, &none_fits(&windows), true, list),
        None if zone == Zone::HotEnd => usual_rise(job, zone, pair, list),
        None => open_rise(zone, pair, UNKNOWN, false, list),
    }
}

const UNKNOWN: &str = "Open: how fast this part heats up is not known, and beds differ too much for a usual figure. State `heat_capacity` or bodies, \
                       `thermal_conductance` and `temperature_limit`; until then keep what the controller has.";

fn none_fits(windows: &Protection) -> String {
    let cause = if windows.arrives() {
        "near its setpoint the controller takes off power, and the rise that is left does not stand out of the noise"
    } else {
        "at the worst corner of its tolerances it does not reach its setpoint"
    };
    format!(
        "Open: every heat-up monitoring would trip on a healthy machine, since {cause}. Lower the setpoint, insulate, or measure heat capacity, loss \
         and power."
    )
}

/// No monitoring is proposed: a wrong one trips on a healthy machine, and is then switched off.
fn open_rise(zone: Zone, pair: &Pair<'_>, reason: &str, caution: bool, list: &mut List<'_>) {
    for topic in [Topic::HeatUpRise, Topic::HeatUpTime] {
        list.push(
            Draft::new(topic, zone.word(), Fate::New, reason)
                .caution(caution)
                .at(pair),
        );
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
        "{room}Simulated under the controller of this plan at all corners, a healthy heat-up rises by at least {} in that time. At the worst moment of it, {}, a detached sensor is noticed \
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

/// What is usual for a hot end, where the machine's file does not tell enough.
fn usual_rise(job: &Job<'_>, zone: Zone, pair: &Pair<'_>, list: &mut List<'_>) {
    let Some(usual) = usual(job, pair) else { return };
    list.push(
        Draft::new(
            Topic::HeatUpRise,
            zone.word(),
            Fate::New,
            "Assumed. A sensor that has fallen out shows none; steps and noise of its input show less, with a margin.",
        )
        .value(SettingValue::exact(usual.rise))
        .at(pair),
    );
    let reason = format!(
        "Assumed: a part that takes {} to get hot shows the rise within that time, behind its dead time, with a margin. State its heat capacity \
         and its loss, and it is simulated.",
        Value::exact(usual.heat_up)
    );
    list.push(
        Draft::new(Topic::HeatUpTime, zone.word(), Fate::New, reason)
            .value(SettingValue::exact(usual.rise_time))
            .at(pair),
    );
}
