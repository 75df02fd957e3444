//! Two images side by side: by section where both name them, else by address.

use quantity::Memory;
use serde::Serialize;

use crate::content::Content;
use crate::image::{Image, Section};
use crate::verdict::{hex, size};

/// What differs between two images.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Comparison {
    /// Whether every byte is the same at the same address.
    pub same: bool,
    /// Section by section, or one row for all.
    pub rows: Vec<Difference>,
}

/// One section of both.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Difference {
    /// Its name, or "all" where there are no sections.
    pub section: String,
    /// Its size in the first image; `None` where it has none of that name.
    pub size: Option<Memory>,
    /// Its size in the second.
    pub other_size: Option<Memory>,
    /// How many bytes differ in what both have; `None` where that cannot be told.
    pub different: Option<u64>,
    /// The first place that differs.
    pub first: Option<String>,
}

impl Difference {
    /// The row in words: "12.5 KiB, 12.8 KiB in the other; 311 bytes differ, first at 0x08004120".
    #[must_use]
    pub fn words(&self) -> String {
        let side =
            |size_of: Option<Memory>| size_of.map_or_else(|| "none".to_owned(), |own| size(own.bytes()));
        let sizes = if self.size == self.other_size {
            side(self.size)
        } else {
            format!("{}, {} in the other", side(self.size), side(self.other_size))
        };
        match (self.different, &self.first) {
            (Some(0), _) if self.size == self.other_size => format!("{sizes}; the same"),
            (Some(0), _) => format!("{sizes}; what both have is the same"),
            (Some(count), Some(first)) => format!("{sizes}; {count} bytes differ, first at {first}"),
            (Some(count), None) => format!("{sizes}; {count} bytes differ"),
            (None, _) => sizes,
        }
    }
}

/// Compares two images.
#[must_use]
pub fn compare(one: &Image, other: &Image) -> Comparison {
    let (first, second) = (whole(one), whole(other));
    // A raw binary states no address: it is laid where the other one begins.
    let moved = |raw: &Image, content: &Content, to: &Content| {
        let start = to.extent().and_then(|extent| u32::try_from(extent.start).ok());
        (!raw.is_addressed())
            .then(|| start.and_then(|start| content.moved_up(start)))
            .flatten()
    };
    let (first, second) = match (moved(one, &first, &second), moved(other, &second, &first)) {
        (Some(first), None) => (first, second),
        (None, Some(second)) => (first, second),
        _ => (first, second),
    };
    let same = first == second;
    let sections = |image: &Image| {
        image
            .elf
            .as_ref()
            .map_or_else(Vec::new, |elf| elf.sections.clone())
    };
    let (left, right) = (sections(one), sections(other));
    let rows = if left.is_empty() || right.is_empty() {
        vec![all(&first, &second)]
    } else {
        by_section(&left, &right)
    };
    Comparison { same, rows }
}

/// All parts on top of each other: an image with several families holds the same addresses for each, so the first one counts.
fn whole(image: &Image) -> Content {
    image
        .parts
        .first()
        .map(|part| part.content.clone())
        .unwrap_or_default()
}

fn all(first: &Content, second: &Content) -> Difference {
    let mut different = 0;
    let mut place = None;
    for piece in first.pieces() {
        let common = second.within(&piece.range());
        for other in common.pieces() {
            let start = (other.address - piece.address) as usize;
            let own = &piece.bytes[start..start + other.bytes.len()];
            note(own, &other.bytes, other.address, &mut different, &mut place);
        }
    }
    Difference {
        section: "all".to_owned(),
        size: Some(Memory::from_bytes(first.size())),
        other_size: Some(Memory::from_bytes(second.size())),
        different: Some(different),
        first: place,
    }
}

fn note(one: &[u8], other: &[u8], address: u32, different: &mut u64, place: &mut Option<String>) {
    for (at, _) in one
        .iter()
        .zip(other)
        .enumerate()
        .filter(|(_, (one, other))| one != other)
    {
        *different += 1;
        place.get_or_insert_with(|| hex(address.wrapping_add(u32::try_from(at).unwrap_or(0))));
    }
}

fn by_section(left: &[Section], right: &[Section]) -> Vec<Difference> {
    let memory = |section: &Section| Memory::from_bytes(u64::from(section.size));
    let mut rows: Vec<Difference> = left
        .iter()
        .map(|section| {
            let other = right.iter().find(|other| other.name == section.name);
            let bytes = other.and_then(|other| section.bytes.as_ref().zip(other.bytes.as_ref()));
            let (mut different, mut place) = (0, None);
            if let Some((one, other)) = bytes {
                note(one, other, section.address, &mut different, &mut place);
            }
            Difference {
                section: section.name.clone(),
                size: Some(memory(section)),
                other_size: other.map(memory),
                different: bytes.map(|_| different),
                first: place,
            }
        })
        .collect();
    let new = right
        .iter()
        .filter(|other| left.iter().all(|section| section.name != other.name));
    rows.extend(new.map(|other| Difference {
        section: other.name.clone(),
        size: None,
        other_size: Some(memory(other)),
        different: None,
        first: None,
    }));
    rows
}
