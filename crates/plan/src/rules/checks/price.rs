//! What the board and all that it needs cost.

use crate::facts::WholeFacts;
use crate::facts::shopping::shopping_for;
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "price";

/// The last of the checks: it counts the parts that all others have asked for.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let mended: Vec<_> = judge.parts().to_vec();
    judge.say(Verdict::Note, || {
        let shopping = shopping_for(facts, mended.iter().map(|part| (part, String::new())));
        let board = facts.board;
        let mut words = match (&board.price, shopping.sum) {
            (Some(price), Some(sum)) if price.value == sum => {
                format!("{} costs {sum}, and nothing else has to be bought", board.name)
            }
            (Some(price), Some(sum)) => {
                let count = shopping.lines.len() - 1;
                let s = if count == 1 { "" } else { "s" };
                format!(
                    "{} costs {price}, and {sum} with {count} more line{s} of the bill of materials",
                    board.name
                )
            }
            _ => format!("what {} costs is not in its file", board.name),
        };
        if !shopping.not_summed.is_empty() {
            words.push_str(&format!(". Without a price: {}", shopping.not_summed.join(", ")));
        }
        let place = board.price.as_ref().map_or(board.place, |price| price.place);
        Finding::new(words, "own-statement")
            .at(place)
            .remedy("state your prices in the swap's file. Prices of parts are example data")
    });
}
