//! The catalogue: one table a file of `data/`, read when first asked for, and overridden by users' files.

use std::sync::OnceLock;

use quantity::AnyValue;
use quantity::si::Length;

use crate::colours::{Colour, WireColour, colours_of};
use crate::connectors::Connectors;
use crate::fuses::FuseKind;
use crate::images::Images;
use crate::levels::LogicFamily;
use crate::limits::Limits;
use crate::near::nearest;
use crate::parts::Part;
use crate::remedies::Remedy;
use crate::resistors::Series;
use crate::screws::{Screw, for_hole};
use crate::sources::Source;
use crate::table::{Row, RowFault, Table};
use crate::thermometers::Thermometer;
use crate::wires::Wires;

macro_rules! data {
    ($file:literal) => {
        include_str!(concat!("../../../data/", $file))
    };
}

/// All tables. Cheap to make: a table is read when it is first asked for.
#[derive(Clone, Debug, Default)]
pub struct Catalogue {
    sources: OnceLock<Table<Source>>,
    wires: OnceLock<Wires>,
    connectors: OnceLock<Connectors>,
    thermometers: OnceLock<Table<Thermometer>>,
    screws: OnceLock<Table<Screw>>,
    fuses: OnceLock<Table<FuseKind>>,
    colours: OnceLock<Table<Colour>>,
    limits: OnceLock<Limits>,
    families: OnceLock<Table<LogicFamily>>,
    parts: OnceLock<Table<Part>>,
    remedies: OnceLock<Table<Remedy>>,
    series: OnceLock<Table<Series>>,
    images: OnceLock<Images>,
}

static BUILT_IN: Catalogue = Catalogue::new();

/// The catalogue as it is shipped, without any user's file.
#[must_use]
pub fn built_in() -> &'static Catalogue {
    &BUILT_IN
}

/// The files of `data/` whose rows a user's file of the same name may override.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TableFile {
    /// `sources.toml`
    Sources,
    /// `wires.toml`
    Wires,
    /// `connectors.toml`
    Connectors,
    /// `thermometers.toml`
    Thermometers,
    /// `holes.toml`
    Holes,
    /// `fuses.toml`
    Fuses,
    /// `wire-colours.toml`
    WireColours,
    /// `limits.toml`
    Limits,
    /// `levels.toml`
    Levels,
    /// `parts.toml`
    Parts,
    /// `remedies.toml`
    Remedies,
    /// `resistors.toml`
    Resistors,
    /// `images.toml`
    Images,
}

impl TableFile {
    /// Every file, in an order in which they can be handed over: sources first.
    pub const ALL: [Self; 13] = [
        Self::Sources,
        Self::Wires,
        Self::Connectors,
        Self::Thermometers,
        Self::Holes,
        Self::Fuses,
        Self::WireColours,
        Self::Limits,
        Self::Levels,
        Self::Parts,
        Self::Remedies,
        Self::Resistors,
        Self::Images,
    ];

    /// The name of the file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Sources => "sources.toml",
            Self::Wires => "wires.toml",
            Self::Connectors => "connectors.toml",
            Self::Thermometers => "thermometers.toml",
            Self::Holes => "holes.toml",
            Self::Fuses => "fuses.toml",
            Self::WireColours => "wire-colours.toml",
            Self::Limits => "limits.toml",
            Self::Levels => "levels.toml",
            Self::Parts => "parts.toml",
            Self::Remedies => "remedies.toml",
            Self::Resistors => "resistors.toml",
            Self::Images => "images.toml",
        }
    }

    /// The file of this name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|file| file.name() == name)
    }

    /// The name that was probably meant by one that is no file; see [`nearest`].
    #[must_use]
    pub fn nearest(name: &str) -> Option<&'static str> {
        nearest(name, Self::ALL.map(Self::name))
    }

    /// The text that is shipped.
    pub(crate) fn shipped_text(self) -> &'static str {
        match self {
            Self::Sources => data!("sources.toml"),
            Self::Wires => data!("wires.toml"),
            Self::Connectors => data!("connectors.toml"),
            Self::Thermometers => data!("thermometers.toml"),
            Self::Holes => data!("holes.toml"),
            Self::Fuses => data!("fuses.toml"),
            Self::WireColours => data!("wire-colours.toml"),
            Self::Limits => data!("limits.toml"),
            Self::Levels => data!("levels.toml"),
            Self::Parts => data!("parts.toml"),
            Self::Remedies => data!("remedies.toml"),
            Self::Resistors => data!("resistors.toml"),
            Self::Images => data!("images.toml"),
        }
    }
}

