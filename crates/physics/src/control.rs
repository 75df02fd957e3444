//! Temperature control: models of a heated part, rules that set a controller, its margins, and a run in discrete time.
//!
//! The input of a process is a share of full power, its output a temperature. A process gain is therefore in kelvin (at full
//! power, in the end), a controller gain in 1/K. The published rules are dimensionless; they are used here as they stand.
//!
//! A controller is kept in the ideal form `u = Kc · (e + ∫e dt / Tᵢ + T_d · de/dt)`; rules published in series form are turned into it
//! by [`Pid::from_series`]. What a firmware calls its three gains is a matter of `settings`.

mod frequency;
mod model;
mod pid;
mod relay;
mod rules;
mod simulation;

pub use frequency::*;
pub use model::*;
pub use pid::*;
pub use relay::*;
pub use rules::*;
pub use simulation::*;
