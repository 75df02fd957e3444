//! Values with unit and tolerance: from text, through arithmetic, to text.
//!
//! Three layers, in reading order:
//! - [`si`]: the quantities as types (a units library underneath). A voltage cannot be added to a current.
//! - [`Value`]: a quantity that carries its tolerance as the interval `low ..= high` around `nominal`.
//!   Its arithmetic rounds outwards, so the true result never leaves the interval.
//! - [`AnyValue`]: a value whose kind is known only at run time, for tables, findings and JSON.
//!
//! Text is read by [`parse_value`] and its sisters ("24 V", "40 W ± 10 %", "12 V .. 24 V") and written by
//! [`Value::to_text`] (exact, reads back as the same value) or by `Display` (rounded, for people).
//!
//! What this crate must not know: files, printers, boards, formulas. It decides nothing.
//!
//! Interval arithmetic widens where one input stands twice in a formula. Formulas are therefore evaluated at
//! the corners of their inputs (`physics::working`); the arithmetic here serves sums and products of independent values.

pub mod si;

mod any;
mod foreign;
mod money;
mod number;
mod reading;
mod show;
mod text;
mod unit;
mod value;
mod wire;

pub use any::AnyValue;
pub use money::{Memory, Price};
pub use number::{Number, Quantity};
pub use reading::parse_reading;
pub use show::{
    Digits, rounded, show, show_bare, show_half, show_half_bare, show_interval, show_interval_bare,
    show_nominal,
};
pub use text::{TextError, parse_memory, parse_price, parse_range, parse_value, parse_wire_size};
pub use unit::Kind;
pub use value::{End, Range, Value};
pub use wire::WireSize;
