//! Paints a plan: board, ports, leads, cards, legend.

use super::cards::{End, PlacedCard, STUB};
use super::plan::{Plan, plan};
use super::routed::{Routed, RoutedCable};
use super::sizes::Sizes;
use super::sockets::{Side, Socket};
use super::{Action, Kind, Wiring, legend};
use crate::geometry::{Area, Point};
use crate::metrics;
use crate::palette::wire_colours;
use crate::sheet::{Label, Layout, Sheet, closed, heading, number, open};

/// The picture and its geometry.
pub(super) fn painted(input: &Wiring, layout: Layout) -> (String, Routed) {
    let sizes = Sizes::of(layout);
    let mut sheet = Sheet::default();
    let left = sizes.edge + 4.0;
    let mut top = heading(&mut sheet, &input.head, left, sizes.width - 2.0 * left);
    for line in metrics::wrap(&caption(input, &sizes), 12.0, false, sizes.width - 2.0 * left) {
        sheet.label(Label::new(line, left, top + 8.0, 12.0).coloured("quiet"));
        top += 16.0;
    }
    let plan = plan(input, &sizes, top);
    board(&mut sheet, input, &sizes, &plan);
    for (from, to) in &plan.leaders {
        sheet.line(*from, *to, "s-quiet o", 1.0);
    }
    for (i, cable) in input.cables.iter().enumerate() {
        port_fan(&mut sheet, input, &sizes, &plan, i);
        line(
            &mut sheet,
            &sizes,
            &plan.paths[i],
            input.devices[cable.device].kind,
        );
    }
    for placed in &plan.cards {
        card(&mut sheet, input, &sizes, placed);
    }
    ends(&mut sheet, input, &sizes, &plan);
    for label in plan.names.iter().flatten() {
        sheet.label(label.clone());
    }
    let bottom = legend::legend(&mut sheet, input, &sizes, &plan);
    let size = (plan.width, bottom);
    let routed = routed(input, &sizes, &plan, &sheet, size);
    (sheet.finish(&input.head, size, None), routed)
}

fn caption(input: &Wiring, sizes: &Sizes) -> String {
    let board = &input.board;
    let mut text = format!(
        "{}, {} × {} mm, seen onto its headers, drawn to scale.",
        board.name,
        number(board.width.0),
        number(board.height.0)
    );
    match board.front {
        Some(edge) => text.push_str(&format!(" Its {edge} edge faces the front of the machine.")),
        None => text.push_str(" Which edge faces the front is not known."),
    }
    if sizes.narrow && board.width.0 > board.height.0 * 1.1 {
        text.push_str(
            " Here it is turned a quarter turn clockwise: its left edge is on top. Each port bears the tag of its cable.",
        );
    }
    text
}

fn board(sheet: &mut Sheet, input: &Wiring, sizes: &Sizes, plan: &Plan) {
    sheet.rect(&plan.board, 3.0, "f-plate s-ink", 1.5);
    for (at, radius) in &plan.holes {
        sheet.circle(*at, *radius, "f-paper s-rule", 1.2);
    }
    for (i, socket) in plan.sockets.iter().enumerate() {
        if socket.cables.is_empty() {
            sheet.rect(&socket.body, 1.5, "n s-rule d", 1.0);
        } else {
            sheet.rect(&socket.body, 1.5, "f-socket s-ink", 1.3);
        }
        if sizes.draws_pins {
            pins(sheet, socket, input.board.ports[i].pins.len());
        }
    }
}

/// Pin 1 is square, the others are round, as on most boards (common practice, no source).
fn pins(sheet: &mut Sheet, socket: &Socket, count: usize) {
    let class = if socket.cables.is_empty() {
        "n s-rule"
    } else {
        "f-plate s-ink"
    };
    for (k, pin) in socket.pins.iter().take(count).enumerate() {
        if k == 0 {
            sheet.rect(&Area::around(*pin, 7.0, 7.0), 0.0, class, 1.0);
        } else {
            sheet.circle(*pin, 3.4, class, 1.0);
        }
    }
}

