//! The board itself at one scale: ports, their names, and the ways of the leads to the rim.

use super::Wiring;
use super::arrange::Exit;
use super::escape::{Grid, Start, escape};
use super::sizes::Sizes;
use super::sockets::{Side, Socket, View, names, sockets};
use crate::geometry::{Area, Point};
use crate::sheet::Label;

/// From the board's upper left corner.
pub(super) struct Inner {
    pub view: View,
    /// Distance of two lines of the grid.
    pub pitch: f64,
    pub board: Area,
    /// The outermost line of the grid: where the board's part of a way ends.
    pub rim: Area,
    pub holes: Vec<(Point, f64)>,
    pub sockets: Vec<Socket>,
    pub names: Vec<Option<Vec<Label>>>,
    pub joints: Vec<Point>,
    /// From joint to rim.
    pub ways: Vec<Option<Vec<Point>>>,
    pub exits: Vec<Option<Exit>>,
}

impl Inner {
    pub fn new(input: &Wiring, sizes: &Sizes, view: View, flipped: &[bool]) -> Self {
        let board = view.area();
        let holes: Vec<(Point, f64)> = input
            .board
            .holes
            .iter()
            .map(|h| (view.point(h.at), h.diameter.0 / 2.0 * view.scale))
            .collect();
        let sockets = sockets(input, &view, flipped);
        let mut grid = Grid::over(&reach(&board, &sockets, sizes), sizes.pitch);
        let starts = starts(input, sizes, &sockets, &grid);
        let joints: Vec<Point> = starts.iter().map(|s| grid.point(s.node)).collect();
        let aprons: Vec<Area> = sockets.iter().filter_map(|s| apron(s, &joints, sizes)).collect();
        let lanes: Vec<Area> = starts
            .iter()
            .zip(&joints)
            .map(|(s, j)| lane(*s, *j, sizes))
            .collect();
        let hole_areas: Vec<Area> = holes
            .iter()
            .map(|(p, r)| Area::around(*p, 2.0 * r, 2.0 * r))
            .collect();
        let mut taken = hole_areas.clone();
        taken.extend(&aprons);
        taken.extend(&lanes);
        let names = names(&sockets, &texts(input, sizes, &sockets), &taken, &board, sizes);
        for area in sockets.iter().map(|s| s.body).chain(hole_areas).chain(aprons) {
            grid.block(&area);
        }
        for label in names.iter().flatten().flatten() {
            grid.block(&label.bounds());
        }
        let usable: Vec<bool> = joints
            .iter()
            .enumerate()
            .map(|(l, j)| is_clear(*j, input.cables[l].port, &sockets, &names, sizes))
            .collect();
        let found = escape(&grid, &starts, &usable);
        let exits = found.iter().map(|w| exit(&grid, w.as_ref()?)).collect();
        let ways = found
            .into_iter()
            .map(|w| w.map(|w| w.into_iter().map(|n| grid.point(n)).collect()))
            .collect();
        let rim = Area {
            left: grid.origin.x,
            top: grid.origin.y,
            right: grid.point(grid.node(grid.columns - 1, 0)).x,
            bottom: grid.point(grid.node(0, grid.rows - 1)).y,
        };
        Self {
            view,
            pitch: sizes.pitch,
            board,
            rim,
            holes,
            sockets,
            names,
            joints,
            ways,
            exits,
        }
    }

    /// Names and leads that found no place.
    pub fn failures(&self) -> usize {
        self.names.iter().filter(|n| n.is_none()).count() + self.ways.iter().filter(|w| w.is_none()).count()
    }
}

/// What the grid must cover: the board, housings that stick out, fans, and a line to leave by.
fn reach(board: &Area, sockets: &[Socket], sizes: &Sizes) -> Area {
    let mut all = board.grown(sizes.pitch);
    for socket in sockets {
        let fan = if socket.cables.is_empty() {
            0.0
        } else {
            sizes.port_fan + sizes.pitch
        };
        let b = socket.body.grown(sizes.pitch);
        let (dx, dy) = socket.mouth.step();
        all = Area {
            left: all.left.min(b.left).min(socket.lip().x + dx * fan),
            right: all.right.max(b.right).max(socket.lip().x + dx * fan),
            top: all.top.min(b.top).min(socket.lip().y + dy * fan),
            bottom: all.bottom.max(b.bottom).max(socket.lip().y + dy * fan),
        };
    }
    all.grown(sizes.pitch)
}

