//! Where the ports lie on the sheet: bodies, pins, the side on which a lead leaves, and the names beside them.

use super::sizes::Sizes;
use super::{Port, Wiring};
use crate::geometry::{Area, Point, Spot};
use crate::plot::Along;
use crate::sheet::{Anchor, Label};

/// A side of a box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Right,
    Up,
    Down,
}

impl Side {
    pub const ALL: [Self; 4] = [Self::Left, Self::Right, Self::Up, Self::Down];

    pub const fn opposite(self) -> Self {
        match self {
            Self::Left => Self::Right,
            Self::Right => Self::Left,
            Self::Up => Self::Down,
            Self::Down => Self::Up,
        }
    }

    /// The step outwards.
    pub const fn step(self) -> (f64, f64) {
        match self {
            Self::Left => (-1.0, 0.0),
            Self::Right => (1.0, 0.0),
            Self::Up => (0.0, -1.0),
            Self::Down => (0.0, 1.0),
        }
    }

    pub const fn is_level(self) -> bool {
        matches!(self, Self::Left | Self::Right)
    }
}

/// A port as it is drawn, in pixels from the board's upper left corner.
#[derive(Clone, Debug)]
pub(super) struct Socket {
    pub body: Area,
    pub pins: Vec<Point>,
    /// Where leads leave.
    pub mouth: Side,
    /// Index of the leads that end here.
    pub cables: Vec<usize>,
}

impl Socket {
    /// The middle of the mouth.
    pub const fn lip(&self) -> Point {
        let m = self.body.middle();
        match self.mouth {
            Side::Left => Point::new(self.body.left, m.y),
            Side::Right => Point::new(self.body.right, m.y),
            Side::Up => Point::new(m.x, self.body.top),
            Side::Down => Point::new(m.x, self.body.bottom),
        }
    }
}

/// How the board lies on the sheet.
#[derive(Clone, Copy, Debug)]
pub(super) struct View {
    pub scale: f64,
    /// Turned a quarter turn clockwise: its left edge is on top.
    pub turned: bool,
    /// Width and height of the board as described, in millimetres.
    pub board: (f64, f64),
}

impl View {
    /// The board on the sheet, its upper left corner at the origin.
    pub fn area(&self) -> Area {
        let (w, h) = (self.board.0 * self.scale, self.board.1 * self.scale);
        if self.turned {
            Area::new(0.0, 0.0, h, w)
        } else {
            Area::new(0.0, 0.0, w, h)
        }
    }

    /// A place on the board, which counts y upwards.
    pub fn point(&self, at: Spot) -> Point {
        self.turn(Point::new(
            at.x.0 * self.scale,
            (self.board.1 - at.y.0) * self.scale,
        ))
    }

    fn turn(&self, p: Point) -> Point {
        if self.turned {
            Point::new(self.board.1 * self.scale - p.y, p.x)
        } else {
            p
        }
    }

    fn turn_area(&self, a: &Area) -> Area {
        let (p, q) = (
            self.turn(Point::new(a.left, a.top)),
            self.turn(Point::new(a.right, a.bottom)),
        );
        Area {
            left: p.x.min(q.x),
            right: p.x.max(q.x),
            top: p.y.min(q.y),
            bottom: p.y.max(q.y),
        }
    }
}

/// All ports as the view shows them; leads leave the `flipped` ones on the side that seems worse.
pub(super) fn sockets(input: &Wiring, view: &View, flipped: &[bool]) -> Vec<Socket> {
    let mut bodies: Vec<(Area, Along)> = input
        .board
        .ports
        .iter()
        .map(|p| body(p, view.board, view.scale))
        .collect();
    part(&mut bodies);
    clear_holes(&mut bodies, input, view.scale);
    let areas: Vec<Area> = bodies.iter().map(|b| view.turn_area(&b.0)).collect();
    let place = |(i, port): (usize, &Port)| {
        let (body, along) = bodies[i];
        let cables = (0..input.cables.len())
            .filter(|l| input.cables[*l].port == i)
            .collect();
        let pins = pins(port, &body, along, view.scale)
            .into_iter()
            .map(|p| view.turn(p))
            .collect();
        let along = match along {
            Along::X if view.turned => Along::Y,
            Along::Y if view.turned => Along::X,
            kept => kept,
        };
        let likely = mouth(i, along, &areas, &view.area());
        Socket {
            body: areas[i],
            pins,
            mouth: if flipped[i] { likely.opposite() } else { likely },
            cables,
        }
    };
    input.board.ports.iter().enumerate().map(place).collect()
}

