//! Arcs, in centre and in radius form, as the chords that a controller makes of them. NISTIR 6556, 3.5.3.

use core::f64::consts::TAU;

use quantity::Number as _;

use super::emit::{MOST_PIECES, Stretch};
use super::{FARTHEST, State};
use crate::scan::{Line, letters};
use crate::segment::Batch;
use crate::trouble::Skipped;

/// The two axes of a plane and the one upon it, by that one; the first turned by 90° is the second.
const PLANES: [[usize; 3]; 3] = [[1, 2, 0], [2, 0, 1], [0, 1, 2]];

const OFFSETS: [u8; 3] = *b"IJK";

/// Chords of a full turn, so that a small circle is no triangle.
const LEAST_CHORDS: f64 = 8.0;

/// An arc in its plane.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Arc {
    centre: [f64; 2],
    /// Radius at the start, and at the end.
    radii: [f64; 2],
    /// Angle of the start.
    from: f64,
    /// Angle that it turns by: positive from the first axis to the second.
    turn: f64,
}

/// An arc with what goes on beside it: from where, how far up, in which plane.
struct Helix {
    arc: Arc,
    start: [f64; 3],
    rise: f64,
    /// The axis that stands upon the plane.
    upon: usize,
}

impl State<'_> {
    pub(super) fn arc(&mut self, number: u64, line: &Line, clockwise: bool, batch: &mut Batch) {
        let Some((target, filament)) = self.target(line) else {
            return self.skip(number, Skipped::TooFar);
        };
        let error = self.geometry.setup().machine.radius_error.base();
        let [first, second, upon] = PLANES[self.plane];
        let here = self.geometry.at;
        let (start, end) = ([here[first], here[second]], [target[first], target[second]]);
        let arc = if let Some(radius) = line.get(b'R') {
            by_radius(start, end, radius * self.unit, clockwise, error)
        } else if line.has_any(letters(b"IJK")) {
            let offset = |axis: usize| line.get(OFFSETS[axis]).unwrap_or(0.0) * self.unit;
            let centre = [start[0] + offset(first), start[1] + offset(second)];
            by_centre(start, end, centre, clockwise, error)
        } else {
            Err(Skipped::NoCentre)
        };
        match arc {
            Err(why) => self.skip(number, why),
            Ok(arc) => {
                self.geometry.learn(line, self.relative);
                let helix = Helix {
                    arc,
                    start: here,
                    rise: target[upon] - here[upon],
                    upon,
                };
                self.follow(number, &helix, target, filament, batch);
            }
        }
    }

    fn follow(&mut self, number: u64, helix: &Helix, target: [f64; 3], filament: f64, batch: &mut Batch) {
        let arc = &helix.arc;
        let length = (f64::midpoint(arc.radii[0], arc.radii[1]) * arc.turn).hypot(helix.rise);
        let chord = self.geometry.setup().machine.chord.base();
        let least = (arc.turn.abs() / TAU * LEAST_CHORDS).ceil();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "saturates, then bounded"
        )]
        let count = ((length / chord).ceil().max(least) as u32).clamp(1, MOST_PIECES);
        let part = 1.0 / f64::from(count);
        let (speed, mut reached) = (self.speed(false), true);
        for at in 1..=count {
            let place = if at == count {
                target
            } else {
                helix.place(part * f64::from(at))
            };
            let here = self.geometry.at;
            let stretch = Stretch {
                line: number,
                way: core::array::from_fn(|axis| place[axis] - here[axis]),
                length: length * part,
                filament: filament * part * self.flow_factor,
                speed,
                radius: arc.radii[0].min(arc.radii[1]),
            };
            reached &= self.geometry.stretch(&stretch, batch);
            self.geometry.at = place;
        }
        self.geometry.filament += filament;
        self.geometry.reach(number, target, filament > 0.0);
        for place in helix.farthest() {
            self.geometry.reach(number, place, filament > 0.0);
        }
        if !reached {
            self.skip(number, Skipped::Reach);
        }
    }
}

impl Helix {
    /// The place after a share of the way.
    fn place(&self, share: f64) -> [f64; 3] {
        let (sin, cos) = (self.arc.from + self.arc.turn * share).sin_cos();
        self.towards(share, [cos, sin])
    }

    /// The place after a share of the way, by its direction from the centre.
    fn towards(&self, share: f64, direction: [f64; 2]) -> [f64; 3] {
        let [first, second, upon] = PLANES[self.upon];
        let [one, other] = self.arc.radii;
        let radius = one + (other - one) * share;
        let mut place = self.start;
        place[first] = self.arc.centre[0] + radius * direction[0];
        place[second] = self.arc.centre[1] + radius * direction[1];
        place[upon] = self.start[upon] + self.rise * share;
        place
    }

    /// Where it goes farthest along an axis of its plane, as far as it passes there.
    fn farthest(&self) -> impl Iterator<Item = [f64; 3]> + '_ {
        // Directions without the rounding of a cosine.
        const QUARTERS: [[f64; 2]; 4] = [[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]];
        let quarters = QUARTERS.into_iter().enumerate();
        quarters.filter_map(|(at, direction)| {
            let angle = TAU / 4.0 * at as f64;
            Some(self.towards(self.arc.passes(angle)?, direction))
        })
    }
}

