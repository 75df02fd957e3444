//! Connector families by kind and pitch, which fits into which, and what work the others need.

use quantity::si::{ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Time};
use quantity::{Value, WireSize};
use serde::{Deserialize, Serialize};

use crate::field;
use crate::table::{Document, RowFault, Sure, Table, own_statement, row};

/// The tables of `data/connectors.toml`.
#[derive(Clone, Debug)]
pub struct Connectors {
    families: Table<Connector>,
    fits: Table<Fit>,
    works: Table<Work>,
}

/// One family of connectors: the plug on a lead and the socket on a board that belong together.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Connector {
    /// The name by which files call it, by kind and pitch, such as `crimp 2.5 mm`.
    pub name: String,
    /// How to recognise it.
    pub what: String,
    /// Distance from contact to contact; `None` where there is only one contact or no row of them.
    #[serde(default, deserialize_with = "field::some_value")]
    pub pitch: Option<Value<Length>>,
    /// The current of one contact, with the thickest wire it takes, before derating.
    #[serde(deserialize_with = "field::value")]
    pub contact_current: Value<ElectricCurrent>,
    /// The highest rated voltage.
    #[serde(default, deserialize_with = "field::some_value")]
    pub voltage: Option<Value<ElectricPotential>>,
    /// The thinnest wire that the contact takes.
    #[serde(default, deserialize_with = "field::some_wire_size")]
    pub thinnest: Option<WireSize>,
    /// The thickest wire that the contact takes.
    #[serde(default, deserialize_with = "field::some_wire_size")]
    pub thickest: Option<WireSize>,
    /// The largest resistance of one mated contact, after ageing where that is known.
    #[serde(deserialize_with = "field::value")]
    pub contact_resistance: Value<ElectricalResistance>,
    /// Width of the plug's body along the row of contacts, where it must pass an opening; `None` where nobody asks.
    #[serde(default, deserialize_with = "field::some_value")]
    pub body: Option<Value<Length>>,
    /// What holds the plug in its place.
    pub grip: Grip,
    /// How the wire meets the contact.
    pub termination: Termination,
    /// Whether one contact can be taken out of the plug and put into another position (re-pinned).
    pub removable: bool,
    /// Whether the plug goes in only one way round.
    pub keyed: bool,
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

/// What holds a plug in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Grip {
    /// Nothing but the spring of the contacts.
    Friction,
    /// A latch or ramp that must be lifted or overcome.
    Latch,
    /// A screw.
    Screw,
    /// A spring that clamps the wire.
    Spring,
    /// Solder.
    Solder,
    /// Nothing: an open end.
    None,
}

/// How a wire meets its contact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Termination {
    /// A crimped contact.
    Crimp,
    /// The stripped wire is clamped, by a screw or a spring.
    Clamp,
    /// A blade cuts through the insulation of a ribbon cable.
    Displacement,
    /// Soldered.
    Solder,
    /// Made in a factory on a finished cable.
    Moulded,
    /// No contact at all: an open end.
    None,
}

/// How a plug of one family fits a socket of another, where the general rule does not tell.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fit {
    /// A name for the row: `plug -> socket`.
    pub name: String,
    /// The family at the end of the lead.
    pub plug: String,
    /// The family at the board.
    pub socket: String,
    /// What has to be done.
    pub work: WorkKind,
    /// What to mind; empty where there is nothing.
    #[serde(default)]
    pub caution: String,
    /// Key of the source.
    #[serde(default = "own_statement")]
    pub source: String,
    /// How far to trust the row.
    #[serde(default)]
    pub sure: Sure,
}

/// What has to be done so that a lead meets a port; in the order of effort.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WorkKind {
    /// Plug it over as it is.
    PlugOver,
    /// It goes in, but without latch or key, or with less grip: plug, mark the side, secure it.
    PlugLoose,
    /// Strip the end, put a ferrule on it, clamp it.
    Clamp,
    /// New contacts and a new housing at the end of the lead.
    ReCrimp,
    /// An adaptor between plug and socket.
    Adaptor,
    /// Join the wires to a ready-made tail with the right plug.
    Splice,
}

impl WorkKind {
    /// The name of the work, as it stands in the data files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::PlugOver => "plug-over",
            Self::PlugLoose => "plug-loose",
            Self::Clamp => "clamp",
            Self::ReCrimp => "re-crimp",
            Self::Adaptor => "adaptor",
            Self::Splice => "splice",
        }
    }
}

/// What a kind of work takes: time at the bench for one lead, and parts.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Work {
    /// The name of the work; that of a [`WorkKind`], or another that plans may use (`re-pin`, `extend`).
    pub name: String,
    /// What to do, in a few words.
    pub what: String,
    /// Time for one lead, by someone who has done it before.
    #[serde(deserialize_with = "field::value")]
    pub effort: Value<Time>,
    /// Names of rows in `data/parts.toml` that one lead needs.
    #[serde(default)]
    pub parts: Vec<String>,
    /// Key of the source.
    #[serde(default = "own_statement")]
    pub source: String,
    /// How far to trust the row.
    #[serde(default)]
    pub sure: Sure,
}

