//! The dossier of the demonstration swap as a file.

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// The page on disk; written once.
pub fn path() -> &'static Path {
    static PAGE: OnceLock<PathBuf> = OnceLock::new();
    PAGE.get_or_init(|| {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("dossier");
        std::fs::create_dir_all(&folder).unwrap();
        let path = folder.join("report.html");
        std::fs::write(&path, text()).unwrap();
        path
    })
}

fn text() -> String {
    let swap = model::load(&samples::example("demo")).unwrap_or_else(|faults| panic!("{:?}", faults.faults));
    let plans: Vec<_> = swap
        .candidates
        .iter()
        .map(|board| plan::plan(&swap, board))
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
    let files = dossier::files(&dossier::Material {
        swap: &swap,
        plans: &plans,
        comparison: &comparison,
        shown,
        settings: &settings,
        draws: &draws,
        tally: &draws.clone().tally(physics::Spread::Uniform, 1, 0..100),
        steps: &bringup::steps(&plans[shown], &settings),
        evidence: &[],
    });
    files
        .into_iter()
        .find(|file| file.name == "report.html")
        .unwrap()
        .text
}
