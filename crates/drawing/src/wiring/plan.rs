//! The whole layout: tries scales until every name and every lead has its place, and puts the parts on the sheet.

use super::Wiring;
use super::arrange::{Exit, Item, columns};
use super::cards::PlacedCard;
use super::inner::Inner;
use super::outer::{self, Net, Tracks};
use super::sizes::Sizes;
use super::sockets::{Side, Socket, View, leader};
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

/// The board at one scale with what lies around it, from the board's upper left corner.
pub(super) struct Attempt {
    pub inner: Inner,
    pub nets: Vec<Net>,
    pub tracks: Tracks,
    pub cards: Vec<PlacedCard>,
}

/// How often the scale is raised by an eighth in vain before names or leads are given up.
const RAISES: usize = 4;
/// The largest side of a board on the sheet, in pixels.
const LARGEST: f64 = 2400.0;

/// Lays out the picture; `top` is where the title ends.
pub(super) fn plan(input: &Wiring, sizes: &Sizes, top: f64) -> Plan {
    let mut view = first_view(input, sizes);
    let mut best = Attempt::new(input, sizes, view, input.leads.len());
    for _ in 0..2 {
        // The width of the channels was a guess; now it is known.
        let fitted = View {
            scale: best.fitting_scale(sizes, view),
            ..view
        };
        if (fitted.scale - view.scale).abs() < 0.02 * view.scale && best.fits(sizes) {
            break;
        }
        view = fitted;
        best = Attempt::new(input, sizes, view, best.tracks.left + best.tracks.right);
    }
    let mut in_vain = 0;
    while best.inner.failures() > 0 && in_vain < RAISES && !sizes.narrow {
        view.scale *= 1.125;
        if view.scale * view.board.0.max(view.board.1) > LARGEST {
            break;
        }
        let next = Attempt::new(input, sizes, view, best.tracks.left + best.tracks.right);
        if next.inner.failures() < best.inner.failures() {
            best = next;
            in_vain = 0;
        } else {
            in_vain += 1;
        }
    }
    assemble(sizes, best, top)
}

/// A guess of the scale: half of the leads on each side.
fn first_view(input: &Wiring, sizes: &Sizes) -> View {
    let board = (input.board.width.0.max(1.0), input.board.height.0.max(1.0));
    // A phone is upright: so is the board on it.
    let turned = sizes.narrow && board.0 > board.1 * 1.1;
    let across = if turned { board.1 } else { board.0 };
    let tracks = input.leads.len() as f64 * if sizes.narrow { 1.0 } else { 0.6 };
    let beside = 2.0 * (sizes.edge + sizes.card_column() + sizes.rim()) + tracks * sizes.pitch;
    View {
        scale: scale_for(sizes, across, beside),
        turned,
        board,
    }
}

fn scale_for(sizes: &Sizes, across: f64, beside: f64) -> f64 {
    // A very large board gets a smaller scale rather than an endless sheet.
    let least = sizes.least_scale.min(1600.0 / across);
    ((sizes.width - beside) / across).clamp(least, sizes.largest_scale)
}

impl Attempt {
    /// `tracks`: how many tracks both channels are expected to have.
    fn new(input: &Wiring, sizes: &Sizes, view: View, tracks: usize) -> Self {
        let mut inner = Inner::new(input, sizes, view);
        if sizes.narrow {
            // The channels keep to the edges of the sheet, so that the cards between them have their width.
            let missing =
                (sizes.width - 2.0 * sizes.edge - tracks as f64 * sizes.pitch - inner.rim.width()).max(0.0);
            inner.rim.left -= missing / 2.0;
            inner.rim.right += missing / 2.0;
        }
        let rim = inner.rim;
        let card_width = if sizes.narrow {
            rim.width() - sizes.card_fan
        } else {
            sizes.card
        };
        let items: Vec<Item> = (0..input.devices.len())
            .map(|d| item(input, sizes, &inner, d))
            .collect();
        let columns = columns(&items, &rim);
        let leads_of = |d: usize| {
            (0..input.leads.len())
                .filter(|l| input.leads[*l].device == d)
                .collect::<Vec<_>>()
        };
        let side_of = |d: usize| {
            if columns.left.contains(&d) {
                Side::Left
            } else {
                Side::Right
            }
        };
        let home = |lead: usize| side_of(input.leads[lead].device);
        let mut cards = stacks::cards(input, sizes, card_width, &side_of, &leads_of);
        // First with the cards around the board's middle, to see which way leads go around it.
        stacks::place(&mut cards, sizes, &columns, &rim, &Tracks::default());
        let mut nets = nets(&inner, sizes, &cards, &home);
        for net in &mut nets {
            net.via = outer::via(net.exit, net.home, net.card_y, &rim);
        }
        let mut tracks = outer::levels(&nets, sizes.pitch);
        stacks::place(&mut cards, sizes, &columns, &rim, &tracks);
        stacks::avoid_entries(&mut cards, sizes, &nets, &tracks, &rim, &columns);
        for net in &mut nets {
            net.card_y = stacks::joint_y(&cards, net.lead);
        }
        outer::channels(&nets, &mut tracks, &rim, sizes.pitch);
        stacks::place_across(&mut cards, sizes, &rim, &tracks);
        Self {
            inner,
            nets,
            tracks,
            cards,
        }
    }

