//! The processor of each invented board: its pins and timers over the ports, its clock, its memory, its boot offset.
//!
//! The invented processor of a board has four letters of the alphabet, and up to two dozen pins with each; the pins of the file get
//! them in an order that is drawn. Ports that share a pin or a timer go on sharing it. Clocks are odd numbers of megahertz, flash
//! whole 24 KiB, memory whole 3 KiB and boot offsets such that no power of two and no usual figure comes out.

use std::collections::BTreeMap;

use toml_edit::{DocumentMut, Item, Table, value};

use super::draw::Random;

/// The board files that are drawn, each with its seed.
pub const SEEDS: &[(&str, u64)] = &[
    ("examples/demo/boards/hazel-h4.toml", 7_301),
    ("examples/demo/boards/alder-a4.toml", 7_302),
    ("examples/demo/boards/birch-b6.toml", 7_303),
    ("examples/demo/boards/cedar-c3.toml", 7_304),
    ("examples/demo/boards/dogwood-d1.toml", 7_305),
    ("examples/second/boards/larch-l3.toml", 7_306),
    ("examples/second/boards/rowan-r4.toml", 7_307),
    ("examples/second/boards/poplar-p4.toml", 7_308),
    ("examples/third/boards/juniper-j5.toml", 7_315),
    ("examples/third/boards/medlar-m6.toml", 7_316),
    ("examples/third/boards/walnut-w5.toml", 7_317),
    ("crates/boardswap/template/boards/old-board.toml", 7_309),
    ("crates/boardswap/template/boards/candidate.toml", 7_310),
    ("crates/model/tests/minimal/boards/old.toml", 7_311),
    ("crates/model/tests/minimal/boards/new.toml", 7_312),
    ("crates/plan/tests/swap/old.toml", 7_313),
    ("crates/plan/tests/swap/new.toml", 7_314),
];

/// Letters that are not taken for digits or for a timer.
const LETTERS: &str = "ABCDEFGHJKLMNPQRSUVWXYZ";

/// The text of a board file with its processor drawn anew; comments and order stay.
pub fn drawn(text: &str, seed: u64) -> Result<String, String> {
    let mut board: DocumentMut = text.parse().map_err(|error| format!("{error}"))?;
    let mut random = Random::of(seed);
    processor(&mut board, &mut random)?;
    let pins = pins(&mut random);
    let timers = random.shuffled((1..=20).map(|number| format!("T{number}")).collect());
    let ports = board.get_mut("port").and_then(Item::as_array_of_tables_mut);
    let ports = ports.ok_or("a board without ports")?;
    let (mut own_pins, mut own_timers) = (BTreeMap::new(), BTreeMap::new());
    for port in ports.iter_mut() {
        rename(port, "processor_pin", &pins, &mut own_pins)?;
        rename(port, "timer", &timers, &mut own_timers)?;
    }
    Ok(board.to_string())
}

/// All pins of the processor, in the order in which they are handed out.
fn pins(random: &mut Random) -> Vec<String> {
    let letters = random.shuffled(LETTERS.chars().collect());
    let mut pins = Vec::new();
    for letter in letters.iter().take(4) {
        let last = random.between(11, 23);
        pins.extend((0..=last).map(|number| format!("{letter}{number}")));
    }
    random.shuffled(pins)
}

fn processor(board: &mut DocumentMut, random: &mut Random) -> Result<(), String> {
    let processor = board.get_mut("processor").and_then(Item::as_table_mut);
    let processor = processor.ok_or("a board without `[processor]`")?;
    let small = processor.get("core").and_then(Item::as_str) == Some("8-bit");
    let clock = if small {
        random.between(5, 13)
    } else {
        random.between(30, 150)
    };
    let flash = 24
        * if small {
            random.between(5, 11)
        } else {
            random.between(10, 60)
        };
    let ram = 3 * if small {
        random.between(3, 9)
    } else {
        random.between(13, 99)
    };
    set(processor, "clock", format!("{} MHz", 2 * clock + 1));
    set(processor, "flash", format!("{flash} KiB"));
    set(processor, "ram", format!("{ram} KiB"));
    // Below 512 MiB, where the published map of this open architecture has its code; whole 64 KiB.
    let start = random.between(1, 0x1fff) << 16;
    if let Some(old) = processor.get_mut("flash_start") {
        let start = format!("0x{:04x}_{:04x}", start >> 16, start & 0xffff);
        let decor = old.as_value().map(|old| old.decor().clone()).unwrap_or_default();
        let mut new: toml_edit::Value = start.parse().map_err(|error| format!("{error}"))?;
        *new.decor_mut() = decor;
        *old = Item::Value(new);
    }
    let offset = [
        44, 52, 56, 60, 68, 72, 76, 84, 88, 92, 100, 104, 108, 116, 120, 124,
    ];
    let offset = offset[random.below(offset.len())];
    if processor.contains_key("boot_offset") {
        set(processor, "boot_offset", format!("{offset} KiB"));
    }
    Ok(())
}

/// Gives a name of a port the next of the drawn ones, or the one that it got at a port before.
fn rename(
    port: &mut Table,
    key: &str,
    drawn: &[String],
    given: &mut BTreeMap<String, String>,
) -> Result<(), String> {
    let Some(old) = port.get(key).and_then(Item::as_str).map(str::to_owned) else {
        return Ok(());
    };
    let next = drawn
        .get(given.len())
        .ok_or_else(|| format!("more of `{key}` than are drawn"))?;
    let new = given.entry(old).or_insert_with(|| next.clone()).clone();
    set(port, key, new);
    Ok(())
}

/// Puts a text in the place of another one, with what stands around it.
pub fn set(table: &mut Table, key: &str, text: String) {
    let decor = table
        .get(key)
        .and_then(Item::as_value)
        .map(|old| old.decor().clone());
    table[key] = value(text);
    if let (Some(decor), Some(new)) = (decor, table[key].as_value_mut()) {
        *new.decor_mut() = decor;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOARD: &str = r#"# A board.
[processor] # its processor
core = "8-bit"
clock = "1 MHz" # slow
flash = "1 KiB"
ram = "1 KiB"
[[port]]
name = "A"
processor_pin = "one"   # shared
timer = "t"
[[port]]
name = "B"
processor_pin = "two"
timer = "t"
[[port]]
name = "C"
processor_pin = "one"
timer = "u"
"#;

    fn of(text: &str, key: &str) -> Vec<String> {
        let lines = text.lines().filter(|line| line.starts_with(key));
        lines
            .map(|line| line.split('"').nth(1).unwrap_or("").to_owned())
            .collect()
    }

    #[test]
    fn what_is_shared_stays_shared_and_comments_stay() {
        let text = drawn(BOARD, 3).expect("a board");
        let (pins, timers) = (of(&text, "processor_pin"), of(&text, "timer"));
        assert!(pins[0] == pins[2] && pins[0] != pins[1], "{pins:?}");
        assert!(timers[0] == timers[1] && timers[0] != timers[2], "{timers:?}");
        for comment in ["# A board.", "# its processor", "# slow", "   # shared"] {
            assert!(text.contains(comment), "{comment}");
        }
    }

    #[test]
    fn a_drawn_board_is_drawn_as_it_is() {
        let once = drawn(BOARD, 5).expect("a board");
        assert_eq!(drawn(&once, 5), Ok(once.clone()));
        assert_ne!(drawn(&once, 6), Ok(once));
    }

    #[test]
    fn a_file_without_a_processor_is_told() {
        assert!(drawn("name = 'x'", 1).is_err());
        assert!(drawn("[processor", 1).is_err());
    }
}
