//! Whether the vector table is one that the core can start from.

use crate::case::{Case, Kind, Start};
use crate::report::Ask;
use crate::vectors::{Table, Vector};
use crate::verdict::{Amount, Check, count, hex, list};

const ID: &str = "vectors";

pub(super) fn check(case: &Case<'_>, _: &Ask<'_>) -> Option<Check> {
    let build = format!("Build the image for {}.", case.board.name);
    match case.kind {
        Kind::Other(_) => None,
        Kind::EightBit => Some(eight_bit(case, build)),
        Kind::Unknown => Some(Check::fail(
            ID,
            "There is no vector table at the start of the image.",
            "Check that the file is the firmware image, not encrypted and complete.",
        )),
        Kind::Arm => {
            let check = match &case.table {
                Some(table) => arm(case, table, build),
                None => Check::fail(ID, "There is no vector table at the start of the image.", build),
            };
            Some(check.source("arm-ddi-0403"))
        }
    }
}

fn arm(case: &Case<'_>, table: &Table, build: String) -> Check {
    let names = |vectors: &[Vector]| {
        let words: Vec<String> = vectors
            .iter()
            .map(|vector| format!("{} {}", vector.name(), hex(vector.word)))
            .collect();
        list(&words, 2)
    };
    let Some(reset) = table.reset() else {
        return Check::fail(ID, "The reset vector is zero: no core can start there.", build);
    };
    let even: Vec<Vector> = table
        .vectors
        .iter()
        .copied()
        .filter(|vector| vector.word & 1 == 0)
        .collect();
    if !even.is_empty() {
        return Check::fail(
            ID,
            format!("Bit 0 is not set, as Thumb code needs, in: {}.", names(&even)),
            build,
        )
        .value(Amount::Address(reset.word));
    }
    let all = count(table.vectors.len() as u64, "vector", "vectors");
    if matches!(case.start, Start::Unknown) {
        return Check::open(
            ID,
            format!("Reset vector {} and the others are odd ({all}).", hex(reset.word)),
            format!("the start of the flash of {}", case.board.name),
            "Enter `flash_start` in the board's file.",
        );
    }
    let start = case.starts_at().unwrap_or(table.at);
    let outside: Vec<Vector> = table
        .vectors
        .iter()
        .copied()
        .filter(|vector| {
            case.content.half(vector.target()).is_none() || (table.at..table.end).contains(&vector.target())
        })
        .collect();
    let (value, limit) = (Amount::Address(reset.word), Amount::Address(start));
    if outside.is_empty() {
        let lead = table.at - start.min(table.at);
        let place = if lead > 0 && !case.with_loader {
            format!(" The table is at {}, {lead} B behind the start.", hex(table.at))
        } else {
            String::new()
        };
        return Check::pass(
            ID,
            format!(
                "Reset vector {} is odd and in the image, as are all {all}.{place}",
                hex(reset.word)
            ),
        )
        .value(value)
        .limit(limit);
    }
    let only_behind = case.content.extent().is_some_and(|extent| {
        outside
            .iter()
            .all(|vector| u64::from(vector.target()) >= extent.end)
    });
    let again = "Copy, download or build the file again";
    let (words, remedy) = match (only_behind, case.image.is_addressed()) {
        (true, true) => (
            "lead behind its end: the file is cut off. The first are",
            format!("{again}."),
        ),
        // A file of bytes alone does not say where it begins.
        (true, false) => (
            "lead behind its end: the file is cut off, or was built for a later start. The first are",
            format!(
                "{again}, for {} if it is as long as it should be.",
                case.board.name
            ),
        ),
        (false, _) => ("lead out of the image:", build),
    };
    Check::fail(
        ID,
        format!("{} of {all} {words} {}.", outside.len(), names(&outside)),
        remedy,
    )
    .value(value)
    .limit(limit)
}

fn eight_bit(case: &Case<'_>, build: String) -> Check {
    let Some(jumps) = &case.jumps else {
        return Check::fail(
            ID,
            "The image does not begin with jumps, as one for an 8-bit core does.",
            build,
        )
        .source("avr-manual");
    };
    let outside = jumps
        .iter()
        .filter(|target| case.content.half(**target).is_none())
        .count();
    let all = count(jumps.len() as u64, "vector", "vectors");
    let check = if outside == 0 {
        Check::pass(ID, format!("Begins with {all}, each a jump into the image."))
    } else {
        Check::fail(
            ID,
            format!("{outside} of {all} jump out of the image: the file is cut off or damaged."),
            build,
        )
    };
    check
        .value(Amount::Count(outside as u64))
        .limit(Amount::Count(0))
        .source("avr-manual")
}