impl Arc {
    /// The share of the way at which it passes a direction, if it does.
    fn passes(&self, angle: f64) -> Option<f64> {
        let away = if self.turn > 0.0 {
            angle - self.from
        } else {
            self.from - angle
        };
        let share = away.rem_euclid(TAU) / self.turn.abs();
        (share < 1.0).then_some(share)
    }
}

/// An arc about a centre. Its radius may differ a little between the ends, as numbers in files are rounded; end and start alike are a full turn.
fn by_centre(
    start: [f64; 2],
    end: [f64; 2],
    centre: [f64; 2],
    clockwise: bool,
    error: f64,
) -> Result<Arc, Skipped> {
    let from_centre = |place: [f64; 2]| [place[0] - centre[0], place[1] - centre[1]];
    let (one, other) = (from_centre(start), from_centre(end));
    let radii = [one, other].map(|[a, b]| a.hypot(b));
    if !(radii[0] > 0.0 && radii[0] <= FARTHEST && (radii[1] - radii[0]).abs() <= error) {
        return Err(Skipped::Centre);
    }
    let from = one[1].atan2(one[0]);
    let between = other[1].atan2(other[0]) - from;
    // Sums of rounded numbers: a full turn misses its start by some digits.
    let same = (end[0] - start[0]).hypot(end[1] - start[1]) <= 1e-6 * radii[0];
    let turn = match (same, clockwise) {
        (true, true) => -TAU,
        (true, false) => TAU,
        (false, true) => -(-between).rem_euclid(TAU),
        (false, false) => between.rem_euclid(TAU),
    };
    Ok(Arc {
        centre,
        radii,
        from,
        turn,
    })
}

/// An arc of a radius: a positive one turns by 180° or less, a negative one by more.
fn by_radius(
    start: [f64; 2],
    end: [f64; 2],
    radius: f64,
    clockwise: bool,
    error: f64,
) -> Result<Arc, Skipped> {
    let way = [end[0] - start[0], end[1] - start[1]];
    let distance = way[0].hypot(way[1]);
    let size = radius.abs();
    if distance == 0.0 {
        return Err(Skipped::NoWay);
    }
    if !(size > 0.0 && size <= FARTHEST && distance / 2.0 <= size + error) {
        return Err(Skipped::Radius);
    }
    // How far the centre stands from the middle of the chord; a radius that is short by rounding has it there.
    let height = ((size - distance / 2.0) * (size + distance / 2.0))
        .max(0.0)
        .sqrt();
    // To the left of the way for a counterclockwise turn of at most 180°.
    let side = if clockwise == (radius < 0.0) { 1.0 } else { -1.0 };
    let centre = [
        f64::midpoint(start[0], end[0]) - side * height * way[1] / distance,
        f64::midpoint(start[1], end[1]) + side * height * way[0] / distance,
    ];
    by_centre(start, end, centre, clockwise, f64::INFINITY)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NISTIR 6556, 3.5.3.2: from (7, 7) with G17 G2 x10 y16 i3 j4; the angle recomputed.
    #[test]
    fn the_example_in_centre_form() {
        let arc = by_centre([7.0, 7.0], [10.0, 16.0], [10.0, 11.0], true, 0.002).unwrap();
        assert!((arc.turn.to_degrees() + 143.1301).abs() < 1e-4);
        assert!((arc.radii[0] - 5.0).abs() < 1e-12 && (arc.turn * 5.0 + 12.490_458).abs() < 1e-6);
    }

    /// NISTIR 6556, 3.5.3.1: G17 G2 x10 y15 r20, from (0, 0) which is ours; centre and angle recomputed.
    #[test]
    fn the_example_in_radius_form() {
        for (radius, centre, degrees) in [
            (20.0, [19.855_069, -2.403_379], 53.576_426),
            (-20.0, [-9.855_069, 17.403_380], 306.423_574),
        ] {
            let arc = by_radius([0.0; 2], [10.0, 15.0], radius, true, 0.002).unwrap();
            assert!((arc.turn.to_degrees() + degrees).abs() < 1e-6, "{arc:?}");
            assert!(
                (0..2).all(|axis| (arc.centre[axis] - centre[axis]).abs() < 1e-6),
                "{arc:?}"
            );
        }
    }

    #[test]
    fn impossible_arcs_are_refused() {
        let (start, end) = ([0.0; 2], [10.0, 0.0]);
        assert_eq!(by_radius(start, end, 4.9, true, 0.002), Err(Skipped::Radius));
        assert_eq!(by_radius(start, end, 0.0, true, 0.002), Err(Skipped::Radius));
        assert_eq!(by_radius(start, end, f64::NAN, true, 0.002), Err(Skipped::Radius));
        assert_eq!(by_radius(start, start, 5.0, true, 0.002), Err(Skipped::NoWay));
        assert_eq!(
            by_centre(start, end, [4.9, 0.0], true, 0.002),
            Err(Skipped::Centre)
        );
        assert_eq!(by_centre(start, end, start, true, 0.002), Err(Skipped::Centre));
        // Rounded: just short of a half turn.
        let arc = by_radius(start, end, 4.9995, false, 0.002).unwrap();
        assert!((arc.turn - TAU / 2.0).abs() < 1e-6);
    }
}
