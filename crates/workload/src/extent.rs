//! How far the nozzle goes.

use quantity::Number as _;
use quantity::si::Length;
use serde::{Serialize, Serializer};

use quantity::Value;

/// The lowest and the highest place of one axis, each with the line that goes there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    low: f64,
    high: f64,
    /// The line of the lowest place.
    pub low_line: u64,
    /// The line of the highest place.
    pub high_line: u64,
}

impl Default for Extent {
    fn default() -> Self {
        Self {
            low: f64::INFINITY,
            high: f64::NEG_INFINITY,
            low_line: 0,
            high_line: 0,
        }
    }
}

impl Extent {
    #[inline(always)]
    pub(crate) fn add(&mut self, place: f64, line: u64) {
        if place < self.low {
            (self.low, self.low_line) = (place, line);
        }
        if place > self.high {
            (self.high, self.high_line) = (place, line);
        }
    }

    pub(crate) fn merge(&mut self, other: &Self) {
        if other.low < self.low {
            (self.low, self.low_line) = (other.low, other.low_line);
        }
        if other.high > self.high {
            (self.high, self.high_line) = (other.high, other.high_line);
        }
    }

    /// Whether the axis moved at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.low > self.high
    }

    /// The lowest place.
    #[must_use]
    pub fn low(&self) -> Length {
        Length::from_base(self.low)
    }

    /// The highest place.
    #[must_use]
    pub fn high(&self) -> Length {
        Length::from_base(self.high)
    }
}

impl Serialize for Extent {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        #[derive(Serialize)]
        struct Told {
            low: Value<Length>,
            low_line: u64,
            high: Value<Length>,
            high_line: u64,
        }
        let told = (!self.is_empty()).then(|| Told {
            low: Value::exact(self.low()),
            low_line: self.low_line,
            high: Value::exact(self.high()),
            high_line: self.high_line,
        });
        told.serialize(serializer)
    }
}

/// Of all moves, and of those that lay down plastic: x, y, z.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Extents {
    /// Of all moves.
    pub all: [Extent; 3],
    /// Of those that lay down plastic.
    pub printed: [Extent; 3],
    /// How far it goes from the middle, where that is looked at.
    pub outward: Extent,
}
