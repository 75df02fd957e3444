//! Firmware images: what cores execute, boot offsets in use, family numbers of UF2 files.

use quantity::{Memory, parse_memory};
use serde::{Deserialize, Deserializer};

use crate::field;
use crate::table::{Document, RowFault, Sure, Table, own_statement, row};

/// The tables of `data/images.toml`.
#[derive(Clone, Debug)]
pub struct Images {
    cores: Table<Core>,
    offsets: Table<BootOffset>,
    families: Table<ImageFamily>,
    card: Option<CardLimits>,
}

/// What boot loaders read of a card.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CardLimits {
    /// The largest cluster.
    #[serde(deserialize_with = "memory")]
    pub largest_cluster: Memory,
    /// Key of the source.
    #[serde(default = "own_statement")]
    pub source: String,
    /// How far to trust it.
    #[serde(default)]
    pub sure: Sure,
}

/// The instruction set of a core, from the smallest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
pub enum InstructionSet {
    /// That of the common 8-bit controllers.
    #[serde(rename = "8-bit")]
    EightBit,
    /// Armv6-M.
    #[serde(rename = "Armv6-M")]
    Armv6M,
    /// Armv7-M.
    #[serde(rename = "Armv7-M")]
    Armv7M,
    /// Armv7-M with the instructions for signal processing.
    #[serde(rename = "Armv7E-M")]
    Armv7EM,
    /// Armv8-M without the main extension.
    #[serde(rename = "Armv8-M baseline")]
    Armv8MBaseline,
    /// Armv8-M with the main extension.
    #[serde(rename = "Armv8-M mainline")]
    Armv8MMainline,
    /// None of these.
    #[serde(rename = "other")]
    Other,
}

/// The floating-point unit of a core.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
pub enum FloatUnit {
    /// There is none.
    #[serde(rename = "none")]
    None,
    /// Single precision, version 4.
    #[serde(rename = "single v4")]
    SingleV4,
    /// Single precision, version 5.
    #[serde(rename = "single v5")]
    SingleV5,
    /// Double precision, version 5.
    #[serde(rename = "double v5")]
    DoubleV5,
}

/// A core by the name that board files give it.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Core {
    /// Its name, such as `Cortex-M4F`.
    pub name: String,
    /// Other names of it.
    #[serde(default)]
    pub also: Vec<String>,
    /// What it executes.
    pub instructions: InstructionSet,
    /// Its floating-point unit; `None` where chips of this core differ.
    #[serde(default)]
    pub float: Option<FloatUnit>,
    /// Where the working memory begins on most of its chips.
    #[serde(default)]
    pub ram_start: Option<u32>,
    /// Key of the source.
    #[serde(default = "own_statement")]
    pub source: String,
    /// How far to trust the row.
    #[serde(default)]
    pub sure: Sure,
    /// What else to know; empty where there is nothing to say.
    #[serde(default)]
    pub note: String,
}

/// A boot offset that is in use.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, try_from = "WrittenOffset")]
pub struct BootOffset {
    /// Memory that the boot loader keeps for itself.
    pub size: Memory,
    key: String,
    /// Key of the source.
    pub source: String,
    /// How far to trust the row.
    pub sure: Sure,
}

/// A family of processors by its number in UF2 files.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ImageFamily {
    id: String,
    /// What its processors execute.
    pub instructions: InstructionSet,
    /// Key of the source.
    #[serde(default = "own_statement")]
    pub source: String,
    /// How far to trust the row.
    #[serde(default)]
    pub sure: Sure,
}

row!(Core, "core", name);
row!(BootOffset, "offset", key);
row!(ImageFamily, "family", id, contradictions);

