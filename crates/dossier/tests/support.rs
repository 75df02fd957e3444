//! Swaps in memory and their dossiers.

use dossier::{File, Material, files};
use plan::{Draws, Plan};
pub use samples::{Folder, example};

/// The swap of a folder.
pub fn load(folder: &Folder) -> model::Swap {
    model::load(folder).unwrap_or_else(|faults| panic!("{:?}", faults.faults))
}

/// How many candidates a swap has.
pub fn candidates(folder: &Folder) -> usize {
    load(folder).candidates.len()
}

/// The dossier of one candidate. Where checks are named, all plans keep only what those found, and of settings and steps only a
/// few are kept: for a text that does not change with everything that is added.
pub fn dossier_of(folder: &Folder, shown: usize, checks: &[&str]) -> Vec<File> {
    let swap = load(folder);
    let mut plans: Vec<Plan<'_>> = swap
        .candidates
        .iter()
        .map(|board| settled(plan::plan(&swap, board)))
        .collect();
    if !checks.is_empty() {
        for plan in &mut plans {
            plan.findings.retain(|finding| checks.contains(&finding.check));
        }
    }
    let entries: Vec<_> = plans
        .iter()
        .enumerate()
        .map(|(at, plan)| plan::entry(plan, at))
        .collect();
    let mut settings = settings::settings(&plans[shown].setup());
    let mut steps = bringup::steps(&plans[shown], &settings);
    if !checks.is_empty() {
        settings
            .settings
            .retain(|setting| setting.title == "steps per length");
        steps.truncate(3);
    }
    let draws = Draws::of(&plans[shown]);
    files(&Material {
        swap: &swap,
        plans: &plans,
        comparison: &plan::rank(&entries),
        shown,
        settings: &settings,
        draws: &draws,
        tally: &draws.clone().tally(physics::Spread::Uniform, 1, 0..100),
        steps: &steps,
        evidence: &[],
        record: &[],
    })
}

/// Looks at the plan of one candidate.
pub fn with_plan(folder: &Folder, shown: usize, look: impl FnOnce(&Plan<'_>)) {
    let swap = load(folder);
    look(&settled(plan::plan(&swap, &swap.candidates[shown])));
}

/// With what is left to do about each finding.
pub fn settled(plan: Plan<'_>) -> Plan<'_> {
    let settings = settings::settings(&plan.setup());
    let steps = bringup::steps(&plan, &settings);
    bringup::settled(plan, &settings, &steps)
}

/// The text of a file.
pub fn text_of<'f>(files: &'f [File], name: &str) -> &'f str {
    let found = files.iter().find(|file| file.name == name);
    &found.unwrap_or_else(|| panic!("there is no {name}")).text
}
