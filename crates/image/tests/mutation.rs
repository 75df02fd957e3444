//! Seeded mutations of every kind of file: whatever comes, a reader ends, keeps its promises, and never panics.

use image::card::medium::read as read_card;
use image::{Board, read};
use quantity::Memory;
use samples::firmware::Random;

use crate::support::{board, bytes, card, judge, right, well_worded};

/// So many for each file; `cargo xtask long` and fuzzing go deeper.
const ROUNDS: usize = 1500;

fn mutated(whole: &[u8], random: &mut Random, hot: &[std::ops::Range<usize>]) -> Vec<u8> {
    let mut bytes = whole.to_vec();
    for _ in 0..1 + random.below(6) {
        if bytes.is_empty() {
            break;
        }
        let at = if hot.is_empty() || random.below(4) == 0 {
            random.below(bytes.len())
        } else {
            let range = hot[random.below(hot.len())].clone();
            (range.start + random.below(range.len())).min(bytes.len() - 1)
        };
        match random.below(8) {
            0 => bytes[at] = random.number() as u8,
            1 => bytes[at] ^= 1 << random.below(8),
            2 => bytes[at] = 0,
            3 => bytes[at] = 0xFF,
            4 => {
                bytes.remove(at);
            }
            5 => bytes.insert(at, random.number() as u8),
            6 => bytes.truncate(at),
            _ => {
                let from = random.below(bytes.len());
                let length = random.below(64).min(bytes.len() - at.max(from));
                bytes.copy_within(from..from + length, at);
            }
        }
    }
    bytes
}

#[test]
fn mutated_images_are_refused_or_judged() {
    let boards: Vec<Board> = ["8-bit", "Cortex-M0+", "Cortex-M4F"].map(board).into();
    let files = [
        bytes("t1/t1.bin"),
        bytes("t1/t1.elf"),
        bytes("t1/t1.ihex"),
        bytes("t1/t1.srec"),
        bytes("t1/t1.uf2"),
        bytes("compiled/eight.elf"),
        bytes("compiled/eight.hex"),
        bytes("compiled/middle.elf"),
        right(1).raw()[..6000].to_vec(),
    ];
    let mut random = Random(0x5EED_1A6E);
    let (mut refused, mut judged) = (0, 0);
    for file in &files {
        for round in 0..ROUNDS {
            let bytes = mutated(file, &mut random, std::slice::from_ref(&(0..file.len().min(512))));
            match read(&bytes) {
                Err(why) => {
                    refused += 1;
                    assert!(!why.problem.is_empty() && !why.remedy.is_empty());
                    for fault in &why.faults {
                        assert!(!fault.what.is_empty());
                        if let image::Place::Line(line) = fault.place {
                            assert!(line <= bytes.split(|byte| *byte == b'\n').count());
                        }
                    }
                }
                Ok(image) => {
                    judged += 1;
                    for part in &image.parts {
                        let pieces = part.content.pieces();
                        // In order, apart, none empty.
                        assert!(
                            pieces
                                .windows(2)
                                .all(|pair| pair[0].range().end < pair[1].range().start)
                        );
                        assert!(
                            pieces
                                .iter()
                                .all(|piece| !piece.bytes.is_empty() && piece.range().end <= 1 << 32)
                        );
                    }
                    let report = judge(&image, &boards[round % boards.len()]);
                    report.checks.iter().for_each(well_worded);
                }
            }
        }
    }
    // Both ways are really gone.
    assert!(
        refused > 3000 && judged > 2000,
        "{refused} refused, {judged} judged"
    );
}

#[test]
fn mutated_cards_are_refused_or_looked_at() {
    let mut random = Random(0xCA4D_5EED);
    let mut damaged = 0;
    // The larger cards take longer to copy.
    for (name, hot, rounds) in [
        ("fat/card-fat12.hex", [0..64, 512..600], ROUNDS / 3),
        ("fat/card-fat16.hex", [0..64, 2048..2100], ROUNDS / 20),
        ("fat/card-fat32.hex", [0..96, 16_384..16_500], ROUNDS / 20),
        (
            "fat/card-partitioned.hex",
            [440..512, 1_048_576..1_048_640],
            ROUNDS / 20,
        ),
    ] {
        let whole = card(name);
        let root = whole
            .windows(11)
            .position(|window| window == b"BIRCH   BIN")
            .unwrap();
        let hot = [hot[0].clone(), hot[1].clone(), root..root + 256];
        for _ in 0..rounds {
            let bytes = mutated(&whole, &mut random, &hot);
            if let Ok(card) = read_card(&mut bytes.as_slice(), Memory::from_bytes(28)) {
                damaged += usize::from(card.damage.is_some_and(|damage| damage.count > 0));
            }
        }
    }
    assert!(damaged > 100, "{damaged}");
}
