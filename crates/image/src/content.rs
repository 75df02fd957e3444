//! What an image puts where: pieces of bytes by address, in order, none on top of another.

use std::fmt;
use std::ops::Range;

use crate::fault::{Faults, Place};

/// The most pieces that an image may fall into before it is refused: each record of a hostile file could be one.
const MOST_PIECES: usize = 1 << 16;

/// Consecutive bytes from an address.
#[derive(Clone, PartialEq, Eq)]
pub struct Piece {
    /// The address of the first byte. Every byte of a piece has an address below 2³².
    pub address: u32,
    /// The bytes, at least one.
    pub bytes: Vec<u8>,
}

/// Without the bytes, which nobody reads.
impl fmt::Debug for Piece {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{} bytes at 0x{:08X}", self.bytes.len(), self.address)
    }
}

impl Piece {
    /// The addresses that it fills; the end may be 2³².
    #[must_use]
    pub fn range(&self) -> Range<u64> {
        let start = u64::from(self.address);
        start..start + self.bytes.len() as u64
    }
}

/// The pieces of an image, in order of their addresses, with a gap between each two.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Content {
    pieces: Vec<Piece>,
}

impl Content {
    /// Bytes that stand together.
    #[must_use]
    pub fn of(address: u32, bytes: &[u8]) -> Self {
        let mut content = Builder::default();
        content.put(Place::Byte(0), u64::from(address), bytes);
        content.build().0
    }
    /// The pieces.
    #[must_use]
    pub fn pieces(&self) -> &[Piece] {
        &self.pieces
    }
    /// Whether it holds nothing.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.pieces.is_empty()
    }
    /// From the first address to behind the last.
    #[must_use]
    pub fn extent(&self) -> Option<Range<u64>> {
        let (first, last) = (self.pieces.first()?, self.pieces.last()?);
        Some(first.range().start..last.range().end)
    }
    /// How many bytes it holds, gaps not counted.
    #[must_use]
    pub fn size(&self) -> u64 {
        self.pieces.iter().map(|piece| piece.bytes.len() as u64).sum()
    }
    /// The part inside a range of addresses.
    #[must_use]
    pub fn within(&self, range: &Range<u64>) -> Content {
        let cut = self.pieces.iter().filter_map(|piece| {
            let own = piece.range();
            let (start, end) = (own.start.max(range.start), own.end.min(range.end));
            let bytes = piece
                .bytes
                .get(to_index(start.checked_sub(own.start)?)..to_index(end.checked_sub(own.start)?))?;
            (start < end).then(|| Piece {
                address: u32::try_from(start).unwrap_or(u32::MAX),
                bytes: bytes.to_vec(),
            })
        });
        Content {
            pieces: cut.collect(),
        }
    }
    /// So many bytes from an address; nothing where one of them is missing.
    #[must_use]
    pub fn bytes(&self, address: u32, count: usize) -> Option<&[u8]> {
        let behind = self.pieces.partition_point(|piece| piece.address <= address);
        let piece = self.pieces.get(behind.checked_sub(1)?)?;
        let start = (address - piece.address) as usize;
        piece.bytes.get(start..start.checked_add(count)?)
    }
    /// Two bytes, the lower first.
    #[must_use]
    pub fn half(&self, address: u32) -> Option<u16> {
        Some(u16::from_le_bytes(self.bytes(address, 2)?.try_into().ok()?))
    }
    /// Four bytes, the lowest first.
    #[must_use]
    pub fn word(&self, address: u32) -> Option<u32> {
        Some(u32::from_le_bytes(self.bytes(address, 4)?.try_into().ok()?))
    }
    /// Every aligned word, with its address.
    pub fn words(&self) -> impl Iterator<Item = (u32, u32)> {
        self.pieces.iter().flat_map(|piece| {
            let skip = (piece.address.wrapping_neg() & 3) as usize;
            let words = piece.bytes.get(skip..).unwrap_or_default().chunks_exact(4);
            // A piece ends below 2³², so no address of its words wraps.
            words.enumerate().filter_map(move |(at, word)| {
                let address = piece.address.checked_add(u32::try_from(skip + 4 * at).ok()?)?;
                Some((address, u32::from_le_bytes(word.try_into().ok()?)))
            })
        })
    }
    /// The same bytes, so much higher; nothing where they would pass the last address.
    #[must_use]
    pub fn moved_up(&self, by: u32) -> Option<Content> {
        let moved = self.pieces.iter().map(|piece| {
            let end = piece.range().end + u64::from(by);
            (end <= 1 << 32).then(|| Piece {
                address: piece.address + by,
                bytes: piece.bytes.clone(),
            })
        });
        Some(Content {
            pieces: moved.collect::<Option<_>>()?,
        })
    }
}

/// A length that was checked to lie inside a piece, as an index.
fn to_index(length: u64) -> usize {
    usize::try_from(length).unwrap_or(usize::MAX)
}

