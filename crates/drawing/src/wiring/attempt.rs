//! One try: the board at a scale, the columns, and the tracks between; and how good it looks.

use super::Wiring;
use super::arrange::{Columns, Exit, Item, columns};
use super::cards::PlacedCard;
use super::inner::Inner;
use super::outer::{self, Net, Tracks};
use super::sizes::Sizes;
use super::sockets::{Side, View, leader};
use super::stacks;
use crate::geometry::{Area, Point};

/// The board at one scale with what lies around it, from the board's upper left corner.
pub(super) struct Attempt {
    pub inner: Inner,
    pub nets: Vec<Net>,
    pub tracks: Tracks,
    pub cards: Vec<PlacedCard>,
}

/// What may be varied to get a better picture.
#[derive(Clone, Debug)]
pub(super) struct Choice {
    pub view: View,
    /// Ports whose leads leave on the other side than the likelier one.
    pub flipped: Vec<bool>,
    /// How many tracks both channels are expected to have.
    pub tracks: usize,
}

impl Attempt {
    pub fn new(input: &Wiring, sizes: &Sizes, choice: &Choice) -> Self {
        let mut inner = Inner::new(input, sizes, choice.view, &choice.flipped);
        if sizes.narrow {
            // The channels keep to the edges of the sheet, so that the cards between them have their width.
            let missing =
                (sizes.width - 2.0 * sizes.edge - choice.tracks as f64 * sizes.pitch - inner.rim.width())
                    .max(0.0);
            inner.rim.left -= missing / 2.0;
            inner.rim.right += missing / 2.0;
        }
        let rim = inner.rim;
        let card_width = if sizes.narrow {
            rim.width() - sizes.card_fan
        } else {
            sizes.card
        };
        let columns = all_columns(input, sizes, &inner);
        let cables_of = |d: usize| {
            (0..input.cables.len())
                .filter(|l| input.cables[*l].device == d)
                .collect::<Vec<_>>()
        };
        let side_of = |d: usize| {
            if columns.left.contains(&d) {
                Side::Left
            } else {
                Side::Right
            }
        };
        let home = |cable: usize| side_of(input.cables[cable].device);
        let mut cards = stacks::cards(input, sizes, card_width, &side_of, &cables_of);
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
            net.card_y = stacks::joint_y(&cards, net.cable);
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

    pub fn fits(&self, sizes: &Sizes) -> bool {
        self.beside(sizes) + self.inner.rim.width() <= sizes.width + 1.0
    }

    pub fn fitting_scale(&self, sizes: &Sizes, view: View) -> f64 {
        let across = if view.turned { view.board.1 } else { view.board.0 };
        let rim = self.inner.rim.width() - self.inner.board.width();
        sizes.scale_for(across, self.beside(sizes) + rim)
    }

    /// How much there is to dislike: what failed above all, then detours and bends on the board, names that stand off
    /// or upright, leads that go around, and a sheet that outgrows A4.
    pub fn cost(&self, sizes: &Sizes) -> f64 {
        let inner = &self.inner;
        let ways: f64 = (0..inner.ways.len())
            .map(|l| self.detour(l) + 4.0 * bends(inner.ways[l].as_deref()))
            .sum();
        let upright = inner
            .names
            .iter()
            .flatten()
            .flatten()
            .filter(|l| l.upright)
            .count();
        let off = (0..inner.sockets.len())
            .filter(|i| leader(*i, &inner.sockets, &inner.names, sizes).is_some())
            .count();
        let around = self.tracks.away.iter().flatten().count();
        let (width, height) = self.size(sizes);
        let too_large = (width - sizes.width).max(0.0) / 10.0
            + if sizes.narrow {
                0.0
            } else {
                (height - sizes.width / std::f64::consts::SQRT_2).max(0.0) / 20.0
            };
        inner.failures() as f64 * 1e4 + ways + (6 * upright + 3 * off + 12 * around) as f64 + too_large
    }

    /// How much longer the way of a lead to the rim is than the straight one, in tracks.
    pub fn detour(&self, cable: usize) -> f64 {
        let (inner, joint) = (&self.inner, self.inner.joints[cable]);
        let Some(way) = &inner.ways[cable] else { return 0.0 };
        let length: f64 = way
            .windows(2)
            .map(|w| (w[0].x - w[1].x).abs() + (w[0].y - w[1].y).abs())
            .sum();
        let r = &inner.rim;
        let straight = (joint.x - r.left)
            .min(r.right - joint.x)
            .min(joint.y - r.top)
            .min(r.bottom - joint.y);
        (length - straight.max(0.0)) / inner.pitch
    }

    pub fn size(&self, sizes: &Sizes) -> (f64, f64) {
        let e = extent(sizes, self);
        (e.width() + 2.0 * sizes.edge, e.height())
    }
}

fn bends(way: Option<&[Point]>) -> f64 {
    way.map_or(0.0, |w| outer::simplified(w).len().saturating_sub(2) as f64)
}

/// The columns of the devices with leads, and below them those without.
fn all_columns(input: &Wiring, sizes: &Sizes, inner: &Inner) -> Columns {
    let has_cable = |d: &usize| input.cables.iter().any(|l| l.device == *d);
    let items: Vec<Item> = (0..input.devices.len())
        .filter(has_cable)
        .map(|d| item(input, sizes, inner, d))
        .collect();
    let mut columns = columns(&items, &inner.rim);
    let weight = |c: &[usize]| {
        items
            .iter()
            .filter(|i| c.contains(&i.device))
            .map(|i| i.weight)
            .sum::<f64>()
    };
    let (mut left, mut right) = (weight(&columns.left), weight(&columns.right));
    for device in (0..input.devices.len()).filter(|d| !has_cable(d)) {
        let (column, high) = if left < right {
            (&mut columns.left, &mut left)
        } else {
            (&mut columns.right, &mut right)
        };
        column.push(device);
        *high += 60.0;
        columns.from_below.push(device);
    }
    columns
}

/// A device by the exit of its first lead; without one, by its port, and without that, on the right.
fn item(input: &Wiring, sizes: &Sizes, inner: &Inner, device: usize) -> Item {
    let cables: Vec<usize> = (0..input.cables.len())
        .filter(|l| input.cables[*l].device == device)
        .collect();
    let rim = inner.rim;
    let routed = cables.iter().find_map(|l| inner.exits[*l]);
    let by_port = cables
        .first()
        .and_then(|l| inner.sockets.get(input.cables[*l].port))
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
    let wires: usize = cables.iter().map(|l| input.cables[*l].wires.len().max(2)).sum();
    let weight = if sizes.narrow {
        40.0 * cables.len() as f64
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
    let net = |(cable, exit): (usize, &Option<Exit>)| {
        exit.map(|exit| Net {
            cable,
            exit,
            home: home(cable),
            card_y: stacks::joint_y(cards, cable),
            inwards: sizes.narrow,
            via: None,
        })
    };
    inner.exits.iter().enumerate().filter_map(net).collect()
}

/// The box around board, levels and cards.
pub(super) fn extent(sizes: &Sizes, attempt: &Attempt) -> Area {
    let (rim, tracks) = (attempt.inner.rim, &attempt.tracks);
    let mut all = Area {
        left: rim.left - tracks.left as f64 * sizes.pitch,
        right: rim.right + tracks.right as f64 * sizes.pitch,
        top: rim.top - tracks.levels_up as f64 * sizes.pitch,
        bottom: rim.bottom + tracks.levels_down as f64 * sizes.pitch,
    };
    for card in &attempt.cards {
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
