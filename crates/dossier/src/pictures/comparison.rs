//! The candidates side by side.

use drawing::{Candidate, Comparison, Count, Criterion};
use plan::Entry;

use crate::shown::Shown;
use crate::words::share;

pub(super) fn comparison(shown: &Shown<'_>, prefix: String) -> Comparison {
    let title = format!("Boards for {}", shown.swap.machine.name);
    let entries = &shown.material.comparison.entries;
    let lines: Vec<String> = entries
        .iter()
        .enumerate()
        .map(|(at, entry)| format!("{}. {}: {}", at + 1, entry.board, entry.because))
        .collect();
    let criterion = |name: &str, more_is_better| Criterion {
        name: name.to_owned(),
        more_is_better,
    };
    Comparison {
        head: super::head(shown, prefix, &title, lines.join(". ")),
        criteria: vec![
            criterion("blockers", false),
            criterion("actions required", false),
            criterion("wishes served", true),
            criterion("price with parts", false),
            criterion("settings that change", false),
            criterion("work on leads", false),
            criterion("least room to a limit", true),
        ],
        candidates: entries
            .iter()
            .enumerate()
            .map(|(at, entry)| candidate(at, entry, shown))
            .collect(),
    }
}

fn candidate(at: usize, entry: &Entry, shown: &Shown<'_>) -> Candidate {
    Candidate {
        name: entry.board.clone(),
        counts: counts(entry),
        on_front: entry.pareto,
        chosen: entry.candidate == shown.material.shown,
        note: format!("place {}", at + 1),
    }
}

fn counts(entry: &Entry) -> Vec<Count> {
    let number = |position: f64, text: String| Count {
        position: Some(position),
        text,
    };
    vec![
        number(entry.blockers as f64, entry.blockers.to_string()),
        number(entry.cautions as f64, entry.cautions.to_string()),
        number(
            entry.wishes.0 as f64,
            format!("{} of {}", entry.wishes.0, entry.wishes.1),
        ),
        Count {
            position: entry.price.map(|price| price.hundredths() as f64),
            text: entry
                .price
                .map_or_else(|| "not stated".to_owned(), |price| price.to_string()),
        },
        number(entry.settings as f64, entry.settings.to_string()),
        number(entry.minutes as f64, format!("{} min", entry.minutes)),
        Count {
            // Beyond twice the limit, more room is no better: it would only squeeze the scale.
            position: entry.least_margin().map(|margin| margin.clamp(-2.0, 2.0)),
            text: entry.least_margin().map_or_else(|| "no limit".to_owned(), share),
        },
    ]
}
