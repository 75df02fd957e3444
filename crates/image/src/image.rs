//! An image as it was read, whatever its form.

use std::fmt::{self, Write as _};

use quantity::Memory;

use crate::content::Content;
use crate::read::Form;

/// A firmware image.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Image {
    /// The form of its file.
    pub form: Form,
    /// The size of its file.
    pub file_size: Memory,
    /// SHA-256 of its file. Source: [fips-180-4].
    pub sha256: [u8; 32],
    /// What it puts where: one part, or one a family of processors. A raw binary states no address and begins at 0.
    pub parts: Vec<Part>,
    /// Where it starts to run, if the file states that.
    pub entry: Option<u32>,
    /// What only ELF tells.
    pub elf: Option<Elf>,
}

/// What is meant for one family of processors.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its number, where the file states one.
    pub family: Option<u32>,
    /// What it puts where.
    pub content: Content,
}

/// What an ELF file tells beside its bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Elf {
    /// The machine it was built for.
    pub machine: Machine,
    /// How it was built.
    pub attributes: Option<Attributes>,
    /// Memory that it takes while it runs, flash included.
    pub memory: Vec<Region>,
    /// Its sections.
    pub sections: Vec<Section>,
}

/// The machine that an ELF file names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Machine {
    /// 32-bit Arm.
    Arm,
    /// The common 8-bit controllers.
    EightBit,
    /// Another one, by its number.
    Other(u16),
}

impl Machine {
    /// The machine of a number in the ELF header. Source: [elf-gabi].
    #[must_use]
    pub fn of(number: u16) -> Self {
        match number {
            40 => Machine::Arm,
            83 => Machine::EightBit,
            other => Machine::Other(other),
        }
    }
    /// The words on pages.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Machine::Arm => "32-bit Arm".to_owned(),
            Machine::EightBit => "8-bit".to_owned(),
            Machine::Other(3 | 62) => "a PC".to_owned(),
            Machine::Other(183) => "64-bit Arm".to_owned(),
            Machine::Other(243) => "RISC-V".to_owned(),
            Machine::Other(94) => "Xtensa".to_owned(),
            Machine::Other(number) => format!("machine {number} of the ELF list"),
        }
    }
}

/// Build attributes of an ELF file for Arm, as their standard numbers them. Source: [arm-aaelf32].
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Attributes {
    /// The name of the processor it was built for.
    pub processor: Option<String>,
    /// Tag 6: the architecture.
    pub architecture: Option<u64>,
    /// Tag 7: the profile as a letter; `M` for controllers.
    pub profile: Option<u8>,
    /// Tag 10: the floating-point instructions that it may use.
    pub float: Option<u64>,
    /// Tag 27: 1 where it uses single precision only.
    pub float_precision: Option<u64>,
    /// Tag 46: whether it may use the instructions for signal processing.
    pub signal_processing: bool,
}

/// Memory that an ELF file takes while it runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Region {
    /// Its address while it runs.
    pub runs_at: u32,
    /// Its size.
    pub size: u32,
    /// Where its first bytes are loaded to, if it has any.
    pub lies_at: Option<u32>,
}

/// A section of an ELF file that takes memory.
#[derive(Clone, PartialEq, Eq)]
pub struct Section {
    /// Its name.
    pub name: String,
    /// Its address while it runs.
    pub address: u32,
    /// Its size.
    pub size: u32,
    /// Its bytes, if the file holds them.
    pub bytes: Option<Vec<u8>>,
}

/// Without the bytes, which nobody reads.
impl fmt::Debug for Section {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            formatter,
            "{}: {} bytes at 0x{:08X}",
            self.name, self.size, self.address
        )
    }
}

impl Image {
    /// Whether the file states addresses.
    #[must_use]
    pub fn is_addressed(&self) -> bool {
        self.form != Form::Raw
    }
    /// The SHA-256 in hexadecimal digits.
    #[must_use]
    pub fn sha256_text(&self) -> String {
        hexadecimal(&self.sha256)
    }
}

pub(crate) fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}
