//! What a check hands over, and who takes it.

mod disposition;
mod finding;
mod judge;
mod limit;
mod remedy;
mod verdict;

pub use disposition::{Disposition, Handling};
pub use finding::{Acceptance, Finding, Open, Subject};
pub(crate) use finding::{brief, shipped_source};
pub use judge::Judge;
pub(crate) use judge::Outcome;
pub use limit::{Limit, Side};
pub use remedy::Remedy;
pub use verdict::{ByHarm, Stake, Verdict};
