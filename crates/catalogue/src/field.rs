//! How the fields of a row are read: text in the grammar of `quantity` to typed values, for `deserialize_with`.

use core::fmt::Display;

use quantity::{
    Price, Quantity, Range, Value, WireSize, parse_price, parse_range, parse_value, parse_wire_size,
};
use serde::de::{Deserialize, Deserializer, Error};

/// Reads a value with its tolerance.
pub(crate) fn value<'de, D: Deserializer<'de>, Q: Quantity>(from: D) -> Result<Value<Q>, D::Error> {
    text(from, parse_value)
}

/// Reads a value that may be missing.
pub(crate) fn some_value<'de, D: Deserializer<'de>, Q: Quantity>(
    from: D,
) -> Result<Option<Value<Q>>, D::Error> {
    text(from, parse_value).map(Some)
}

/// Reads a list of values.
pub(crate) fn values<'de, D: Deserializer<'de>, Q: Quantity>(from: D) -> Result<Vec<Value<Q>>, D::Error> {
    let written = Vec::<String>::deserialize(from)?;
    written
        .iter()
        .map(|one| parse_value(one).map_err(D::Error::custom))
        .collect()
}

/// Reads a range.
pub(crate) fn range<'de, D: Deserializer<'de>, Q: Quantity>(from: D) -> Result<Range<Q>, D::Error> {
    text(from, parse_range)
}

/// Reads a price.
pub(crate) fn price<'de, D: Deserializer<'de>>(from: D) -> Result<Price, D::Error> {
    text(from, parse_price)
}

/// Reads the size of a wire.
pub(crate) fn wire_size<'de, D: Deserializer<'de>>(from: D) -> Result<WireSize, D::Error> {
    text(from, parse_wire_size)
}

/// Reads the size of a wire that may be missing.
pub(crate) fn some_wire_size<'de, D: Deserializer<'de>>(from: D) -> Result<Option<WireSize>, D::Error> {
    text(from, parse_wire_size).map(Some)
}

/// Reads text by `parse`; what it complains of becomes the complaint about the row.
pub(crate) fn text<'de, D: Deserializer<'de>, T, E: Display>(
    from: D,
    parse: impl Fn(&str) -> Result<T, E>,
) -> Result<T, D::Error> {
    let written = String::deserialize(from)?;
    parse(&written).map_err(D::Error::custom)
}
