//! The way of each lead from its port to the rim of the board, so that no two meet.
//!
//! A grid covers the board; each node bears one lead at most. Getting as many leads as possible to the rim is then a
//! flow with node capacities, and successive shortest paths with potentials give one of least total length (the
//! textbook method, for example Ahuja, Magnanti, Orlin, "Network Flows", 1993, chapter 9; from memory). Afterwards each
//! lead in turn is drawn anew with a price on bends, with the others standing.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::sockets::Side;
use crate::geometry::{Area, Point};

/// A grid over the board.
pub(super) struct Grid {
    pub columns: usize,
    pub rows: usize,
    pub origin: Point,
    pub pitch: f64,
    /// Nodes that no lead may use.
    pub blocked: Vec<bool>,
}

/// Where a lead starts.
#[derive(Clone, Copy, Debug)]
pub(super) struct Start {
    pub node: usize,
    pub towards: Side,
}

impl Grid {
    /// A grid that covers `area`, with lines `pitch` apart, lying evenly in it.
    pub fn over(area: &Area, pitch: f64) -> Self {
        let columns = (area.width() / pitch).ceil() as usize + 1;
        let rows = (area.height() / pitch).ceil() as usize + 1;
        let left = area.left - ((columns - 1) as f64 * pitch - area.width()) / 2.0;
        let top = area.top - ((rows - 1) as f64 * pitch - area.height()) / 2.0;
        Self {
            columns,
            rows,
            origin: Point::new(left, top),
            pitch,
            blocked: vec![false; columns * rows],
        }
    }

    pub fn point(&self, node: usize) -> Point {
        let (c, r) = (node % self.columns, node / self.columns);
        Point::new(
            self.origin.x + c as f64 * self.pitch,
            self.origin.y + r as f64 * self.pitch,
        )
    }

    pub fn node(&self, column: usize, row: usize) -> usize {
        row.min(self.rows - 1) * self.columns + column.min(self.columns - 1)
    }

    /// Blocks what lies within `area` or closer to it than the clearance.
    pub fn block(&mut self, area: &Area) {
        let clear = area.grown(self.pitch * 0.6);
        for row in 0..self.rows {
            let y = self.origin.y + row as f64 * self.pitch;
            if y <= clear.top || y >= clear.bottom {
                continue;
            }
            for column in 0..self.columns {
                let x = self.origin.x + column as f64 * self.pitch;
                if x > clear.left && x < clear.right {
                    self.blocked[row * self.columns + column] = true;
                }
            }
        }
    }

    /// The side of the rim on which a node lies; corners are no exits.
    pub fn rim(&self, node: usize) -> Option<Side> {
        let (c, r) = (node % self.columns, node / self.columns);
        let (level, upright) = (c == 0 || c + 1 == self.columns, r == 0 || r + 1 == self.rows);
        match (level, upright) {
            (true, false) => Some(if c == 0 { Side::Left } else { Side::Right }),
            (false, true) => Some(if r == 0 { Side::Up } else { Side::Down }),
            _ => None,
        }
    }

    fn neighbour(&self, node: usize, side: Side) -> Option<usize> {
        let (c, r) = (node % self.columns, node / self.columns);
        match side {
            Side::Left => (c > 0).then(|| node - 1),
            Side::Right => (c + 1 < self.columns).then(|| node + 1),
            Side::Up => (r > 0).then(|| node - self.columns),
            Side::Down => (r + 1 < self.rows).then(|| node + self.columns),
        }
    }
}

/// The ways to the rim, node by node; `None` for a lead that cannot get there, or whose start is not usable.
pub(super) fn escape(grid: &Grid, starts: &[Start], usable: &[bool]) -> Vec<Option<Vec<usize>>> {
    let mut flow = Flow::new(grid, starts);
    let mut ways: Vec<Option<Vec<usize>>> = Vec::with_capacity(starts.len());
    let mut pushed = Vec::with_capacity(starts.len());
    for (start, usable) in starts.iter().zip(usable) {
        // Two leads cannot start at the same node: the second gets no way.
        pushed.push(*usable && !flow.used[start.node]);
        if *usable {
            flow.augment(start.node);
        }
    }
    ways.extend(
        starts
            .iter()
            .zip(pushed)
            .map(|(s, pushed)| if pushed { flow.way(s.node) } else { None }),
    );
    for _ in 0..3 {
        straighten(grid, starts, &mut ways);
    }
    ways
}

/// The flow so far: through each node at most one way.
struct Flow<'a> {
    grid: &'a Grid,
    is_start: Vec<bool>,
    next: Vec<Option<usize>>,
    before: Vec<Option<usize>>,
    used: Vec<bool>,
    /// Of the two halves of each node: entrance 2·v, exit 2·v + 1.
    potential: Vec<i64>,
}

impl<'a> Flow<'a> {
    fn new(grid: &'a Grid, starts: &[Start]) -> Self {
        let count = grid.blocked.len();
        let mut is_start = vec![false; count];
        for s in starts {
            is_start[s.node] = true;
        }
        Self {
            grid,
            is_start,
            next: vec![None; count],
            before: vec![None; count],
            used: vec![false; count],
            potential: vec![0; 2 * count],
        }
    }

