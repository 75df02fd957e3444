//! An adaptor plate as a body: where it lies in the case, and what it meets there.

use model::Swap;
use model::board::Board;
use model::machine::{Case, KeepOut};
use physics::mechanics::{self, Point, RigidMotion};
use quantity::si::Length;
use quantity::{Number, si};

use super::{of_keep_out, point, settled};

/// The outline of an adaptor plate in the plane of the case: all posts and all holes of the board, with the room of a washer around each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plate {
    /// Its lower left corner.
    pub low: Point,
    /// Its upper right corner.
    pub high: Point,
}

impl Plate {
    /// The plate that carries a board lying so; `None` where neither posts nor holes are described.
    #[must_use]
    pub fn of(swap: &Swap, board: &Board, motion: &RigidMotion) -> Option<Self> {
        let posts = swap.machine.case.standoffs.iter().map(|post| point(post.value));
        let holes = board
            .outline
            .holes
            .iter()
            .map(|hole| motion.place(point(hole.value)));
        let (low, high) = bounds(posts.chain(holes))?;
        let margin = margin(swap);
        Some(Self {
            low: Point::new(low.x - margin, low.y - margin),
            high: Point::new(high.x + margin, high.y + margin),
        })
    }
    /// Width and depth.
    #[must_use]
    pub fn size(&self) -> Point {
        Point::new(self.high.x - self.low.x, self.high.y - self.low.y)
    }
    /// Its corners, counter-clockwise.
    #[must_use]
    pub fn corners(&self) -> [Point; 4] {
        let (low, high) = (self.low, self.high);
        [(low.x, low.y), (high.x, low.y), (high.x, high.y), (low.x, high.y)].map(|(x, y)| Point::new(x, y))
    }
    /// Its least distance from a wall of the case; negative where it stands out.
    #[must_use]
    pub fn room(&self, case: &Case) -> Length {
        let zero = si::metre(0.0);
        settled(mechanics::room_inside(
            &self.corners(),
            Point::new(zero, zero),
            point(case.size.value),
        ))
    }
    /// Its distance from a keep-out; negative where they overlap.
    #[must_use]
    pub fn gap(&self, keep_out: &KeepOut) -> Length {
        settled(mechanics::gap(&self.corners(), &of_keep_out(keep_out)))
    }
    /// Whether a keep-out leaves no room for it: the two overlap, and what is free below is less than the plate is thick.
    #[must_use]
    pub fn meets(&self, keep_out: &KeepOut, swap: &Swap) -> bool {
        let thick = swap.catalogue.limits().plate_thickness.value.high();
        self.gap(keep_out).base() < 0.0 && keep_out.height.low() < thick
    }
}

/// As much as a washer covers around the middle of a screw; usual where the catalogue does not know the screw.
pub(crate) fn margin(swap: &Swap) -> Length {
    let screw = swap.catalogue.screws().get(&swap.machine.case.screw_size.value);
    screw
        .and_then(|row| row.washer)
        .map_or(si::millimetre(4.0), |washer| washer.high() / 2.0)
}

/// The lower left and the upper right corner of what holds all points.
pub(crate) fn bounds(mut points: impl Iterator<Item = Point>) -> Option<(Point, Point)> {
    let first = points.next()?;
    Some(points.fold((first, first), |(low, high), point| {
        (
            Point::new(low.x.smaller(point.x), low.y.smaller(point.y)),
            Point::new(high.x.larger(point.x), high.y.larger(point.y)),
        )
    }))
}
