//! The build sheet: what must be compiled or configured into the new controller, or set by hand.

use quantity::Kind;
use serde::Serialize;

use crate::list::Settings;
use crate::setting::{By, Fate, Setting, SettingValue};
use crate::thermometer::ThermometerTable;
use crate::told::{Awaiting, awaiting};

/// The build sheet of a board.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BuildSheet {
    /// The name of the board.
    pub board: String,
    /// The name of the swap.
    pub swap: String,
    /// Whether the swap is made up for an example.
    pub invented: bool,
    /// The rows, in the order of the settings.
    pub rows: Vec<SheetRow>,
    /// Rows that a running controller could be told, by the reason why it is not.
    pub awaiting: Vec<Awaiting>,
    /// Tables of the thermometers.
    pub tables: Vec<ThermometerTable>,
}

/// One row of the build sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetRow {
    /// The identifier of the setting.
    pub id: String,
    /// What it is: "direction, MX".
    pub name: String,
    /// The number or the words; nothing where it has to be measured first.
    pub value: Option<String>,
    /// The unit; empty for words and plain numbers.
    pub unit: String,
    /// The port that it belongs to.
    pub port: Option<String>,
    /// The processor pin of that port.
    pub pin: Option<String>,
    /// Whether a hand sets it instead of the build.
    pub by_hand: bool,
    /// What becomes of it.
    pub fate: Fate,
    /// Why.
    pub reason: String,
    /// Whether the reason has to be read before the value is used.
    pub caution: bool,
}

/// What no running controller can be told.
#[must_use]
pub fn build_sheet(settings: &Settings) -> BuildSheet {
    let rows = settings
        .settings
        .iter()
        .filter(|setting| setting.fate != Fate::Dropped);
    BuildSheet {
        board: settings.board.clone(),
        swap: settings.swap.clone(),
        invented: settings.invented,
        rows: rows
            .filter(|setting| !matches!(setting.by, By::Word { .. }))
            .map(row)
            .collect(),
        awaiting: awaiting(settings),
        tables: settings.tables.clone(),
    }
}

fn row(setting: &Setting) -> SheetRow {
    let (value, unit) = match &setting.new {
        None => (None, String::new()),
        Some(SettingValue::Quantity(value)) if value.kind != Kind::Ratio => {
            let text = SettingValue::Quantity(quantity::AnyValue {
                low: value.nominal,
                high: value.nominal,
                ..*value
            })
            .to_string();
            match text.split_once(' ') {
                Some((number, unit)) => (Some(number.to_owned()), unit.to_owned()),
                None => (Some(text), String::new()),
            }
        }
        Some(other) => (Some(other.to_string()), String::new()),
    };
    SheetRow {
        id: setting.id.clone(),
        name: format!("{}, {}", setting.title, setting.of),
        value,
        unit,
        port: setting.port.clone(),
        pin: setting.pin.clone(),
        by_hand: setting.by == By::Hand,
        fate: setting.fate,
        reason: setting.reason.clone(),
        caution: setting.caution,
    }
}
