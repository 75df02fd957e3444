//! The size of a wire, by gauge number or by cross-section.

use core::fmt;

use serde::{Serialize, Serializer};

use crate::number::Number;
use crate::si::{Area, Length, square_millimetre};

/// The size of a conductor as it is written on the reel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WireSize {
    /// American wire gauge, 0 ..= 40.
    Awg(u8),
    /// Cross-section of the copper.
    CrossSection(Area),
}

impl WireSize {
    /// The diameter of the solid conductor.
    ///
    /// `d = 0.127 mm · 92^((36 − n)/39)`; for a cross-section the diameter of the circle of that area.
    ///
    /// # Source
    /// ASTM B258 (from memory of the rule; held against a printed wire table in `tests`).
    #[must_use]
    pub fn diameter(self) -> Length {
        match self {
            Self::Awg(number) => Length::from_base(0.127e-3 * 92_f64.powf((36.0 - f64::from(number)) / 39.0)),
            Self::CrossSection(area) => Length::from_base((4.0 * area.base() / core::f64::consts::PI).sqrt()),
        }
    }

    /// The cross-section of the copper.
    #[must_use]
    pub fn area(self) -> Area {
        match self {
            Self::Awg(_) => {
                let diameter = self.diameter().base();
                Area::from_base(core::f64::consts::PI / 4.0 * diameter * diameter)
            }
            Self::CrossSection(area) => area,
        }
    }

    /// The American wire gauge of the next thinner or equal size, for tables that list gauges only.
    #[must_use]
    pub fn gauge(self) -> u8 {
        match self {
            Self::Awg(number) => number,
            Self::CrossSection(area) => {
                // One part in a thousand forgives the rounding of printed cross-sections.
                let diameter = Self::CrossSection(area * 1.001).diameter().base();
                let number = 36.0 - 39.0 * (diameter / 0.127e-3).ln() / 92_f64.ln();
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "clamped to 0 ..= 40"
                )]
                let gauge = number.ceil().clamp(0.0, 40.0) as u8;
                gauge
            }
        }
    }
}

impl fmt::Display for WireSize {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Awg(number) => write!(formatter, "{number} AWG"),
            Self::CrossSection(area) => {
                let number = area.base() / square_millimetre(1.0).base();
                write!(formatter, "{} mm²", (number * 1e6).round() / 1e6)
            }
        }
    }
}

impl Serialize for WireSize {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
