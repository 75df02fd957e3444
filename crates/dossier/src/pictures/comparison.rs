//! The candidates side by side.

use drawing::{Candidate, Comparison, Count};
use plan::Entry;

use crate::compare::front_informs;
use crate::shown::Shown;

pub(super) fn comparison(shown: &Shown<'_>, prefix: String) -> Comparison {
    let title = format!("Boards for {}", shown.swap.machine.name);
    let entries = &shown.material.comparison.entries;
    let lines: Vec<String> = entries
        .iter()
        .enumerate()
        .map(|(at, entry)| format!("{}. {}: {}", at + 1, entry.board, entry.because))
        .collect();
    let criteria = [
        "blockers",
        "to decide",
        "for people and fire",
        "wishes not met, points",
        "price with parts",
        "settings to change",
        "work on cables",
    ];
    let informs = front_informs(entries);
    Comparison {
        head: super::head(shown, prefix, &title, lines.join(". ")),
        criteria: criteria.map(str::to_owned).to_vec(),
        candidates: entries
            .iter()
            .enumerate()
            .map(|(at, entry)| Candidate {
                name: entry.board.clone(),
                counts: counts(entry),
                on_front: informs.then_some(entry.pareto),
                chosen: shown.swap.chosen_board == Some(entry.candidate),
                note: format!("place {}", at + 1),
            })
            .collect(),
    }
}

/// Of all the lower the better, so that every bar means the same.
fn counts(entry: &Entry) -> Vec<Count> {
    let number = |position: f64, text: String| Count {
        position: Some(position),
        text,
    };
    let count = |count: f64| number(count, count.to_string());
    let (met, all) = entry.wishes;
    vec![
        count(entry.blockers as f64),
        count(entry.to_decide as f64),
        count(entry.decide.safety as f64),
        number((all - met) as f64, format!("{} of {all}", all - met)),
        Count {
            position: entry.price.map(|price| price.hundredths() as f64),
            text: entry
                .price
                .map_or_else(|| "not stated".to_owned(), |price| price.to_string()),
        },
        count(entry.settings as f64),
        number(entry.minutes as f64, format!("{} min", entry.minutes)),
    ]
}
