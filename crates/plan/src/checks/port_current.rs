//! The largest current of the device against the rating of the port.

use model::Track;
use model::machine::Detail;
use physics::{electrics, named, work};
use quantity::Value;

use crate::bearing::{TooMuch, contact_rating, external_switch};
use crate::finding::{Finding, Side, Verdict};
use crate::harness::Part;
use crate::judge::Judge;
use crate::loads;
use crate::setup::Pair;

pub(crate) const ID: &str = "port-current";

/// A heater takes its cold current at the highest rail voltage, and that of its hot track for long; other loads take their
/// stated largest current.
///
/// A heater that is too strong for port, contact or switch goes over an external switch; this check alone names that part.
pub(crate) fn check(pair: &Pair<'_>, judge: &mut Judge) {
    if matches!(pair.device().detail, Detail::Motor(_) | Detail::Supply(_)) || pair.way.own_supply {
        return;
    }
    let (Some(current), Some(rating)) = (pair.current(), pair.port().current) else {
        return;
    };
    let most = Value::exact(current.high());
    if let Some(weak) = external_switch(pair) {
        judge.mended(Part::one("external heater switch"), || {
            let (device, port) = (pair.device_name(), pair.port_name());
            let (why, bound) = match weak {
                TooMuch::Port => (format!("{port} gives {}", rating.value), rating.value),
                TooMuch::Contact => {
                    let contact = contact_rating(pair).unwrap_or(rating.value);
                    (format!("a contact of {port} bears {contact}"), contact)
                }
                TooMuch::Switch => (format!("the switch of {port} would get too hot"), rating.value),
            };
            let remedy = format!(
                "let {port} drive an external switch for at least {most}, with a fuse and a lead of its own from the supply"
            );
            let headline = format!("{device} draws up to {most}, {why}: it goes over an external switch");
            let finding = Finding::new(headline, "common-practice").at(rating.place).remedy(remedy);
            heater_working(pair, finding).against(current, Side::AtMost, bound)
        });
        return;
    }
    let share = pair.limits().port_continuous_share.value;
    let long = pair.long_current().unwrap_or(current);
    let finding = || {
        let headline = format!(
            "{} draws up to {most} from {}, which gives {}",
            pair.device_name(),
            pair.port_name(),
            rating.value
        );
        let finding = Finding::new(headline, "common-practice").at(rating.place);
        heater_working(pair, finding)
    };
    if current.high() > rating.low() {
        judge.at_most(current, rating.value, Verdict::Blocker, || {
            finding().remedy(format!("use a port that gives at least {most}"))
        });
        return;
    }
    judge.at_most(long, share * rating.value, Verdict::Caution, || {
        finding().remedy(format!(
            "use a port that gives at least {}: ratings of ports hold for short runs in free air",
            Value::exact(long.high()) / share
        ))
    });
}

/// How the current of a heater came about; other currents are stated.
fn heater_working(pair: &Pair<'_>, finding: Finding) -> Finding {
    let (Detail::Heater(heater), Some(voltage)) = (&pair.device().detail, pair.rail_voltage()) else {
        return finding;
    };
    let mut finding = finding;
    let cold = pair.limits().ambient_cold_start.value;
    let hot = heater.working_temperature.value;
    let states = [(cold, "cold"), (hot, "at its working temperature")];
    let count = if heater.track == Track::Copper { 2 } else { 1 };
    for (temperature, when) in states.into_iter().take(count) {
        let inputs = (
            named("U", "voltage of the rail", voltage),
            named(
                "R",
                format!("resistance of the heater, {when}"),
                loads::resistance_at(heater, temperature),
            ),
        );
        let worked = work(&electrics::RESISTIVE_CURRENT, "I", inputs, |(u, r)| {
            electrics::resistive_current(u, r)
        });
        finding = finding.working(worked.working);
    }
    finding
}
