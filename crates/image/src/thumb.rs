//! Thumb instructions: how long, what they need of a core, and where they lead. Sources: [arm-ddi-0419] and [arm-ddi-0403], A5.
//!
//! No disassembler: operands are not looked at but for targets. What is called undefined here is undefined on every core up to
//! Armv7E-M; what is called valid may still be unpredictable. Instructions that only Armv8-M has count as undefined.

use serde::Serialize;

/// What an instruction needs of a core.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum Level {
    /// Every such core has it.
    #[serde(rename = "Armv6-M")]
    Armv6M,
    /// Armv7-M.
    #[serde(rename = "Armv7-M")]
    Armv7M,
    /// Armv7-M with the instructions for signal processing.
    #[serde(rename = "Armv7E-M")]
    Armv7EM,
}

impl Level {
    /// The words on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Level::Armv6M => "Armv6-M",
            Level::Armv7M => "Armv7-M",
            Level::Armv7EM => "Armv7E-M",
        }
    }
}

/// What an instruction, or a build, needs of the floating-point unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Float {
    /// Nothing.
    None,
    /// One for single precision, version 4.
    SingleV4,
    /// One for single precision, version 5.
    SingleV5,
    /// One for double precision, version 5.
    DoubleV5,
}

impl Float {
    /// The words on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Float::None => "no floating-point unit",
            Float::SingleV4 => "a single-precision floating-point unit",
            Float::SingleV5 => "a single-precision floating-point unit, version 5",
            Float::DoubleV5 => "a double-precision floating-point unit",
        }
    }
}

/// Where control goes behind an instruction. Distances count from the address of the instruction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flow {
    /// To the next instruction.
    Next,
    /// To one place.
    Jump(i32),
    /// To one place, or to the next instruction.
    Branch(i32),
    /// To a function, which may return.
    Call(i32),
    /// To where a register points.
    JumpRegister(u8),
    /// To a function that a register points to.
    CallRegister(u8),
    /// A word is loaded into a register from this distance to the instruction's aligned address.
    Literal(u8, i32),
    /// Nowhere that is seen here.
    End,
}

/// One instruction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Instruction {
    /// Its length: 2 or 4 bytes.
    pub size: u8,
    /// The instruction set it needs.
    pub level: Level,
    /// What it needs for floating point.
    pub float: Float,
    /// Where it leads.
    pub flow: Flow,
}

/// Whether an instruction with this first half has a second half.
#[must_use]
pub fn is_long(first: u16) -> bool {
    first >= 0xE800
}

/// The instruction of two halves; the second is not looked at where the first stands alone. Nothing for an undefined one.
#[must_use]
pub fn decode(first: u16, second: u16) -> Option<Instruction> {
    if is_long(first) {
        long(first, second)
    } else {
        short(first)
    }
}

fn of(size: u8, level: Level, flow: Flow) -> Option<Instruction> {
    Some(Instruction {
        size,
        level,
        float: Float::None,
        flow,
    })
}

fn short(half: u16) -> Option<Instruction> {
    let v6 = |flow| of(2, Level::Armv6M, flow);
    match half {
        // Special data: a write to the program counter is a jump.
        0x4400..=0x44FF | 0x4600..=0x46FF if half & 0x87 == 0x87 => {
            let register = (half >> 3 & 15) as u8;
            if half >= 0x4600 {
                v6(Flow::JumpRegister(register))
            } else {
                v6(Flow::End)
            }
        }
        // BX, BLX; the last three bits are for cores with a secure state.
        0x4700..=0x47FF if half & 7 != 0 => None,
        0x4700..=0x477F => v6(Flow::JumpRegister((half >> 3 & 15) as u8)),
        0x4780..=0x47FF if half >> 3 & 15 == 15 => None,
        0x4780..=0x47FF => v6(Flow::CallRegister((half >> 3 & 15) as u8)),
        0x4800..=0x4FFF => v6(Flow::Literal(
            (half >> 8 & 7) as u8,
            i32::from(half & 0xFF) * 4 + 4,
        )),
        // Compare and branch on zero.
        0xB100..=0xB1FF | 0xB300..=0xB3FF | 0xB900..=0xB9FF | 0xBB00..=0xBBFF => {
            let distance = (half >> 3 & 0x1F) << 1 | (half >> 9 & 1) << 6;
            of(2, Level::Armv7M, Flow::Branch(i32::from(distance) + 4))
        }
        // Mask interrupts: faults only from Armv7-M.
        0xB660..=0xB67F => match half & 0x0F {
            2 => v6(Flow::Next),
            1 | 3 => of(2, Level::Armv7M, Flow::Next),
            _ => None,
        },
        0xB000..=0xB0FF | 0xB200..=0xB2FF | 0xB400..=0xB5FF => v6(Flow::Next),
        0xBA00..=0xBA7F | 0xBAC0..=0xBAFF | 0xBC00..=0xBCFF | 0xBE00..=0xBEFF => v6(Flow::Next),
        // POP with the program counter.
        0xBD00..=0xBDFF => v6(Flow::End),
        // Hints; IT.
        0xBF00..=0xBFFF if half & 0x0F == 0 => v6(Flow::Next),
        0xBF00..=0xBFFF if half & 0xF0 != 0xF0 => of(2, Level::Armv7M, Flow::Next),
        0xB600..=0xBFFF => None,
        0xDE00..=0xDEFF => v6(Flow::End),
        0xDF00..=0xDFFF => v6(Flow::Next),
        0xD000..=0xDDFF => v6(Flow::Branch(signed(u32::from(half & 0xFF), 8) * 2 + 4)),
        0xE000..=0xE7FF => v6(Flow::Jump(signed(u32::from(half & 0x7FF), 11) * 2 + 4)),
        _ => v6(Flow::Next),
    }
}

