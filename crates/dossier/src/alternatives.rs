//! The proof, and the next-best assignments.

use document::{Block, Text};
use plan::{Alternative, Plan};

use crate::words::sentence;

/// How sure the wiring is the best, and what else there is.
pub(crate) fn alternatives(plan: &Plan<'_>, others: &[Alternative]) -> Vec<Block> {
    let optimum = &plan.optimum;
    let mut blocks = vec![
        Block::say(sentence(&format!("the wiring above is {}", optimum.proof))),
        Block::remark(format!(
            "Counted in this order: needed devices without a port by harm, wishes by their worth, actions required by harm, settings that change, \
             minutes of work, price of parts, millimetres of lead. It costs {}.",
            optimum.objective.words()
        )),
    ];
    if others.is_empty() {
        blocks.push(Block::say("There is no other way that puts a device elsewhere."));
        return blocks;
    }
    blocks.push(Block::say(
        "The next best ways to wire it, should one of the ports turn out to be broken or out of reach:",
    ));
    blocks.push(list(plan, others));
    blocks
}

/// The next-best assignments in their order.
pub(crate) fn list(plan: &Plan<'_>, others: &[Alternative]) -> Block {
    Block::ordered(others.iter().map(|alternative| {
        let mut text = Text::default();
        for (tag, place) in moves(plan, alternative) {
            let before = if text.is_empty() { "" } else { "; " };
            text = text.and(before).strong(tag).and(format!(" {place}"));
        }
        text.and(format!(". It costs {} more.", alternative.more.words()))
    }))
}

/// Which devices another assignment puts elsewhere: the tag, and where.
pub fn moves(plan: &Plan<'_>, alternative: &Alternative) -> Vec<(String, String)> {
    let moved = alternative.moved.iter().map(|id| {
        let place =
            alternative.ways[id.0].map_or_else(|| "left off".to_owned(), |way| plan::words(plan, way));
        (plan.swap.machine.device(*id).tag.to_string(), place)
    });
    moved.collect()
}
