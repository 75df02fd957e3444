//! The board in the case: which hole meets which post, what is in the way.

use drawing::{BoardHole, BoardInCase, BoardPort, KeepOut, Opening, Post, Spot};
use model::Role;
use model::board::PortKind;
use physics::mechanics::{self, RigidMotion};
use plan::Verdict;
use plan::mounting::Held;
use quantity::Number;
use quantity::si::{self, Length};

use super::wiring::{mm, spot};
use crate::shown::Shown;

pub(super) fn board(shown: &Shown<'_>, prefix: String) -> BoardInCase {
    let (board, case) = (shown.plan.board, &shown.swap.machine.case);
    let lay = lay(shown);
    let fitting = lay.screws.iter().filter(|screw| screw.is_some()).count();
    let title = format!("{} in the case of {}", board.name, shown.swap.machine.name);
    let description = match shown.plan.site.seats.new.held {
        Held::Plate => "The board from above in its case, on an adaptor plate: its own holes and those for the posts are those of the plate.".to_owned(),
        Held::Posts | Held::Unknown => format!(
            "The board from above in its case. {fitting} of {} mounting holes meet a post within the play of the screw.",
            board.outline.holes.len()
        ),
    };
    BoardInCase {
        head: super::head(shown, prefix, &title, description),
        name: board.name.value.clone(),
        width: mm(board.outline.size.x),
        height: mm(board.outline.size.y),
        shift: from_point(lay.motion.shift),
        turn_degrees: lay.motion.rotation.base().to_degrees(),
        holes: board
            .outline
            .holes
            .iter()
            .zip(&lay.screws)
            .enumerate()
            .map(|(at, (hole, post))| BoardHole {
                name: format!("hole {}", at + 1),
                at: spot(hole.value),
                diameter: mm(board.outline.hole_diameter.nominal()),
                post: *post,
                passes: post.is_some(),
            })
            .collect(),
        posts: posts(shown),
        keep_outs: case
            .keep_out
            .iter()
            .map(|keep_out| KeepOut {
                name: keep_out.name.value.clone(),
                at: spot(keep_out.at.value),
                width: mm(keep_out.size.x),
                height: mm(keep_out.size.y),
                hit: worst_about(shown, &keep_out.name.value) >= Verdict::Caution,
            })
            .collect(),
        openings: case
            .opening
            .iter()
            .map(|opening| self::opening(shown, opening, &lay.motion))
            .collect(),
        ports: board
            .ports
            .iter()
            .map(|port| BoardPort {
                name: port.name.value.clone(),
                at: spot(port.at.value),
            })
            .collect(),
    }
}

/// How the board lies, and the post of each hole that meets one.
struct Lay {
    motion: RigidMotion,
    screws: Vec<Option<usize>>,
}

/// As the seat of the board says, which the checks and the lengths of leads go by too.
fn lay(shown: &Shown<'_>) -> Lay {
    let (board, case) = (shown.plan.board, &shown.swap.machine.case);
    let seat = &shown.plan.site.seats.new;
    let point = |point: &model::Located<model::Point>| mechanics::Point::new(point.x, point.y);
    // A nanometre forgives the rounding of the fit.
    let play = plan::mounting::play(shown.swap, board).map_or(0.0, |play| play.base()) + 1e-9;
    let meets = |hole: mechanics::Point| {
        let at = seat.motion.place(hole);
        let posts = case.standoffs.iter().map(point);
        posts
            .enumerate()
            .find(|(_, post)| post.distance(at).base() <= play)
            .map(|(index, _)| index)
            .filter(|_| seat.held == Held::Posts)
    };
    Lay {
        motion: seat.motion,
        screws: board.outline.holes.iter().map(point).map(meets).collect(),
    }
}

fn screw(shown: &Shown<'_>) -> Length {
    let case = &shown.swap.machine.case;
    shown
        .swap
        .catalogue
        .screws()
        .get(&case.screw_size.value)
        .map_or_else(|| si::millimetre(3.0), |screw| screw.diameter.nominal())
}

fn posts(shown: &Shown<'_>) -> Vec<Post> {
    let post = |(at, place): (usize, &model::Located<model::Point>)| Post {
        name: format!("post {}", at + 1),
        at: spot(place.value),
        // The file does not say how thick a post is: drawn twice as thick as its screw.
        diameter: mm(screw(shown) * 2.0),
        screw: mm(screw(shown)),
    };
    shown
        .swap
        .machine
        .case
        .standoffs
        .iter()
        .enumerate()
        .map(post)
        .collect()
}

fn opening(shown: &Shown<'_>, opening: &model::machine::Opening, motion: &RigidMotion) -> Opening {
    let size = shown.swap.machine.case.size.value;
    let (from, to) = (opening.from.nominal(), opening.to.nominal());
    let zero = si::metre(0.0);
    let end = |along: Length| match *opening.edge {
        model::Edge::Left => model::Point { x: zero, y: along },
        model::Edge::Right => model::Point { x: size.x, y: along },
        model::Edge::Bottom => model::Point { x: along, y: zero },
        model::Edge::Top => model::Point { x: along, y: size.y },
    };
    let role = opening.role.value;
    let socket = shown.plan.board.ports.iter().find(|port| {
        matches!(
            (&port.kind, role),
            (PortKind::Usb { .. }, Role::Usb) | (PortKind::CardSlot { .. }, Role::CardSlot)
        )
    });
    let place =
        |port: &model::board::Port| from_point(motion.place(mechanics::Point::new(port.at.x, port.at.y)));
    let about = socket.map_or(role.word(), |port| port.name.value.as_str());
    Opening {
        name: role.word().to_owned(),
        from: spot(end(from)),
        to: spot(end(to)),
        socket: socket.map(place),
        verdict: super::verdict(worst_about(shown, about).max(worst_about(shown, role.word()))),
    }
}

fn from_point(point: mechanics::Point) -> Spot {
    Spot {
        x: mm(point.x),
        y: mm(point.y),
    }
}

/// The worst that was found about something by its name.
fn worst_about(shown: &Shown<'_>, name: &str) -> Verdict {
    let about = |finding: &&plan::Finding| {
        [&finding.subject.other, &finding.subject.port]
            .into_iter()
            .flatten()
            .any(|own| own == name)
    };
    shown
        .plan
        .findings
        .iter()
        .filter(about)
        .map(|finding| finding.verdict)
        .max()
        .unwrap_or(Verdict::Pass)
}
