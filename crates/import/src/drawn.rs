//! A board from the shapes of one or more files: its edge, and the holes that it is mounted by.

use std::collections::HashMap;

use quantity::Number;
use quantity::si::{Area, Length};

use crate::Problem;
use crate::shapes::{Circle, Form, Piece, Point, Shapes};

/// Ends of lines that lie so near, in millimetres, are joined.
const JOINED: f64 = 0.02;
/// Holes of such diameters, in millimetres, take screws of 2 to 6 mm; from memory, common practice.
const SCREWS: core::ops::RangeInclusive<f64> = 2.1..=7.0;
/// Places that lie so near, in millimetres, are the same.
const SAME: f64 = 0.05;
/// Pairs of hole and pad that are tried, at the most.
const PAIRS: usize = 4_000_000;

/// A hole of a board, from its lower left corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// Its centre, to the right.
    pub x: Length,
    /// Its centre, upwards.
    pub y: Length,
    /// Its diameter.
    pub diameter: Length,
}

/// How sure something is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Remark {
    /// A file states it.
    Stated(String),
    /// It was concluded, for this reason: to be confirmed.
    Inferred(String),
    /// No file shows it.
    Missing(String),
}

/// A board as drawings show it.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// Width and depth of its edge.
    pub size: (Length, Length),
    /// Its area inside the edge.
    pub area: Area,
    /// The length of its edge.
    pub edge: Length,
    /// Holes of the size of a screw, from its lower left corner.
    pub holes: Vec<Hole>,
    /// Other drilled holes: how many.
    pub others: usize,
    /// How sure each of these is: the edge, the holes, then what no drawing shows.
    pub remarks: Vec<Remark>,
}

impl Drawn {
    /// A board of the shapes of its files; of several the first with a closed line has its edge.
    ///
    /// # Errors
    /// [`Problem`] where no line is closed, or holes lie off the board and no pads tell by how far files are shifted.
    pub fn of(files: &[Shapes]) -> Result<Self, Problem> {
        let edge = files
            .iter()
            .find_map(|shapes| Some((shapes, largest(&shapes.pieces)?)));
        let Some((of, edge)) = edge else {
            return Err(Problem::new(
                None,
                "no line of the drawing is closed, so there is no edge",
                "take the drawing or layer of the outline",
            ));
        };
        let (low, high) = edge.bounds();
        let mut remarks = vec![Remark::Stated(format!(
            "the edge: the largest closed line of the {}",
            word(of.form)
        ))];
        let mut found: Vec<Circle> = Vec::new();
        // Circles of a drawing are holes where they lie within the edge.
        let circles = files.iter().flat_map(|shapes| &shapes.circles).copied();
        let inside = circles.filter(|circle| within(circle.at, low, high));
        found.extend(inside);
        if !found.is_empty() {
            remarks.push(Remark::Inferred("holes: circles inside the edge".to_owned()));
        }
        for shapes in files.iter().filter(|shapes| !shapes.holes.is_empty()) {
            let (shift, remark) = shift(&shapes.holes, files, (low, high))?;
            remarks.push(remark);
            found.extend(shapes.holes.iter().map(|hole| Circle {
                at: (hole.at.0 + shift.0, hole.at.1 + shift.1),
                ..*hole
            }));
        }
        let mut holes: Vec<Circle> = Vec::new();
        let mut others = 0;
        for circle in found {
            let twice = holes.iter().any(|hole| near(hole.at, circle.at));
            if !SCREWS.contains(&circle.diameter) {
                others += 1;
            } else if !twice {
                holes.push(circle);
            }
        }
        holes.sort_by(|one, other| {
            (one.at.1, one.at.0)
                .partial_cmp(&(other.at.1, other.at.0))
                .unwrap_or(core::cmp::Ordering::Equal)
        });
        let millimetres = |value: f64| Length::from_base(value / 1e3);
        let of_board = holes.iter().map(|hole| Hole {
            x: millimetres(hole.at.0 - low.0),
            y: millimetres(hole.at.1 - low.1),
            diameter: millimetres(hole.diameter),
        });
        if holes.is_empty() {
            remarks.push(Remark::Missing("mounting holes".to_owned()));
        } else {
            remarks.push(Remark::Inferred(format!(
                "mounting holes: those of {} to {} mm",
                SCREWS.start(),
                SCREWS.end()
            )));
        }
        remarks.push(Remark::Missing(
            "the height of the tallest part, and the ports".to_owned(),
        ));
        Ok(Self {
            size: (millimetres(high.0 - low.0), millimetres(high.1 - low.1)),
            area: Area::from_base(edge.area().abs() / 1e6),
            edge: millimetres(edge.length()),
            holes: of_board.collect(),
            others,
            remarks,
        })
    }

