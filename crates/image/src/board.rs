//! What a caller states: the board that an image is for, and the limits it is held against.

use quantity::Memory;
use quantity::si::Ratio;

use crate::thumb::{Float, Level};

/// The facts of a board that decide about an image.
#[derive(Clone, Debug, PartialEq)]
pub struct Board {
    /// Its name.
    pub name: String,
    /// The core of its processor.
    pub core: Core,
    /// All its flash.
    pub flash: Memory,
    /// All its RAM.
    pub ram: Memory,
    /// Address at which the flash begins; `None` where it is not stated.
    pub flash_start: Option<u32>,
    /// Address at which the RAM begins; `None` where it is not stated.
    pub ram_start: Option<u32>,
    /// Memory that the boot loader keeps for itself; `None` where it is not stated.
    pub boot_offset: Option<Memory>,
    /// How an image gets into it.
    pub loads: Loads,
}

/// How an image gets into a board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Loads {
    /// From a card, under this name; `*` and `?` stand for any letters and any letter.
    Card(String),
    /// Over a cable, under any name.
    Cable,
    /// Nobody stated it.
    Unknown,
}

/// A core.
#[derive(Clone, Debug, PartialEq)]
pub struct Core {
    /// Its name as the board's file states it.
    pub name: String,
    /// What is known of it.
    pub known: Option<KnownCore>,
}

/// What is known of a core.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KnownCore {
    /// What it executes.
    pub instructions: InstructionSet,
    /// Its floating-point unit; `None` where chips of this core differ.
    pub float: Option<Float>,
    /// Where the RAM begins on most of its chips.
    pub usual_ram_start: Option<u32>,
}

/// The instruction set of a core.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum InstructionSet {
    /// That of the common 8-bit controllers.
    EightBit,
    /// Armv6-M.
    Armv6M,
    /// Armv7-M.
    Armv7M,
    /// Armv7-M with the instructions for signal processing.
    Armv7EM,
    /// Armv8-M without the main extension.
    Armv8MBaseline,
    /// Armv8-M with the main extension.
    Armv8MMainline,
    /// None of these.
    Other,
}

impl InstructionSet {
    /// The words on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            InstructionSet::EightBit => "8-bit",
            InstructionSet::Armv6M => "Armv6-M",
            InstructionSet::Armv7M => "Armv7-M",
            InstructionSet::Armv7EM => "Armv7E-M",
            InstructionSet::Armv8MBaseline => "Armv8-M baseline",
            InstructionSet::Armv8MMainline => "Armv8-M mainline",
            InstructionSet::Other => "another instruction set",
        }
    }
    /// Whether it is one of 32-bit Arm controllers.
    #[must_use]
    pub fn is_arm(self) -> bool {
        !matches!(self, InstructionSet::EightBit | InstructionSet::Other)
    }
    /// Whether it executes what a level needs; `None` where chips or parts of the level differ.
    #[must_use]
    pub fn executes(self, level: Level) -> Option<bool> {
        match (self, level) {
            (InstructionSet::EightBit | InstructionSet::Other, _) => Some(false),
            (_, Level::Armv6M) => Some(true),
            (InstructionSet::Armv6M, _) => Some(false),
            (InstructionSet::Armv7M, level) => Some(level <= Level::Armv7M),
            (InstructionSet::Armv7EM, _) => Some(true),
            (InstructionSet::Armv8MBaseline, Level::Armv7M) => None,
            (InstructionSet::Armv8MBaseline, _) => Some(false),
            (InstructionSet::Armv8MMainline, Level::Armv7M) => Some(true),
            (InstructionSet::Armv8MMainline, Level::Armv7EM) => None,
        }
    }
}

/// What checks hold an image against, beside the board.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Share of the free flash up to which nothing else is asked.
    pub flash_share: Ratio,
    /// Share of the RAM that fixed data may fill.
    pub ram_share: Ratio,
    /// Boot offsets in use, in any order.
    pub offsets: Vec<Memory>,
    /// Numbers of UF2 families with what their processors execute.
    pub families: Vec<(u32, InstructionSet)>,
    /// The largest cluster of a card.
    pub largest_cluster: Memory,
}

impl Board {
    /// The addresses of the flash.
    #[must_use]
    pub fn flash_range(&self) -> Option<std::ops::Range<u64>> {
        let start = u64::from(self.flash_start()?);
        Some(start..start.saturating_add(self.flash.bytes()))
    }
    /// Where the flash begins: as stated; 0 by the architecture of 8-bit controllers.
    #[must_use]
    pub fn flash_start(&self) -> Option<u32> {
        let eight_bit = self
            .core
            .known
            .is_some_and(|core| core.instructions == InstructionSet::EightBit);
        self.flash_start.or(eight_bit.then_some(0))
    }
    /// The name that its loader takes from a card.
    #[must_use]
    pub fn image_name(&self) -> Option<&str> {
        match &self.loads {
            Loads::Card(name) => Some(name),
            Loads::Cable | Loads::Unknown => None,
        }
    }
    /// "has Cortex-M3", "has an 8-bit core".
    pub(crate) fn has_core(&self) -> String {
        let name = &self.core.name;
        if name.contains("ortex") {
            format!("{} has {name}", self.name)
        } else {
            format!("{} has the core {name}", self.name)
        }
    }
    /// Whether its boot loader lies behind the image: 8-bit controllers start at address 0.
    pub(crate) fn loader_is_last(&self) -> bool {
        self.core
            .known
            .is_some_and(|core| core.instructions == InstructionSet::EightBit)
    }
    /// Where an image for it begins.
    #[must_use]
    pub fn image_start(&self) -> Option<u32> {
        if self.loader_is_last() {
            return self.flash_start();
        }
        let offset = u32::try_from(self.boot_offset?.bytes()).ok()?;
        self.flash_start()?.checked_add(offset)
    }
    /// Where the RAM begins, and whether that is only usual for the core.
    pub(crate) fn ram_start_or_usual(&self) -> Option<(u32, bool)> {
        let usual = || self.core.known.and_then(|core| core.usual_ram_start);
        match self.ram_start {
            Some(stated) => Some((stated, false)),
            None => usual().map(|usual| (usual, true)),
        }
    }
}
