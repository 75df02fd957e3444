//! The settings: what becomes of each, with the reason; the program for the controller and the build sheet.

use maud::{Markup, html};
use plan::Verdict;
use settings::{By, Fate, Setting, SheetRow, ThermometerTable, build_sheet, gcode};

use super::marks::verdict_with;
use super::table::{cards, text, words};
use super::working::working;
use crate::shown::Shown;
use crate::words::{plural, sentence};

/// What changed comes before what stays.
const ORDER: [(Fate, &str, &str); 5] = [
    (
        Fate::Recomputed,
        "Recomputed",
        "The swap changes these; the old value would be wrong.",
    ),
    (
        Fate::MeasureAgain,
        "To be measured again",
        "A new value, where there is one, is a start for the measurement and no result.",
    ),
    (
        Fate::New,
        "New",
        "The old controller did not have these, or nobody knows what they were.",
    ),
    (Fate::Dropped, "Dropped", "Nothing of these is taken over."),
    (
        Fate::Carried,
        "Carried over",
        "Nothing in this swap changes these.",
    ),
];

pub(super) fn settings(shown: &Shown<'_>) -> Markup {
    let all = shown.material.settings;
    let counts: Vec<String> = ORDER
        .iter()
        .filter(|(fate, _, _)| all.count(*fate) > 0)
        .map(|(fate, _, _)| format!("{} {}", all.count(*fate), fate.word()))
        .collect();
    html! {
        p { (plural(all.settings.len(), "setting", "settings")) ": " (counts.join(", ")) "." }
        @for (fate, title, about) in ORDER {
            @let of_fate: Vec<&Setting> = all.settings.iter().filter(|setting| setting.fate == fate).collect();
            @if !of_fate.is_empty() {
                h3 { (title) }
                p class="small quiet" { (about) }
                (table(shown, &of_fate))
            }
        }
        (unread(shown))
        h3 id="program" { "For a running controller" }
        p {
            "The same lines are in " code { "settings.gcode" } ". Send them only after the steps that prove board and sensors; \
             nothing is stored until you tell the controller so."
        }
        details class="block" {
            summary { span class="headline" { "The lines" } }
            div class="inside" { pre tabindex="0" { (gcode(all)) } }
        }
        (sheet(shown))
    }
}

fn table(shown: &Shown<'_>, settings: &[&Setting]) -> Markup {
    let columns = [
        words("Setting"),
        words("Of"),
        words("Old"),
        words("New"),
        words("By"),
        words("Why"),
    ];
    let rows: Vec<Vec<Markup>> = settings
        .iter()
        .map(|setting| {
            vec![
                text(setting.title),
                text(&setting.of),
                text(setting.old_text().unwrap_or_else(|| "–".to_owned())),
                html! {
                    @match setting.new_text() {
                        Some(new) => { strong { (new) } }
                        None => { (if setting.fate == Fate::Dropped { "–" } else { "to be measured" }) }
                    }
                },
                by(&setting.by),
                why(shown, setting),
            ]
        })
        .collect();
    cards("", &columns, &rows, None)
}

fn by(by: &By) -> Markup {
    html! {
        @match by {
            By::Word { word, letter } => { code { (word) " " (letter) } }
            By::Build => { "build" }
            By::Hand => { "hand" }
        }
    }
}

fn why(shown: &Shown<'_>, setting: &Setting) -> Markup {
    html! {
        @if setting.caution { (verdict_with(Verdict::Caution, "read this")) " " }
        (sentence(&setting.reason))
        details class="block" {
            summary { span class="headline" { "How this came about" } }
            div class="inside" {
                @for working in &setting.working { (self::working(shown, working)) }
                p class="small quiet" {
                    @if let Some(old) = &setting.old { "Old value from " code { (old.from) } ". " }
                    "Rule from: " (shown.citation(setting.source)) "."
                    @if let Some(port) = &setting.port { " Port " (port) "." }
                    @if let Some(pin) = &setting.pin { " Processor pin " (pin) "." }
                    " Name: " code { (setting.id) }
                }
            }
        }
    }
}

fn unread(shown: &Shown<'_>) -> Markup {
    let unread = shown.material.settings.not_used();
    html! {
        @if !unread.is_empty() {
            h3 { "Not used of what was captured" }
            p class="small quiet" { "These lines were saved, but not understood. Look whether one of them holds a setting that you miss above; a row in the words of its controller explains it." }
            ul class="small" {
                @for line in &unread {
                    li { code { (line.path) ":" (line.line) } " " code { (line.text.trim()) } " – " (line.reason) }
                }
            }
        }
    }
}

fn sheet(shown: &Shown<'_>) -> Markup {
    let sheet = build_sheet(shown.material.settings);
    let part = |by_hand: bool| -> Vec<&SheetRow> {
        sheet.rows.iter().filter(|row| row.by_hand == by_hand).collect()
    };
    let (build, hand) = (part(false), part(true));
    html! {
        h3 id="build-sheet" { "Build sheet" }
        @if !sheet.awaiting.is_empty() {
            p class="small quiet" { "A running controller could be told these, and is not:" }
            ul class="small" {
                @for awaiting in &sheet.awaiting { li { (awaiting) } }
            }
        }
        p { "What no running controller is told. The same as a file: " code { "build-sheet.csv" } ", " code { "build-sheet.txt" } "." }
        @if !hand.is_empty() {
            h4 { "To be set by hand" }
            (sheet_table(&hand))
        }
        @if !build.is_empty() {
            h4 { "To be compiled or configured in" }
            (sheet_table(&build))
        }
        @for table in &sheet.tables { (thermometer(shown, table)) }
    }
}

fn sheet_table(rows: &[&SheetRow]) -> Markup {
    let columns = [
        words("Name"),
        words("Value"),
        words("Port"),
        words("Pin"),
        words("Kind"),
    ];
    let rows: Vec<Vec<Markup>> = rows
        .iter()
        .map(|row| {
            let value = match (&row.value, row.unit.as_str()) {
                (None, _) => "to be measured".to_owned(),
                (Some(value), "") => value.clone(),
                (Some(value), unit) => format!("{value} {unit}"),
            };
            vec![
                text(&row.name),
                html! { strong { (value) } },
                text(row.port.as_deref().unwrap_or("")),
                text(row.pin.as_deref().unwrap_or("")),
                text(row.fate.word()),
            ]
        })
        .collect();
    cards("", &columns, &rows, None)
}

fn thermometer(shown: &Shown<'_>, table: &ThermometerTable) -> Markup {
    html! {
        details class="block" {
            summary {
                span class="headline" { "Table of the thermometer " (table.tag) " (" (table.of) ") at " (table.port) }
            }
            div class="inside" {
                p {
                    (table.sensor) ", pull-up " (table.pull_up.to_string()) ", " (table.bits) " bits. Curve from: "
                    (shown.citation(&table.source)) "."
                    @if let Some(words) = table.error_words() { " " (words) }
                }
                div class="scroll" tabindex="0" {
                    table class="narrow-table" {
                        thead { tr { th scope="col" class="number" { "Temperature" } th scope="col" class="number" { "Resistance" } th scope="col" class="number" { "Code" } } }
                        tbody {
                            @for row in &table.rows {
                                tr {
                                    th scope="row" class="number" { (row.temperature.to_string()) }
                                    td class="number" { (row.resistance.to_string()) }
                                    td class="number" { @match row.code { Some(code) => { (format!("{code:.1}")) } None => { "–" } } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
