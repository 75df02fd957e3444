//! The words: beside the things where there is room, or in a list below.

use super::geometry::{View, placed, residual_of};
use super::{BoardHole, BoardInCase, Opening};
use crate::geometry::{Area, Point, Spot};
use crate::metrics;
use crate::sheet::{Anchor, Label, Sheet, Verdict, number};

pub(super) fn name_of_board(sheet: &mut Sheet, input: &BoardInCase, view: &View, middle: Point) {
    let mut lines = vec![format!(
        "{} × {} mm",
        number(input.width.0),
        number(input.height.0)
    )];
    if input.turn_degrees.abs() >= 0.005 {
        let side = if input.turn_degrees > 0.0 {
            "counter-clockwise"
        } else {
            "clockwise"
        };
        lines.push(format!("turned {}° {side}", number(input.turn_degrees.abs())));
    }
    let centred = |text: &str, y, size| Label::new(text, middle.x, y, size).anchored(Anchor::Middle);
    place(
        sheet,
        view,
        None,
        vec![centred(&input.name, middle.y - 4.0, 14.0).bold()],
    );
    for (i, line) in lines.iter().enumerate() {
        place(
            sheet,
            view,
            None,
            vec![centred(line, middle.y + 14.0 + 16.0 * i as f64, 12.0).coloured("quiet")],
        );
    }
}

pub(super) fn opening_words(opening: &Opening) -> String {
    format!("{}: {}", opening.name, opening.verdict.word())
}

/// What is to be said of a hole.
pub(super) fn hole_words(input: &BoardInCase, hole: &BoardHole) -> (Option<Verdict>, String) {
    let Some(post) = hole.post.and_then(|i| input.posts.get(i)) else {
        return (None, format!("{}: no post", hole.name));
    };
    let off = number(residual_of(input, hole, post).1);
    let (verdict, word) = if hole.passes {
        (Verdict::Pass, "passes")
    } else {
        (Verdict::Blocker, "does not pass")
    };
    (Some(verdict), format!("{}: {off} mm off, {word}", hole.name))
}

pub(super) fn hole_name(sheet: &mut Sheet, input: &BoardInCase, view: &View, hole: &BoardHole, at: Spot) {
    let (verdict, words) = hole_words(input, hole);
    let text = if view.in_place { words } else { hole.name.clone() };
    let drawn = hole
        .post
        .and_then(|i| input.posts.get(i))
        .map_or(0.0, |p| view.px(p.diameter) / 2.0);
    let reach = (view.px(hole.diameter) / 2.0).max(drawn) + 6.0;
    place(
        sheet,
        view,
        verdict,
        beside(
            &text,
            view.point(at),
            reach,
            verdict.map_or("quiet", Verdict::colour),
            view,
        ),
    );
}

/// Names the four edges of the board, with the words of its file.
pub(super) fn edges(sheet: &mut Sheet, input: &BoardInCase, view: &View) {
    let (w, h) = (input.width.0, input.height.0);
    let edges = [
        ("left edge", (0.0, h / 2.0), (-1.0, 0.0)),
        ("right edge", (w, h / 2.0), (1.0, 0.0)),
        ("bottom edge", (w / 2.0, 0.0), (0.0, -1.0)),
        ("top edge", (w / 2.0, h), (0.0, 1.0)),
    ];
    for (name, middle, out) in edges {
        let at = |along: f64, off: f64| {
            let (x, y) = (
                middle.0 + out.0 * off + out.1 * along,
                middle.1 + out.1 * off + out.0 * along,
            );
            view.point(placed(input, Spot::mm(x, y)))
        };
        let off = 9.0 / view.scale;
        let (edge, beyond) = (at(0.0, 0.0), at(0.0, off));
        let anchor = if beyond.x < edge.x - 4.0 {
            Anchor::End
        } else if beyond.x > edge.x + 4.0 {
            Anchor::Start
        } else {
            Anchor::Middle
        };
        let label = |along: f64| {
            let point = at(along / view.scale, off);
            let y = point.y + if beyond.y > edge.y + 4.0 { 8.0 } else { 3.0 };
            Label::new(name, point.x, y, 11.0)
                .coloured("quiet")
                .anchored(anchor)
                .seamed()
        };
        let places = [0.0, 24.0, -24.0, 60.0, -60.0, 110.0, -110.0];
        place(sheet, view, None, places.map(label).to_vec());
    }
}

/// A name beside a point, where one of the places there is free.
pub(super) fn name_near(sheet: &mut Sheet, view: &View, name: &str, at: Point) {
    let label = |x: f64, y: f64, anchor| {
        Label::new(name, at.x + x, at.y + y, 9.5)
            .anchored(anchor)
            .seamed()
    };
    let places = [
        label(0.0, 14.0, Anchor::Middle),
        label(0.0, -6.0, Anchor::Middle),
        label(6.0, 3.5, Anchor::Start),
        label(-6.0, 3.5, Anchor::End),
        label(4.0, 14.0, Anchor::Start),
        label(-4.0, 14.0, Anchor::End),
        label(4.0, -6.0, Anchor::Start),
        label(-4.0, -6.0, Anchor::End),
    ];
    let is_free = |label: &Label| {
        let bounds = label.bounds();
        let taken = sheet
            .labels
            .iter()
            .map(Label::bounds)
            .chain(sheet.marks.iter().copied());
        bounds.left >= 2.0
            && bounds.right <= view.width - 2.0
            && !taken.into_iter().any(|own| own.overlaps(&bounds))
    };
    if let Some(free) = places.into_iter().find(is_free) {
        sheet.label(free);
    }
}

