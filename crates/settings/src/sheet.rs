//! The build sheet: what must be compiled or configured into the new controller, or set by hand.

use core::fmt::Write;

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
    }
}

impl BuildSheet {
    /// The sheet as plain text, for print and for a screen.
    #[must_use]
    pub fn text(&self) -> String {
        let mut out = String::new();
        let _ = writeln!(out, "Build sheet for the board {} ({})", self.board, self.swap);
        if self.invented {
            let _ = writeln!(out, "Invented example: no such machine exists.");
        }
        if !self.awaiting.is_empty() {
            let _ = writeln!(out, "\nA running controller could be told these, and is not");
            for awaiting in &self.awaiting {
                let _ = writeln!(out, "  {awaiting}");
            }
        }
        self.part("To be compiled or configured in", false, &mut out);
        self.part("To be set by hand", true, &mut out);
        for table in &self.tables {
            table_text(table, &mut out);
        }
        out
    }

    fn part(&self, heading: &str, by_hand: bool, out: &mut String) {
        let rows: Vec<&SheetRow> = self.rows.iter().filter(|row| row.by_hand == by_hand).collect();
        if rows.is_empty() {
            return;
        }
        let _ = writeln!(out, "\n{heading}\n");
        let width = |text: &dyn Fn(&SheetRow) -> String| {
            rows.iter()
                .map(|row| text(row).chars().count())
                .max()
                .unwrap_or(0)
        };
        let (names, values, ports) = (
            width(&|row| row.name.clone()),
            width(&value_text),
            width(&port_text),
        );
        for row in &rows {
            let line = format!(
                "{:names$}  {:values$}  {:ports$}  {}",
                row.name,
                value_text(row),
                port_text(row),
                row.fate.word()
            );
            let _ = writeln!(out, "{}", line.trim_end());
        }
    }
}

fn value_text(row: &SheetRow) -> String {
    match (&row.value, row.unit.as_str()) {
        (None, _) => "to be measured".to_owned(),
        (Some(value), "") => value.clone(),
        (Some(value), unit) => format!("{value} {unit}"),
    }
}

fn port_text(row: &SheetRow) -> String {
    match (&row.port, &row.pin) {
        (Some(port), Some(pin)) => format!("{port} ({pin})"),
        (Some(port), None) => port.clone(),
        _ => String::new(),
    }
}

fn table_text(table: &ThermometerTable, out: &mut String) {
    let port = match &table.pin {
        Some(pin) => format!("{} ({pin})", table.port),
        None => table.port.clone(),
    };
    let _ = writeln!(
        out,
        "\nThermometer table, {} ({}): {} at {port}, pull-up {}, {} bits; from {}\n",
        table.of, table.tag, table.sensor, table.pull_up, table.bits, table.source
    );
    if let Some(words) = table.error_words() {
        let _ = writeln!(out, "{words}\n");
    }
    let _ = writeln!(out, "{:>8}  {:>10}  {:>8}", "°C", "Ω", "code");
    for row in &table.rows {
        let (celsius, ohm) = (
            row.temperature.number_of("°C").unwrap_or(f64::NAN),
            row.resistance.number_of("Ω").unwrap_or(f64::NAN),
        );
        let code = row
            .code
            .map_or_else(|| "-".to_owned(), |code| format!("{code:.1}"));
        let digits = usize::from(ohm < 1000.0);
        let _ = writeln!(out, "{celsius:>8.0}  {ohm:>10.digits$}  {code:>8}");
    }
}
