//! The wire tags: one for each lead, to print and cut out.

use drawing::{Tag, TagSheet, TagWire};
use plan::Row;

use crate::shown::Shown;

pub(super) fn tags(shown: &Shown<'_>) -> TagSheet {
    let title = format!(
        "Wire tags: {} on {}",
        shown.swap.machine.name, shown.plan.board.name
    );
    let description = "One tag for each cable, to cut out and fold around it.".to_owned();
    TagSheet {
        head: super::head(shown, "tags".to_owned(), &title, description),
        tags: shown.rows.iter().map(tag).collect(),
    }
}

fn tag(row: &Row) -> Tag {
    let mut wires: Vec<_> = row.wires.iter().collect();
    wires.sort_by_key(|wire| wire.new_pin.unwrap_or(usize::MAX));
    Tag {
        tag: row.tag.clone(),
        device: row.device.clone(),
        port: row.new_port.clone().unwrap_or_else(|| "left off".to_owned()),
        wires: wires
            .into_iter()
            .map(|wire| TagWire {
                letters: wire.colour.clone(),
                pin: match (wire.new_pin, &wire.new_function) {
                    (Some(pin), Some(function)) => format!("{pin} {function}"),
                    _ => "free".to_owned(),
                },
            })
            .collect(),
    }
}
