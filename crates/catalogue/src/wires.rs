//! Copper and wire: constants, resistance of stranded wire, guidance currents by gauge.

use quantity::si::{ElectricCurrent, ResistancePerLength, TemperatureCoefficient};
use quantity::{Value, WireSize};
use serde::Deserialize;

use crate::field;
use crate::table::{Document, RowFault, Sure, Table, own_statement, row};

/// The tables of `data/wires.toml`.
#[derive(Clone, Debug)]
pub struct Wires {
    copper: Copper,
    stranded: Table<Stranded>,
    gauges: Table<Gauge>,
}

/// The constants of annealed copper at 20 °C.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Copper {
    /// Resistance per length of a conductor of 1 mm², that is the resistivity; 1/58 Ω mm²/m.
    #[serde(deserialize_with = "field::value")]
    pub square_millimetre: Value<ResistancePerLength>,
    /// Relative change of the resistance per kelvin, linear, referred to 20 °C.
    #[serde(deserialize_with = "field::value")]
    pub temperature_coefficient: Value<TemperatureCoefficient>,
    /// Key of the source.
    pub source: String,
    /// How far to trust the constants.
    pub sure: Sure,
}

/// The largest resistance of a finely stranded conductor (class 5, plain copper) at 20 °C.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stranded {
    /// The nominal cross-section as it stands on the reel, such as `1.5 mm²`.
    pub name: String,
    /// The nominal cross-section.
    #[serde(deserialize_with = "field::wire_size")]
    pub size: WireSize,
    /// The largest resistance per length that the standard lets pass, at 20 °C.
    #[serde(deserialize_with = "field::value")]
    pub resistance: Value<ResistancePerLength>,
    /// Key of the source.
    #[serde(default = "own_statement")]
    pub source: String,
    /// How far to trust the row.
    #[serde(default)]
    pub sure: Sure,
}

/// A wire gauge: resistance, and three currents that differ in what they are good for.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gauge {
    /// The gauge as it is written, such as `20 AWG`.
    pub name: String,
    /// The gauge.
    #[serde(deserialize_with = "field::wire_size")]
    pub size: WireSize,
    /// Resistance per length of solid annealed copper at 20 °C.
    #[serde(deserialize_with = "field::value")]
    pub resistance: Value<ResistancePerLength>,
    /// The "chassis wiring" column that is copied everywhere: one wire in free air. Guidance, no design limit.
    #[serde(deserialize_with = "field::value")]
    pub chassis: Value<ElectricCurrent>,
    /// The "power transmission" column, 700 circular mil an ampere: very cautious. Guidance, no design limit.
    #[serde(default, deserialize_with = "field::some_value")]
    pub transmission: Option<Value<ElectricCurrent>>,
    /// The current of a lead that lies in a bundle in a printer: the limit that the checks use by default.
    #[serde(deserialize_with = "field::value")]
    pub bundled: Value<ElectricCurrent>,
    /// Key of the source of the resistance.
    #[serde(default = "own_statement")]
    pub source: String,
    /// Key of the source of the two guidance columns.
    #[serde(default = "own_statement")]
    pub guidance_source: String,
    /// Key of the source of the bundled current.
    #[serde(default = "own_statement")]
    pub bundled_source: String,
    /// How far to trust the resistance.
    #[serde(default)]
    pub sure: Sure,
    /// How far to trust the bundled current.
    #[serde(default)]
    pub bundled_sure: Sure,
}

row!(Stranded, "stranded", name);
row!(Gauge, "gauge", name [guidance_source, bundled_source]);

impl Wires {
    /// The constants of copper.
    #[must_use]
    pub fn copper(&self) -> &Copper {
        &self.copper
    }

    /// Finely stranded conductors, thinnest first.
    #[must_use]
    pub fn stranded(&self) -> &Table<Stranded> {
        &self.stranded
    }

    /// Wire gauges, thickest first.
    #[must_use]
    pub fn gauges(&self) -> &Table<Gauge> {
        &self.gauges
    }

    /// The row that holds for a wire: its own gauge, or for a cross-section the next thinner gauge.
    ///
    /// `None` outside the table (8 AWG to 32 AWG); a wire thicker than 8 AWG has the row of 8 AWG.
    #[must_use]
    pub fn gauge(&self, size: WireSize) -> Option<&Gauge> {
        let wanted = size.gauge();
        self.gauges
            .rows()
            .iter()
            .filter(|row| row.size.gauge() >= wanted)
            .min_by_key(|row| row.size.gauge())
    }

    /// The class 5 row of a cross-section; `None` for a gauge, and for a cross-section that is not in the table.
    #[must_use]
    pub fn stranded_of(&self, size: WireSize) -> Option<&Stranded> {
        let WireSize::CrossSection(area) = size else {
            return None;
        };
        let same = |row: &&Stranded| (row.size.area() / area).value - 1.0;
        self.stranded.rows().iter().find(|row| same(row).abs() < 1e-3)
    }

    /// The name of each row with each of its source keys.
    #[must_use]
    pub fn sources(&self) -> Vec<(&str, &str)> {
        let mut out = vec![("copper", self.copper.source.as_str())];
        out.extend(self.stranded.sources());
        out.extend(self.gauges.sources());
        out
    }

    /// Reads the text of a whole `wires.toml`.
    ///
    /// # Errors
    /// Every fault of the text.
    pub fn read(text: &str) -> Result<Self, Vec<RowFault>> {
        let mut document = Document::new(text);
        let (copper, stranded, gauges) = (document.single("copper"), document.rows(), document.rows());
        if copper.is_none() {
            document.fault(0..0, "`[copper]` is missing or faulty".to_owned());
        }
        document.end()?;
        // A missing `[copper]` has left through the fault above.
        copper
            .map(|copper| Self {
                copper,
                stranded,
                gauges,
            })
            .ok_or_else(Vec::new)
    }

    /// These tables with the rows of a user's file in place of, or beside, their own; `[copper]` may be left out.
    ///
    /// # Errors
    /// Every fault of the text.
    pub fn overridden(self, text: &str) -> Result<Self, Vec<RowFault>> {
        let mut document = Document::new(text);
        let (copper, stranded, gauges) = (document.single("copper"), document.rows(), document.rows());
        document.end()?;
        Ok(Self {
            copper: copper.unwrap_or(self.copper),
            stranded: self.stranded.overridden_by(stranded),
            gauges: self.gauges.overridden_by(gauges),
        })
    }
}
