//! One board over the posts of a case: which screws fit, what is in the way, what lines up with which opening.

use crate::geometry::{Area, Mm, Point, Spot};
use crate::metrics;
use crate::sheet::{Anchor, Head, Label, Layout, Sheet, Verdict, closed, heading, number};

/// A board laid into a case. Everything is in the coordinates of the case, x right and y up, except the board's holes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BoardInCase {
    /// Prefix, title, description.
    pub head: Head,
    /// Name of the board.
    pub name: String,
    /// Width of the board.
    pub width: Mm,
    /// Height of the board in the plane.
    pub height: Mm,
    /// Where the board's lower left corner lands in the case.
    pub shift: Spot,
    /// By how much the board is turned about that corner, counter-clockwise, in degrees.
    pub turn_degrees: f64,
    /// Holes of the board, in the board's own coordinates.
    pub holes: Vec<BoardHole>,
    /// Posts of the case.
    pub posts: Vec<Post>,
    /// Places that the board must leave free.
    pub keep_outs: Vec<KeepOut>,
    /// Openings in the walls.
    pub openings: Vec<Opening>,
}

/// A hole, and the post that it is meant for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BoardHole {
    /// Name, such as `H1`.
    pub name: String,
    /// Middle, in the board's coordinates.
    pub at: Spot,
    /// Diameter.
    pub diameter: Mm,
    /// Index of its post, if one is meant for it.
    pub post: Option<usize>,
    /// Whether the screw passes, as the check found.
    pub passes: bool,
}

/// A post with its screw.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Post {
    /// Name, such as `P1`.
    pub name: String,
    /// Middle.
    pub at: Spot,
    /// Outer diameter of the post.
    pub diameter: Mm,
    /// Diameter of the screw.
    pub screw: Mm,
}

/// A place that must stay free.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct KeepOut {
    /// What is there.
    pub name: String,
    /// Lower left corner.
    pub at: Spot,
    /// Width.
    pub width: Mm,
    /// Height in the plane.
    pub height: Mm,
    /// Whether the board runs into it, as the check found.
    pub hit: bool,
}

/// An opening in a wall, and the socket of the board that should lie behind it.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// What it is for, such as `USB`.
    pub name: String,
    /// One end of the opening along the wall.
    pub from: Spot,
    /// The other end.
    pub to: Spot,
    /// Middle of the socket, in case coordinates, if the board has it.
    pub socket: Option<Spot>,
    /// What the check found.
    pub verdict: Verdict,
}

/// Draws the board over the posts.
///
/// At each hole an arrow, enlarged ten times or more as the legend says, shows how far the hole's middle lies from the
/// post's; the circle around it is the play of the screw in the hole, enlarged alike: a tip inside the circle is a
/// screw that passes.
pub fn board(input: &BoardInCase, layout: Layout) -> String {
    let (sheet, size) = draw(input, layout);
    sheet.finish(&input.head, size, None)
}

struct View {
    scale: f64,
    left: f64,
    top: f64,
    min_x: f64,
    max_y: f64,
    /// How much larger than the board residuals and play are drawn.
    enlarged: f64,
    /// Width of the sheet.
    width: f64,
    /// Middle of the board, across the sheet.
    middle: f64,
}

impl View {
    fn point(&self, spot: Spot) -> Point {
        let (x, y) = (spot.x.0, spot.y.0);
        Point::new(
            self.left + (x - self.min_x) * self.scale,
            self.top + (self.max_y - y) * self.scale,
        )
    }

    const fn px(&self, length: Mm) -> f64 {
        length.0 * self.scale
    }
}

