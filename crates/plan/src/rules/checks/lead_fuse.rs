//! Whether what stands in front of a lead protects its wires: the fuse of the board, the limit of the supply, that of a rail.

use model::board::RailId;
use model::machine::{Detail, Device};
use physics::electrics;
use quantity::si::{self, ElectricCurrent, Ratio};
use quantity::{Number, Value};

use crate::facts::{PairFacts, WholeFacts};
use crate::rules::judging::{Finding, Judge, Subject, Verdict};
use crate::rules::workings::{overload, with_overload};

pub(crate) const ID: &str = "lead-fuse";

const FUSE: &str = "the fuse of the board";

/// Each heater has a finding of its own, since its wires carry enough to burn; the thin leads have one together.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let budget = facts.budget();
    let mut thin = 0;
    for pair in facts.pairs() {
        let outside = budget.is_outside(pair);
        let Some(guard) = guard(facts, pair).filter(|_| !outside) else {
            continue;
        };
        if pair.device().is_direct_heater() {
            let holds = guard.share.high() <= si::ratio(1.0);
            let verdict = if holds { Verdict::Pass } else { Verdict::Caution };
            judge.say(verdict, || heater(pair, &guard, holds));
        } else if guard.share.high() > si::ratio(1.0) {
            thin += 1;
        }
    }
    let verdict = if thin == 0 { Verdict::Pass } else { Verdict::Note };
    judge.say(verdict, || others(facts));
}

/// What stands in front of a lead, and what it lets pass as a share of what the wires bear for a while.
struct Guard {
    what: &'static str,
    is_fuse: bool,
    multiple: Value<Ratio>,
    rating: Value<ElectricCurrent>,
    bears: Value<ElectricCurrent>,
    share: Value<Ratio>,
}

/// The guard that opens first; `None` for leads that no rail feeds and for wires outside the table.
fn guard(facts: &WholeFacts<'_>, pair: &PairFacts<'_>) -> Option<Guard> {
    if matches!(pair.device().detail, Detail::Supply(_) | Detail::Motor(_)) || pair.way.own_supply {
        return None;
    }
    pair.current()?;
    let rail = pair.way.rail?;
    let bears = pair.wire_bears()?;
    let limit = facts.limits().supply_fault_share.value;
    let guard = |what, multiple: Value<Ratio>, rating: Value<ElectricCurrent>| Guard {
        what,
        is_fuse: what == FUSE,
        multiple,
        rating,
        bears,
        share: overload(multiple, rating, bears),
    };
    if let (Some(made), true) = (&facts.board.rail(rail).made, rail != RailId::INPUT) {
        return Some(guard("the limit of the rail", limit, made.current.value));
    }
    let (_, supply) = facts.swap.machine.supplies().next()?;
    let by_supply = guard(
        "the limit of the supply",
        limit,
        supply.power.value / supply.voltage.value,
    );
    let opens = Value::exact(electrics::FuseClass::Blade.opening_multiple());
    let by_fuse = facts.board.input.fuse.map(|fuse| guard(FUSE, opens, fuse.value));
    Some(match by_fuse {
        Some(by_fuse) if by_fuse.share.high() < by_supply.share.high() => by_fuse,
        _ => by_supply,
    })
}

fn heater(pair: &PairFacts<'_>, guard: &Guard, holds: bool) -> Finding {
    let wire = pair.device().cable.wire;
    let passes = guard.multiple * guard.rating;
    let headline = if holds {
        format!(
            "{} protects the wires of {} ({wire})",
            guard.what,
            pair.device_name()
        )
    } else {
        format!(
            "in a short circuit {} lets up to {} pass through the wires of {}; {wire} bears {}",
            guard.what,
            Value::exact(passes.high()),
            pair.device_name(),
            guard.bears
        )
    };
    let finding = Finding::new(headline, "iec-60364-4-43")
        .about(Subject::device(pair.device().tag.value.clone()))
        .at(wire.place);
    let multiple = format!("multiple at which {} is sure to act", guard.what);
    let finding = with_overload(
        finding,
        (guard.multiple, multiple),
        guard.rating,
        (guard.bears, wire.value),
    );
    if holds {
        return finding;
    }
    finding.remedy(fuse_for(pair, guard))
}

/// What opens in front of the lead of a heater.
pub(super) enum Front {
    /// The fuse of the board, and the smaller one that would hold the load too, where there is one.
    Fitted(ElectricCurrent, Option<ElectricCurrent>),
    /// The blade fuse to be added, the smallest that holds the load.
    Added(ElectricCurrent),
    /// The wires need a fuse, and none holds the load without being above them.
    NoneFits,
    /// The limit of the supply or of a rail protects the wires.
    Limit,
}

/// What opens in front of the lead of a heater: the fuse of the board where it acts first and protects the wires, else the one to be added.
/// `None` for a lead that no rail feeds, and for wires outside the table.
pub(super) fn front(facts: &WholeFacts<'_>, pair: &PairFacts<'_>) -> Option<Front> {
    let guard = guard(facts, pair)?;
    let fits = rating(pair, &guard).map(|rating| rating.nominal());
    if guard.share.high() > si::ratio(1.0) {
        return Some(fits.map_or(Front::NoneFits, Front::Added));
    }
    let fitted = guard.rating.nominal();
    Some(if guard.is_fuse {
        Front::Fitted(fitted, fits.filter(|fits| *fits < fitted))
    } else {
        Front::Limit
    })
}

/// The blade fuse that holds the load for long and is not above the wire.
fn rating(pair: &PairFacts<'_>, guard: &Guard) -> Option<Value<ElectricCurrent>> {
    let share = pair.limits().fuse_continuous_share.value;
    let blade = pair.swap.catalogue.fuses().get("blade fuse");
    // For long a share of its rating, cold for some minutes all of it.
    let needed = pair
        .long_current()
        .zip(pair.current())
        .map(|(long, cold)| (long.high() / share.low()).larger(cold.high()));
    blade
        .zip(needed)
        .and_then(|(blade, needed)| blade.rating_for(needed))
        .filter(|rating| rating.nominal() <= guard.bears.low())
}

fn fuse_for(pair: &PairFacts<'_>, guard: &Guard) -> String {
    match rating(pair, guard) {
        Some(rating) => format!("put a blade fuse of {rating} into its plus wire, close to the board"),
        None => {
            "no fuse holds this load and protects these wires: make the lead of thicker wire, then fuse it"
                .to_owned()
        }
    }
}

fn others(facts: &WholeFacts<'_>) -> Finding {
    let bare = |pair: &&PairFacts<'_>| {
        let guard = guard(facts, pair).filter(|guard| guard.share.high() > si::ratio(1.0));
        guard.is_some() && !pair.device().is_direct_heater()
    };
    let name = |device: &Device| format!("{} ({})", device.tag, device.cable.wire);
    let names: Vec<String> = facts
        .pairs()
        .filter(bare)
        .map(|pair| name(pair.device()))
        .collect();
    let about = Subject::named("thin leads");
    if names.is_empty() {
        let words = "what stands in front of them protects the wires of all leads but those of heaters";
        return Finding::new(words, "iec-60364-4-43").about(about);
    }
    let words = format!(
        "nothing in front of these leads acts before their wires are overloaded: {}",
        names.join(", ")
    );
    Finding::new(words, "iec-60364-4-43").about(about).remedy(
        "keep them off edges and moving parts; where a lead moves, put a fuse of 1 A or 2 A into its plus wire",
    )
}
