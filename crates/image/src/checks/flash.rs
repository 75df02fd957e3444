//! Whether the image fits the flash behind, or before, the boot loader.

use quantity::Number as _;

use crate::case::Case;
use crate::report::Ask;
use crate::verdict::{Amount, Check, count, hex, size};

const ID: &str = "flash";

pub(super) fn check(case: &Case<'_>, _: &Ask<'_>) -> Option<Check> {
    let board = case.board;
    let extent = case.content.extent()?;
    if let (Some(flash), Some(_)) = (board.flash_range(), case.starts_at()) {
        let inside = case.content.within(&flash);
        let outside = case.content.size() - inside.size();
        if outside > 0 {
            let first = case.content.pieces().iter().find_map(|piece| {
                let range = piece.range();
                if range.start < flash.start {
                    Some(range.start)
                } else {
                    (range.end > flash.end).then_some(range.start.max(flash.end))
                }
            });
            let at = first.and_then(|first| u32::try_from(first).ok()).unwrap_or(0);
            return Some(
                Check::fail(
                    ID,
                    format!(
                        "{} from {} are outside the flash, 0x{:08X} to 0x{:08X}.",
                        count(outside, "byte", "bytes"),
                        hex(at),
                        flash.start,
                        flash.end - 1
                    ),
                    format!(
                        "Build the image for {} with {} of flash.",
                        board.name,
                        size(board.flash.bytes())
                    ),
                )
                .value(Amount::bytes(outside))
                .limit(Amount::bytes(0)),
            );
        }
    }
    let used = extent.end - extent.start;
    let free = board
        .flash
        .bytes()
        .checked_sub(board.boot_offset.map_or(0, quantity::Memory::bytes));
    let Some(free) = free.filter(|free| *free > 0) else {
        return Some(Check::open(
            ID,
            "The boot offset of the board leaves no flash.",
            "the flash and the boot offset of the board",
            "Correct `flash` and `boot_offset` in the board's file.",
        ));
    };
    let words = format!(
        "{} of {} free flash ({} %)",
        size(used),
        size(free),
        percent(used, free)
    );
    let share = case.limits.flash_share.base();
    Some(
        if used > free {
            Check::fail(
                ID,
                format!(
                    "Does not fit: {} for {} of free flash, {} too much.",
                    size(used),
                    size(free),
                    size(used - free)
                ),
                "Leave out features in the build until it fits.",
            )
        } else if board.boot_offset.is_none() && !case.board.loader_is_last() && case.starts_at().is_none() {
            let largest = case
                .limits
                .offsets
                .iter()
                .map(|offset| offset.bytes())
                .max()
                .unwrap_or(0);
            if used.saturating_add(largest) <= board.flash.bytes() {
                Check::pass(ID, format!("Fits: {words}, behind any boot offset in use."))
            } else {
                Check::open(
                    ID,
                    format!("Takes {words} if no loader is there."),
                    "the boot offset of the board",
                    "Enter `boot_offset` in the board's file.",
                )
            }
        } else if over(used, free, share) {
            Check::open(
                ID,
                format!("Fits: {words}. Settings stored in flash may need the rest."),
                "where the controller stores its settings",
                "Confirm that settings are not stored in flash, or leave out features.",
            )
        } else {
            Check::pass(ID, format!("Fits: {words}."))
        }
        .value(Amount::bytes(used))
        .limit(Amount::bytes(free)),
    )
}

/// Whether a part is more than a share of the whole.
#[expect(clippy::cast_precision_loss, reason = "amounts of memory are far below 2⁵³")]
pub(super) fn over(part: u64, whole: u64, share: f64) -> bool {
    part as f64 > whole as f64 * share
}

/// Whole per cent, rounded up: what is not full never reads as 0.
pub(super) fn percent(part: u64, whole: u64) -> u64 {
    (part.saturating_mul(100)).div_ceil(whole.max(1))
}
