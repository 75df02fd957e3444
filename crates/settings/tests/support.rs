//! The shipped examples, and texts of what tests compare.

use std::collections::BTreeMap;

use model::Swap;
use model::board::Board;
use plan::{Setup, Way};
pub use samples::example;
use settings::{Settings, Topic};

/// The demonstration swap.
pub fn demo() -> Swap {
    load(&example("demo"))
}

/// The demonstration swap with one text of one file exchanged.
pub fn demo_with(file: &str, from: &str, to: &str) -> Swap {
    let mut files = example("demo");
    let bytes = files.get_mut(file).expect("the file is there");
    let text = String::from_utf8(bytes.clone()).expect("text");
    assert!(text.contains(from), "{file} holds `{from}`");
    *bytes = text.replace(from, to).into_bytes();
    load(&files)
}

/// The demonstration swap with several texts exchanged, each once: file, old text, new text.
pub fn demo_edited(edits: &[(&str, &str, &str)]) -> Swap {
    let mut files = example("demo");
    for (file, from, to) in edits {
        let bytes = files.get_mut(*file).expect("the file is there");
        let text = String::from_utf8(bytes.clone()).expect("text");
        assert!(text.contains(from), "{file} holds `{from}`");
        *bytes = text.replacen(from, to, 1).into_bytes();
    }
    load(&files)
}

/// The path of what the old controller of the demonstration reported.
pub const CAPTURED: &str = "captured/old-controller.gcode";

/// A line of that report, found by what it tells.
pub fn captured_line(topic: Topic, of: &str) -> String {
    let swap = demo();
    let slot = swap
        .controller(&swap.old)
        .dialect
        .slot(topic, of)
        .expect("a word");
    let begin = match slot.pick {
        Some((letter, number)) => format!("{} {letter}{number} ", slot.word.word),
        None => format!("{} ", slot.word.word),
    };
    let text = &swap.old_settings[0].text;
    let line = text
        .lines()
        .find(|line| line.starts_with(&begin))
        .expect("a line");
    format!("{line}\n")
}

/// A setting in the words of the old controller.
pub fn told(topic: Topic, of: &str, number: f64) -> String {
    let swap = demo();
    let slot = swap
        .controller(&swap.old)
        .dialect
        .slot(topic, of)
        .expect("a word");
    let pick = slot
        .pick
        .map_or_else(String::new, |(letter, number)| format!(" {letter}{number}"));
    format!("{}{pick} {}{number}\n", slot.word.word, slot.letter)
}

/// The demonstration swap whose old controller reported more, after all else.
pub fn demo_reported(lines: &str) -> Swap {
    demo_with(CAPTURED, "no more\n", &format!("{lines}no more\n"))
}

fn load(files: &BTreeMap<String, Vec<u8>>) -> Swap {
    model::load(files).unwrap_or_else(|faults| panic!("{:#?}", faults.faults))
}

/// A device at a port of a board, with the rail that its jumper chooses.
type Placed = (&'static str, &'static str, Option<&'static str>);

/// The demonstration's devices on Alder A4, put there by hand: tests of settings must not hang on what a plan prefers.
pub const ON_ALDER: &[Placed] = &[
    ("PS", "POWER", None),
    ("H1", "HEAT1", None),
    ("H2", "BED", None),
    ("T1", "TH1", None),
    ("T2", "TH2", None),
    ("MX", "M1", None),
    ("MY", "M2", None),
    ("MZ", "M3", None),
    ("MZ2", "M4", None),
    ("ME", "M5", None),
    ("F1", "FAN1", None),
    ("F2", "FAN2", Some("12V")),
    ("F3", "ALWAYS", None),
    ("LX", "IN1", None),
    ("LY", "IN2", None),
    ("LZ", "IN3", None),
    ("PA", "PANEL", None),
    ("BP", "PROBE", None),
    ("FS", "IN4", None),
    ("LS", "LIGHT", None),
];

/// The same on Birch B6.
pub const ON_BIRCH: &[Placed] = &[
    ("PS", "POWER", None),
    ("H1", "HEAT1", None),
    ("H2", "BED", None),
    ("T1", "TH1", None),
    ("T2", "TH2", None),
    ("MX", "M1", None),
    ("MY", "M2", None),
    ("MZ", "M3", None),
    ("MZ2", "M4", None),
    ("ME", "M5", None),
    ("F1", "FAN1", Some("input")),
    ("F2", "FAN2", Some("12V")),
    ("F3", "ALWAYS", None),
    ("LX", "IN1", None),
    ("LY", "IN2", None),
    ("LZ", "IN3", None),
    ("PA", "PANEL", None),
    ("BP", "PROBE", None),
    ("FS", "IN4", None),
    ("LS", "LIGHT1", None),
];

/// The same on Dogwood D1, whose drivers have trimmers.
pub const ON_DOGWOOD: &[Placed] = &[
    ("PS", "POWER", None),
    ("H1", "HEAT", None),
    ("H2", "BED", None),
    ("T1", "TH1", None),
    ("T2", "TH2", None),
    ("MX", "M1", None),
    ("MY", "M2", None),
    ("MZ", "M3", None),
    ("MZ2", "M4", None),
    ("ME", "M5", None),
    ("F1", "FAN1", None),
    ("F2", "FAN2", Some("12V")),
    ("F3", "ALWAYS", None),
    ("LX", "IN1", None),
    ("LY", "IN2", None),
    ("LZ", "IN3", None),
    ("PA", "PANEL", None),
    ("FS", "IN4", None),
];

/// The board whose name begins so.
pub fn board<'a>(swap: &'a Swap, name: &str) -> &'a Board {
    let found = swap
        .candidates
        .iter()
        .find(|board| board.name.value.starts_with(name));
    found.expect("the candidate is there")
}

/// The ways of devices that are put to ports by hand.
pub fn ways(swap: &Swap, board: &Board, placed: &[Placed]) -> Vec<Option<Way>> {
    let mut ways = vec![None; swap.machine.devices.len()];
    for (tag, port, rail) in placed {
        let device = swap.machine.tagged(tag).expect("the device is there");
        let port = board.port_named(port).expect("the port is there");
        let rail = match rail {
            Some(name) => board.rail_named(name),
            None => board.rails_of(board.port(port)).first().copied(),
        };
        ways[device.0] = Some(Way {
            port,
            rail,
            own_supply: false,
            second: false,
        });
    }
    ways
}

/// The settings of the demonstration on a board, with its devices where they were put by hand.
pub fn settings_on(swap: &Swap, name: &str) -> Settings {
    let board = board(swap, name);
    let placed = match name {
        "Alder" => ON_ALDER,
        "Birch" => ON_BIRCH,
        _ => ON_DOGWOOD,
    };
    let ways = ways(swap, board, placed);
    let site = plan::Site::of(swap, board);
    let setup = Setup::new(&site, &ways);
    settings::settings(&setup)
}
