//! How a board sits on the posts of the case: which hole on which post, turned how, and what that does to outline and sockets.

mod geometry;
mod merit;
mod plate;

use core::f64::consts::FRAC_PI_2;

use model::board::Board;
use model::machine::Case;
use model::{Edge, Swap};
use physics::mechanics::{self, Mirror, Point, RigidMotion, best_fit, residuals, tightest_fit};
use physics::{Working, named, work_many};
use quantity::si::{Angle, Length};
use quantity::{Number, Value, si};

pub use geometry::web;
pub(crate) use geometry::{behind, corners, of_keep_out, point, room, settled, sockets};
use merit::Merit;
pub use merit::{passing, pressing};
pub use plate::Plate;

/// How a board is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Held {
    /// By screws on the posts of the case.
    Posts,
    /// By an adaptor plate between the posts and the board.
    Plate,
    /// Nothing is known of its holes or of the posts, or the board does not fit into the case: it is taken to lie in the middle.
    Unknown,
}

/// Where a board lies in its case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seat {
    /// From the drawing of the board to the plane of the case.
    pub motion: RigidMotion,
    /// How it is held.
    pub held: Held,
    /// How many holes meet a post so that a screw passes.
    pub screws: usize,
    /// The largest distance of such a hole from its post; zero without.
    pub largest: Length,
}

impl Seat {
    /// Quarter turns to the left against its drawing.
    fn quarters(&self) -> f64 {
        let quarters = self.motion.rotation.base() / FRAC_PI_2;
        quarters.round().rem_euclid(4.0)
    }
    /// How it is turned against its drawing, in words.
    #[must_use]
    pub fn turned(&self) -> &'static str {
        match self.quarters() {
            0.0 => "as drawn",
            1.0 => "turned by 90° to the left",
            2.0 => "turned by 180°",
            _ => "turned by 90° to the right",
        }
    }
    /// Which edge of its drawing faces the front of the machine; `None` where its place is not known.
    #[must_use]
    pub fn front(&self) -> Option<&'static str> {
        // A turn to the left brings what was on the left to the front.
        let edge = match self.quarters() {
            0.0 => "bottom",
            1.0 => "left",
            2.0 => "top",
            _ => "right",
        };
        self.is_known().then_some(edge)
    }
    /// Whether the place is known: on its posts or on a plate.
    #[must_use]
    pub fn is_known(&self) -> bool {
        self.held != Held::Unknown
    }
}

/// A way to put a board on the posts.
#[derive(Clone, Copy, Debug)]
struct Mounting {
    motion: RigidMotion,
    screws: usize,
    largest: Length,
}

/// By how much a screw may sit beside the middle of its hole; `None` where the catalogue does not know the screw.
#[must_use]
pub fn play(swap: &Swap, board: &Board) -> Option<Length> {
    let screw = swap.catalogue.screws().get(&swap.machine.case.screw_size.value)?;
    let hole = board.outline.hole_diameter.value;
    Some(mechanics::screw_play(hole.low(), screw.diameter.high()))
}

/// How many screws must pass so that a board counts as held: the limit, or as many as there are posts and holes.
#[must_use]
pub fn needed(swap: &Swap, board: &Board) -> usize {
    let limit = swap.catalogue.limits().board_screws_needed.value.nominal().base();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a handful of screws"
    )]
    let limit = limit.ceil().max(0.0) as usize;
    limit
        .min(swap.machine.case.standoffs.len())
        .min(board.outline.holes.len())
}

/// Where a board lies: on the posts where enough of its holes meet them, else on a plate where it fits into the case.
#[must_use]
pub fn seat(swap: &Swap, board: &Board) -> Seat {
    let case = &swap.machine.case;
    let known = board.outline.holes.len().min(case.standoffs.len()) >= 2;
    let mounting = mount(swap, board);
    let screws = mounting.map_or(0, |mounting| mounting.screws);
    let (motion, held) = match mounting {
        Some(mounting) if screws >= needed(swap, board) => (mounting.motion, Held::Posts),
        _ => match on_plate(swap, board) {
            Some(motion) if known => (motion, Held::Plate),
            motion => (
                motion.unwrap_or_else(|| in_the_middle(board, case)),
                Held::Unknown,
            ),
        },
    };
    Seat {
        motion,
        held,
        screws,
        largest: mounting.map_or(si::metre(0.0), |mounting| mounting.largest),
    }
}