    /// The table `[outline]` of a board file, each line with how sure it is.
    #[must_use]
    pub fn outline(&self) -> String {
        let shown = |length: Length| {
            let text = format!("{:.3}", length.base() * 1e3);
            let text = text.trim_end_matches('0').trim_end_matches('.').to_owned();
            if text == "-0" { "0".to_owned() } else { text }
        };
        let mut out = String::from("[outline]\n");
        for remark in &self.remarks {
            let line = match remark {
                Remark::Stated(what) => format!("# stated: {what}\n"),
                Remark::Inferred(what) => format!("# concluded, to be confirmed: {what}\n"),
                Remark::Missing(what) => format!("# missing: {what}\n"),
            };
            out.push_str(&line);
        }
        out.push_str(&format!(
            "size = [\"{} mm\", \"{} mm\"]\n",
            shown(self.size.0),
            shown(self.size.1)
        ));
        out.push_str("height = \"?\"\n");
        if let Some(first) = self.holes.first() {
            let holes = self.holes.iter();
            let holes: Vec<String> = holes
                .map(|hole| format!("[\"{} mm\", \"{} mm\"]", shown(hole.x), shown(hole.y)))
                .collect();
            out.push_str(&format!("holes = [{}]\n", holes.join(", ")));
            let alike = self
                .holes
                .iter()
                .all(|hole| (hole.diameter.base() - first.diameter.base()).abs() < 1e-5);
            let least = self
                .holes
                .iter()
                .map(|hole| hole.diameter)
                .reduce(Number::smaller);
            let diameter = shown(least.unwrap_or(first.diameter));
            let remark = if alike {
                ""
            } else {
                "  # the smallest: they differ"
            };
            out.push_str(&format!("hole_diameter = \"{diameter} mm\"{remark}\n"));
        }
        out
    }
}

fn word(form: Form) -> &'static str {
    match form {
        Form::Dxf => "DXF drawing",
        Form::Gerber => "Gerber layer",
        Form::Drill => "drill file",
    }
}

fn near(one: Point, other: Point) -> bool {
    (one.0 - other.0).hypot(one.1 - other.1) < SAME
}

fn within(at: Point, low: Point, high: Point) -> bool {
    at.0 > low.0 && at.0 < high.0 && at.1 > low.1 && at.1 < high.1
}

/// By how far drilled holes lie beside the drawing: not at all where all lie on the board and no pads speak against it, else as the pads tell.
fn shift(
    holes: &[Circle],
    files: &[Shapes],
    (low, high): (Point, Point),
) -> Result<(Point, Remark), Problem> {
    let pads: Vec<Point> = files
        .iter()
        .flat_map(|shapes| shapes.pads.iter().copied())
        .collect();
    let inside = holes.iter().all(|hole| within(hole.at, low, high));
    if pads.is_empty() {
        if inside {
            return Ok((
                (0.0, 0.0),
                Remark::Inferred(
                    "drilled holes: in the coordinates of the edge, as all lie on the board".to_owned(),
                ),
            ));
        }
        return Err(Problem::new(
            None,
            "drilled holes lie beside the board: drill file and outline have different origins",
            "give the copper layer too: its pads tell the shift",
        ));
    }
    if holes.len().saturating_mul(pads.len()) > PAIRS {
        return Err(Problem::new(
            None,
            "more pairs of hole and pad than are tried",
            "give a drill file with the mounting holes alone",
        ));
    }
    // Every pair votes for a shift; the right one has all plated holes behind it.
    let key = |shift: Point| ((shift.0 / SAME).round() as i64, (shift.1 / SAME).round() as i64);
    let mut votes: HashMap<(i64, i64), (usize, Point)> = HashMap::new();
    for hole in holes {
        for pad in &pads {
            let shift = (pad.0 - hole.at.0, pad.1 - hole.at.1);
            let vote = votes.entry(key(shift)).or_insert((0, shift));
            vote.0 += 1;
        }
    }
    let best = votes.into_values().max_by(|one, other| {
        let nearness = |shift: Point| -(shift.0.hypot(shift.1));
        (one.0, nearness(one.1))
            .partial_cmp(&(other.0, nearness(other.1)))
            .unwrap_or(core::cmp::Ordering::Equal)
    });
    let (count, shift) = best.unwrap_or((0, (0.0, 0.0)));
    let on_board = holes
        .iter()
        .all(|hole| within((hole.at.0 + shift.0, hole.at.1 + shift.1), low, high));
    if on_board && 2 * count >= holes.len() {
        let remark = format!(
            "drilled holes: shifted by {:.3} mm, {:.3} mm, where {count} of {} fall on pads",
            shift.0,
            shift.1,
            holes.len()
        );
        return Ok((shift, Remark::Inferred(remark)));
    }
    Err(Problem::new(
        None,
        "drilled holes and pads do not fall on each other",
        "take drill file, copper and outline of one board",
    ))
}

/// A closed line.
struct Loop(Vec<Piece>);

impl Loop {
    /// Twice-counted by neither: the area inside, positive where it runs counter-clockwise.
    fn area(&self) -> f64 {
        let pieces = self.0.iter().map(|piece| {
            let (from, to) = (piece.from, piece.to);
            let straight = (from.0 * to.1 - to.0 * from.1) / 2.0;
            // The segment between chord and arc.
            let angle = 4.0 * piece.bulge.atan();
            let radius = radius(piece);
            let segment = if piece.bulge == 0.0 {
                0.0
            } else {
                radius * radius / 2.0 * (angle - angle.sin())
            };
            straight + segment
        });
        pieces.sum()
    }

