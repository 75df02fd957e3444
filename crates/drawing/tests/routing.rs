//! The routed geometry of generated boards: nothing runs through anything, nothing lies on anything.

use drawing::{
    Action, Along, Area, Cable, Device, Head, Kind, Layout, Mm, MountingHole, Point, Port, Routed, Spot,
    Wire, Wiring, WiringBoard, route,
};
use proptest::prelude::*;

/// One generated port: where along its slot, number of pins, length of its name.
type Seed = (u8, u8, u8);

/// Ports on all four edges and on inner rows, in slots that are wide enough for their housings.
fn board(seeds: &[Seed], size: (f64, f64), room: f64) -> WiringBoard {
    let slots = slots(size, room);
    let port = |(i, (shift, pins, name)): (usize, &Seed)| {
        let (x, y, along, room) = slots[i % slots.len()];
        let most = ((room / 2.5 - 2.4) as usize).max(2);
        let pins = 2 + usize::from(*pins) % (most - 1).max(1);
        let slack = (room - (pins as f64 + 0.8) * 2.5 - 1.0).max(0.0);
        let off = (f64::from(*shift) / 255.0 - 0.5) * slack;
        let (x, y) = if along == Along::X {
            (x + off, y)
        } else {
            (x, y + off)
        };
        Port {
            name: format!(
                "P{i}{}",
                "-ABCDEFGH".get(..usize::from(*name) % 9).unwrap_or_default()
            ),
            at: Spot::mm(x, y),
            pitch: Mm(2.5),
            pins: (0..pins).map(|k| format!("pin {k}")).collect(),
            along: Some(along),
            rows: 1,
        }
    };
    let hole = |x, y| MountingHole {
        at: Spot::mm(x, y),
        diameter: Mm(3.2),
    };
    let (w, h) = size;
    WiringBoard {
        name: "generated".into(),
        width: Mm(w),
        height: Mm(h),
        holes: vec![
            hole(3.0, 3.0),
            hole(w - 3.0, 3.0),
            hole(3.0, h - 3.0),
            hole(w - 3.0, h - 3.0),
        ],
        ports: seeds.iter().enumerate().map(port).collect(),
        front: Some("left"),
    }
}

/// Middles of slots, edges and inner rows in turn, with the direction of the pins and the room along it.
fn slots((w, h): (f64, f64), room: f64) -> Vec<(f64, f64, Along, f64)> {
    let across = ((w - 16.0) / room) as usize;
    let upright = ((h - 24.0) / room) as usize;
    let at = |k: usize, from: f64| from + (k as f64 + 0.5) * room;
    let mut edges = vec![Vec::new(); 6];
    for k in 0..across {
        edges[0].push((at(k, 8.0), h - 4.0, Along::X, room));
        edges[1].push((at(k, 8.0), 4.0, Along::X, room));
    }
    for k in 0..upright {
        edges[2].push((4.0, at(k, 12.0), Along::Y, room));
        edges[3].push((w - 4.0, at(k, 12.0), Along::Y, room));
    }
    for k in 0..across.saturating_sub(2) {
        edges[4].push((at(k, 20.0), h * 0.4, Along::X, room));
        edges[5].push((at(k, 20.0), h * 0.65, Along::X, room));
    }
    let longest = edges.iter().map(Vec::len).max().unwrap_or(0);
    (0..longest)
        .flat_map(|k| {
            edges
                .iter()
                .filter_map(move |e| e.get(k).copied())
                .collect::<Vec<_>>()
        })
        .collect()
}

fn letters(k: usize) -> &'static str {
    ["BK", "RD", "BU", "GN", "YE", "WH", "RDBU", "GNYE"][k % 8]
}

fn wiring() -> impl Strategy<Value = Wiring> {
    let ports = prop::collection::vec(any::<Seed>(), 6..=40);
    let cables = prop::collection::vec((any::<u16>(), any::<u8>(), any::<u8>()), 1..=30);
    // Slots of 8.5 mm leave 1.5 mm between housings of two pins.
    (ports, cables, 90.0_f64..170.0, 70.0_f64..120.0, 8.5_f64..14.0).prop_map(
        |(seeds, cables, w, h, room)| {
            let board = board(&seeds, (w, h), room);
            let mut devices = Vec::new();
            let mut drawn = Vec::new();
            let mut free: Vec<usize> = (0..board.ports.len().min(slots((w, h), room).len())).collect();
            for (choice, wires, kind) in cables {
                if free.is_empty() {
                    break;
                }
                let port = free.remove(usize::from(choice) % free.len());
                // One in eight leads belongs to the device before it.
                if devices.is_empty() || kind % 8 != 0 {
                    devices.push(device(devices.len(), kind));
                }
                drawn.push(cable(
                    devices.len() - 1,
                    port,
                    usize::from(wires),
                    &board.ports[port],
                ));
            }
            let mut board = board;
            board.ports.truncate(slots((w, h), room).len());
            let head = Head {
                prefix: "g".into(),
                title: "Generated".into(),
                description: "Generated.".into(),
            };
            Wiring {
                head,
                board,
                devices,
                cables: drawn,
                notes: vec!["A note below.".into()],
            }
        },
    )
}

