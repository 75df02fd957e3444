//! Motors and axes: steps and travel, driver current, what a winding lets through at speed, pairs of motors.
//!
//! Currents of stepping motors are peaks of one phase unless a name says root mean square. Torques are those of the ideal
//! two-phase motor with a sine of torque against angle: real motors lose some to detent and saturation.

mod corner;
mod current;
mod kinematics;
mod pair;
mod torque;
mod travel;
mod winding;

pub use corner::*;
pub use current::*;
pub use kinematics::*;
pub use pair::*;
pub use torque::*;
pub use travel::*;
pub use winding::*;
