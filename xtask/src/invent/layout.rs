//! Where things are on a board and in a case, for the third example: outline and holes, the order, places and pin orders of ports, the case
//! around the old board, lengths of cables.
//!
//! Ports without an edge of their own are shuffled and set along the edges from corner to corner, as wide as their connectors, with gaps
//! that are drawn: screw terminals at the top, motors at the bottom, the others where there is room, the right edge first. Each kind of port
//! has one order of pins on a board, drawn among those that keep the ends of a coil together.

use std::collections::BTreeMap;

use toml_edit::{Array, DocumentMut, Item, Table, Value, value};

use super::boards::set;
use super::draw::Random;

/// The boards whose layout is drawn: seeds of outline and holes, and of ports. A board made to replace another one has its outline.
pub const BOARDS: &[(&str, u64, u64)] = &[
    ("examples/third/boards/juniper-j5.toml", 7_601, 7_604),
    ("examples/third/boards/medlar-m6.toml", 7_601, 7_605),
    ("examples/third/boards/walnut-w5.toml", 7_603, 7_606),
];

/// The machine whose case is drawn around its old board, with the seed.
pub const MACHINE: (&str, &str, u64) = (
    "examples/third/whimbrel.toml",
    "examples/third/boards/juniper-j5.toml",
    7_602,
);

/// Free at both ends of an edge, for screws, in tenths of a millimetre.
const CORNER: usize = 90;

fn millimetres(tenths: usize) -> String {
    match tenths % 10 {
        0 => format!("{} mm", tenths / 10),
        rest => format!("{}.{rest} mm", tenths / 10),
    }
}

fn tenths(text: &str) -> Result<usize, String> {
    let number = text.trim_end_matches("mm").trim();
    let (whole, part) = number.split_once('.').unwrap_or((number, "0"));
    let digits = format!("{whole}{}", part.chars().next().unwrap_or('0'));
    digits
        .parse()
        .map_err(|_| format!("{text}: no length in millimetres"))
}

fn point(x: usize, y: usize) -> Value {
    Value::Array(Array::from_iter([millimetres(x), millimetres(y)]))
}

fn corners(x: usize, y: usize, dx: usize, dy: usize) -> Value {
    let at = [(x, y), (x + dx, y), (x, y + dy), (x + dx, y + dy)];
    Value::Array(Array::from_iter(at.map(|(x, y)| point(x, y))))
}

fn word<'a>(table: &'a Table, key: &str) -> &'a str {
    table.get(key).and_then(Item::as_str).unwrap_or_default()
}

fn pins(table: &Table) -> Vec<String> {
    let list = table.get("pins").and_then(Item::as_array);
    let texts = list.into_iter().flatten().filter_map(Value::as_str);
    texts.map(str::to_owned).collect()
}

/// How long a port is on its edge, with the housing of its plug.
fn width(port: &Table) -> usize {
    let ways = pins(port).len();
    match word(port, "connector") {
        "screw terminal 9.5 mm" => 95 * ways,
        "screw terminal 5.0 mm" => 50 * ways,
        "memory card slot" => 260,
        "USB-B" => 120,
        name if name.starts_with("USB") => 90,
        _ => 25 * ways + 25,
    }
}

/// One order of the pins of a kind of port: of a motor one that keeps the ends of a coil side by side, else any.
fn order(names: &[String], random: &mut Random) -> Vec<String> {
    let mut sorted = names.to_vec();
    sorted.sort();
    if sorted.first().map(String::as_str) != Some("A1") {
        return random.shuffled(sorted);
    }
    let mut coils = random.shuffled(vec![["A1", "A2"], ["B1", "B2"]]);
    for coil in &mut coils {
        if random.below(2) == 1 {
            coil.swap(0, 1);
        }
    }
    coils.concat().into_iter().map(str::to_owned).collect()
}

