//! Where the file system lies and how it is laid out: partition table and boot sector.

use super::Reader;
use crate::card::FileSystem;
use crate::fault::Refused;

const SECTOR: u64 = 512;

/// The width of an entry of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Fat12,
    Fat16,
    Fat32,
}

impl Kind {
    pub fn file_system(self) -> FileSystem {
        match self {
            Kind::Fat12 => FileSystem::Fat12,
            Kind::Fat16 => FileSystem::Fat16,
            Kind::Fat32 => FileSystem::Fat32,
        }
    }
}

/// A file system. Places are bytes of the medium.
#[derive(Clone, Debug)]
pub(super) struct Volume {
    pub kind: Kind,
    /// Bytes of a cluster.
    pub cluster: u64,
    /// Clusters of data; they are numbered from 2.
    pub clusters: u32,
    /// Where the table lies that counts.
    pub table: u64,
    /// Where its copy lies, if it is kept alike.
    pub copy: Option<u64>,
    /// Bytes of a table.
    pub table_size: u64,
    /// Where the data begin.
    pub data: u64,
    pub root: Root,
}

/// Where the root directory lies.
#[derive(Clone, Copy, Debug)]
pub(super) enum Root {
    /// In an area of its own: place and bytes.
    Area(u64, u64),
    /// In clusters, from this one.
    Cluster(u32),
}

impl Volume {
    /// Where a cluster lies; nothing for one that does not exist.
    pub fn place(&self, cluster: u32) -> Option<u64> {
        self.has(cluster)
            .then(|| self.data + u64::from(cluster - 2) * self.cluster)
    }
    pub fn has(&self, cluster: u32) -> bool {
        cluster
            .checked_sub(2)
            .is_some_and(|number| number < self.clusters)
    }
}

/// What is on a medium.
pub(super) enum Found {
    Volume(Box<Volume>),
    Other(String),
}

/// The little numbers of a sector.
fn half(sector: &[u8; 512], at: usize) -> u32 {
    u32::from(sector[at]) | u32::from(sector[at + 1]) << 8
}

fn word(sector: &[u8; 512], at: usize) -> u32 {
    half(sector, at) | half(sector, at + 2) << 16
}

/// Finds the file system that a boot loader would look at.
pub(super) fn find(reader: &mut Reader<'_>) -> Result<Found, Refused> {
    let nothing = |what: &str| {
        Refused::new(
            format!("no file system is found on the card: {what}"),
            "Give the folder where the card is mounted, or an image of the whole card.",
        )
    };
    let mut first = [0; 512];
    if !reader.fill(0, &mut first)? {
        return Err(nothing("it has less than 512 bytes"));
    }
    if let Some(found) = file_system(reader, 0, &first) {
        return Ok(found);
    }
    if first[510..] != [0x55, 0xAA] {
        return Err(nothing("the first sector does not end in 55 AA"));
    }
    // A partition table: four entries of 16 bytes; the first that says something counts.
    for entry in first[446..510].chunks_exact(16) {
        let (status, kind) = (entry[0], entry[4]);
        if kind == 0 || status & 0x7F != 0 {
            continue;
        }
        if kind == 0xEE {
            return Ok(Found::Other("a GUID partition table".to_owned()));
        }
        let start = u64::from(u32::from_le_bytes([entry[8], entry[9], entry[10], entry[11]])) * SECTOR;
        let mut sector = [0; 512];
        if start == 0 || !reader.fill(start, &mut sector)? {
            return Err(nothing("its partition lies behind its end"));
        }
        return match file_system(reader, start, &sector) {
            Some(found) => Ok(found),
            None => Ok(Found::Other(format!(
                "a partition of type {kind:02X} without FAT"
            ))),
        };
    }
    Err(nothing("neither a boot sector nor a partition"))
}

fn file_system(reader: &mut Reader<'_>, start: u64, sector: &[u8; 512]) -> Option<Found> {
    match &sector[3..11] {
        b"EXFAT   " => return Some(Found::Other("exFAT".to_owned())),
        b"NTFS    " => return Some(Found::Other("NTFS".to_owned())),
        _ => {}
    }
    volume(reader, start, sector).map(|volume| Found::Volume(Box::new(volume)))
}

/// The layout that a boot sector states; nothing where it is none.
fn volume(reader: &mut Reader<'_>, start: u64, sector: &[u8; 512]) -> Option<Volume> {
    let bytes = u64::from(half(sector, 11));
    let per_cluster = sector[13];
    let (reserved, tables) = (u64::from(half(sector, 14)), u64::from(sector[16]));
    let (root_entries, small_total) = (u64::from(half(sector, 17)), half(sector, 19));
    let (small_table, large_total) = (half(sector, 22), word(sector, 32));
    let jumps = matches!(sector[0], 0xEB | 0xE9);
    let sound = jumps
        && matches!(bytes, 512 | 1024 | 2048 | 4096)
        && per_cluster.is_power_of_two()
        && reserved > 0
        && (1..=4).contains(&tables)
        && sector[510..] == [0x55, 0xAA];
    if !sound {
        return None;
    }
    let total = u64::from(if small_total == 0 {
        large_total
    } else {
        small_total
    });
    let table_sectors = u64::from(if small_table == 0 {
        word(sector, 36)
    } else {
        small_table
    });
    let root_sectors = (root_entries * 32).div_ceil(bytes);
    let before = reserved + tables * table_sectors + root_sectors;
    let cluster = bytes * u64::from(per_cluster);
    let clusters = total.checked_sub(before)? / u64::from(per_cluster);
    // The number of clusters decides, and nothing else.
    let kind = match clusters {
        0 => return None,
        1..4085 => Kind::Fat12,
        4085..65525 => Kind::Fat16,
        _ => Kind::Fat32,
    };
    if table_sectors == 0 || (kind == Kind::Fat32) != (small_table == 0) {
        return None;
    }
    let table_size = table_sectors * bytes;
    let flags = half(sector, 40);
    let single = kind == Kind::Fat32 && flags & 0x80 != 0;
    let active = if single {
        u64::from(flags & 0x0F).min(tables - 1)
    } else {
        0
    };
    let tables_start = start + reserved * bytes;
    let room = match kind {
        Kind::Fat12 => table_size * 2 / 3,
        Kind::Fat16 => table_size / 2,
        Kind::Fat32 => table_size / 4,
    };
    if room < clusters + 2 {
        reader.fault(
            start,
            format!("the table has room for {room} of {} entries", clusters + 2),
        );
    }
    let end = start + total * bytes;
    if end > reader.medium.size() {
        reader.fault(
            start,
            format!(
                "the file system ends at byte {end}, the card at byte {}",
                reader.medium.size()
            ),
        );
    }
    let root = if kind == Kind::Fat32 {
        Root::Cluster(word(sector, 44))
    } else {
        Root::Area(tables_start + tables * table_size, root_sectors * bytes)
    };
    Some(Volume {
        kind,
        cluster,
        clusters: u32::try_from(clusters.min(room.saturating_sub(2)).min(0x0FFF_FFF5)).ok()?,
        table: tables_start + active * table_size,
        copy: (tables > 1 && !single).then_some(tables_start + table_size),
        table_size,
        data: start + before * bytes,
        root,
    })
}
