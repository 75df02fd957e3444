//! Motors at work: what a motor gives on its driver at a speed, and what its axis asks of it.

pub(crate) mod asked;
pub(crate) mod crossed;
pub(crate) mod curves;
pub(crate) mod delta;
pub(crate) mod drive;
pub(crate) mod load;
pub(crate) mod on_axis;
pub(crate) mod reach;
pub(crate) mod reserve;
pub(crate) mod stall;
pub(crate) mod winding;
pub(crate) mod workings;

pub use asked::Asked;
pub use curves::{Curve, CurvePoint, Demand, curves};
pub use drive::Given;
pub use on_axis::asked;
pub use reach::{Corners, On, Reach, corners, reach};
pub use reserve::{axis_speed, usable, with_reserve};
pub use workings::workings;
