//! Whether what stands in front of a lead protects its wires: the fuse of the board, the limit of the supply, that of a rail.

use quantity::Value;
use quantity::si::ElectricCurrent;

use crate::facts::guard::{Front, Guard, fuse_alone, fuse_for};
use crate::facts::harness::Part;
use crate::facts::{PairFacts, WholeFacts, wires};
use crate::rules::judging::{Finding, Judge, Subject, Verdict};
use crate::rules::workings::with_overload;

pub(crate) const ID: &str = "lead-fuse";

/// The fuse that the plan adds.
pub(super) fn fuse_part(rating: ElectricCurrent) -> Part {
    Part::one("fuse holder with blade fuse").of_size(Value::exact(rating).to_string())
}

/// Each heater has a finding of its own, since its wires carry enough to burn; the thin leads have one together.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let mut thin = 0;
    for pair in facts.pairs() {
        let Some(guard) = facts.guard(pair) else {
            continue;
        };
        if !pair.device().is_direct_heater() {
            thin += u32::from(!guard.protects());
            continue;
        }
        match guard.front(pair) {
            Front::Fitted(..) | Front::Limit => judge.say(Verdict::Pass, || heater(pair, &guard, true)),
            Front::Added(fuse) => judge.mended(fuse_part(fuse), || {
                let fuse = Value::exact(fuse);
                heater(pair, &guard, false).remedy(format!(
                    "put a blade fuse of {fuse} into its plus wire, at the end that is fed; never fit a larger one"
                ))
            }),
            Front::NoneFits => judge.say(Verdict::Caution, || {
                heater(pair, &guard, false).remedy(no_fuse(pair))
            }),
        }
    }
    let verdict = if thin == 0 {
        Verdict::Pass
    } else {
        Verdict::Caution
    };
    judge.say(verdict, || others(facts));
}

fn heater(pair: &PairFacts<'_>, guard: &Guard, holds: bool) -> Finding {
    let wire = pair.wire();
    let passes = guard.multiple * guard.rating;
    let what = guard.what.words();
    let headline = if holds {
        format!("{what} protects the wires of {} ({wire})", pair.device_name())
    } else {
        format!(
            "in a short circuit {what} lets up to {} pass through the wires of {}; {wire} bears {}",
            Value::exact(passes.high()),
            pair.device_name(),
            guard.bears
        )
    };
    let finding = Finding::new(headline, "iec-60364-4-43")
        .about(Subject::device(pair.device().tag.value.clone()))
        .at(pair.device().cable.wire.place);
    let multiple = format!("multiple at which {what} is sure to act");
    with_overload(
        finding,
        (guard.multiple, multiple),
        guard.rating,
        (guard.bears, wire),
    )
}

/// What to do where no fuse holds the load and protects the wires as they lie: the thicker wire, and the condition on which the wires may stay.
fn no_fuse(pair: &PairFacts<'_>) -> String {
    let Some(needed) = fuse_for(pair) else {
        return "no blade fuse is made for this current and voltage: let a qualified person choose one, and wires for it".to_owned();
    };
    let fuse = Value::exact(needed);
    let thicker = wires::thinnest_for(&pair.swap.catalogue, needed).map_or_else(
        || "make the lead of several wires side by side".to_owned(),
        |size| format!("make the lead of {size}, then fuse it with {fuse}"),
    );
    match fuse_alone(pair) {
        Some((fuse, alone)) => format!(
            "{thicker}; or lay it apart from other loaded wires all the way: there {} bears {alone}, and a fuse of {} fits",
            pair.wire(),
            Value::exact(fuse)
        ),
        None => thicker,
    }
}

fn others(facts: &WholeFacts<'_>) -> Finding {
    let bare = |pair: &&PairFacts<'_>| {
        let bare = facts.guard(pair).is_some_and(|guard| !guard.protects());
        bare && !pair.device().is_direct_heater()
    };
    let name = |pair: &PairFacts<'_>| format!("{} ({})", pair.device().tag, pair.wire());
    let names: Vec<String> = facts.pairs().filter(bare).map(name).collect();
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
