//! The card that an image is loaded from: what a boot loader will find on it.
//!
//! Facts come from [`medium::read`] for an image of a card, or from the caller for a mounted folder. Judged is what decides whether
//! a loader takes the right file: file system, clusters, a sound table, the name as it is stored, and what else it might take.

pub mod medium;
pub mod names;

use quantity::Memory;

use crate::fault::Fault;
use crate::image::Image;
use crate::report::Ask;
use crate::verdict::{Amount, Check, count, list, printable, size};
use names::{Stored, matches, stored};

/// A card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Card {
    /// Its file system.
    pub file_system: FileSystem,
    /// The size of its clusters, where that is known.
    pub cluster: Option<Memory>,
    /// What is free on it, where that is known.
    pub free: Option<Memory>,
    /// Files and folders: all of the root, and those below as far as they were looked at.
    pub entries: Vec<Entry>,
    /// What is wrong with its tables; nothing where they could not be looked at.
    pub damage: Option<Damage>,
}

/// What is wrong with the tables of a card.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Damage {
    /// The first faults, in the order in which they were met.
    pub faults: Vec<Fault>,
    /// How many there are.
    pub count: usize,
}

/// The file system of a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FileSystem {
    /// FAT with entries of 12 bits.
    Fat12,
    /// FAT with entries of 16 bits.
    Fat16,
    /// FAT with entries of 32 bits.
    Fat32,
    /// One of the three.
    Fat,
    /// Another one, by its name.
    Other(String),
    /// It is not known.
    Unknown,
}

impl FileSystem {
    /// The words on pages.
    #[must_use]
    pub fn word(&self) -> &str {
        match self {
            FileSystem::Fat12 => "FAT12",
            FileSystem::Fat16 => "FAT16",
            FileSystem::Fat32 => "FAT32",
            FileSystem::Fat => "FAT",
            FileSystem::Other(name) => name,
            FileSystem::Unknown => "unknown",
        }
    }
}

/// A file or a folder on a card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The folders it lies in, with strokes forward; empty in the root.
    pub folder: String,
    /// Its name as a computer shows it.
    pub name: String,
    /// Its short name as it is stored, where that can be seen.
    pub short: Option<String>,
    /// Whether it is a folder.
    pub is_folder: bool,
    /// Its size in bytes.
    pub size: u64,
    /// SHA-256 of its bytes, where they were looked at.
    pub sha256: Option<[u8; 32]>,
}

impl Entry {
    /// The short name that a loader sees: as stored, else the one it must get.
    fn seen(&self) -> String {
        self.short.clone().unwrap_or_else(|| match stored(&self.name) {
            Stored::Same(short) | Stored::As { alias: short, .. } => short,
        })
    }
    fn in_root(&self) -> bool {
        self.folder.is_empty()
    }
    fn is_copy_of(&self, image: &Image) -> bool {
        self.sha256 == Some(image.sha256)
    }
    /// Its name, with the stored one where they differ.
    fn words(&self) -> String {
        let (seen, name) = (self.seen(), printable(&self.name));
        if seen == name.to_ascii_uppercase() {
            name
        } else {
            format!("{name} (stored as {seen})")
        }
    }
}

/// The checks of a card.
pub(crate) fn checks(card: &Card, image: &Image, ask: &Ask<'_>) -> Vec<Check> {
    let mut checks = vec![file_system(card)];
    if !matches!(card.file_system, FileSystem::Other(_) | FileSystem::Unknown) {
        checks.extend([cluster(card, ask), table(card)]);
    }
    checks.push(space(card, image));
    if let Some(wanted) = ask.board.image_name() {
        checks.extend([stored_image(card, image, wanted), others(card, image, wanted)]);
    }
    checks
}

