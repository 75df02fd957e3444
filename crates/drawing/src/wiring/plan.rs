//! The whole layout: tries scales until every name and every lead has its place, and puts the parts on the sheet.

use super::Wiring;
use super::attempt::{Attempt, Choice, extent};
use super::cards::PlacedCard;
use super::inner::Inner;
use super::outer::{self, Net, Tracks};
use super::sizes::Sizes;
use super::sockets::{Socket, View, leader};
use super::stacks;
use crate::geometry::{Area, Point};
use crate::sheet::Label;

/// Everything that is needed to paint, on the sheet's coordinates.
pub(super) struct Plan {
    pub width: f64,
    /// Below everything; the legend starts here.
    pub bottom: f64,
    pub view: View,
    pub board: Area,
    pub holes: Vec<(Point, f64)>,
    pub sockets: Vec<Socket>,
    /// Names of the ports, one set for each.
    pub names: Vec<Vec<Label>>,
    /// From names that stand off to their ports.
    pub leaders: Vec<(Point, Point)>,
    pub cards: Vec<PlacedCard>,
    /// Where the wires of each lead join at its port.
    pub joints: Vec<Point>,
    /// From joint to card; empty where there was no room.
    pub paths: Vec<Vec<Point>>,
}

/// How often the scale is raised by an eighth in vain before names or leads are given up.
const RAISES: usize = 4;
/// The largest side of a board on the sheet, in pixels.
const LARGEST: f64 = 2400.0;

/// Lays out the picture; `top` is where the title ends.
pub(super) fn plan(input: &Wiring, sizes: &Sizes, top: f64) -> Plan {
    let (choice, attempt) = fitted(input, sizes);
    let (choice, attempt) = raised(input, sizes, choice, attempt);
    assemble(sizes, refined(input, sizes, choice, attempt), top)
}

/// At the scale at which everything is as wide as the sheet.
fn fitted(input: &Wiring, sizes: &Sizes) -> (Choice, Attempt) {
    let view = first_view(input, sizes);
    let flipped = vec![false; input.board.ports.len()];
    let mut choice = Choice {
        view,
        flipped,
        tracks: input.cables.len(),
    };
    let mut attempt = Attempt::new(input, sizes, &choice);
    for _ in 0..2 {
        // The width of the channels was a guess; now it is known.
        let scale = attempt.fitting_scale(sizes, choice.view);
        if (scale - choice.view.scale).abs() < 0.02 * scale && attempt.fits(sizes) {
            break;
        }
        choice.view.scale = scale;
        choice.tracks = attempt.tracks.left + attempt.tracks.right;
        attempt = Attempt::new(input, sizes, &choice);
    }
    within(input, sizes, choice, attempt)
}

/// How often room for more tracks is made until a picture is no wider than a phone.
const TRIES: usize = 8;

/// A phone does not scroll sideways: where a try has more tracks than room was kept for, room for these is taken from the board.
fn within(input: &Wiring, sizes: &Sizes, mut choice: Choice, mut attempt: Attempt) -> (Choice, Attempt) {
    for _ in 0..TRIES {
        if !sizes.narrow || attempt.size(sizes).0 <= sizes.width {
            break;
        }
        choice.tracks = choice.tracks.max(attempt.tracks.left + attempt.tracks.right);
        choice.view.scale = choice.view.scale.min(attempt.fitting_scale(sizes, choice.view));
        attempt = Attempt::new(input, sizes, &choice);
    }
    (choice, attempt)
}

/// At a larger scale, if names or leads found no place.
fn raised(input: &Wiring, sizes: &Sizes, choice: Choice, attempt: Attempt) -> (Choice, Attempt) {
    let (mut best_choice, mut best) = (choice.clone(), attempt);
    let mut choice = choice;
    let mut in_vain = 0;
    while best.inner.failures() > 0 && in_vain < RAISES && !sizes.narrow {
        choice.view.scale *= 1.125;
        if choice.view.scale * choice.view.board.0.max(choice.view.board.1) > LARGEST {
            break;
        }
        let next = Attempt::new(input, sizes, &choice);
        if next.inner.failures() < best.inner.failures() {
            (best_choice, best) = (choice.clone(), next);
            in_vain = 0;
        } else {
            in_vain += 1;
        }
    }
    (best_choice, best)
}

/// What a smaller board costs, for each part in a hundred: it is given up only for something better.
const SHRINK: f64 = 0.8;
/// A lead that goes further around than this, in tracks, may do better on the other side of its port.
const FAR: f64 = 10.0;
/// The most ports that are tried the other way.
const FLIPS: usize = 8;

