//! Control terms of hot end, bed and chamber: a start where power or sensing changed, to be tuned again.

use model::Zone;
use model::machine::{Detail, Heater};
use physics::{Worked, electrics, named, work};
use plan::{Pair, heater_voltage};
use quantity::si::{ElectricPotential, Power};
use quantity::{Number, Value};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, SettingValue};
use crate::topic::Topic;
use crate::topics::thermometers::{reads_otherwise, sensed};
use crate::words::percent;

const TERMS: [Topic; 3] = [
    Topic::ControlProportional,
    Topic::ControlIntegral,
    Topic::ControlDerivative,
];

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    for zone in [Zone::HotEnd, Zone::Bed, Zone::Chamber] {
        if let Some((pair, heater)) = heater(job, zone) {
            terms(job, zone, &pair, heater, list);
        }
    }
}

/// The first connected heater of a part.
pub(crate) fn heater<'a>(job: &Job<'a>, zone: Zone) -> Option<(Pair<'a>, &'a Heater)> {
    job.setup.pairs().find_map(|pair| match &pair.device().detail {
        Detail::Heater(heater) if heater.zone == zone => Some((pair, heater.as_ref())),
        _ => None,
    })
}

/// The rated power at a voltage.
pub(crate) fn power_at(heater: &Heater, what: &str, voltage: Value<ElectricPotential>) -> Worked<Power> {
    let inputs = (
        named("Pᵣ", "rated power of the heater", heater.power.value),
        named("Uᵣ", "rated voltage of the heater", heater.voltage.value),
        named("U", what, voltage),
    );
    work(&electrics::POWER_AT_VOLTAGE, "P", inputs, |(p, r, u)| {
        electrics::power_at_voltage(p, r, u)
    })
}

/// The voltage at the old port; `None` for a new device, or where a jumper might have chosen any.
fn old_voltage(pair: &Pair<'_>) -> Option<Value<ElectricPotential>> {
    let rails = pair.swap.old.rails_of(pair.old_port()?);
    match rails[..] {
        [rail] => Some(plan::rail_voltage(pair.swap, &pair.swap.old, rail)),
        _ => None,
    }
}

fn terms(job: &Job<'_>, zone: Zone, pair: &Pair<'_>, heater: &Heater, list: &mut List<'_>) {
    let mut causes = Vec::new();
    let mut working = Vec::new();
    let mut factor = 1.0;
    if let (Some(before), Some(after)) = (old_voltage(pair), heater_voltage(pair)) {
        let (before, after) = (
            power_at(heater, "voltage of the old port", before),
            power_at(heater, "voltage of the new port", after),
        );
        let ratio = before.value.nominal().base() / after.value.nominal().base();
        if (ratio - 1.0).abs() > 0.02 {
            causes.push(format!(
                "the heater gives {} of the power it gave",
                percent(1.0 / ratio)
            ));
            working.extend([before.working, after.working]);
            factor = ratio;
        }
    }
    let sensing = sensed(job).into_iter().find(|sensed| sensed.detail.zone == zone);
    causes.extend(sensing.as_ref().and_then(|sensed| reads_otherwise(job, sensed)));
    let of = zone.word();
    for topic in TERMS {
        let old = job.old(topic, of);
        let start = old
            .as_ref()
            .and_then(|old| old.value.any())
            .map(|old| rounded(old.nominal * factor));
        let (fate, reason) = match (&old, &causes[..]) {
            (None, _) => (Fate::New, "Nothing was captured: tune it at the bring-up, under watch.".to_owned()),
            (Some(_), []) => (
                Fate::Carried,
                "Power and thermometer circuit stay. Controllers may sample at another pace: look at the first heat-up, and tune again if it swings."
                    .to_owned(),
            ),
            (Some(_), causes) => (
                Fate::MeasureAgain,
                format!("Tune it again, for {}. The value is a start, no more.", causes.join(" and ")),
            ),
        };
        list.push(
            Draft::new(topic, of, fate, reason)
                .old(old)
                .maybe(start.map(SettingValue::Number))
                .working(working.iter().cloned())
                .at(pair),
        );
    }
}

fn rounded(number: f64) -> f64 {
    (number * 1e4).round() / 1e4
}