fn file_system(card: &Card) -> Check {
    const ID: &str = "card-file-system";
    let word = card.file_system.word();
    let format = "Copy the files off the card. Format it as FAT32, which erases it.";
    match &card.file_system {
        FileSystem::Fat16 | FileSystem::Fat32 | FileSystem::Fat => {
            Check::pass(ID, format!("The card has {word}, which boot loaders read."))
        }
        FileSystem::Fat12 => Check::open(
            ID,
            "The card has FAT12, which not every boot loader reads.",
            "whether the loader of the board reads FAT12",
            format,
        ),
        FileSystem::Other(_) => {
            Check::fail(ID, format!("The card has {word}. Boot loaders read FAT."), format)
        }
        FileSystem::Unknown => Check::open(
            ID,
            "The file system of the folder cannot be seen.",
            "the file system of the card",
            "Pass the folder where the card is mounted, or an image of the card.",
        ),
    }
}

fn cluster(card: &Card, ask: &Ask<'_>) -> Check {
    const ID: &str = "card-cluster";
    let limit = ask.limits.largest_cluster;
    let Some(cluster) = card.cluster else {
        return Check::open(
            ID,
            "The size of its clusters cannot be seen.",
            "the cluster size of the card",
            "Pass an image of the card.",
        )
        .source("fat-overview");
    };
    let check = if cluster > limit {
        Check::fail(
            ID,
            format!(
                "Its clusters have {}. Many loaders read at most {}.",
                size(cluster.bytes()),
                size(limit.bytes())
            ),
            format!(
                "Format the card with clusters of {} or less, which erases it.",
                size(limit.bytes())
            ),
        )
    } else {
        Check::pass(
            ID,
            format!(
                "Its clusters have {}; limit {}.",
                size(cluster.bytes()),
                size(limit.bytes())
            ),
        )
    };
    check
        .value(Amount::Memory(cluster))
        .limit(Amount::Memory(limit))
        .source("fat-overview")
}

fn table(card: &Card) -> Check {
    const ID: &str = "card-table";
    match &card.damage {
        None => Check::open(
            ID,
            "The tables of a mounted card cannot be inspected.",
            "whether its tables are sound",
            "Run the disk check of your computer, or pass an image of the card.",
        ),
        Some(damage) if damage.count == 0 => {
            Check::pass(ID, "Its tables are sound: no loop, no cluster used twice.")
        }
        Some(damage) => {
            let first = damage
                .faults
                .first()
                .map_or_else(String::new, |fault| format!(" First at {fault}."));
            Check::fail(
                ID,
                format!(
                    "Its tables are damaged in {}.{first}",
                    count(damage.count as u64, "place", "places")
                ),
                "Copy the files off the card. Format it as FAT32, then copy the image again.",
            )
            .value(Amount::Count(damage.count as u64))
            .limit(Amount::Count(0))
        }
    }
    .source("fat-overview")
}

fn space(card: &Card, image: &Image) -> Check {
    const ID: &str = "card-space";
    let needed = image.file_size;
    if card.entries.iter().any(|entry| entry.is_copy_of(image)) {
        return Check::pass(ID, "The image is on the card already.");
    }
    let check = match card.free {
        None => Check::open(
            ID,
            "The free space of the card cannot be seen.",
            "the free space of the card",
            "Copy the image and compare its size on the card.",
        ),
        Some(free) if free < needed => Check::fail(
            ID,
            format!(
                "The card has {} free. The image needs {}.",
                size(free.bytes()),
                size(needed.bytes())
            ),
            "Remove files from the card.",
        ),
        Some(free) => Check::pass(
            ID,
            format!(
                "The card has {} free for an image of {}.",
                size(free.bytes()),
                size(needed.bytes())
            ),
        ),
    };
    let check = check.value(Amount::Memory(needed));
    match card.free {
        Some(free) => check.limit(Amount::Memory(free)),
        None => check,
    }
}

