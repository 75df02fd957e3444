//! Where a board sits in the case, and how far a lead must reach.

use model::Point;
use model::board::Board;
use model::machine::Case;
use quantity::si::Length;
use quantity::{Number, si};

use crate::setup::Pair;

/// Where the origin of a board lies in the case: its holes' middle on the posts' middle.
///
/// An estimate for lengths of leads only; whether the holes meet the posts is found by the check `hole-pattern`.
#[must_use]
pub fn origin(board: &Board, case: &Case) -> Point {
    let middle = |points: &mut dyn Iterator<Item = Point>, size: Point| {
        let (mut x, mut y, mut count) = (si::metre(0.0), si::metre(0.0), 0.0);
        for point in points {
            x += point.x;
            y += point.y;
            count += 1.0;
        }
        if count == 0.0 {
            Point {
                x: size.x / 2.0,
                y: size.y / 2.0,
            }
        } else {
            Point {
                x: x / count,
                y: y / count,
            }
        }
    };
    let holes = middle(
        &mut board.outline.holes.iter().map(|hole| hole.value),
        board.outline.size.value,
    );
    let posts = middle(&mut case.posts.iter().map(|post| post.value), case.size.value);
    Point {
        x: posts.x - holes.x,
        y: posts.y - holes.y,
    }
}

/// The way along the walls from where the leads come in to a port.
#[must_use]
pub fn way_to(board: &Board, case: &Case, port: Point) -> Option<Length> {
    let entry = case.entry.as_ref()?.value;
    let origin = origin(board, case);
    Some((origin.x + port.x - entry.x).abs() + (origin.y + port.y - entry.y).abs())
}

/// How far a lead must reach, against how far it does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// The way inside the case to the old port.
    pub old_way: Length,
    /// The way inside the case to the new port.
    pub new_way: Length,
    /// What the lead is taken to have left over at its old port.
    pub reserve: Length,
}

impl Reach {
    /// By how much the lead is too short, if it is.
    #[must_use]
    pub fn missing(&self) -> Option<Length> {
        let missing = self.new_way - self.old_way - self.reserve;
        (missing.base() > 0.0).then_some(missing)
    }
}

/// The reach of a lead that was on the old board; `None` for a new lead, or where the case does not say where leads come in.
#[must_use]
pub fn reach(pair: &Pair<'_>) -> Option<Reach> {
    let old = pair.old_port()?;
    let case = &pair.swap.machine.case;
    Some(Reach {
        old_way: way_to(&pair.swap.old, case, old.at.value)?,
        new_way: way_to(pair.board, case, pair.port().at.value)?,
        reserve: pair.limits().lead_reserve.value.low(),
    })
}
