//! Swaps in memory and their dossiers.

use std::collections::BTreeMap;
use std::path::Path;

use dossier::{Document, Material, documents};
use model::{FileError, Files};
use plan::{Draws, Plan};
use settings::Dialect;

/// The files of a swap folder by their path inside it.
pub type Folder = BTreeMap<String, Vec<u8>>;

struct InMemory<'a>(&'a Folder);

impl Files for InMemory<'_> {
    fn read(&self, path: &str) -> Result<Vec<u8>, FileError> {
        self.0.get(path).cloned().ok_or(FileError::Missing)
    }
}

/// Reads every file of a folder of `examples/`.
pub fn example(name: &str) -> Folder {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(name);
    let mut folder = Folder::new();
    collect(&root, &root, &mut folder);
    folder
}

fn collect(root: &Path, at: &Path, folder: &mut Folder) {
    for entry in std::fs::read_dir(at).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            collect(root, &path, folder);
            continue;
        }
        let inside = path
            .strip_prefix(root)
            .unwrap()
            .to_string_lossy()
            .replace('\\', "/");
        folder.insert(inside, std::fs::read(&path).unwrap());
    }
}

/// The swap of a folder.
pub fn load(folder: &Folder) -> model::Swap {
    model::load(&InMemory(folder)).unwrap_or_else(|faults| panic!("{:?}", faults.faults))
}

/// How many candidates a swap has.
pub fn candidates(folder: &Folder) -> usize {
    load(folder).candidates.len()
}

/// The dossier of one candidate. Where checks are named, all plans keep only what those found, and of settings and steps only a
/// few are kept: for a text that does not change with everything that is added.
pub fn dossier_of(folder: &Folder, shown: usize, checks: &[&str]) -> Vec<Document> {
    let swap = load(folder);
    let mut plans: Vec<Plan<'_>> = swap
        .candidates
        .iter()
        .map(|board| plan::plan(&swap, board))
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
    let dialect = Dialect::common();
    let mut settings = settings::settings(&plans[shown].setup(), dialect);
    let mut steps = bringup::steps(&plans[shown], &settings);
    if !checks.is_empty() {
        settings
            .settings
            .retain(|setting| setting.title == "steps per length");
        steps.truncate(3);
    }
    let draws = Draws::of(&plans[shown]);
    documents(&Material {
        swap: &swap,
        plans: &plans,
        comparison: &plan::rank(&entries),
        shown,
        settings: &settings,
        dialect,
        draws: &draws,
        tally: &draws.clone().tally(physics::Spread::Uniform, 1, 0..100),
        steps: &steps,
        evidence: &[],
    })
}

/// Looks at the plan of one candidate.
pub fn with_plan(folder: &Folder, shown: usize, look: impl FnOnce(&Plan<'_>)) {
    let swap = load(folder);
    look(&plan::plan(&swap, &swap.candidates[shown]));
}

/// The text of a document.
pub fn text_of<'d>(documents: &'d [Document], name: &str) -> &'d str {
    let found = documents.iter().find(|document| document.name == name);
    &found.unwrap_or_else(|| panic!("there is no {name}")).text
}