/// Each wire from its pin to the joint; on a phone one line.
fn port_fan(sheet: &mut Sheet, input: &Wiring, sizes: &Sizes, plan: &Plan, cable: usize) {
    let l = &input.cables[cable];
    let socket = &plan.sockets[l.port];
    let joint = plan.joints[cable];
    if !sizes.draws_pins {
        let lip = match socket.mouth.is_level() {
            true => Point::new(socket.lip().x, joint.y),
            false => Point::new(joint.x, socket.lip().y),
        };
        line(sheet, sizes, &[lip, joint], input.devices[l.device].kind);
        return;
    }
    for wire in &l.wires {
        let Some(pin) = wire.pin.and_then(|p| socket.pins.get(p)) else {
            continue;
        };
        let lip = match socket.mouth.is_level() {
            true => Point::new(socket.lip().x, pin.y),
            false => Point::new(pin.x, socket.lip().y),
        };
        coloured(sheet, &open(&[*pin, lip, joint]), &wire.letters, sizes.wire);
    }
}

/// Width and dashes of the line of each kind: they differ without colour.
pub(super) const fn line_style(kind: Kind) -> (&'static str, f64, &'static str) {
    match kind {
        Kind::Power => ("power", 4.2, ""),
        Kind::Motion => ("motion", 3.2, ""),
        Kind::Air => ("air", 2.8, "9 2.5"),
        Kind::Sense => ("sense", 1.9, ""),
        Kind::Show => ("show", 2.4, "4 2.5"),
    }
}

/// One lead: a line with a light seam, so that it is seen which of two crossing lines lies above.
pub(super) fn line(sheet: &mut Sheet, sizes: &Sizes, points: &[Point], kind: Kind) {
    if points.len() < 2 {
        return;
    }
    let (colour, width, dashes) = line_style(kind);
    let width = width * sizes.stroke;
    let d = rounded(points, sizes.pitch * 0.45);
    sheet.path(&d, "n s-paper", width + 2.4 * sizes.stroke);
    sheet.dashed(&d, &format!("n s-{colour}"), width, dashes);
}

/// A wire in its colours, with a casing that stands out from any ground. Two-coloured wires show dashes.
pub(super) fn coloured(sheet: &mut Sheet, d: &str, letters: &str, width: f64) {
    sheet.path(d, "n s-casing r", width + 1.6);
    let shades = wire_colours(letters);
    if let Some(first) = shades.first() {
        sheet.shaded(d, first, width, "");
    }
    if let Some(second) = shades.get(1) {
        sheet.shaded(d, second, width, "4 4");
    }
}

/// A path with rounded corners.
fn rounded(points: &[Point], radius: f64) -> String {
    let mut d = format!("M{} {}", number(points[0].x), number(points[0].y));
    for w in points.windows(3) {
        let (a, b, c) = (w[0], w[1], w[2]);
        let length = |p: Point, q: Point| (p.x - q.x).abs() + (p.y - q.y).abs();
        let r = radius.min(length(a, b) / 2.0).min(length(b, c) / 2.0);
        let towards = |to: Point| {
            let l = length(b, to).max(1e-9);
            Point::new(b.x + (to.x - b.x) / l * r, b.y + (to.y - b.y) / l * r)
        };
        let (p, q) = (towards(a), towards(c));
        let n = number;
        d.push_str(&format!(
            "L{} {}Q{} {} {} {}",
            n(p.x),
            n(p.y),
            n(b.x),
            n(b.y),
            n(q.x),
            n(q.y)
        ));
    }
    let last = points[points.len() - 1];
    d.push_str(&format!("L{} {}", number(last.x), number(last.y)));
    d
}

fn card(sheet: &mut Sheet, input: &Wiring, sizes: &Sizes, placed: &PlacedCard) {
    let (card, corner) = (&placed.card, placed.corner);
    let area = placed.area();
    let kind = input.devices[card.device].kind;
    let moved = |a: &Area| Area::new(a.left + corner.x, a.top + corner.y, a.width(), a.height());
    sheet.rect(&area, 4.0, "f-sheet s-rule", 1.0);
    let stripe_left = if card.edge == Side::Right {
        area.left
    } else {
        area.right - 4.0
    };
    sheet.rect(
        &Area::new(stripe_left, area.top, 4.0, area.height()),
        2.0,
        &format!("f-{}", line_style(kind).0),
        0.0,
    );
    sheet.rect(&moved(&card.pill), 4.0, "f-ink", 0.0);
    for badge in &card.badges {
        let area = moved(&badge.area);
        sheet.rect(&area, 7.5, "f-paper s-rule", 0.9);
        sign(sheet, badge.action, Point::new(area.left + 10.0, area.middle().y));
    }
    for end in &card.ends {
        wires(sheet, input, sizes, placed, end);
    }
    for label in &card.labels {
        let at = Point::new(label.at.x + corner.x, label.at.y + corner.y);
        sheet.label(Label { at, ..label.clone() });
    }
}

