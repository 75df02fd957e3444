//! How hot the switch of a port gets with the device on it.

use model::board::PortKind;
use physics::{electrics, heat, named, work};
use quantity::Value;
use quantity::si::ElectricCurrent;

use crate::facts::PairFacts;
use crate::facts::ratings::rise_allowed;
use crate::facts::switches::{Switch, switch_of};
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "switch-heating";

/// The loss at full duty warms the junction above the air in the case: with a cold heater for a while, with a hot one for long.
///
/// The thermal resistance is assumed, not stated: it refuses a way only where the middle of the assumptions is too hot.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let PortKind::Switched { heater, .. } = pair.port().kind else {
        return;
    };
    let (Some(current), Some(long)) = (pair.port_current(), pair.long_port_current()) else {
        return;
    };
    let at = |current| switch_of(pair.swap, pair.port(), current);
    let (Some(first), Some(later)) = (at(current), at(long)) else {
        if heater {
            judge.say(Verdict::Note, || unknown(pair));
        }
        return;
    };
    let limits = pair.limits();
    let (caution, limit) = (
        rise_allowed(pair.site, limits.switch_junction_caution.value),
        rise_allowed(pair.site, limits.switch_junction_limit.value),
    );
    if first.rise.nominal() > limit.nominal() {
        judge.at_most(first.rise, limit, Verdict::Blocker, || {
            words(pair, current, &first)
        });
    } else {
        judge.at_most(later.rise, caution, Verdict::Caution, || {
            words(pair, long, &later)
        });
    }
}

fn words(pair: &PairFacts<'_>, current: Value<ElectricCurrent>, switch: &Switch) -> Finding {
    let headline = format!(
        "the output switch of {} gets up to {} hotter than the air, with {} always on",
        pair.port_name(),
        Value::exact(switch.rise.high()),
        pair.device_name()
    );
    let finding = Finding::new(headline, "common-practice")
        .at(pair.port().place)
        .remedy(
            "use a port with a better switch, blow air over this one, or let it drive an external switch",
        );
    with_workings(pair, current, finding)
}

fn unknown(pair: &PairFacts<'_>) -> Finding {
    let words = format!(
        "how hot the output switch of {} gets with {} is open: its on-resistance is not stated",
        pair.port_name(),
        pair.device_name()
    );
    Finding::new(words, "common-practice")
        .at(pair.port().place)
        .remedy("feel beside the switch during the first long heat-up, without touching metal, or measure it")
}

fn with_workings(pair: &PairFacts<'_>, current: Value<ElectricCurrent>, finding: Finding) -> Finding {
    let PortKind::Switched {
        resistance: Some(cold),
        ..
    } = &pair.port().kind
    else {
        return finding;
    };
    let limits = pair.limits();
    let inputs = (
        named("R₂₅", "on-resistance of the switch at 25 °C", cold.value),
        named(
            "k",
            "how much it rises when hot",
            limits.switch_hot_resistance_factor.value,
        ),
    );
    let hot = work(&heat::HOT_RESISTANCE, "R", inputs, |(r, k)| {
        heat::hot_resistance(r, k)
    });
    let inputs = (
        named("I", "current of the device", current),
        named("R", "on-resistance when hot", hot.value),
    );
    let loss = work(&electrics::LOSS, "P", inputs, |(i, r)| electrics::loss(i, r));
    let inputs = (
        named("ϑₐ", "air around the board", pair.site.air()),
        named("P", "heat in the switch", loss.value),
        named(
            "θ",
            "junction to air, assumed for a switch on a small copper area",
            limits.switch_thermal_resistance.value,
        ),
    );
    let junction = work(
        &heat::JUNCTION_TEMPERATURE,
        "ϑⱼ",
        inputs,
        |(air, power, theta)| heat::junction_temperature(air, power, theta),
    );
    finding
        .working(hot.working)
        .working(loss.working)
        .working(junction.working)
}