/// The joint of each lead: on the grid, in front of the middle of its port's mouth, several side by side.
fn starts(input: &Wiring, sizes: &Sizes, sockets: &[Socket], grid: &Grid) -> Vec<Start> {
    let column = |x: f64| ((x - grid.origin.x) / grid.pitch).max(0.0);
    let row = |y: f64| ((y - grid.origin.y) / grid.pitch).max(0.0);
    let start = |(cable, l): (usize, &super::Cable)| {
        let socket = &sockets[l.port];
        let lip = socket.lip();
        let place = socket.cables.iter().position(|k| *k == cable).unwrap_or(0);
        let beside = place as f64 - (socket.cables.len() as f64 - 1.0) / 2.0;
        let (dx, dy) = socket.mouth.step();
        let far = Point::new(lip.x + dx * sizes.port_fan, lip.y + dy * sizes.port_fan);
        let (c, r) = match socket.mouth {
            Side::Left => (column(far.x).floor(), (row(far.y) + beside).round()),
            Side::Right => (column(far.x).ceil(), (row(far.y) + beside).round()),
            Side::Up => ((column(far.x) + beside).round(), row(far.y).floor()),
            Side::Down => ((column(far.x) + beside).round(), row(far.y).ceil()),
        };
        Start {
            node: grid.node(c.max(0.0) as usize, r.max(0.0) as usize),
            towards: socket.mouth,
        }
    };
    input.cables.iter().enumerate().map(start).collect()
}

/// The fan of a used port: what lies between its pins and the joints of its leads.
fn apron(socket: &Socket, joints: &[Point], sizes: &Sizes) -> Option<Area> {
    let first = joints.get(*socket.cables.first()?)?;
    let mut along: Vec<f64> = Vec::new();
    let across = |p: &Point| if socket.mouth.is_level() { p.y } else { p.x };
    along.extend(socket.cables.iter().filter_map(|l| joints.get(*l)).map(across));
    if sizes.draws_pins {
        along.extend(socket.pins.iter().map(across));
    }
    let low = along.iter().copied().fold(f64::INFINITY, f64::min) - 1.5;
    let high = along.iter().copied().fold(f64::NEG_INFINITY, f64::max) + 1.5;
    let lip = socket.lip();
    Some(match socket.mouth {
        Side::Left => Area {
            left: first.x,
            right: lip.x,
            top: low,
            bottom: high,
        },
        Side::Right => Area {
            left: lip.x,
            right: first.x,
            top: low,
            bottom: high,
        },
        Side::Up => Area {
            left: low,
            right: high,
            top: first.y,
            bottom: lip.y,
        },
        Side::Down => Area {
            left: low,
            right: high,
            top: lip.y,
            bottom: first.y,
        },
    })
}

/// A short way out of the joint that names keep free.
fn lane(start: Start, joint: Point, sizes: &Sizes) -> Area {
    let (half, long) = (sizes.pitch * 0.7, sizes.pitch * 2.5);
    let (dx, dy) = start.towards.step();
    let end = Point::new(joint.x + dx * long, joint.y + dy * long);
    Area {
        left: joint.x.min(end.x),
        right: joint.x.max(end.x),
        top: joint.y.min(end.y),
        bottom: joint.y.max(end.y),
    }
    .grown(half)
}

/// Whether nothing but its own port lies around a joint.
fn is_clear(
    joint: Point,
    port: usize,
    sockets: &[Socket],
    names: &[Option<Vec<Label>>],
    sizes: &Sizes,
) -> bool {
    let around = Area::around(joint, 0.0, 0.0).grown(sizes.pitch * 0.6);
    let others = sockets
        .iter()
        .enumerate()
        .filter(|(i, _)| *i != port)
        .map(|(_, s)| s.body);
    let names = names.iter().flatten().flatten().map(Label::bounds);
    !others.chain(names).any(|a| a.overlaps(&around))
}

/// What stands beside each port: its name, and the tags of what is plugged in; on a phone the tags alone.
fn texts(input: &Wiring, sizes: &Sizes, sockets: &[Socket]) -> Vec<Vec<(String, bool)>> {
    let text = |(i, port): (usize, &super::Port)| {
        let used = !sockets[i].cables.is_empty();
        let mut tags: Vec<&str> = sockets[i]
            .cables
            .iter()
            .map(|l| input.devices[input.cables[*l].device].tag.as_str())
            .collect();
        tags.dedup();
        if sizes.narrow {
            // There is no room for the name: the card of that tag says it.
            return vec![(tags.join(","), used)];
        }
        let mut parts = vec![(port.name.clone(), used)];
        if !tags.is_empty() {
            parts.push((tags.join(", "), used));
        }
        parts
    };
    input.board.ports.iter().enumerate().map(text).collect()
}

fn exit(grid: &Grid, way: &[usize]) -> Option<Exit> {
    let node = *way.last()?;
    Some(Exit {
        side: grid.rim(node)?,
        at: grid.point(node),
    })
}