/// The text of a board file with its layout drawn anew; comments and order stay.
pub fn board(text: &str, outline: u64, seed: u64) -> Result<String, String> {
    let mut board: DocumentMut = text.parse().map_err(|error| format!("{error}"))?;
    let mut random = Random::of(outline);
    let (wide, deep) = (10 * random.between(124, 138), 10 * random.between(92, 104));
    let inset = random.between(35, 50);
    let own = board.get_mut("outline").and_then(Item::as_table_mut);
    let own = own.ok_or("a board without `[outline]`")?;
    own["size"] = value(point(wide, deep));
    own["holes"] = value(corners(inset, inset, wide - 2 * inset, deep - 2 * inset));
    let mut random = Random::of(seed);
    let ports = board.get_mut("port").and_then(Item::as_array_of_tables_mut);
    let ports = ports.ok_or("a board without ports")?;
    let mut orders: BTreeMap<Vec<String>, Vec<String>> = BTreeMap::new();
    for port in ports.iter_mut() {
        let mut names = pins(port);
        names.sort();
        if names.is_empty() || word(port, "role") == "USB" {
            continue;
        }
        let drawn = orders
            .entry(names.clone())
            .or_insert_with(|| order(&names, &mut random));
        port["pins"] = value(Array::from_iter(drawn.iter().map(String::as_str)));
    }
    let edges = ["left", "right", "top", "bottom"];
    let mut free = BTreeMap::from([
        ("left", CORNER),
        ("right", CORNER),
        ("top", CORNER),
        ("bottom", CORNER),
    ]);
    let turns = random.shuffled((0..ports.len()).collect::<Vec<_>>());
    // Those that are bound to an edge first, then the large ones.
    let rank = |at: &usize| {
        let port = ports.get(*at);
        let (edge, connector) = port.map_or(("", ""), |port| (word(port, "edge"), word(port, "connector")));
        let role = port.map_or("", |port| word(port, "role"));
        (
            edge.is_empty(),
            !connector.starts_with("screw"),
            role != "motor output",
        )
    };
    let mut turns = turns;
    turns.sort_by_key(rank);
    for at in turns {
        let port = ports.get_mut(at).ok_or("no such port")?;
        let (width, gap) = (width(port), random.between(10, 24));
        let wishes: &[&str] = match (word(port, "edge"), word(port, "role")) {
            ("left", _) => &["left"],
            (_, "motor output") => &["bottom", "right"],
            _ if word(port, "connector").starts_with("screw") => &["top"],
            _ => &["right", "top", "bottom", "left"],
        };
        let end = |edge: &str| if matches!(edge, "left" | "right") { deep } else { wide } - CORNER;
        let edge = wishes
            .iter()
            .find(|edge| free[**edge] + gap + width <= end(edge))
            .ok_or_else(|| format!("no room for {}", word(port, "name")))?;
        let along = free[*edge] + gap + width / 2;
        let inwards = match word(port, "connector") {
            "memory card slot" => 120,
            name if name.starts_with("screw") => 60,
            _ => 45,
        };
        let (x, y) = match edges.iter().position(|known| known == edge) {
            Some(0) => (inwards, along),
            Some(1) => (wide - inwards, along),
            Some(2) => (along, deep - inwards),
            _ => (along, inwards),
        };
        *free.entry(edge).or_default() += gap + width;
        port["at"] = value(point(x, y));
        port.remove("along");
        if matches!(*edge, "left" | "right") && !pins(port).is_empty() && word(port, "edge").is_empty() {
            port["along"] = value("y");
        }
    }
    Ok(board.to_string())
}

