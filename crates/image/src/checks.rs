//! The checks of an image against a board, one file each, in the order of the report.

mod boot_offset;
mod core;
mod flash;
mod name;
mod ram;
mod reported;
mod stack;
mod vectors;
mod words;

pub use words::Wanted;

use crate::case::Case;
use crate::report::Ask;
use crate::verdict::Check;

/// A check; nothing where the question does not arise.
type Rule = fn(&Case<'_>, &Ask<'_>) -> Option<Check>;

/// Every check.
pub(crate) const CHECKS: &[Rule] = &[
    core::check,
    boot_offset::check,
    flash::check,
    ram::check,
    stack::check,
    vectors::check,
    name::check,
    words::check,
    reported::check,
];

/// The remedy where a raw binary leaves something open.
pub(crate) const ASK_ELF: &str = "Check the ELF file of the same build as well.";