fn long(first: u16, second: u16) -> Option<Instruction> {
    let v7 = |flow| of(4, Level::Armv7M, flow);
    let target = second >> 12;
    match first {
        // Load and store multiple.
        0xE800..=0xE81F | 0xE980..=0xE9BF
            if first & 0x0040 == 0 && first >> 7 & 3 != 1 && first >> 7 & 3 != 2 =>
        {
            None
        }
        0xE880..=0xE8BF | 0xE900..=0xE93F => {
            let load = first & 0x10 != 0;
            if !load && second & 0xA000 != 0 {
                return None;
            }
            v7(if load && second & 0x8000 != 0 {
                Flow::End
            } else {
                Flow::Next
            })
        }
        0xE800..=0xE87F | 0xE8C0..=0xE8FF | 0xE940..=0xE97F | 0xE9C0..=0xE9FF => {
            exclusive_or_dual(first, second)
        }
        0xE800..=0xE9FF => None,
        0xEA00..=0xEBFF => shifted_register(first, second),
        0xEC00..=0xEFFF | 0xFC00..=0xFFFF => coprocessor(first, second),
        0xF000..=0xF7FF if second & 0x8000 != 0 => branch_or_control(first, second),
        0xF000..=0xF7FF => immediate(first, second),
        // Stores of single data.
        0xF800..=0xF8FF if first & 0x10 == 0 => {
            if first & 0x0F == 15 || first & 0x60 == 0x60 {
                return None;
            }
            (first & 0x80 != 0 || is_single_form(second)).then(|| v7(Flow::Next))?
        }
        0xF800..=0xF9FF => load(first, second, target),
        0xFA00..=0xFAFF => register(first, second),
        0xFB00..=0xFB7F => multiply(first, second),
        0xFB80..=0xFBFF => long_multiply(first, second),
        _ => None,
    }
}

/// The forms of a single load or store below the one with twelve bits of distance: register, or eight bits with their marks.
fn is_single_form(second: u16) -> bool {
    match second >> 8 & 0x0F {
        0 => second & 0xC0 == 0,
        // Eight bits: with none of post- and pre-index and write-back there is no such instruction.
        9 | 11..=15 => true,
        _ => false,
    }
}

fn exclusive_or_dual(first: u16, second: u16) -> Option<Instruction> {
    let v7 = |flow| of(4, Level::Armv7M, flow);
    match (first & 0xFFF0, second >> 4 & 0x0F) {
        // LDREX, STREX.
        (0xE840, _) => v7(Flow::Next),
        (0xE850, _) if second & 0x0F00 == 0x0F00 => v7(Flow::Next),
        // Byte and half forms; the table branch.
        (0xE8C0, 4 | 5) if second & 0x0F00 == 0x0F00 => v7(Flow::Next),
        (0xE8D0, 4 | 5) if second & 0x0F0F == 0x0F0F => v7(Flow::Next),
        (0xE8D0, 0 | 1) if second & 0xFF00 == 0xF000 => v7(Flow::End),
        (0xE8C0 | 0xE8D0, _) => None,
        // LDRD, STRD: pre-index, post-index or write-back.
        (0xE860 | 0xE870 | 0xE8E0 | 0xE8F0 | 0xE940 | 0xE950 | 0xE960 | 0xE970, _) => v7(Flow::Next),
        (0xE9C0 | 0xE9D0 | 0xE9E0 | 0xE9F0, _) => v7(Flow::Next),
        _ => None,
    }
}

