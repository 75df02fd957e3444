//! Tables as CSV, for a spreadsheet or a label printer.

use document::csv::Csv;
use quantity::{Number, rounded};
use settings::{BuildSheet, ThermometerTable};
use tuning::Outcome;

use crate::parts;
use crate::shown::Shown;

/// One row a wire.
pub(crate) fn wires(shown: &Shown<'_>) -> String {
    let mut out = Csv::new(&[
        "tag",
        "device",
        "old port",
        "old connector",
        "new port",
        "new connector",
        "colour",
        "function",
        "old pin",
        "new pin",
        "new function",
        "to do",
    ]);
    for row in &shown.rows {
        let actions: Vec<&str> = row.actions.iter().map(|action| action.words.as_str()).collect();
        let actions = actions.join("; ");
        for wire in &row.wires {
            out.line([
                &row.tag,
                &row.device,
                row.old_port.as_deref().unwrap_or(""),
                &row.old_connector,
                row.new_port.as_deref().unwrap_or(""),
                row.new_connector.as_deref().unwrap_or(""),
                &wire.colour,
                &wire.function,
                wire.old_pin.to_string().as_str(),
                &wire.new_pin.map_or_else(String::new, |pin| pin.to_string()),
                wire.new_function.as_deref().unwrap_or(""),
                &actions,
            ]);
        }
    }
    out.finish()
}

/// One row a part with its price, then one a piece, then one a tool.
pub(crate) fn parts(shown: &Shown<'_>) -> String {
    let mut out = Csv::new(&["part", "size", "count", "each", "price from", "for"]);
    for part in &shown.entry.shopping.lines {
        let count = part.count.to_string();
        let each = part.each.map_or_else(String::new, |each| each.to_string());
        let from = parts::price_from(shown, part);
        out.line([part.name.as_str(), "", &count, &each, from, &part.purpose]);
    }
    for piece in parts::pieces(shown) {
        out.line([
            piece.what.as_str(),
            &piece.size,
            &piece.count,
            "",
            "",
            &piece.tags,
        ]);
    }
    for (tool, tags) in parts::tools(&shown.rows) {
        out.line([tool, "", "", "", "", &tags]);
    }
    out.finish()
}

/// One row a setting that is built in or set by hand.
pub(crate) fn build(sheet: &BuildSheet) -> String {
    let mut out = Csv::new(&["id", "name", "value", "unit", "port", "pin", "by", "kind", "why"]);
    for row in &sheet.rows {
        out.line([
            row.id.as_str(),
            &row.name,
            row.value.as_deref().unwrap_or(""),
            &row.unit,
            row.port.as_deref().unwrap_or(""),
            row.pin.as_deref().unwrap_or(""),
            if row.by_hand { "hand" } else { "build" },
            row.fate.word(),
            &row.reason,
        ]);
    }
    out.finish()
}

/// How each published rule would hold each heated part; nothing where the machine's file does not tell enough of any.
pub(crate) fn control(shown: &Shown<'_>) -> Option<String> {
    let mut out = Csv::new(&[
        "heater",
        "rule",
        "gain in % of full power per K",
        "integral time in s",
        "derivative time in s",
        "peak of sensitivity",
        "peak of sensitivity in the liveliest case",
        "gain margin in the liveliest case",
        "overshoot in K",
        "overshoot in K in the worst case",
        "within 1 K after s",
        "within 1 K after s in the worst case",
        "swing in K",
        "swing in K in the worst case",
        "source",
    ]);
    for held in &shown.control {
        for row in &held.predictions {
            let figures = figures(row);
            let mut cells = vec![held.tag.as_str(), row.rule.name];
            cells.extend(figures.iter().map(String::as_str));
            cells.push(row.rule.source);
            out.line(cells);
        }
    }
    (!shown.control.is_empty()).then(|| out.finish())
}

/// The figures of a prediction, in the order of the columns of `temperature-control.csv`.
pub(crate) fn figures(row: &Outcome) -> [String; 12] {
    let number = |number: f64| {
        if number.is_finite() {
            rounded(number)
        } else {
            "unstable".to_owned()
        }
    };
    let seconds = |time: Option<quantity::si::Time>, none: &str| {
        time.map_or_else(|| none.to_owned(), |time| rounded(time.base()))
    };
    let (nominal, worst) = (&row.nominal, &row.worst);
    [
        number(row.pid.gain.base() * 100.0),
        seconds(row.pid.integral, ""),
        seconds(Some(row.pid.derivative), ""),
        number(row.sensitivity_peak.base()),
        number(row.sensitivity_peak_worst.base()),
        number(row.gain_margin_worst.base()),
        number(nominal.overshoot.base()),
        number(worst.overshoot.base()),
        seconds(nominal.settled, "never"),
        seconds(worst.settled, "never"),
        number(nominal.swing.base()),
        number(worst.swing.base()),
    ]
}

/// The table of a thermometer at its new input, for a spreadsheet or a build.
pub(crate) fn thermometer(table: &ThermometerTable) -> String {
    let mut out = Csv::new(&["temperature in °C", "resistance in Ω", "converter reading"]);
    for row in &table.rows {
        let number = |value: &quantity::AnyValue, unit, digits: usize| {
            value
                .number_of(unit)
                .map_or_else(String::new, |number| format!("{number:.digits$}"))
        };
        let temperature = number(&row.temperature, "°C", 0);
        let (resistance, code) = (
            number(&row.resistance, "Ω", 2),
            row.code.map_or_else(String::new, |code| format!("{code:.2}")),
        );
        out.line([temperature, resistance, code]);
    }
    out.finish()
}
