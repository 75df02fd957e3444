//! Boards, walls, keep-outs and sockets in the plane of the case.

use core::f64::consts::{FRAC_PI_2, PI};

use model::board::{Board, PortKind};
use model::machine::{Case, KeepOut, Opening};
use model::{Edge, Role, Swap};
use physics::mechanics::{self, Behind, Point, RigidMotion};
use quantity::si::{Angle, Length};
use quantity::{Number, si};

/// The corners of a keep-out, counter-clockwise.
pub(crate) fn of_keep_out(keep_out: &KeepOut) -> [Point; 4] {
    let (at, size) = (keep_out.at.value, keep_out.size.value);
    let (x, y) = (at.x + size.x, at.y + size.y);
    [(at.x, at.y), (x, at.y), (x, y), (at.x, y)].map(|(x, y)| Point::new(x, y))
}

/// What is left between a hole for a post and one for the board in a plate when each has the room of a washer; negative where
/// two come too near. `None` where the catalogue does not know the washer, or there are no two.
#[must_use]
pub fn web(motion: &RigidMotion, swap: &Swap, board: &Board) -> Option<Length> {
    let washer = swap
        .catalogue
        .screws()
        .get(&swap.machine.case.screw_size.value)?
        .washer?;
    let nearest = board
        .outline
        .holes
        .iter()
        .map(|hole| motion.place(point(hole.value)))
        .flat_map(|hole| {
            swap.machine
                .case
                .standoffs
                .iter()
                .map(move |post| point(post.value).distance(hole))
        })
        .min_by(|one, other| one.base().total_cmp(&other.base()))?;
    Some(settled(nearest - washer.high()))
}

/// A length to the nanometre: what is left of a fit by rounding is no distance.
pub(crate) fn settled(length: Length) -> Length {
    Length::from_base((length.base() * 1e9).round() / 1e9)
}

/// A point of the files as one of the formulas.
pub(crate) fn point(point: model::Point) -> Point {
    Point::new(point.x, point.y)
}

/// The corners of the board where a motion puts them.
pub(crate) fn corners(motion: &RigidMotion, board: &Board) -> Vec<Point> {
    mechanics::placed(motion, &mechanics::rectangle(point(board.outline.size.value)))
}

/// The least distance of the board from a wall of the case.
pub(crate) fn room(motion: &RigidMotion, board: &Board, case: &Case) -> Length {
    let zero = si::metre(0.0);
    settled(mechanics::room_inside(
        &corners(motion, board),
        Point::new(zero, zero),
        point(case.size.value),
    ))
}

/// The sockets of a board that openings of a role are for, and the edges at which they open.
pub(crate) fn sockets(board: &Board, role: Role) -> impl Iterator<Item = (&model::board::Port, Edge)> {
    board.ports.iter().filter_map(move |port| match port.kind {
        PortKind::CardSlot { edge } if role == Role::CardSlot => Some((port, edge.value)),
        PortKind::Usb { edge } if role == Role::Usb => Some((port, edge.value)),
        _ => None,
    })
}

/// How a socket lies to an opening; `None` where it faces another wall.
pub(crate) fn behind(
    motion: &RigidMotion,
    socket: &model::board::Port,
    edge: Edge,
    case: &Case,
    opening: &Opening,
) -> Option<Behind> {
    let size = case.size.value;
    let zero = si::metre(0.0);
    let (from, to) = (opening.from.nominal(), opening.to.nominal());
    let edges = match opening.edge.value {
        Edge::Left => (Point::new(zero, from), Point::new(zero, to)),
        Edge::Right => (Point::new(size.x, from), Point::new(size.x, to)),
        Edge::Bottom => (Point::new(from, zero), Point::new(to, zero)),
        Edge::Top => (Point::new(from, size.y), Point::new(to, size.y)),
    };
    let facing = motion.turn(Angle::from_base(match edge {
        Edge::Right => 0.0,
        Edge::Top => FRAC_PI_2,
        Edge::Left => PI,
        Edge::Bottom => -FRAC_PI_2,
    }));
    let seen = mechanics::behind(motion.place(point(socket.at.value)), facing, edges)?;
    Some(Behind {
        depth: settled(seen.depth),
        off: settled(seen.off),
        room: settled(seen.room),
    })
}