fn shifted_register(first: u16, second: u16) -> Option<Instruction> {
    let operation = first >> 5 & 0x0F;
    match operation {
        // PKHBT, PKHTB.
        6 if first & 0x10 == 0 && second & 0x10 == 0 => of(4, Level::Armv7EM, Flow::Next),
        0..=4 | 8 | 10 | 11 | 13 | 14 => of(4, Level::Armv7M, Flow::Next),
        _ => None,
    }
}

fn immediate(first: u16, second: u16) -> Option<Instruction> {
    let v7 = of(4, Level::Armv7M, Flow::Next);
    if first & 0x0200 == 0 {
        // Modified immediate.
        return match first >> 5 & 0x0F {
            0..=4 | 8 | 10 | 11 | 13 | 14 => v7,
            _ => None,
        };
    }
    // Plain immediate.
    match first >> 4 & 0x1F {
        0b00000 | 0b00100 | 0b01010 | 0b01100 => v7,
        // SSAT, USAT; without a shift the second pair is SSAT16, USAT16.
        0b10000 | 0b11000 => v7,
        0b10010 | 0b11010 if second & 0x70C0 == 0 => of(4, Level::Armv7EM, Flow::Next),
        0b10010 | 0b11010 => v7,
        0b10100 | 0b10110 | 0b11100 => v7,
        _ => None,
    }
}

fn branch_or_control(first: u16, second: u16) -> Option<Instruction> {
    let sign = u32::from(first >> 10 & 1);
    let (one, two) = (u32::from(second >> 13 & 1), u32::from(second >> 11 & 1));
    let far = || {
        let (high, low) = (u32::from(first & 0x3FF), u32::from(second & 0x7FF));
        let bits = sign << 23 | (1 ^ one ^ sign) << 22 | (1 ^ two ^ sign) << 21 | high << 11 | low;
        signed(bits, 24) * 2 + 4
    };
    match second & 0xD000 {
        0xD000 => of(4, Level::Armv6M, Flow::Call(far())),
        0x9000 => of(4, Level::Armv7M, Flow::Jump(far())),
        0x8000 if first >> 7 & 7 != 7 => {
            let bits = sign << 19
                | two << 18
                | one << 17
                | u32::from(first & 0x3F) << 11
                | u32::from(second & 0x7FF);
            of(4, Level::Armv7M, Flow::Branch(signed(bits, 20) * 2 + 4))
        }
        0x8000 => control(first, second),
        _ => None,
    }
}

fn control(first: u16, second: u16) -> Option<Instruction> {
    let v6 = |flow| of(4, Level::Armv6M, flow);
    let v7 = |flow| of(4, Level::Armv7M, flow);
    match first {
        // MSR, MRS: masks of priority and faults only from Armv7-M.
        // A mask of flags that signal processing has.
        0xF380..=0xF38E if second & 0x0400 != 0 => system_register(second).map(|own| Instruction {
            level: Level::Armv7EM,
            ..own
        }),
        0xF380..=0xF38E if second & 0x2000 == 0 => system_register(second),
        0xF3EF if second & 0x2000 == 0 => system_register(second),
        // Hints.
        0xF3AF if second & 0x2F00 == 0 => v7(Flow::Next),
        0xF3BF if second & 0x2F00 == 0x0F00 => match second >> 4 & 0x0F {
            4..=6 => v6(Flow::Next),
            2 => v7(Flow::Next),
            _ => None,
        },
        // UDF with sixteen bits.
        0xF7F0..=0xF7FF if second & 0xF000 == 0xA000 => v6(Flow::End),
        _ => None,
    }
}

fn system_register(second: u16) -> Option<Instruction> {
    let level = match second & 0xFF {
        0..=3 | 5..=9 | 16 | 20 => Level::Armv6M,
        17..=19 => Level::Armv7M,
        _ => return None,
    };
    of(4, level, Flow::Next)
}

fn load(first: u16, second: u16, target: u16) -> Option<Instruction> {
    let v7 = |flow| of(4, Level::Armv7M, flow);
    let signed_form = first & 0x0100 != 0;
    let size = first >> 5 & 3;
    // First bits: load byte, half or word; a signed word does not exist. Stores stand elsewhere.
    if first & 0x10 == 0 || size == 3 || (signed_form && size == 2) {
        return None;
    }
    let literal = first & 0x0F == 15;
    if !literal && first & 0x80 == 0 && !is_single_form(second) {
        return None;
    }
    if size == 2 && target == 15 {
        return v7(Flow::End);
    }
    if size == 2 && literal {
        let distance = i32::from(second & 0x0FFF);
        let up = first & 0x80 != 0;
        let register = u8::try_from(target).unwrap_or(15);
        return v7(Flow::Literal(
            register,
            if up { distance + 4 } else { 4 - distance },
        ));
    }
    v7(Flow::Next)
}