fn contradictions(row: &ImageFamily) -> Vec<String> {
    match u32::from_str_radix(&row.id, 16) {
        Ok(_) if row.id.len() == 8 => Vec::new(),
        _ => vec!["an `id` is eight hexadecimal digits".to_owned()],
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenOffset {
    #[serde(deserialize_with = "memory")]
    size: Memory,
    #[serde(default = "own_statement")]
    source: String,
    #[serde(default)]
    sure: Sure,
}

impl TryFrom<WrittenOffset> for BootOffset {
    type Error = String;
    fn try_from(written: WrittenOffset) -> Result<Self, String> {
        if written.size.bytes() > u64::from(u32::MAX) {
            return Err(format!(
                "a boot offset of {} is larger than any address",
                written.size
            ));
        }
        Ok(Self {
            key: written.size.to_string(),
            size: written.size,
            source: written.source,
            sure: written.sure,
        })
    }
}

fn memory<'de, D: Deserializer<'de>>(from: D) -> Result<Memory, D::Error> {
    field::text(from, parse_memory)
}

impl ImageFamily {
    /// The number; zero for a row that no table holds.
    #[must_use]
    pub fn number(&self) -> u32 {
        u32::from_str_radix(&self.id, 16).unwrap_or(0)
    }
}

impl Images {
    /// Cores.
    #[must_use]
    pub fn cores(&self) -> &Table<Core> {
        &self.cores
    }

    /// The core that a board file means: the longest name that the text begins with, whatever its case, so that
    /// "Cortex-M7 with cache" is the same as "Cortex-M7".
    #[must_use]
    pub fn core(&self, written: &str) -> Option<&Core> {
        let names = |core: &Core| -> Vec<String> {
            core.also
                .iter()
                .chain([&core.name])
                .map(|name| name.to_lowercase())
                .collect()
        };
        let lower = written.trim().to_lowercase();
        let lower = lower.strip_prefix("arm ").unwrap_or(&lower);
        let begins = |name: &String| {
            lower
                .strip_prefix(name.as_str())
                .is_some_and(|rest| !rest.starts_with(|next: char| next.is_alphanumeric() || next == '+'))
        };
        let found = self.cores.rows().iter().filter_map(|core| {
            let longest = names(core)
                .iter()
                .filter(|name| begins(name))
                .map(String::len)
                .max()?;
            Some((longest, core))
        });
        found.max_by_key(|(longest, _)| *longest).map(|(_, core)| core)
    }

    /// Boot offsets in use.
    #[must_use]
    pub fn offsets(&self) -> &Table<BootOffset> {
        &self.offsets
    }

    /// Families of UF2 files.
    #[must_use]
    pub fn families(&self) -> &Table<ImageFamily> {
        &self.families
    }

    /// What boot loaders read of a card.
    #[must_use]
    pub fn card(&self) -> Option<&CardLimits> {
        self.card.as_ref()
    }

    /// The name of each row with each of its source keys.
    #[must_use]
    pub fn sources(&self) -> Vec<(&str, &str)> {
        let mut out = self.cores.sources();
        out.extend(self.card.as_ref().map(|card| ("card", card.source.as_str())));
        out.extend(self.offsets.sources());
        out.extend(self.families.sources());
        out
    }

    /// Reads the text of the file.
    ///
    /// # Errors
    /// Every fault of the text.
    pub fn read(text: &str) -> Result<Self, Vec<RowFault>> {
        let mut document = Document::new(text);
        let (cores, offsets, families) = (document.rows(), document.rows(), document.rows());
        let card = document.single("card");
        document.end()?;
        Ok(Self {
            cores,
            offsets,
            families,
            card,
        })
    }

    /// These tables with the rows of a user's file in place of, or beside, their own.
    ///
    /// # Errors
    /// Every fault of the text.
    pub fn overridden(self, text: &str) -> Result<Self, Vec<RowFault>> {
        let other = Self::read(text)?;
        Ok(Self {
            cores: self.cores.overridden_by(other.cores),
            offsets: self.offsets.overridden_by(other.offsets),
            families: self.families.overridden_by(other.families),
            card: other.card.or(self.card),
        })
    }
}