/// The text of a machine file with its case drawn around the old board, and the lengths of its cables.
pub fn machine(text: &str, old_board: &str, seed: u64) -> Result<String, String> {
    let mut machine: DocumentMut = text.parse().map_err(|error| format!("{error}"))?;
    let old: DocumentMut = old_board.parse().map_err(|error| format!("{error}"))?;
    let holes = old["outline"]["holes"]
        .as_array()
        .ok_or("a board without holes")?;
    let places: Vec<usize> = holes
        .iter()
        .filter_map(Value::as_array)
        .flat_map(|hole| hole.iter().filter_map(Value::as_str).map(tenths))
        .collect::<Result<_, _>>()?;
    let (Some(inset), Some(right), Some(top)) = (places.first(), places.get(2), places.get(5)) else {
        return Err("a board needs four holes here".to_owned());
    };
    let (wide, deep) = (right + inset, top + inset);
    let mut random = Random::of(seed);
    let (left, below) = (random.between(60, 110), random.between(80, 140));
    let case = machine
        .get_mut("case")
        .and_then(Item::as_table_mut)
        .ok_or("no case")?;
    let (x, y) = (
        wide + left + random.between(120, 220),
        deep + below + random.between(100, 180),
    );
    case["size"] = value(point(x, y));
    case["entry"] = value(point(x, y / 2));
    case["standoffs"] = value(corners(left + inset, below + inset, right - inset, top - inset));
    let ports = old
        .get("port")
        .and_then(Item::as_array_of_tables)
        .ok_or("no ports")?;
    let socket = ports
        .iter()
        .find(|port| word(port, "role") == "USB")
        .ok_or("no USB")?;
    let at = socket
        .get("at")
        .and_then(Item::as_array)
        .and_then(|at| at.get(1)?.as_str());
    let at = tenths(at.ok_or("USB is nowhere")?)? + below;
    let openings = case.get_mut("opening").and_then(Item::as_array_of_tables_mut);
    for opening in openings.ok_or("no opening")?.iter_mut() {
        opening["from"] = value(millimetres(at - random.between(80, 110)));
        opening["to"] = value(millimetres(at + random.between(80, 110)));
    }
    let devices = machine.get_mut("device").and_then(Item::as_array_of_tables_mut);
    for device in devices.ok_or("no devices")?.iter_mut() {
        let new = device
            .get("cable")
            .and_then(Item::as_table_like)
            .is_some_and(|cable| !cable.contains_key("old_port"));
        let far = ["hot end", "part", "heat sink"];
        let far = new
            || far.contains(&word(device, "zone"))
            || far.contains(&word(device, "cools"))
            || word(device, "axis") == "E";
        let length = if far {
            random.between(68, 92)
        } else {
            random.between(30, 64)
        };
        let cable = device
            .get_mut("cable")
            .and_then(Item::as_table_mut)
            .ok_or("no cable")?;
        set(cable, "length", format!("{length}0 mm"));
    }
    Ok(machine.to_string())
}

/// What the old controller of the third example knew: a name and a letter of each number, by the words of its file.
const KNOWN: &[(&str, &[(&str, f64)])] = &[
    (
        "steps-per-length",
        &[("X", 80.0), ("Y", 80.0), ("Z", 800.0), ("E", 323.7)],
    ),
    (
        "top-speed",
        &[("X", 160.0), ("Y", 160.0), ("Z", 12.0), ("E", 40.0)],
    ),
    (
        "acceleration",
        &[("X", 2000.0), ("Y", 2000.0), ("Z", 120.0), ("E", 2500.0)],
    ),
    ("corner-speed", &[("X", 8.0), ("Y", 8.0), ("Z", 0.3), ("E", 4.0)]),
    ("zero-shift", &[("X", 0.0), ("Y", 0.0), ("Z", -0.21)]),
    ("print-acceleration", &[("", 1200.0)]),
    ("filament-diameter", &[("", 1.75)]),
    (
        "control hot end",
        &[("proportional", 44.1), ("integral", 2.73), ("derivative", 178.0)],
    ),
    (
        "control bed",
        &[("proportional", 118.0), ("integral", 4.2), ("derivative", 830.0)],
    ),
];

