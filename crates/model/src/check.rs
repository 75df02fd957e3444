//! From tables as written to checked types: references, needed keys of each role and kind, and what contradicts itself.
//!
//! Every function goes on after a fault, so that one run reports all of them.

mod board;
mod machine;
mod swap;

use std::collections::{BTreeMap, BTreeSet};

use crate::diagnostic::{Diagnostic, did_you_mean, listed};
use crate::source::{Located, Name, Place};

pub(crate) use board::board;
pub(crate) use machine::machine;
pub(crate) use swap::{old_ports, wishes};

/// Collects faults while tables are checked.
pub(crate) struct Checker<'a> {
    pub faults: &'a mut Vec<Diagnostic>,
    /// Names of tables that were refused by the reader: a reference to one of them is no second fault.
    pub declared: &'a BTreeSet<String>,
}

impl Checker<'_> {
    pub fn fault(&mut self, diagnostic: Diagnostic) {
        self.faults.push(diagnostic);
    }

    /// Takes a key that this role or kind needs.
    pub fn need<T>(&mut self, value: Option<T>, key: &str, place: Place, what: &str) -> Option<T> {
        if value.is_none() {
            self.fault(
                Diagnostic::new(
                    "missing-key",
                    place,
                    format!("`{key}` is missing: {what} needs it"),
                    format!("`{key}` is missing"),
                )
                .expected(format!("the key `{key}`")),
            );
        }
        value
    }

    /// Reports keys that mean nothing for this role or kind.
    pub fn leftover(&mut self, keys: Vec<(&'static str, Place)>, what: &str) {
        for (key, place) in keys {
            self.fault(
                Diagnostic::new(
                    "meaningless-key",
                    place,
                    format!("`{key}` means nothing for {what}"),
                    "not used here",
                )
                .help(format!("remove `{key}`, or check the kind of this table")),
            );
        }
    }

    /// Reports names that stand twice.
    pub fn unique<'n>(&mut self, names: impl IntoIterator<Item = &'n Name>, what: &str) {
        let mut seen: BTreeMap<&str, Place> = BTreeMap::new();
        for name in names {
            if let Some(first) = seen.insert(&name.value, name.place) {
                self.fault(
                    Diagnostic::new(
                        "duplicate-name",
                        name.place,
                        format!("the {what} `{}` stands twice", name.value),
                        "again here",
                    )
                    .other(first, "first here")
                    .expected(format!("a different name for each {what}"))
                    .help("rename one of the two".to_owned()),
                );
            }
        }
    }

    /// The position of a name among those that exist, or a fault.
    pub fn find<'n>(
        &mut self,
        name: &Name,
        among: impl IntoIterator<Item = &'n str>,
        what: &str,
    ) -> Option<usize> {
        let among: Vec<&str> = among.into_iter().collect();
        let found = among.iter().position(|candidate| *candidate == name.value);
        if found.is_none() && !self.declared.contains(&name.value) {
            let mut fault = Diagnostic::new(
                "unknown-reference",
                name.place,
                format!("there is no {what} `{}`", name.value),
                format!("no such {what}"),
            )
            .help(did_you_mean(&name.value, among.iter().copied()));
            if !among.is_empty() {
                fault = fault.expected(format!("one of {}", listed(among.iter().copied())));
            }
            self.fault(fault);
        }
        found
    }

    /// A power of two within bounds, or a fault.
    pub fn microsteps(&mut self, value: &Located<u32>) {
        if !value.value.is_power_of_two() || value.value > 256 {
            let problem = format!("{} is no number of microsteps", value.value);
            self.fault(
                Diagnostic::new("bad-value", value.place, problem, "not a power of two up to 256")
                    .expected("1, 2, 4, 8, 16, 32, 64, 128 or 256"),
            );
        }
    }
}
