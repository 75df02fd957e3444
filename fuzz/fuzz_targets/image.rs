//! Any bytes as a firmware image (the first byte chooses the board): refused with places inside the file, or judged in whole sentences.
#![no_main]

use image::thumb::Float;
use image::{Ask, Board, Core, InstructionSet, KnownCore, Limits, Loads, Place, Verdict, read, report};
use libfuzzer_sys::fuzz_target;
use quantity::Memory;
use quantity::si::ratio;

fuzz_target!(|bytes: &[u8]| {
    let Some((choice, bytes)) = bytes.split_first() else { return };
    let image = match read(bytes) {
        Ok(image) => image,
        Err(refused) => {
            let lines = bytes.split(|byte| *byte == b'\n').count();
            for fault in &refused.faults {
                match fault.place {
                    Place::Line(line) => assert!((1..=lines).contains(&line)),
                    // A table of program headers may be said to lie behind the end.
                    Place::Byte(_) => {}
                }
            }
            assert!(!refused.problem.is_empty() && !refused.remedy.is_empty());
            return;
        }
    };
    for part in &image.parts {
        let pieces = part.content.pieces();
        assert!(pieces.windows(2).all(|pair| pair[0].range().end < pair[1].range().start));
    }
    let instructions = [
        InstructionSet::EightBit,
        InstructionSet::Armv6M,
        InstructionSet::Armv7EM,
        InstructionSet::Other,
    ][usize::from(choice & 3)];
    let stated = choice & 4 == 0;
    let board = Board {
        name: "Bench B1".to_owned(),
        core: Core {
            name: "core".to_owned(),
            known: (choice & 8 == 0).then_some(KnownCore {
                instructions,
                float: stated.then_some(Float::SingleV4),
                usual_ram_start: Some(0x2000_0000),
            }),
        },
        flash: Memory::from_bytes(256 << 10),
        ram: Memory::from_bytes(48 << 10),
        flash_start: stated.then_some(0x0800_0000),
        ram_start: stated.then_some(0x2000_0000),
        boot_offset: stated.then_some(Memory::from_bytes(32 << 10)),
        loads: Loads::Card("BENCH.BIN".to_owned()),
    };
    let limits = Limits {
        flash_share: ratio(0.95),
        ram_share: ratio(0.8),
        offsets: [0, 28, 32, 64, 128].map(|kib| Memory::from_bytes(kib << 10)).to_vec(),
        families: vec![(0xe48b_ff56, InstructionSet::Armv6M)],
        largest_cluster: Memory::from_bytes(32 << 10),
    };
    let ask = Ask {
        file_name: "BENCH.BIN",
        board: &board,
        limits: &limits,
        wanted: &[],
        reported: Some("NAME:Example 1.2"),
        card: None,
    };
    let report = report(&image, &ask);
    for check in &report.checks {
        assert!(check.headline.ends_with('.'), "{}", check.headline);
        assert_eq!(check.remedy.is_some(), check.verdict != Verdict::Pass, "{}", check.headline);
    }
    assert!(image::compare(&image, &image).same);
});
