//! Lights of a strip: what each was told and what it showed.

use super::Rows;
use super::columns::Columns;
use crate::read::{Cell, Records};
use crate::simple::{Colour, Light};

/// Letters of IEC 60757, and the short words that people write.
const LETTERS: [(&str, Colour); 12] = [
    ("rd", Colour::Red),
    ("gn", Colour::Green),
    ("bu", Colour::Blue),
    ("wh", Colour::White),
    ("r", Colour::Red),
    ("g", Colour::Green),
    ("b", Colour::Blue),
    ("w", Colour::White),
    ("dark", Colour::Off),
    ("black", Colour::Off),
    ("none", Colour::Off),
    ("nothing", Colour::Off),
];

/// `light` (its place, from 1), `told` and `shown` (`red`, `green`, `blue`, `white`, `off`, `other`).
///
/// # Errors
/// As for [`touches`](super::touches()).
pub fn lights(table: &Records) -> Rows<Light> {
    let columns = Columns::of(table, &["light", "told", "shown"])?;
    let place = columns.need(&["light", "place", "led", "pixel", "number"], 0)?;
    let told = columns.need(&["told", "sent", "set", "commanded"], 1)?;
    let shown = columns.need(&["shown", "seen", "showed", "observed"], 2)?;
    let words: Vec<(&str, Colour)> = Colour::ALL
        .map(|colour| (colour.word(), colour))
        .into_iter()
        .chain(LETTERS)
        .collect();
    columns.rows(|columns, row| {
        let number = row.cells.get(place).and_then(Cell::number);
        let Some(place) = number.filter(|n| (1.0..=100_000.0).contains(n) && n.fract() == 0.0) else {
            columns.tell(
                row.line,
                "the place of the light is no whole number from 1; the row is left out",
            );
            return None;
        };
        Some(Light {
            place: place as u32,
            told: columns.word(row, told, &words)?,
            shown: columns.word(row, shown, &words)?,
            line: row.line,
        })
    })
}
