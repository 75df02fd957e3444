//! What an output of the board sends against what the input of the device needs.

use model::Pin;
use model::board::PortKind;
use model::machine::Detail;
use physics::{electrics, named, work};
use quantity::si::ElectricPotential;
use quantity::{Number, Value};

use crate::facts::harness::Part;
use crate::facts::signals::{self, Needs};
use crate::facts::{PairFacts, loads};
use crate::rules::judging::{Finding, Judge, Side, Verdict};

pub(crate) const ID: &str = "level-to-device";

/// Lights and probes below their level ask for a level shifter. Panels differ in their chips: most work, so that is a caution.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    // A plug without supply belongs to a device that another plug feeds, at what it is made for.
    let owner = pair.swap.machine.device(pair.swap.machine.owner(pair.id));
    let elsewhere = || loads::rated_voltage(&owner.detail).filter(|_| !pair.device().has_wire(Pin::Plus));
    let Some(supply) = pair.device_voltage().or_else(elsewhere) else {
        return;
    };
    match (pair.device().detail.share(), &pair.port().kind) {
        (Detail::LightStrip(strip), PortKind::LightData { level, .. }) if strip.led_count.is_some() => {
            let needs = signals::light_data(pair, supply);
            hold(pair, judge, level.value, &needs, None, "addressable-light-sheet");
        }
        (Detail::BedProbe(_), PortKind::Probe { level, .. }) if signals::has_wire(pair, Pin::Control) => {
            let needs = signals::pulse_input(pair, supply);
            hold(pair, judge, level.value, &needs, None, "common-practice");
        }
        (Detail::Panel(_), PortKind::Line { level, .. }) if signals::has_wire(pair, Pin::Receive) => {
            let (needs, best) = (
                signals::panel_input(pair, supply),
                signals::panel_input_at_best(pair, supply),
            );
            hold(pair, judge, level.value, &needs, Some(&best), "jedec-jesd7-a");
        }
        _ => {}
    }
}

/// Holds a level against what is needed; `at_best` is what a kinder part would need.
fn hold(
    pair: &PairFacts<'_>,
    judge: &mut Judge,
    level: Value<ElectricPotential>,
    needs: &Needs,
    at_best: Option<&Needs>,
    source: &'static str,
) {
    let distance = pair.limits().logic_noise_margin.value;
    let least = needs.high();
    let words = || {
        let headline = format!(
            "{} sends {} for high to {}. Its guaranteed high level is {}",
            pair.port_name(),
            Value::exact(level.low()),
            pair.device_name(),
            Value::exact(least.high())
        );
        working(Finding::new(headline, source).at(pair.port().place), needs)
    };
    if level.low() >= least.high() {
        judge.at_least(level, least + distance, Verdict::Caution, || {
            words().remedy(
                "keep this cable short and its ground thick, or fit a level shifter. Little is left for noise",
            )
        });
    } else if at_best.is_some_and(|best| level.low() >= (best.high() + distance).high()) {
        judge.at_least(level, least, Verdict::Caution, || {
            words().remedy(
                "try it: chips with TTL inputs need 2 V. Where characters are wrong or missing, fit a level shifter",
            )
        });
    } else {
        judge.mended(Part::one("level shifter"), || {
            words().against(level, Side::AtLeast, least).remedy(
                "fit a level shifter in the wire from the board, at the board's end. Feed it from the supply of the device",
            )
        });
    }
}

/// The working of a level that is a share of the supply; fixed levels stand in the data sheet as they are.
fn working(finding: Finding, needs: &Needs) -> Finding {
    if needs.high.share.base() <= 0.0 {
        return finding;
    }
    let inputs = (
        named(
            "k",
            "share of its supply that the device needs for high",
            Value::exact(needs.high.share),
        ),
        named("U_DD", "supply of the device", needs.supply),
    );
    let worked = work(&electrics::LEVEL_NEEDED, "U", inputs, |(k, u)| {
        electrics::level_needed(k, u)
    });
    finding.working(worked.working)
}
