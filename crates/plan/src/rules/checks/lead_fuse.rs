//! Whether what stands in front of a lead protects its wires: the fuse of the board, the limit of the supply, that of a rail.

use quantity::si::ElectricCurrent;
use quantity::{Value, WireSize};

use crate::facts::guard::{Front, Guard, What, fuse_alone, fuse_for};
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
                    "put a blade fuse of {fuse} into its plus wire, at the end that is fed. Never fit a larger one"
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
    let headline = if guard.what == What::Outside {
        format!(
            "nothing that is described limits what a supply outside the board sends into {}. The wires ({wire}) are rated for {}",
            pair.device_name(),
            guard.bears
        )
    } else if holds {
        format!("{what} protects the wires of {} ({wire})", pair.device_name())
    } else {
        format!(
            "{what} may pass up to {} in a short circuit in {}. The wires ({wire}) are rated for {}",
            Value::exact(passes.high()),
            pair.device_name(),
            guard.bears
        )
    };
    let finding = Finding::new(headline, "iec-60364-4-43")
        .about(Subject::device(pair.device().tag.value.clone()))
        .at(pair.device().cable.wire.place);
    if guard.what == What::Outside {
        return finding;
    }
    let multiple = format!("multiple at which {what} is sure to act");
    with_overload(
        finding,
        (guard.multiple, multiple),
        guard.rating,
        (guard.bears, wire),
    )
}

/// What to do where no fuse holds the load and protects the wires as they lie: the thicker wire, and the condition on which the wires may stay.
pub(super) fn no_fuse(pair: &PairFacts<'_>) -> String {
    let Some(needed) = fuse_for(pair) else {
        return "let a qualified person choose a fuse and wires for it. No blade fuse is made for this current and voltage".to_owned();
    };
    let fuse = Value::exact(needed);
    let thicker = wires::thinnest_for(&pair.swap.catalogue, needed).map_or_else(
        || "use several wires side by side".to_owned(),
        |size| format!("make the cable of {size}, then fuse it with {fuse}"),
    );
    match fuse_alone(pair) {
        Some((fuse, alone)) => format!(
            "{thicker}. Or keep it apart from other loaded wires: {} is then rated for {alone}, and a fuse of {} fits",
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
    // By size of the wire: a line of tags is read at a glance.
    let mut sizes: Vec<(WireSize, Vec<&str>)> = Vec::new();
    for pair in facts.pairs().filter(bare) {
        let tag = pair.device().tag.value.as_str();
        match sizes.iter_mut().find(|(size, _)| *size == pair.wire()) {
            Some((_, tags)) => tags.push(tag),
            None => sizes.push((pair.wire(), vec![tag])),
        }
    }
    let names: Vec<String> = sizes
        .iter()
        .map(|(size, tags)| format!("{size}: {}", tags.join(", ")))
        .collect();
    let about = Subject::named("thin leads");
    if names.is_empty() {
        let words = "what stands in front of them protects the wires of all cables but those of heaters";
        return Finding::new(words, "iec-60364-4-43").about(about);
    }
    let words = format!(
        "nothing in front of these cables acts before their wires are overloaded. {}",
        names.join(". ")
    );
    Finding::new(words, "iec-60364-4-43").about(about).remedy(
        "keep them off edges and moving parts. Where a cable moves, put a fuse of 1 A or 2 A into its plus wire",
    )
}
