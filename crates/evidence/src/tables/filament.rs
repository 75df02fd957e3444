//! Looks at a filament switch.

use quantity::si::Length;

use super::Rows;
use super::columns::Columns;
use crate::Refused;
use crate::read::Records;
use crate::simple::Filament;

/// What is said of filament, and of what the switch reports.
const SAID: &[(&str, bool)] = &[
    ("yes", true),
    ("no", false),
    ("1", true),
    ("0", false),
    ("there", true),
    ("none", false),
    ("true", true),
    ("false", false),
    ("present", true),
    ("absent", false),
    ("in", true),
    ("out", false),
    ("filament", true),
    ("no filament", false),
    ("empty", false),
];

/// `filament` and `reported` (`yes` or `no`); `run on` in millimetres where it was measured.
///
/// # Errors
/// As for [`touches`](super::touches()).
pub fn filament(table: &Records) -> Rows<Filament> {
    let columns = Columns::of(table, &["filament", "reported", "run on"])?;
    if first_look_is_head(table) {
        return Err(Refused::new(
            "the file has no head, and its first look was taken for one",
            "write `filament,reported` as the first line",
        ));
    }
    let there = columns.need(&["filament", "there", "present", "inserted", "loaded"], 0)?;
    let reported = columns.need(&["reported", "switch", "sensor", "state", "reading", "says"], 1)?;
    let remaining_filament = columns.optional::<Length>(&["run"], 2, "mm")?;
    columns.rows(|columns, row| {
        Some(Filament {
            there: columns.word(row, there, SAID)?,
            reported: columns.word(row, reported, SAID)?,
            remaining_filament: columns.if_noted(row, remaining_filament.as_ref()),
            line: row.line,
        })
    })
}

/// Where every look is of words alone, the first one passes for a head.
fn first_look_is_head(table: &Records) -> bool {
    let said = |at: usize| {
        let name = table.columns.get(at).map(|column| column.name.to_lowercase());
        SAID.iter().any(|(word, _)| name.as_deref() == Some(word))
    };
    said(0) && said(1)
}
