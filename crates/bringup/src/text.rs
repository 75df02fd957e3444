//! What is said before the first step.

/// The cautions that stand above every page on which live work begins.
#[must_use]
pub fn cautions() -> &'static [&'static str] {
    &[
        "Mains and supply wiring belong to a qualified person and local codes. The cover of the supply stays on.",
        "Before work on wiring: unplug, wait, and verify with a meter that there is no voltage.",
        "Never plug or unplug anything under power but where a step says so; a motor never.",
        "Hot parts burn, moving parts pinch: one hand stays at the switch-off in every step with power.",
        "A machine that heats is watched, with an extinguisher at hand, until it has proved itself, and in good air.",
        "This list states what to check. It does not state that a machine is safe.",
    ]
}
