//! The largest current of the device against the rating of the port.

use physics::{electrics, named, work};
use quantity::{Value, si};

use crate::finding::{Finding, Verdict};
use crate::judge::Judge;
use crate::loads;
use crate::setup::Pair;
use model::machine::Detail;

pub(crate) const ID: &str = "port-current";

/// A heater takes its cold current at the highest rail voltage; other loads take their stated largest current.
pub(crate) fn check(pair: &Pair<'_>, judge: &mut Judge) {
    if matches!(pair.device().detail, Detail::Motor(_) | Detail::Supply(_)) || pair.way.own_supply {
        return;
    }
    let (Some(current), Some(rating)) = (pair.current(), pair.port().current) else { return };
    let limit = rating.value;
    judge.at_most(current, limit, Verdict::Blocker, || {
        let headline = format!("{} draws up to {} from {}, which gives {}", pair.device_name(), current, pair.port_name(), limit);
        let finding = Finding::new(headline, "common-practice").at(rating.place).remedy(format!(
            "use a port that gives at least {}, or switch the load with an external switch",
            Value::exact(current.high())
        ));
        match (&pair.device().detail, pair.rail_voltage()) {
            (Detail::Heater(heater), Some(voltage)) => {
                let cold = loads::resistance_at(heater, Value::exact(si::celsius(20.0)));
                let inputs = (named("U", "voltage of the rail", voltage), named("R", "cold resistance of the heater", cold));
                let worked = work(&electrics::RESISTIVE_CURRENT, "I", inputs, |(u, r)| electrics::resistive_current(u, r));
                finding.working(worked.working)
            }
            _ => finding,
        }
    });
}
