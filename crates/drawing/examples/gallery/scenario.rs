//! An invented machine, an invented board, invented numbers.

use drawing::{
    Action, Along, BoardHole, BoardInCase, BoardPort, Cable, Candidate, Cell, CellGroup, CellState, Cells,
    Comparison, Count, Device, Head, KeepOut, Kind, MarginGroup, MarginRow, Margins, Mark, Mm, MountingHole,
    Opening, Plot, Port, Post, Scatter, ScatterPoint, Series, SpanRow, Spans, Spot, Surface, Tag, TagSheet,
    TagWire, Tornado, TornadoRow, Verdict, Wire, Wiring, WiringBoard,
};

fn head(prefix: &str, title: &str) -> Head {
    Head {
        prefix: prefix.into(),
        title: title.into(),
        description: format!("{title}. Machine, board and numbers are invented."),
    }
}

/// Name, x, y, pitch, pins, direction, rows.
type PortRow = (&'static str, f64, f64, f64, &'static [&'static str], Along, usize);

const MOTOR: &[&str] = &["A1", "A2", "B1", "B2"];
const TWO: &[&str] = &["+", "switched −"];
const PAIR: &[&str] = &["signal", "ground"];
const THREE: &[&str] = &["supply", "ground", "signal"];
const TWELVE: &[&str] = &["1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12"];
const EIGHT: &[&str] = &["1", "2", "3", "4", "5", "6", "7", "8"];

const PORTS: &[PortRow] = &[
    ("MOT-X", 17.0, 71.5, 2.5, MOTOR, Along::X, 1),
    ("MOT-Y", 31.0, 71.5, 2.5, MOTOR, Along::X, 1),
    ("MOT-Z1", 45.0, 71.5, 2.5, MOTOR, Along::X, 1),
    ("MOT-Z2", 59.0, 71.5, 2.5, MOTOR, Along::X, 1),
    ("MOT-E1", 73.0, 71.5, 2.5, MOTOR, Along::X, 1),
    ("MOT-E2", 87.0, 71.5, 2.5, MOTOR, Along::X, 1),
    ("POWER", 6.0, 58.0, 5.0, &["+", "−"], Along::Y, 1),
    ("BED", 6.0, 44.0, 5.0, TWO, Along::Y, 1),
    ("HOT-1", 6.0, 31.0, 3.96, TWO, Along::Y, 1),
    ("HOT-2", 6.0, 19.0, 3.96, TWO, Along::Y, 1),
    ("FAN-1", 16.0, 4.0, 2.5, TWO, Along::X, 1),
    ("FAN-2", 25.0, 4.0, 2.5, TWO, Along::X, 1),
    ("FAN-3", 34.0, 4.0, 2.5, TWO, Along::X, 1),
    ("TH-1", 43.0, 4.0, 2.5, PAIR, Along::X, 1),
    ("TH-2", 52.0, 4.0, 2.5, PAIR, Along::X, 1),
    ("TH-BED", 61.0, 4.0, 2.5, PAIR, Along::X, 1),
    ("SW-X", 72.0, 4.0, 2.5, THREE, Along::X, 1),
    ("SW-Y", 84.0, 4.0, 2.5, THREE, Along::X, 1),
    ("SW-Z", 97.5, 16.0, 2.5, THREE, Along::Y, 1),
    ("FILAMENT", 97.5, 28.0, 2.5, THREE, Along::Y, 1),
    (
        "PROBE",
        97.5,
        43.0,
        2.5,
        &["signal", "control", "ground", "5 V", "ground"],
        Along::Y,
        1,
    ),
    (
        "USB",
        97.5,
        58.0,
        2.5,
        &["5 V", "D−", "D+", "ground"],
        Along::Y,
        1,
    ),
    ("AIR-A", 24.0, 18.0, 2.5, &["+", "−"], Along::X, 1),
    ("AIR-B", 36.0, 18.0, 2.5, &["+", "−"], Along::X, 1),
    ("LIGHT", 52.0, 18.0, 2.5, &["5 V", "data", "ground"], Along::X, 1),
    ("PANEL-1", 70.0, 20.0, 2.54, TWELVE, Along::X, 2),
    ("PANEL-2", 86.0, 32.0, 2.54, EIGHT, Along::Y, 2),
    (
        "SERIAL",
        80.0,
        52.0,
        2.5,
        &["5 V", "ground", "out", "in"],
        Along::Y,
        1,
    ),
];

fn port(name: &str) -> usize {
    PORTS.iter().position(|p| p.0 == name).unwrap_or_default()
}

/// Tag, name, kind, note, port, wires as letters with pin, actions.
type DeviceRow = (
    &'static str,
    &'static str,
    Kind,
    &'static str,
    &'static str,
    &'static [(&'static str, usize)],
    &'static [Action],
);

