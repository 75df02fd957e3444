//! UF2: blocks of 512 bytes, each with its address; a file may hold blocks for several families. Source: [uf2-format].

use super::{BUILD_AGAIN, Found};
use crate::content::Builder;
use crate::fault::{Faults, Place, Refused};
use crate::image::Part;

const BLOCK: usize = 512;
/// The most bytes that a block carries.
const MOST: usize = 476;
const SECOND_MAGIC: u32 = 0x9E5D_5157;
const END_MAGIC: u32 = 0x0AB1_6F30;
/// The block is not for the flash.
const NOT_MAIN_FLASH: u32 = 0x0000_0001;
/// The block belongs to a file of a file system, not to an image.
const FILE_CONTAINER: u32 = 0x0000_1000;
/// The family number stands in the block.
const FAMILY: u32 = 0x0000_2000;
/// The most families of one file that are told apart.
const MOST_FAMILIES: usize = 16;

/// The blocks of one family.
struct Group {
    family: Option<u32>,
    builder: Builder,
    blocks: u32,
    next: u32,
}

pub(super) fn read(bytes: &[u8]) -> Result<Found, Refused> {
    let mut faults = Faults::default();
    let mut groups: Vec<Group> = Vec::new();
    let mut skipped = 0;
    for (at, block) in bytes.chunks(BLOCK).enumerate() {
        let place = Place::Byte((at * BLOCK) as u64);
        if block.len() < BLOCK {
            faults.push(
                place,
                format!(
                    "{} bytes behind the last whole block: the file is cut off",
                    block.len()
                ),
            );
            break;
        }
        let word = |at: usize| {
            block
                .get(at..at + 4)
                .and_then(|bytes| bytes.try_into().ok())
                .map_or(0, u32::from_le_bytes)
        };
        if !block.starts_with(b"UF2\n") || word(4) != SECOND_MAGIC || word(508) != END_MAGIC {
            faults.push(place, "the block does not begin and end as a UF2 block does");
            continue;
        }
        let (flags, address, size, number, count) =
            (word(8), word(12), word(16) as usize, word(20), word(24));
        if flags & (NOT_MAIN_FLASH | FILE_CONTAINER) != 0 {
            skipped += 1;
            continue;
        }
        if size > MOST {
            faults.push(
                place,
                format!("the block states {size} bytes, at most {MOST} fit"),
            );
            continue;
        }
        let family = (flags & FAMILY != 0).then(|| word(28));
        let known = groups.iter().position(|group| group.family == family);
        let group = match known {
            Some(known) => &mut groups[known],
            None if groups.len() == MOST_FAMILIES => {
                faults.push(place, format!("more than {MOST_FAMILIES} families in one file"));
                break;
            }
            None => {
                groups.push(Group {
                    family,
                    builder: Builder::default(),
                    blocks: count,
                    next: 0,
                });
                let last = groups.len() - 1;
                &mut groups[last]
            }
        };
        if count != group.blocks {
            faults.push(
                place,
                format!("the block counts {count} blocks, the first one {}", group.blocks),
            );
        }
        if number != group.next {
            faults.push(place, format!("block {number} in place of block {}", group.next));
        }
        group.next = number.saturating_add(1);
        group
            .builder
            .put(place, u64::from(address), &block[32..32 + size]);
    }
    let mut parts = Vec::new();
    let end = Place::Byte(bytes.len() as u64);
    for group in groups {
        if group.next < group.blocks {
            faults.push(
                end,
                format!(
                    "{} of {} blocks are there: the file is cut off",
                    group.next, group.blocks
                ),
            );
        }
        let (content, overlaps) = group.builder.build();
        faults.append(overlaps);
        parts.push(Part {
            family: group.family,
            content,
        });
    }
    if !faults.is_empty() {
        return Err(Refused::new("the UF2 file is damaged", BUILD_AGAIN).with(faults));
    }
    if parts.is_empty() && skipped > 0 {
        return Err(Refused::new(
            "the UF2 file contains files or comments, and nothing for the flash",
            "Choose the firmware image.",
        ));
    }
    Ok(Found {
        parts,
        entry: None,
        elf: None,
    })
}
