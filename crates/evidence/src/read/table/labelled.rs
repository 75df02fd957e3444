//! A table in which each number stands behind its label.

use super::rows::Rows;
use super::{Cell, Column, Table, lines};
use crate::read::labelled::{Held, Labels};
use crate::read::troubles::Troubles;

/// The table, where the file is written in this way.
pub(super) fn table(bytes: &[u8], troubles: &mut Troubles) -> Option<Table> {
    let sample: Vec<&[u8]> = lines(bytes).take(200).map(|(_, line)| line).collect();
    let labels = Labels::of(sample.into_iter())?;
    let stamped = usize::from(
        labels.stamped
            && !labels
                .labels
                .iter()
                .any(|label| label.eq_ignore_ascii_case("time")),
    );
    let mut rows = Rows::of_width(labels.labels.len() + stamped);
    let mut chatter = 0_u64;
    for (line, text) in lines(bytes) {
        match labels.row(text) {
            Ok(Some(row)) => {
                let stamp = row.stamp_text.map_or(Cell::Missing, Cell::Text);
                let cells = row.pairs.iter().map(|pair| match pair.value {
                    Held::Number(number) => Cell::Number(number),
                    Held::Missing => Cell::Missing,
                    Held::Text(text) => Cell::Text(text),
                });
                // As wide as the labels, so that none is refused.
                let cells: Vec<Cell<'_>> = core::iter::repeat_n(stamp, stamped).chain(cells).collect();
                let _ = rows.push(line, cells.into_iter());
            }
            Ok(None) => chatter += 1,
            Err(what) => troubles.lose(line, &what),
        }
    }
    if chatter > 0 {
        troubles.of_all(format!(
            "{chatter} lines without the labels of the others were passed over"
        ));
    }
    let time = core::iter::repeat_n("time".to_owned(), stamped);
    let columns = time.chain(labels.heads()).map(|head| Column::of(&head)).collect();
    Some(Table {
        columns,
        rows,
        ..Table::default()
    })
}
