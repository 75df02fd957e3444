//! Points of a plane, and rigid motions that put one pattern of points onto another.

use quantity::Number;
use quantity::si::{Angle, Length, millimetre};
use serde::Serialize;

use crate::Formula;

/// See [`best_fit`].
pub static FIT_ANGLE: Formula = Formula::new(
    "fit-angle",
    "Rotation of the best rigid fit of two patterns",
    "θ = arg Σₙ wₙ · conj(zₙ) of the centred points",
    "kabsch-1976",
    "in the plane",
);
/// See [`best_fit`].
pub static FIT_SHIFT: Formula = Formula::new(
    "fit-shift",
    "Shift and residuals of the best rigid fit of two patterns",
    "t = mean(w) − D(θ) · mean(z)",
    "kabsch-1976",
    "in the plane",
);
/// See [`tightest_fit`].
pub static TIGHTEST_FIT: Formula = Formula::new(
    "tightest-fit",
    "Smallest largest residual of a rigid fit of two patterns",
    "r = min over θ, t of maxₙ |wₙ − D(θ) · zₙ − t|",
    "registration-reference",
    "",
);

/// A point of the plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: Length,
    /// Up.
    pub y: Length,
}

impl Point {
    /// A point from its coordinates.
    #[must_use]
    pub fn new(x: Length, y: Length) -> Self {
        Self { x, y }
    }

    /// A point from numbers of millimetres.
    #[must_use]
    pub fn in_millimetres(x: f64, y: f64) -> Self {
        Self::new(millimetre(x), millimetre(y))
    }

    /// The distance to another point.
    #[must_use]
    pub fn distance(self, other: Self) -> Length {
        Length::from_base((self.x - other.x).base().hypot((self.y - other.y).base()))
    }

    pub(super) fn base(self) -> [f64; 2] {
        [self.x.base(), self.y.base()]
    }

    pub(super) fn from_base([x, y]: [f64; 2]) -> Self {
        Self::new(Length::from_base(x), Length::from_base(y))
    }
}

impl Serialize for Point {
    /// As two lengths.
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let length = |length: Length| quantity::Value::exact(length);
        (length(self.x), length(self.y)).serialize(serializer)
    }
}

/// A rigid motion: first the mirror image where so, then a rotation about the origin, then a shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RigidMotion {
    /// Whether x changes its sign first: the board lies on its face.
    pub mirrored: bool,
    /// Rotation about the origin, counter-clockwise.
    pub rotation: Angle,
    /// Shift after the rotation.
    pub shift: Point,
}

impl RigidMotion {
    /// The motion that leaves all as it is.
    #[must_use]
    pub fn none() -> Self {
        Self {
            mirrored: false,
            rotation: Angle::from_base(0.0),
            shift: Point::in_millimetres(0.0, 0.0),
        }
    }

    /// Where a point comes to lie.
    #[must_use]
    pub fn place(&self, point: Point) -> Point {
        let [x, y] = turned(mirrored(point.base(), self.mirrored), self.rotation.base());
        let [right, up] = self.shift.base();
        Point::from_base([x + right, y + up])
    }

    /// The direction into which a direction is turned; both counter-clockwise from the x axis.
    #[must_use]
    pub fn turn(&self, direction: Angle) -> Angle {
        let half = core::f64::consts::PI;
        let start = if self.mirrored {
            half - direction.base()
        } else {
            direction.base()
        };
        let turned = start + self.rotation.base();
        // Into −180° .. 180°, so that equal directions compare equal.
        Angle::from_base(turned - core::f64::consts::TAU * (turned / core::f64::consts::TAU).round())
    }
}

/// The rigid motion that brings `from` onto `to` with the least sum of squared distances, pair by pair.
///
/// `θ = arg Σ wₙ · conj(zₙ)` of the centred points as complex numbers, `t = mean(w) − D(θ) · mean(z)`
///
/// Nothing for fewer than two pairs, or where all points of one side coincide.
///
/// # Source
/// [kabsch-1976], whose singular values become an argument in the plane.
#[must_use]
pub fn best_fit(pairs: &[(Point, Point)], mirror: bool) -> Option<RigidMotion> {
    if pairs.len() < 2 {
        return None;
    }
    let points: Vec<[[f64; 2]; 2]> = pairs
        .iter()
        .map(|(from, to)| [mirrored(from.base(), mirror), to.base()])
        .collect();
    let middle = |side: usize| {
        let sum = points
            .iter()
            .fold([0.0, 0.0], |[x, y], pair| [x + pair[side][0], y + pair[side][1]]);
        sum.map(|sum| sum / points.len() as f64)
    };
    let (z, w) = (middle(0), middle(1));
    let (mut along, mut across) = (0.0, 0.0);
    for [from, to] in &points {
        let ([a, b], [c, d]) = ([from[0] - z[0], from[1] - z[1]], [to[0] - w[0], to[1] - w[1]]);
        along += c * a + d * b;
        across += d * a - c * b;
    }
    if along == 0.0 && across == 0.0 {
        return None;
    }
    let angle = across.atan2(along);
    let [x, y] = turned(z, angle);
    Some(RigidMotion {
        mirrored: mirror,
        rotation: Angle::from_base(angle),
        shift: Point::from_base([w[0] - x, w[1] - y]),
    })
}

