//! The speed with which a corner may be taken: by sudden changes of the axes' speeds, or by a circle that passes the corner closely.

/// The rule of a machine, ready for use.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Rule {
    /// One over the change that each of x, y, z and filament may make at once.
    Sudden([f64; 4]),
    /// Distance at which the circle passes the corner.
    Deviation(f64),
}

/// One leg of a corner.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Leg {
    /// Speeds of x, y, z and filament for one unit of speed.
    pub unit: [f64; 4],
    pub length: f64,
    pub acceleration: f64,
    /// Whether the filament moves alone.
    pub alone: bool,
}

impl Rule {
    /// Square of the highest speed at the joint of two legs.
    #[inline(always)]
    pub fn speed2(self, before: &Leg, after: &Leg) -> f64 {
        let change: [f64; 4] = core::array::from_fn(|at| after.unit[at] - before.unit[at]);
        match self {
            Self::Sudden(inverse) => {
                let most = (0..4).fold(0.0_f64, |most, at| most.max(change[at].abs() * inverse[at]));
                1.0 / (most * most)
            }
            // A leg of filament alone has no direction that the corner could be rounded in.
            Self::Deviation(_) if before.alone != after.alone => 0.0,
            Self::Deviation(deviation) => {
                let turn2 = change[..3].iter().map(|change| change * change).sum::<f64>();
                // Filament alone goes on or turns back.
                let turn2 = if after.alone { change[3] * change[3] } else { turn2 };
                let shorter = before.length.min(after.length);
                let acceleration = before.acceleration.min(after.acceleration);
                acceleration * radius(deviation, turn2, shorter)
            }
        }
    }
}

/// Radius of the circle that touches both legs: at most what the deviation says, and at most what half of the shorter leg has room for.
///
/// `turn2` is the square of the change of the unit vector, from 0 for straight on to 4 for a reversal: it is `4 cos²(t/2)` for the inner
/// angle t. The law is that of [`physics::motion::deviation_radius`] and [`physics::motion::chord_radius`]; a test holds it against them.
#[inline(always)]
fn radius(deviation: f64, turn2: f64, shorter: f64) -> f64 {
    let cos2 = (turn2 / 4.0).min(1.0);
    let sin = (1.0 - cos2).sqrt();
    // d s / (1 − s), where 1 − s = cos² / (1 + s) keeps its digits near a straight line.
    let by_deviation = deviation * sin * (1.0 + sin) / cos2;
    let by_chord = shorter / 2.0 * sin / cos2.sqrt();
    let radius = by_deviation.min(by_chord);
    // Straight on: both are 1/0, or 0/0 on a leg of no length.
    if radius.is_nan() { f64::INFINITY } else { radius }
}

#[cfg(test)]
mod tests {
    use super::*;
    use physics::motion;
    use proptest::prelude::*;
    use quantity::Number as _;
    use quantity::si::{Acceleration, Length};

    fn leg(degrees: f64, length: f64, acceleration: f64) -> Leg {
        let (sin, cos) = degrees.to_radians().sin_cos();
        Leg {
            unit: [cos, sin, 0.0, 0.0],
            length,
            acceleration,
            alone: false,
        }
    }

    proptest! {
        /// The formulas of `physics` are the peer: two circles, the smaller counts.
        #[test]
        fn the_rule_is_that_of_the_formulas(inner in 1.0_f64..179.5, deviation in 1e-6_f64..1e-3, length in 1e-5_f64..0.1) {
            let (one, other) = (leg(0.0, length, 1.0), leg(180.0 - inner, 2.0 * length, 2.0));
            let angle = quantity::si::degree(inner);
            let by_deviation = motion::deviation_radius(Length::from_base(deviation), angle);
            let by_chord = motion::chord_radius(Length::from_base(length), angle);
            let expected = motion::curve_speed(Acceleration::from_base(1.0), by_deviation.smaller(by_chord)).base();
            let found = Rule::Deviation(deviation).speed2(&one, &other).sqrt();
            prop_assert!((found / expected - 1.0).abs() < 1e-6, "{found} {expected}");
        }

        /// No axis changes its speed by more than its limit, and one changes by just that.
        #[test]
        fn one_axis_reaches_its_sudden_change(from in 0.0_f64..360.0, to in 0.0_f64..360.0, x in 1e-3_f64..0.1, y in 1e-3_f64..0.1) {
            prop_assume!((from - to).abs() > 0.1);
            let (one, other) = (leg(from, 1.0, 1.0), leg(to, 1.0, 1.0));
            let speed = Rule::Sudden([1.0 / x, 1.0 / y, 1e9, 1e9]).speed2(&one, &other).sqrt();
            let changes = [0, 1].map(|at| (speed * (other.unit[at] - one.unit[at]).abs()) / [x, y][at]);
            prop_assert!((changes[0].max(changes[1]) - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn straight_on_has_no_limit_and_a_reversal_stands_still() {
        for rule in [Rule::Deviation(5e-5), Rule::Sudden([100.0; 4])] {
            assert_eq!(
                rule.speed2(&leg(30.0, 0.01, 1.0), &leg(30.0, 0.01, 1.0)),
                f64::INFINITY
            );
        }
        assert!(Rule::Deviation(5e-5).speed2(&leg(0.0, 0.01, 1.0), &leg(180.0, 0.01, 1.0)) < 1e-18);
        let alone = Leg {
            unit: [0.0, 0.0, 0.0, 1.0],
            alone: true,
            ..leg(0.0, 0.01, 1.0)
        };
        assert_eq!(Rule::Deviation(5e-5).speed2(&leg(0.0, 0.01, 1.0), &alone), 0.0);
        assert_eq!(Rule::Deviation(5e-5).speed2(&alone, &alone), f64::INFINITY);
    }
}
