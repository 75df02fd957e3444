//! The vector table: the first words of an image for a 32-bit core, the first jumps of one for an 8-bit core.
//!
//! Sources: [arm-ddi-0403] and [arm-ddi-0419], B1.5: word 0 is the stack pointer at the start, word 1 the start itself, and every
//! vector has bit 0 set because the core executes Thumb only. [avr-manual]: each vector is a jump.

use std::collections::BTreeSet;

use crate::content::Content;

/// The last number of a vector that a core may have: 16 of the core and 240 interrupts.
const LAST_VECTOR: u32 = 255;

/// One vector.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Vector {
    /// Its place in the table: 1 is the start.
    pub number: u32,
    /// What stands there.
    pub word: u32,
}

impl Vector {
    /// The address of its first instruction.
    #[must_use]
    pub fn target(self) -> u32 {
        self.word & !1
    }
    /// The name of the first sixteen, of the others their interrupt.
    #[must_use]
    pub fn name(self) -> String {
        let own = match self.number {
            1 => "reset",
            2 => "non-maskable interrupt",
            3 => "hard fault",
            4 => "memory fault",
            5 => "bus fault",
            6 => "usage fault",
            11 => "supervisor call",
            12 => "debug monitor",
            14 => "pending service",
            15 => "system tick",
            0..16 => return format!("reserved {}", self.number),
            _ => return format!("interrupt {}", self.number - 16),
        };
        own.to_owned()
    }
}

/// The table of a 32-bit core.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// Its address.
    pub at: u32,
    /// The stack pointer at the start.
    pub stack: u32,
    /// The vectors that are not zero, the start first.
    pub vectors: Vec<Vector>,
    /// The address behind it.
    pub end: u32,
}

impl Table {
    /// The table at an address. It ends where the code of its first handler begins, or at the first word behind the sixteen of the
    /// core that is no vector.
    #[must_use]
    pub fn read(content: &Content, at: u32) -> Option<Table> {
        let stack = content.word(at)?;
        let mut vectors = Vec::new();
        let mut end = u64::from(at) + 4 * u64::from(LAST_VECTOR + 1);
        let mut number = 1;
        while number <= LAST_VECTOR {
            let place = u64::from(at) + 4 * u64::from(number);
            if place >= end {
                break;
            }
            let Some(word) = u32::try_from(place).ok().and_then(|place| content.word(place)) else {
                break;
            };
            let vector = Vector { number, word };
            let inside = content.half(vector.target()).is_some();
            if number >= 16 && word != 0 && !(word & 1 == 1 && inside) {
                break;
            }
            // Words 7 to 10 and 13 are reserved; some makers keep a checksum there.
            let reserved = matches!(number, 7..=10 | 13);
            if word != 0 && !(reserved && !(word & 1 == 1 && inside)) {
                vectors.push(vector);
                if inside && u64::from(vector.target()) > place {
                    end = end.min(u64::from(vector.target()));
                }
            }
            number += 1;
        }
        (!vectors.is_empty()).then_some(Table {
            at,
            stack,
            vectors,
            end: u32::try_from((u64::from(at) + 4 * u64::from(number)).min(end)).unwrap_or(u32::MAX),
        })
    }
    /// The start.
    #[must_use]
    pub fn reset(&self) -> Option<Vector> {
        self.vectors.first().copied().filter(|vector| vector.number == 1)
    }
    /// Addresses of the handlers, each once.
    #[must_use]
    pub fn targets(&self) -> BTreeSet<u32> {
        self.vectors.iter().map(|vector| vector.target()).collect()
    }
    /// Whether it can be one: the stack in memory that may be written, and at least half of the vectors odd.
    #[must_use]
    pub fn is_plausible(&self) -> bool {
        could_be_stack(self.stack) && 2 * self.odd() >= self.vectors.len() && self.odd() > 0
    }
    /// How many vectors have bit 0 set.
    fn odd(&self) -> usize {
        self.vectors.iter().filter(|vector| vector.word & 1 == 1).count()
    }
    /// Whether all its vectors are odd and lead to places no further apart than `size`, as those of one image are.
    #[must_use]
    pub fn hangs_together(&self, size: u64) -> bool {
        let words = || self.vectors.iter().map(|vector| vector.word);
        let (low, high) = (words().min().unwrap_or(0), words().max().unwrap_or(u32::MAX));
        self.vectors.len() >= 2 && self.odd() == self.vectors.len() && u64::from(high - low) < size
    }
}

/// Whether a stack pointer at the start can be one: a multiple of four inside the regions that hold RAM. Source: [arm-ddi-0403], B3.1:
/// 0x20000000 to 0x3FFFFFFF is RAM; chips have some in the upper part of the code region as well. It starts behind the last byte.
pub(crate) fn could_be_stack(stack: u32) -> bool {
    stack.is_multiple_of(4) && (0x1000_0000..=0x4000_0000).contains(&stack)
}

/// Whether the image begins with jumps of an 8-bit core: their byte addresses, at least four of them.
#[must_use]
pub fn eight_bit_jumps(content: &Content, at: u32) -> Option<Vec<u32>> {
    const MOST: u32 = 128;
    const LEAST: usize = 4;
    let half = |place: u32| content.half(at.checked_add(place)?);
    // JMP: two halves; the second is the word address for memories up to 128 KiB, and more bits stand in the first.
    let mut jumps = Vec::new();
    for number in 0..MOST {
        let (Some(first), Some(second)) = (half(4 * number), half(4 * number + 2)) else {
            break;
        };
        if first & 0xFE0E != 0x940C {
            break;
        }
        let high = u32::from(first >> 4 & 0x1F) << 1 | u32::from(first & 1);
        jumps.push((high << 16 | u32::from(second)) * 2);
    }
    if jumps.len() >= LEAST {
        return Some(jumps);
    }
    // RJMP: one half; a distance in words, which wraps at the end of a small memory.
    let mut jumps = Vec::new();
    for number in 0..MOST {
        let Some(first) = half(2 * number) else { break };
        if first & 0xF000 != 0xC000 {
            break;
        }
        let distance = (i32::from(first & 0x0FFF) << 20) >> 20;
        let target = i64::from(2 * number) + 2 + 2 * i64::from(distance);
        jumps.push(u32::try_from(target.rem_euclid(8192)).unwrap_or(0));
    }
    (jumps.len() >= LEAST).then_some(jumps)
}