    /// What lies beside the rim, both sides together.
    fn beside(&self, sizes: &Sizes) -> f64 {
        let tracks = (self.tracks.left + self.tracks.right) as f64;
        2.0 * (sizes.edge + sizes.card_column() + sizes.channel_air()) + tracks * sizes.pitch
    }

    fn fits(&self, sizes: &Sizes) -> bool {
        self.beside(sizes) + self.inner.rim.width() <= sizes.width + 1.0
    }

    fn fitting_scale(&self, sizes: &Sizes, view: View) -> f64 {
        let across = if view.turned { view.board.1 } else { view.board.0 };
        let rim = self.inner.rim.width() - self.inner.board.width();
        scale_for(sizes, across, self.beside(sizes) + rim)
    }
}

/// A device by the exit of its first lead; without one, by its port, and without that, on the right.
fn item(input: &Wiring, sizes: &Sizes, inner: &Inner, device: usize) -> Item {
    let leads: Vec<usize> = (0..input.leads.len())
        .filter(|l| input.leads[*l].device == device)
        .collect();
    let rim = inner.rim;
    let routed = leads.iter().find_map(|l| inner.exits[*l]);
    let by_port = leads
        .first()
        .and_then(|l| inner.sockets.get(input.leads[*l].port))
        .map(|s| {
            let m = s.body.middle();
            let left = m.x < rim.middle().x;
            Exit {
                side: if left { Side::Left } else { Side::Right },
                at: Point::new(if left { rim.left } else { rim.right }, m.y),
            }
        });
    let default = Exit {
        side: Side::Right,
        at: Point::new(rim.right, rim.bottom),
    };
    let wires: usize = leads.iter().map(|l| input.leads[*l].wires.len().max(2)).sum();
    let weight = if sizes.narrow {
        40.0 * leads.len() as f64
    } else {
        60.0 + 15.0 * wires as f64
    };
    Item {
        device,
        exit: routed.or(by_port).unwrap_or(default),
        weight,
    }
}

/// The leads that got to the rim.
fn nets(inner: &Inner, sizes: &Sizes, cards: &[PlacedCard], home: &dyn Fn(usize) -> Side) -> Vec<Net> {
    let net = |(lead, exit): (usize, &Option<Exit>)| {
        exit.map(|exit| Net {
            lead,
            exit,
            home: home(lead),
            card_y: stacks::joint_y(cards, lead),
            inwards: sizes.narrow,
            via: None,
        })
    };
    inner.exits.iter().enumerate().filter_map(net).collect()
}

/// Moves everything to its place on the sheet.
fn assemble(sizes: &Sizes, attempt: Attempt, top: f64) -> Plan {
    let Attempt {
        inner,
        nets,
        tracks,
        cards,
    } = attempt;
    let extent = extent(sizes, &inner, &tracks, &cards);
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
        let Some(way) = &inner.ways[net.lead] else {
            continue;
        };
        let Some(joint) = stacks::joint(cards, net.lead, sizes) else {
            continue;
        };
        let mut points = way.clone();
        points.extend(outer::corners(net, i, tracks, &inner.rim, sizes.pitch, joint));
        let points: Vec<Point> = points.into_iter().map(moved).collect();
        paths[net.lead] = outer::simplified(&points);
    }
    paths
}

/// The box around board, levels and cards.
fn extent(sizes: &Sizes, inner: &Inner, tracks: &Tracks, cards: &[PlacedCard]) -> Area {
    let rim = inner.rim;
    let mut all = Area {
        left: rim.left - tracks.left as f64 * sizes.pitch,
        right: rim.right + tracks.right as f64 * sizes.pitch,
        top: rim.top - tracks.levels_up as f64 * sizes.pitch,
        bottom: rim.bottom + tracks.levels_down as f64 * sizes.pitch,
    };
    for card in cards {
        let a = card.area();
        all = Area {
            left: all.left.min(a.left),
            right: all.right.max(a.right),
            top: all.top.min(a.top),
            bottom: all.bottom.max(a.bottom),
        };
    }
    all
}
