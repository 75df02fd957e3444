//! The table of clusters: free ones, chains, and what no sound table has.

use super::Reader;
use super::volume::{Kind, Volume};
use crate::fault::Refused;

/// Bytes of the table that are held at once.
const WINDOW: u64 = 1 << 16;

/// What stands behind a cluster.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Next {
    Cluster(u32),
    End,
    Free,
    Bad,
}

/// The table of a volume, read in windows, with a mark for each cluster that a chain has taken.
pub(super) struct Table<'v> {
    volume: &'v Volume,
    window: Vec<u8>,
    window_at: Option<u64>,
    taken: Vec<u64>,
}

impl<'v> Table<'v> {
    pub fn new(reader: &mut Reader<'_>, volume: &'v Volume) -> Result<Self, Refused> {
        let mut table = Self {
            volume,
            window: Vec::new(),
            window_at: None,
            // A bit a cluster: at most 32 MiB for the largest table that there can be.
            taken: vec![0; volume.clusters as usize / 64 + 1],
        };
        if let Some(copy) = volume.copy {
            table.compare(reader, copy)?;
        }
        Ok(table)
    }

    /// Holds the two tables against each other.
    fn compare(&mut self, reader: &mut Reader<'_>, copy: u64) -> Result<(), Refused> {
        let mut other = Vec::new();
        let mut at = 0;
        while at < self.volume.table_size {
            let length = WINDOW.min(self.volume.table_size - at);
            if !self.load(reader, at)? {
                return Ok(());
            }
            other.resize(usize::try_from(length).unwrap_or(0), 0);
            if !reader.fill(copy + at, &mut other)? {
                return Ok(());
            }
            if self.window != other {
                let first = self
                    .window
                    .iter()
                    .zip(&other)
                    .take_while(|(one, two)| one == two)
                    .count() as u64;
                reader.fault(copy + at + first, "the two copies of the table differ");
                return Ok(());
            }
            at += length;
        }
        Ok(())
    }

    /// Loads the window that holds a byte of the table; `false` where the medium ends before.
    fn load(&mut self, reader: &mut Reader<'_>, at: u64) -> Result<bool, Refused> {
        let start = at / WINDOW * WINDOW;
        if self.window_at != Some(start) {
            let length = WINDOW.min(self.volume.table_size.saturating_sub(start));
            self.window.resize(usize::try_from(length).unwrap_or(0), 0);
            self.window_at = None;
            if !reader.fill(self.volume.table + start, &mut self.window)? {
                return Ok(false);
            }
            self.window_at = Some(start);
        }
        Ok(true)
    }

    fn byte(&mut self, reader: &mut Reader<'_>, at: u64) -> Result<Option<u32>, Refused> {
        if !self.load(reader, at)? {
            return Ok(None);
        }
        let inside = usize::try_from(at % WINDOW).unwrap_or(usize::MAX);
        Ok(self.window.get(inside).map(|byte| u32::from(*byte)))
    }

    /// The byte of the table at which an entry begins.
    fn offset(&self, cluster: u32) -> u64 {
        let cluster = u64::from(cluster);
        match self.volume.kind {
            Kind::Fat12 => cluster + cluster / 2,
            Kind::Fat16 => cluster * 2,
            Kind::Fat32 => cluster * 4,
        }
    }

    /// What the table says about a cluster; nothing where the medium ends before.
    fn entry(&mut self, reader: &mut Reader<'_>, cluster: u32) -> Result<Option<Next>, Refused> {
        let at = self.offset(cluster);
        let length = if self.volume.kind == Kind::Fat32 { 4 } else { 2 };
        let mut value = 0;
        for byte in 0..length {
            let Some(read) = self.byte(reader, at + byte)? else {
                return Ok(None);
            };
            value |= read << (8 * byte);
        }
        let (value, bad) = match self.volume.kind {
            Kind::Fat12 if cluster % 2 == 1 => (value >> 4, 0x0FF7),
            Kind::Fat12 => (value & 0x0FFF, 0x0FF7),
            Kind::Fat16 => (value, 0xFFF7),
            Kind::Fat32 => (value & 0x0FFF_FFFF, 0x0FFF_FFF7),
        };
        Ok(Some(match value {
            0 => Next::Free,
            value if value == bad => Next::Bad,
            value if value > bad => Next::End,
            value => Next::Cluster(value),
        }))
    }