fn pitch(port: &Port) -> f64 {
    if port.pitch.0 > 0.0 { port.pitch.0 } else { 2.5 }
}

fn rows(port: &Port) -> usize {
    port.rows.clamp(1, port.pins.len().max(1))
}

/// The housing: about one pitch of wall around the outer pins, an estimate (common practice, no source).
fn body(port: &Port, board: (f64, f64), scale: f64) -> (Area, Along) {
    let (x, y) = (port.at.x.0, board.1 - port.at.y.0);
    let along = port.along.unwrap_or_else(|| {
        let to_side = x.min(board.0 - x);
        if to_side < y.min(board.1 - y) {
            Along::Y
        } else {
            Along::X
        }
    });
    let rows = rows(port);
    let columns = port.pins.len().max(1).div_ceil(rows);
    // Large pitches belong to terminals, whose walls do not grow along with the pitch.
    let p = pitch(port);
    let long = ((columns as f64 - 1.0) * p + (1.8 * p).min(p + 2.5)) * scale;
    let short = ((rows as f64 - 1.0) * p + (2.1 * p).min(12.0)) * scale;
    let middle = Point::new(x * scale, y * scale);
    let size = if along == Along::X {
        (long, short)
    } else {
        (short, long)
    };
    (Area::around(middle, size.0, size.1), along)
}

/// Housings are only estimated: where two would touch, both give way.
fn part(bodies: &mut [(Area, Along)]) {
    const GAP: f64 = 2.0;
    for i in 0..bodies.len() {
        for j in i + 1..bodies.len() {
            let (a, b) = (bodies[i].0, bodies[j].0);
            if !a.grown(GAP).overlaps(&b) {
                continue;
            }
            let across_x = a.right.min(b.right) - a.left.max(b.left) + GAP;
            let across_y = a.bottom.min(b.bottom) - a.top.max(b.top) + GAP;
            let (i_low, j_low) = if across_x < across_y {
                (a.middle().x <= b.middle().x, across_x)
            } else {
                (a.middle().y <= b.middle().y, across_y)
            };
            let (low, high) = if i_low { (i, j) } else { (j, i) };
            let by = j_low / 2.0;
            if across_x < across_y {
                bodies[low].0.right -= by;
                bodies[high].0.left += by;
            } else {
                bodies[low].0.bottom -= by;
                bodies[high].0.top += by;
            }
        }
    }
    for (body, _) in bodies.iter_mut() {
        // Two ports at the same place: nothing sensible is left, but a box must stay a box.
        body.right = body.right.max(body.left + 4.0);
        body.bottom = body.bottom.max(body.top + 4.0);
    }
}

/// An estimated housing must not cover a mounting hole: the side next to the hole gives way, up to the middle.
fn clear_holes(bodies: &mut [(Area, Along)], input: &Wiring, scale: f64) {
    for hole in &input.board.holes {
        let at = Point::new(hole.at.x.0 * scale, (input.board.height.0 - hole.at.y.0) * scale);
        let free = Area::around(at, hole.diameter.0 * scale, hole.diameter.0 * scale).grown(2.0);
        for (body, _) in bodies.iter_mut().filter(|(b, _)| b.overlaps(&free)) {
            let m = body.middle();
            let across_x = body.right.min(free.right) - body.left.max(free.left);
            let across_y = body.bottom.min(free.bottom) - body.top.max(free.top);
            if across_x <= across_y && at.x < m.x {
                body.left = free.right.min(m.x - 3.0);
            } else if across_x <= across_y {
                body.right = free.left.max(m.x + 3.0);
            } else if at.y < m.y {
                body.top = free.bottom.min(m.y - 3.0);
            } else {
                body.bottom = free.top.max(m.y + 3.0);
            }
        }
    }
}

