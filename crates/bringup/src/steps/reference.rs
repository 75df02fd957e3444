//! Every heated sensor against an independent thermometer near 100 °C, before its part is heated further.

use catalogue::Thermometer;
use model::machine::{Detail, Heater};
use plan::Pair;
use quantity::si::{TemperatureInterval, ThermodynamicTemperature};
use quantity::{Number, Value};

use crate::job::Job;
use crate::step::{Expected, Needs, Part, Phase, Step};

/// Two tables that agree at room temperature part as they get hot: at room temperature none of them is proved.
pub(crate) fn steps(job: &mut Job<'_>) {
    let mut parts: Vec<Part> = Vec::new();
    for pair in job.heaters() {
        if let Detail::Heater(heater) = &pair.device().detail {
            compare(job, &pair, heater, &mut parts);
        }
    }
    let mut step = Step::new(
        "reference",
        Phase::Heat,
        Needs::Heat,
        "Compare each heated sensor with an independent thermometer",
        "A table of another kind can agree at room temperature and be wrong when hot. Stale after any change of sensor, table or board.",
    )
    .parts(parts)
    .hazard("Burns: do not touch the part. Stay with the machine; drop the setpoint where the two thermometers part.")
    .act("With the part cold, fix a contact thermometer good to 1 K beside the sensor. Use the same block or plate, paste or tape, out of any fan's air. An infrared thermometer does not read bare metal.")
    .act("Set the temperature of the table. Wait until both readings have stood still for five minutes. Set nothing above it before this step has passed.")
    .otherwise("any other difference: set no higher temperature. Find out the sensor type, check its seat and the pull-up, set its table anew and repeat")
    .takes(2, 15);
    for id in job.all("thermometer-lost:") {
        step = step.after(id);
    }
    job.push_parted(step);
}

fn compare(job: &Job<'_>, pair: &Pair<'_>, heater: &Heater, parts: &mut Vec<Part>) {
    let tag = &pair.device().tag.value;
    let heated = if heater.relay.is_some() {
        plan::heated_name(pair.device())
    } else {
        tag.clone()
    };
    if !job.has(&format!("heat:{tag}")) {
        return;
    }
    let own = |other: &Pair<'_>| matches!(&other.device().detail, Detail::Thermometer(own) if own.zone == heater.zone);
    let limits = job.setup.limits();
    let goal = super::heaters::work_target(job, pair, heater);
    let target = limits.bringup_reference_temperature.value.nominal().smaller(goal);
    let most = limits.bringup_reference_difference.value;
    for sensor in job.setup.pairs().filter(own) {
        let own = &sensor.device().tag.value;
        if parts.iter().any(|part| part.id == format!("reference:{own}")) {
            continue;
        }
        let mut part = Part::of("reference", &sensor)
            .act(format!("set {} for {heated}", Value::exact(target)))
            .expect(Expected::at_most(
                format!("difference between {own} and the independent thermometer"),
                Value::exact(most.nominal()),
            ));
        for words in other_kinds(job, &sensor, target, goal) {
            part = part.act(words);
        }
        if tag != own {
            part = part.tag(tag);
        }
        parts.push(
            part.setting(format!(
                "thermometer-table:{}",
                heater.zone.word().replace(' ', "-")
            ))
            .after(format!("heat:{tag}")),
        );
    }
}

/// Kinds that read like this one at room temperature and otherwise at the target: how far the controller would read off, there and hot.
fn other_kinds(
    job: &Job<'_>,
    sensor: &Pair<'_>,
    target: ThermodynamicTemperature,
    goal: ThermodynamicTemperature,
) -> Vec<String> {
    let Detail::Thermometer(detail) = &sensor.device().detail else {
        return Vec::new();
    };
    let table = job.setup.swap.catalogue.thermometers();
    let Some(row) = table.get(&detail.sensor.value) else {
        return Vec::new();
    };
    let Some(own) = plan::curve(row) else {
        return Vec::new();
    };
    let limits = job.setup.limits();
    let room = job.setup.swap.ambient.temperature.value.nominal();
    // What no step at room temperature tells apart.
    let alike = limits.bringup_ambient_spread.value.high().base();
    let least = limits.bringup_reference_difference.value.nominal().base();
    let off = |kind: &Thermometer, at: ThermodynamicTemperature| {
        let resistance = plan::curve(kind)?.resistance(at).ok()?;
        Some(own.temperature(resistance).ok()?.base() - at.base())
    };
    let mut found: Vec<(f64, String)> = Vec::new();
    let others = table
        .rows()
        .iter()
        .filter(|kind| kind.name != row.name && !kind.kind_unknown);
    for kind in others {
        let (Some(cold), Some(warm)) = (off(kind, room), off(kind, target)) else {
            continue;
        };
        if cold.abs() > alike || warm.abs() < least && !row.kind_unknown {
            continue;
        }
        let side = |off: f64| {
            let kelvin = Value::exact(TemperatureInterval::from_base((off.abs() * 10.0).round() / 10.0));
            format!("{kelvin} too {}", if off < 0.0 { "low" } else { "high" })
        };
        let hot = off(kind, goal).filter(|_| goal > target);
        let hot = hot.map_or_else(String::new, |hot| {
            format!(", and {} at {}", side(hot), Value::exact(goal))
        });
        let words = format!("reads about {}: the sensor may be {}{hot}", side(warm), kind.name);
        found.push((warm.abs(), words));
    }
    found.sort_by(|one, other| one.0.total_cmp(&other.0));
    found
        .into_iter()
        .take(MOST_KINDS)
        .map(|(_, words)| words)
        .collect()
}

/// More than these are no help at the bench.
const MOST_KINDS: usize = 3;
