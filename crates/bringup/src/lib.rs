//! The ordered steps of the bring-up and what each expects.
//!
//! [`steps`] looks at an assignment and its settings and gives the list: from the unpowered checks with a meter to the first
//! print. A step says why it is done, what can hurt, what to do, which reading to expect (with limits that are computed from the
//! description of machine and board), and what to look for where the reading differs. Steps for things that a
//! swap does not have do not appear.
//!
//! Equal work at several places is one step with a table: its [`Part`]s. A part keeps an identifier, readings, settings and what comes
//! before it, so that it can be recorded and fall due again alone. The power is switched off once for all parts where nothing is lost by it.
//!
//! A family of steps is one file of `steps`; the list there gives their order. What must come before what is also written at each
//! step (`after`), and a test holds both together: no power before the meter, no heat before every thermometer was read, no
//! homing before the switches, no motion before the currents are set.
//!
//! What this crate must not know: the person, the serial line, the clock. It says what to do; running and recording the steps
//! comes with a later change.

mod back;
pub mod firmware;
mod job;
mod progress;
mod settled;
mod step;
mod steps;
mod text;

pub use back::back;
pub use progress::{Basis, Duty, Progress, Standing, State, duties, progress};
pub use settled::{is_in_steps, settled, stands_in};
pub use step::{Expected, Needs, Part, Phase, Reading, Step, Totals};
pub use steps::steps;
pub use text::cautions;
