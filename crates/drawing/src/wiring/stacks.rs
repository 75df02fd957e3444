//! The cards in their columns, or in one stack below the board.

use super::Wiring;
use super::arrange::Columns;
use super::cards::{PlacedCard, card};
use super::outer::{Net, Tracks, entry_y};
use super::port_title;
use super::sizes::Sizes;
use super::sockets::Side;
use crate::geometry::{Area, Point};

/// Smallest and largest gap of two cards.
const GAP: (f64, f64) = (7.0, 24.0);

/// All cards, in the order of the devices, not yet placed.
pub(super) fn cards(
    input: &Wiring,
    sizes: &Sizes,
    width: f64,
    side_of: &dyn Fn(usize) -> Side,
    cables_of: &dyn Fn(usize) -> Vec<usize>,
) -> Vec<PlacedCard> {
    let title = |port: usize| port_title(input, port);
    (0..input.devices.len())
        .map(|d| {
            // The wires end on the edge that looks towards the lead's channel.
            let edge = match (side_of(d), sizes.narrow) {
                (side, true) => side,
                (side, false) => side.opposite(),
            };
            PlacedCard {
                card: card(input, d, &cables_of(d), edge, width, &title),
                corner: Point::default(),
            }
        })
        .collect()
}

/// Heights of all cards.
pub(super) fn place(cards: &mut [PlacedCard], sizes: &Sizes, columns: &Columns, rim: &Area, tracks: &Tracks) {
    let up = rim.top - tracks.levels_up as f64 * sizes.pitch;
    let down = rim.bottom + tracks.levels_down as f64 * sizes.pitch;
    if sizes.narrow {
        stack(cards, &columns.from_below, down + 16.0, GAP.0 + 1.0);
        return;
    }
    let heights: Vec<f64> = cards.iter().map(|c| c.card.height).collect();
    let height = |c: &[usize]| c.iter().map(|d| heights[*d]).sum::<f64>();
    let needed = |c: &[usize]| height(c) + GAP.0 * c.len().saturating_sub(1) as f64;
    let window = (down - up).max(needed(&columns.left)).max(needed(&columns.right));
    let middle = (up + down) / 2.0;
    for column in [&columns.left, &columns.right] {
        let free = (window - height(column)) / column.len().saturating_sub(1).max(1) as f64;
        let gap = free.clamp(GAP.0, GAP.1);
        let total = height(column) + gap * column.len().saturating_sub(1) as f64;
        stack(cards, column, middle - total / 2.0, gap);
    }
}

fn stack(cards: &mut [PlacedCard], order: &[usize], top: f64, gap: f64) {
    let mut y = top;
    for d in order {
        cards[*d].corner.y = y;
        y += cards[*d].card.height + gap;
    }
}

/// How close a lead's end at its card may come to the height at which another enters the same channel.
const APART: f64 = 4.0;

/// Moves cards down a little where a lead would end on the height at which another comes in: the two would seem one.
pub(super) fn avoid_entries(
    cards: &mut [PlacedCard],
    sizes: &Sizes,
    nets: &[Net],
    tracks: &Tracks,
    rim: &Area,
    columns: &Columns,
) {
    if sizes.narrow {
        return;
    }
    for (side, column) in [(Side::Left, &columns.left), (Side::Right, &columns.right)] {
        let entries: Vec<(usize, f64)> = nets
            .iter()
            .enumerate()
            .filter(|(_, n)| n.home == side || n.exit.side == side)
            .flat_map(|(i, n)| {
                [
                    (n.cable, entry_y(n, tracks.level[i], rim, sizes.pitch)),
                    (n.cable, n.exit.at.y),
                ]
            })
            .collect();
        let mut least = f64::NEG_INFINITY;
        for d in column {
            let placed = &mut cards[*d];
            placed.corner.y = placed.corner.y.max(least);
            let clear = |p: &PlacedCard| {
                let mut ends = p.card.ends.iter();
                ends.all(|e| {
                    entries
                        .iter()
                        .all(|(l, y)| *l == e.cable || (p.corner.y + e.joint - y).abs() >= APART)
                })
            };
            if let Some(y) = straight(placed, &entries, least)
                .into_iter()
                .find(|y| clear(&moved(placed, *y)))
            {
                placed.corner.y = y;
            }
            // Entries lie at least a track apart, so that a free height comes soon; a card with many ends may need more.
            for _ in 0..160 {
                if clear(placed) {
                    break;
                }
                placed.corner.y += 0.5;
            }
            least = placed.corner.y + placed.card.height + GAP.0;
        }
    }
}

/// How far a card may be moved to spare a lead its bend.
const STRAIGHTEN: f64 = 16.0;

/// Heights of a card, near its own and not above `least`, at which one of its leads comes in straight; nearest first.
fn straight(placed: &PlacedCard, entries: &[(usize, f64)], least: f64) -> Vec<f64> {
    let own = placed.corner.y;
    let ends = placed.card.ends.iter();
    let mut heights: Vec<f64> = ends
        .flat_map(|e| {
            entries
                .iter()
                .filter(|(l, _)| *l == e.cable)
                .map(|(_, y)| y - e.joint)
        })
        .filter(|y| *y >= least && (y - own).abs() <= STRAIGHTEN)
        .collect();
    heights.sort_by(|a, b| (a - own).abs().total_cmp(&(b - own).abs()));
    heights
}

fn moved(placed: &PlacedCard, y: f64) -> PlacedCard {
    PlacedCard {
        corner: Point::new(placed.corner.x, y),
        ..placed.clone()
    }
}

/// Where the cards stand across the sheet.
pub(super) fn place_across(cards: &mut [PlacedCard], sizes: &Sizes, rim: &Area, tracks: &Tracks) {
    let (left, right) = (
        tracks.left as f64 * sizes.pitch,
        tracks.right as f64 * sizes.pitch,
    );
    for placed in cards {
        placed.corner.x = match (sizes.narrow, placed.card.edge) {
            (true, Side::Left) => rim.left + sizes.card_fan,
            (true, _) => rim.left,
            (false, Side::Right) => {
                rim.left - left - sizes.channel_air() - sizes.card_fan - placed.card.width
            }
            (false, _) => rim.right + right + sizes.channel_air() + sizes.card_fan,
        };
    }
}

/// Height of the joint at which a lead meets its card.
pub(super) fn joint_y(cards: &[PlacedCard], cable: usize) -> f64 {
    let found = cards.iter().find_map(|c| {
        c.card
            .ends
            .iter()
            .find(|e| e.cable == cable)
            .map(|e| c.corner.y + e.joint)
    });
    found.unwrap_or_default()
}

/// The joint at which a lead meets its card.
pub(super) fn joint(cards: &[PlacedCard], cable: usize, sizes: &Sizes) -> Option<Point> {
    cards.iter().find_map(|c| {
        c.card
            .ends
            .iter()
            .find(|e| e.cable == cable)
            .map(|e| c.joint(e, sizes))
    })
}
