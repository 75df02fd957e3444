//! Thermometers and their inputs: resistance and temperature both ways, divider, converter steps, errors of reading.
//!
//! A thermometer is an [`RtCurve`], whatever law or table it follows. An input is a [`DividerInput`] or an
//! [`AmplifierInput`]. All inputs are taken as ratiometric where supply and reference are the same voltage: then its tolerance cancels.

mod amplifier;
mod code_table;
mod curve;
mod divider;
mod fault;
mod four_term;
mod noise;
mod ntc;
mod platinum;
mod reading;
mod steinhart;
mod table;

pub use amplifier::*;
pub use code_table::*;
pub use curve::RtCurve;
pub use divider::*;
pub use fault::*;
pub use four_term::*;
pub use noise::*;
pub use ntc::*;
pub use platinum::*;
pub use reading::*;
pub use steinhart::*;
pub use table::*;
