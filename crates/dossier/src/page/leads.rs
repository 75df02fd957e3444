//! The wiring: picture, what to do with each lead, wire by wire.

use maud::{Markup, html};
use plan::{Row, WireRow};

use super::table::{cards, text, words};
use super::{Pictures, picture};
use crate::cautions::BEFORE_WIRING;
use crate::shown::Shown;
use crate::words::{capital, elsewhere, plural};

pub(super) fn wiring(shown: &Shown<'_>, pictures: &Pictures) -> Markup {
    html! {
        div class="warning" role="note" { p { (BEFORE_WIRING) } }
        (picture(&pictures.wiring, "broad"))
        h3 id="leads" { "What to do with each lead" }
        p class="small quiet" {
            "Tie the tag to each lead before you unplug it: sheets to print are in " code { "tags-1.svg" }
            @if pictures.tags.len() > 1 { " to " code { (format!("tags-{}.svg", pictures.tags.len())) } }
            "."
        }
        (leads(shown))
        h3 id="wires" { "Wire by wire" }
        p class="small quiet" {
            "Pins are counted from pin 1 of each connector. Colours are IEC 60757 letters; -- where the colour is not known. \
             Rows that say “moves” change their place in the housing."
        }
        (wires(shown))
    }
}

fn leads(shown: &Shown<'_>) -> Markup {
    let columns = [
        words("Tag"),
        words("Device"),
        words("From"),
        words("To"),
        words("Do"),
        words("Current"),
        words("Wire"),
    ];
    let rows: Vec<Vec<Markup>> = shown.rows.iter().map(|row| lead(shown, row)).collect();
    let minutes: i64 = shown.rows.iter().map(|row| row.minutes).sum();
    let caption = format!(
        "{}, about {minutes} minutes at the bench",
        plural(shown.rows.len(), "lead", "leads")
    );
    cards(&caption, &columns, &rows, None)
}

fn lead(shown: &Shown<'_>, row: &Row) -> Vec<Markup> {
    let place = |port: &str, connector: &str| {
        html! { strong { (port) } br; span class="small quiet" { (connector) } }
    };
    vec![
        html! { span class="tag" { (row.tag) } },
        text(&row.device),
        match &row.old_port {
            Some(port) => place(port, &row.old_connector),
            None => html! { "new" br; span class="small quiet" { (row.old_connector) } },
        },
        match (&row.new_port, &row.new_connector) {
            (Some(port), Some(connector)) => place(port, connector),
            _ => html! { "left off" },
        },
        html! {
            @match row.actions.as_slice() {
                [only] => { (capital(&only.words)) }
                actions => { ul { @for action in actions { li { (capital(&action.words)) } } } }
            }
        },
        current(shown, row),
        html! { span class="keep" { (row.wire) } },
    ]
}

/// The current, which leads to the check that judged it.
fn current(shown: &Shown<'_>, row: &Row) -> Markup {
    let Some(current) = &row.current else {
        return html! {};
    };
    let words = current.at_high().to_string();
    html! {
        @match shown.about("port-current", &row.tag) {
            Some(finding) => { a class="keep" href=(format!("#{}", shown.anchor(finding))) { "up to " (words) } }
            None => { span class="keep" { "up to " (words) } }
        }
    }
}

fn wires(shown: &Shown<'_>) -> Markup {
    html! {
        div class="scroll" tabindex="0" role="region" aria-labelledby="wires" {
            table {
                thead {
                    tr {
                        th scope="col" { "Wire" }
                        th scope="col" { "For" }
                        th scope="col" { "Old pin" }
                        th scope="col" { "New pin" }
                        th scope="col" { "" }
                    }
                }
                @for row in &shown.rows {
                    @if !row.wires.is_empty() { (wires_of(shown, row)) }
                }
            }
        }
    }
}

fn wires_of(shown: &Shown<'_>, row: &Row) -> Markup {
    html! {
        tbody class="lead-wires" {
            tr {
                th class="of" scope="rowgroup" colspan="5" {
                    span class="tag" { (row.tag) } " " (row.device) ": "
                    (row.old_port.as_deref().unwrap_or("new")) " → " (row.new_port.as_deref().unwrap_or("left off"))
                }
            }
            @for wire in &row.wires { (wire_row(shown, row, wire)) }
        }
    }
}

fn wire_row(shown: &Shown<'_>, row: &Row, wire: &WireRow) -> Markup {
    let moves = wire.new_pin.is_some_and(|pin| pin != wire.old_pin);
    let remark = match wire.new_pin {
        None => elsewhere(row, wire),
        Some(_) if moves => "moves",
        Some(_) => "",
    };
    html! {
        tr class=[moves.then_some("moves")] {
            td { (colour(shown, &wire.colour)) }
            td { (wire.function) }
            td { (wire.old_pin) }
            td {
                @match (wire.new_pin, &wire.new_function) {
                    (Some(pin), Some(function)) => { (pin) " (" (function) ")" }
                    _ => { "–" }
                }
            }
            td { (remark) }
        }
    }
}

/// The letters of a colour behind a patch of it.
fn colour(shown: &Shown<'_>, letters: &str) -> Markup {
    let known = shown.swap.catalogue.wire_colour(letters);
    html! {
        @if let Some(colour) = known {
            span class="swatch" aria-hidden="true" style=(swatch(&colour)) {}
        }
        (letters)
    }
}

fn swatch(colour: &catalogue::WireColour<'_>) -> String {
    let css = |rgb: catalogue::Rgb| {
        let [red, green, blue] = rgb.channels;
        format!("#{red:02x}{green:02x}{blue:02x}")
    };
    let first = css(colour.first.body);
    match colour.second {
        None => format!("background:{first}"),
        Some(second) => {
            let second = css(second.body);
            format!("background:linear-gradient({first} 50%,{second} 50%)")
        }
    }
}
