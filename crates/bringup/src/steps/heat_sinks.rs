//! Heat sinks that the plan fits on drivers.

use plan::Verdict;

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

/// The part of the list that goes onto a driver.
const SINK: &str = "heat sink for a driver";

pub(crate) fn steps(job: &mut Job<'_>) {
    let fitted = |finding: &&plan::Finding| {
        finding.verdict != Verdict::Blocker && finding.parts.iter().any(|part| part.name == SINK)
    };
    let tags: Vec<String> = job
        .plan
        .findings
        .iter()
        .filter(fitted)
        .filter_map(|finding| finding.subject.device.clone())
        .collect();
    let fits = |pair: &plan::Pair<'_>| {
        let loose = pair.driver().is_some_and(|driver| driver.heat_sink);
        loose || pair.driver().is_some() && tags.contains(&pair.device().tag.value)
    };
    let pairs: Vec<_> = job.motors().into_iter().filter(fits).collect();
    let mut names: Vec<&str> = Vec::new();
    for driver in pairs.iter().filter_map(plan::Pair::driver) {
        if !names.contains(&driver.name.value.as_str()) {
            names.push(&driver.name.value);
        }
    }
    if names.is_empty() {
        return;
    }
    let mut step = Step::new(
        "heat-sinks",
        Phase::Prepare,
        Needs::Unplugged,
        format!("Fit the heat sinks of {}", names.join(", ")),
        "Without it a driver gets too hot at the run current. It may lie in the box, be on the list of parts, or have come off on the way. Stale after a driver is replaced.",
    )
    .act("Degrease the face of each driver. Press its heat sink on with tape or glue, fins along the air.")
    .act("Look from all sides: it touches no pin, no trimmer and no neighbouring part.")
    .expect(Expected::seen(
        format!("heat sinks of {}", names.join(", ")),
        "sit flat, hold when pulled, touch nothing else",
    ))
    .otherwise("one comes off: clean both faces again; do not run the driver without it")
    .takes(10, 0)
    .after("board");
    for pair in &pairs {
        step = step.at(pair);
    }
    job.push(step);
}