/// The wires of a lead at its card: from inside the card over its edge to the joint.
fn wires(sheet: &mut Sheet, input: &Wiring, sizes: &Sizes, placed: &PlacedCard, end: &End) {
    let area = placed.area();
    let joint = placed.joint(end, sizes);
    let outwards = if placed.card.edge == Side::Right {
        1.0
    } else {
        -1.0
    };
    let edge = if placed.card.edge == Side::Right {
        area.right
    } else {
        area.left
    };
    for (i, wire) in input.cables[end.cable].wires.iter().enumerate() {
        let y = placed.corner.y + end.wires[i];
        let inside = Point::new(edge - outwards * STUB, y);
        if end.connected[i] {
            let knee = Point::new(edge + outwards * 3.0, y);
            coloured(sheet, &open(&[inside, knee, joint]), &wire.letters, sizes.wire);
        } else {
            // Stays free: ends inside the card, with a cap.
            let tip = Point::new(edge - outwards * 6.0, y);
            coloured(sheet, &open(&[inside, tip]), &wire.letters, sizes.wire);
            sheet.line(
                Point::new(tip.x, y - 4.5),
                Point::new(tip.x, y + 4.5),
                "s-ink",
                1.6,
            );
        }
    }
}

/// Dots where wires become a line; arrow heads where the line is left out.
fn ends(sheet: &mut Sheet, input: &Wiring, sizes: &Sizes, plan: &Plan) {
    for placed in &plan.cards {
        for end in &placed.card.ends {
            let kind = input.devices[placed.card.device].kind;
            let class = format!("f-{}", line_style(kind).0);
            let at_card = placed.joint(end, sizes);
            let at_port = plan.joints[end.cable];
            if plan.paths[end.cable].is_empty() {
                let out = if placed.card.edge == Side::Right {
                    Side::Right
                } else {
                    Side::Left
                };
                arrow(sheet, at_card, out, sizes, &class);
                arrow(
                    sheet,
                    at_port,
                    plan.sockets[input.cables[end.cable].port].mouth,
                    sizes,
                    &class,
                );
            } else {
                sheet.circle(at_card, 3.2 * sizes.stroke.max(0.7), &class, 0.0);
                if sizes.draws_pins {
                    sheet.circle(at_port, 3.2, &class, 0.0);
                }
            }
        }
    }
}

fn arrow(sheet: &mut Sheet, at: Point, out: Side, sizes: &Sizes, class: &str) {
    let (dx, dy) = out.step();
    let r = sizes.pitch * 0.5;
    let tip = Point::new(at.x + dx * r, at.y + dy * r);
    let base = |side: f64| Point::new(at.x - dx * r + side * dy * r, at.y - dy * r + side * dx * r);
    sheet.path(&closed(&[tip, base(1.0), base(-1.0)]), class, 0.0);
}