const DEVICES: &[DeviceRow] = &[
    (
        "T01",
        "Supply",
        Kind::Power,
        "24 V, 15 A",
        "POWER",
        &[("RD", 0), ("BK", 1)],
        &[Action::ReCrimp],
    ),
    (
        "T02",
        "Bed heater",
        Kind::Power,
        "24 V, 220 W",
        "BED",
        &[("RD", 0), ("BK", 1)],
        &[Action::ReCrimp, Action::Extend],
    ),
    (
        "T03",
        "Hot-end heater",
        Kind::Power,
        "24 V, 40 W",
        "HOT-1",
        &[("RD", 0), ("RD", 1)],
        &[Action::PlugOver],
    ),
    (
        "T04",
        "Hot-end thermometer",
        Kind::Sense,
        "100 kΩ bead",
        "TH-1",
        &[("WH", 0), ("WH", 1)],
        &[Action::PlugOver],
    ),
    (
        "T05",
        "Bed thermometer",
        Kind::Sense,
        "100 kΩ bead",
        "TH-BED",
        &[("WH", 0), ("BK", 1)],
        &[Action::PlugOver],
    ),
    (
        "T06",
        "Motor X",
        Kind::Motion,
        "1.2 A, 2.4 Ω",
        "MOT-X",
        &[("BK", 0), ("GN", 1), ("RD", 2), ("BU", 3)],
        &[Action::PlugOver],
    ),
    (
        "T07",
        "Motor Y",
        Kind::Motion,
        "1.2 A, 2.4 Ω",
        "MOT-Y",
        &[("BK", 0), ("GN", 1), ("RD", 2), ("BU", 3)],
        &[Action::RePin],
    ),
    (
        "T08",
        "Motor Z left",
        Kind::Motion,
        "0.9 A",
        "MOT-Z1",
        &[("BK", 0), ("GN", 1), ("RD", 2), ("BU", 3)],
        &[Action::RePin],
    ),
    (
        "T09",
        "Motor Z right",
        Kind::Motion,
        "0.9 A",
        "MOT-Z2",
        &[("BK", 0), ("GN", 1), ("RD", 2), ("BU", 3)],
        &[Action::RePin, Action::Extend],
    ),
    (
        "T10",
        "Extruder motor",
        Kind::Motion,
        "1.0 A",
        "MOT-E1",
        &[("BK", 0), ("GN", 1), ("RD", 2), ("BU", 3)],
        &[Action::PlugOver],
    ),
    (
        "T11",
        "Part fan",
        Kind::Air,
        "24 V, 0.15 A",
        "FAN-1",
        &[("RD", 0), ("BK", 1)],
        &[Action::PlugOver],
    ),
    (
        "T12",
        "Hot-end fan",
        Kind::Air,
        "24 V, 0.08 A; runs while hot",
        "FAN-2",
        &[("YE", 0), ("BU", 1)],
        &[Action::RePin],
    ),
    (
        "T13",
        "Case fan",
        Kind::Air,
        "12 V, 0.10 A",
        "AIR-A",
        &[("RD", 0), ("BK", 1)],
        &[Action::OwnSupply],
    ),
    (
        "T14",
        "Limit switch X",
        Kind::Sense,
        "opens when hit",
        "SW-X",
        &[("RD", 0), ("BK", 1), ("WH", 2)],
        &[Action::PlugOver],
    ),
    (
        "T15",
        "Limit switch Y",
        Kind::Sense,
        "opens when hit",
        "SW-Y",
        &[("RD", 0), ("BK", 1), ("WH", 2)],
        &[Action::PlugOver],
    ),
    (
        "T17",
        "Filament switch",
        Kind::Sense,
        "closes with filament",
        "FILAMENT",
        &[("RD", 0), ("BK", 1), ("GN", 2)],
        &[Action::ReCrimp],
    ),
    (
        "T18",
        "Light strip",
        Kind::Show,
        "5 V, 16 pieces",
        "LIGHT",
        &[("RD", 0), ("GN", 1), ("WHBK", 2)],
        &[Action::NewCable, Action::LevelShifter],
    ),
    (
        "T19",
        "Panel",
        Kind::Show,
        "turn knob and display",
        "PANEL-1",
        &[("GY", 0), ("VT", 1), ("OG", 3), ("PK", 5)],
        &[Action::Adaptor],
    ),
];

