//! Directories: entries with their long names, folder by folder, each folder once.

use std::collections::VecDeque;

use sha2::{Digest as _, Sha256};

use super::Reader;
use super::table::{Chain, Table};
use super::volume::{Kind, Root, Volume};
use crate::card::Entry;
use crate::card::names::{checksum, shown};
use crate::fault::Refused;
use crate::read::LARGEST;
use crate::verdict::printable;

/// The most entries of one directory, by the standard.
const MOST_ENTRIES: usize = 65_536;
/// The most files and folders that are looked at.
const MOST_FILES: usize = 20_000;
/// The deepest folder.
const DEEPEST: usize = 32;

const READ_ONLY_HIDDEN_SYSTEM_LABEL: u8 = 0x0F;
const LABEL: u8 = 0x08;
const FOLDER: u8 = 0x10;

/// A folder still to be looked at.
struct Waiting {
    path: String,
    depth: usize,
    root: Root,
}

/// A file or folder with where its data begin.
struct Found {
    entry: Entry,
    first: u32,
}

/// Everything in the root and below. Files of the root with the size of the image are hashed.
pub(super) fn walk(
    reader: &mut Reader<'_>,
    volume: &Volume,
    table: &mut Table<'_>,
    image_size: u64,
) -> Result<Vec<Entry>, Refused> {
    let mut entries = Vec::new();
    let mut waiting = VecDeque::from([Waiting {
        path: String::new(),
        depth: 0,
        root: volume.root,
    }]);
    while let Some(folder) = waiting.pop_front() {
        for mut found in list(reader, volume, table, &folder)? {
            if entries.len() >= MOST_FILES {
                return Ok(entries);
            }
            let path = if folder.path.is_empty() {
                found.entry.name.clone()
            } else {
                format!("{}/{}", folder.path, found.entry.name)
            };
            if found.entry.is_folder {
                if folder.depth < DEEPEST {
                    waiting.push_back(Waiting {
                        path,
                        depth: folder.depth + 1,
                        root: Root::Cluster(found.first),
                    });
                }
            } else {
                found.entry.sha256 = file(reader, volume, table, &found, &path, image_size)?;
            }
            entries.push(found.entry);
        }
    }
    Ok(entries)
}

/// Follows the data of a file, and hashes them if they could be the image.
fn file(
    reader: &mut Reader<'_>,
    volume: &Volume,
    table: &mut Table<'_>,
    found: &Found,
    path: &str,
    image_size: u64,
) -> Result<Option<[u8; 32]>, Refused> {
    let size = found.entry.size;
    let needed = size.div_ceil(volume.cluster);
    if needed == 0 {
        return Ok(None);
    }
    let wanted = size == image_size && size <= LARGEST;
    let chain = table.chain(reader, found.first, path, if wanted { needed } else { 0 })?;
    if chain.length != needed && !chain.broken {
        let what = format!(
            "{path} has {size} bytes, and {} clusters instead of {needed}",
            chain.length
        );
        reader.fault(volume.table, what);
    }
    if !wanted || chain.length < needed {
        return Ok(None);
    }
    hash(reader, volume, &chain, size)
}

fn hash(
    reader: &mut Reader<'_>,
    volume: &Volume,
    chain: &Chain,
    size: u64,
) -> Result<Option<[u8; 32]>, Refused> {
    let mut hash = Sha256::new();
    let mut left = size;
    let mut bytes = Vec::new();
    for cluster in &chain.clusters {
        let Some(place) = volume.place(*cluster) else {
            return Ok(None);
        };
        let length = left.min(volume.cluster);
        bytes.resize(usize::try_from(length).unwrap_or(0), 0);
        if !reader.fill(place, &mut bytes)? {
            reader.fault(place, "data lie behind the end of the card");
            return Ok(None);
        }
        hash.update(&bytes);
        left -= length;
    }
    Ok(Some(hash.finalize().into()))
}