    /// How many clusters are free.
    pub fn free(&mut self, reader: &mut Reader<'_>) -> Result<u64, Refused> {
        let mut free = 0;
        for cluster in 2..self.volume.clusters.saturating_add(2) {
            match self.entry(reader, cluster)? {
                Some(Next::Free) => free += 1,
                Some(_) => {}
                None => break,
            }
        }
        Ok(free)
    }

    /// Marks a cluster; whether it was marked already.
    fn take(&mut self, cluster: u32) -> bool {
        let (at, bit) = (cluster as usize / 64, 1 << (cluster % 64));
        match self.taken.get_mut(at) {
            Some(bits) => {
                let before = *bits & bit != 0;
                *bits |= bit;
                before
            }
            None => true,
        }
    }

    /// The clusters of a chain, each taken. It ends before the first that does not exist, is free, or belongs to another chain or to
    /// this one already: then there is a fault, which names the owner. At most `most` are handed out; the others are only followed.
    pub fn chain(
        &mut self,
        reader: &mut Reader<'_>,
        first: u32,
        owner: &str,
        most: u64,
    ) -> Result<Chain, Refused> {
        let mut chain = Chain::default();
        let mut cluster = first;
        let mut entry_at = None;
        loop {
            let place = entry_at.map_or(self.volume.table, |entry| self.volume.table + entry);
            if !self.volume.has(cluster) {
                reader.fault(
                    place,
                    format!("{owner} leads to cluster {cluster}, which does not exist"),
                );
                chain.broken = true;
                return Ok(chain);
            }
            if self.take(cluster) {
                let what = if self.reaches(reader, first, cluster, chain.length)? {
                    format!("{owner} leads in a loop back to cluster {cluster}")
                } else {
                    format!("{owner} shares cluster {cluster} with another file")
                };
                reader.fault(place, what);
                chain.broken = true;
                return Ok(chain);
            }
            chain.length += 1;
            if chain.length <= most {
                chain.clusters.push(cluster);
            }
            entry_at = Some(self.offset(cluster));
            let place = self.volume.table + self.offset(cluster);
            cluster = match self.entry(reader, cluster)? {
                Some(Next::Cluster(next)) => next,
                Some(Next::End) => return Ok(chain),
                Some(Next::Free | Next::Bad) => {
                    reader.fault(place, format!("{owner} leads to a cluster that is free or bad"));
                    chain.broken = true;
                    return Ok(chain);
                }
                None => {
                    reader.fault(place, "the table lies behind the end of the card");
                    chain.broken = true;
                    return Ok(chain);
                }
            };
        }
    }

    /// Whether a chain reaches a cluster within so many steps.
    fn reaches(
        &mut self,
        reader: &mut Reader<'_>,
        first: u32,
        wanted: u32,
        steps: u64,
    ) -> Result<bool, Refused> {
        let mut cluster = first;
        for _ in 0..steps {
            if cluster == wanted {
                return Ok(true);
            }
            match self.entry(reader, cluster)? {
                Some(Next::Cluster(next)) => cluster = next,
                _ => return Ok(false),
            }
        }
        Ok(false)
    }
}

/// A chain of clusters.
#[derive(Debug, Default)]
pub(super) struct Chain {
    pub clusters: Vec<u32>,
    /// How many there are, also those that were not handed out.
    pub length: u64,
    /// Whether its end is a fault that was noted.
    pub broken: bool,
}