impl Catalogue {
    /// The shipped tables, none of them read yet.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            sources: OnceLock::new(),
            wires: OnceLock::new(),
            connectors: OnceLock::new(),
            thermometers: OnceLock::new(),
            screws: OnceLock::new(),
            fuses: OnceLock::new(),
            colours: OnceLock::new(),
            limits: OnceLock::new(),
            families: OnceLock::new(),
            parts: OnceLock::new(),
            remedies: OnceLock::new(),
            series: OnceLock::new(),
            images: OnceLock::new(),
        }
    }

    /// Reads the tables that every plan asks for. Each is read when first asked for anyway: this is for a thread that has time now.
    pub fn warm(&self) {
        self.connectors();
        self.limits();
        self.wires();
        self.thermometers();
        self.screws();
        self.colours();
        self.sources();
        self.parts();
        self.families();
        self.fuses();
        self.series();
    }

    /// The bibliography (`sources.toml`).
    pub fn sources(&self) -> &Table<Source> {
        self.sources
            .get_or_init(|| shipped(Table::read(TableFile::Sources.shipped_text())))
    }

    /// Copper, stranded wire, gauges (`wires.toml`).
    pub fn wires(&self) -> &Wires {
        self.wires
            .get_or_init(|| shipped(Wires::read(TableFile::Wires.shipped_text())))
    }

    /// Connector families, what fits what, and the work of joining them (`connectors.toml`).
    pub fn connectors(&self) -> &Connectors {
        self.connectors
            .get_or_init(|| shipped(Connectors::read(TableFile::Connectors.shipped_text())))
    }

    /// Thermometers by kind (`thermometers.toml`, `thermometers/*.csv`).
    pub fn thermometers(&self) -> &Table<Thermometer> {
        self.thermometers
            .get_or_init(|| shipped(Table::read(TableFile::Thermometers.shipped_text())))
    }

    /// Screws and their clearance holes (`holes.toml`).
    pub fn screws(&self) -> &Table<Screw> {
        self.screws
            .get_or_init(|| shipped(Table::read(TableFile::Holes.shipped_text())))
    }

    /// The thickest screw that passes a hole with at least the fine clearance.
    pub fn screw_for_hole(&self, hole: Length) -> Option<&Screw> {
        for_hole(self.screws().rows(), hole)
    }

    /// Kinds of fuses (`fuses.toml`).
    pub fn fuses(&self) -> &Table<FuseKind> {
        self.fuses
            .get_or_init(|| shipped(Table::read(TableFile::Fuses.shipped_text())))
    }

    /// Wire colours, in the order of the standard's table (`wire-colours.toml`).
    pub fn colours(&self) -> &Table<Colour> {
        self.colours
            .get_or_init(|| shipped(Table::read(TableFile::WireColours.shipped_text())))
    }

    /// The colour that a written code means; see [`colours_of`].
    pub fn wire_colour(&self, written: &str) -> Option<WireColour<'_>> {
        colours_of(self.colours(), written)
    }

    /// The limits that the checks hold values against (`limits.toml`).
    pub fn limits(&self) -> &Limits {
        self.limits
            .get_or_init(|| shipped(Limits::read(TableFile::Limits.shipped_text())))
    }

    /// As [`Limits::vary`], on the limits of this catalogue.
    pub fn vary_limits(&mut self, visitor: &mut dyn FnMut(&'static str, AnyValue) -> Option<AnyValue>) {
        self.limits();
        if let Some(limits) = self.limits.get_mut() {
            limits.vary(visitor);
        }
    }

    /// Logic families (`levels.toml`).
    pub fn families(&self) -> &Table<LogicFamily> {
        self.families
            .get_or_init(|| shipped(Table::read(TableFile::Levels.shipped_text())))
    }

    /// Parts that a swap may need (`parts.toml`).
    pub fn parts(&self) -> &Table<Part> {
        self.parts
            .get_or_init(|| shipped(Table::read(TableFile::Parts.shipped_text())))
    }

    /// What it usually takes to settle a finding (`remedies.toml`).
    pub fn remedies(&self) -> &Table<Remedy> {
        self.remedies
            .get_or_init(|| shipped(Table::read(TableFile::Remedies.shipped_text())))
    }

    /// Series of preferred resistor values (`resistors.toml`).
    pub fn series(&self) -> &Table<Series> {
        self.series
            .get_or_init(|| shipped(Table::read(TableFile::Resistors.shipped_text())))
    }

    /// Cores, boot offsets and families of firmware images (`images.toml`).
    pub fn images(&self) -> &Images {
        self.images
            .get_or_init(|| shipped(Images::read(TableFile::Images.shipped_text())))
    }

    /// Puts the rows of a user's file in place of those of the same name, and adds the others.
    ///
    /// # Errors
    /// Every fault of the text, also each `source` that is no key of the bibliography as it then stands: a user's own
    /// `sources.toml` is to be handed over first. The catalogue is left as it was.
    pub fn override_with(&mut self, file: TableFile, text: &str) -> Result<(), Vec<RowFault>> {
        let mut changed = self.clone();
        match file {
            TableFile::Sources => changed.sources = merged(self.sources(), text)?,
            TableFile::Wires => changed.wires = self.wires().clone().overridden(text)?.into(),
            TableFile::Connectors => changed.connectors = self.connectors().clone().overridden(text)?.into(),
            TableFile::Thermometers => changed.thermometers = merged(self.thermometers(), text)?,
            TableFile::Holes => changed.screws = merged(self.screws(), text)?,
            TableFile::Fuses => changed.fuses = merged(self.fuses(), text)?,
            TableFile::WireColours => changed.colours = merged(self.colours(), text)?,
            TableFile::Limits => changed.limits = self.limits().clone().overridden(text)?.into(),
            TableFile::Levels => changed.families = merged(self.families(), text)?,
            TableFile::Parts => changed.parts = merged(self.parts(), text)?,
            TableFile::Remedies => changed.remedies = merged(self.remedies(), text)?,
            TableFile::Resistors => changed.series = merged(self.series(), text)?,
            TableFile::Images => changed.images = self.images().clone().overridden(text)?.into(),
        }
        let faults = changed.unknown_sources(file, text);
        if !faults.is_empty() {
            return Err(faults);
        }
        *self = changed;
        Ok(())
    }

    /// The keys of sources that the rows of a table name, with the name of the row; each row at least once.
    #[must_use]
    pub fn sources_of(&self, file: TableFile) -> Vec<(&str, &str)> {
        match file {
            TableFile::Sources => self.sources().sources(),
            TableFile::Wires => self.wires().sources(),
            TableFile::Connectors => self.connectors().sources(),
            TableFile::Thermometers => self.thermometers().sources(),
            TableFile::Holes => self.screws().sources(),
            TableFile::Fuses => self.fuses().sources(),
            TableFile::WireColours => self.colours().sources(),
            TableFile::Limits => self.limits().sources(),
            TableFile::Levels => self.families().sources(),
            TableFile::Parts => self.parts().sources(),
            TableFile::Remedies => self.remedies().sources(),
            TableFile::Resistors => self.series().sources(),
            TableFile::Images => self.images().sources(),
        }
    }

    /// A fault for each source of the text's rows that is no key of the bibliography.
    fn unknown_sources(&self, file: TableFile, text: &str) -> Vec<RowFault> {
        let unknown = self.sources_of(file).into_iter();
        unknown
            .filter(|(_, key)| self.sources().get(key).is_none())
            .map(|(row, key)| {
                let quoted = format!("\"{key}\"");
                let place = text
                    .find(&quoted)
                    .map_or(0..0, |start| start..start + quoted.len());
                let help = match self.sources().nearest(key) {
                    Some(near) => format!("; did you mean `{near}`?"),
                    None => "; add it to your sources.toml".to_owned(),
                };
                RowFault {
                    span: place,
                    message: format!("`{row}`: `{key}` is no key of the sources{help}"),
                }
            })
            .collect()
    }
}

/// A shipped table. That each can be read is proven by a test, so this cannot fail in a build that passed it.
fn shipped<T>(read: Result<T, Vec<RowFault>>) -> T {
    read.unwrap_or_else(|faults| panic!("a shipped table is faulty: {faults:?}"))
}

fn merged<R: Row>(old: &Table<R>, text: &str) -> Result<OnceLock<Table<R>>, Vec<RowFault>> {
    Ok(old.clone().overridden_by(Table::read(text)?).into())
}
