//! Drawings that count from another corner than the lower left: turned once, so that nothing behind has to know.

use quantity::si::Length;
use quantity::{End, Number, Value};

use crate::file::board::{Outline, PortFile};
use crate::file::machine::Case;
use crate::read::Point;
use crate::words::{Edge, Origin};

/// A drawing of a size that counts from a corner.
#[derive(Clone, Copy)]
struct Drawing {
    size: Point,
    right: bool,
    upper: bool,
}

impl Drawing {
    fn new(size: Point, origin: Origin) -> Self {
        Self {
            size,
            right: matches!(origin, Origin::LowerRight | Origin::UpperRight),
            upper: matches!(origin, Origin::UpperLeft | Origin::UpperRight),
        }
    }
    /// A point from the lower left corner.
    fn point(self, at: Point) -> Point {
        self.corner(at, None)
    }
    /// The lower left corner of a rectangle of which the corner nearest to the origin is given.
    fn corner(self, at: Point, extent: Option<Point>) -> Point {
        let none = Length::from_base(0.0);
        let (wide, deep) = extent.map_or((none, none), |extent| (extent.x, extent.y));
        Point {
            x: if self.right {
                self.size.x - at.x - wide
            } else {
                at.x
            },
            y: if self.upper {
                self.size.y - at.y - deep
            } else {
                at.y
            },
        }
    }
    /// A piece of a wall, from its end nearest to the lower left corner.
    fn piece(self, wall: Edge, from: Value<Length>, to: Value<Length>) -> (Value<Length>, Value<Length>) {
        let upright = matches!(wall, Edge::Left | Edge::Right);
        let (turned, whole) = if upright {
            (self.upper, self.size.y)
        } else {
            (self.right, self.size.x)
        };
        let other = |value: Value<Length>| {
            let at = |end: End| whole - value.at(end);
            Value::between(at(End::High), at(End::Nominal), at(End::Low))
        };
        if turned {
            (other(to), other(from))
        } else {
            (from, to)
        }
    }
}

/// Counts all places of a board from its lower left corner.
pub(crate) fn board(outline: &mut Outline, ports: &mut [PortFile]) {
    let Some(origin) = outline.origin else { return };
    let drawing = Drawing::new(outline.size.value, origin.value);
    for hole in &mut outline.holes {
        hole.value = drawing.point(hole.value);
    }
    for port in ports {
        port.at.value = drawing.point(port.at.value);
    }
}

/// Counts all places of a case from its lower left corner.
pub(crate) fn case(case: &mut Case) {
    let Some(origin) = case.origin else { return };
    let drawing = Drawing::new(case.size.value, origin.value);
    for post in &mut case.standoffs {
        post.value = drawing.point(post.value);
    }
    if let Some(entry) = &mut case.entry {
        entry.value = drawing.point(entry.value);
    }
    for keep_out in &mut case.keep_out {
        keep_out.at.value = drawing.corner(keep_out.at.value, Some(keep_out.size.value));
    }
    for opening in &mut case.opening {
        let (from, to) = drawing.piece(opening.edge.value, opening.from.value, opening.to.value);
        (opening.from.value, opening.to.value) = (from, to);
    }
}
