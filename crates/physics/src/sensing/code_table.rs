//! A table of converter readings and temperatures for a new input, as short as its error allows, and the error that is left.

use quantity::si::{ElectricalResistance, Ratio, TemperatureInterval, ThermodynamicTemperature};
use quantity::{Number, Range};

use super::{DividerInput, RtCurve};
use crate::OutOfRange;

/// One row of a table: converter reading and temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CodeRow {
    /// Converter reading at this temperature, not rounded.
    pub code: Ratio,
    /// Temperature.
    pub temperature: ThermodynamicTemperature,
}

/// A table of converter readings, between whose rows a controller interpolates in a straight line.
#[derive(Clone, Debug, PartialEq)]
pub struct CodeTable {
    rows: Vec<CodeRow>,
}

/// The largest error of something, and where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorstError {
    /// Read minus true.
    pub error: TemperatureInterval,
    /// The true temperature there.
    pub temperature: ThermodynamicTemperature,
}

impl CodeTable {
    /// The shortest table whose straight lines stay within `error` of the curve over `range`.
    ///
    /// Row after row is set as far from the last as the error allows, looked up in steps of 0.25 K; both ends of the range are rows.
    ///
    /// # Errors
    /// [`OutOfRange`] where the curve does not cover the range, or the error is not positive.
    pub fn within(
        curve: &RtCurve,
        input: &DividerInput,
        range: Range<ThermodynamicTemperature>,
        error: TemperatureInterval,
    ) -> Result<Self, OutOfRange> {
        let allowed = OutOfRange::check_positive("allowed error of a table", error)?.base();
        let fine = fine_rows(curve, input, range)?;
        let mut rows = vec![fine[0]];
        let mut last = 0;
        while last + 1 < fine.len() {
            let mut next = last + 1;
            while next + 1 < fine.len() && bend(&fine[last..=next + 1]) <= allowed {
                next += 1;
            }
            rows.push(fine[next]);
            last = next;
        }
        Ok(Self { rows })
    }

    /// A table of given rows, coldest first.
    ///
    /// # Errors
    /// [`OutOfRange`] where there are fewer than two rows, or the readings do not go one way.
    pub fn new(rows: Vec<CodeRow>) -> Result<Self, OutOfRange> {
        OutOfRange::check_positive(
            "number of rows beyond the first",
            Ratio::from_base(rows.len() as f64 - 1.0),
        )?;
        let falls = rows[1].code < rows[0].code;
        for pair in rows.windows(2) {
            let step = if falls {
                pair[0].code - pair[1].code
            } else {
                pair[1].code - pair[0].code
            };
            OutOfRange::check_positive("step of the reading from row to row", step)?;
        }
        Ok(Self { rows })
    }

    /// The largest error of the table at points of a maker, those outside the table left out.
    ///
    /// # Errors
    /// [`OutOfRange`] where no point lies inside the table.
    pub fn points_error(
        &self,
        input: &DividerInput,
        points: &[(ThermodynamicTemperature, ElectricalResistance)],
    ) -> Result<WorstError, OutOfRange> {
        let inside = points
            .iter()
            .filter_map(|(temperature, resistance)| {
                let read = self.temperature(input.code(*resistance)).ok()?;
                Some(WorstError {
                    error: TemperatureInterval::from_base(read.base() - temperature.base()),
                    temperature: *temperature,
                })
            })
            .collect::<Vec<_>>();
        OutOfRange::check_positive("number of points", Ratio::from_base(inside.len() as f64))?;
        worst(inside.into_iter().map(Ok))
    }

    /// The rows, coldest first.
    #[must_use]
    pub fn rows(&self) -> &[CodeRow] {
        &self.rows
    }

    /// Temperature that a controller reads from the table.
    ///
    /// # Errors
    /// [`OutOfRange`] outside the table.
    pub fn temperature(&self, code: Ratio) -> Result<ThermodynamicTemperature, OutOfRange> {
        let (first, last) = (self.rows[0].code, self.rows[self.rows.len() - 1].code);
        let code = OutOfRange::check("converter reading", code, Range::new(first, last))?;
        let falls = last < first;
        let before = |row: &CodeRow| if falls { row.code >= code } else { row.code <= code };
        let next = self.rows.partition_point(before).clamp(1, self.rows.len() - 1);
        Ok(straight(self.rows[next - 1], self.rows[next], code))
    }

