//! What the old controller knew, what the new one needs, and why.
//!
//! [`captured::read`] reads what a controller reported, in a [`Dialect`] that is data and not code; old and new controller have their own.
//! `understood` makes certain, from the report, what differs between families; `guess` says what a line without a meaning may hold.
//! [`settings`] lets every translator look at it together with the machine, the old board and the new one, and gives a [`Setting`] for each
//! named quantity: carried, recomputed, to be measured again, dropped or new, with a reason and the working.
//! [`gcode`] writes what a running controller can be told, [`build_sheet`] the rest, and [`read_back`] holds what the controller
//! reports afterwards against what was meant.
//!
//! `judge` holds each reported value against its kind, the machine's files and its neighbours before any translator sees it; what it
//! leaves out is told to no controller, and [`findings`] hands it to the plan.
//!
//! A translator is one file of `topics`, listed there in the order of pages. Where two sources tell a value (what was
//! captured, what the machine file says, what the mechanics give), the reason names both and says which is believed.
//!
//! What this crate must not know: files, terminals, serial lines. It is given text and checked types, and gives data and text.

mod bounds;
pub mod captured;
mod expected;
mod gcode;
mod guess;
mod job;
mod judge;
mod list;
mod of_board;
mod reports;
mod setting;
mod sheet;
mod thermometer;
mod told;
mod topics;
mod understood;
mod units;
mod words;

pub use gcode::{Compared, Match, gcode, read_back};
pub use guess::{Guess, Unknown, UnknownLetter};
pub use job::homes_by_load;
pub use judge::{Doubt, findings, of_plan};
pub use list::{Settings, Words, settings};
pub use model::{About, Counted, Dialect, Lengths, Meaning, SettingWord, Slot, Topic, Word};
pub use setting::{By, Fate, Old, Setting, SettingValue};
pub use sheet::{BuildSheet, SheetRow, build_sheet};
pub use thermometer::{TableError, TableRow, ThermometerTable};
pub use told::{Awaiting, Shown, Untold, awaiting};
pub use understood::Decided;