/// The sign of an action, about 10 px wide.
pub(super) fn sign(sheet: &mut Sheet, action: Action, at: Point) {
    let shape = |strokes: &[&[(f64, f64)]]| -> String {
        let stroke = |s: &&[(f64, f64)]| {
            open(
                &s.iter()
                    .map(|(x, y)| Point::new(at.x + x, at.y + y))
                    .collect::<Vec<_>>(),
            )
        };
        strokes.iter().map(stroke).collect()
    };
    let d = match action {
        Action::PlugOver => shape(&[&[(-5.0, 0.0), (4.5, 0.0)], &[(1.5, -3.0), (4.5, 0.0), (1.5, 3.0)]]),
        Action::RePin => shape(&[&[(-4.5, -3.0), (4.5, 3.0)], &[(-4.5, 3.0), (4.5, -3.0)]]),
        Action::ReCrimp => shape(&[
            &[(-5.0, -3.5), (-1.0, 0.0), (-5.0, 3.5)],
            &[(5.0, -3.5), (1.0, 0.0), (5.0, 3.5)],
        ]),
        Action::Extend => shape(&[
            &[(-5.0, -3.0), (-5.0, 3.0)],
            &[(-5.0, 0.0), (5.0, 0.0)],
            &[(5.0, -3.0), (5.0, 3.0)],
        ]),
        Action::Splice => shape(&[
            &[(-5.0, -3.5), (0.0, 0.0), (5.0, 0.0)],
            &[(-5.0, 3.5), (0.0, 0.0)],
        ]),
        Action::Adaptor => shape(&[
            &[(-5.5, 0.0), (-2.5, 0.0)],
            &[(-2.5, -3.0), (2.5, -3.0), (2.5, 3.0), (-2.5, 3.0), (-2.5, -3.0)],
            &[(2.5, 0.0), (5.5, 0.0)],
        ]),
        Action::LevelShifter => shape(&[&[(-5.0, 3.0), (0.0, 3.0), (0.0, -3.0), (5.0, -3.0)]]),
        Action::OwnSupply => shape(&[
            &[(-2.0, -4.0), (-2.0, 4.0)],
            &[(2.0, -2.0), (2.0, 2.0)],
            &[(-5.5, 0.0), (-2.0, 0.0)],
            &[(2.0, 0.0), (5.5, 0.0)],
        ]),
        // The symbol of IEC 60617 for a make contact: the blade stands off its contact.
        Action::ExternalSwitch => shape(&[
            &[(-5.5, 2.0), (-2.0, 2.0), (2.5, -3.0)],
            &[(2.5, 2.0), (5.5, 2.0)],
        ]),
        // The symbol of IEC 60617 for a fuse: the conductor goes through the rectangle.
        Action::Fuse => shape(&[
            &[(-6.0, 0.0), (6.0, 0.0)],
            &[(-4.0, -2.2), (4.0, -2.2), (4.0, 2.2), (-4.0, 2.2), (-4.0, -2.2)],
        ]),
        Action::Clamp => shape(&[
            &[(-5.0, -1.5), (5.0, -1.5)],
            &[(-5.0, 1.5), (5.0, 1.5)],
            &[(0.0, -5.0), (0.0, -1.5)],
            &[(0.0, 1.5), (0.0, 5.0)],
        ]),
        Action::YCable => shape(&[&[(-5.0, 0.0), (0.0, 0.0), (5.0, -3.5)], &[(0.0, 0.0), (5.0, 3.5)]]),
        Action::SignalPart => shape(&[&[
            (-5.5, 0.0),
            (-3.5, 0.0),
            (-2.0, -3.0),
            (0.0, 3.0),
            (2.0, -3.0),
            (3.5, 0.0),
            (5.5, 0.0),
        ]]),
        Action::LeaveOff => shape(&[
            &[(-5.0, 0.0), (-1.0, 0.0)],
            &[(-1.0, -3.5), (-1.0, 3.5)],
            &[(3.0, 0.0), (5.0, 0.0)],
        ]),
        Action::NewCable => shape(&[&[(-4.0, 0.0), (4.0, 0.0)], &[(0.0, -4.0), (0.0, 4.0)]]),
    };
    sheet.path(&d, "n s-ink r", 1.5);
}

fn routed(input: &Wiring, sizes: &Sizes, plan: &Plan, sheet: &Sheet, size: (f64, f64)) -> Routed {
    let cable = |i: usize| {
        let at_card = plan.cards.iter().find_map(|c| {
            c.card
                .ends
                .iter()
                .find(|e| e.cable == i)
                .map(|e| c.joint(e, sizes))
        });
        RoutedCable {
            path: plan.paths[i].clone(),
            at_port: plan.joints[i],
            at_card: at_card.unwrap_or_default(),
        }
    };
    Routed {
        size,
        scale: plan.view.scale,
        board: plan.board,
        holes: plan
            .holes
            .iter()
            .map(|(p, r)| Area::around(*p, 2.0 * r, 2.0 * r))
            .collect(),
        ports: plan.sockets.iter().map(|s| s.body).collect(),
        devices: plan.cards.iter().map(PlacedCard::area).collect(),
        cables: (0..input.cables.len()).map(cable).collect(),
        texts: sheet
            .labels
            .iter()
            .map(|l| (l.text.clone(), l.bounds()))
            .collect(),
    }
}