const GROUND_WIRES: &[&str] = &["BN", "RD", "OG"];

pub fn wiring() -> Wiring {
    let ports = PORTS
        .iter()
        .map(|(name, x, y, pitch, pins, along, rows)| Port {
            name: (*name).into(),
            at: Spot::mm(*x, *y),
            pitch: Mm(*pitch),
            pins: pins.iter().map(|p| (*p).into()).collect(),
            along: Some(*along),
            rows: *rows,
        })
        .collect();
    let mut devices: Vec<Device> = Vec::new();
    let mut cables: Vec<Cable> = Vec::new();
    for (tag, name, kind, note, to, wires, actions) in DEVICES {
        let wire = |(letters, pin): &(&str, usize)| Wire::to(*letters, *pin);
        cables.push(Cable {
            device: devices.len(),
            port: port(to),
            wires: wires.iter().map(wire).collect(),
            actions: actions.to_vec(),
        });
        devices.push(Device {
            tag: (*tag).into(),
            name: (*name).into(),
            kind: *kind,
            note: (*note).into(),
        });
    }
    let probe = devices.len();
    devices.push(Device {
        tag: "T16".into(),
        name: "Bed probe".into(),
        kind: Kind::Sense,
        note: "5 V, swings a pin".into(),
    });
    devices.push(Device {
        tag: "T20".into(),
        name: "Door light".into(),
        kind: Kind::Show,
        note: "230 V: stays where it is".into(),
    });
    let control = |(i, l): (usize, &&str)| Wire::to(*l, i);
    let mut wires: Vec<Wire> = GROUND_WIRES.iter().enumerate().map(control).collect();
    wires.push(Wire::elsewhere("GY", "insulate"));
    cables.push(Cable {
        device: probe,
        port: port("PROBE"),
        wires,
        actions: vec![Action::RePin],
    });
    cables.push(Cable {
        device: probe,
        port: port("SW-Z"),
        wires: vec![Wire::to("BK", 1), Wire::to("WH", 2)],
        actions: vec![Action::Extend],
    });
    let hole = |x, y| MountingHole {
        at: Spot::mm(x, y),
        diameter: Mm(3.2),
    };
    Wiring {
        head: head("wiring", "Wiring of the invented machine Marigold onto the invented board Alder A4"),
        board: WiringBoard {
            name: "Alder A4 (invented)".into(),
            width: Mm(102.0),
            height: Mm(76.0),
            holes: vec![hole(3.0, 3.0), hole(99.0, 3.0), hole(3.0, 73.0), hole(99.0, 73.0)],
            ports,
            front: Some("bottom"),
        },
        devices,
        cables,
        notes: vec![
            "Work on wiring is done unplugged, after the supply has run down. Mains and supply wiring belong to a \
             qualified person and follow local codes."
                .into(),
        ],
    }
}

pub fn board() -> BoardInCase {
    let hole = |name: &str, x, y, post, passes| BoardHole {
        name: name.into(),
        at: Spot::mm(x, y),
        diameter: Mm(3.2),
        post,
        passes,
    };
    let post = |name: &str, x, y| Post {
        name: name.into(),
        at: Spot::mm(x, y),
        diameter: Mm(6.0),
        screw: Mm(3.0),
    };
    BoardInCase {
        head: head(
            "board",
            "The invented board Alder A4 over the posts of the invented case",
        ),
        name: "Alder A4 (invented)".into(),
        width: Mm(102.0),
        height: Mm(76.0),
        shift: Spot::mm(10.05, 12.02),
        turn_degrees: 0.05,
        holes: vec![
            hole("H1", 3.0, 3.0, Some(0), true),
            hole("H2", 99.0, 3.0, Some(1), true),
            hole("H3", 99.0, 73.0, Some(2), false),
            hole("H4", 3.0, 73.0, Some(3), true),
        ],
        posts: vec![
            post("P1", 13.0, 15.0),
            post("P2", 109.1, 15.1),
            post("P3", 109.3, 85.0),
            post("P4", 13.0, 85.0),
            post("P5", 61.0, 15.0),
        ],
        keep_outs: vec![
            KeepOut {
                name: "fan duct".into(),
                at: Spot::mm(40.0, 82.0),
                width: Mm(30.0),
                height: Mm(18.0),
                hit: true,
            },
            KeepOut {
                name: "cable clip".into(),
                at: Spot::mm(0.0, 40.0),
                width: Mm(7.0),
                height: Mm(16.0),
                hit: false,
            },
        ],
        ports: [
            ("M1", 20.0, 5.0),
            ("M2", 34.0, 5.0),
            ("FAN1", 60.0, 71.0),
            ("USB", 4.0, 40.0),
        ]
        .map(|(name, x, y)| BoardPort {
            name: name.into(),
            at: Spot::mm(x, y),
        })
        .to_vec(),
        openings: vec![
            Opening {
                name: "USB".into(),
                from: Spot::mm(118.0, 62.0),
                to: Spot::mm(118.0, 74.0),
                socket: Some(Spot::mm(112.0, 69.0)),
                verdict: Verdict::Pass,
            },
            Opening {
                name: "card slot".into(),
                from: Spot::mm(118.0, 24.0),
                to: Spot::mm(118.0, 38.0),
                socket: Some(Spot::mm(112.0, 44.0)),
                verdict: Verdict::Caution,
            },
        ],
    }
}

