//! Whether the fixed data of the image fits the RAM, as far as the image tells.

use quantity::Number as _;

use super::ASK_ELF;
use super::flash::{over, percent};
use crate::case::{Case, Kind};
use crate::report::Ask;
use crate::verdict::{Amount, Check, size};

const ID: &str = "ram";

pub(super) fn check(case: &Case<'_>, _: &Ask<'_>) -> Option<Check> {
    if matches!(case.kind, Kind::Other(_)) {
        return None;
    }
    let ram = case.board.ram.bytes();
    let Some(elf) = &case.image.elf else {
        return Some(Check::open(
            ID,
            format!(
                "{} files do not state how much RAM the image takes.",
                capital(case.image.form.word())
            ),
            "the RAM that its data takes",
            ASK_ELF,
        ));
    };
    let flash = case.board.flash_range();
    let in_flash = |address: u32| {
        flash
            .as_ref()
            .is_some_and(|flash| flash.contains(&u64::from(address)))
    };
    // Without the flash of the board: what runs where it lies is no RAM.
    let fixed =
        |region: &&crate::image::Region| region.lies_at == Some(region.runs_at) || in_flash(region.runs_at);
    let used: u64 = elf
        .memory
        .iter()
        .filter(|region| !fixed(region))
        .map(|region| u64::from(region.size))
        .sum();
    let words = format!("{} of {} RAM ({} %)", size(used), size(ram), percent(used, ram));
    let share = case.limits.ram_share.base();
    let check = if used > ram {
        Check::fail(
            ID,
            format!(
                "Does not fit: its data takes {}, the board has {} RAM.",
                size(used),
                size(ram)
            ),
            format!("Build the image for {}, with smaller buffers.", case.board.name),
        )
    } else if over(used, ram, share) {
        Check::open(
            ID,
            format!("Its data takes {words}. The stack needs the rest."),
            "how much stack the firmware needs",
            "Make buffers smaller in the build, or confirm the stack with its makers.",
        )
    } else {
        Check::pass(ID, format!("Fits: its data takes {words}."))
    };
    Some(
        check
            .value(Amount::bytes(used))
            .limit(Amount::bytes(ram))
            .source("elf-gabi"),
    )
}

pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}
