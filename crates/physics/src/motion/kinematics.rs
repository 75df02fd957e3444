//! Kinematics: which motor moves how far and how fast for a move of the nozzle over the part.

use quantity::Number;
use quantity::si::{Angle, Force, Frequency, Length, Ratio, Velocity};

use crate::{Formula, OutOfRange};

/// See [`Kinematics::CrossedBelts`].
pub static CROSSED_BELTS: Formula = Formula::new(
    "crossed-belts",
    "Travel of the two motors of crossed belts",
    "a = x + y, b = x − y",
    "iso-80000-3",
    "geometry",
);
/// See [`Kinematics::Delta`].
pub static DELTA_CARRIAGE: Formula = Formula::new(
    "delta-carriage",
    "Height of a carriage of three towers",
    "h = z + √(L² − (X − x)² − (Y − y)²)",
    "iso-80000-3",
    "geometry",
);
/// See [`Kinematics::BeltBed`].
pub static BELT_BED: Formula = Formula::new(
    "belt-bed",
    "Travel of gantry and belt where the gantry is tilted against the belt",
    "g = z / sin α, b = y + z / tan α",
    "iso-80000-3",
    "geometry",
);

/// See [`Kinematics::forces`].
pub static MOTOR_FORCES: Formula = Formula::new(
    "motor-forces",
    "Force of each motor for a force at the nozzle",
    "Σₙ Fₙ · ∂sₙ/∂r = f for r = x, y, z",
    "iso-80000-4",
    "virtual work",
);

/// See [`Kinematics::largest_sum`].
pub static LARGEST_SUM: Formula = Formula::new(
    "largest-sum",
    "Steps of all motors together, at the worst place in the worst direction",
    "f = max Σₙ fₙ · |u · ∂sₙ/∂r| over all directions u",
    "iso-80000-3",
    "geometry",
);

/// Which carriage of two on one rail moves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Carriages {
    /// The first; the other is parked.
    First,
    /// The second; the first is parked.
    Second,
    /// Both, side by side in the same direction.
    Copy,
    /// Both, towards each other.
    Mirror,
}

/// How motors move the nozzle over the part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kinematics {
    /// One motor, or one group of motors, for each of x, y, z.
    Cartesian,
    /// Two belts that cross: both motors turn for x and for y; z has its own. Motors: a, b, z.
    CrossedBelts,
    /// Three carriages on towers carry the nozzle on arms. Motors: the towers at 210°, 330° and 90°.
    Delta {
        /// Length of the arms between their joints.
        arm: Length,
        /// From the middle of the plate to a tower, less both joint offsets.
        radius: Length,
    },
    /// Two carriages on the x rail. Motors: first x, second x, y, z.
    TwoCarriages {
        /// Which of them move.
        moving: Carriages,
    },
    /// A belt as bed, with the gantry tilted against it. Coordinates are those of the part: y along the belt, z up from it.
    /// Motors: x, gantry, belt.
    BeltBed {
        /// Angle between gantry and belt, above 0° and at most 90°; 45° is usual.
        tilt: Angle,
    },
}

/// A place of the nozzle over the part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// To the right.
    pub x: Length,
    /// Back.
    pub y: Length,
    /// Up.
    pub z: Length,
}