pub fn margins() -> Margins {
    let row = |label: &str, value: &str, limit: &str, margin: Option<f64>, verdict| MarginRow {
        room: None,
        label: label.into(),
        value: value.into(),
        limit: limit.into(),
        margin,
        verdict,
    };
    use Verdict::{Blocker, Caution, Note, Pass};
    let group = |heading: &str, rows| MarginGroup {
        heading: heading.into(),
        rows,
    };
    Margins {
        head: head("margins", "Margins of the invented board Alder A4, worst case"),
        groups: vec![
            group(
                "Mechanics",
                vec![
                    row("Hole H3 on its post", "0.31 mm", "≤ 0.10 mm", Some(-2.1), Blocker),
                    row("Hole H1 on its post", "0.05 mm", "≤ 0.10 mm", Some(0.5), Pass),
                    row("Height under the lid", "22 mm", "≤ 25 mm", Some(0.12), Pass),
                    row(
                        "Lead of the bed heater reaches",
                        "310 mm",
                        "≥ 355 mm",
                        Some(-0.127),
                        Caution,
                    ),
                ],
            ),
            group(
                "Electrics",
                vec![
                    row(
                        "Supply voltage on the input",
                        "24.6 V",
                        "≤ 28 V",
                        Some(0.121),
                        Pass,
                    ),
                    row(
                        "Board input at heat-up, bed and hot end together, fans at full speed",
                        "14.2 A",
                        "≤ 15 A",
                        Some(0.053),
                        Caution,
                    ),
                    row("Bed output", "10.1 A", "≤ 12 A", Some(0.158), Pass),
                    row("Fan output 2", "0.083 A", "≤ 1.5 A", Some(0.945), Pass),
                    row(
                        "5 V rail with light strip and probe",
                        "1.9 A",
                        "≤ 2.0 A",
                        Some(0.05),
                        Caution,
                    ),
                    row(
                        "Drop along the lead of the bed heater",
                        "0.33 V",
                        "≤ 0.72 V",
                        Some(0.54),
                        Pass,
                    ),
                    row(
                        "Probe signal into a 3.3 V input",
                        "5.0 V",
                        "≤ 3.6 V",
                        Some(-0.389),
                        Blocker,
                    ),
                    row("Case fan on 24 V", "24.6 V", "≤ 13.2 V", Some(-0.864), Blocker),
                    row("Wire of the hot-end fan", "0.08 A", "≤ 0.92 A", Some(10.5), Pass),
                ],
            ),
            group(
                "Heat",
                vec![
                    row("Driver X without fan", "118 °C", "≤ 125 °C", Some(0.056), Caution),
                    row("Driver X with fan", "86 °C", "≤ 125 °C", Some(0.312), Pass),
                    row("Hot end if its switch fails closed", "—", "—", None, Note),
                ],
            ),
            group(
                "Motion",
                vec![
                    row("Step rate at 200 mm/s", "16 kHz", "≤ 150 kHz", Some(0.893), Pass),
                    row(
                        "Torque left at 200 mm/s, motor Y",
                        "0.11 Nm",
                        "≥ 0.11 Nm",
                        Some(0.0),
                        Caution,
                    ),
                ],
            ),
        ],
    }
}

