//! What a fuse lets through in a short circuit before it opens, against what the wires bear: time against time.

use model::machine::Detail;
use physics::electrics::{self, FuseClass};
use physics::{named, work};
use quantity::si::{ElectricCurrent, Time};
use quantity::{Number, Value, si};

use crate::bearing::external_switch;
use crate::budget::Budget;
use crate::finding::{Finding, Subject, Verdict, brief};
use crate::judge::Judge;
use crate::setup::{Pair, Setup};
use crate::wires;

use super::lead_fuse;

pub(crate) const ID: &str = "let-through";

/// The leads of heaters, with the fuse of the board or the one that the check `lead-fuse` asks for in front of them.
pub(crate) fn check(setup: &Setup<'_>, judge: &mut Judge) {
    let budget = Budget::of(setup);
    for pair in setup.pairs() {
        let outside = budget.moved == Some(pair.id) || external_switch(&pair).is_some();
        if outside || !matches!(pair.device().detail, Detail::Heater(_)) {
            continue;
        }
        let Some((fuse, fitted)) = lead_fuse::fuse_of(setup, &pair) else {
            continue;
        };
        let Some(fault) = fault(setup, &pair) else {
            continue;
        };
        let area = pair.device().lead.wire.value.area();
        // The fuse opens later at a lower current, and the wire bears it longer: each step of the standard is a corner of its own.
        let worst = corners(fault, fuse)
            .into_iter()
            .map(|current| {
                let opens = electrics::opening_time(FuseClass::Blade, current / fuse)
                    .ok()
                    .and_then(|time| time.opens);
                let bears = electrics::withstand_time(area, current);
                (current, opens.unwrap_or(Time::from_base(f64::INFINITY)), bears)
            })
            .max_by(|one, other| (one.1.base() / one.2.base()).total_cmp(&(other.1.base() / other.2.base())));
        let Some((current, opens, bears)) = worst else {
            continue;
        };
        let tag = &pair.device().tag.value;
        if !opens.base().is_finite() {
            judge.say(Verdict::Note, || {
                let headline = format!(
                    "a short circuit in {} may draw only {}, at which {} of {} need not open: the supply has to switch off",
                    pair.device_name(),
                    brief(current),
                    which(fitted),
                    Value::exact(fuse)
                );
                Finding::new(headline, "iso-8820-3")
                    .about(Subject::device(tag.clone()))
                    .at(pair.device().lead.wire.place)
                    .remedy("try the limit of the supply before anything is built in, or choose a supply that gives twice the rating of the fuse")
            });
            continue;
        }
        judge.at_most(Value::exact(opens), Value::exact(bears), Verdict::Caution, || {
            let headline = format!(
                "at {} {} of {} opens within {}; the wires of {} ({}) bear that for {}",
                brief(current),
                which(fitted),
                Value::exact(fuse),
                brief(opens),
                pair.device_name(),
                pair.device().lead.wire,
                brief(bears)
            );
            let inputs = (
                named(
                    "A",
                    format!("copper of {}", pair.device().lead.wire),
                    Value::exact(area),
                ),
                named(
                    "I",
                    "current of the short circuit at which the fuse is slowest for the wire",
                    Value::exact(current),
                ),
            );
            let worked = work(&electrics::WITHSTAND_TIME, "t", inputs, |(area, current)| {
                electrics::withstand_time(area, current)
            });
            Finding::new(headline, "iec-60364-4-43")
                .about(Subject::device(tag.clone()))
                .at(pair.device().lead.wire.place)
                .working(worked.working)
                .remedy("a smaller fuse that still holds the load, or thicker wires")
        });
    }
}

fn which(fitted: bool) -> &'static str {
    if fitted {
        "the fuse of the board"
    } else {
        "the blade fuse to be added"
    }
}

/// The current of a short circuit at the far end of the lead: what the supply gives before it limits, or what the wires let through.
fn fault(setup: &Setup<'_>, pair: &Pair<'_>) -> Option<Value<ElectricCurrent>> {
    let (_, supply) = setup.swap.machine.supplies().next()?;
    let limited = supply.power.value / supply.voltage.value * setup.limits().supply_fault_share.value;
    let lead = &pair.device().lead;
    let per_length = wires::per_length(&pair.swap.catalogue, lead.wire.value);
    let source = setup.limits().supply_source_resistance.value;
    let voltage = setup.supply_voltage();
    let through =
        |voltage: si::ElectricPotential,
         source: si::ElectricalResistance,
         per: si::ResistancePerLength,
         length: si::Length| { voltage / (source + si::ohm(2.0 * per.base() * length.base())) };
    let length = lead.length.value;
    Some(Value::corners(|end| {
        limited.at(end).smaller(through(
            voltage.at(end),
            source.at(end.other()),
            per_length.at(end.other()),
            length.at(end.other()),
        ))
    }))
}

/// Both ends of the current, and just below each step of the standard in between, where the fuse is slowest for its current.
fn corners(fault: Value<ElectricCurrent>, fuse: ElectricCurrent) -> Vec<ElectricCurrent> {
    let mut out = vec![fault.low(), fault.high()];
    for multiple in FuseClass::Blade.multiples() {
        let below = fuse * (multiple.base() * (1.0 - 1e-9));
        if fault.contains(below) {
            out.push(below);
        }
    }
    out
}
