//! The code of an image, followed from its vectors: which instructions it certainly executes, and what they need of a core.
//!
//! Only what is reached is looked at, for the rest of an image is data as often as code. A call may not return, and then data
//! follows it: what comes behind a call is only probable, until a call from there leads to the start of a function.

use std::collections::HashSet;

use serde::Serialize;

use crate::content::Content;
use crate::thumb::{Float, Flow, Instruction, Level, decode, is_long};

/// The most instructions that are looked at.
const MOST: usize = 2_000_000;
/// From so many probable instructions of a kind up it is taken to be there.
const PROBABLE: u32 = 8;
/// The most instructions up to the first branch of a handler.
const STRAIGHT: usize = 64;

/// What the code needs, with the address of one instruction that shows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Need<T> {
    /// What.
    pub what: T,
    /// Where.
    pub at: Option<u32>,
}

/// What was found along the code.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Code {
    /// How many different instructions were looked at.
    pub instructions: usize,
    /// The instruction set.
    pub level: Need<Level>,
    /// Floating point.
    pub float: Need<Float>,
}

/// Whether an address begins with code: every instruction up to the first branch exists, and the branch stays inside.
#[must_use]
pub fn begins_with_code(content: &Content, start: u32) -> bool {
    let mut at = start;
    for _ in 0..STRAIGHT {
        let Some(instruction) = instruction(content, at) else {
            return false;
        };
        match instruction.flow {
            Flow::Next | Flow::Literal(..) => {}
            Flow::Jump(distance) | Flow::Branch(distance) | Flow::Call(distance) => {
                return moved(at, distance).is_some_and(|target| content.half(target).is_some());
            }
            Flow::JumpRegister(_) | Flow::CallRegister(_) | Flow::End => return true,
        }
        let Some(next) = at.checked_add(u32::from(instruction.size)) else {
            return false;
        };
        at = next;
    }
    true
}

/// Whether a function begins there: it saves the address that it returns to.
#[must_use]
pub fn begins_function(content: &Content, start: u32) -> bool {
    match content.half(start) {
        Some(0xB500..=0xB5FF) => true,
        Some(0xE92D) => start
            .checked_add(2)
            .and_then(|second| content.half(second))
            .is_some_and(|second| second & 0x4000 != 0),
        _ => false,
    }
}

fn instruction(content: &Content, at: u32) -> Option<Instruction> {
    let first = content.half(at)?;
    let second = if is_long(first) {
        content.half(at.checked_add(2)?)?
    } else {
        0
    };
    decode(first, second)
}

fn moved(at: u32, distance: i32) -> Option<u32> {
    at.checked_add_signed(distance)
}

/// A place to go on from.
#[derive(Clone, Copy)]
struct Open {
    at: u32,
    certain: bool,
}

/// Counts of what was met, certain and probable, by its rank.
#[derive(Default)]
struct Met {
    certain: [Option<u32>; 4],
    probable: [(u32, Option<u32>); 4],
}

impl Met {
    fn note(&mut self, rank: usize, at: u32, certain: bool) {
        if certain {
            self.certain[rank].get_or_insert(at);
        } else {
            let (count, first) = &mut self.probable[rank];
            *count += 1;
            first.get_or_insert(at);
        }
    }
    /// The highest rank that was met for certain, or often enough.
    fn highest(&self) -> (usize, Option<u32>) {
        for rank in (1..4).rev() {
            let often: u32 = self.probable[rank..].iter().map(|(count, _)| count).sum();
            let probable = (often >= PROBABLE).then(|| self.probable[rank].1).flatten();
            if let Some(at) = self.certain[rank].or(probable) {
                return (rank, Some(at));
            }
        }
        (0, None)
    }
}

/// Follows the code from the starts of handlers.
#[must_use]
pub fn walk(content: &Content, starts: impl IntoIterator<Item = u32>) -> Code {
    let mut open: Vec<Open> = starts.into_iter().map(|at| Open { at, certain: true }).collect();
    // What is certain is followed first, so that nothing is noted as probable that is more.
    let mut later: Vec<u32> = Vec::new();
    let mut seen: HashSet<(u32, bool)> = HashSet::new();
    let mut places: HashSet<u32> = HashSet::new();
    let (mut levels, mut floats) = (Met::default(), Met::default());
    loop {
        let next = open
            .pop()
            .or_else(|| later.pop().map(|at| Open { at, certain: false }));
        let Some(Open { mut at, certain }) = next else {
            break;
        };
        let mut registers = [None; 16];
        while places.len() < MOST {
            if seen.contains(&(at, true)) || !seen.insert((at, certain)) {
                break;
            }
            let Some(instruction) = instruction(content, at) else {
                break;
            };
            places.insert(at);
            levels.note(instruction.level as usize, at, certain);
            floats.note(instruction.float as usize, at, certain);
            let behind = at.checked_add(u32::from(instruction.size));
            let mut branch_to = |target: Option<u32>, certain: bool| {
                open.extend(target.map(|at| Open { at, certain }));
            };
            let goes_on = match instruction.flow {
                Flow::Next => true,
                Flow::Literal(register, distance) => {
                    registers[usize::from(register & 15)] =
                        moved(at & !3, distance).and_then(|place| content.word(place));
                    true
                }
                Flow::Branch(distance) => {
                    branch_to(moved(at, distance), certain);
                    true
                }
                Flow::Jump(distance) => {
                    branch_to(moved(at, distance), certain);
                    false
                }
                Flow::Call(distance) => {
                    let target = moved(at, distance);
                    let function = target.is_some_and(|target| begins_function(content, target));
                    branch_to(target, certain || function);
                    later.extend(behind);
                    false
                }
                Flow::CallRegister(register) | Flow::JumpRegister(register) => {
                    let target: Option<u32> = registers[usize::from(register & 15)];
                    let code = target.filter(|target| target & 1 == 1).map(|target| target & !1);
                    branch_to(code.filter(|at| content.half(*at).is_some()), certain);
                    if matches!(instruction.flow, Flow::CallRegister(_)) {
                        later.extend(behind);
                    }
                    false
                }
                Flow::End => false,
            };
            let (true, Some(behind)) = (goes_on, behind) else {
                break;
            };
            at = behind;
        }
    }
    let (level, level_at) = levels.highest();
    let (float, float_at) = floats.highest();
    Code {
        instructions: places.len(),
        level: Need {
            what: [Level::Armv6M, Level::Armv7M, Level::Armv7EM][level.min(2)],
            at: level_at,
        },
        float: Need {
            what: [Float::None, Float::SingleV4, Float::SingleV5, Float::DoubleV5][float],
            at: float_at,
        },
    }
}