fn pins(port: &Port, body: &Area, along: Along, scale: f64) -> Vec<Point> {
    let rows = rows(port);
    let columns = port.pins.len().max(1).div_ceil(rows);
    let m = body.middle();
    let room = if along == Along::X {
        body.width()
    } else {
        body.height()
    };
    // A housing that gave way takes its pins along.
    let step = (pitch(port) * scale).min(room / (columns as f64 + 0.4));
    let place = |k: usize| {
        let (column, row) = (k / rows, k % rows);
        let a = (column as f64 - (columns as f64 - 1.0) / 2.0) * step;
        let b = (row as f64 - (rows as f64 - 1.0) / 2.0) * step;
        // Along y they run upwards.
        if along == Along::X {
            Point::new(m.x + a, m.y + b)
        } else {
            Point::new(m.x + b, m.y - a)
        }
    };
    (0..port.pins.len()).map(place).collect()
}

/// The long side with fewer ports in front of it, or else the one nearer to the edge of the board.
fn mouth(i: usize, along: Along, bodies: &[Area], board: &Area) -> Side {
    let sides = if along == Along::X {
        [Side::Up, Side::Down]
    } else {
        [Side::Left, Side::Right]
    };
    let rate = |side: Side| {
        let swath = swath(&bodies[i], side, board);
        let in_front = bodies
            .iter()
            .enumerate()
            .filter(|(j, b)| *j != i && b.overlaps(&swath))
            .count();
        let far = if side.is_level() {
            swath.width()
        } else {
            swath.height()
        };
        (in_front as f64).mul_add(1000.0, far)
    };
    if rate(sides[0]) <= rate(sides[1]) {
        sides[0]
    } else {
        sides[1]
    }
}

/// What lies between a side of a body and the edge of the board.
fn swath(body: &Area, side: Side, board: &Area) -> Area {
    match side {
        Side::Left => Area {
            left: board.left.min(body.left),
            right: body.left,
            ..*body
        },
        Side::Right => Area {
            left: body.right,
            right: board.right.max(body.right),
            ..*body
        },
        Side::Up => Area {
            top: board.top.min(body.top),
            bottom: body.top,
            ..*body
        },
        Side::Down => Area {
            top: body.bottom,
            bottom: board.bottom.max(body.bottom),
            ..*body
        },
    }
}

/// The names of all ports, each beside its own; `taken` is what they must stay clear of.
///
/// Greedy, and started anew with those first that found no place. Returns `None` for a port that found none at all.
pub(super) fn names(
    sockets: &[Socket],
    texts: &[Vec<(String, bool)>],
    taken: &[Area],
    board: &Area,
    sizes: &Sizes,
) -> Vec<Option<Vec<Label>>> {
    let mut order: Vec<usize> = (0..sockets.len()).collect();
    let mut best: Vec<Option<Vec<Label>>> = vec![None; sockets.len()];
    for _ in 0..8 {
        let (placed, failed) = one_pass(sockets, texts, taken, board, sizes, &order);
        let found = |p: &[Option<Vec<Label>>]| p.iter().filter(|l| l.is_some()).count();
        if found(&placed) > found(&best) {
            best = placed;
        }
        if failed.is_empty() {
            break;
        }
        order.retain(|i| !failed.contains(i));
        order.splice(0..0, failed);
    }
    best
}