fn device(i: usize, kind: u8) -> Device {
    let kinds = [Kind::Power, Kind::Motion, Kind::Air, Kind::Sense, Kind::Show];
    Device {
        tag: format!("T{i:02}"),
        name: ["Fan", "Hot-end thermometer, front", "Motor of the second axis"][usize::from(kind) % 3].into(),
        kind: kinds[usize::from(kind) % 5],
        note: if kind.is_multiple_of(2) {
            String::new()
        } else {
            "24 V, 0.15 A".into()
        },
    }
}

fn cable(device: usize, port: usize, wires: usize, on: &Port) -> Cable {
    let count = 1 + wires % on.pins.len();
    let wires = (0..count).map(|k| Wire::to(letters(k + port), k)).collect();
    Cable {
        device,
        port,
        wires,
        actions: vec![[Action::PlugOver, Action::LevelShifter, Action::RePin][port % 3]],
    }
}

fn segments(path: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    path.windows(2).map(|w| (w[0], w[1]))
}

const TOUCH: f64 = 1e-6;

fn is_at(a: Point, b: Point) -> bool {
    (a.x - b.x).abs() < TOUCH && (a.y - b.y).abs() < TOUCH
}

/// All faults of a routed picture, in words.
fn faults(input: &Wiring, r: &Routed) -> Vec<String> {
    let mut all = Vec::new();
    texts(r, &mut all);
    for (i, cable) in r.cables.iter().enumerate() {
        let port = input.cables[i].port;
        for (a, b) in segments(&cable.path) {
            if (a.x - b.x).abs() > TOUCH && (a.y - b.y).abs() > TOUCH {
                all.push(format!("lead {i} is slanted from {a:?} to {b:?}"));
            }
            for (text, area) in &r.texts {
                if area.is_crossed_by(a, b) {
                    all.push(format!("lead {i} runs through '{text}'"));
                }
            }
            for (p, body) in r.ports.iter().enumerate() {
                if body.is_crossed_by(a, b) {
                    all.push(format!("lead {i} of port {port} runs through port {p}"));
                }
            }
            for hole in &r.holes {
                if hole.is_crossed_by(a, b) {
                    all.push(format!("lead {i} runs through a hole"));
                }
            }
            for (d, card) in r.devices.iter().enumerate() {
                if card.is_crossed_by(a, b) {
                    all.push(format!("lead {i} runs through device {d}"));
                }
            }
        }
        for (j, other) in r.cables.iter().enumerate().skip(i + 1) {
            if let Some(fault) = meeting(&cable.path, &other.path) {
                all.push(format!("leads {i} and {j} {fault}"));
            }
        }
    }
    all
}

fn texts(r: &Routed, all: &mut Vec<String>) {
    let whole = Area {
        left: 0.0,
        top: 0.0,
        right: r.size.0,
        bottom: r.size.1,
    };
    for (i, (a, area)) in r.texts.iter().enumerate() {
        if !whole.contains(area) {
            all.push(format!("'{a}' leaves the picture"));
        }
        for (b, other) in &r.texts[i + 1..] {
            if area.overlaps(other) {
                all.push(format!("'{a}' lies on '{b}'"));
            }
        }
    }
    for (i, a) in r.devices.iter().enumerate() {
        if !whole.contains(a) || a.overlaps(&r.board) {
            all.push(format!("device {i} is out of place"));
        }
        if r.devices[i + 1..].iter().any(|b| a.overlaps(b)) {
            all.push(format!("device {i} lies on another"));
        }
    }
}

/// Two leads may only cross, inside a segment of each: no shared stretch, no corner on the other's line.
fn meeting(one: &[Point], two: &[Point]) -> Option<&'static str> {
    for (a, b) in segments(one) {
        for (c, d) in segments(two) {
            let (one, two) = (span(a, b), span(c, d));
            let near = one.left <= two.right + TOUCH
                && two.left <= one.right + TOUCH
                && one.top <= two.bottom + TOUCH
                && two.top <= one.bottom + TOUCH;
            if !near {
                continue;
            }
            let level = |s: &Area| s.height() < TOUCH;
            if level(&one) == level(&two) {
                return Some("share a stretch");
            }
            let (l, u) = if level(&one) { (one, two) } else { (two, one) };
            let inside = l.left < u.left - TOUCH
                && u.left < l.right - TOUCH
                && u.top < l.top - TOUCH
                && l.top < u.bottom - TOUCH;
            if !inside {
                return Some("touch at a corner");
            }
        }
    }
    None
}

fn crossings(r: &Routed) -> usize {
    let mut count = 0;
    for (i, one) in r.cables.iter().enumerate() {
        for other in &r.cables[i + 1..] {
            for (a, b) in segments(&one.path) {
                count += segments(&other.path)
                    .filter(|(c, d)| span(a, b).grown(TOUCH).overlaps(&span(*c, *d).grown(TOUCH)))
                    .count();
            }
        }
    }
    count
}

