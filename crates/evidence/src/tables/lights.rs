//! Lights of a strip: what each was told and what it showed.

use super::Rows;
use super::columns::Columns;
use crate::read::{Cell, Records};
use crate::simple::{Colour, Light};

/// `light` (its place, from 1), `told` and `shown` (`red`, `green`, `blue`, `white`, `off`, `other`).
///
/// # Errors
/// As for [`touches`](super::touches()).
pub fn lights(table: &Records) -> Rows<Light> {
    let columns = Columns::of(table, &["light", "told", "shown"])?;
    let place = columns.need(&["light", "place"], 0)?;
    let told = columns.need(&["told"], 1)?;
    let shown = columns.need(&["shown"], 2)?;
    let words = Colour::ALL.map(|colour| (colour.word(), colour));
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
