//! How a board sits on the posts of the case: which hole on which post, turned how, and what that does to outline and sockets.

use core::f64::consts::{FRAC_PI_2, PI};

use model::board::{Board, PortKind};
use model::machine::{Case, Opening};
use model::{Edge, Role};
use physics::mechanics::{self, Behind, Mirror, Point, RigidMotion, best_fit, residuals, tightest_fit};
use quantity::si::{Angle, Length};
use quantity::{Number, si};

use crate::setup::Setup;

/// A board on the posts.
#[derive(Clone, Debug)]
pub struct Mounting {
    /// How it lies.
    pub motion: RigidMotion,
    /// How many screws hold it.
    pub screws: usize,
    /// The largest distance of a hole from its post.
    pub largest: Length,
}

impl Mounting {
    /// How it is turned against its drawing, in words.
    #[must_use]
    pub fn turned(&self) -> &'static str {
        let quarters = self.motion.rotation.base() / FRAC_PI_2;
        match quarters.round().rem_euclid(4.0) {
            0.0 => "as drawn",
            1.0 => "turned by 90° to the left",
            2.0 => "turned by 180°",
            _ => "turned by 90° to the right",
        }
    }
}

/// By how much a screw may sit beside the middle of its hole; `None` where the catalogue does not know the screw.
#[must_use]
pub fn play(setup: &Setup<'_>) -> Option<Length> {
    let screw = setup
        .swap
        .catalogue
        .screws()
        .get(&setup.swap.machine.case.screw.value)?;
    let hole = setup.board.outline.hole_diameter.value;
    Some(mechanics::screw_play(hole.low(), screw.diameter.high()))
}

/// The best way to mount the board: the most screws, then the most openings met, then the most room, then as drawn.
///
/// `None` where not even two screws fit.
#[must_use]
pub fn mount(setup: &Setup<'_>) -> Option<Mounting> {
    let (board, case) = (setup.board, &setup.swap.machine.case);
    let play = play(setup).filter(|play| play.base() >= 0.0)?;
    let holes: Vec<Point> = board.outline.holes.iter().map(|hole| point(hole.value)).collect();
    let posts: Vec<Point> = case.posts.iter().map(|post| point(post.value)).collect();
    let mut ways = in_quarter_turns(&holes, &posts, play);
    if ways.is_empty() {
        let found = mechanics::register(&holes, &posts, play, Mirror::Never);
        ways = found
            .into_iter()
            .map(|way| Mounting {
                motion: way.motion,
                screws: way.screws.len(),
                largest: settled(way.largest),
            })
            .collect();
    }
    let score = |way: &Mounting| {
        let met = case
            .opening
            .iter()
            .filter(|opening| {
                sockets(board, opening).any(|(socket, edge)| {
                    behind(&way.motion, socket, edge, case, opening)
                        .is_some_and(|seen| seen.room.base() > 0.0)
                })
            })
            .count();
        (met, room(&way.motion, board, case).base())
    };
    // Of equals the first counts: the best centred one, as drawn.
    let mut best: Option<(Mounting, (usize, f64))> = None;
    for way in ways {
        let score = score(&way);
        let better = |(_, known): &(Mounting, (usize, f64))| {
            score.0 > known.0 || (score.0 == known.0 && score.1 > known.1 + 1e-6)
        };
        if best.as_ref().is_none_or(better) {
            best = Some((way, score));
        }
    }
    best.map(|(way, _)| way)
}

/// The ways near a quarter turn with the most screws, where most boards end; found without trying every assignment.
///
/// Each hole is put on each post in each quarter turn, and the others look for a post nearby. Only a board that has to lie askew
/// is missed; for one that finds fewer than three screws here the full search follows.
fn in_quarter_turns(holes: &[Point], posts: &[Point], play: Length) -> Vec<Mounting> {
    // Within this the other holes are near enough that a shift and a slight turn may still bring all on their posts.
    let near = play.base() * 4.0;
    let mut seen: Vec<Vec<(usize, usize)>> = Vec::new();
    let mut out: Vec<Mounting> = Vec::new();
    for (cos, sin) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
        let turned: Vec<Point> = holes
            .iter()
            .map(|hole| Point::new(hole.x * cos - hole.y * sin, hole.x * sin + hole.y * cos))
            .collect();
        for anchor in &turned {
            for post in posts {
                let (right, up) = (post.x - anchor.x, post.y - anchor.y);
                let mut matched: Vec<(usize, usize)> = Vec::with_capacity(holes.len());
                for (hole, at) in turned.iter().enumerate() {
                    let meant = Point::new(at.x + right, at.y + up);
                    let found = (0..posts.len()).find(|post| {
                        posts[*post].distance(meant).base() <= near
                            && matched.iter().all(|(_, taken)| taken != post)
                    });
                    matched.extend(found.map(|post| (hole, post)));
                }
                if matched.len() < 3 || seen.contains(&matched) {
                    continue;
                }
                out.extend(tightened(&matched, holes, posts, play));
                seen.push(matched);
            }
        }
    }
    let most = out.iter().map(|way| way.screws).max().unwrap_or(0);
    out.retain(|way| way.screws == most);
    out
}

/// The position of a set of screws; the worst one is given up as long as not all of them fit.
fn tightened(matched: &[(usize, usize)], holes: &[Point], posts: &[Point], play: Length) -> Option<Mounting> {
    let mut pairs: Vec<(Point, Point)> = matched
        .iter()
        .map(|(hole, post)| (holes[*hole], posts[*post]))
        .collect();
    while pairs.len() > 2 {
        let motion = best_fit(&pairs, false)?;
        let off = residuals(&motion, &pairs);
        let largest = off.iter().copied().fold(si::metre(0.0), Number::larger);
        let fit = if largest <= play {
            Some((motion, largest))
        } else {
            tightest_fit(&pairs, false).filter(|(_, largest)| *largest <= play)
        };
        if let Some((motion, largest)) = fit {
            return Some(Mounting {
                motion,
                screws: pairs.len(),
                largest: settled(largest),
            });
        }
        let worst = (0..off.len()).max_by(|a, b| off[*a].base().total_cmp(&off[*b].base()))?;
        pairs.remove(worst);
    }
    None
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

/// The room around a board that may lie anywhere, as drawn or turned by a quarter: half of what is left over.
pub(crate) fn room_anywhere(board: &Board, case: &Case) -> Length {
    let (board, case) = (board.outline.size.value, case.size.value);
    let least = |x: Length, y: Length| (case.x - x).smaller(case.y - y) / 2.0;
    least(board.x, board.y).larger(least(board.y, board.x))
}

/// Where the sockets of a board that an opening is for sit, and the edges at which they open.
pub(crate) fn sockets<'a>(
    board: &'a Board,
    opening: &Opening,
) -> impl Iterator<Item = (&'a model::board::Port, Edge)> + use<'a> {
    let role = opening.role.value;
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