fn register(first: u16, second: u16) -> Option<Instruction> {
    if second & 0xF000 != 0xF000 {
        return None;
    }
    let (v7, dsp) = (
        of(4, Level::Armv7M, Flow::Next),
        of(4, Level::Armv7EM, Flow::Next),
    );
    let operation = second >> 4 & 0x0F;
    if first & 0x80 == 0 {
        return match operation {
            // Shifts by a register.
            0 => v7,
            // Extensions, plain (no register to add to) or added.
            8..=15 => match first >> 4 & 7 {
                0 | 1 | 4 | 5 => {
                    if first & 0x0F == 15 {
                        v7
                    } else {
                        dsp
                    }
                }
                2 | 3 => dsp,
                _ => None,
            },
            _ => None,
        };
    }
    let kind = first >> 4 & 7;
    match operation {
        // Sums and differences of parts, signed and unsigned.
        0..=2 | 4..=6 => matches!(kind, 0 | 1 | 2 | 4 | 5 | 6).then_some(dsp)?,
        8..=11 => match (kind, operation) {
            (0, _) | (2, 8) => dsp,
            (1, _) | (3, 8) => v7,
            _ => None,
        },
        _ => None,
    }
}

fn multiply(first: u16, second: u16) -> Option<Instruction> {
    let (v7, dsp) = (
        of(4, Level::Armv7M, Flow::Next),
        of(4, Level::Armv7EM, Flow::Next),
    );
    let low = second >> 4 & 0x0F;
    match (first >> 4 & 7, low) {
        (0, 0 | 1) => v7,
        (1, 0..=3) | (2..=6, 0 | 1) | (7, 0) => dsp,
        _ => None,
    }
    .filter(|_| !(matches!(first >> 4 & 7, 6) && second >> 12 == 15))
}

fn long_multiply(first: u16, second: u16) -> Option<Instruction> {
    let (v7, dsp) = (
        of(4, Level::Armv7M, Flow::Next),
        of(4, Level::Armv7EM, Flow::Next),
    );
    match (first >> 4 & 7, second >> 4 & 0x0F) {
        (0 | 2 | 4 | 6, 0) | (1 | 3, 15) => v7,
        (4, 8..=13) | (5, 12 | 13) | (6, 6) => dsp,
        _ => None,
    }
}

fn coprocessor(first: u16, second: u16) -> Option<Instruction> {
    // The quarters 0xEF and 0xFF belong to vectors of larger cores.
    if first & 0x0F00 == 0x0F00 {
        return None;
    }
    match (first >> 8, second >> 8 & 0x0F) {
        (0xEC..=0xEE | 0xFE, 10 | 11) => floating(first, second),
        _ => of(4, Level::Armv7M, Flow::Next),
    }
}

fn floating(first: u16, second: u16) -> Option<Instruction> {
    let double = second & 0x0100 != 0;
    let with = |float| {
        Some(Instruction {
            size: 4,
            level: Level::Armv7M,
            float,
            flow: Flow::Next,
        })
    };
    match first >> 8 {
        // Loads, stores and moves of registers, also of pairs.
        0xEC | 0xED => with(Float::SingleV4),
        0xEE if second & 0x10 != 0 => with(Float::SingleV4),
        // Rounding to a whole number; beside it the conversion from single to double.
        0xEE if first & 0x00BF == 0x00B6 && second & 0x40 != 0 && !double => with(Float::SingleV5),
        0xEE if first & 0x00BF == 0x00B7 && second & 0xC0 == 0x40 && !double => with(Float::SingleV5),
        0xEE if first & 0x00BF == 0x00B7 && second & 0x0AC0 == 0x0AC0 => with(Float::DoubleV5),
        0xEE => with(if double { Float::DoubleV5 } else { Float::SingleV4 }),
        0xFE => with(if double { Float::DoubleV5 } else { Float::SingleV5 }),
        _ => None,
    }
}

/// A number of so many bits, the highest of which is its sign.
fn signed(bits: u32, count: u32) -> i32 {
    (bits << (32 - count)).cast_signed() >> (32 - count)
}
