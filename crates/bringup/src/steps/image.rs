//! The firmware image: built, checked, loaded, and shown to be the one that runs.

use ::settings::Dialect;

use crate::firmware;
use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

/// Before anything is read from the controller, and while nothing but the supply is plugged in.
pub(super) fn step(job: &mut Job<'_>) {
    let board = firmware::board(job.setup.board, &job.setup.swap.catalogue);
    let identity = Dialect::common().word_that("asks which controller it is");
    let loading = ::image::loading(&board, identity);
    let mut step = Step::new(
        "image",
        Phase::BoardAlone,
        Needs::Power,
        "Build the image, check it and load it",
        format!(
            "{} Pins, sensors and limits of this swap must be in it before a report counts.",
            loading.why
        ),
    )
    .hazard(&loading.hazard)
    .act("Build it from the build sheet of this swap, row by row.");
    for action in loading.before.into_iter().chain(loading.actions) {
        step = step.act(action);
    }
    for (what, expected) in loading.success {
        step = step.expect(Expected::seen(what, expected));
    }
    for words in loading.otherwise {
        step = step.otherwise(words);
    }
    job.push(step.takes(30, 0).after("power-board"));
}
