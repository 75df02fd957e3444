//! The steps as text for pages and printing.

use crate::step::{Phase, Step};

/// The cautions that stand above every page on which live work begins.
#[must_use]
pub fn cautions() -> &'static [&'static str] {
    &[
        "Mains and supply wiring belong to a qualified person and local codes. The cover of the supply stays on.",
        "Work on wiring is unplugged, waited out and proved dead with a meter.",
        "Never plug or unplug anything under power but where a step says so; a motor never.",
        "Hot parts burn, moving parts pinch: one hand stays at the switch-off in every step with power.",
        "A machine that heats is watched, with an extinguisher at hand, until it has proved itself, and in good air.",
        "This list states what to check. It does not state that a machine is safe.",
    ]
}

/// The list as Markdown, with a box for each expected reading.
#[must_use]
pub fn markdown(steps: &[Step]) -> String {
    let mut out = String::new();
    let mut line = |text: String| {
        out.push_str(&text);
        out.push('\n');
    };
    for caution in cautions() {
        line(format!("> {caution}"));
    }
    let mut phase: Option<Phase> = None;
    for (at, step) in steps.iter().enumerate() {
        if phase != Some(step.phase) {
            phase = Some(step.phase);
            line(String::new());
            line(format!("## {}", step.phase.title()));
        }
        line(String::new());
        line(format!("### {}. {}", at + 1, step.title));
        line(String::new());
        line(step.why.clone());
        if let Some(hazard) = &step.hazard {
            line(String::new());
            line(format!("**Caution:** {hazard}"));
        }
        line(String::new());
        for (at, action) in step.actions.iter().enumerate() {
            line(format!("{}. {action}", at + 1));
        }
        if !step.expected.is_empty() {
            line(String::new());
        }
        for expected in &step.expected {
            line(format!(
                "- [ ] {}: **{}**, read: ______",
                expected.what,
                expected.words()
            ));
        }
        if !step.otherwise.is_empty() {
            line(String::new());
            line(format!("Otherwise: {}.", step.otherwise.join("; ")));
        }
    }
    out
}