/// A short line from a name that stands off to its port, where one runs clear of all other names.
pub(super) fn leader(
    i: usize,
    sockets: &[Socket],
    names: &[Option<Vec<Label>>],
    sizes: &Sizes,
) -> Option<(Point, Point)> {
    let own = around(names[i].as_ref()?);
    let body = sockets[i].body;
    let others = || {
        names
            .iter()
            .enumerate()
            .filter(|(j, _)| *j != i)
            .filter_map(|(_, n)| Some(around(n.as_ref()?)))
    };
    let clear = |a: Point, b: Point| {
        let bodies = sockets
            .iter()
            .enumerate()
            .filter(|(j, _)| *j != i)
            .map(|(_, s)| s.body);
        !others().chain(bodies).any(|o| o.grown(1.0).is_crossed_by(a, b))
    };
    let beside = |low: f64, high: f64, k: u32| low + (high - low) * f64::from(k) / 6.0;
    let order = [3, 2, 4, 1, 5];
    if own.bottom < body.top - sizes.name_gap - 1.0 || own.top > body.bottom + sizes.name_gap + 1.0 {
        let (low, high) = (own.left.max(body.left), own.right.min(body.right));
        let (from, to) = if own.bottom < body.top {
            (own.bottom, body.top)
        } else {
            (own.top, body.bottom)
        };
        let lines = order
            .map(|k| beside(low, high, k))
            .map(|x| (Point::new(x, from), Point::new(x, to)));
        return lines.into_iter().find(|(a, b)| low < high && clear(*a, *b));
    }
    if own.right < body.left - sizes.name_gap - 1.0 || own.left > body.right + sizes.name_gap + 1.0 {
        let (low, high) = (own.top.max(body.top), own.bottom.min(body.bottom));
        let (from, to) = if own.right < body.left {
            (own.right, body.left)
        } else {
            (own.left, body.right)
        };
        let lines = order
            .map(|k| beside(low, high, k))
            .map(|y| (Point::new(from, y), Point::new(to, y)));
        return lines.into_iter().find(|(a, b)| low < high && clear(*a, *b));
    }
    None
}

fn one_pass(
    sockets: &[Socket],
    texts: &[Vec<(String, bool)>],
    taken: &[Area],
    board: &Area,
    sizes: &Sizes,
    order: &[usize],
) -> (Vec<Option<Vec<Label>>>, Vec<usize>) {
    let mut placed: Vec<Option<Vec<Label>>> = vec![None; sockets.len()];
    let mut boxes: Vec<Area> = Vec::new();
    let mut failed = Vec::new();
    for &i in order {
        let socket = &sockets[i];
        let is_free = |a: &Area, own: bool| {
            board.contains(a)
                && !boxes.iter().any(|b| b.overlaps(&a.grown(2.0)))
                && !taken.iter().any(|t| t.overlaps(&a.grown(1.0)))
                && !sockets
                    .iter()
                    .enumerate()
                    .any(|(j, s)| (!own || i != j) && s.body.overlaps(&a.grown(2.0)))
        };
        let inside = places_inside(socket, &texts[i], sizes)
            .into_iter()
            .map(|l| (l, true));
        let beside = places_beside(socket, &texts[i], sizes)
            .into_iter()
            .map(|l| (l, false));
        let found = inside
            .chain(beside)
            .find(|(labels, own)| is_free(&around(labels), *own));
        match found {
            Some((labels, _)) => {
                boxes.push(around(&labels));
                placed[i] = Some(labels);
            }
            None => failed.push(i),
        }
    }
    (placed, failed)
}

/// The box around all labels.
fn around(labels: &[Label]) -> Area {
    let mut all = labels[0].bounds();
    for l in &labels[1..] {
        let b = l.bounds();
        all = Area {
            left: all.left.min(b.left),
            right: all.right.max(b.right),
            top: all.top.min(b.top),
            bottom: all.bottom.max(b.bottom),
        };
    }
    all
}

