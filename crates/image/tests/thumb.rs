//! The decoder against the disassembler of LLVM 14 (`tests/data/thumb.txt`), row by row.

use image::thumb::{Float, Flow, Level, decode, is_long};

use crate::support::text;

struct Row<'t> {
    first: u16,
    second: u16,
    set: &'t str,
    words: &'t str,
    line: &'t str,
}

fn rows(text: &str) -> impl Iterator<Item = Row<'_>> {
    text.lines().filter(|line| !line.starts_with('#')).map(|line| {
        let mut parts = line.splitn(4, ' ');
        let mut next = || parts.next().unwrap_or("");
        let half = |text: &str| u16::from_str_radix(text, 16).unwrap_or(0);
        Row {
            first: half(next()),
            second: half(next()),
            set: next(),
            words: next(),
            line,
        }
    })
}

/// Where the two differ, and why ours is kept.
fn is_known_difference(row: &Row<'_>) -> bool {
    // The Armv6-M manual has no mask of faults; LLVM gives it to every core, and masks that no controller has as well.
    let mask = (0xB660..=0xB67F).contains(&row.first);
    // UDF with a second half is in the Armv6-M manual, A6.7.73.
    let udf = row.words.starts_with("udf.w");
    // The program counter as the target of a call is unpredictable.
    mask || udf || row.first == 0x47F8
}

#[test]
fn what_llvm_decodes_is_decoded_with_the_same_needs() {
    let text = text("thumb.txt");
    let mut compared = 0;
    for row in rows(&text).filter(|row| row.set != "none" && !is_known_difference(row)) {
        let ours = decode(row.first, row.second).unwrap_or_else(|| panic!("undefined: {}", row.line));
        let set = match (ours.float, ours.level) {
            (Float::None, Level::Armv6M) => "v6m",
            (Float::None, Level::Armv7M) => "v7m",
            (Float::None, Level::Armv7EM) => "v7em",
            (Float::SingleV4, _) => "fp4",
            (Float::SingleV5, _) => "fp5",
            (Float::DoubleV5, _) => "fp5d",
        };
        assert_eq!(set, row.set, "{}", row.line);
        assert_eq!(ours.size, if is_long(row.first) { 4 } else { 2 }, "{}", row.line);
        compared += 1;
    }
    assert!(compared > 3500, "{compared}");
}

/// Only a part of what LLVM refuses is refused: operands are not looked at. That part must not shrink.
#[test]
fn what_llvm_refuses_is_mostly_of_a_larger_core() {
    let text = text("thumb.txt");
    let refused: Vec<Row<'_>> = rows(&text).filter(|row| row.set == "none").collect();
    let ours = refused
        .iter()
        .filter(|row| decode(row.first, row.second).is_none())
        .count();
    assert!(ours * 100 >= refused.len() * 80, "{ours} of {}", refused.len());
}

#[test]
fn branches_lead_where_llvm_says() {
    let text = text("thumb.txt");
    let mut compared = 0;
    for row in rows(&text).filter(|row| row.set != "none") {
        let Some(ours) = decode(row.first, row.second) else {
            continue;
        };
        let name = row.words.split(' ').next().unwrap_or("");
        let distance = row
            .words
            .rsplit('#')
            .next()
            .and_then(|text| text.parse::<i32>().ok());
        let branch = |name: &str| {
            name.starts_with('b')
                && !name.starts_with("bl")
                && !name.starts_with("bi")
                && !name.starts_with("bx")
        };
        let expected = match (name, distance) {
            ("bl", Some(distance)) => Flow::Call(distance + 4),
            ("b" | "b.w", Some(distance)) => Flow::Jump(distance + 4),
            ("cbz" | "cbnz", Some(distance)) => Flow::Branch(distance + 4),
            (name, Some(distance))
                if branch(name) && row.words.contains(" #") && !row.words.contains(',') && name != "bkpt" =>
            {
                Flow::Branch(distance + 4)
            }
            _ => continue,
        };
        assert_eq!(ours.flow, expected, "{}", row.line);
        compared += 1;
    }
    assert!(compared > 700, "{compared}");
}

/// What writes the program counter ends a path, or leads where a register points.
#[test]
fn what_writes_the_program_counter_ends_a_path() {
    let text = text("thumb.txt");
    let mut compared = 0;
    for row in rows(&text).filter(|row| row.set != "none") {
        let Some(ours) = decode(row.first, row.second) else {
            continue;
        };
        let (name, operands) = row.words.split_once(' ').unwrap_or((row.words, ""));
        let pops = (name.starts_with("pop") || name.starts_with("ldm")) && operands.contains("pc}");
        let loads = (name == "ldr" || name == "ldr.w") && operands.starts_with("pc");
        let jumps = matches!(name, "tbb" | "tbh");
        if pops || loads || jumps {
            assert_eq!(ours.flow, Flow::End, "{}", row.line);
            compared += 1;
        }
        if (name == "mov" && operands.starts_with("pc")) || name == "bx" {
            assert!(matches!(ours.flow, Flow::JumpRegister(_)), "{}", row.line);
            compared += 1;
        }
    }
    assert!(compared > 60, "{compared}");
}