const CRITERIA: [&str; 7] = [
    "blockers",
    "to decide",
    "wishes not met",
    "nearest limit, used",
    "price with parts",
    "settings changed",
    "work on cables",
];

pub fn comparison() -> Comparison {
    let candidate = |name: &str, counts: [(f64, &str); 7], on_front, chosen, note: &str| Candidate {
        name: name.into(),
        counts: counts
            .iter()
            .map(|(p, t)| Count {
                position: Some(*p),
                text: (*t).into(),
            })
            .collect(),
        on_front: Some(on_front),
        chosen,
        note: note.into(),
    };
    Comparison {
        head: head(
            "comparison",
            "Four invented boards for the invented machine Marigold",
        ),
        criteria: CRITERIA.iter().map(|name| (*name).to_owned()).collect(),
        candidates: vec![
            candidate(
                "Alder A4",
                [
                    (0.0, "0"),
                    (3.0, "3"),
                    (1.0, "1 of 7"),
                    (0.95, "95 %"),
                    (46.5, "46.50 EUR"),
                    (9.0, "9"),
                    (38.0, "38 min"),
                ],
                true,
                true,
                "",
            ),
            candidate(
                "Birch B2",
                [
                    (0.0, "0"),
                    (5.0, "5"),
                    (3.0, "3 of 7"),
                    (0.98, "98 %"),
                    (31.0, "31 EUR"),
                    (7.0, "7"),
                    (25.0, "25 min"),
                ],
                true,
                false,
                "",
            ),
            candidate(
                "Cedar C8",
                [
                    (0.0, "0"),
                    (2.0, "2"),
                    (0.0, "0 of 7"),
                    (0.88, "88 %"),
                    (82.0, "82 EUR"),
                    (14.0, "14"),
                    (61.0, "61 min"),
                ],
                true,
                false,
                "",
            ),
            candidate(
                "Dogwood D3",
                [
                    (2.0, "2"),
                    (6.0, "6"),
                    (3.0, "3 of 7"),
                    (1.39, "139 %"),
                    (52.0, "52 EUR"),
                    (12.0, "12"),
                    (55.0, "55 min"),
                ],
                false,
                false,
                "beaten by Alder A4 on every count",
            ),
        ],
    }
}

pub fn scatter() -> Scatter {
    let point = |name: &str, x, y, blocked| ScatterPoint {
        name: name.into(),
        x,
        y,
        blocked,
    };
    Scatter {
        head: head("scatter", "What a budget buys, invented boards"),
        x: "price with parts, EUR".into(),
        y: "wishes served, of 7".into(),
        points: vec![
            point("Alder A4", 46.5, 6.0, false),
            point("Birch B2", 31.0, 4.0, false),
            point("Cedar C8", 82.0, 7.0, false),
            point("Dogwood D3", 52.0, 4.0, true),
            point("Elm E1", 58.0, 5.0, false),
        ],
    }
}

pub fn plot() -> Plot {
    let curve = |gain: f64, slow: f64| -> Vec<[f64; 2]> {
        (0..=150)
            .map(|i| f64::from(i) * 2.0)
            .map(|t| [t, 21.0 + gain * t / (t + slow)])
            .collect()
    };
    let series = |name: &str, points, dots| Series {
        name: name.into(),
        points,
        dots,
    };
    Plot {
        head: head("plot", "Heat-up of the invented hot end"),
        x: "time, s".into(),
        y: "temperature, °C".into(),
        bands: Vec::new(),
        series: vec![
            series("predicted, nominal", curve(320.0, 160.0), false),
            series("predicted, slow corner", curve(300.0, 190.0), false),
            series("predicted, fast corner", curve(335.0, 140.0), false),
            series(
                "readings",
                curve(318.0, 166.0).into_iter().step_by(10).collect(),
                true,
            ),
        ],
        marks: vec![
            Mark {
                name: "target 210 °C".into(),
                at: 210.0,
                along: Along::Y,
            },
            Mark {
                name: "protection looks here".into(),
                at: 40.0,
                along: Along::X,
            },
        ],
        logarithmic: [false; 2],
    }
}

