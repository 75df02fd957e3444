//! From tables as written to checked types: references, needed keys of each role and kind, and what contradicts itself.
//!
//! Every function goes on after a fault, so that one run reports all of them.

mod board;
mod driver;
mod evidence;
mod machine;
mod origin;
mod pins;
mod port;
mod swap;
mod words;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Component, Path};

use catalogue::{Catalogue, TableFile};

use crate::diagnostic::{Diagnostic, did_you_mean, one_of};
use crate::load::OWN_ROWS;
use crate::read::{Assumptions, Field, Lost, expectation, not_known};
use crate::source::{Located, Name, Place};

pub(crate) use board::{CheckedBoard, board, old_board, unknown_board};
pub(crate) use evidence::{Named, evidence, evidence_keys};
pub(crate) use machine::machine;
pub(crate) use swap::{accepted, old_ports, parts, wishes, workload};
pub(crate) use words::words;

/// Whether a path leads out of the folder of the swap.
pub(crate) fn is_outside(path: &str) -> bool {
    Path::new(path)
        .components()
        .any(|part| !matches!(part, Component::Normal(_) | Component::CurDir))
}

/// Code and headline of the fault of such a path.
pub(crate) fn outside(path: &str) -> (&'static str, String) {
    let problem = format!("the file `{path}` lies outside the swap folder");
    ("file-outside", problem)
}

/// Collects faults while tables are checked.
pub(crate) struct Checker<'a> {
    pub faults: &'a mut Vec<Diagnostic>,
    /// Names and tags of tables that were refused: a reference to one of them is no second fault.
    pub refused: &'a mut BTreeSet<String>,
    /// Keys that the reader could not read, or under another spelling only: that they are not there is no second fault.
    pub lost: &'a Lost,
    /// What was taken for what nobody stated.
    pub assumptions: &'a mut Assumptions,
    /// Connectors, sensors, colours, screws and parts that a name may mean.
    pub catalogue: &'a Catalogue,
}

/// What a reference to a device names: it may leave out the word that [`crate::machine::called`] puts in front.
pub(crate) const DEVICE_TAG: &str = "device tag";

impl Checker<'_> {
    pub fn fault(&mut self, diagnostic: Diagnostic) {
        self.faults.push(diagnostic);
    }

    /// Takes a key that this role or kind needs; where it is not stated, what is usual.
    pub fn need<T: Field>(
        &mut self,
        value: Option<T>,
        key: &'static str,
        place: Place,
        what: &str,
    ) -> Option<T> {
        if value.is_none() && !self.is_lost(place, key) {
            if let Some(usual) = self.assumptions.of_table(place, key) {
                return Some(usual);
            }
            let fault = match self.assumptions.unknown.get(&(place, key)) {
                Some(at) => not_known(key, *at, what),
                None => Diagnostic::new(
                    "missing-key",
                    place,
                    format!("`{key}` is missing: {what} needs it"),
                    format!("`{key}` is missing"),
                ),
            };
            self.fault(fault.expected(format!("the key `{key}`: {}", expectation(&T::schema()))));
        }
        value
    }

    /// Whether a key of the table at `place` is missing only because the reader could not read it.
    pub fn is_lost(&self, place: Place, key: &'static str) -> bool {
        self.lost.contains(&(place, key))
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
        let names: Vec<&Name> = names.into_iter().collect();
        if names.iter().any(|name| !name.value.is_ascii()) {
            self.told_apart(&names, what);
        }
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
                    .expected(format!("each {what} once, under a name of its own"))
                    .help("rename or remove one of the two".to_owned()),
                );
            }
        }
    }

    /// Reports names that look like another one and are not the same.
    fn told_apart(&mut self, names: &[&Name], what: &str) {
        let mut shapes: BTreeMap<String, &Name> = BTreeMap::new();
        for name in names {
            let first = *shapes.entry(writing::shape(&name.value)).or_insert(name);
            if !writing::look_alike(&name.value, &first.value) {
                continue;
            }
            let letters = writing::foreign(&format!("{}{}", first.value, name.value));
            self.fault(
                Diagnostic::new(
                    "look-alike-name",
                    name.place,
                    format!(
                        "the {what} `{}` only looks like another: one has {letters}",
                        name.value
                    ),
                    "looks like another",
                )
                .other(first.place, "the other one")
                .expected(format!(
                    "each {what} under a name that can be told from the others"
                ))
                .help("type both anew, in the same letters".to_owned()),
            );
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
        let called = if what == DEVICE_TAG {
            crate::machine::called(&name.value)
        } else {
            name.value.clone()
        };
        let found = among.iter().position(|candidate| *candidate == called);
        if found.is_none() && !self.refused.contains(&name.value) {
            let mut fault = Diagnostic::new(
                "unknown-reference",
                name.place,
                format!("no {what} is called `{}`", name.value),
                format!("no such {what}"),
            )
            .help(did_you_mean(&name.value, among.iter().copied()));
            if !among.is_empty() {
                fault = fault.expected(one_of(among.iter().copied()));
            }
            self.fault(fault);
        }
        found
    }

    /// Leaves out a table that has a fault of its own, and remembers its name.
    pub fn refuse<T>(&mut self, name: &Name) -> Option<T> {
        self.refused.insert(name.value.clone());
        None
    }

    /// A name that must be a row of the catalogue, or a fault.
    pub fn in_catalogue<'n>(
        &mut self,
        name: &Name,
        rows: impl IntoIterator<Item = &'n str>,
        what: &str,
        file: TableFile,
    ) {
        let rows: Vec<&str> = rows.into_iter().collect();
        if rows.contains(&name.value.as_str()) {
            return;
        }
        let known = rows.iter().copied().take(10);
        let expected = match rows.len() {
            0..=10 => one_of(known),
            // Not how many more: the catalogue grows.
            _ => format!(
                "{} or another row of `{}`",
                one_of(known).replace(" or ", ", "),
                file.name()
            ),
        };
        let own = format!(
            "add a row of your own to `{OWN_ROWS}/{}` in the swap folder",
            file.name()
        );
        let help = match catalogue::nearest(&name.value, rows.iter().copied()) {
            Some(near) => format!("did you mean `{near}`? Else {own}"),
            None => own,
        };
        self.fault(
            Diagnostic::new(
                "not-in-catalogue",
                name.place,
                format!("the catalogue has no {what} `{}`", name.value),
                format!("no such {what}"),
            )
            .expected(expected)
            .help(help),
        );
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
