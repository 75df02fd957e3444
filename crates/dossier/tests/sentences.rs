//! How long the sentences are that a person reads at the bench: headlines, remedies and steps of every board of all examples.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use crate::support::{example, load};

/// More words than this, split at blanks, are too many for one sentence.
const WORDS: usize = 20;

/// At least this share of sentences keeps to it, of each kind of text.
const SHARE: f64 = 0.95;

/// The sentences of a text: they end at a stop that a blank follows, so that a decimal point ends none. A semicolon ends none either.
fn split(text: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut letters = text.chars().peekable();
    let mut before = ' ';
    while let Some(letter) = letters.next() {
        if let Some(last) = out.last_mut() {
            last.push(letter);
        }
        // The dots between two bounds end nothing.
        let ends = matches!(letter, '.' | '!' | '?') && !matches!(before, '.' | ' ');
        if ends && letters.peek().is_some_and(|next| next.is_whitespace()) {
            out.push(String::new());
        }
        before = letter;
    }
    out.retain(|sentence| !sentence.trim().is_empty());
    out
}

#[derive(Default)]
struct Count {
    all: BTreeSet<String>,
}

impl Count {
    fn add(&mut self, text: &str) {
        self.all
            .extend(split(text).into_iter().map(|own| own.trim().to_owned()));
    }
    fn long(&self) -> Vec<(usize, &str)> {
        let counted = self
            .all
            .iter()
            .map(|own| (own.split_whitespace().count(), own.as_str()));
        let mut long: Vec<_> = counted.filter(|(words, _)| *words > WORDS).collect();
        long.sort_unstable();
        long
    }
    fn share(&self) -> f64 {
        1.0 - self.long().len() as f64 / self.all.len() as f64
    }
}

#[test]
fn sentences_are_short() {
    let (mut open, mut passed, mut remedies, mut steps) = (
        Count::default(),
        Count::default(),
        Count::default(),
        Count::default(),
    );
    for name in ["demo", "second", "third"] {
        let swap = load(&example(name));
        for board in &swap.candidates {
            let plan = plan::plan(&swap, board);
            for finding in &plan.findings {
                let of = if finding.verdict == plan::Verdict::Pass {
                    &mut passed
                } else {
                    &mut open
                };
                of.add(&finding.headline);
                if let Some(remedy) = &finding.remedy {
                    remedies.add(remedy);
                }
            }
            let settings = settings::settings(&plan.setup());
            for step in bringup::steps(&plan, &settings) {
                let own = [&step.title, &step.why].into_iter().chain(&step.hazard);
                let parts = step
                    .parts
                    .iter()
                    .flat_map(|part| part.actions.iter().chain([&part.what]));
                for text in own.chain(&step.actions).chain(&step.otherwise).chain(parts) {
                    steps.add(text);
                }
            }
        }
    }
    let mut said = String::new();
    let mut fails = false;
    for (name, count) in [
        ("headlines that do not pass", open),
        ("headlines that pass", passed),
        ("remedies", remedies),
        ("steps", steps),
    ] {
        let share = count.share();
        writeln!(
            said,
            "{name}: {:.1} % of {} sentences",
            share * 100.0,
            count.all.len()
        )
        .unwrap();
        if share < SHARE {
            fails = true;
            for (words, own) in count.long() {
                writeln!(said, "  {words}: {own}").unwrap();
            }
        }
    }
    assert!(!fails, "sentences of more than {WORDS} words:\n{said}");
}
