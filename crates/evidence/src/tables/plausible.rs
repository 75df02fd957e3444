//! How large a number of each kind can be in a measurement on such a machine. What is beyond was not measured: a digit too many, the
//! unit of another column, two numbers that ran together.
//!
//! The reaches are wide, so that no true reading is lost, and narrow enough that squares and sums of squares of what they hold stay
//! far from the ends of a double. All: common practice, no source.

use quantity::{AnyValue, Digits};
use quantity::{Kind, show};

/// The largest size that is believed, on either side of zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reach {
    kind: Kind,
    /// In base units.
    largest: f64,
}

/// Kind and largest size in base units.
const REACHES: &[(Kind, f64)] = &[
    // A whole spool holds some hundred metres.
    (Kind::Length, 1e3),
    // Seconds since 1970 stay below for three centuries; milliseconds taken for seconds do not.
    (Kind::Time, 1e10),
    (Kind::Velocity, 1e2),
    (Kind::Voltage, 1e3),
    (Kind::Current, 1e3),
    // Thresholds and other settings without a unit.
    (Kind::Ratio, 1e6),
];

impl Reach {
    /// The reach of a kind; for one that is not listed, of plain numbers.
    pub fn of(kind: Kind) -> Self {
        let listed = REACHES.iter().find(|(own, _)| *own == kind);
        let largest = listed.map_or(1e6, |(_, largest)| *largest);
        Self { kind, largest }
    }

    /// The reach of numbers without a unit.
    pub fn of_numbers() -> Self {
        Self::of(Kind::Ratio)
    }

    /// Whether a number in base units is within.
    pub fn holds(self, base: f64) -> bool {
        base.abs() <= self.largest
    }

    /// "± 1 km".
    pub fn words(self) -> String {
        let value = AnyValue {
            kind: self.kind,
            nominal: self.largest,
            low: self.largest,
            high: self.largest,
        };
        let shown = if self.kind == Kind::Ratio {
            quantity::show_bare(&value, Digits::default())
        } else {
            show(&value, Digits::default())
        };
        format!("± {shown}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reach_holds_what_is_measured_and_not_what_ran_together() {
        let length = Reach::of(Kind::Length);
        assert!(length.holds(0.33) && length.holds(-1e3) && !length.holds(1e203) && !length.holds(f64::NAN));
        assert_eq!(length.words(), "± 1000 m");
        // 28 November 2026 in seconds and in milliseconds since 1970.
        assert!(Reach::of(Kind::Time).holds(1.795_9e9) && !Reach::of(Kind::Time).holds(1.795_9e12));
        assert_eq!(Reach::of_numbers().words(), "± 1000000");
    }
}
