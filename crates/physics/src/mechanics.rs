//! Mechanics of a board in its case: holes on posts, outline in the room left for it, screws and their play.
//!
//! All points lie in the plane of the board, x to the right and y up, seen from the component side.

mod outline;
mod plane;
mod registration;
mod route;
mod screw;

pub use outline::*;
pub use plane::*;
pub use registration::*;
pub use route::*;
pub use screw::*;
