//! The candidates on a screen: one table, what differs most first, and a sentence a board.

use document::{Block, Cell, Column, Row, Table, Text};
use plan::{Comparison, Entry, Verdict};

use crate::about::mark;
use crate::words::{capital, sentence, share};

/// So many boards fit side by side; more stand below each other.
const SIDE_BY_SIDE: usize = 5;

/// A respect in which boards differ: its name, what each board has, and the number behind it; of all the lower the better.
struct Respect {
    name: &'static str,
    shown: Vec<String>,
    numbers: Vec<f64>,
}

impl Respect {
    /// How far the boards are apart, as a share of the largest number; what somebody did not state differs most.
    fn spread(&self) -> f64 {
        if self.numbers.iter().any(|number| !number.is_finite()) {
            return f64::INFINITY;
        }
        let low = self.numbers.iter().copied().fold(f64::INFINITY, f64::min);
        let high = self.numbers.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let size = low.abs().max(high.abs());
        if size > 0.0 { (high - low) / size } else { 0.0 }
    }
}

/// What is left to the nearest limit that holds.
fn nearest(entry: &Entry) -> String {
    entry.least_margin().map_or_else(|| "no limit".to_owned(), share)
}

fn respects(entries: &[Entry]) -> Vec<Respect> {
    #[expect(clippy::cast_precision_loss, reason = "counts and prices of a hobby")]
    let of = |name, shown: fn(&Entry) -> String, number: fn(&Entry) -> Option<i64>| Respect {
        name,
        shown: entries.iter().map(shown).collect(),
        numbers: entries
            .iter()
            .map(|entry| number(entry).map_or(f64::INFINITY, |number| number as f64))
            .collect(),
    };
    let mut respects = vec![
        of(
            "blockers",
            |entry| none(entry.blockers - entry.open),
            |entry| count(entry.blockers - entry.open),
        ),
        of(
            "open that block",
            |entry| none(entry.open),
            |entry| count(entry.open),
        ),
        of(
            "to decide",
            |entry| none(entry.to_decide),
            |entry| count(entry.to_decide),
        ),
        of(
            "for people and fire",
            |entry| entry.decide.safety.to_string(),
            |entry| Some(entry.decide.safety),
        ),
        of(
            "wish points",
            |entry| format!("{} of {}", entry.wishes.0, entry.wishes.1),
            |entry| Some(entry.wishes.0),
        ),
        of(
            "price with parts",
            |entry| {
                entry
                    .price
                    .map_or_else(|| "not stated".to_owned(), |price| price.to_string())
            },
            |entry| entry.price.map(quantity::Price::hundredths),
        ),
        of(
            "settings to change",
            |entry| entry.settings.to_string(),
            |entry| Some(entry.settings),
        ),
        of(
            "work on cables",
            |entry| format!("{} min", entry.minutes),
            |entry| Some(entry.minutes),
        ),
        Respect {
            name: "smallest margin",
            shown: entries.iter().map(nearest).collect(),
            numbers: entries
                .iter()
                .map(|entry| entry.least_margin().unwrap_or(0.0))
                .collect(),
        },
    ];
    let opened = entries.iter().any(|entry| entry.open > 0);
    respects.retain(|respect| opened || respect.name != "open that block");
    if front_informs(entries) {
        respects.push(of(
            "on the Pareto front",
            |entry| (if entry.pareto { "yes" } else { "no" }).to_owned(),
            |entry| Some(i64::from(!entry.pareto)),
        ));
    }
    respects
}

fn count(number: usize) -> Option<i64> {
    i64::try_from(number).ok()
}

fn none(count: usize) -> String {
    if count == 0 {
        "none".to_owned()
    } else {
        count.to_string()
    }
}

/// The comparison on a screen.
pub(crate) fn screen(comparison: &Comparison) -> Vec<Block> {
    let mut blocks = Vec::new();
    if comparison.best().is_none() {
        blocks.push(Block::say(
            "No candidate is free of blockers: none is recommended.",
        ));
    }
    blocks.extend(side_by_side(&comparison.entries, None));
    blocks
}

/// How boards are ordered.
pub(crate) const ORDER: &str = "Best first: by blockers, wishes, what to decide, settings, work, price.";

/// One table, what differs most first, then a sentence for each board; the board that a page is about says that it is.
pub(crate) fn side_by_side(entries: &[Entry], here: Option<usize>) -> Vec<Block> {
    let mut all = respects(entries);
    all.sort_by(|one, other| other.spread().total_cmp(&one.spread()));
    let (differ, same): (Vec<Respect>, Vec<Respect>) = all
        .into_iter()
        .partition(|respect| entries.len() < 2 || respect.spread() > 0.0);
    let mut blocks = vec![table(entries, &differ).into()];
    if !same.is_empty() {
        let words: Vec<String> = same
            .iter()
            .map(|respect| format!("{} ({})", respect.name, respect.shown[0]))
            .collect();
        blocks.push(Block::remark(format!("The same on all: {}.", words.join(", "))));
    }
    blocks.push(Block::ordered(entries.iter().map(|entry| {
        let own = if here == Some(entry.candidate) {
            " (this page)"
        } else {
            ""
        };
        Text::default()
            .strong(&entry.board)
            .and(format!("{own}: {}", sentence(&entry.because)))
    })));
    blocks
}

/// Whether it tells boards apart who is on the Pareto front: some are, and some are not.
pub(crate) fn front_informs(entries: &[Entry]) -> bool {
    entries.iter().any(|entry| entry.pareto) && entries.iter().any(|entry| !entry.pareto)
}

fn table(entries: &[Entry], respects: &[Respect]) -> Table {
    let worst = |entry: &Entry| {
        if entry.is_free() {
            Verdict::Pass
        } else {
            Verdict::Blocker
        }
    };
    if entries.len() > SIDE_BY_SIDE {
        let columns = std::iter::once(Column::text("Board")).chain(
            respects
                .iter()
                .map(|respect| Column::number(capital(respect.name))),
        );
        let rows = entries.iter().enumerate().map(|(at, entry)| {
            let cells = respects.iter().map(|respect| Cell::from(&respect.shown[at]));
            Row::of(std::iter::once(Cell::from(&entry.board)).chain(cells)).marked(mark(worst(entry)))
        });
        return Table::new(columns.collect::<Vec<_>>(), rows.collect::<Vec<_>>());
    }
    let boards = entries.iter().map(|entry| Column::number(entry.board.as_str()));
    let columns: Vec<Column> = std::iter::once(Column::text("")).chain(boards).collect();
    let rows = respects.iter().map(|respect| {
        let name = std::iter::once(Cell::from(capital(respect.name)));
        Row::of(name.chain(respect.shown.iter().map(Cell::from)))
    });
    Table::new(columns, rows.collect::<Vec<_>>())
}