fn in_the_middle(board: &Board, case: &Case) -> RigidMotion {
    let (board, case) = (board.outline.size.value, case.size.value);
    RigidMotion {
        shift: Point::new((case.x - board.x) / 2.0, (case.y - board.y) / 2.0),
        ..RigidMotion::none()
    }
}

/// The best way to mount the board among those with enough screws: nothing hit and no post that presses, then inside the case, then the most
/// screws, then the most openings met, then the most room, then as drawn.
///
/// `None` where not even two screws fit.
fn mount(swap: &Swap, board: &Board) -> Option<Mounting> {
    let case = &swap.machine.case;
    let play = play(swap, board).filter(|play| play.base() >= 0.0)?;
    let holes: Vec<Point> = board.outline.holes.iter().map(|hole| point(hole.value)).collect();
    let posts: Vec<Point> = case.standoffs.iter().map(|post| point(post.value)).collect();
    let mut ways = in_quarter_turns(&holes, &posts, (play, needed(swap, board)));
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
    // Of equals the first counts: the best centred one, as drawn.
    let mut best: Option<(Mounting, Merit)> = None;
    for way in ways {
        let merit = Merit::on_posts(swap, board, &way.motion, way.screws);
        if best.as_ref().is_none_or(|(_, known)| merit > *known) {
            best = Some((way, merit));
        }
    }
    best.map(|(way, _)| way)
}

/// The best place on a plate: board and plate off what stands in the way, then inside the case, then the most openings met, then clear of walls,
/// then with the holes of plate and board apart from each other, then with the most room, then as drawn. `None` where the board does not fit into
/// the case.
///
/// A plate may carry the board anywhere; tried are the middle, as near to each wall as may be, and in line with each opening.
fn on_plate(swap: &Swap, board: &Board) -> Option<RigidMotion> {
    let (case, size) = (&swap.machine.case, board.outline.size.value);
    let clearance = swap.catalogue.limits().board_clearance.value.nominal();
    let zero = si::metre(0.0);
    let mut best: Option<(RigidMotion, Merit)> = None;
    for quarter in [0.0, 2.0, 1.0, 3.0] {
        let turn = RigidMotion {
            rotation: Angle::from_base(quarter * FRAC_PI_2),
            ..RigidMotion::none()
        };
        // Where the corner of the turned board comes to lie, so that a shift counts from its lower left.
        let turned = mechanics::placed(&turn, &mechanics::rectangle(point(size)));
        let low = turned.iter().fold(turned[0], |low, corner| {
            Point::new(low.x.smaller(corner.x), low.y.smaller(corner.y))
        });
        let (wide, deep) = if quarter % 2.0 == 0.0 {
            (size.x, size.y)
        } else {
            (size.y, size.x)
        };
        let (spare_x, spare_y) = (settled(case.size.x - wide), settled(case.size.y - deep));
        if spare_x < zero || spare_y < zero {
            continue;
        }
        let along = |spare: Length| {
            vec![
                spare / 2.0,
                clearance.smaller(spare / 2.0),
                (spare - clearance).larger(spare / 2.0),
            ]
        };
        let (mut xs, mut ys) = (along(spare_x), along(spare_y));
        for opening in &case.opening {
            let middle = (opening.from.nominal() + opening.to.nominal()) / 2.0;
            for (socket, _) in sockets(board, opening.role.value) {
                let at = turn.place(point(socket.at.value));
                match opening.edge.value {
                    Edge::Left | Edge::Right => {
                        ys.push((middle - (at.y - low.y)).larger(zero).smaller(spare_y));
                    }
                    Edge::Bottom | Edge::Top => {
                        xs.push((middle - (at.x - low.x)).larger(zero).smaller(spare_x));
                    }
                }
            }
        }
        for x in &xs {
            for y in &ys {
                let motion = RigidMotion {
                    shift: Point::new(*x - low.x, *y - low.y),
                    ..turn
                };
                let score = Merit::on_plate(swap, board, &motion);
                if best.as_ref().is_none_or(|(_, known)| score > *known) {
                    best = Some((motion, score));
                }
            }
        }
    }
    best.map(|(motion, _)| motion)
}

