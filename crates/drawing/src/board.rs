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

/// How much larger than the board the residuals are drawn.
pub const RESIDUAL_SCALE: f64 = 10.0;

/// Draws the board over the posts.
///
/// At each hole an arrow, ten times enlarged, shows how far the hole's middle lies from the post's; the circle around
/// it is the play of the screw in the hole, enlarged alike: a tip inside the circle is a screw that passes.
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
    };
    let bottom = view.point(low).y + air;
    keep_outs(&mut sheet, input, &view);
    outline(&mut sheet, input, &view);
    openings(&mut sheet, input, &view);
    holes(&mut sheet, input, &view);
    let end = legend(&mut sheet, input, &view, bottom, (edge, width - edge));
    (sheet, (width, end))
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
    let middle = view.point(placed(input, Spot::mm(input.width.0 / 2.0, input.height.0 / 2.0)));
    let size = format!("{} × {} mm", number(input.width.0), number(input.height.0));
    place(
        sheet,
        vec![
            Label::new(&input.name, middle.x, middle.y - 4.0, 14.0)
                .bold()
                .anchored(Anchor::Middle),
        ],
    );
    place(
        sheet,
        vec![
            Label::new(size, middle.x, middle.y + 14.0, 12.0)
                .coloured("quiet")
                .anchored(Anchor::Middle),
        ],
    );
    if input.turn_degrees.abs() >= 0.005 {
        let side = if input.turn_degrees > 0.0 {
            "counter-clockwise"
        } else {
            "clockwise"
        };
        let turned = format!("turned {}° {side}", number(input.turn_degrees.abs()));
        let label = Label::new(turned, middle.x, middle.y + 30.0, 12.0)
            .coloured("quiet")
            .anchored(Anchor::Middle);
        place(sheet, vec![label]);
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
            k.name.clone()
        };
        let m = area.middle();
        let label = |y| {
            Label::new(text.clone(), m.x, y, 11.0)
                .coloured(colour)
                .anchored(Anchor::Middle)
        };
        place(
            sheet,
            vec![label(area.top - 4.0), label(area.bottom + 12.0), label(m.y + 4.0)],
        );
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
        let label = |x, y, anchor| {
            Label::new(format!("{}: {}", o.name, o.verdict.word()), x, y, 11.0)
                .bold()
                .coloured(o.verdict.word())
                .anchored(anchor)
        };
        let below = a.y.max(b.y) + 16.0;
        let above = a.y.min(b.y) - 8.0;
        place(
            sheet,
            vec![
                label(m.x, above, Anchor::Middle),
                label(m.x, below, Anchor::Middle),
                label(m.x + 8.0, m.y, Anchor::Start),
                label(m.x - 8.0, m.y, Anchor::End),
            ],
        );
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
            residual(sheet, view, hole, post, at);
        }
        hole_name(sheet, input, view, hole, at);
    }
    for (i, post) in input.posts.iter().enumerate() {
        if input.holes.iter().all(|h| h.post != Some(i)) {
            let at = view.point(post.at);
            let r = view.px(post.diameter) / 2.0 + 4.0;
            place(sheet, beside(&format!("{}: no hole", post.name), at, r, "quiet"));
        }
    }
}

/// The enlarged arrow from post to hole, and the enlarged play.
fn residual(sheet: &mut Sheet, view: &View, hole: &BoardHole, post: &Post, at: Spot) {
    let colour = if hole.passes { "pass" } else { "blocker" };
    let from = view.point(post.at);
    let play = (hole.diameter.0 - post.screw.0).max(0.0) / 2.0;
    sheet.circle(
        from,
        play * RESIDUAL_SCALE * view.scale,
        &format!("n s-{colour} d"),
        1.2,
    );
    let (dx, dy) = (at.x.0 - post.at.x.0, at.y.0 - post.at.y.0);
    let k = RESIDUAL_SCALE * view.scale;
    let tip = Point::new(from.x + dx * k, from.y - dy * k);
    let length = (dx * dx + dy * dy).sqrt() * k;
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
    let (text, colour) = match post {
        None => (format!("{}: no post", hole.name), "quiet"),
        Some(post) => {
            let (dx, dy) = (at.x.0 - post.at.x.0, at.y.0 - post.at.y.0);
            let off = number((dx * dx + dy * dy).sqrt());
            let word = if hole.passes { "passes" } else { "does not pass" };
            (
                format!("{}: {off} mm, {word}", hole.name),
                if hole.passes { "pass" } else { "blocker" },
            )
        }
    };
    let reach = (view.px(hole.diameter) / 2.0).max(post.map_or(0.0, |p| view.px(p.diameter) / 2.0)) + 5.0;
    place(sheet, beside(&text, view.point(at), reach, colour));
}

/// Places around a point for one or two lines of text.
fn beside(text: &str, at: Point, reach: f64, colour: &'static str) -> Vec<Label> {
    let label = |x, y, anchor| Label::new(text, x, y, 11.0).coloured(colour).anchored(anchor);
    let mut places = Vec::new();
    for far in [0.0, 14.0, 28.0] {
        places.push(label(at.x, at.y - reach - far - 2.0, Anchor::Middle));
        places.push(label(at.x, at.y + reach + far + 10.0, Anchor::Middle));
        places.push(label(at.x - reach, at.y - reach - far, Anchor::Start));
        places.push(label(at.x + reach, at.y + reach + far + 10.0, Anchor::End));
        places.push(label(at.x - reach, at.y + reach + far + 10.0, Anchor::Start));
        places.push(label(at.x + reach, at.y - reach - far, Anchor::End));
    }
    places
}

/// Puts the first of the labels that overlaps no other, or the first lower one that does not.
fn place(sheet: &mut Sheet, places: Vec<Label>) {
    let free = |l: &Label, sheet: &Sheet| !sheet.labels.iter().any(|o| o.bounds().overlaps(&l.bounds()));
    let fallback = places.first().cloned();
    if let Some(label) = places.into_iter().find(|l| free(l, sheet)) {
        sheet.label(label);
    } else if let Some(mut label) = fallback {
        while !free(&label, sheet) {
            label.at.y += 4.0;
        }
        sheet.label(label);
    }
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
         are drawn {RESIDUAL_SCALE} times enlarged: how far the hole lies from its post, and the play of the screw; \
         a tip inside its circle passes."
    );
    let mut y = y + 22.0;
    for line in metrics::wrap(&text, 11.0, false, right - left) {
        sheet.label(Label::new(line, left, y, 11.0).coloured("quiet"));
        y += 14.0;
    }
    y
}
