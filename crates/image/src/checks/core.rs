//! Whether the core of the board executes what is in the image.

use super::ASK_ELF;
use crate::board::{InstructionSet, KnownCore};
use crate::case::{Case, Kind};
use crate::image::Attributes;
use crate::report::Ask;
use crate::thumb::{Float, Level};
use crate::verdict::{Check, count, hex};
use crate::walk::Need;

const ID: &str = "core";
/// From so many instructions up, what was followed speaks for the rest.
const ENOUGH: usize = 64;

pub(super) fn check(case: &Case<'_>, _: &Ask<'_>) -> Option<Check> {
    let core = &case.board.core.name;
    let Some(known) = case.board.core.known else {
        return Some(Check::open(
            ID,
            format!("The instruction set of the core `{core}` is not known."),
            format!("what `{core}` executes"),
            "Enter the core of the processor as `core` in the board's file, such as \"Cortex-M4F\".",
        ));
    };
    let build = format!("Build the image for {core}.");
    Some(match &case.kind {
        Kind::Other(words) => Check::fail(
            ID,
            format!("Built for {words}. {}.", case.board.has_core()),
            build,
        )
        .source("elf-gabi"),
        Kind::EightBit if known.instructions == InstructionSet::EightBit => Check::pass(
            ID,
            format!("Built for an 8-bit core, as {} has.", case.board.name),
        )
        .source("avr-manual"),
        Kind::EightBit => Check::fail(
            ID,
            format!(
                "Built for an 8-bit core: it begins with jumps. {}.",
                case.board.has_core()
            ),
            build,
        )
        .source("avr-manual"),
        Kind::Arm if !known.instructions.is_arm() => Check::fail(
            ID,
            format!(
                "Built for a 32-bit Arm core: it begins with a stack pointer and vectors. {}.",
                case.board.has_core()
            ),
            build,
        )
        .source("arm-ddi-0403"),
        Kind::Unknown => Check::open(
            ID,
            "No vector table of an Arm core and no jumps of an 8-bit core are at the start.",
            "the processor that the image was built for",
            ASK_ELF,
        ),
        Kind::Arm => arm(case, known, build).source("arm-ddi-0403"),
    })
}

fn arm(case: &Case<'_>, known: KnownCore, build: String) -> Check {
    let core = &case.board.core.name;
    if let Some((number, Some(set))) = case.family
        && set != known.instructions
    {
        return Check::fail(
            ID,
            format!(
                "UF2 family {number:08x} is for {}. {core} is {}.",
                set.word(),
                known.instructions.word()
            ),
            build,
        );
    }
    let attributes = case.image.elf.as_ref().and_then(|elf| elf.attributes.as_ref());
    if let Some(attributes) = attributes
        && attributes
            .profile
            .is_some_and(|profile| profile != 0 && profile != b'M')
    {
        return Check::fail(
            ID,
            format!("Built for a processor that is no microcontroller. {core} is one."),
            build,
        );
    }
    let (level, float) = needs(case, attributes);
    let shown_by =
        |need: Option<u32>| need.map_or_else(String::new, |at| format!(" (instruction at {})", hex(at)));
    match known.instructions.executes(level.what) {
        Some(true) => {}
        Some(false) => {
            return Check::fail(
                ID,
                format!(
                    "Needs {}{}. {core} executes {} only.",
                    level.what.word(),
                    shown_by(level.at),
                    known.instructions.word()
                ),
                build,
            );
        }
        None => {
            return Check::open(
                ID,
                format!(
                    "Needs {}{}. {core} executes only some of it.",
                    level.what.word(),
                    shown_by(level.at)
                ),
                format!("which instructions of {} the processor has", level.what.word()),
                format!("Confirm that the image was built for {core}."),
            );
        }
    }
    if float.what > Float::None {
        let needs = format!("Needs {}{}.", float.what.word(), shown_by(float.at));
        match known.float {
            Some(own) if own >= float.what => {}
            Some(own) => return Check::fail(ID, format!("{needs} {core} has {}.", own.word()), build),
            None => {
                return Check::open(
                    ID,
                    format!("{needs} Not every {core} has one."),
                    "whether the processor has a floating-point unit",
                    format!("Enter it in `core`, such as \"{core} with single precision\"."),
                );
            }
        }
    }
    let stated = attributes.is_some_and(|attributes| attributes.architecture.is_some());
    if case.code.is_none() && !stated {
        return Check::open(
            ID,
            "Its code cannot be followed, because its start is not known.",
            "which instructions the image needs",
            ASK_ELF,
        );
    }
    let followed = case.code.as_ref().map_or(0, |code| code.instructions);
    let executes_all = known.instructions == InstructionSet::Armv7EM && known.float == Some(Float::DoubleV5);
    let seen = count(followed as u64, "instruction", "instructions");
    let needs = if float.what > Float::None {
        format!("{} and {}", level.what.word(), float.what.word())
    } else {
        level.what.word().to_owned()
    };
    if stated {
        Check::pass(ID, format!("Built for {needs}. {core} executes that."))
    } else if executes_all || followed >= ENOUGH {
        Check::pass(
            ID,
            format!("{core} executes it: {seen} followed, which need {needs}."),
        )
    } else {
        Check::open(
            ID,
            format!("Only {seen} could be followed. They need {needs}, which {core} executes."),
            "what the rest of the image needs",
            ASK_ELF,
        )
    }
}

/// What the build says that it needs, and what its code shows beyond that.
fn needs(case: &Case<'_>, attributes: Option<&Attributes>) -> (Need<Level>, Need<Float>) {
    let stated = attributes.map_or((Level::Armv6M, Float::None), stated);
    let mut level = Need {
        what: stated.0,
        at: None,
    };
    let mut float = Need {
        what: stated.1,
        at: None,
    };
    if let Some(code) = &case.code {
        if code.level.what > level.what {
            level = code.level;
        }
        if code.float.what > float.what {
            float = code.float;
        }
    }
    (level, float)
}

/// The numbers of the attributes. Source: [arm-aaelf32], tags 6, 10, 27 and 46.
fn stated(attributes: &Attributes) -> (Level, Float) {
    let level = match attributes.architecture {
        Some(11 | 12) | None => Level::Armv6M,
        Some(13) => Level::Armv7EM,
        // Armv8-M baseline has some of Armv7-M.
        _ if attributes.signal_processing => Level::Armv7EM,
        _ => Level::Armv7M,
    };
    let single = attributes.float_precision == Some(1);
    let float = match attributes.float {
        None | Some(0) => Float::None,
        // 6: version 4 with half the registers, which controllers have. 7 and 8: version 5.
        Some(7 | 8) if single => Float::SingleV5,
        Some(7 | 8) => Float::DoubleV5,
        Some(_) => Float::SingleV4,
    };
    (level, float)
}
