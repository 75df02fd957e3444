//! How each pair that disagrees is told.

use model::Place;

use crate::rules::judging::{Finding, Judge, Subject, Verdict};

/// One pair that disagrees.
pub(super) fn say(judge: &mut Judge, subject: Subject, place: Place, headline: impl FnOnce() -> String) {
    judge.say(Verdict::Caution, || {
        Finding::new(headline(), "own-statement")
            .about(subject)
            .at(place)
            .remedy("inspect the part itself and correct the file. Results from the wrong value are wrong")
    });
}