/// All that stands below a picture without room for words.
pub(super) fn list(sheet: &mut Sheet, input: &BoardInCase, left: f64, top: f64, room: f64) -> f64 {
    let mut rows: Vec<(Option<Verdict>, String)> = input.holes.iter().map(|h| hole_words(input, h)).collect();
    rows.extend(input.openings.iter().map(|o| (Some(o.verdict), opening_words(o))));
    let mut y = top;
    for (verdict, words) in rows {
        if let Some(verdict) = verdict {
            sheet.verdict(verdict, Point::new(left + 8.0, y - 4.0));
        }
        for line in metrics::wrap(&words, 12.0, false, room - MARK) {
            sheet.label(Label::new(line, left + MARK + 3.0, y, 12.0));
            y += 19.0;
        }
    }
    y
}

/// Places around a point for a line of text: towards the middle of the board first, where there is room.
pub(super) fn beside(text: &str, at: Point, reach: f64, colour: &'static str, view: &View) -> Vec<Label> {
    let label = |x, y, anchor| {
        Label::new(text, x, y, 11.0)
            .coloured(colour)
            .anchored(anchor)
            .seamed()
    };
    let inwards = if at.x < view.middle {
        (1.0, Anchor::Start)
    } else {
        (-1.0, Anchor::End)
    };
    let mut places = Vec::new();
    for far in [0.0, 14.0, 28.0, 42.0] {
        places.push(label(at.x + inwards.0 * reach, at.y + 4.0 - far, inwards.1));
        places.push(label(at.x + inwards.0 * reach, at.y + 4.0 + far, inwards.1));
        places.push(label(at.x, at.y - reach - far - 2.0, Anchor::Middle));
        places.push(label(at.x, at.y + reach + far + 10.0, Anchor::Middle));
    }
    places
}

/// Room for the mark of a verdict before a text.
pub(super) const MARK: f64 = 19.0;

/// Puts the first of the labels that overlaps no other and stays on the sheet, with the mark before it; if there is
/// none, the first one moved down until it is free.
pub(super) fn place(sheet: &mut Sheet, view: &View, verdict: Option<Verdict>, places: Vec<Label>) {
    let mark = if verdict.is_some() { MARK } else { 0.0 };
    let with_room = |mut l: Label| {
        l.at.x += match l.anchor {
            Anchor::Start => mark,
            Anchor::Middle => mark / 2.0,
            Anchor::End => 0.0,
        };
        l
    };
    let needed = |l: &Label| Area {
        left: l.bounds().left - mark,
        ..l.bounds()
    };
    let is_free = |l: &Label, sheet: &Sheet| {
        let others = sheet
            .labels
            .iter()
            .map(Label::bounds)
            .chain(sheet.marks.iter().copied())
            .map(|o| o.grown(1.0));
        needed(l).left >= 2.0
            && needed(l).right <= view.width - 2.0
            && !others.into_iter().any(|o| o.overlaps(&needed(l)))
    };
    let places: Vec<Label> = places.into_iter().map(with_room).collect();
    let Some(mut label) = places
        .iter()
        .find(|l| is_free(l, sheet))
        .or_else(|| places.first())
        .cloned()
    else {
        return;
    };
    let width = needed(&label).width();
    let shift =
        (2.0 - needed(&label).left).max(0.0).min(width) - (needed(&label).right - view.width + 2.0).max(0.0);
    label.at.x += shift;
    while !is_free(&label, sheet) && label.at.y < 4000.0 {
        label.at.y += 3.0;
    }
    if let Some(verdict) = verdict {
        let bounds = label.bounds();
        sheet.verdict(
            verdict,
            Point::new(bounds.left - MARK / 2.0 - 0.5, bounds.middle().y - 0.5),
        );
    }
    sheet.label(label);
}

pub(super) fn legend(
    sheet: &mut Sheet,
    input: &BoardInCase,
    view: &View,
    top: f64,
    (left, right): (f64, f64),
) -> f64 {
    let step = if view.scale > 4.0 { 10.0 } else { 20.0 };
    let bar = step * view.scale;
    let y = sheet.labels.iter().map(|l| l.bounds().bottom).fold(top, f64::max) + 14.0;
    sheet.rect(&Area::new(left, y - 3.0, bar / 2.0, 6.0), 0.0, "f-ink s-ink", 1.0);
    sheet.rect(
        &Area::new(left + bar / 2.0, y - 3.0, bar / 2.0, 6.0),
        0.0,
        "f-paper s-ink",
        1.0,
    );
    sheet.label(Label::new(format!("{step} mm"), left + bar + 8.0, y + 4.0, 11.0));
    let meant = input.holes.iter().filter(|h| h.post.is_some()).count();
    let fit = input
        .holes
        .iter()
        .filter(|h| h.post.is_some() && h.passes)
        .count();
    let text = format!(
        "{fit} of {meant} screws pass. Solid circle: hole. Dashed: post. Filled: screw. Arrow and dashed coloured circle \
         are drawn {} times enlarged: how far the hole lies from its post, and the play of the screw; \
         a tip inside its circle passes.",
        number(view.enlarged)
    );
    let mut y = y + 24.0;
    if !view.in_place {
        y = list(sheet, input, left, y, right - left);
    }
    for line in metrics::wrap(&text, 11.0, false, right - left) {
        sheet.label(Label::new(line, left, y, 11.0).coloured("quiet"));
        y += 14.0;
    }
    y
}
