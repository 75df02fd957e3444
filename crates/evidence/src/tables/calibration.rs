//! Calibrations: lengths fed and printed, widths, and places of a pattern.

use quantity::si::{Length, Time};

use super::Rows;
use super::axis::Axis;
use super::columns::Columns;
use crate::calibration::{Corner, Measure, Print, Pull, Side, Wall};
use crate::read::Records;

/// `commanded` and `measured` in millimetres.
///
/// # Errors
/// As for [`touches`](super::touches()).
pub fn pulls(table: &Records) -> Rows<Pull> {
    let columns = Columns::of(table, &["commanded", "measured"])?;
    let both = [
        columns.needed::<Length>(&["commanded", "asked"], 0, "mm")?,
        columns.needed::<Length>(&["measured", "fed"], 1, "mm")?,
    ];
    columns.rows(|columns, row| {
        let [commanded, measured] = columns.both(row, &both)?;
        Some(Pull {
            commanded,
            measured,
            line: row.line,
        })
    })
}

/// `set` and `measured` width in millimetres.
///
/// # Errors
/// As for [`touches`](super::touches()).
pub fn walls(table: &Records) -> Rows<Wall> {
    let columns = Columns::of(table, &["set", "measured"])?;
    let both = [
        columns.needed::<Length>(&["set", "nominal"], 0, "mm")?,
        columns.needed::<Length>(&["measured"], 1, "mm")?,
    ];
    columns.rows(|columns, row| {
        let [set, measured] = columns.both(row, &both)?;
        Some(Wall {
            set,
            measured,
            line: row.line,
        })
    })
}

/// `axis`, `nominal` and `measured` in millimetres; `side` (`outside`, `inside`, `pitch`), outside where there is no such column.
///
/// # Errors
/// As for [`touches`](super::touches()).
pub fn prints(table: &Records, axis: Option<&str>) -> Rows<Print> {
    let mut columns = Columns::of(table, &["nominal", "measured", "side"])?;
    let unknown = "neither the file nor the entry says along which axis the lengths lie";
    let mut axis = Axis::of(&columns, axis, unknown)?;
    let both = [
        columns.needed::<Length>(&["nominal", "drawn"], 0, "mm")?,
        columns.needed::<Length>(&["measured"], 1, "mm")?,
    ];
    let side = columns.find(&["side"], 2);
    let words = [
        ("outside", Side::Outside),
        ("inside", Side::Inside),
        ("pitch", Side::Pitch),
    ];
    let out = columns.each(|columns, row| {
        let [nominal, measured] = columns.both(row, &both)?;
        let side = match side {
            Some(at) => columns.word(row, at, &words)?,
            None => Side::Outside,
        };
        Some(Print {
            axis: axis.own(columns, row, "along")?,
            nominal,
            measured,
            side,
            line: row.line,
        })
    });
    axis.refuse_others(&out, &columns)?;
    Ok((out, columns.troubles))
}

/// `compensation` in seconds, and either `bulge` in millimetres or `score`.
///
/// # Errors
/// As for [`touches`](super::touches()).
pub fn corners(table: &Records) -> Rows<Corner> {
    let columns = Columns::of(table, &["compensation", "bulge"])?;
    let compensation = columns.needed::<Time>(&["compensation", "value"], 0, "s")?;
    let bulge = columns.optional::<Length>(&["bulge", "width"], 1, "mm")?;
    let score = columns.find(&["score"], usize::MAX);
    if bulge.is_none() && score.is_none() {
        columns.need(&["bulge", "score"], usize::MAX)?;
    }
    columns.rows(|columns, row| {
        let compensation = columns.value(row, &compensation)?;
        let measure = match (&bulge, score) {
            (Some(bulge), _) => Measure::Bulge(columns.value(row, bulge)?),
            (None, score) => Measure::Score(columns.number(row, score?)?),
        };
        Some(Corner {
            compensation,
            measure,
            line: row.line,
        })
    })
}
