//! Where a board sits in the case, and how far a lead must reach: the one home of both.
//!
//! Checks, lengths of leads and pictures all read [`Seats`], so that a board that lies turned is turned for all of them.

use model::Swap;
use model::board::{Board, PortId};
use model::machine::Case;
use physics::mechanics::{self, Routes};
use quantity::si::Length;
use quantity::{Number, si};

use crate::facts::mounting::{self, Seat};

/// How the old and the new board sit in the case, and the ways of leads to their ports.
#[derive(Clone, Debug, PartialEq)]
pub struct Seats {
    /// The old board.
    pub old: Seat,
    /// The board in question.
    pub new: Seat,
    old_ways: Vec<Option<Route>>,
    new_ways: Vec<Option<Route>>,
}

/// The way of a lead inside the case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Route {
    /// From where leads come in to the edge of the board, along the walls and around what stands in the way.
    pub along: Length,
    /// From the edge of the board to the port.
    pub over: Length,
}

impl Route {
    /// All of it.
    #[must_use]
    pub fn length(&self) -> Length {
        self.along + self.over
    }
}

impl Seats {
    /// Both boards in the case of the machine.
    #[must_use]
    pub fn of(swap: &Swap, board: &Board) -> Self {
        let (old, new) = (mounting::seat(swap, &swap.old), mounting::seat(swap, board));
        let case = &swap.machine.case;
        Self {
            old_ways: ways(&swap.old, &old, case),
            new_ways: ways(board, &new, case),
            old,
            new,
        }
    }
    /// The way inside the case to a port of the old board; `None` where the case does not say where leads come in.
    #[must_use]
    pub fn old_way(&self, port: PortId) -> Option<Route> {
        self.old_ways[port.0]
    }
    /// The way inside the case to a port of the board in question.
    #[must_use]
    pub fn new_way(&self, port: PortId) -> Option<Route> {
        self.new_ways[port.0]
    }
}

/// The way of a lead to each port: along the walls and around what stands in the way, over the nearest edge of the board, to the port.
///
/// Leads lie beside a board, not across it: there they would lie on hot parts, and under the air of the fan.
fn ways(board: &Board, seat: &Seat, case: &Case) -> Vec<Option<Route>> {
    let Some(entry) = &case.entry else {
        return vec![None; board.ports.len()];
    };
    let entry = mounting::point(entry.value);
    let mut outlines = vec![mounting::corners(&seat.motion, board)];
    outlines.extend(
        case.keep_out
            .iter()
            .filter(|keep_out| keep_out.height.high().base() <= 0.0)
            .map(kept_off),
    );
    let size = case.size.value;
    let inside = |at: Length, far: Length| at > si::metre(0.0) && at < far;
    let routes = Routes::new(entry, &outlines, |corner| {
        inside(corner.x, size.x) && inside(corner.y, size.y)
    });
    let straight = |to: mechanics::Point| (to.x - entry.x).abs() + (to.y - entry.y).abs();
    board
        .ports
        .iter()
        .map(|port| {
            let at = seat.motion.place(mounting::point(port.at.value));
            let edge = seat
                .motion
                .place(nearest_edge(board, mounting::point(port.at.value)));
            let over = (at.x - edge.x).abs() + (at.y - edge.y).abs();
            // A port that no way leads to is the business of the checks of outline and keep-outs.
            let along = routes.to(edge).unwrap_or_else(|| straight(edge));
            Some(Route { along, over })
        })
        .collect()
}

/// The corners of a keep-out with a millimetre around it: a lead is thicker than a narrower gap, to the board or to a wall.
fn kept_off(keep_out: &model::machine::KeepOut) -> Vec<mechanics::Point> {
    let (at, size, off) = (keep_out.at.value, keep_out.size.value, si::millimetre(1.0));
    let (left, bottom) = (at.x - off, at.y - off);
    let (right, top) = (at.x + size.x + off, at.y + size.y + off);
    [(left, bottom), (right, bottom), (right, top), (left, top)]
        .map(|(x, y)| mechanics::Point::new(x, y))
        .to_vec()
}

/// The point of the board's edge that lies nearest to a place on it.
fn nearest_edge(board: &Board, at: mechanics::Point) -> mechanics::Point {
    let size = board.outline.size.value;
    let zero = si::metre(0.0);
    let (right, above) = (size.x - at.x, size.y - at.y);
    let least = at.x.smaller(right).smaller(at.y).smaller(above);
    if least == at.x {
        mechanics::Point::new(zero, at.y)
    } else if least == right {
        mechanics::Point::new(size.x, at.y)
    } else if least == at.y {
        mechanics::Point::new(at.x, zero)
    } else {
        mechanics::Point::new(at.x, size.y)
    }
}