/// Slightly smaller boards and other sides of ports, as long as the picture gets better.
fn refined(input: &Wiring, sizes: &Sizes, choice: Choice, attempt: Attempt) -> Attempt {
    let largest = choice.view.scale;
    let rate = |c: &Choice, a: &Attempt| a.cost(sizes) + SHRINK * 100.0 * (1.0 - c.view.scale / largest);
    let mut best = (rate(&choice, &attempt), choice, attempt);
    let try_out = |choice: Choice, best: &mut (f64, Choice, Attempt)| {
        let attempt = Attempt::new(input, sizes, &choice);
        let (choice, attempt) = within(input, sizes, choice, attempt);
        let cost = rate(&choice, &attempt);
        if cost < best.0 - 1e-9 {
            *best = (cost, choice, attempt);
        }
    };
    if !sizes.narrow {
        for hundredths in 1..=10 {
            let mut choice = best.1.clone();
            choice.view.scale = largest * (1.0 - f64::from(hundredths) / 100.0);
            try_out(choice, &mut best);
        }
    }
    let mut far: Vec<(usize, f64)> = (0..input.cables.len()).map(|l| (l, best.2.detour(l))).collect();
    far.retain(|(l, d)| *d > FAR || best.2.inner.ways[*l].is_none());
    far.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    for (cable, _) in far.into_iter().take(FLIPS) {
        let mut choice = best.1.clone();
        let port = input.cables[cable].port;
        choice.flipped[port] = !choice.flipped[port];
        try_out(choice, &mut best);
    }
    best.2
}

/// A guess of the scale: half of the leads on each side.
fn first_view(input: &Wiring, sizes: &Sizes) -> View {
    let board = (input.board.width.0.max(1.0), input.board.height.0.max(1.0));
    // A phone is upright: so is the board on it.
    let turned = sizes.narrow && board.0 > board.1 * 1.1;
    let across = if turned { board.1 } else { board.0 };
    let tracks = input.cables.len() as f64 * if sizes.narrow { 1.0 } else { 0.6 };
    let beside = 2.0 * (sizes.edge + sizes.card_column() + sizes.rim()) + tracks * sizes.pitch;
    View {
        scale: sizes.scale_for(across, beside),
        turned,
        board,
    }
}

/// Moves everything to its place on the sheet.
fn assemble(sizes: &Sizes, attempt: Attempt, top: f64) -> Plan {
    let extent = extent(sizes, &attempt);
    let Attempt {
        inner,
        nets,
        tracks,
        cards,
    } = attempt;
    let width = (extent.width() + 2.0 * sizes.edge).max(sizes.width);
    let by = Point::new(
        (width - extent.width()) / 2.0 - extent.left,
        top + 8.0 - extent.top,
    );
    let moved = |p: Point| Point::new(p.x + by.x, p.y + by.y);
    let paths = paths(sizes, &inner, &nets, &tracks, &cards, &moved);
    let leaders = (0..inner.sockets.len())
        .filter_map(|i| leader(i, &inner.sockets, &inner.names, sizes))
        .map(|(a, b)| (moved(a), moved(b)))
        .collect();
    let cards = cards
        .into_iter()
        .map(|c| PlacedCard {
            corner: moved(c.corner),
            ..c
        })
        .collect();
    Plan {
        width,
        bottom: extent.bottom + by.y,
        view: inner.view,
        board: shifted(&inner.board, by),
        holes: inner.holes.iter().map(|(p, r)| (moved(*p), *r)).collect(),
        names: inner
            .names
            .into_iter()
            .map(|n| {
                n.unwrap_or_default()
                    .into_iter()
                    .map(|l| Label { at: moved(l.at), ..l })
                    .collect()
            })
            .collect(),
        sockets: inner
            .sockets
            .into_iter()
            .map(|s| Socket {
                body: shifted(&s.body, by),
                pins: s.pins.iter().map(|p| moved(*p)).collect(),
                ..s
            })
            .collect(),
        leaders,
        cards,
        joints: inner.joints.iter().map(|p| moved(*p)).collect(),
        paths,
    }
}

const fn shifted(a: &Area, by: Point) -> Area {
    Area {
        left: a.left + by.x,
        right: a.right + by.x,
        top: a.top + by.y,
        bottom: a.bottom + by.y,
    }
}

fn paths(
    sizes: &Sizes,
    inner: &Inner,
    nets: &[Net],
    tracks: &Tracks,
    cards: &[PlacedCard],
    moved: &dyn Fn(Point) -> Point,
) -> Vec<Vec<Point>> {
    let mut paths = vec![Vec::new(); inner.ways.len()];
    for (i, net) in nets.iter().enumerate() {
        let Some(way) = &inner.ways[net.cable] else {
            continue;
        };
        let Some(joint) = stacks::joint(cards, net.cable, sizes) else {
            continue;
        };
        let mut points = way.clone();
        points.extend(outer::corners(net, i, tracks, &inner.rim, sizes.pitch, joint));
        let points: Vec<Point> = points.into_iter().map(moved).collect();
        paths[net.cable] = outer::simplified(&points);
    }
    paths
}