fn draw(input: &BoardInCase, layout: Layout) -> (Sheet, (f64, f64)) {
    let (width, edge) = match layout {
        Layout::Wide => (900.0, 24.0),
        Layout::Narrow => (390.0, 14.0),
    };
    let mut sheet = Sheet::default();
    let top = heading(&mut sheet, &input.head, edge, width - 2.0 * edge);
    let (low, high) = extent(input);
    // Room around the outermost things for names and enlarged residuals.
    let air = 46.0;
    let scale = ((width - 2.0 * (edge + air)) / (high.x.0 - low.x.0).max(1.0)).min(9.0);
    let wide = (high.x.0 - low.x.0) * scale;
    let view = View {
        scale,
        left: (width - wide) / 2.0,
        top: top + air - 14.0,
        min_x: low.x.0,
        max_y: high.y.0,
        enlarged: enlargement(input, scale),
        width,
        middle: 0.0,
    };
    let middle = view.point(placed(input, Spot::mm(input.width.0 / 2.0, input.height.0 / 2.0)));
    let view = View {
        middle: middle.x,
        ..view
    };
    let bottom = view.point(low).y + air;
    outline(&mut sheet, input, &view);
    keep_outs(&mut sheet, input, &view);
    openings(&mut sheet, input, &view);
    holes(&mut sheet, input, &view);
    name_of_board(&mut sheet, input, &view, middle);
    let end = legend(&mut sheet, input, &view, bottom, (edge, width - edge));
    (sheet, (width, end))
}

/// The largest of ten, twenty, fifty and a hundred times at which no residual outgrows its surroundings.
fn enlargement(input: &BoardInCase, scale: f64) -> f64 {
    let largest = input.holes.iter().filter_map(|h| {
        let post = input.posts.get(h.post?)?;
        Some(residual_of(input, h, post).1.max(play(h, post)))
    });
    let largest = largest.fold(0.0, f64::max) * scale;
    [100.0, 50.0, 20.0]
        .into_iter()
        .find(|k| largest * k <= 48.0)
        .unwrap_or(10.0)
}

/// Where a hole lies from its post, and how far.
fn residual_of(input: &BoardInCase, hole: &BoardHole, post: &Post) -> (Spot, f64) {
    let at = placed(input, hole.at);
    let (dx, dy) = (at.x.0 - post.at.x.0, at.y.0 - post.at.y.0);
    (Spot::mm(dx, dy), (dx * dx + dy * dy).sqrt())
}

/// Radial play of the screw in the hole.
fn play(hole: &BoardHole, post: &Post) -> f64 {
    (hole.diameter.0 - post.screw.0).max(0.0) / 2.0
}

/// Case coordinates of a place on the board.
fn placed(input: &BoardInCase, at: Spot) -> Spot {
    let (sin, cos) = input.turn_degrees.to_radians().sin_cos();
    let (x, y) = (at.x.0, at.y.0);
    Spot::mm(
        input.shift.x.0 + cos * x - sin * y,
        input.shift.y.0 + sin * x + cos * y,
    )
}

fn corners(input: &BoardInCase) -> [Spot; 4] {
    let (w, h) = (input.width.0, input.height.0);
    [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)].map(|(x, y)| placed(input, Spot::mm(x, y)))
}

/// Lower left and upper right of everything.
fn extent(input: &BoardInCase) -> (Spot, Spot) {
    let mut spots: Vec<Spot> = corners(input).to_vec();
    for post in &input.posts {
        let r = post.diameter.0.max(post.screw.0) / 2.0;
        spots.push(Spot::mm(post.at.x.0 - r, post.at.y.0 - r));
        spots.push(Spot::mm(post.at.x.0 + r, post.at.y.0 + r));
    }
    for k in &input.keep_outs {
        spots.push(k.at);
        spots.push(Spot::mm(k.at.x.0 + k.width.0, k.at.y.0 + k.height.0));
    }
    for o in &input.openings {
        spots.extend([o.from, o.to]);
    }
    let fold = |f: fn(f64, f64) -> f64, start: f64, of: fn(&Spot) -> f64| spots.iter().map(of).fold(start, f);
    let low = Spot::mm(
        fold(f64::min, f64::INFINITY, |s| s.x.0),
        fold(f64::min, f64::INFINITY, |s| s.y.0),
    );
    let high = Spot::mm(
        fold(f64::max, f64::NEG_INFINITY, |s| s.x.0),
        fold(f64::max, f64::NEG_INFINITY, |s| s.y.0),
    );
    (low, high)
}