row!(Connector, "connector", name, connector_contradictions);
row!(Fit, "fit", name, fit_contradictions);
row!(Work, "work", name);

fn connector_contradictions(row: &Connector) -> Vec<String> {
    let mut out = Vec::new();
    if row.thinnest.is_some() != row.thickest.is_some() {
        out.push("`thinnest` and `thickest` belong together".to_owned());
    }
    if let (Some(thin), Some(thick)) = (row.thinnest, row.thickest)
        && thin.area() > thick.area()
    {
        out.push("`thinnest` is thicker than `thickest`".to_owned());
    }
    if row.removable && row.termination != Termination::Crimp {
        out.push("only crimped contacts are removable".to_owned());
    }
    out
}

fn fit_contradictions(row: &Fit) -> Vec<String> {
    let expected = format!("{} -> {}", row.plug, row.socket);
    if row.name == expected {
        Vec::new()
    } else {
        vec![format!("the name must be `{expected}`")]
    }
}

impl Connector {
    /// Whether the contact takes a wire of this size; a family without a range takes none.
    ///
    /// A tenth of the cross-section is forgiven: the trade sells 0.22 mm² as 24 AWG (0.205 mm²) and 0.14 mm² as 26 AWG
    /// (0.129 mm²); common practice, no source.
    #[must_use]
    pub fn takes(&self, size: WireSize) -> bool {
        let (Some(thinnest), Some(thickest)) = (self.thinnest, self.thickest) else {
            return false;
        };
        size.area() >= thinnest.area() * 0.9 && size.area() <= thickest.area() * 1.1
    }
}

impl Connectors {
    /// All families.
    #[must_use]
    pub fn families(&self) -> &Table<Connector> {
        &self.families
    }

    /// The pairs for which the general rule of [`work`](Self::work) does not hold.
    #[must_use]
    pub fn fits(&self) -> &Table<Fit> {
        &self.fits
    }

    /// What each kind of work takes.
    #[must_use]
    pub fn works(&self) -> &Table<Work> {
        &self.works
    }

    /// The family of this name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Connector> {
        self.families.get(name)
    }

    /// The exception that is listed for a plug and a socket, with its caution and source.
    #[must_use]
    pub fn fit(&self, plug: &str, socket: &str) -> Option<&Fit> {
        self.fits
            .rows()
            .iter()
            .find(|fit| fit.plug == plug && fit.socket == socket)
    }

    /// What has to be done so that a lead with this plug meets this socket; `None` where a family is unknown.
    ///
    /// A listed [`fit`](Self::fit) comes first. Else: the same family plugs over; a socket that clamps wires takes any
    /// lead whose end may be cut; a crimped socket family takes new crimps; the rest (moulded plugs, ribbon) needs an adaptor.
    ///
    /// # Source
    /// common practice, no source.
    #[must_use]
    pub fn work(&self, plug: &str, socket: &str) -> Option<WorkKind> {
        let (plug_family, socket_family) = (self.get(plug)?, self.get(socket)?);
        if let Some(fit) = self.fit(plug, socket) {
            return Some(fit.work);
        }
        if plug == socket && socket_family.termination != Termination::None {
            return Some(match socket_family.termination {
                Termination::Clamp => WorkKind::Clamp,
                _ => WorkKind::PlugOver,
            });
        }
        let finished = [Termination::Moulded, Termination::Displacement];
        if finished.contains(&plug_family.termination) || finished.contains(&socket_family.termination) {
            return Some(WorkKind::Adaptor);
        }
        Some(match socket_family.termination {
            Termination::Clamp => WorkKind::Clamp,
            Termination::Crimp => WorkKind::ReCrimp,
            _ => WorkKind::Splice,
        })
    }

    /// The name of each row with its source key.
    #[must_use]
    pub fn sources(&self) -> Vec<(&str, &str)> {
        let mut out = self.families.sources();
        out.extend(self.fits.sources());
        out.extend(self.works.sources());
        out
    }

    /// Reads the text of a `connectors.toml`.
    ///
    /// # Errors
    /// Every fault of the text.
    pub fn read(text: &str) -> Result<Self, Vec<RowFault>> {
        let mut document = Document::new(text);
        let (families, fits, works) = (document.rows(), document.rows(), document.rows());
        document.end()?;
        Ok(Self {
            families,
            fits,
            works,
        })
    }

    /// These tables with the rows of a user's file in place of, or beside, their own.
    ///
    /// # Errors
    /// Every fault of the text.
    pub fn overridden(self, text: &str) -> Result<Self, Vec<RowFault>> {
        let other = Self::read(text)?;
        Ok(Self {
            families: self.families.overridden_by(other.families),
            fits: self.fits.overridden_by(other.fits),
            works: self.works.overridden_by(other.works),
        })
    }
}