/// Whether the image lies where the loader looks, under the name that it takes.
fn stored_image(card: &Card, image: &Image, wanted: &str) -> Check {
    const ID: &str = "card-image";
    let takes =
        |entry: &&Entry| entry.in_root() && (matches(wanted, &entry.seen()) || matches(wanted, &entry.name));
    let taken: Vec<&Entry> = card.entries.iter().filter(takes).collect();
    let right = taken
        .iter()
        .find(|entry| !entry.is_folder && entry.is_copy_of(image));
    let check = if let Some(right) = right {
        let (seen, name) = (right.seen(), printable(&right.name));
        if matches(wanted, &seen) {
            Check::pass(
                ID,
                format!("{name} on the card is the checked image, stored as {seen}."),
            )
        } else {
            Check::open(
                ID,
                format!("{name} on the card is the checked image, but stored as {seen}."),
                "whether the loader reads long names",
                format!("Confirm `image_name` with the manual of the board, or rename the file to {seen}."),
            )
        }
    } else if let Some(other) = taken.first() {
        let (what, remedy) = if other.is_folder {
            ("a folder".to_owned(), "Remove the folder.".to_owned())
        } else {
            let sizes = format!(
                "{} B, the checked image has {} B",
                other.size,
                image.file_size.bytes()
            );
            (
                format!("another file: {sizes}"),
                format!("Replace it with the checked image as {wanted}."),
            )
        };
        Check::fail(ID, format!("{} on the card is {what}.", other.words()), remedy)
    } else if let Some(elsewhere) = card.entries.iter().find(|entry| entry.is_copy_of(image)) {
        if elsewhere.in_root() {
            Check::fail(
                ID,
                format!(
                    "The image is on the card as {}. The loader takes {wanted}.",
                    elsewhere.words()
                ),
                format!("Rename it to {wanted}."),
            )
        } else {
            Check::fail(
                ID,
                format!(
                    "The image is in the folder {}. The loader looks in the root.",
                    elsewhere.folder
                ),
                format!("Move it to the root of the card as {wanted}."),
            )
        }
    } else {
        Check::fail(
            ID,
            format!("{wanted} is not in the root of the card."),
            format!("Copy the image to the root of the card as {wanted}."),
        )
    };
    check.source("fat-overview")
}

/// What a loader might take instead.
fn others(card: &Card, image: &Image, wanted: &str) -> Check {
    const ID: &str = "card-others";
    let extension = |name: &str| {
        name.rsplit_once('.')
            .map(|(_, extension)| extension.to_ascii_uppercase())
    };
    let own = extension(wanted);
    let mut right = false;
    let (mut certain, mut possible, mut earlier) = (Vec::new(), Vec::new(), Vec::new());
    for entry in card
        .entries
        .iter()
        .filter(|entry| entry.in_root() && !entry.is_folder)
    {
        let seen = entry.seen();
        if matches(wanted, &seen) || matches(wanted, &entry.name) {
            // Of copies of the checked image it does not matter which is taken.
            if entry.is_copy_of(image) {
                right = true;
            } else {
                certain.push(entry.words());
            }
        } else if extension(&seen) == own {
            possible.push(entry.words());
        } else if seen.split('.').next() == wanted.to_ascii_uppercase().split('.').next() {
            earlier.push(entry.words());
        }
    }
    if !right && certain.len() == 1 {
        // That it is the wrong file is said already.
        certain.clear();
    }
    if !certain.is_empty() {
        Check::fail(
            ID,
            format!("The loader may take another file instead: {}.", list(&certain, 3)),
            "Remove it. Leave one image alone on the card.",
        )
    } else if !possible.is_empty() {
        Check::open(
            ID,
            format!(
                "Other files of that kind are on the card: {}.",
                list(&possible, 3)
            ),
            "whether the loader takes any file of that kind",
            "Remove them. Leave one image alone on the card.",
        )
    } else if earlier.is_empty() {
        Check::pass(ID, "No other file is on the card that the loader could take.")
    } else {
        Check::pass(
            ID,
            format!(
                "No other image is on the card. {} may be left from an earlier load.",
                list(&earlier, 2)
            ),
        )
    }
}
