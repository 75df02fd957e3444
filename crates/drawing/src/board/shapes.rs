//! What is drawn of board, posts, keep-outs and openings.

use super::geometry::{View, corners, placed, play, residual_of};
use super::names::{beside, hole_name, name_near, opening_words, place};
use super::{BoardHole, BoardInCase, Post};
use crate::geometry::{Area, Point, Spot};
use crate::sheet::{Anchor, Label, Sheet, Verdict, closed};

pub(super) fn outline(sheet: &mut Sheet, input: &BoardInCase, view: &View) {
    let shape = corners(input).map(|c| view.point(c));
    sheet.path(&closed(&shape), "f-plate s-ink r", 1.5);
}

pub(super) fn keep_outs(sheet: &mut Sheet, input: &BoardInCase, view: &View) {
    for k in &input.keep_outs {
        let corner = view.point(Spot::mm(k.at.x.0, k.at.y.0 + k.height.0));
        let area = Area::new(corner.x, corner.y, view.px(k.width), view.px(k.height));
        let (class, colour) = if k.hit {
            ("n s-blocker", "blocker")
        } else {
            ("n s-rule d", "quiet")
        };
        hatch(sheet, &area, class);
        let text = if k.hit {
            format!("{}: in the way", k.name)
        } else {
            format!("{}: free", k.name)
        };
        let verdict = k.hit.then_some(Verdict::Blocker);
        let m = area.middle();
        let label = |y| {
            Label::new(&text, m.x, y, 11.0)
                .coloured(colour)
                .anchored(Anchor::Middle)
                .seamed()
        };
        let places = vec![label(area.top - 7.0), label(area.bottom + 15.0), label(m.y + 4.0)];
        place(sheet, view, verdict, places);
    }
}

/// A box with slanted lines.
pub(super) fn hatch(sheet: &mut Sheet, area: &Area, class: &str) {
    sheet.rect(area, 0.0, class, 1.2);
    // A box of absurd height gets wider gaps, not a million lines.
    let step = ((area.width() + area.height()) / 200.0).max(8.0);
    let mut offset = step;
    while offset < area.width() + area.height() {
        let from = Point::new(
            area.left + (offset - area.height()).max(0.0),
            area.top + offset.min(area.height()),
        );
        let to = Point::new(
            area.left + offset.min(area.width()),
            area.top + (offset - area.width()).max(0.0),
        );
        sheet.line(from, to, class, 0.6);
        offset += step;
    }
}

pub(super) fn openings(sheet: &mut Sheet, input: &BoardInCase, view: &View) {
    for o in &input.openings {
        let (a, b) = (view.point(o.from), view.point(o.to));
        let class = format!("s-{} r", o.verdict.colour());
        sheet.line(a, b, &class, 5.0);
        let m = Point::new((a.x + b.x) / 2.0, (a.y + b.y) / 2.0);
        if let Some(socket) = o.socket {
            let s = view.point(socket);
            sheet.line(m, s, &format!("{class} o"), 1.2);
            sheet.circle(s, 3.5, &format!("f-paper s-{}", o.verdict.colour()), 1.5);
        }
        let text = if view.in_place {
            opening_words(o)
        } else {
            o.name.clone()
        };
        let label = |x, y, anchor| {
            Label::new(&text, x, y, 11.0)
                .bold()
                .coloured(o.verdict.colour())
                .anchored(anchor)
                .seamed()
        };
        let (above, below) = (a.y.min(b.y) - 10.0, a.y.max(b.y) + 18.0);
        let places = vec![
            label(m.x, above, Anchor::Middle),
            label(m.x, below, Anchor::Middle),
            label(m.x + 8.0, m.y, Anchor::Start),
            label(m.x - 8.0, m.y, Anchor::End),
        ];
        place(sheet, view, Some(o.verdict), places);
    }
}

pub(super) fn holes(sheet: &mut Sheet, input: &BoardInCase, view: &View) {
    for post in &input.posts {
        let at = view.point(post.at);
        sheet.circle(at, view.px(post.diameter) / 2.0, "n s-rule d", 1.2);
        sheet.circle(at, view.px(post.screw) / 2.0, "f-band s-rule", 0.8);
    }
    for hole in &input.holes {
        let at = placed(input, hole.at);
        sheet.circle(view.point(at), view.px(hole.diameter) / 2.0, "n s-ink", 1.5);
        if let Some(post) = hole.post.and_then(|i| input.posts.get(i)) {
            residual(sheet, input, view, hole, post);
        }
        hole_name(sheet, input, view, hole, at);
    }
    for (i, post) in input.posts.iter().enumerate() {
        if input.holes.iter().all(|h| h.post != Some(i)) {
            let at = view.point(post.at);
            let r = view.px(post.diameter) / 2.0 + 4.0;
            place(
                sheet,
                view,
                None,
                beside(
                    &if view.in_place {
                        format!("{}: no hole", post.name)
                    } else {
                        post.name.clone()
                    },
                    at,
                    r,
                    "quiet",
                    view,
                ),
            );
        }
    }
}

/// The enlarged arrow from post to hole, and the enlarged play.
pub(super) fn residual(sheet: &mut Sheet, input: &BoardInCase, view: &View, hole: &BoardHole, post: &Post) {
    let colour = if hole.passes { "pass" } else { "blocker" };
    let from = view.point(post.at);
    let k = view.enlarged * view.scale;
    sheet.circle(from, play(hole, post) * k, &format!("n s-{colour} d"), 1.2);
    let (off, far) = residual_of(input, hole, post);
    let tip = Point::new(from.x + off.x.0 * k, from.y - off.y.0 * k);
    let length = far * k;
    if length < 1.0 {
        sheet.circle(from, 2.0, &format!("f-{colour}"), 0.0);
        return;
    }
    let (ux, uy) = ((tip.x - from.x) / length, (tip.y - from.y) / length);
    let barb = |side: f64| {
        Point::new(
            tip.x - 6.0 * ux + side * 3.0 * uy,
            tip.y - 6.0 * uy - side * 3.0 * ux,
        )
    };
    sheet.line(from, tip, &format!("s-{colour} r"), 1.8);
    sheet.path(
        &closed(&[tip, barb(1.0), barb(-1.0)]),
        &format!("f-{colour}"),
        0.0,
    );
}

/// Ports as small boxes.
pub(super) fn ports(sheet: &mut Sheet, input: &BoardInCase, view: &View) {
    const SIDE: f64 = 5.0;
    for port in &input.ports {
        let at = view.point(placed(input, port.at));
        let area = Area::new(at.x - SIDE / 2.0, at.y - SIDE / 2.0, SIDE, SIDE);
        sheet.rect(&area, 0.0, "f-paper s-ink", 1.0);
        if view.in_place {
            sheet.marks.push(area);
        }
    }
}

/// The name of each port where one has room beside it: a name far from its port would mislead.
pub(super) fn port_names(sheet: &mut Sheet, input: &BoardInCase, view: &View) {
    for port in input.ports.iter().filter(|_| view.in_place) {
        name_near(sheet, view, &port.name, view.point(placed(input, port.at)));
    }
}
