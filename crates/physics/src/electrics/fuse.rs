//! Fuses: how long one may take to open at a multiple of its rating, as a band from its standard.

use quantity::si::{Ratio, Time};
use quantity::{Number, Value};
use serde::Serialize;

use crate::{Formula, OutOfRange};

/// See [`opening_time`].
pub static OPENING_TIME: Formula = Formula::new(
    "fuse-opening-time",
    "Time in which a fuse opens",
    "t(I / Iᵣ): band of the standard",
    "iso-8820-3",
    "time-current table",
);

/// A class of fuse with a standardised time-current band.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FuseClass {
    /// Blade fuse of a vehicle, types C and F. [iso-8820-3]
    Blade,
    /// Glass tube 5 mm × 20 mm, quick-acting (F). [iec-60127-2], sheet 2
    GlassQuick,
    /// Glass tube 5 mm × 20 mm, time-lag (T). [iec-60127-2], sheet 3
    GlassSlow,
}

/// How long a fuse holds, and when it has opened at the latest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpeningTime {
    /// It holds at least this long.
    pub holds: Time,
    /// It has opened by then; nothing where the standard does not promise that it opens at all.
    pub opens: Option<Time>,
}

const HOUR: f64 = 3600.0;
/// A row: multiple of the rating, shortest time, longest time (infinite where none is promised), all in s.
type Row = (f64, f64, f64);

impl FuseClass {
    fn rows(self) -> &'static [Row] {
        match self {
            Self::Blade => &[
                (1.10, 100.0 * HOUR, f64::INFINITY),
                (1.35, 0.75, 600.0),
                (2.00, 0.15, 5.0),
                (3.50, 0.04, 0.5),
            ],
            Self::GlassQuick => &[(1.5, HOUR, f64::INFINITY), (2.1, 0.0, HOUR / 2.0)],
            Self::GlassSlow => &[(1.5, HOUR, f64::INFINITY), (2.1, 0.0, 120.0)],
        }
    }

    /// The multiple of its rating up to which a fuse of this class holds as good as for ever.
    #[must_use]
    pub fn holding_multiple(self) -> Ratio {
        Ratio::from_base(self.rows()[0].0)
    }

    /// The multiples of its rating at which the standard states times, in rising order.
    pub fn multiples(self) -> impl Iterator<Item = Ratio> {
        self.rows().iter().map(|row| Ratio::from_base(row.0))
    }

    /// The Joule integral that a fuse of this class is sure to hold, over the square of its rating: the least of multiple squared times time
    /// over the rows of its standard; zero where the standard promises no time that it holds.
    #[must_use]
    pub fn joule_constant(self) -> Time {
        let least = self
            .rows()
            .iter()
            .map(|(multiple, holds, _)| multiple * multiple * holds)
            .fold(f64::INFINITY, f64::min);
        Time::from_base(least)
    }

    /// The smallest multiple of its rating at which a fuse of this class is sure to open in the end.
    #[must_use]
    pub fn opening_multiple(self) -> Ratio {
        Ratio::from_base(self.rows()[1].0)
    }
}

/// How long a fuse takes to open at a multiple of its rating.
///
/// A fuse opens the sooner the more current it carries. Between two rows of the standard, the row below therefore bounds the
/// time from above and the row above bounds it from below; nothing is interpolated.
///
/// - `multiple`: current by rated current, ≥ 0.
///
/// Leaves out: the air around the fuse (a fuse in a warm case opens earlier), and repeated loads.
///
/// # Errors
/// [`OutOfRange`] where `multiple` is negative or no number.
///
/// # Source
/// [iso-8820-3] and [iec-60127-2], time-current tables (both from memory).
pub fn opening_time(class: FuseClass, multiple: Ratio) -> Result<OpeningTime, OutOfRange> {
    let range = quantity::Range::new(Ratio::from_base(0.0), Ratio::from_base(f64::INFINITY));
    let multiple = OutOfRange::check("multiple of the rated current", multiple, range)?.base();
    // A multiple computed from two ratings may miss the row by rounding.
    let slack = 1.0 + 1e-12;
    let rows = class.rows();
    let holds = rows
        .iter()
        .find(|row| row.0 * slack >= multiple)
        .map_or(0.0, |row| row.1);
    let opens = rows
        .iter()
        .rev()
        .find(|row| row.0 <= multiple * slack)
        .map(|row| row.2);
    Ok(OpeningTime {
        holds: Time::from_base(holds),
        opens: opens.filter(|time| time.is_finite()).map(Time::from_base),
    })
}

impl OpeningTime {
    /// The band as a value, where the standard promises an end; its nominal is the geometric middle.
    #[must_use]
    pub fn band(&self) -> Option<Value<Time>> {
        let opens = self.opens?;
        let middle = (self.holds.base() * opens.base()).sqrt();
        Some(Value::between(self.holds, Time::from_base(middle), opens))
    }
}