fn span(a: Point, b: Point) -> Area {
    Area {
        left: a.x.min(b.x),
        right: a.x.max(b.x),
        top: a.y.min(b.y),
        bottom: a.y.max(b.y),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, failure_persistence: None, max_shrink_iters: 0, ..ProptestConfig::default() })]

    #[test]
    fn nothing_runs_through_anything_on_a_wide_sheet(input in wiring()) {
        let r = route(&input, Layout::Wide);
        let found = faults(&input, &r);
        prop_assert!(found.is_empty(), "{found:#?}");
        for (i, cable) in r.cables.iter().enumerate() {
            prop_assert!(!cable.path.is_empty(), "lead {i} was given up");
            prop_assert!(is_at(cable.path[0], cable.at_port) && is_at(*cable.path.last().unwrap(), cable.at_card));
        }
        for port in &input.board.ports {
            prop_assert!(r.texts.iter().any(|(t, _)| *t == port.name), "{} has no name", port.name);
        }
    }

    #[test]
    fn nothing_runs_through_anything_on_a_phone(input in wiring()) {
        let r = route(&input, Layout::Narrow);
        let found = faults(&input, &r);
        prop_assert!(found.is_empty(), "{found:#?}");
        prop_assert!(r.size.0 <= 390.0, "{}", r.size.0);
    }

    /// With one lead a device, the order around the board can be kept, and a planar order needs no crossing.
    #[test]
    fn single_leads_never_cross(mut input in wiring()) {
        input.devices = (0..input.cables.len()).map(|i| device(i, i as u8)).collect();
        for (i, cable) in input.cables.iter_mut().enumerate() {
            cable.device = i;
        }
        for layout in [Layout::Wide, Layout::Narrow] {
            prop_assert_eq!(crossings(&route(&input, layout)), 0, "{:?}", layout);
        }
    }

    /// Whatever a file says: ports on each other and off the board, pins that do not exist, no size. Then not all leads
    /// find a way, but those that do still keep clear of each other, and every port is named beside it or in words.
    #[test]
    fn nonsense_is_drawn_without_fuss(input in nonsense()) {
        for layout in [Layout::Wide, Layout::Narrow] {
            let svg = drawing::wiring(&input, layout);
            let tree = roxmltree::Document::parse(&svg).unwrap();
            let words: String = tree.descendants().filter_map(|n| n.text()).collect::<Vec<_>>().join(" ");
            prop_assert!(!words.contains("NaN") && !svg.contains("inf\""));
            let squeezed: String = words.split_whitespace().collect();
            for port in &input.board.ports {
                prop_assert!(squeezed.contains(&port.name), "{} is lost", port.name);
            }
            let r = route(&input, layout);
            for (i, one) in r.cables.iter().enumerate() {
                for other in &r.cables[i + 1..] {
                    prop_assert_eq!(meeting(&one.path, &other.path), None);
                }
            }
        }
    }
}

fn nonsense() -> impl Strategy<Value = Wiring> {
    let length = prop_oneof![
        -5.0_f64..160.0,
        Just(f64::NAN),
        Just(0.0),
        Just(1e12),
        Just(-1e12)
    ];
    let port = (
        length.clone(),
        length.clone(),
        0_usize..30,
        0_usize..5,
        0.0_f64..6.0,
    );
    let ports = prop::collection::vec(port, 0..14);
    let cables = prop::collection::vec(
        (0_usize..8, 0_usize..16, prop::collection::vec(0_usize..40, 0..9)),
        0..14,
    );
    (length.clone(), length, ports, cables, 0_usize..7).prop_map(|(w, h, ports, cables, devices)| {
        let port = |(i, (x, y, pins, rows, pitch)): (usize, (f64, f64, usize, usize, f64))| Port {
            name: format!("P{i}"),
            at: Spot::mm(x, y),
            pitch: Mm(pitch),
            pins: (0..pins).map(|k| k.to_string()).collect(),
            along: None,
            rows,
        };
        let wire = |k: usize| Wire {
            letters: ["RD", "", "??", "RDBUGN", "x"][k % 5].into(),
            pin: (k < 35).then_some(k),
            elsewhere: "?".repeat(k),
        };
        let cable = |(device, port, wires): (usize, usize, Vec<usize>)| Cable {
            device,
            port,
            wires: wires.into_iter().map(wire).collect(),
            actions: vec![],
        };
        let hole = MountingHole {
            at: Spot::mm(3.0, 3.0),
            diameter: Mm(f64::INFINITY),
        };
        let ports = ports.into_iter().enumerate().map(port).collect();
        Wiring {
            head: Head {
                prefix: "n".into(),
                title: "Nonsense".into(),
                description: "Nonsense.".into(),
            },
            board: WiringBoard {
                name: "N".into(),
                width: Mm(w),
                height: Mm(h),
                holes: vec![hole],
                ports,
                front: None,
            },
            devices: (0..devices).map(|i| device(i, i as u8)).collect(),
            cables: cables.into_iter().map(cable).collect(),
            notes: vec![],
        }
    })
}
