//! A port that is on the board and that the firmware of its processor cannot drive.

use crate::facts::PairFacts;
use crate::rules::judging::{Finding, Judge, Verdict};

pub(crate) const ID: &str = "undriven-port";

/// What is connected there would never be switched or read: the way is refused, with the reason that the board's file gives.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(reason) = &pair.port().undriven else {
        return;
    };
    judge.say(Verdict::Blocker, || {
        let headline = format!(
            "the firmware of this board cannot drive {}: {}",
            pair.port_name(),
            reason.value
        );
        Finding::new(headline, "own-statement").at(reason.place).remedy(
            "use another port; where a later firmware drives it, take `undriven` out of the board's file",
        )
    });
}