    fn length(&self) -> f64 {
        let pieces = self.0.iter().map(|piece| {
            if piece.bulge == 0.0 {
                (piece.to.0 - piece.from.0).hypot(piece.to.1 - piece.from.1)
            } else {
                radius(piece) * (4.0 * piece.bulge.atan()).abs()
            }
        });
        pieces.sum()
    }

    fn bounds(&self) -> (Point, Point) {
        let mut low = (f64::INFINITY, f64::INFINITY);
        let mut high = (f64::NEG_INFINITY, f64::NEG_INFINITY);
        let mut take = |point: Point| {
            low = (low.0.min(point.0), low.1.min(point.1));
            high = (high.0.max(point.0), high.1.max(point.1));
        };
        for piece in &self.0 {
            take(piece.from);
            take(piece.to);
            if piece.bulge != 0.0 {
                extremes(piece).into_iter().for_each(&mut take);
            }
        }
        (low, high)
    }
}

fn radius(piece: &Piece) -> f64 {
    let chord = (piece.to.0 - piece.from.0).hypot(piece.to.1 - piece.from.1);
    if piece.bulge == 0.0 {
        return 0.0;
    }
    chord * (1.0 + piece.bulge * piece.bulge) / (4.0 * piece.bulge.abs())
}

/// The points of an arc farthest to the right, up, left and down, as far as they lie on it.
fn extremes(piece: &Piece) -> Vec<Point> {
    let (from, to, bulge) = (piece.from, piece.to, piece.bulge);
    let middle = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    // From the chord's middle to the centre, across the chord.
    let off = (1.0 - bulge * bulge) / (4.0 * bulge);
    let centre = (middle.0 - dy * off, middle.1 + dx * off);
    let radius = radius(piece);
    let begin = (from.1 - centre.1).atan2(from.0 - centre.0);
    let turn = 4.0 * bulge.atan();
    let quarters = [0.0, 0.25, 0.5, 0.75].map(|part| part * core::f64::consts::TAU);
    let on_it = quarters.into_iter().filter(|angle| {
        let along = (angle - begin) * turn.signum();
        along.rem_euclid(core::f64::consts::TAU) <= turn.abs()
    });
    on_it
        .map(|angle| (centre.0 + radius * angle.cos(), centre.1 + radius * angle.sin()))
        .collect()
}

/// The closed line with the largest area; none where none is closed.
fn largest(pieces: &[Piece]) -> Option<Loop> {
    let cell = |point: Point| {
        (
            (point.0 / JOINED).round() as i64,
            (point.1 / JOINED).round() as i64,
        )
    };
    let mut ends: HashMap<(i64, i64), Vec<(usize, bool)>> = HashMap::new();
    for (at, piece) in pieces.iter().enumerate() {
        ends.entry(cell(piece.from)).or_default().push((at, true));
        ends.entry(cell(piece.to)).or_default().push((at, false));
    }
    let mut used = vec![false; pieces.len()];
    let mut best: Option<Loop> = None;
    for start in 0..pieces.len() {
        if used[start] {
            continue;
        }
        used[start] = true;
        let first = pieces[start];
        let mut chain = vec![first];
        let mut at = first.to;
        loop {
            if (at.0 - first.from.0).hypot(at.1 - first.from.1) <= JOINED && chain.len() > 1 {
                let closed = Loop(chain);
                if best
                    .as_ref()
                    .is_none_or(|best| closed.area().abs() > best.area().abs())
                {
                    best = Some(closed);
                }
                break;
            }
            let Some((next, forward)) = neighbour(&ends, cell(at), &used, pieces, at) else {
                break;
            };
            used[next] = true;
            let piece = pieces[next];
            let piece = if forward {
                piece
            } else {
                Piece {
                    from: piece.to,
                    to: piece.from,
                    bulge: -piece.bulge,
                }
            };
            at = piece.to;
            chain.push(piece);
        }
    }
    best.filter(|best| best.area().abs() > 1.0)
}

/// The nearest piece that goes on at a point.
fn neighbour(
    ends: &HashMap<(i64, i64), Vec<(usize, bool)>>,
    (x, y): (i64, i64),
    used: &[bool],
    pieces: &[Piece],
    at: Point,
) -> Option<(usize, bool)> {
    let cells = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (x + dx, y + dy)));
    let candidates = cells.filter_map(|cell| ends.get(&cell)).flatten();
    let candidates = candidates.filter(|(own, _)| !used[*own]).map(|(own, forward)| {
        let piece = &pieces[*own];
        let end = if *forward { piece.from } else { piece.to };
        ((end.0 - at.0).hypot(end.1 - at.1), (*own, *forward))
    });
    let near = candidates.filter(|(distance, _)| *distance <= JOINED);
    near.min_by(|one, other| one.0.total_cmp(&other.0))
        .map(|(_, found)| found)
}