/// Collects the records of a file; what overlaps or wraps is a fault with its place.
#[derive(Debug, Default)]
pub(crate) struct Builder {
    /// Start, place of the first record, bytes; in the order of the file, neighbours joined.
    runs: Vec<(u64, Place, Vec<u8>)>,
    faults: Faults,
    size: u64,
    full: bool,
}

impl Builder {
    /// Puts the bytes of a record at an address.
    pub fn put(&mut self, place: Place, address: u64, bytes: &[u8]) {
        if bytes.is_empty() || self.full {
            return;
        }
        if address + bytes.len() as u64 > 1 << 32 {
            self.faults.push(
                place,
                format!(
                    "{} at 0x{address:08X} pass the last address 0xFFFFFFFF",
                    bytes_words(bytes.len() as u64)
                ),
            );
            return;
        }
        self.size += bytes.len() as u64;
        if self.size > crate::read::LARGEST {
            self.full = true;
            self.faults
                .push(place, "the records have more bytes than any file that is read");
            return;
        }
        if let Some((start, _, run)) = self.runs.last_mut()
            && *start + run.len() as u64 == address
        {
            run.extend_from_slice(bytes);
            return;
        }
        if self.runs.len() == MOST_PIECES {
            self.full = true;
            self.faults.push(
                place,
                format!("more than {MOST_PIECES} separate pieces: not an image"),
            );
            return;
        }
        self.runs.push((address, place, bytes.to_vec()));
    }

    /// The pieces in order, and every fault. Of bytes that lie on top of each other the first ones are kept.
    pub fn build(mut self) -> (Content, Faults) {
        // Stable: of two runs with the same start the earlier record stays the first.
        self.runs.sort_by_key(|(start, _, _)| *start);
        let mut pieces: Vec<Piece> = Vec::new();
        let mut last_place = Place::Byte(0);
        for (start, place, bytes) in self.runs {
            let end = pieces.last().map(|piece| piece.range().end);
            match (pieces.last_mut(), end) {
                (Some(_), Some(end)) if start < end => {
                    let overlap = (end - start).min(bytes.len() as u64);
                    self.faults.push(
                        place.later(last_place),
                        format!(
                            "{} at 0x{start:08X} overlap {}",
                            bytes_words(overlap),
                            place.earlier(last_place).in_words("those")
                        ),
                    );
                    let rest = bytes.get(to_index(end - start)..).unwrap_or_default();
                    if let Some(piece) = pieces.last_mut() {
                        piece.bytes.extend_from_slice(rest);
                    }
                    if !rest.is_empty() {
                        last_place = place;
                    }
                }
                (Some(piece), Some(end)) if start == end => {
                    piece.bytes.extend_from_slice(&bytes);
                    last_place = place;
                }
                _ => {
                    // Every run was held against the last address when it was put.
                    let Ok(address) = u32::try_from(start) else {
                        continue;
                    };
                    pieces.push(Piece { address, bytes });
                    last_place = place;
                }
            }
        }
        (Content { pieces }, self.faults)
    }
}

fn bytes_words(count: u64) -> String {
    if count == 1 {
        "1 byte".to_owned()
    } else {
        format!("{count} bytes")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn built(records: &[(u64, &[u8])]) -> (Content, Faults) {
        let mut builder = Builder::default();
        for (at, (address, bytes)) in records.iter().enumerate() {
            builder.put(Place::Line(at + 1), *address, bytes);
        }
        builder.build()
    }

    #[test]
    fn neighbours_join_whatever_their_order() {
        let (content, faults) = built(&[(4, &[5, 6]), (0, &[1, 2]), (2, &[3, 4])]);
        assert_eq!(content, Content::of(0, &[1, 2, 3, 4, 5, 6]));
        assert!(faults.is_empty());
    }

    #[test]
    fn an_overlap_names_both_records() {
        let (content, faults) = built(&[(0, &[1, 2, 3, 4]), (2, &[9, 9, 9])]);
        assert_eq!(content, Content::of(0, &[1, 2, 3, 4, 9]));
        assert_eq!(faults.count, 1);
        assert_eq!(faults.kept[0].place, Place::Line(2));
        assert_eq!(
            faults.kept[0].what,
            "2 bytes at 0x00000002 overlap those of line 1"
        );
    }

    #[test]
    fn the_last_address_can_be_filled_and_not_passed() {
        let (content, faults) = built(&[(0xFFFF_FFFE, &[1, 2])]);
        assert_eq!(content.extent(), Some(0xFFFF_FFFE..0x1_0000_0000));
        assert!(faults.is_empty());
        assert_eq!(content.word(0xFFFF_FFFE), None);
        let (content, faults) = built(&[(0xFFFF_FFFE, &[1, 2, 3])]);
        assert!(content.is_empty());
        assert_eq!(faults.count, 1);
    }
}
