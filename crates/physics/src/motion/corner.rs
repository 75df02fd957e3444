//! Speeds of a nozzle along its way: at corners and on curves, from rest to rest, and with few moves planned ahead.

use quantity::Number;
use quantity::si::{Acceleration, Angle, Length, Ratio, Time, Velocity};

use crate::Formula;

/// See [`deviation_radius`].
pub static DEVIATION_RADIUS: Formula = Formula::new(
    "deviation-radius",
    "Circle that touches both legs of a corner and passes it at a distance",
    "R = d · s / (1 − s) with s = sin(θ / 2)",
    "iso-80000-3",
    "geometry",
);
/// See [`chord_radius`].
pub static CHORD_RADIUS: Formula = Formula::new(
    "chord-radius",
    "Largest circle that touches both legs of a corner within half a leg",
    "R = l / 2 · tan(θ / 2)",
    "iso-80000-3",
    "geometry",
);
/// See [`curve_speed`].
pub static CURVE_SPEED: Formula = Formula::new(
    "curve-speed",
    "Speed on a circle at an acceleration towards its middle",
    "v = √(a · R)",
    "iso-80000-3",
    "uniform motion on a circle",
);
/// See [`move_time`].
pub static MOVE_TIME: Formula = Formula::new(
    "move-time",
    "Time of a move from one speed to another",
    "t = (vₘ − v₀) / a + (vₘ − v₁) / a + (l − (2 · vₘ² − v₀² − v₁²) / 2a) / vₘ with vₘ = min(v, √(a · l + (v₀² + v₁²) / 2))",
    "iso-80000-3",
    "uniform acceleration",
);
/// See [`look_ahead_speed`].
pub static LOOK_AHEAD_SPEED: Formula = Formula::new(
    "look-ahead-speed",
    "Speed of many short moves where the last one known must end at rest",
    "v = √(2 · a · (n − 1) · l)",
    "iso-80000-3",
    "uniform acceleration",
);

/// Radius of the circle that touches both legs of a corner and whose nearest point passes the corner at a distance.
///
/// `R = d · s / (1 − s)` with `s = sin(θ / 2)`
///
/// - `deviation`: the distance. `inner`: angle between the legs, 180° for straight on (no limit: infinite), 0° for a reversal (0).
///
/// Monotone in both. It is a rule for a speed, not a way: the nozzle still goes through the corner. Legs shorter than
/// `R / tan(θ / 2)` do not reach the circle; [`chord_radius`] bounds it there.
///
/// # Source
/// Geometry: the centre lies on the bisector at c from the corner, R = c · s and c − R = d.
#[must_use]
pub fn deviation_radius(deviation: Length, inner: Angle) -> Length {
    let half = inner.base() / 2.0;
    let (sin, cos) = half.sin_cos();
    // 1 − s = cos² / (1 + s), which keeps its digits near 180°.
    deviation * (sin * (1.0 + sin) / (cos * cos))
}

/// Radius of the largest circle that touches both legs of a corner within half of the shorter one.
///
/// `R = l / 2 · tan(θ / 2)`
///
/// - `leg`: the shorter of the two. `inner`: angle between the legs, 0° to 180°.
///
/// Monotone in both. On the chords of a circle it is that circle, to the second order of the chord.
///
/// # Source
/// Geometry: the circle touches a leg at R / tan(θ / 2) from the corner.
#[must_use]
pub fn chord_radius(leg: Length, inner: Angle) -> Length {
    leg * (0.5 * (inner.base() / 2.0).tan())
}

/// Speed on a circle at an acceleration towards its middle.
///
/// `v = √(a · R)`. Monotone in both.
///
/// # Source
/// [iso-80000-3], uniform motion on a circle.
#[must_use]
pub fn curve_speed(acceleration: Acceleration, radius: Length) -> Velocity {
    Velocity::from_base((acceleration.base() * radius.base()).sqrt())
}

/// Time of a move that begins and ends with given speeds and keeps to a speed and an acceleration.
///
/// `t = (vₘ − v₀) / a + (vₘ − v₁) / a + (l − (2 · vₘ² − v₀² − v₁²) / 2a) / vₘ` with `vₘ = min(v, √(a · l + (v₀² + v₁²) / 2))`
///
/// - `length`: > 0. `speed`: the most, > 0. `acceleration`: > 0, the same for both ways.
/// - `from`, `to`: at most `speed`, and within reach of each other: `|v₀² − v₁²| ≤ 2 · a · l`.
///
/// Falls with `speed`, `acceleration`, `from` and `to`, rises with `length`.
///
/// # Source
/// [iso-80000-3], uniform acceleration.
#[must_use]
pub fn move_time(
    length: Length,
    speed: Velocity,
    acceleration: Acceleration,
    from: Velocity,
    to: Velocity,
) -> Time {
    let (a, v0, v1) = (acceleration.base(), from.base(), to.base());
    let ends = v0 * v0 + v1 * v1;
    let most = speed.base().min((a * length.base() + ends / 2.0).sqrt());
    let even = (length.base() - (2.0 * most * most - ends) / (2.0 * a)).max(0.0);
    Time::from_base((2.0 * most - v0 - v1) / a + even / most)
}

/// Speed that many equal short moves reach where a controller knows so many of them, and plans the last one to end at rest.
///
/// `v = √(2 · a · (n − 1) · l)`
///
/// - `known`: moves that the controller knows, the one under way included; ≥ 1. `length`: of each move.
///
/// Monotone in each.
///
/// # Source
/// [iso-80000-3], uniform acceleration: the move under way must end with a speed from which the others can stop.
#[must_use]
pub fn look_ahead_speed(acceleration: Acceleration, known: Ratio, length: Length) -> Velocity {
    Velocity::from_base((2.0 * acceleration.base() * (known.base() - 1.0) * length.base()).sqrt())
}
