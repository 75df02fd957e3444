//! How good a place of a board is where it may lie in several ways.

use model::Swap;
use model::board::Board;
use model::machine::Opening;
use physics::mechanics::{self, Point, RigidMotion};
use quantity::si::Length;
use quantity::{Number, si};

use super::geometry::{behind, corners, of_keep_out, point, room, settled, sockets, web};
use super::plate::{Plate, margin};

/// How good a place is, in the order of what counts; the larger the better.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub(crate) struct Merit {
    /// What it does not stand on, below zero: keep-outs and posts.
    free: i64,
    /// Whether it lies inside the case, its plate too.
    inside: bool,
    /// Screws that pass.
    screws: usize,
    /// Openings that a socket stands behind so that its plug passes.
    openings: usize,
    /// Whether it keeps its clearance from walls and keep-outs.
    clear: bool,
    /// Whether holes of plate and board are apart.
    apart: bool,
    /// Room to the walls, to the tenth of a millimetre: of places that differ by less the first one counts.
    room: i64,
}

impl Merit {
    /// Of a board on the posts, with so many screws.
    pub fn on_posts(swap: &Swap, board: &Board, motion: &RigidMotion, screws: usize) -> Self {
        let pressed = pressing(swap, board, motion).count();
        Self::new(swap, board, motion, (pressed, screws), None)
    }
    /// Of a board on a plate.
    pub fn on_plate(swap: &Swap, board: &Board, motion: &RigidMotion) -> Self {
        let plate = Plate::of(swap, board, motion);
        let merit = Self::new(swap, board, motion, (0, 0), plate);
        let apart = web(motion, swap, board).is_none_or(|web| web.base() >= 0.0);
        Self { apart, ..merit }
    }
    fn new(
        swap: &Swap,
        board: &Board,
        motion: &RigidMotion,
        (pressed, screws): (usize, usize),
        plate: Option<Plate>,
    ) -> Self {
        let case = &swap.machine.case;
        let clearance = swap.catalogue.limits().board_clearance.value.nominal();
        let outline = corners(motion, board);
        let blocking = || case.keep_out.iter().filter(|own| own.height.high().base() <= 0.0);
        let gaps = || blocking().map(|own| settled(mechanics::gap(&outline, &of_keep_out(own))));
        let met = gaps().filter(|gap| gap.base() < 0.0).count();
        let by_plate = plate.map_or(0, |plate| {
            case.keep_out.iter().filter(|own| plate.meets(own, swap)).count()
        });
        let own = room(motion, board, case);
        let least = plate.map_or(own, |plate| own.smaller(plate.room(case)));
        Self {
            free: -i64::try_from(met + by_plate + pressed).unwrap_or(i64::MAX),
            inside: least.base() >= 0.0,
            screws,
            openings: openings_met(swap, board, motion),
            clear: own >= clearance && gaps().all(|gap| gap >= clearance),
            apart: true,
            #[expect(clippy::cast_possible_truncation, reason = "tenths of a millimetre of a case")]
            room: (own.base() * 1e4).round() as i64,
        }
    }
}

/// How wide what must pass the wall at a socket is: the body of a plug, or a small card. The plug at hand goes before.
#[must_use]
pub fn passing(swap: &Swap, connector: &str) -> Length {
    let family = swap.catalogue.connectors().get(connector);
    let body = family.and_then(|family| family.body);
    body.unwrap_or(swap.catalogue.limits().opening_plug_width.value)
        .high()
}

/// The openings that a socket of the board stands behind so that its plug passes.
fn openings_met(swap: &Swap, board: &Board, motion: &RigidMotion) -> usize {
    let case = &swap.machine.case;
    let play = swap.catalogue.limits().opening_play.value.nominal();
    let met = |opening: &&Opening| {
        let width = opening.to.nominal() - opening.from.nominal();
        sockets(board, opening.role.value).any(|(socket, edge)| {
            let plug = passing(swap, &socket.connector.value);
            behind(motion, socket, edge, case, opening)
                .is_some_and(|seen| seen.room >= plug / 2.0 - play && width >= plug)
        })
    };
    case.opening.iter().filter(met).count()
}

/// The posts, by number, that press on a board lying so: under it, and no hole of it above them.
pub fn pressing(swap: &Swap, board: &Board, motion: &RigidMotion) -> impl Iterator<Item = usize> {
    let around = margin(swap);
    let outline = corners(motion, board);
    let holes: Vec<Point> = board
        .outline
        .holes
        .iter()
        .map(|hole| motion.place(point(hole.value)))
        .collect();
    let posts = swap.machine.case.standoffs.iter().enumerate();
    let pressing = posts.filter(move |(_, post)| {
        let post = point(post.value);
        let square = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|(x, y)| Point::new(post.x + around * x, post.y + around * y));
        let under = mechanics::gap(&outline, &square) < si::metre(-1e-9);
        under && holes.iter().all(|hole| hole.distance(post) > around)
    });
    pressing.map(|(at, _)| at)
}
