//! An image of a card: partition table, FAT file system, directories. Reads only; nothing on it can lead in a circle.
//!
//! Our own, since the kept library for this file system wants to write, follows a loop in the table for ever and panics on some
//! damaged boot sectors. Source: [fat-overview].
//!
//! Leaves out: exFAT and others (they are named and not read), partitions behind the first one with FAT, and what a file system
//! check would mend beyond loops, clusters used twice, chains that end early, and tables that differ.

mod directory;
mod table;
mod volume;

use quantity::Memory;

use super::{Card, Damage, FileSystem};
use crate::fault::{Fault, Place, Refused};
use volume::{Found, Volume};

/// Bytes that can be read at any place: a file, or memory.
pub trait Medium {
    /// How many bytes there are.
    fn size(&self) -> u64;
    /// Fills `into` from a place. Never asked for more than [`Medium::size`] has.
    ///
    /// # Errors
    /// Why it cannot be read.
    fn read(&mut self, at: u64, into: &mut [u8]) -> Result<(), String>;
}

impl Medium for &[u8] {
    fn size(&self) -> u64 {
        self.len() as u64
    }
    fn read(&mut self, at: u64, into: &mut [u8]) -> Result<(), String> {
        let start = usize::try_from(at).map_err(|error| error.to_string())?;
        let bytes = start.checked_add(into.len()).and_then(|end| self.get(start..end));
        into.copy_from_slice(bytes.ok_or("behind the end")?);
        Ok(())
    }
}

/// A medium with what went wrong on it.
struct Reader<'m> {
    medium: &'m mut dyn Medium,
    damage: Damage,
}

impl Reader<'_> {
    /// Fills from a place; `false` where that is behind the end.
    fn fill(&mut self, at: u64, into: &mut [u8]) -> Result<bool, Refused> {
        let fits = at
            .checked_add(into.len() as u64)
            .is_some_and(|end| end <= self.medium.size());
        if !fits {
            return Ok(false);
        }
        self.medium.read(at, into).map_err(|why| {
            Refused::new(
                format!("the card cannot be read at byte {at}: {why}"),
                "Copy the card again, or use another card.",
            )
        })?;
        Ok(true)
    }
    /// Notes a fault.
    fn fault(&mut self, at: u64, what: impl Into<String>) {
        if self.damage.faults.len() < Refused::MOST {
            self.damage.faults.push(Fault::new(Place::Byte(at), what));
        }
        self.damage.count += 1;
    }
}

/// Reads an image of a card. Files of the root with the size of the image are hashed.
///
/// # Errors
/// [`Refused`] where no file system can be found, or the medium cannot be read.
pub fn read(medium: &mut dyn Medium, image_size: Memory) -> Result<Card, Refused> {
    let mut reader = Reader {
        medium,
        damage: Damage::default(),
    };
    let other = |name: String| Card {
        file_system: FileSystem::Other(name),
        cluster: None,
        free: None,
        entries: Vec::new(),
        damage: None,
    };
    let volume = match volume::find(&mut reader)? {
        Found::Volume(volume) => *volume,
        Found::Other(name) => return Ok(other(name)),
    };
    let mut table = table::Table::new(&mut reader, &volume)?;
    let free = table.free(&mut reader)?;
    let entries = directory::walk(&mut reader, &volume, &mut table, image_size.bytes())?;
    let Volume { kind, cluster, .. } = volume;
    Ok(Card {
        file_system: kind.file_system(),
        cluster: Some(Memory::from_bytes(cluster)),
        free: Some(Memory::from_bytes(free.saturating_mul(cluster))),
        entries,
        damage: Some(reader.damage),
    })
}
