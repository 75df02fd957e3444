//! The largest current of the device against the rating of the port.

use model::machine::Detail;
use quantity::Value;

use crate::facts::PairFacts;
use crate::facts::budget::State;
use crate::facts::feed::EXTERNAL_SWITCH;
use crate::facts::harness::Part;
use crate::facts::ratings::{TooMuch, contact_rating};
use crate::rules::judging::{Finding, Judge, Side, Verdict};
use crate::rules::workings::{with_heater_current, with_long_rating};

pub(crate) const ID: &str = "port-current";

/// A heater takes its cold current at the highest rail voltage, and that of its hot track for long; other loads take their
/// stated largest current.
///
/// A heater that is too strong for port, contact or switch goes over an external switch; this check alone names that part.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    if matches!(pair.device().detail, Detail::Motor(_) | Detail::Supply(_)) {
        return;
    }
    let (Some(current), Some(rating)) = (pair.current(), pair.port().current) else {
        return;
    };
    let most = Value::exact(current.high());
    if let Some(weak) = pair.external_switch() {
        judge.mended(Part::one(EXTERNAL_SWITCH), || {
            let (device, port) = (pair.device_name(), pair.port_name());
            let (why, bound) = match weak {
                TooMuch::Port => (format!("{port} is rated for {}", rating.value), rating.value),
                TooMuch::Contact => {
                    let contact = contact_rating(pair.swap, pair.port()).unwrap_or(rating.value);
                    (format!("a contact of {port} is rated for {contact}"), contact)
                }
                TooMuch::Switch => (format!("the switch of {port} would get too hot"), rating.value),
            };
            let remedy = format!(
                "let {port} drive an external switch for at least {most}. Give that a fuse and a cable of its own from the supply"
            );
            let headline = format!("{device} goes over an external switch. It draws up to {most}, and {why}");
            let finding = Finding::new(headline, "common-practice").at(rating.place).remedy(remedy);
            with_heater_current(pair, &[State::HeatUp, State::Hot], finding).against(current, Side::AtMost, bound)
        });
        return;
    }
    // Behind a converter of its own the port carries what it feeds to the converter, or what comes back from the device.
    let Some(current) = pair.port_current() else {
        return;
    };
    let most = Value::exact(current.high());
    let share = pair.limits().port_continuous_share.value;
    let long = pair.long_port_current().unwrap_or(current);
    let finding = || {
        let for_long = if long.high() < current.high() {
            format!(" ({} continuously)", Value::exact(long.high()))
        } else {
            String::new()
        };
        let headline = format!(
            "{} draws up to {most}{for_long} from {}. That port is rated for {}, {} continuously",
            pair.device_name(),
            pair.port_name(),
            rating.value,
            share * rating.value
        );
        let finding = Finding::new(headline, "common-practice").at(rating.place);
        with_heater_current(pair, &[State::HeatUp, State::Hot], finding)
    };
    if current.high() > rating.low() {
        judge.at_most(current, rating.value, Verdict::Blocker, || {
            finding().remedy(format!("use a port rated for at least {most}"))
        });
        return;
    }
    judge.at_most(long, share * rating.value, Verdict::Caution, || {
        with_long_rating(finding(), share, pair.port_name(), rating.value).remedy(format!(
            "use a port rated for at least {}. Port ratings hold for short runs in free air",
            Value::exact(long.high()) / share
        ))
    });
}
