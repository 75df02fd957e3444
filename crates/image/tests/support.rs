//! What tests share: data files, boards, and images from the generator.

use std::path::{Path, PathBuf};

use image::thumb::Float;
use image::{
    Ask, Board, Core, Image, InstructionSet, KnownCore, Limits, Loads, Report, Wanted, read, report,
};
use quantity::Memory;
use quantity::si::ratio;
use samples::firmware::{Firmware, Needs};

pub fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name)
}

pub fn bytes(name: &str) -> Vec<u8> {
    std::fs::read(data(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

pub fn text(name: &str) -> String {
    String::from_utf8(bytes(name)).unwrap()
}

pub fn image(name: &str) -> Image {
    read(&bytes(name)).unwrap_or_else(|refused| panic!("{name}: {refused}"))
}

pub fn kib(count: u64) -> Memory {
    Memory::from_bytes(count << 10)
}

pub fn core(name: &str) -> Core {
    let (instructions, float) = match name {
        "8-bit" => (InstructionSet::EightBit, Some(Float::None)),
        "Cortex-M0+" => (InstructionSet::Armv6M, Some(Float::None)),
        "Cortex-M3" => (InstructionSet::Armv7M, Some(Float::None)),
        "Cortex-M4F" => (InstructionSet::Armv7EM, Some(Float::SingleV4)),
        "Cortex-M7" => (InstructionSet::Armv7EM, None),
        other => panic!("no core {other}"),
    };
    Core {
        name: name.to_owned(),
        known: Some(KnownCore {
            instructions,
            float,
            usual_ram_start: instructions.is_arm().then_some(0x2000_0000),
        }),
    }
}

/// A board with 256 KiB of flash, 48 KiB of RAM and a boot offset of 32 KiB.
pub fn board(name: &str) -> Board {
    Board {
        name: "Bench B1".to_owned(),
        core: core(name),
        flash: kib(256),
        ram: kib(48),
        flash_start: Some(0x0800_0000),
        ram_start: Some(0x2000_0000),
        boot_offset: Some(kib(32)),
        loads: Loads::Card("BENCH.BIN".to_owned()),
    }
}

pub fn limits() -> Limits {
    Limits {
        flash_share: ratio(0.95),
        ram_share: ratio(0.8),
        offsets: [0, 4, 8, 12, 16, 20, 24, 28, 32, 48, 64, 128, 256]
            .map(kib)
            .to_vec(),
        families: vec![
            (0x5ee2_1072, InstructionSet::Armv7M),
            (0xe48b_ff56, InstructionSet::Armv6M),
        ],
        largest_cluster: kib(32),
    }
}

pub fn wanted() -> Vec<Wanted> {
    [("M92", "steps per length"), ("M301", "proportional gain")]
        .map(|(word, what)| Wanted {
            word: word.to_owned(),
            what: what.to_owned(),
        })
        .to_vec()
}

pub fn judge(image: &Image, board: &Board) -> Report {
    judge_as(image, board, "BENCH.BIN")
}

pub fn judge_as(image: &Image, board: &Board, file_name: &str) -> Report {
    let ask = Ask {
        file_name,
        board,
        limits: &limits(),
        wanted: &[],
        reported: None,
        card: None,
    };
    report(image, &ask)
}

/// An image that fits [`board`] for a Cortex-M3 from a seed.
pub fn right(seed: u64) -> Firmware {
    Firmware::new(0x0800_8000, 48 << 10, Needs::Middle, seed)
}

/// A file that lists only the lines of 16 bytes that hold something.
pub fn card(name: &str) -> Vec<u8> {
    let text = text(name);
    let mut lines = text.lines();
    let size = lines.next().and_then(|line| line.strip_prefix("size ")).unwrap();
    let mut bytes = vec![0; size.parse().unwrap()];
    for line in lines {
        let (at, digits) = line.split_once(": ").unwrap();
        let at = usize::from_str_radix(at, 16).unwrap();
        for (place, pair) in digits.as_bytes().chunks(2).enumerate() {
            let pair = std::str::from_utf8(pair).unwrap();
            bytes[at + place] = u8::from_str_radix(pair, 16).unwrap();
        }
    }
    bytes
}

/// The rules of messages: sentences of at most 20 words, a remedy where something is to do, and the missing fact of what is open.
pub fn well_worded(check: &image::Check) {
    use image::Verdict;
    let sentences = |text: &str| -> Vec<usize> {
        text.split(". ")
            .map(|sentence| sentence.split_whitespace().count())
            .collect()
    };
    for text in [Some(&check.headline), check.remedy.as_ref()]
        .into_iter()
        .flatten()
    {
        let longest = sentences(text).into_iter().max().unwrap_or(0);
        assert!(longest <= 20, "{longest} words: {text}");
        assert!(text.ends_with('.'), "{text}");
        assert!(
            text.starts_with(|first: char| first.is_uppercase() || first.is_ascii_digit())
                || text.contains('.'),
            "{text}"
        );
        assert!(
            !text.contains("  ") && !text.contains(" . ") && !text.contains(" ,"),
            "{text}"
        );
    }
    assert_eq!(
        check.remedy.is_some(),
        check.verdict != Verdict::Pass,
        "{}",
        check.headline
    );
    assert_eq!(
        check.missing.is_some(),
        check.verdict == Verdict::Open,
        "{}",
        check.headline
    );
}