fn outline(sheet: &mut Sheet, input: &BoardInCase, view: &View) {
    let shape = corners(input).map(|c| view.point(c));
    sheet.path(&closed(&shape), "f-plate s-ink r", 1.5);
}

fn name_of_board(sheet: &mut Sheet, input: &BoardInCase, view: &View, middle: Point) {
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

fn keep_outs(sheet: &mut Sheet, input: &BoardInCase, view: &View) {
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
fn hatch(sheet: &mut Sheet, area: &Area, class: &str) {
    sheet.rect(area, 0.0, class, 1.2);
    let mut offset = 8.0;
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
        offset += 8.0;
    }
}

fn openings(sheet: &mut Sheet, input: &BoardInCase, view: &View) {
    for o in &input.openings {
        let (a, b) = (view.point(o.from), view.point(o.to));
        let class = format!("s-{} r", o.verdict.word());
        sheet.line(a, b, &class, 5.0);
        let m = Point::new((a.x + b.x) / 2.0, (a.y + b.y) / 2.0);
        if let Some(socket) = o.socket {
            let s = view.point(socket);
            sheet.line(m, s, &format!("{class} o"), 1.2);
            sheet.circle(s, 3.5, &format!("f-paper s-{}", o.verdict.word()), 1.5);
        }
        let text = format!("{}: {}", o.name, o.verdict.word());
        let label = |x, y, anchor| {
            Label::new(&text, x, y, 11.0)
                .bold()
                .coloured(o.verdict.word())
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

fn holes(sheet: &mut Sheet, input: &BoardInCase, view: &View) {
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
                beside(&format!("{}: no hole", post.name), at, r, "quiet", view),
            );
        }
    }
}

/// The enlarged arrow from post to hole, and the enlarged play.
fn residual(sheet: &mut Sheet, input: &BoardInCase, view: &View, hole: &BoardHole, post: &Post) {
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

fn hole_name(sheet: &mut Sheet, input: &BoardInCase, view: &View, hole: &BoardHole, at: Spot) {
    let post = hole.post.and_then(|i| input.posts.get(i));
    let verdict = post.map(|_| {
        if hole.passes {
            Verdict::Pass
        } else {
            Verdict::Blocker
        }
    });
    let text = match post {
        None => format!("{}: no post", hole.name),
        Some(post) => {
            let off = number(residual_of(input, hole, post).1);
            let word = if hole.passes { "passes" } else { "does not pass" };
            format!("{}: {off} mm off, {word}", hole.name)
        }
    };
    let drawn = post.map_or(0.0, |p| view.px(p.diameter) / 2.0);
    let reach = (view.px(hole.diameter) / 2.0).max(drawn) + 6.0;
    place(
        sheet,
        view,
        verdict,
        beside(
            &text,
            view.point(at),
            reach,
            verdict.map_or("quiet", Verdict::word),
            view,
        ),
    );
}

/// Places around a point for a line of text: towards the middle of the board first, where there is room.
fn beside(text: &str, at: Point, reach: f64, colour: &'static str, view: &View) -> Vec<Label> {
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
const MARK: f64 = 19.0;

/// Puts the first of the labels that overlaps no other and stays on the sheet, with the mark before it; if there is
/// none, the first one moved down until it is free.
fn place(sheet: &mut Sheet, view: &View, verdict: Option<Verdict>, places: Vec<Label>) {
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
        let others = sheet.labels.iter().map(|o| o.bounds().grown(1.0));
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
        (2.0 - needed(&label).left).max(0.0).min(width) - (needed(&label).right - view.width - 2.0).max(0.0);
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

fn legend(sheet: &mut Sheet, input: &BoardInCase, view: &View, top: f64, (left, right): (f64, f64)) -> f64 {
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
    let mut y = y + 22.0;
    for line in metrics::wrap(&text, 11.0, false, right - left) {
        sheet.label(Label::new(line, left, y, 11.0).coloured("quiet"));
        y += 14.0;
    }
    y
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::assert_legible;

    /// Worked example of a rigid registration in the plane, angle and shift in the complex form (Kabsch, Acta Cryst.
    /// A32 (1976) 922; Umeyama, IEEE PAMI 13 (1991) 376; numbers recomputed with an independent library).
    fn worked() -> BoardInCase {
        let posts = [
            (12.5, -3.7),
            (109.3668, -1.3608),
            (107.3582, 69.8648),
            (10.5914, 67.3757),
        ];
        let holes = [(0.0, 0.0), (97.0, 0.0), (97.0, 71.0), (0.0, 71.0)];
        BoardInCase {
            head: Head {
                prefix: "b".into(),
                title: "Board in case".into(),
                description: "Invented.".into(),
            },
            name: "Invented".into(),
            width: Mm(97.0),
            height: Mm(71.0),
            shift: Spot::mm(12.387_369, -3.696_143),
            turn_degrees: 1.480_304_4,
            holes: (0..4)
                .map(|i| BoardHole {
                    name: format!("H{}", i + 1),
                    at: Spot::mm(holes[i].0, holes[i].1),
                    diameter: Mm(3.4),
                    post: Some(i),
                    passes: true,
                })
                .collect(),
            posts: posts
                .iter()
                .map(|(x, y)| Post {
                    name: "P".into(),
                    at: Spot::mm(*x, *y),
                    diameter: Mm(6.0),
                    screw: Mm(3.0),
                })
                .collect(),
            ..BoardInCase::default()
        }
    }

    #[test]
    fn residuals_are_those_of_the_worked_example() {
        let input = worked();
        let published = [0.112_697, 0.170_896, 0.180_719, 0.102_891];
        for (hole, residual) in input.holes.iter().zip(published) {
            let found = residual_of(&input, hole, &input.posts[hole.post.unwrap()]).1;
            assert!((found - residual).abs() < 2e-6, "{}: {found}", hole.name);
        }
    }

    /// ISO 273, medium: a 3.4 mm hole leaves an M3 screw 0.20 mm on each side.
    #[test]
    fn play_is_half_the_difference() {
        let input = worked();
        assert!((play(&input.holes[0], &input.posts[0]) - 0.2).abs() < 1e-12);
    }

    #[test]
    fn texts_stay_apart_even_where_all_is_close() {
        let mut input = worked();
        input.holes[1].passes = false;
        input.holes.push(BoardHole {
            name: "H5".into(),
            at: Spot::mm(4.0, 3.0),
            diameter: Mm(3.4),
            ..BoardHole::default()
        });
        input.posts.push(Post {
            name: "P5".into(),
            at: Spot::mm(18.0, 2.0),
            diameter: Mm(6.0),
            screw: Mm(3.0),
        });
        for i in 0..4 {
            let at = Spot::mm(40.0 + 3.0 * f64::from(i), 60.0);
            let keep_out = KeepOut {
                name: format!("thing {i}"),
                at,
                width: Mm(9.0),
                height: Mm(9.0),
                hit: i % 2 == 0,
            };
            input.keep_outs.push(keep_out);
            let from = Spot::mm(112.0, 10.0 + 9.0 * f64::from(i));
            let to = Spot::mm(112.0, 18.0 + 9.0 * f64::from(i));
            let verdict = [Verdict::Pass, Verdict::Blocker, Verdict::Note, Verdict::Caution][i as usize];
            input.openings.push(Opening {
                name: format!("slot {i}"),
                from,
                to,
                socket: None,
                verdict,
            });
        }
        for layout in [Layout::Wide, Layout::Narrow] {
            let (sheet, size) = draw(&input, layout);
            assert_legible(&sheet.labels, size);
        }
    }
}
