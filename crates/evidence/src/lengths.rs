//! Lengths in millimetres, as most analyses of the bench reckon with them: as numbers, as texts, as figures.

use quantity::si::{Length, millimetre};
use quantity::{AnyValue, Number as _, Value, show_nominal};
use statistics::Estimate;

use crate::Figure;
use crate::quantities::InUnit as _;

pub(crate) fn mm(length: Length) -> f64 {
    length.base() * 1e3
}

/// For people.
pub(crate) fn in_millimetres(length: f64) -> String {
    Value::exact(millimetre(length)).to_string()
}

/// For sentences: its digits follow its interval.
pub(crate) fn told_in_millimetres(length: Estimate) -> String {
    show_nominal(&AnyValue::from(length.of(millimetre)))
}

/// For tables, with its sign and without its unit, such as "+0.125".
pub(crate) fn signed(length: f64) -> String {
    format!("{length:+.3}").replace('-', "−")
}

/// A figure with its interval.
pub(crate) fn interval(id: &'static str, what: impl Into<String>, length: Estimate) -> Figure {
    Figure::with_interval(id, what, length.of(millimetre))
}

/// A figure without one.
pub(crate) fn exact(id: &'static str, what: impl Into<String>, length: f64) -> Figure {
    Figure::plain(id, what, Value::exact(millimetre(length)))
}
