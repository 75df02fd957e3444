//! Every check has its page in the handbook, and every page its check.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use plan::{LATER_CHECKS, PAIR_CHECKS, WHOLE_CHECKS};

/// The headings of a page, in their order.
const HEADINGS: [&str; 7] = [
    "## What it checks",
    "## Formula",
    "## Limit",
    "## Verdicts",
    "## Source",
    "## What it leaves out",
    "## What to do",
];

fn pages() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/handbook/checks")
}

fn checks() -> Vec<(&'static str, &'static str)> {
    let pairs = PAIR_CHECKS.iter().map(|check| (check.id, check.title));
    let wholes = WHOLE_CHECKS.iter().map(|check| (check.id, check.title));
    let later = LATER_CHECKS.iter().map(|check| (check.id, check.title));
    pairs.chain(wholes).chain(later).collect()
}

#[test]
fn every_check_has_a_page_and_every_page_a_check() {
    let wanted: BTreeSet<String> = checks().iter().map(|(id, _)| format!("{id}.md")).collect();
    let found: BTreeSet<String> = std::fs::read_dir(pages())
        .expect("docs/handbook/checks")
        .map(|entry| {
            entry
                .expect("a readable folder")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    let missing: Vec<_> = wanted.difference(&found).collect();
    let stray: Vec<_> = found.difference(&wanted).collect();
    assert!(
        missing.is_empty() && stray.is_empty(),
        "no page: {missing:?}; no check: {stray:?}"
    );
}

#[test]
fn every_page_says_what_a_reader_looks_for() {
    for (id, title) in checks() {
        let path = pages().join(format!("{id}.md"));
        let Ok(page) = std::fs::read_to_string(&path) else {
            continue;
        };
        assert!(
            page.starts_with(&format!("# {title}\n")),
            "{id}: the page does not begin with `# {title}`"
        );
        let mut from = 0;
        for heading in HEADINGS {
            let at = page[from..].find(&format!("\n{heading}\n"));
            from += at.unwrap_or_else(|| panic!("{id}: no `{heading}`, or not in its place"));
        }
    }
}