    /// One more way, from `start` to the rim, pushing others aside where that helps.
    fn augment(&mut self, start: usize) {
        if self.used[start] {
            return;
        }
        let count = self.potential.len();
        let mut distance = vec![i64::MAX; count];
        let mut from = vec![usize::MAX; count];
        let mut heap = BinaryHeap::new();
        distance[2 * start] = 0;
        heap.push(Reverse((0_i64, 2 * start)));
        let mut end = None;
        while let Some(Reverse((d, half))) = heap.pop() {
            if d > distance[half] {
                continue;
            }
            let node = half / 2;
            if half % 2 == 1 && self.grid.rim(node).is_some() && !self.ends_here(node) {
                end = Some(half);
                break;
            }
            for (to, cost) in self.arcs(half) {
                let reduced = d + cost + self.potential[half] - self.potential[to];
                if reduced < distance[to] {
                    distance[to] = reduced;
                    from[to] = half;
                    heap.push(Reverse((reduced, to)));
                }
            }
        }
        let Some(end) = end else { return };
        let reach = distance[end];
        for (p, d) in self.potential.iter_mut().zip(&distance) {
            *p += reach.min(*d);
        }
        self.apply(end, &from, 2 * start);
    }

    /// Whether a way already leaves the board at this node.
    fn ends_here(&self, node: usize) -> bool {
        self.used[node] && self.next[node].is_none()
    }

    fn arcs(&self, half: usize) -> Vec<(usize, i64)> {
        let node = half / 2;
        let mut arcs = Vec::with_capacity(5);
        if half.is_multiple_of(2) {
            if self.used[node] {
                if let Some(before) = self.before[node] {
                    arcs.push((2 * before + 1, -1));
                }
            } else {
                arcs.push((half + 1, 0));
            }
            return arcs;
        }
        if self.used[node] {
            arcs.push((2 * node, 0));
        }
        for side in Side::ALL {
            let Some(to) = self.grid.neighbour(node, side) else {
                continue;
            };
            if !self.grid.blocked[to] && !self.is_start[to] && self.next[node] != Some(to) {
                arcs.push((2 * to, 1));
            }
        }
        arcs
    }

    /// Adds the found path to the flow; a step against the flow takes it away.
    fn apply(&mut self, end: usize, from: &[usize], start: usize) {
        let mut path = vec![end];
        while let Some(&half) = path.last().filter(|h| **h != start) {
            path.push(from[half]);
        }
        path.reverse();
        let steps: Vec<(usize, usize)> = path.windows(2).map(|w| (w[0], w[1])).collect();
        // First all that is taken away, then all that is added: a node may see both.
        for &(a, b) in &steps {
            let (u, v) = (a / 2, b / 2);
            if u != v && a % 2 == 0 {
                self.next[v] = None;
                self.before[u] = None;
            }
            if u == v && a % 2 == 1 {
                self.used[u] = false;
            }
        }
        for &(a, b) in &steps {
            let (u, v) = (a / 2, b / 2);
            if u != v && a % 2 == 1 {
                self.next[u] = Some(v);
                self.before[v] = Some(u);
            }
            if u == v && a % 2 == 0 {
                self.used[u] = true;
            }
        }
    }

    fn way(&self, start: usize) -> Option<Vec<usize>> {
        if !self.used[start] {
            return None;
        }
        let mut way = vec![start];
        while let Some(next) = self.next[*way.last()?] {
            way.push(next);
        }
        Some(way)
    }
}

/// What a bend costs, in steps.
const BEND: u32 = 6;

fn straighten(grid: &Grid, starts: &[Start], ways: &mut [Option<Vec<usize>>]) {
    let mut busy = grid.blocked.clone();
    for start in starts {
        busy[start.node] = true;
    }
    for node in ways.iter().flatten().flatten() {
        busy[*node] = true;
    }
    for (start, way) in starts.iter().zip(ways) {
        let Some(nodes) = way else { continue };
        for node in nodes.iter() {
            busy[*node] = grid.blocked[*node];
        }
        if let Some(better) = straightest(grid, *start, &busy) {
            *nodes = better;
        }
        for node in nodes.iter() {
            busy[*node] = true;
        }
    }
}

/// The cheapest way to the rim by steps and bends, over nodes that are not busy.
fn straightest(grid: &Grid, start: Start, busy: &[bool]) -> Option<Vec<usize>> {
    let side_of = |side: Side| Side::ALL.iter().position(|s| *s == side).unwrap_or(0);
    let state = |node: usize, side: Side| node * 4 + side_of(side);
    let count = grid.blocked.len() * 4;
    let mut cost = vec![u32::MAX; count];
    let mut from = vec![usize::MAX; count];
    let mut heap = BinaryHeap::new();
    let first = state(start.node, start.towards);
    cost[first] = 0;
    heap.push(Reverse((0, first)));
    while let Some(Reverse((c, at))) = heap.pop() {
        if c > cost[at] {
            continue;
        }
        let (node, side) = (at / 4, Side::ALL[at % 4]);
        // A lead leaves the rim straight outwards.
        if grid.rim(node) == Some(side) {
            return Some(trace(at, first, &from));
        }
        for turn in Side::ALL {
            if turn == side.opposite() {
                continue;
            }
            let Some(to) = grid.neighbour(node, turn) else {
                continue;
            };
            if busy[to] {
                continue;
            }
            let next = c + 1 + if turn == side { 0 } else { BEND };
            let there = state(to, turn);
            if next < cost[there] {
                cost[there] = next;
                from[there] = at;
                heap.push(Reverse((next, there)));
            }
        }
    }
    None
}

fn trace(end: usize, first: usize, from: &[usize]) -> Vec<usize> {
    let mut states = vec![end];
    while let Some(&s) = states.last().filter(|s| **s != first) {
        states.push(from[s]);
    }
    states.reverse();
    states.into_iter().map(|s| s / 4).collect()
}