pub fn tornado() -> Tornado {
    let row = |label: &str, low, high, low_text: &str, high_text: &str| TornadoRow {
        label: label.into(),
        low,
        high,
        low_text: low_text.into(),
        high_text: high_text.into(),
    };
    Tornado {
        head: head("tornado", "What moves the driver's temperature, invented board"),
        axis: "junction temperature, °C".into(),
        base: 92.0,
        limit: Some((125.0, "limit 125 °C".into())),
        rows: vec![
            row("Motor current", 74.0, 118.0, "0.9 A", "1.2 A"),
            row("Air in the case", 84.0, 103.0, "25 °C", "45 °C"),
            row(
                "Thermal resistance with heat sink",
                86.0,
                99.0,
                "22 K/W",
                "30 K/W",
            ),
            row("On-resistance", 90.5, 94.0, "0.16 Ω", "0.19 Ω"),
        ],
    }
}

pub fn tags() -> TagSheet {
    let wiring = wiring();
    let tag = |cable: &Cable| {
        let (device, port) = (&wiring.devices[cable.device], &wiring.board.ports[cable.port]);
        let wire = |w: &Wire| TagWire {
            letters: w.letters.clone(),
            pin: w
                .pin
                .map_or_else(|| w.elsewhere.clone(), |p| format!("{} {}", p + 1, port.pins[p])),
        };
        Tag {
            tag: device.tag.clone(),
            device: device.name.clone(),
            port: port.name.clone(),
            wires: cable.wires.iter().map(wire).collect(),
        }
    };
    TagSheet {
        head: head("tags", "Wire tags of the invented machine Marigold"),
        tags: wiring.cables.iter().map(tag).collect(),
    }
}

pub fn surface() -> Surface {
    let places: Vec<f64> = (0..33).map(|k| 15.0 + 200.0 * f64::from(k) / 32.0).collect();
    let height = |x: f64, y: f64| {
        let (u, v) = ((x - 115.0) / 100.0, (y - 115.0) / 100.0);
        let dent = -0.06 * (-((x - 160.0).powi(2) + (y - 80.0).powi(2)) / 1250.0).exp();
        0.08 * (u * u + v * v) + 0.05 * u * v + dent - 0.05
    };
    Surface {
        head: head("surface", "Warp of the bed: height without tilt"),
        x: "x, mm".into(),
        y: "y, mm".into(),
        height: "height, mm".into(),
        heights: places
            .iter()
            .map(|y| places.iter().map(|x| height(*x, *y)).collect())
            .collect(),
        columns: places.clone(),
        rows: places,
        places: vec![
            ("front left".into(), 25.0, 25.0),
            ("front right".into(), 205.0, 25.0),
            ("back left".into(), 25.0, 205.0),
            ("back right".into(), 205.0, 205.0),
        ],
    }
}

pub fn spans() -> Spans {
    let row = |label: &str, [low, value, high]: [f64; 3], verdict| SpanRow {
        label: label.into(),
        value,
        low,
        high,
        text: format!("{value} % ({low} .. {high} %)"),
        verdict,
    };
    Spans {
        head: head("spans", "Wrong words of an invented switch"),
        axis: "share of looks, %; intervals at 95 %".into(),
        rows: vec![
            row(
                "filament there, switch says none",
                [1.8, 8.3, 22.5],
                Verdict::Caution,
            ),
            row(
                "no filament, switch says there is",
                [0.0, 0.0, 9.7],
                Verdict::Pass,
            ),
        ],
        limit: Some((10.0, "allowed: 10 % or less".into())),
    }
}

pub fn cells() -> Cells {
    let cell = |text: &str, shade: Option<&str>, state| Cell {
        text: text.into(),
        shade: shade.map(str::to_owned),
        state,
    };
    let good = |letters: &str| cell(letters, Some(letters), CellState::Right);
    let dark = || cell("–", None, CellState::Wrong);
    let group = |letters: &str, name: &str| CellGroup {
        name: name.into(),
        cells: (0..24)
            .map(|at| match at {
                0..17 => good(letters),
                17..22 => dark(),
                _ => cell("", None, CellState::Open),
            })
            .collect(),
        counted: true,
        each: 1,
    };
    Cells {
        head: head("cells", "What each light of an invented strip showed"),
        groups: vec![
            group("RD", "told red: 5 of 22 wrong, the first is number 18"),
            group("WH", "told white: 5 of 22 wrong, the first is number 18"),
        ],
        key: vec![
            (good("RD"), "red".into()),
            (good("WH"), "white".into()),
            (cell("–", None, CellState::Right), "dark".into()),
            (cell("", None, CellState::Wrong), "not what it was told".into()),
            (cell("", None, CellState::Open), "not tried".into()),
        ],
    }
}