/// The entries of one directory.
fn list(
    reader: &mut Reader<'_>,
    volume: &Volume,
    table: &mut Table<'_>,
    folder: &Waiting,
) -> Result<Vec<Found>, Refused> {
    let owner = if folder.path.is_empty() {
        "the root"
    } else {
        &folder.path
    };
    let mut out = Vec::new();
    let mut long = LongName::default();
    let mut seen = 0;
    let blocks: Vec<(u64, u64)> = match folder.root {
        Root::Area(place, bytes) => vec![(place, bytes)],
        Root::Cluster(first) => {
            let most = (MOST_ENTRIES as u64 * 32).div_ceil(volume.cluster);
            let chain = table.chain(reader, first, owner, most)?;
            let places = chain.clusters.iter().filter_map(|cluster| volume.place(*cluster));
            places.map(|place| (place, volume.cluster)).collect()
        }
    };
    let mut bytes = Vec::new();
    for (place, length) in blocks {
        bytes.resize(
            usize::try_from(length.min(MOST_ENTRIES as u64 * 32)).unwrap_or(0),
            0,
        );
        if !reader.fill(place, &mut bytes)? {
            reader.fault(place, format!("{owner} lies behind the end of the card"));
            break;
        }
        for raw in bytes.chunks_exact(32) {
            let Ok(raw) = <&[u8; 32]>::try_from(raw) else {
                continue;
            };
            seen += 1;
            if raw[0] == 0 || seen > MOST_ENTRIES || out.len() >= MOST_FILES {
                return Ok(out);
            }
            if raw[0] == 0xE5 {
                long = LongName::default();
            } else if raw[11] & 0x3F == READ_ONLY_HIDDEN_SYSTEM_LABEL {
                long.add(raw);
            } else {
                let name = std::mem::take(&mut long);
                out.extend(entry(volume, raw, &name, &folder.path));
            }
        }
    }
    Ok(out)
}

/// A short entry; nothing for a label, and for the folder itself and the one above.
fn entry(volume: &Volume, raw: &[u8; 32], long: &LongName, folder: &str) -> Option<Found> {
    let attributes = raw[11];
    if attributes & LABEL != 0 || raw[0] == b'.' {
        return None;
    }
    let mut short = [0; 11];
    short.copy_from_slice(&raw[..11]);
    let stored = shown(&short);
    let half = |at: usize| u32::from(raw[at]) | u32::from(raw[at + 1]) << 8;
    let high = if volume.kind == Kind::Fat32 { half(20) } else { 0 };
    Some(Found {
        first: high << 16 | half(26),
        entry: Entry {
            folder: folder.to_owned(),
            name: long.of(&short).unwrap_or_else(|| in_lower_case(&stored, raw[12])),
            short: Some(stored),
            is_folder: attributes & FOLDER != 0,
            size: u64::from(half(28) | half(30) << 16),
            sha256: None,
        },
    })
}

/// The name as a computer shows it: two bits say that its parts were written small.
fn in_lower_case(stored: &str, bits: u8) -> String {
    let (base, extension) = stored.split_once('.').unwrap_or((stored, ""));
    let part = |text: &str, small: bool| {
        if small {
            text.to_ascii_lowercase()
        } else {
            text.to_owned()
        }
    };
    let base = part(base, bits & 0x08 != 0);
    if extension.is_empty() {
        base
    } else {
        format!("{base}.{}", part(extension, bits & 0x10 != 0))
    }
}

/// The parts of a long name, as they stand before their short entry: the last one first.
#[derive(Default)]
struct LongName {
    letters: Vec<[u16; 13]>,
    expected: u8,
    sum: u8,
}

impl LongName {
    fn add(&mut self, raw: &[u8; 32]) {
        let (number, last) = (raw[0] & 0x3F, raw[0] & 0x40 != 0);
        if last {
            *self = Self {
                letters: Vec::new(),
                expected: number,
                sum: raw[13],
            };
        }
        // A name has at most 20 parts; anything out of order belongs to nothing.
        if !(1..=20).contains(&number) || number != self.expected || raw[13] != self.sum {
            *self = Self::default();
            return;
        }
        let places = (1..11)
            .chain(14..26)
            .chain(28..32)
            .step_by(1)
            .collect::<Vec<usize>>();
        let mut part = [0; 13];
        for (letter, pair) in part.iter_mut().zip(places.chunks_exact(2)) {
            *letter = u16::from(raw[pair[0]]) | u16::from(raw[pair[1]]) << 8;
        }
        self.letters.push(part);
        self.expected -= 1;
    }
    /// The name, if it is whole and belongs to this short entry.
    fn of(&self, short: &[u8; 11]) -> Option<String> {
        if self.letters.is_empty() || self.expected != 0 || self.sum != checksum(short) {
            return None;
        }
        let letters = self.letters.iter().rev().flatten().copied();
        let letters: Vec<u16> = letters.take_while(|letter| *letter != 0).collect();
        Some(printable(&String::from_utf16_lossy(&letters)))
    }
}
