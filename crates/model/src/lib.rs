//! Machine, board and swap: from files to checked types, or diagnostics.
//!
//! Two stages. The tables as they are written (`file`) are read by declarations that also give the JSON Schema; then `check`
//! resolves references and turns them into types that cannot be wrong ([`board`], [`machine`], [`Swap`]). A value keeps
//! the place where it was written ([`Located`]), so a check deep in the plan can still underline a word of the user.
//!
//! [`load`] reports every fault of every file at once and never returns a part.
//!
//! What this crate must not know: disks (it is given [`Files`]), terminals, checks, plans.

pub mod board;
mod check;
mod diagnostic;
mod dialect;
mod file;
mod load;
pub mod machine;
mod origin;
mod read;
mod schema;
mod source;
mod swap;
mod tolerances;
mod topic;
mod words;

pub use catalogue::nearest;
pub use diagnostic::Diagnostic;
pub use dialect::{About, Dialect, GaveWay, Meaning, SettingWord, Slot, Word};
pub use load::{
    Faults, FileError, Files, LARGEST_FILE, OWN_ROWS, OwnFile, WORDS, load, load_board, load_evidence,
    load_words,
};
pub use origin::Kept;
pub use read::{Answer, Assumed, Map, Point, Supposed, Tolerance};
pub use schema::{SCHEMAS, schema};
pub use source::{FileId, Located, Name, Place, SourceFile, Sources};
pub use swap::{
    Accepted, Ambient, Captured, Controller, Evidence, EvidenceFile, MeasuredOn, PartPrice, Swap, Wish,
    WorkloadFile,
};
pub use tolerances::{Toleranced, Visitor};
pub use topic::{Counted, Topic, Whose};
pub use words::{
    Along, Circuit, Connection, Cooled, CurrentDefinition, DeviceKind, Direction, DriveKind, Edge, Element,
    End, EvidenceKind, Homing, Kinematics, Lengths, Material, Mount, Origin, Output, Pin, Pull, RailSource,
    RelayKind, Reports, Role, Scale, Sense, SetBy, Side, Told, WishKind, Zone,
};
