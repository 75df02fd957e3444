//! The share of full power that a heater may be given: less than all where the new rail is above its rating.

use model::Zone;
use model::machine::Detail;
use quantity::si::Ratio;
use quantity::{Number, Value, si};

use crate::job::{Draft, Job, List};
use crate::setting::{Fate, SettingValue};
use crate::topics::control::power_at;
use model::Topic;

pub(crate) fn settings(job: &Job<'_>, list: &mut List<'_>) {
    let limit = job.setup.limits().heater_power_excess_caution.value.nominal();
    let mut zones: Vec<Zone> = Vec::new();
    for pair in job.setup.pairs() {
        let (Detail::Heater(heater), Some(voltage)) = (&pair.device().detail, pair.facts().heater_voltage())
        else {
            continue;
        };
        let of = if zones.contains(&heater.zone) {
            pair.device().tag.value.clone()
        } else {
            zones.push(heater.zone);
            heater.zone.word().to_owned()
        };
        // The tolerance of the heater itself is no excess: only the voltage is judged.
        let power = power_at(heater, "voltage of the new port", Value::exact(voltage.nominal()));
        let excess: Ratio = power.value.nominal() / heater.power.value.nominal();
        let above = excess > limit;
        let share = if above {
            (1.0 / excess.base() * 100.0).floor() / 100.0
        } else {
            1.0
        };
        let reason = if above {
            "On this rail the heater gives more than its rating: the share holds it to that. A stuck switch does not know of it: \
             a heater for this voltage is the remedy."
        } else {
            "The rail is what the heater is made for."
        };
        list.push(
            Draft::new(Topic::HeaterShare, of, Fate::New, reason)
                .value(SettingValue::exact(si::ratio(share)))
                .caution(above)
                .working([power.working])
                .at(&pair),
        );
    }
}
