//! Whether the stack pointer at the start points into the RAM.

use crate::case::{Case, Kind};
use crate::report::Ask;
use crate::vectors::could_be_stack;
use crate::verdict::{Amount, Check, hex, size};

const ID: &str = "stack";
/// Data of an image begin at the first bytes of the RAM: a word that points so near to its start shows where it starts.
const NEAR: u32 = 1024;
/// So far from the start the stack is in another bank: no such chip has more in one.
const FAR: u32 = 2 << 20;

pub(super) fn check(case: &Case<'_>, _: &Ask<'_>) -> Option<Check> {
    if case.kind != Kind::Arm {
        return None;
    }
    let stack = case.table.as_ref()?.stack;
    let board = case.board;
    let build = format!("Build the image for {}.", board.name);
    let check = if !could_be_stack(stack) {
        Check::fail(
            ID,
            format!(
                "The first stack pointer, {}, points to no RAM of any such core.",
                hex(stack)
            ),
            build,
        )
    } else if let Some((start, usual)) = board.ram_start_or_usual() {
        let end = u64::from(start) + board.ram.bytes();
        let range = format!("{} to 0x{:08X}", hex(start), end.saturating_sub(1));
        let inside = stack > start && u64::from(stack) <= end;
        let end = Amount::Address(u32::try_from(end).unwrap_or(u32::MAX));
        let outside = format!(
            "The first stack pointer, {}, is outside the RAM, {range}.",
            hex(stack)
        );
        match (inside, usual) {
            (true, false) => Check::pass(
                ID,
                format!("The first stack pointer, {}, is in the RAM, {range}.", hex(stack)),
            ),
            (true, true) => Check::pass(
                ID,
                format!(
                    "The first stack pointer, {}, is in the RAM, {range} on most such chips.",
                    hex(stack)
                ),
            ),
            (false, false) => Check::fail(ID, outside, build),
            (false, true) if stack.abs_diff(start) < FAR && shows_start(case, start) => Check::fail(
                ID,
                format!(
                    "The image uses {} of RAM, from {} to its first stack pointer {}. The board has {}.",
                    size(u64::from(stack - start.min(stack))),
                    hex(start),
                    hex(stack),
                    size(board.ram.bytes())
                ),
                build,
            ),
            (false, true) => Check::open(
                ID,
                format!(
                    "The first stack pointer, {}, is outside {range}, the RAM of most such chips.",
                    hex(stack)
                ),
                format!("the start of the RAM of {}", board.name),
                "Enter `ram_start` in the board's file. Do not load the image before.",
            ),
        }
        .limit(end)
    } else {
        Check::open(
            ID,
            format!("The first stack pointer is {}.", hex(stack)),
            format!("the start of the RAM of {}", board.name),
            "Enter `ram_start` in the board's file.",
        )
    };
    Some(check.value(Amount::Address(stack)).source("arm-ddi-0403"))
}

/// Whether the image itself uses the first bytes of a RAM that starts there.
fn shows_start(case: &Case<'_>, start: u32) -> bool {
    let near = |address: u32| address.checked_sub(start).is_some_and(|distance| distance < NEAR);
    let stated = case
        .image
        .elf
        .as_ref()
        .is_some_and(|elf| elf.memory.iter().any(|region| near(region.runs_at)));
    stated || case.content.words().any(|(_, word)| near(word))
}
