//! The hand-over of the examples as files.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// The examples, largest first.
pub const EXAMPLES: [&str; 3] = ["demo", "second", "third"];

/// A page of the demonstration on disk, such as `report.html`.
pub fn path(name: &str) -> PathBuf {
    path_of("demo", name)
}

/// A page of an example on disk; all of one are written once.
pub fn path_of(example: &str, name: &str) -> PathBuf {
    static FOLDERS: [OnceLock<PathBuf>; EXAMPLES.len()] = [const { OnceLock::new() }; EXAMPLES.len()];
    let at = EXAMPLES.iter().position(|own| *own == example);
    let folder = FOLDERS[at.expect("an example")].get_or_init(|| {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
            .join("dossier")
            .join(example);
        for file in files(example) {
            let path = folder.join(&file.name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(&path, file.text).unwrap();
        }
        folder
    });
    folder.join(name)
}

fn files(example: &str) -> Vec<dossier::File> {
    let swap = model::load(&samples::example(example)).unwrap_or_else(|faults| panic!("{:?}", faults.faults));
    let plans: Vec<_> = swap
        .candidates
        .iter()
        .map(|board| {
            let plan = plan::plan(&swap, board);
            let settings = settings::settings(&plan.setup());
            let steps = bringup::steps(&plan, &settings);
            bringup::settled(plan, &settings, &steps)
        })
        .collect();
    let entries: Vec<_> = plans
        .iter()
        .enumerate()
        .map(|(at, plan)| plan::entry(plan, at))
        .collect();
    let comparison = plan::rank(&entries);
    let shown = comparison.entries[0].candidate;
    let settings = settings::settings(&plans[shown].setup());
    let draws = plan::Draws::of(&plans[shown]);
    dossier::files(&dossier::Material {
        swap: &swap,
        plans: &plans,
        comparison: &comparison,
        shown,
        settings: &settings,
        draws: &draws,
        tally: &draws.clone().tally(physics::Spread::Uniform, 1, 0..100),
        steps: &bringup::steps(&plans[shown], &settings),
        evidence: &[],
        record: &[],
    })
}
