//! Small pictures, byte for byte. Look at each before accepting a change: `cargo run -p drawing --example gallery`.

use drawing::{
    Action, Along, Cable, Device, Head, Kind, Layout, MarginGroup, MarginRow, Margins, Mm, MountingHole,
    Plot, Port, Series, Spot, Verdict, Wire, Wiring, WiringBoard,
};

fn head(prefix: &str) -> Head {
    Head {
        prefix: prefix.into(),
        title: "Small picture".into(),
        description: "An invented example.".into(),
    }
}

fn small_wiring() -> Wiring {
    let port = |name: &str, x, y, along| Port {
        name: name.into(),
        at: Spot::mm(x, y),
        pitch: Mm(2.5),
        pins: vec!["+".into(), "switched −".into()],
        along: Some(along),
        rows: 1,
    };
    Wiring {
        head: head("w"),
        board: WiringBoard {
            name: "Invented board".into(),
            width: Mm(50.0),
            height: Mm(40.0),
            holes: vec![MountingHole {
                at: Spot::mm(3.0, 3.0),
                diameter: Mm(3.2),
            }],
            ports: vec![
                port("FAN-1", 20.0, 35.0, Along::X),
                port("FAN-2", 35.0, 35.0, Along::X),
                port("HOT", 25.0, 18.0, Along::X),
            ],
            front: Some("bottom"),
        },
        devices: vec![
            Device {
                tag: "T1".into(),
                name: "Part fan".into(),
                kind: Kind::Air,
                note: "24 V".into(),
            },
            Device {
                tag: "T2".into(),
                name: "Heater".into(),
                kind: Kind::Power,
                note: String::new(),
            },
        ],
        cables: vec![
            Cable {
                device: 0,
                port: 0,
                wires: vec![
                    Wire::to("RDBU", 0),
                    Wire::to("BK", 1),
                    Wire::elsewhere("YE", "insulate"),
                ],
                actions: vec![Action::RePin],
            },
            Cable {
                device: 1,
                port: 2,
                wires: vec![Wire::to("RD", 0), Wire::to("RD", 1)],
                actions: vec![Action::PlugOver],
            },
            // Left out: there is no such port.
            Cable {
                device: 1,
                port: 9,
                ..Cable::default()
            },
        ],
        notes: vec!["Unplug first.".into()],
    }
}

#[test]
fn wiring() {
    insta::assert_snapshot!(
        "wiring-wide",
        lines(&drawing::wiring(&small_wiring(), Layout::Wide))
    );
    insta::assert_snapshot!(
        "wiring-narrow",
        lines(&drawing::wiring(&small_wiring(), Layout::Narrow))
    );
}

#[test]
fn margins() {
    let row = |label: &str, margin, verdict| MarginRow {
        room: None,
        label: label.into(),
        value: "1 A".into(),
        limit: "≤ 2 A".into(),
        margin,
        verdict,
    };
    let rows = vec![
        row("holds", Some(0.5), Verdict::Pass),
        row("tight", Some(0.01), Verdict::Caution),
        row("breaks", Some(-9.0), Verdict::Blocker),
        row("no number", None, Verdict::Note),
    ];
    let input = Margins {
        head: head("m"),
        groups: vec![MarginGroup {
            heading: "Group".into(),
            rows,
        }],
    };
    insta::assert_snapshot!("margins", lines(&drawing::margins(&input, Layout::Narrow)));
}

#[test]
fn plot() {
    let series = vec![Series {
        name: "s".into(),
        points: vec![[0.0, 1.0], [1.0, 3.0], [2.0, 2.0]],
        dots: false,
    }];
    let input = Plot {
        head: head("p"),
        x: "x, s".into(),
        y: "y, K".into(),
        bands: vec![],
        series,
        marks: vec![],
        logarithmic: [false; 2],
    };
    insta::assert_snapshot!("plot", lines(&drawing::plot(&input, Layout::Narrow)));
}

/// One element a line, so that a change can be read.
fn lines(svg: &str) -> String {
    svg.replace("><", ">\n<")
}