/// How far each point of `from` comes to lie from its partner.
#[must_use]
pub fn residuals(motion: &RigidMotion, pairs: &[(Point, Point)]) -> Vec<Length> {
    pairs
        .iter()
        .map(|(from, to)| motion.place(*from).distance(*to))
        .collect()
}

/// The rigid motion with the smallest largest residual, and that residual.
///
/// For a fixed angle the best shift is the middle of the smallest circle around the remaining differences; the angle is searched
/// around that of [`best_fit`]. There the radius is convex in the angle, up to terms of second order in the residuals
/// over the size of the pattern, so that the search ends within a millionth of the play of a screw.
///
/// Screws pass through all holes at once exactly where this residual is at most their play.
///
/// # Source
/// A minimax problem of our own wording; held against a search over a grid of positions, and never above the least-squares fit.
#[must_use]
pub fn tightest_fit(pairs: &[(Point, Point)], mirror: bool) -> Option<(RigidMotion, Length)> {
    let start = best_fit(pairs, mirror)?;
    let worst = residuals(&start, pairs)
        .into_iter()
        .fold(0.0, |worst: f64, r| worst.max(r.base()));
    let size = pairs
        .iter()
        .map(|(from, _)| from.distance(pairs[0].0).base())
        .fold(0.0, f64::max);
    let circle_at = |angle: f64| {
        let differences = pairs.iter().map(|(from, to)| {
            let ([x, y], [u, v]) = (turned(mirrored(from.base(), mirror), angle), to.base());
            [u - x, v - y]
        });
        smallest_circle(&differences.collect::<Vec<_>>())
    };
    // A larger turn moves some point by more than the fit could win back.
    let width = (4.0 * worst / size).min(0.5);
    let angle = least(
        start.rotation.base() - width,
        start.rotation.base() + width,
        &|angle| circle_at(angle).1,
    );
    let (middle, radius) = circle_at(angle);
    let motion = RigidMotion {
        mirrored: mirror,
        rotation: Angle::from_base(angle),
        shift: Point::from_base(middle),
    };
    Some((motion, Length::from_base(radius)))
}

fn mirrored([x, y]: [f64; 2], mirror: bool) -> [f64; 2] {
    if mirror { [-x, y] } else { [x, y] }
}

fn turned([x, y]: [f64; 2], angle: f64) -> [f64; 2] {
    let (sin, cos) = angle.sin_cos();
    [cos * x - sin * y, sin * x + cos * y]
}

/// The place of the least value of a function with one valley, by the golden section.
fn least(mut low: f64, mut high: f64, f: &dyn Fn(f64) -> f64) -> f64 {
    const SHARE: f64 = 0.618_033_988_749_894_8;
    let (mut left, mut right) = (high - SHARE * (high - low), low + SHARE * (high - low));
    let (mut at_left, mut at_right) = (f(left), f(right));
    // 60 cuts narrow the bracket by 3·10¹².
    for _ in 0..60 {
        if at_left <= at_right {
            (high, right, at_right) = (right, left, at_left);
            left = high - SHARE * (high - low);
            at_left = f(left);
        } else {
            (low, left, at_left) = (left, right, at_right);
            right = low + SHARE * (high - low);
            at_right = f(right);
        }
    }
    f64::midpoint(low, high)
}

/// Middle and radius of the smallest circle around points, grown point by point.
fn smallest_circle(points: &[[f64; 2]]) -> ([f64; 2], f64) {
    let mut circle = (points[0], 0.0);
    for i in 1..points.len() {
        if holds(&circle, points[i]) {
            continue;
        }
        circle = (points[i], 0.0);
        for j in 0..i {
            if holds(&circle, points[j]) {
                continue;
            }
            circle = circle_of_two(points[i], points[j]);
            for k in 0..j {
                if !holds(&circle, points[k]) {
                    circle = circle_of_three(points[i], points[j], points[k]);
                }
            }
        }
    }
    circle
}

fn holds((middle, radius): &([f64; 2], f64), point: [f64; 2]) -> bool {
    let distance = (point[0] - middle[0]).hypot(point[1] - middle[1]);
    distance <= radius * (1.0 + 1e-12) + 1e-15
}

fn circle_of_two(a: [f64; 2], b: [f64; 2]) -> ([f64; 2], f64) {
    let middle = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])];
    (middle, (a[0] - b[0]).hypot(a[1] - b[1]) / 2.0)
}

fn circle_of_three(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> ([f64; 2], f64) {
    let ([bx, by], [cx, cy]) = ([b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]);
    let double = 2.0 * (bx * cy - by * cx);
    if double == 0.0 {
        // Three points in a line: the outer two span the circle.
        let circles = [circle_of_two(a, b), circle_of_two(a, c), circle_of_two(b, c)];
        return circles
            .into_iter()
            .max_by(|p, q| p.1.total_cmp(&q.1))
            .unwrap_or((a, 0.0));
    }
    let (b2, c2) = (bx * bx + by * by, cx * cx + cy * cy);
    let (x, y) = ((cy * b2 - by * c2) / double, (bx * c2 - cx * b2) / double);
    ([a[0] + x, a[1] + y], x.hypot(y))
}
