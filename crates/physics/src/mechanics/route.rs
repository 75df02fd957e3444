//! The shortest way of a lead around what stands in the case, laid at right angles along the walls.

use quantity::Number;
use quantity::si::Length;

use super::plane::Point;
use crate::Formula;

/// See [`Routes`].
pub static ROUTE: Formula = Formula::new(
    "route",
    "Shortest way at right angles around what stands in the way",
    "l = min over ways past corners of Σₙ (|xₙ₊₁ − xₙ| + |yₙ₊₁ − yₙ|)",
    "visibility-graph",
    "",
);

/// What is let in to an outline before a line counts as crossing it: leads may lie along an edge.
const TOUCH: f64 = 1e-7;

/// The shortest ways from one point to any other around convex outlines, each bend at right angles.
///
/// A straight line that crosses no outline stands for a staircase of any fineness along it, so that its length is the sum of its
/// two sides; the shortest way bends at corners of outlines only. The ways from the start to all corners are
/// found once, those to single points then cost one look at each corner.
///
/// Leaves out: how thick a lead is and how tightly it bends; outlines that leave no gap between them must overlap to close it.
///
/// # Source
/// Shortest paths by the visibility graph, [visibility-graph].
#[derive(Clone, Debug)]
pub struct Routes {
    start: [f64; 2],
    outlines: Vec<Vec<[f64; 2]>>,
    /// Corners that can be reached, with the length of the way to each.
    corners: Vec<([f64; 2], f64)>,
}

impl Routes {
    /// The ways from `start`; corners that `usable` refuses, as those in a wall, are no place to bend.
    ///
    /// An outline that holds the start in its inside is left out: what comes up from below stands in no one's way.
    #[must_use]
    pub fn new(start: Point, outlines: &[Vec<Point>], usable: impl Fn(Point) -> bool) -> Self {
        let start = start.base();
        let outlines: Vec<Vec<[f64; 2]>> = outlines
            .iter()
            .map(|outline| outline.iter().map(|point| point.base()).collect::<Vec<_>>())
            .filter(|outline| !holds(outline, start))
            .collect();
        let free: Vec<[f64; 2]> = outlines
            .iter()
            .flatten()
            .copied()
            .filter(|corner| {
                usable(Point::from_base(*corner)) && !outlines.iter().any(|outline| holds(outline, *corner))
            })
            .collect();
        let mut open: Vec<([f64; 2], f64)> = free
            .iter()
            .map(|corner| {
                (
                    *corner,
                    if sees(&outlines, start, *corner) {
                        apart(start, *corner)
                    } else {
                        f64::INFINITY
                    },
                )
            })
            .collect();
        let mut corners = Vec::with_capacity(open.len());
        // Dijkstra over a handful of corners: a heap would cost more than it saves.
        while let Some(nearest) = (0..open.len()).min_by(|a, b| open[*a].1.total_cmp(&open[*b].1)) {
            let (at, length) = open.swap_remove(nearest);
            if length.is_infinite() {
                break;
            }
            for (corner, known) in &mut open {
                let further = length + apart(at, *corner);
                if further < *known && sees(&outlines, at, *corner) {
                    *known = further;
                }
            }
            corners.push((at, length));
        }
        Self {
            start,
            outlines,
            corners,
        }
    }

    /// The length of the shortest way to a point; nothing where no way leads there.
    #[must_use]
    pub fn to(&self, point: Point) -> Option<Length> {
        let point = point.base();
        let mut least = if sees(&self.outlines, self.start, point) {
            apart(self.start, point)
        } else {
            f64::INFINITY
        };
        for (corner, length) in &self.corners {
            let whole = length + apart(*corner, point);
            if whole < least && sees(&self.outlines, *corner, point) {
                least = whole;
            }
        }
        least.is_finite().then(|| Length::from_base(least))
    }
}

fn apart([a, b]: [f64; 2], [c, d]: [f64; 2]) -> f64 {
    (a - c).abs() + (b - d).abs()
}

/// Whether a point lies inside a convex outline, beyond a touch.
fn holds(outline: &[[f64; 2]], point: [f64; 2]) -> bool {
    // A line of no length enters it or does not.
    crosses(outline, point, point)
}

fn sees(outlines: &[Vec<[f64; 2]>], from: [f64; 2], to: [f64; 2]) -> bool {
    outlines.iter().all(|outline| !crosses(outline, from, to))
}

/// Whether a line enters the inside of a convex outline whose corners go round counter-clockwise: the line is cut edge by edge.
fn crosses(outline: &[[f64; 2]], from: [f64; 2], to: [f64; 2]) -> bool {
    let (mut enters, mut leaves) = (0.0, 1.0);
    for (at, [a, b]) in outline.iter().enumerate() {
        let [c, d] = outline[(at + 1) % outline.len()];
        let length = (c - a).hypot(d - b);
        // How far left of the edge, which is inwards, both ends lie.
        let inward = |[x, y]: [f64; 2]| ((c - a) * (y - b) - (d - b) * (x - a)) / length - TOUCH;
        let (begin, end) = (inward(from), inward(to));
        match (begin > 0.0, end > 0.0) {
            (true, true) => {}
            (false, false) => return false,
            (false, true) => enters = f64::max(enters, begin / (begin - end)),
            (true, false) => leaves = f64::min(leaves, begin / (begin - end)),
        }
        if enters > leaves {
            return false;
        }
    }
    true
}