    /// The largest error of the table against a curve behind the same input, looked up in steps of 0.25 K.
    ///
    /// # Errors
    /// [`OutOfRange`] where the curve does not cover the table.
    pub fn worst_error(&self, curve: &RtCurve, input: &DividerInput) -> Result<WorstError, OutOfRange> {
        let range = Range::new(
            self.rows[0].temperature,
            self.rows[self.rows.len() - 1].temperature,
        );
        let (first, last) = (self.rows[0].code, self.rows[self.rows.len() - 1].code);
        let errors = fine_rows(curve, input, range)?.into_iter().map(|row| {
            // A reading just past an end of the table, by rounding or because the curve differs, is held at the end.
            let code = row.code.larger(first.smaller(last)).smaller(last.larger(first));
            let read = self.temperature(code)?;
            Ok(WorstError {
                error: TemperatureInterval::from_base(read.base() - row.temperature.base()),
                temperature: row.temperature,
            })
        });
        worst(errors)
    }
}

/// The largest error of a curve against points of its maker's table: what the law reads at the resistance of each point.
///
/// # Errors
/// [`OutOfRange`] where the curve does not reach a point, or there is no point.
pub fn fit_error(
    curve: &RtCurve,
    points: &[(ThermodynamicTemperature, ElectricalResistance)],
) -> Result<WorstError, OutOfRange> {
    OutOfRange::check_positive("number of points", Ratio::from_base(points.len() as f64))?;
    worst(points.iter().map(|(temperature, resistance)| {
        let read = curve.temperature(*resistance)?;
        Ok(WorstError {
            error: TemperatureInterval::from_base(read.base() - temperature.base()),
            temperature: *temperature,
        })
    }))
}

fn worst(errors: impl Iterator<Item = Result<WorstError, OutOfRange>>) -> Result<WorstError, OutOfRange> {
    let none = WorstError {
        error: TemperatureInterval::from_base(0.0),
        temperature: ThermodynamicTemperature::from_base(0.0),
    };
    errors.into_iter().try_fold(none, |worst, error| {
        let error = error?;
        let larger = error.error.base().abs() > worst.error.base().abs() || worst == none;
        Ok(if larger { error } else { worst })
    })
}

fn fine_rows(
    curve: &RtCurve,
    input: &DividerInput,
    range: Range<ThermodynamicTemperature>,
) -> Result<Vec<CodeRow>, OutOfRange> {
    let (low, high) = (range.low().base(), range.high().base());
    let steps = ((high - low) / 0.25).ceil().max(1.0);
    let mut rows = Vec::new();
    let mut index = 0.0;
    while index <= steps {
        // The last row is the end itself, not what rounding makes of it.
        let kelvin = if index == steps {
            high
        } else {
            low + (high - low) * index / steps
        };
        let temperature = ThermodynamicTemperature::from_base(kelvin);
        let code = input.code(curve.resistance(temperature)?);
        rows.push(CodeRow { code, temperature });
        index += 1.0;
    }
    Ok(rows)
}

/// By how much rows bend away from the straight line through their ends, in kelvin.
fn bend(rows: &[CodeRow]) -> f64 {
    let (first, last) = (rows[0], rows[rows.len() - 1]);
    let off = |row: &CodeRow| (straight(first, last, row.code).base() - row.temperature.base()).abs();
    rows.iter().map(off).fold(0.0, f64::max)
}

fn straight(one: CodeRow, other: CodeRow, code: Ratio) -> ThermodynamicTemperature {
    let share = ((code - one.code) / (other.code - one.code)).base();
    let (from, to) = (one.temperature.base(), other.temperature.base());
    ThermodynamicTemperature::from_base(from + share * (to - from))
}
