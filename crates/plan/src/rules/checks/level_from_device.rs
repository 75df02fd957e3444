//! What a device sends against what the input of the board needs to see high as high and low as low.

use model::Pin;
use model::board::PortKind;
use model::machine::Detail;
use physics::{electrics, named, work};
use quantity::si::ElectricPotential;
use quantity::{Value, si};

use crate::facts::PairFacts;
use crate::facts::harness::Part;
use crate::facts::signals::{self, Needs};
use crate::rules::judging::{Finding, Judge, Side, Verdict};

pub(crate) const ID: &str = "level-from-device";

/// A level that is not reached asks for a level shifter; one that is reached with less than the usual distance is a caution.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some((high, low, by)) = sent(pair) else { return };
    let needs = signals::processor_pin(pair);
    let distance = pair.limits().logic_noise_margin.value;
    let least = needs.high();
    let place = pair.port().place;
    if high.low() < least.high() {
        judge.mended(Part::one("level shifter"), || {
            let headline = format!(
                "{} sends {} for high, and {} reads high only from {}",
                pair.device_name(),
                Value::exact(high.low()),
                pair.port_name(),
                Value::exact(least.high())
            );
            working(Finding::new(headline, "processor-data-sheets").at(place), &needs)
                .against(high, Side::AtLeast, least)
                .remedy("fit a level shifter in the signal wire, beside the board")
        });
    } else {
        judge.at_least(high, least + distance, Verdict::Caution, || {
            let headline = format!(
                "{} reads {} as high: {} by {}, needed {}",
                pair.port_name(),
                pair.device_name(),
                Value::exact(high.low()),
                by,
                Value::exact(least.high())
            );
            working(Finding::new(headline, "processor-data-sheets").at(place), &needs).remedy(
                "keep the cable short and away from motor cables, or fit a level shifter. Ground shifts take the rest",
            )
        });
    }
    let most = needs.low();
    if low.high() > most.low() - distance.high() {
        judge.at_most(low, most - distance, Verdict::Caution, || {
            let headline = format!(
                "{} reads {} as low only below {}. The level may be {}",
                pair.port_name(),
                pair.device_name(),
                Value::exact(most.low()),
                Value::exact(low.high())
            );
            Finding::new(headline, "processor-data-sheets").at(place).remedy(
                "measure the low level at the plug. Where it is too high, fit a buffer beside the board",
            )
        });
    }
}

type Levels = (Value<ElectricPotential>, Value<ElectricPotential>, &'static str);

/// High, low and what makes the high.
fn sent(pair: &PairFacts<'_>) -> Option<Levels> {
    if let Some(input) = signals::input(&pair.port().kind) {
        let sensor = pair.device().signal()?;
        let sent = signals::sent(pair, sensor, input)?;
        let by = if sent.by_pull_up {
            "its pull-up"
        } else {
            "the device"
        };
        return Some((sent.high, sent.low, by));
    }
    match (pair.device().detail.share(), &pair.port().kind) {
        (Detail::Panel(panel), PortKind::Line { .. }) if signals::has_wire(pair, Pin::Transmit) => {
            let level = panel.level?;
            Some((level.value, Value::exact(si::volt(0.4)), "the panel"))
        }
        _ => None,
    }
}

fn working(finding: Finding, needs: &Needs) -> Finding {
    let inputs = (
        named(
            "k",
            "share of the supply that reads as high",
            Value::exact(needs.high.share),
        ),
        named("U_DD", "supply of the processor", needs.supply),
    );
    let worked = work(&electrics::LEVEL_NEEDED, "U", inputs, |(k, u)| {
        electrics::level_needed(k, u)
    });
    finding.working(worked.working)
}
