//! Where a raw image was built to begin, told by its own addresses.
//!
//! A raw binary states no address, but its vectors and the pointers in it are absolute: at the wrong start they lead out of the
//! image, or into the middle of something. Each boot offset in use is tried, and the board's own.

use std::collections::BTreeSet;
use std::ops::Range;

use crate::content::Content;
use crate::vectors::Table;
use crate::walk::{begins_function, begins_with_code};

/// The largest raw image whose start is looked for.
const LARGEST: u64 = 16 << 20;
/// The most pointers that are tried.
const MOST_POINTERS: usize = 1 << 16;
/// So many pointers must lead to functions before they decide, and so many times as many as at any other start.
const LEAST_HITS: usize = 6;
const TIMES: usize = 3;

/// What tells the start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Evidence {
    /// Only there the vectors stay inside the image.
    Vectors,
    /// Only there the table reaches up to the first handler.
    Table,
    /// Only there the handlers begin with code.
    Code,
    /// There so many of the pointers in the image lead to the start of a function.
    Pointers {
        /// That do.
        hits: usize,
        /// All that could.
        of: usize,
    },
    /// It is the highest one at which the vectors fit: the first handler then lies next to the table.
    Nearest,
}

/// Where a raw image begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Origin {
    /// One start stands out.
    Found {
        /// As the distance from the start of the flash.
        offset: u32,
        /// By what.
        by: Evidence,
        /// Others at which the vectors fit as well.
        others: Vec<u32>,
    },
    /// The vectors fit no start that is in use.
    Nowhere,
}

struct Candidate {
    offset: u32,
    adjacent: bool,
    sound: bool,
    hits: usize,
}

/// The start of a raw image whose bytes stand at 0, with its vector table so far behind its start.
#[must_use]
pub fn origin(content: &Content, flash: &Range<u64>, offsets: &BTreeSet<u32>, lead: u32) -> Origin {
    if content.size() > LARGEST {
        return Origin::Nowhere;
    }
    let pointers: BTreeSet<u32> = content
        .words()
        .map(|(_, word)| word)
        .filter(|word| word & 1 == 1 && flash.contains(&u64::from(*word)))
        .take(MOST_POINTERS)
        .collect();
    let candidates = offsets.iter().filter_map(|offset| {
        let start = u32::try_from(flash.start).ok()?.checked_add(*offset)?;
        let placed = content.moved_up(start)?;
        let table = Table::read(&placed, start.checked_add(lead)?)?;
        fits(&table, &placed).then(|| Candidate {
            offset: *offset,
            adjacent: table.targets().first() == Some(&table.end),
            sound: table
                .targets()
                .iter()
                .all(|target| begins_with_code(&placed, *target)),
            hits: pointers
                .iter()
                .filter(|pointer| begins_function(&placed, *pointer & !1))
                .count(),
        })
    });
    let candidates: Vec<Candidate> = candidates.collect();
    decide(&candidates, pointers.len()).map_or(Origin::Nowhere, |(offset, by)| Origin::Found {
        offset,
        by,
        others: candidates
            .iter()
            .map(|other| other.offset)
            .filter(|other| *other != offset)
            .collect(),
    })
}

/// Whether every vector leads behind the table, inside the image. Whether each is odd is another question.
fn fits(table: &Table, placed: &Content) -> bool {
    let inside = |target: u32| target >= table.end && placed.half(target).is_some();
    table.reset().is_some() && table.vectors.iter().all(|vector| inside(vector.target()))
}

fn decide(candidates: &[Candidate], pointers: usize) -> Option<(u32, Evidence)> {
    if let [only] = candidates {
        return Some((only.offset, Evidence::Vectors));
    }
    // What points to functions is the strongest: it is much, and comes from all of the image.
    let hits = |candidate: &&Candidate| candidate.hits;
    let best = candidates.iter().max_by_key(hits)?;
    let others = candidates.iter().filter(|other| other.offset != best.offset);
    let second = others.map(|other| other.hits).max().unwrap_or(0);
    if best.hits >= LEAST_HITS && best.hits >= TIMES * second.max(1) {
        let by = Evidence::Pointers {
            hits: best.hits,
            of: pointers,
        };
        return Some((best.offset, by));
    }
    let only = |has: fn(&Candidate) -> bool| {
        let mut having = candidates.iter().filter(|candidate| has(candidate));
        having
            .next()
            .filter(|_| having.next().is_none())
            .map(|candidate| candidate.offset)
    };
    let by_table = only(|candidate| candidate.adjacent).map(|offset| (offset, Evidence::Table));
    let by_code = || only(|candidate| candidate.sound).map(|offset| (offset, Evidence::Code));
    let any_sound = candidates.iter().any(|candidate| candidate.sound);
    let nearest = || {
        let left = candidates
            .iter()
            .filter(|candidate| candidate.sound || !any_sound);
        left.map(|candidate| candidate.offset)
            .max()
            .map(|offset| (offset, Evidence::Nearest))
    };
    by_table.or_else(by_code).or_else(nearest)
}
