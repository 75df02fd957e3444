//! Whether the image was built for the place where the boot loader of the board starts it.

use super::ASK_ELF;
use crate::case::{Case, Kind, Start};
use crate::origin::{Evidence, Origin};
use crate::report::Ask;
use crate::verdict::{Amount, Check, count, hex, size};

const ID: &str = "boot-offset";

pub(super) fn check(case: &Case<'_>, _: &Ask<'_>) -> Option<Check> {
    let board = case.board;
    if matches!(case.kind, Kind::Other(_)) {
        return None;
    }
    if case.kind == Kind::EightBit || board.loader_is_last() {
        return eight_bit(case);
    }
    let Some(flash) = board.flash_start() else {
        return Some(Check::open(
            ID,
            "The place of the image cannot be judged.",
            format!("the start of the flash of {}", board.name),
            "Enter `flash_start` in the board's file, such as 0x0800_0000.",
        ));
    };
    Some(match &case.start {
        Start::Unknown => Check::open(
            ID,
            "A raw binary states no address, and the image has no vector table.",
            "the address that the image was built for",
            ASK_ELF,
        ),
        Start::Nowhere => nowhere(case),
        Start::Stated(start) | Start::Deduced(start, _) if *start < flash => Check::fail(
            ID,
            format!("Begins at {}, before the flash at {}.", hex(*start), hex(flash)),
            built_for(case),
        )
        .value(Amount::Address(*start)),
        Start::Stated(_) | Start::Deduced(..) => placed(case),
    })
}

/// The remedy: where it must begin.
fn built_for(case: &Case<'_>) -> String {
    case.board.image_start().map_or_else(
        || format!("Build the image for {}.", case.board.name),
        |start| {
            format!(
                "Build the image for {}, to begin at {}.",
                case.board.name,
                hex(start)
            )
        },
    )
}

fn eight_bit(case: &Case<'_>) -> Option<Check> {
    let start = case.starts_at()?;
    Some(if start == 0 {
        Check::pass(ID, "Begins at 0x00000000, where an 8-bit core starts.").source("avr-manual")
    } else {
        Check::fail(
            ID,
            format!("Begins at {}. An 8-bit core starts at 0x00000000.", hex(start)),
            "Choose the image of the firmware, not that of the boot loader.",
        )
        .value(Amount::Address(start))
        .source("avr-manual")
    })
}

fn nowhere(case: &Case<'_>) -> Check {
    let reset = case.table.as_ref().and_then(|table| table.reset());
    let range = case.board.flash_range();
    let outside = reset
        .zip(range)
        .filter(|(reset, flash)| !flash.contains(&u64::from(reset.word)));
    match outside {
        Some((reset, flash)) => Check::fail(
            ID,
            format!(
                "The reset vector {} is outside the flash, 0x{:08X} to 0x{:08X}.",
                hex(reset.word),
                flash.start,
                flash.end - 1
            ),
            built_for(case),
        )
        .value(Amount::Address(reset.word)),
        None => Check::fail(
            ID,
            "The vectors fit none of the boot offsets in use: the image is incomplete or built for another place.",
            built_for(case),
        ),
    }
}

fn placed(case: &Case<'_>) -> Check {
    let board = case.board;
    let built = case.offset().unwrap_or(0);
    let own = board.boot_offset.map(quantity::Memory::bytes);
    let by = how(case);
    let Some(own) = own else {
        return Check::open(
            ID,
            format!("Built for boot offset {}{by}.", size(built)),
            format!("the boot offset of {}", board.name),
            "Enter `boot_offset` in the board's file; \"0 B\" if no loader precedes the image.",
        )
        .value(Amount::bytes(built));
    };
    let verdict = if case.with_loader {
        Check::fail(
            ID,
            format!(
                "The file contains a boot loader: it begins at {}, before the image at {}.",
                size(built),
                size(own)
            ),
            "Choose the file without a boot loader. Loading this one replaces the board's own.",
        )
    } else if built == own {
        Check::pass(
            ID,
            format!("Built for boot offset {}, as {} has{by}.", size(own), board.name),
        )
    } else if could_be(case, own) {
        Check::open(
            ID,
            format!(
                "Its vectors fit boot offset {} of this board, and {} as well.",
                size(own),
                size(built)
            ),
            "which of them the image was built for",
            "Check the ELF or Intel HEX file of the same build: it states the address.",
        )
    } else {
        Check::fail(
            ID,
            format!(
                "Built for boot offset {}{by}. {} has {}.",
                size(built),
                board.name,
                size(own)
            ),
            built_for(case),
        )
    };
    verdict
        .value(Amount::bytes(built))
        .limit(Amount::bytes(own))
        .source("arm-ddi-0403")
}

/// Whether another offset than the likely one cannot be ruled out.
fn could_be(case: &Case<'_>, own: u64) -> bool {
    match &case.start {
        Start::Deduced(
            _,
            Origin::Found {
                by: Evidence::Nearest,
                others,
                ..
            },
        ) => others.iter().any(|other| u64::from(*other) == own),
        _ => false,
    }
}

/// How a deduced offset is known.
fn how(case: &Case<'_>) -> String {
    let Start::Deduced(_, Origin::Found { by, others, .. }) = &case.start else {
        return String::new();
    };
    match by {
        Evidence::Vectors => " (its vectors fit no other)".to_owned(),
        Evidence::Table => " (only there its code follows the table)".to_owned(),
        Evidence::Code => " (only there its handlers begin with code)".to_owned(),
        Evidence::Pointers { hits, of } => format!(" ({hits} of {of} pointers lead to functions)"),
        Evidence::Nearest => format!(
            " (likely; {} would fit too)",
            count(others.len() as u64, "other", "others")
        ),
    }
}