/// By how much an adaptor plate lifts the board above the posts; nothing where the board needs none.
pub(crate) fn raised(swap: &Swap, seat: &Seat) -> Value<Length> {
    let limits = swap.catalogue.limits();
    match seat.held {
        Held::Plate => limits.plate_thickness.value + limits.plate_spacer.value,
        Held::Posts | Held::Unknown => Value::exact(si::metre(0.0)),
    }
}

/// The ways near a quarter turn with enough screws, or the most; found without trying every assignment.
///
/// Each hole is put on each post in each quarter turn, and the others look for a post nearby. Only a board that has to lie askew
/// is missed; for one that finds fewer than three screws here the full search follows.
fn in_quarter_turns(holes: &[Point], posts: &[Point], (play, needed): (Length, usize)) -> Vec<Mounting> {
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
    out.retain(|way| way.screws >= needed.min(most));
    out
}

/// More screws than these are not tried in every subset.
const EXACT: usize = 5;

/// The position of a set of screws with the least largest distance; where not all of them fit, of the largest subset that does, exact over all
/// subsets. Of more than five screws the worst is given up first, until five are left.
fn tightened(matched: &[(usize, usize)], holes: &[Point], posts: &[Point], play: Length) -> Option<Mounting> {
    let mut pairs: Vec<(Point, Point)> = matched
        .iter()
        .map(|(hole, post)| (holes[*hole], posts[*post]))
        .collect();
    let fit = |pairs: &[(Point, Point)]| {
        let (motion, largest) = tightest_fit(pairs, false)?;
        (largest <= play).then_some(Mounting {
            motion,
            screws: pairs.len(),
            largest: settled(largest),
        })
    };
    loop {
        if let Some(all) = fit(&pairs) {
            return Some(all);
        }
        if pairs.len() <= EXACT {
            break;
        }
        let off = residuals(&best_fit(&pairs, false)?, &pairs);
        let worst = (0..off.len()).max_by(|a, b| off[*a].base().total_cmp(&off[*b].base()))?;
        pairs.remove(worst);
    }
    let subset = |chosen: u32| {
        let held = pairs.iter().enumerate().filter(|(at, _)| chosen >> at & 1 == 1);
        held.map(|(_, pair)| *pair).collect::<Vec<_>>()
    };
    (3..pairs.len()).rev().find_map(|size| {
        let chosen = (0..1_u32 << pairs.len()).filter(|chosen| chosen.count_ones() as usize == size);
        let fits = chosen.filter_map(|chosen| fit(&subset(chosen)));
        fits.min_by(|one, other| one.largest.base().total_cmp(&other.largest.base()))
    })
}

/// How [`room`] comes about: the distances of the board from the four walls.
pub(crate) fn room_working(motion: &RigidMotion, board: &Board, case: &Case) -> Working {
    let zero = si::metre(0.0);
    let rooms = mechanics::rooms(
        &corners(motion, board),
        Point::new(zero, zero),
        point(case.size.value),
    );
    let walls = ["left", "bottom", "right", "top"].into_iter().zip(rooms);
    let inputs = walls
        .map(|(wall, room)| named("gₙ", format!("to the {wall} wall"), Value::exact(settled(room))))
        .collect();
    let least = |rooms: &[Length]| rooms.iter().copied().fold(rooms[0], Number::smaller);
    work_many(&mechanics::ROOM_INSIDE, "g", inputs, least).working
}

/// The room around a board that may lie anywhere, as drawn or turned by a quarter: half of what is left over.
pub(crate) fn room_anywhere(board: &Board, case: &Case) -> Length {
    let (board, case) = (board.outline.size.value, case.size.value);
    let least = |x: Length, y: Length| (case.x - x).smaller(case.y - y) / 2.0;
    least(board.x, board.y).larger(least(board.y, board.x))
}
