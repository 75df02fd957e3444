//! The outline of a board in its case: room to the walls, gaps to what is in the way.

use quantity::Number;
use quantity::si::{Angle, Length};

use super::plane::{Point, RigidMotion};
use crate::Formula;

/// See [`room_inside`].
pub static ROOM_INSIDE: Formula = Formula::new(
    "room-inside",
    "Room between an outline and the walls around it",
    "g = minₙ min(xₙ − x₀, x₁ − xₙ, yₙ − y₀, y₁ − yₙ)",
    "iso-80000-3",
    "geometry",
);
/// See [`gap`].
pub static GAP: Formula = Formula::new(
    "gap",
    "Gap between two convex outlines",
    "g = max over edge normals n of (min n·q − max n·p)",
    "separating-axis",
    "",
);
/// See [`way`].
pub static WAY: Formula = Formula::new(
    "way",
    "Length of a way from point to point",
    "l = Σₙ |pₙ₊₁ − pₙ|",
    "iso-80000-3",
    "geometry",
);

/// See [`behind`].
pub static BEHIND_OPENING: Formula = Formula::new(
    "behind-opening",
    "How far a socket looks past the middle of its opening",
    "o = (m − p) · n with n across the way it faces",
    "iso-80000-3",
    "geometry",
);
/// See [`room_in_opening`].
pub static ROOM_IN_OPENING: Formula = Formula::new(
    "room-in-opening",
    "Room from a line of sight to the nearer edge of an opening",
    "r = w / 2 − o",
    "iso-80000-3",
    "geometry",
);
/// See [`length_sum`].
pub static LENGTH_SUM: Formula = Formula::new(
    "length-sum",
    "Sum of lengths",
    "l = Σ lₙ",
    "iso-80000-3",
    "geometry",
);

/// How a socket of a board lies to an opening of the case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Behind {
    /// From the socket to the opening along the way it faces: how far a plug or card must reach.
    pub depth: Length,
    /// How far it looks past the middle of the opening, to either side.
    pub off: Length,
    /// From its line of sight to the nearer edge of the opening; negative where it looks at the wall.
    pub room: Length,
}

/// How a socket lies to an opening, given by its two edges; nothing where it faces away from it or along the wall.
///
/// - `socket`: middle of its mouth, where the motion of the board puts it. `facing`: the way it looks, from
///   [`super::RigidMotion::turn`]. `edges`: of the opening, seen from above.
///
/// # Source
/// Geometry.
#[must_use]
pub fn behind(socket: Point, facing: Angle, edges: (Point, Point)) -> Option<Behind> {
    let ([x, y], [a, b], [c, d]) = (socket.base(), edges.0.base(), edges.1.base());
    let (sin, cos) = facing.base().sin_cos();
    // Along and across the way it faces.
    let seen = |u: f64, v: f64| ((u - x) * cos + (v - y) * sin, (v - y) * cos - (u - x) * sin);
    let ((along_one, across_one), (along_other, across_other)) = (seen(a, b), seen(c, d));
    let width = across_other - across_one;
    if width == 0.0 {
        return None;
    }
    // Where the line of sight meets the line of the opening.
    let depth = along_one - across_one * (along_other - along_one) / width;
    let (low, high) = (across_one.min(across_other), across_one.max(across_other));
    (depth >= 0.0).then(|| Behind {
        depth: Length::from_base(depth),
        off: Length::from_base(f64::midpoint(low, high).abs()),
        room: Length::from_base(high.min(-low)),
    })
}

/// Room from the line of sight of a socket to the nearer edge of the opening ahead of it; negative where it looks at the wall.
///
/// `r = w / 2 − o`
///
/// - `width`: of the opening, > 0. `off`: how far the socket looks past its middle, ≥ 0, as [`Behind::off`].
///
/// Monotone in both.
///
/// # Source
/// Geometry.
#[must_use]
pub fn room_in_opening(width: Length, off: Length) -> Length {
    width / 2.0 - off
}

/// The sum of lengths in a row or on top of each other.
///
/// `l = Σ lₙ`
///
/// # Source
/// Geometry.
#[must_use]
pub fn length_sum(lengths: &[Length]) -> Length {
    lengths
        .iter()
        .fold(Length::from_base(0.0), |sum, length| sum + *length)
}

/// The corners of a rectangle from the origin to its size, counter-clockwise.
#[must_use]
pub fn rectangle(size: Point) -> [Point; 4] {
    let zero = Length::from_base(0.0);
    [
        Point::new(zero, zero),
        Point::new(size.x, zero),
        size,
        Point::new(zero, size.y),
    ]
}

/// An outline where a motion puts it.
#[must_use]
pub fn placed(motion: &RigidMotion, outline: &[Point]) -> Vec<Point> {
    outline.iter().map(|point| motion.place(*point)).collect()
}

/// The least distance of an outline's corners from the walls of a rectangle around it; negative where one sticks out.
///
/// - `outline`: corners; `low`, `high`: lower left and upper right corner of the walls.
///
/// # Source
/// Geometry.
#[must_use]
pub fn room_inside(outline: &[Point], low: Point, high: Point) -> Length {
    rooms(outline, low, high)
        .into_iter()
        .fold(Length::from_base(f64::INFINITY), Number::smaller)
}

/// The least distance of an outline's corners from each wall of a rectangle around it: left, bottom, right, top; negative beyond
/// it. See [`room_inside`].
///
/// # Source
/// Geometry.
#[must_use]
pub fn rooms(outline: &[Point], low: Point, high: Point) -> [Length; 4] {
    let least = |room: fn(&Point, Point, Point) -> Length| {
        let rooms = outline.iter().map(|point| room(point, low, high));
        rooms.fold(Length::from_base(f64::INFINITY), Number::smaller)
    };
    [
        least(|point, low, _| point.x - low.x),
        least(|point, low, _| point.y - low.y),
        least(|point, _, high| high.x - point.x),
        least(|point, _, high| high.y - point.y),
    ]
}

/// Gap between two convex outlines; negative where they overlap, then the shortest shift that parts them.
///
/// Two convex outlines are apart exactly where a line along one of their edges separates them. Where the nearest points are two
/// corners, the gap is up to 30 % below their distance: it errs on the safe side.
///
/// # Source
/// [separating-axis].
#[must_use]
pub fn gap(one: &[Point], other: &[Point]) -> Length {
    let mut widest = f64::NEG_INFINITY;
    for normal in normals(one).chain(normals(other)) {
        let (low, high) = reach(one, normal);
        let (other_low, other_high) = reach(other, normal);
        widest = widest.max(other_low - high).max(low - other_high);
    }
    Length::from_base(widest)
}

/// Length of a way from point to point.
///
/// # Source
/// Geometry.
#[must_use]
pub fn way(points: &[Point]) -> Length {
    points.windows(2).fold(Length::from_base(0.0), |sum, pair| {
        sum + pair[0].distance(pair[1])
    })
}

fn normals(outline: &[Point]) -> impl Iterator<Item = [f64; 2]> {
    let next = outline.iter().cycle().skip(1);
    outline.iter().zip(next).filter_map(|(from, to)| {
        let ([a, b], [c, d]) = (from.base(), to.base());
        let length = (c - a).hypot(d - b);
        (length > 0.0).then(|| [(d - b) / length, (a - c) / length])
    })
}

fn reach(outline: &[Point], [x, y]: [f64; 2]) -> (f64, f64) {
    outline
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), point| {
            let [u, v] = point.base();
            let along = x * u + y * v;
            (low.min(along), high.max(along))
        })
}
