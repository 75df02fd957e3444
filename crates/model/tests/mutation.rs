//! Seeded damage: every example file is mangled in thousands of ways; a load must never panic, and keeps its promises.

use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::support::{assert_promises, example, minimal};

/// The seed of all rounds.
const SEED: u64 = 0x5eed_b0a2_d5a9_0001;

/// Splitmix64 (Steele, Lea, Flood 2014, "Fast splittable pseudorandom number generators", figure 18; from memory).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }
    fn below(&mut self, end: usize) -> usize {
        usize::try_from(self.next() % (end.max(1) as u64)).expect("below a usize")
    }
}

/// What readers trip over: brackets, quotes, ends of ranges, signs, units, wide characters, other bytes.
const TOKENS: [&[u8]; 40] = [
    b"[",
    b"]",
    b"[[",
    b"]]",
    b"{",
    b"}",
    b"=",
    b"\"",
    b"'",
    b"\"\"\"",
    b"'''",
    b"#",
    b",",
    b".",
    b"..",
    b"\n",
    b"\r\n",
    b"\r",
    b"\0",
    b"\\",
    b"\\u",
    b"\\U0010FFFF",
    b"-",
    b"+",
    b"_",
    b"1e999",
    b"nan",
    b"inf",
    b"0x",
    b"99999999999999999999",
    b"1979-05-27T07:32:00Z",
    b"true",
    "±".as_bytes(),
    "Ω".as_bytes(),
    "µ".as_bytes(),
    "−".as_bytes(),
    "\u{feff}".as_bytes(),
    "\u{202e}".as_bytes(),
    b"\xff\xfe",
    b"\xc3",
];

/// A board of an example is loaded by itself, which is quick; references between files are broken in the small swap.
#[test]
fn no_damage_makes_a_load_panic() {
    let mut random = Random(SEED);
    for (name, folder, rounds) in [
        ("demo", example("demo"), 30),
        ("second", example("second"), 80),
        ("small", minimal(), 400),
    ] {
        for path in folder.keys() {
            let alone = path.starts_with("boards/") && name != "small";
            for round in 0..if alone { 150 } else { rounds } {
                let state = random.0;
                let mut damaged = folder.clone();
                let bytes = damaged.get_mut(path).expect("the file");
                for _ in 0..=random.below(4) {
                    damage(bytes, &mut random);
                }
                let faults = catch_unwind(AssertUnwindSafe(|| {
                    let faults = match alone {
                        true => model::load_board(&damaged, path).err(),
                        false => model::load(&damaged).err(),
                    };
                    faults.iter().for_each(assert_promises);
                }));
                assert!(
                    faults.is_ok(),
                    "{name}/{path}, round {round}, random state {state:#x}"
                );
            }
        }
    }
}

fn damage(bytes: &mut Vec<u8>, random: &mut Random) {
    if bytes.is_empty() {
        bytes.extend_from_slice(b"a = 1");
    }
    let at = random.below(bytes.len());
    let reach = 1 + random.below(12);
    let end = (at + reach).min(bytes.len());
    match random.below(9) {
        0 => bytes[at] ^= 1 << random.below(8),
        1 => drop(bytes.drain(at..end)),
        2 => {
            let part = bytes[at..end].to_vec();
            bytes.splice(at..at, part);
        }
        3 | 4 => {
            let token = TOKENS[random.below(TOKENS.len())];
            bytes.splice(at..at, token.iter().copied());
        }
        5 => bytes.truncate(at),
        6 => swap_lines(bytes, random),
        7 => {
            // A part of the file at another place: keys in wrong tables, values at wrong keys.
            let from = random.below(bytes.len());
            let part: Vec<u8> = bytes[from..(from + 8 * reach).min(bytes.len())].to_vec();
            bytes.splice(at..end, part);
        }
        _ => {
            let digits = [b'0', b'9', b'-', b'.', b'e'];
            if let Some(digit) = bytes[at..].iter().position(u8::is_ascii_digit) {
                bytes[at + digit] = digits[random.below(digits.len())];
            }
        }
    }
}

fn swap_lines(bytes: &mut Vec<u8>, random: &mut Random) {
    let mut lines: Vec<&[u8]> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
    let (one, other) = (random.below(lines.len()), random.below(lines.len()));
    lines.swap(one, other);
    *bytes = lines.concat();
}
