//! Where things are: from board and case to the sheet, residuals, play.

use super::{BoardHole, BoardInCase, Post};
use crate::geometry::{Mm, Point, Spot};

pub(super) struct View {
    pub scale: f64,
    pub left: f64,
    pub top: f64,
    pub min_x: f64,
    pub max_y: f64,
    /// How much larger than the board residuals and play are drawn.
    pub enlarged: f64,
    /// Width of the sheet.
    pub width: f64,
    /// Middle of the board, across the sheet.
    pub middle: f64,
    /// Whether the words stand beside the things, or below the picture because there is no room for them.
    pub in_place: bool,
}

impl View {
    pub fn point(&self, spot: Spot) -> Point {
        let (x, y) = (spot.x.0, spot.y.0);
        Point::new(
            self.left + (x - self.min_x) * self.scale,
            self.top + (self.max_y - y) * self.scale,
        )
    }

    pub const fn px(&self, length: Mm) -> f64 {
        length.0 * self.scale
    }
}

/// The largest of ten, twenty, fifty and a hundred times at which no residual outgrows its surroundings.
pub(super) fn enlargement(input: &BoardInCase, scale: f64) -> f64 {
    let largest = input.holes.iter().filter_map(|h| {
        let post = input.posts.get(h.post?)?;
        Some(residual_of(input, h, post).1.max(play(h, post)))
    });
    let largest = largest.fold(0.0, f64::max) * scale;
    [100.0, 50.0, 20.0]
        .into_iter()
        .find(|k| largest * k <= 48.0)
        .unwrap_or(10.0)
}

/// Where a hole lies from its post, and how far.
pub(super) fn residual_of(input: &BoardInCase, hole: &BoardHole, post: &Post) -> (Spot, f64) {
    let at = placed(input, hole.at);
    let (dx, dy) = (at.x.0 - post.at.x.0, at.y.0 - post.at.y.0);
    (Spot::mm(dx, dy), (dx * dx + dy * dy).sqrt())
}

/// Radial play of the screw in the hole.
pub(super) fn play(hole: &BoardHole, post: &Post) -> f64 {
    (hole.diameter.0 - post.screw.0).max(0.0) / 2.0
}

/// Case coordinates of a place on the board.
pub(super) fn placed(input: &BoardInCase, at: Spot) -> Spot {
    let (sin, cos) = input.turn_degrees.to_radians().sin_cos();
    let (x, y) = (at.x.0, at.y.0);
    Spot::mm(
        input.shift.x.0 + cos * x - sin * y,
        input.shift.y.0 + sin * x + cos * y,
    )
}

pub(super) fn corners(input: &BoardInCase) -> [Spot; 4] {
    let (w, h) = (input.width.0, input.height.0);
    [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)].map(|(x, y)| placed(input, Spot::mm(x, y)))
}

/// Lower left and upper right of everything.
pub(super) fn extent(input: &BoardInCase) -> (Spot, Spot) {
    let mut spots: Vec<Spot> = corners(input).to_vec();
    for post in &input.posts {
        let r = post.diameter.0.max(post.screw.0) / 2.0;
        spots.push(Spot::mm(post.at.x.0 - r, post.at.y.0 - r));
        spots.push(Spot::mm(post.at.x.0 + r, post.at.y.0 + r));
    }
    for k in &input.keep_outs {
        spots.push(k.at);
        spots.push(Spot::mm(k.at.x.0 + k.width.0, k.at.y.0 + k.height.0));
    }
    for o in &input.openings {
        spots.extend([o.from, o.to]);
    }
    let fold = |f: fn(f64, f64) -> f64, start: f64, of: fn(&Spot) -> f64| spots.iter().map(of).fold(start, f);
    let low = Spot::mm(
        fold(f64::min, f64::INFINITY, |s| s.x.0),
        fold(f64::min, f64::INFINITY, |s| s.y.0),
    );
    let high = Spot::mm(
        fold(f64::max, f64::NEG_INFINITY, |s| s.x.0),
        fold(f64::max, f64::NEG_INFINITY, |s| s.y.0),
    );
    (low, high)
}