/// Where the report of the old controller of the third example stands, the words that it speaks, and the seed of its layout.
pub const REPORT: (&str, &str, u64) = (
    "examples/third/captured/old-controller.gcode",
    "examples/third/words/mere.toml",
    7_607,
);

/// What the old controller reports: its lines in an order, with decimals and signs around them that are drawn.
pub fn report(words: &str, seed: u64) -> Result<String, String> {
    let own: DocumentMut = words.parse().map_err(|error| format!("{error}"))?;
    let rows = own
        .get("word")
        .and_then(Item::as_array_of_tables)
        .ok_or("no words")?;
    let spoken = |setting: &str| {
        let row = rows.iter().find(|row| word(row, "setting") == setting)?;
        let letter = row.get("letters").and_then(Item::as_array)?.get(0)?.as_str()?;
        Some((word(row, "word").to_owned(), letter.to_owned()))
    };
    let mut random = Random::of(seed);
    let decimals = random.between(2, 4);
    let lead = ["= ", "| ", "~ ", "- ", "* "][random.below(5)];
    let mut lines = Vec::new();
    for (setting, values) in random.shuffled(KNOWN.to_vec()) {
        let mut line = Vec::new();
        let mut of = match setting {
            "steps-per-length" => "M92".to_owned(),
            "top-speed" => "M203".to_owned(),
            "acceleration" => "M201".to_owned(),
            "filament-diameter" => "M200".to_owned(),
            "control hot end" => "M301".to_owned(),
            "control bed" => "M304".to_owned(),
            _ => String::new(),
        };
        let own = spoken(setting);
        if let (true, Some((name, _))) = (of.is_empty(), &own) {
            of.clone_from(name);
        }
        for (letter, number) in values {
            let letter = match *letter {
                "" => own.as_ref().map_or("D", |(_, letter)| letter.as_str()),
                "proportional" => "P",
                "integral" => "I",
                "derivative" => "D",
                letter => letter,
            };
            line.push(format!("{letter}{number:.decimals$}"));
        }
        lines.push(format!("{lead}{of} {}", line.join(" ")));
    }
    let head = "; What the old controller of the third example reported before it was unplugged.\n; Invented for this example; drawn (`cargo xtask invent`).\n> M503\n";
    Ok(format!("{head}{}\n{lead}end\n", lines.join("\n")))
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOARD: &str = r#"# A board.
[outline] # its size
size = ["1 mm", "1 mm"]
holes = []
[[port]]
name = "M"
role = "motor output"
connector = "crimp 2.5 mm"
pins = ["A1", "A2", "B1", "B2"] # a motor
at = ["0 mm", "0 mm"]
[[port]]
name = "U"
role = "USB"
connector = "USB-C"
pins = ["+", "data", "unused", "-"]
at = ["0 mm", "0 mm"]
edge = "left"
"#;

    #[test]
    fn a_drawn_layout_is_drawn_as_it_is() {
        let once = board(BOARD, 1, 2).expect("a board");
        assert_eq!(board(&once, 1, 2), Ok(once.clone()));
        assert_ne!(board(&once, 1, 3), Ok(once.clone()));
        assert_ne!(board(&once, 2, 2), Ok(once.clone()));
        assert!(once.contains("# A board."), "{once}");
    }

    #[test]
    fn the_ends_of_a_coil_stay_together() {
        let names = ["A1", "A2", "B1", "B2"].map(str::to_owned);
        let mut seen = std::collections::BTreeSet::new();
        for seed in 0..200 {
            let drawn = order(&names, &mut Random::of(seed));
            assert_eq!(drawn[0][..1], drawn[1][..1], "{drawn:?}");
            seen.insert(drawn);
        }
        assert_eq!(seen.len(), 8);
    }

    #[test]
    fn lengths_are_read_as_they_are_written() {
        for at in [0, 7, 10, 45, 1_283] {
            assert_eq!(tenths(&millimetres(at)), Ok(at));
        }
        assert!(tenths("far").is_err());
    }
}
