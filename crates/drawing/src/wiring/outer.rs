//! From the rim of the board to the cards: levels above and below the board, and a channel at each side.

use super::arrange::Exit;
use super::sockets::Side;
use super::tracks::{Run, RunEnd, tracks};
use crate::geometry::{Area, Point};

/// A lead outside the rim, before it has its tracks.
#[derive(Clone, Copy, Debug)]
pub(super) struct Net {
    pub cable: usize,
    pub exit: Exit,
    /// The column in which its card stands.
    pub home: Side,
    /// Height at which it meets its card.
    pub card_y: f64,
    /// Whether the card lies on the board's side of the channel: a narrow sheet has its cards below the board.
    pub inwards: bool,
    /// The edge of the board that it passes on its way home, if any.
    pub via: Option<Side>,
}

/// Levels above and below the board, the nearest first, and the tracks of both channels.
#[derive(Clone, Debug, Default)]
pub(super) struct Tracks {
    /// Level of each net that passes above or below.
    pub level: Vec<Option<usize>>,
    /// Track in the channel of its column.
    pub home: Vec<usize>,
    /// Track in the other channel, for a lead that leaves there and goes around.
    pub away: Vec<Option<usize>>,
    pub levels_up: usize,
    pub levels_down: usize,
    pub left: usize,
    pub right: usize,
}

/// Which edge a lead passes on its way home.
pub(super) fn via(exit: Exit, home: Side, card_y: f64, rim: &Area) -> Option<Side> {
    match exit.side {
        Side::Up | Side::Down => Some(exit.side),
        side if side == home => None,
        _ => {
            let over = (exit.at.y - rim.top).abs() + (card_y - rim.top).abs();
            let under = (exit.at.y - rim.bottom).abs() + (card_y - rim.bottom).abs();
            Some(if over < under { Side::Up } else { Side::Down })
        }
    }
}

/// Assigns levels; must be known before the cards get their final heights.
pub(super) fn levels(nets: &[Net], pitch: f64) -> Tracks {
    let mut found = Tracks {
        level: vec![None; nets.len()],
        ..Tracks::default()
    };
    for edge in [Side::Up, Side::Down] {
        let on_edge: Vec<usize> = (0..nets.len()).filter(|i| nets[*i].via == Some(edge)).collect();
        let runs: Vec<Run> = on_edge.iter().map(|i| level_run(&nets[*i])).collect();
        let given = tracks(&runs, pitch);
        for (i, track) in on_edge.iter().zip(&given) {
            found.level[*i] = Some(*track);
        }
        let count = given.iter().map(|t| t + 1).max().unwrap_or(0);
        if edge == Side::Up {
            found.levels_up = count;
        } else {
            found.levels_down = count;
        }
    }
    found
}

/// Far enough out to lie beyond every exit.
const BEYOND: f64 = 1e6;

fn level_run(net: &Net) -> Run {
    let side = |s: Side| if s == Side::Left { -BEYOND } else { BEYOND };
    let from = if net.exit.side.is_level() {
        side(net.exit.side)
    } else {
        net.exit.at.x
    };
    Run {
        ends: [
            RunEnd { at: from, near: true },
            RunEnd {
                at: side(net.home),
                near: true,
            },
        ],
    }
}

/// Height of a level.
pub(super) fn level_y(rim: &Area, edge: Side, level: usize, pitch: f64) -> f64 {
    let off = (level + 1) as f64 * pitch;
    if edge == Side::Up {
        rim.top - off
    } else {
        rim.bottom + off
    }
}

/// Height at which a net enters the channel of its column.
pub(super) fn entry_y(net: &Net, level: Option<usize>, rim: &Area, pitch: f64) -> f64 {
    match (net.via, level) {
        (Some(edge), Some(level)) => level_y(rim, edge, level, pitch),
        _ => net.exit.at.y,
    }
}

/// Assigns the tracks of both channels.
pub(super) fn channels(nets: &[Net], found: &mut Tracks, rim: &Area, pitch: f64) {
    found.home = vec![0; nets.len()];
    found.away = vec![None; nets.len()];
    for side in [Side::Left, Side::Right] {
        let mut runs = Vec::new();
        let mut owners = Vec::new();
        for (i, net) in nets.iter().enumerate() {
            let entry = entry_y(net, found.level[i], rim, pitch);
            if net.home == side {
                let card = RunEnd {
                    at: net.card_y,
                    near: net.inwards,
                };
                runs.push(Run {
                    ends: [
                        RunEnd {
                            at: entry,
                            near: true,
                        },
                        card,
                    ],
                });
                owners.push((i, true));
            } else if net.exit.side == side {
                let exit = RunEnd {
                    at: net.exit.at.y,
                    near: true,
                };
                runs.push(Run {
                    ends: [
                        exit,
                        RunEnd {
                            at: entry,
                            near: true,
                        },
                    ],
                });
                owners.push((i, false));
            }
        }
        let given = tracks(&runs, pitch);
        for ((i, home), track) in owners.into_iter().zip(&given) {
            if home {
                found.home[i] = *track;
            } else {
                found.away[i] = Some(*track);
            }
        }
        let count = given.iter().map(|t| t + 1).max().unwrap_or(0);
        if side == Side::Left {
            found.left = count;
        } else {
            found.right = count;
        }
    }
}

/// Where a track of a channel lies.
pub(super) fn track_x(rim: &Area, side: Side, track: usize, pitch: f64) -> f64 {
    let off = (track + 1) as f64 * pitch;
    if side == Side::Left {
        rim.left - off
    } else {
        rim.right + off
    }
}

/// The corners from the rim to the card's joint.
pub(super) fn corners(
    net: &Net,
    i: usize,
    found: &Tracks,
    rim: &Area,
    pitch: f64,
    joint: Point,
) -> Vec<Point> {
    let home_x = track_x(rim, net.home, found.home[i], pitch);
    let entry = entry_y(net, found.level[i], rim, pitch);
    let mut points = vec![net.exit.at];
    if let Some(away) = found.away[i] {
        let x = track_x(rim, net.exit.side, away, pitch);
        points.extend([Point::new(x, net.exit.at.y), Point::new(x, entry)]);
    } else if net.via.is_some() {
        points.push(Point::new(net.exit.at.x, entry));
    }
    points.extend([Point::new(home_x, entry), Point::new(home_x, joint.y), joint]);
    points
}

/// Without points that lie on the line between their neighbours.
pub(super) fn simplified(points: &[Point]) -> Vec<Point> {
    let same = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let mut kept: Vec<Point> = Vec::new();
    for p in points {
        if kept.last().is_some_and(|l| same(l.x, p.x) && same(l.y, p.y)) {
            continue;
        }
        while let [.., a, b] = kept[..] {
            let on_line = (same(a.x, b.x) && same(b.x, p.x)) || (same(a.y, b.y) && same(b.y, p.y));
            if !on_line {
                break;
            }
            kept.pop();
        }
        kept.push(*p);
    }
    kept
}
