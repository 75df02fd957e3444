//! Which device stands in which column, and in which order: around the board as the leads leave it.

use super::sockets::Side;
use crate::geometry::{Area, Point};

/// Where a lead leaves the rim.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Exit {
    pub side: Side,
    pub at: Point,
}

/// A device as far as the arrangement is concerned.
#[derive(Clone, Copy, Debug)]
pub(super) struct Item {
    pub device: usize,
    pub exit: Exit,
    /// What it takes of the height of its column, about.
    pub weight: f64,
}

/// The devices of both columns.
#[derive(Clone, Debug, Default)]
pub(super) struct Columns {
    /// From top to bottom.
    pub left: Vec<usize>,
    /// From top to bottom.
    pub right: Vec<usize>,
    /// Both in one stack, outwards from the middle of the board's lower edge.
    pub from_below: Vec<usize>,
}

/// Height of a column, in pixels, that a sheet has room for.
const SHEET: f64 = 800.0;

/// Cuts the circle of devices at two places, so that neither column is overlong and few leads go around a corner.
pub(super) fn columns(items: &[Item], rim: &Area) -> Columns {
    let mut circle: Vec<&Item> = items.iter().collect();
    circle.sort_by(|a, b| {
        turn(a.exit, rim)
            .total_cmp(&turn(b.exit, rim))
            .then(a.device.cmp(&b.device))
    });
    let count = circle.len();
    let total: f64 = items.iter().map(|i| i.weight).sum();
    let mut best: Option<(f64, usize, usize)> = None;
    for start in 0..count.max(1) {
        let mut left_weight = 0.0_f64;
        let mut cost = circle
            .iter()
            .map(|i| detour(i.exit, Side::Right, rim))
            .sum::<f64>();
        for taken in 0..=count {
            // A column that is higher than a sheet weighs more and more.
            let high = left_weight.max(total - left_weight) / SHEET;
            let rate = cost / rim.width().max(1.0) + 6.0 * high * high;
            if best.is_none_or(|(b, ..)| rate < b - 1e-9) {
                best = Some((rate, start, taken));
            }
            if taken < count {
                let item = circle[(start + taken) % count];
                left_weight += item.weight;
                cost += detour(item.exit, Side::Left, rim) - detour(item.exit, Side::Right, rim);
            }
        }
    }
    let (_, start, taken) = best.unwrap_or_default();
    let left: Vec<&Item> = (0..taken).map(|k| circle[(start + k) % count]).collect();
    let right: Vec<&Item> = (taken..count)
        .rev()
        .map(|k| circle[(start + k) % count])
        .collect();
    let devices = |items: &[&Item]| items.iter().map(|i| i.device).collect();
    Columns {
        left: devices(&left),
        right: devices(&right),
        from_below: merged(&left, &right, rim),
    }
}

/// Both columns from the bottom up in one stack, each in its own order, by how far they leave from the middle below.
fn merged(left: &[&Item], right: &[&Item], rim: &Area) -> Vec<usize> {
    let mut merged = Vec::with_capacity(left.len() + right.len());
    let (mut left, mut right) = (left.iter().rev().peekable(), right.iter().rev().peekable());
    loop {
        let take_left = match (left.peek(), right.peek()) {
            (Some(l), Some(r)) => below(l.exit, rim) <= below(r.exit, rim),
            (Some(_), None) => true,
            (None, Some(_)) => false,
            (None, None) => return merged,
        };
        let next = if take_left { left.next() } else { right.next() };
        merged.extend(next.map(|i| i.device));
    }
}

/// How far around the rim, counter-clockwise on the sheet from the middle of the upper edge.
fn turn(exit: Exit, rim: &Area) -> f64 {
    let (w, h) = (rim.width(), rim.height());
    let Point { x, y } = exit.at;
    match exit.side {
        Side::Up if x <= rim.middle().x => rim.middle().x - x,
        Side::Left => w / 2.0 + (y - rim.top),
        Side::Down => w / 2.0 + h + (x - rim.left),
        Side::Right => 1.5 * w + h + (rim.bottom - y),
        Side::Up => 1.5 * w + 2.0 * h + (rim.right - x),
    }
}

/// How far around the rim from the middle of the lower edge, whichever way is shorter.
fn below(exit: Exit, rim: &Area) -> f64 {
    let around = 2.0 * (rim.width() + rim.height());
    (turn(exit, rim) - around / 2.0).abs()
}

/// What it takes to bring a lead to a column.
fn detour(exit: Exit, column: Side, rim: &Area) -> f64 {
    let across = if column == Side::Left {
        exit.at.x - rim.left
    } else {
        rim.right - exit.at.x
    };
    match exit.side {
        Side::Up | Side::Down => across,
        side if side == column => 0.0,
        // Around two corners: far, and it takes a track on three sides.
        _ => 1.5 * rim.width() + (exit.at.y - rim.top).min(rim.bottom - exit.at.y),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn order_follows_the_rim_and_the_columns_balance() {
        let rim = Area::new(0.0, 0.0, 100.0, 80.0);
        let item = |device, side, x, y| Item {
            device,
            exit: Exit {
                side,
                at: Point::new(x, y),
            },
            weight: 10.0,
        };
        let items = [
            item(0, Side::Up, 20.0, 0.0),
            item(1, Side::Up, 80.0, 0.0),
            item(2, Side::Left, 0.0, 20.0),
            item(3, Side::Left, 0.0, 60.0),
            item(4, Side::Down, 40.0, 80.0),
            item(5, Side::Down, 60.0, 80.0),
            item(6, Side::Right, 100.0, 30.0),
            item(7, Side::Right, 100.0, 70.0),
        ];
        let c = columns(&items, &rim);
        assert_eq!(c.left, [0, 2, 3, 4]);
        assert_eq!(c.right, [1, 6, 7, 5]);
        assert_eq!(c.from_below[..2], [4, 5]);
        assert!(c.from_below[6..].contains(&0) && c.from_below[6..].contains(&1));
    }

    #[test]
    fn many_ports_on_one_edge_fill_both_columns() {
        let rim = Area::new(0.0, 0.0, 100.0, 80.0);
        let items: Vec<Item> = (0..24_u32)
            .map(|d| Item {
                device: d as usize,
                exit: Exit {
                    side: Side::Left,
                    at: Point::new(0.0, f64::from(d) * 3.0),
                },
                weight: 80.0,
            })
            .collect();
        let c = columns(&items, &rim);
        assert!(c.left.len() > c.right.len() && c.right.len() >= 6, "{c:?}");
        assert_eq!(c.left.len() + c.right.len(), 24);
    }
}
