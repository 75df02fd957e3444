//! The tables of `data/` built in: wires, connectors, sensors, holes, limits, sources; each row with its source.
//!
//! Start at [`Catalogue`]: it holds one table a file of `data/`, parses each only when it is first asked for, and lets
//! a user's file override rows or add some. [`built_in`] is the catalogue without any user's file.
//!
//! Every row names where its figures come from: `source` is a key of `data/sources.toml`, `sure` says how far to
//! trust it ([`Sure`]). A row without a published source says `common-practice`.
//!
//! What this crate must not know: printers, boards, formulas, files. It holds figures and looks them up; it computes
//! nothing from them and decides nothing. The text of its own tables is compiled in; users' text is handed to it.
//!
//! The price of building the tables in: changing a shipped figure needs a new build. That is wanted (a figure and
//! its check change together); for all else there are the users' files.

mod catalogue;
mod colours;
mod connectors;
mod field;
mod fuses;
mod images;
mod levels;
mod limits;
mod near;
mod parts;
mod remedies;
mod renamed;
mod resistors;
mod screws;
mod sources;
mod table;
mod thermometers;
mod usual;
mod wires;

pub use catalogue::{Catalogue, TableFile, built_in};
pub use colours::{Colour, Rgb, WireColour, colours_of};
pub use connectors::{Connector, Connectors, Fit, Grip, Termination, Work, WorkKind};
pub use fuses::{FuseKind, TimeBand};
pub use images::{BootOffset, CardLimits, Core, FloatUnit, ImageFamily, Images, InstructionSet};
pub use levels::{Input, Level, LogicFamily, Output};
pub use limits::{AnyLimit, Limit, Limits};
pub use near::nearest;
pub use parts::Part;
pub use remedies::Remedy;
pub use renamed::{renamed_key, renamed_word};
pub use resistors::Series;
pub use screws::{FitClass, Screw};
pub use sources::Source;
pub use table::{Row, RowFault, Sure, Table};
pub use thermometers::{Law, Point, Thermometer, ToleranceClass};
pub use usual::{Question, Usual, question, rows_of, usual};
pub use wires::{Copper, Gauge, Stranded, Wires};