impl Kinematics {
    /// Names of the motors, in the order of the other functions.
    #[must_use]
    pub fn motors(&self) -> &'static [&'static str] {
        match self {
            Self::Cartesian => &["x", "y", "z"],
            Self::CrossedBelts => &["a", "b", "z"],
            Self::Delta { .. } => &["tower 210°", "tower 330°", "tower 90°"],
            Self::TwoCarriages { .. } => &["first x", "second x", "y", "z"],
            Self::BeltBed { .. } => &["x", "gantry", "belt"],
        }
    }

    /// How far each motor's belt or nut stands when the nozzle is at a place. A parked carriage stands at zero.
    ///
    /// # Errors
    /// [`OutOfRange`] where the arms do not reach, or the tilt is none.
    ///
    /// # Source
    /// Geometry.
    pub fn travels(&self, place: Place) -> Result<Vec<Length>, OutOfRange> {
        let Place { x, y, z } = place;
        let zero = Length::from_base(0.0);
        Ok(match *self {
            Self::Cartesian => vec![x, y, z],
            Self::CrossedBelts => vec![x + y, x - y, z],
            Self::Delta { arm, radius } => {
                let height = |tower| Ok(z + Length::from_base(Reach::of(arm, radius, place, tower)?.height));
                TOWERS
                    .into_iter()
                    .map(height)
                    .collect::<Result<_, OutOfRange>>()?
            }
            Self::TwoCarriages { moving } => {
                let (first, second) = match moving {
                    Carriages::First => (x, zero),
                    Carriages::Second => (zero, x),
                    Carriages::Copy => (x, x),
                    Carriages::Mirror => (x, -x),
                };
                vec![first, second, y, z]
            }
            Self::BeltBed { tilt } => {
                let (sin, cos) = tilted(tilt)?;
                vec![x, z / sin, y + z * (cos / sin)]
            }
        })
    }

    /// Speed of each motor's belt or nut for a velocity of the nozzle at a place.
    ///
    /// # Errors
    /// As for [`Self::travels`].
    pub fn speeds(&self, place: Place, velocity: [Velocity; 3]) -> Result<Vec<Velocity>, OutOfRange> {
        let row = |row: [f64; 3]| {
            let speed = row
                .iter()
                .zip(velocity)
                .map(|(share, along)| share * along.base())
                .sum();
            Velocity::from_base(speed)
        };
        Ok(self.rows(place)?.into_iter().map(row).collect())
    }

    /// The largest speed of each motor's belt or nut, over all directions, for one unit of speed of the nozzle at a place.
    ///
    /// 1 for a plain axis, √2 for crossed belts; near the rim of a delta it grows without bound.
    ///
    /// # Errors
    /// As for [`Self::travels`].
    pub fn largest_shares(&self, place: Place) -> Result<Vec<Ratio>, OutOfRange> {
        let norm =
            |row: [f64; 3]| Ratio::from_base(row.iter().map(|share| share * share).sum::<f64>().sqrt());
        Ok(self.rows(place)?.into_iter().map(norm).collect())
    }

    /// The largest sum of the step rates of all motors, over all directions of the nozzle at a place.
    ///
    /// `max Σₙ fₙ · |u · ∂sₙ/∂r|` over all directions u: the sum under one choice of signs is largest along its own gradient, so that it is the
    /// largest length of `Σₙ ± fₙ · ∂sₙ/∂r`.
    ///
    /// - `rates`: of each motor where its belt or nut is as fast as the nozzle, in the order of [`Self::motors`].
    ///
    /// Monotone in each rate. It is at most the sum of the largest rates of the motors by themselves, which they do not reach at once.
    ///
    /// # Errors
    /// As for [`Self::travels`].
    ///
    /// # Source
    /// Geometry.
    pub fn largest_sum(&self, place: Place, rates: &[Frequency]) -> Result<Frequency, OutOfRange> {
        let rows = self.rows(place)?;
        let motors = rows.len().min(rates.len());
        let signed = |signs: u32| {
            let mut sum = [0.0_f64; 3];
            for motor in 0..motors {
                let sign = if signs >> motor & 1 == 0 { 1.0 } else { -1.0 };
                for (sum, share) in sum.iter_mut().zip(rows[motor]) {
                    *sum += sign * rates[motor].base() * share;
                }
            }
            sum.iter().map(|part| part * part).sum::<f64>().sqrt()
        };
        let largest = (0..1_u32 << motors).map(signed).fold(0.0, f64::max);
        Ok(Frequency::from_base(largest))
    }

    /// Force of each motor's belt or nut that together give a force at the nozzle, at a place.
    ///
    /// `Σₙ Fₙ · ∂sₙ/∂r = f` for r = x, y, z: what the motors put in as they travel, the nozzle gives out. Two crossed belts share a force
    /// along x; each tower of a delta pulls the more the flatter its arm lies.
    ///
    /// - `force`: along x, y and z.
    ///
    /// Linear in `force`. Leaves out: the masses of carriages and arms, and friction; for two carriages on a rail the one that is parked.
    ///
    /// # Errors
    /// As for [`Self::travels`], and where the motors cannot give the force: a pose without a way out.
    ///
    /// # Source
    /// Virtual work, [iso-80000-4].
    pub fn forces(&self, place: Place, force: [Force; 3]) -> Result<Vec<Force>, OutOfRange> {
        let rows = self.rows(place)?;
        let wanted = force.map(Number::base);
        // A motor that stands still for every move carries nothing; three others are left.
        let moving: Vec<usize> = (0..rows.len()).filter(|at| rows[*at] != [0.0; 3]).collect();
        if moving.len() > 3 {
            // Both carriages move alike: each carries its own load, so that the whole force stands at both.
            let along = |row: &[f64; 3]| {
                Force::from_base(row.iter().zip(wanted).map(|(share, force)| share * force).sum())
            };
            return Ok(rows.iter().map(along).collect());
        }
        let [a, b, c] = [rows[moving[0]], rows[moving[1]], rows[moving[2]]];
        let whole = Ratio::from_base(determinant(a, b, c).abs());
        OutOfRange::check_positive("what the motors move together", whole)?;
        let whole = determinant(a, b, c);
        let shares = [
            determinant(wanted, b, c),
            determinant(a, wanted, c),
            determinant(a, b, wanted),
        ];
        let mut out = vec![Force::from_base(0.0); rows.len()];
        for (at, share) in moving.into_iter().zip(shares) {
            out[at] = Force::from_base(share / whole);
        }
        Ok(out)
    }

    /// For each motor the derivatives of its travel by x, y and z.
    fn rows(&self, place: Place) -> Result<Vec<[f64; 3]>, OutOfRange> {
        const X: [f64; 3] = [1.0, 0.0, 0.0];
        const Y: [f64; 3] = [0.0, 1.0, 0.0];
        const Z: [f64; 3] = [0.0, 0.0, 1.0];
        const STILL: [f64; 3] = [0.0; 3];
        Ok(match *self {
            Self::Cartesian => vec![X, Y, Z],
            Self::CrossedBelts => vec![[1.0, 1.0, 0.0], [1.0, -1.0, 0.0], Z],
            Self::Delta { arm, radius } => {
                let row = |tower| {
                    let reach = Reach::of(arm, radius, place, tower)?;
                    Ok([reach.right / reach.height, reach.back / reach.height, 1.0])
                };
                TOWERS.into_iter().map(row).collect::<Result<_, OutOfRange>>()?
            }
            Self::TwoCarriages { moving } => {
                let (first, second) = match moving {
                    Carriages::First => (X, STILL),
                    Carriages::Second => (STILL, X),
                    Carriages::Copy => (X, X),
                    Carriages::Mirror => (X, [-1.0, 0.0, 0.0]),
                };
                vec![first, second, Y, Z]
            }
            Self::BeltBed { tilt } => {
                let (sin, cos) = tilted(tilt)?;
                vec![X, [0.0, 0.0, 1.0 / sin], [0.0, 1.0, cos / sin]]
            }
        })
    }
}

