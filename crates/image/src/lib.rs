//! Firmware images: what is in a file, what it was built for, whether it fits a board, and what lies on the card it is loaded from.
//!
//! Start at [`read`]: it takes the bytes of a file in any of five forms and gives an [`Image`], or every fault with its place.
//! [`report`] holds an image against a [`Board`] and runs the checks, one file each in `checks`, over what `case` worked out
//! once: where the image begins, its vector table, its code. [`card`] does the same for a card. [`compare`] sets two images side by
//! side, [`loading`] is the step of the bring-up as text.
//!
//! A raw binary states nothing: where it was built to begin is told from its own addresses ([`origin`]), and which core it needs from
//! the instructions that its vectors lead to ([`walk`]). Both are evidence and say how much of it there is; where there is too
//! little, the verdict is open and names the file that would settle it.
//!
//! What this crate must not know: boards' files, plans, disks, clocks. It is given bytes and facts, and decides nothing but verdicts.

pub mod board;
pub mod card;
mod case;
mod checks;
mod compare;
mod content;
mod fault;
mod image;
mod loading;
mod origin;
mod read;
mod report;
mod texts;
pub mod thumb;
mod vectors;
mod verdict;
mod walk;

pub use board::{Board, Core, InstructionSet, KnownCore, Limits, Loads};
pub use checks::Wanted;
pub use compare::{Comparison, Difference, compare};
pub use content::{Content, Piece};
pub use fault::{Fault, Place, Refused};
pub use image::{Attributes, Elf, Image, Machine, Part, Region, Section};
pub use loading::{Loading, loading};
pub use origin::{Evidence, Origin, origin};
pub use read::{Form, LARGEST, read};
pub use report::{Ask, Report, report};
pub use texts::{identities, named_words};
pub use vectors::{Table, Vector, eight_bit_jumps};
pub use verdict::{Amount, Check, Verdict};
pub use walk::{Code, Need, begins_function, begins_with_code, walk};
