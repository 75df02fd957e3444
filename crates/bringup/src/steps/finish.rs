//! Handing over: settings stored and read back, and what was checked by whom.

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

pub(crate) fn steps(job: &mut Job<'_>) {
    let mut step = Step::new(
        "read-back",
        Phase::HandOver,
        Needs::Power,
        "Store the settings and read them back",
        "What is not stored is gone with the power; unverified settings are not accepted.",
    )
    .act("Let the controller store its settings. Switch off, wait, switch on, let it report them, and keep the text in `captured/`.")
    .expect(Expected::seen("reported settings", "as intended, to the digits that the controller reports"))
    .takes(5, 0);
    step = job.following(step, "first-print");
    let step = job.power_gate(step);
    job.push(step);
    job.push(
        Step::new(
            "sign",
            Phase::HandOver,
            Needs::Unplugged,
            "Write down what was checked, what was not, and by whom",
            "Nobody can state that a machine is safe; one can state what was done.",
        )
        .act("Unplug. Close the case with all its screws. Date and sign the list of steps; name the steps that were left out and why.")
        .expect(Expected::seen("list of steps", "each one with its reading, or with the reason why it was left out"))
        .takes(15, 0)
        .after("read-back"),
    );
}