/// The determinant of three rows.
fn determinant([a, b, c]: [f64; 3], [d, e, f]: [f64; 3], [g, h, i]: [f64; 3]) -> f64 {
    a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
}

/// Angles of the towers, in degrees.
const TOWERS: [f64; 3] = [210.0, 330.0, 90.0];

/// An arm of a delta: how far its tower stands from the nozzle, and how high its upper end above the lower one.
struct Reach {
    right: f64,
    back: f64,
    height: f64,
}

impl Reach {
    fn of(arm: Length, radius: Length, place: Place, tower: f64) -> Result<Self, OutOfRange> {
        let (sin, cos) = tower.to_radians().sin_cos();
        let right = radius.base() * cos - place.x.base();
        let back = radius.base() * sin - place.y.base();
        let left = Length::from_base(arm.base() - right.hypot(back));
        let left = OutOfRange::check_positive("what the arm reaches beyond its tower", left)?.base();
        // L² − d² as (L − d)(L + d), which keeps its digits near the rim.
        let height = (left * (2.0 * arm.base() - left)).sqrt();
        Ok(Self { right, back, height })
    }
}

fn tilted(tilt: Angle) -> Result<(f64, f64), OutOfRange> {
    let right = quantity::Range::new(Angle::from_base(f64::MIN_POSITIVE), quantity::si::degree(90.0));
    Ok(OutOfRange::check("tilt of the gantry", tilt, right)?
        .base()
        .sin_cos())
}