/// In the housing itself, where pins are too small to be drawn.
fn places_inside(socket: &Socket, parts: &[(String, bool)], sizes: &Sizes) -> Vec<Vec<Label>> {
    let mut all = Vec::new();
    if sizes.draws_pins {
        return all;
    }
    // A number has no descenders: its box may be as low as its digits.
    let label = single(&parts[..1], sizes);
    let m = socket.body.middle();
    if label.width() + 1.0 <= socket.body.width() && sizes.port_text * 0.8 <= socket.body.height() {
        all.push(vec![Label {
            at: Point::new(m.x, m.y + sizes.port_text * 0.36),
            anchor: Anchor::Middle,
            ..label
        }]);
    }
    all
}

fn single(parts: &[(String, bool)], sizes: &Sizes) -> Label {
    let label = Label::new(&parts[0].0, 0.0, 0.0, sizes.port_text).bold();
    if parts[0].1 {
        label
    } else {
        Label {
            bold: false,
            ..label.coloured("quiet")
        }
    }
}

/// Around the housing: away from the mouth first, then at the ends, then further off, at last upright.
fn places_beside(socket: &Socket, parts: &[(String, bool)], sizes: &Sizes) -> Vec<Vec<Label>> {
    let mut all = Vec::new();
    // With the tag if there is room, else the name alone.
    for count in (1..=parts.len()).rev() {
        let (w, h) = row_size(&parts[..count], sizes);
        for corner in corners(socket, w, h, sizes) {
            all.push(row(&parts[..count], corner, sizes));
        }
    }
    for corner in corners(
        socket,
        row_size(&parts[..1], sizes).1,
        row_size(&parts[..1], sizes).0,
        sizes,
    ) {
        let label = single(parts, sizes);
        let width = label.width();
        let at = Point::new(corner.x + sizes.port_text * 0.8, corner.y + width);
        all.push(vec![Label {
            at,
            upright: true,
            ..label
        }]);
    }
    all
}

fn row_size(parts: &[(String, bool)], sizes: &Sizes) -> (f64, f64) {
    let labels = row(parts, Point::default(), sizes);
    let a = around(&labels);
    (a.width(), a.height())
}

/// Name and tag side by side, the box's upper left corner given.
fn row(parts: &[(String, bool)], corner: Point, sizes: &Sizes) -> Vec<Label> {
    let mut x = corner.x;
    let y = corner.y + sizes.port_text * 0.8;
    let mut labels = Vec::new();
    for (i, part) in parts.iter().enumerate() {
        let mut label = single(std::slice::from_ref(part), sizes);
        if i > 0 {
            label = Label { bold: false, ..label };
        }
        label.at = Point::new(x, y);
        x = label.bounds().right + 4.0;
        labels.push(label);
    }
    labels
}

/// Upper left corners for a box of `w` × `h` around the housing, best first.
fn corners(socket: &Socket, w: f64, h: f64, sizes: &Sizes) -> Vec<Point> {
    let b = socket.body;
    let gap = sizes.name_gap;
    let m = b.middle();
    let mut all = Vec::new();
    for far in 0..3 {
        let off = f64::from(far) * (h.min(w) + 3.0) + gap;
        let aligned_x = [m.x - w / 2.0, b.left, b.right - w];
        let aligned_y = [m.y - h / 2.0, b.top, b.bottom - h];
        let side = |s: Side| -> Vec<Point> {
            match s {
                Side::Up => aligned_x
                    .iter()
                    .map(|x| Point::new(*x, b.top - off - h))
                    .collect(),
                Side::Down => aligned_x.iter().map(|x| Point::new(*x, b.bottom + off)).collect(),
                Side::Left => aligned_y
                    .iter()
                    .map(|y| Point::new(b.left - off - w, *y))
                    .collect(),
                Side::Right => aligned_y.iter().map(|y| Point::new(b.right + off, *y)).collect(),
            }
        };
        let back = socket.mouth.opposite();
        let ends = if back.is_level() {
            [Side::Up, Side::Down]
        } else {
            [Side::Left, Side::Right]
        };
        for s in [back, ends[0], ends[1], socket.mouth] {
            all.extend(side(s));
        }
    }
    all
}
