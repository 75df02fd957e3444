//! The wiring: what to do with each cable, and wire by wire.

use catalogue::WireColour;
use document::{
    Block, Caution, Cell, Column, Group, Origin, Phone, Row as TableRow, Section, Span, Swatch, Table, Text,
};
use plan::{Row, WireRow};

use crate::about::About;
use crate::cautions::BEFORE_WIRING;
use crate::pictures::Pictures;
use crate::shown::Shown;
use crate::words::{elsewhere, plural, sentence};

/// The wiring, as a section of the page.
pub(crate) fn section(shown: &Shown<'_>, pictures: &Pictures) -> Vec<Block> {
    let mut blocks = vec![caution()];
    blocks.extend(pictures.block("wiring.svg"));
    let tags = Text::of("Tie the tag to each cable before you unplug it: sheets to print are in ")
        .code("pictures/tags-1.svg");
    let tags = match pictures.tags.len() {
        0 | 1 => tags,
        last => tags.and(" to ").code(format!("pictures/tags-{last}.svg")),
    };
    let minutes: i64 = shown.rows.iter().map(|row| row.minutes).sum();
    let count = plural(shown.rows.len(), "cable", "cables");
    let caption = format!("{count}, about {minutes} minutes at the bench");
    let cables = cables(&shown.about, &shown.rows).caption(caption);
    let about_cables = vec![Block::remark(tags.and(".")), cables.into()];
    blocks.push(
        Section::new("What to do with each cable", about_cables)
            .at("leads")
            .into(),
    );
    blocks
}

/// Each wire with its old and its new pin.
pub(crate) fn by_wire(shown: &Shown<'_>) -> Vec<Block> {
    let remark = "Pins are counted from pin 1 of each connector. Colours are IEC 60757 letters; -- where the colour is not known. \
                  Rows that say “moves” change their place in the housing.";
    vec![Block::remark(remark), wires(shown).into()]
}

/// What can hurt while wiring.
pub(crate) fn caution() -> Block {
    Block::Caution(Caution {
        lines: vec![Text::of(BEFORE_WIRING)],
        ..Caution::default()
    })
}

/// One row a lead.
pub(crate) fn cables(about: &About<'_>, rows: &[Row]) -> Table {
    let columns = [
        Column::short("Tag"),
        Column::text("Device"),
        Column::short("From"),
        Column::short("To"),
        Column::text("Do"),
        Column::short("Current"),
        Column::short("Wire"),
    ];
    let rows: Vec<TableRow> = rows.iter().map(|row| cable(about, row)).collect();
    Table::new(columns, rows)
}

fn cable(about: &About<'_>, row: &Row) -> TableRow {
    let from = row.old_port.as_deref().unwrap_or("new");
    let to = match (&row.new_port, &row.new_connector) {
        (Some(port), connector) => Cell::from(port).below(connector.clone().unwrap_or_default()),
        (None, _) => Cell::from("left off"),
    };
    let cells = TableRow::of([
        Cell::from(Text::default().tag(&row.tag)),
        Cell::from(&row.device),
        Cell::from(from).below(&row.old_connector),
        to,
        Cell::list(row.actions.iter().map(|action| sentence(&action.words))),
        Cell::from(current(about, row)),
        Cell::from(&row.wire),
    ]);
    TableRow {
        id: place_of(&row.tag),
        ..cells
    }
}

/// Where the row of a cable stands.
pub(crate) fn place_of(tag: &str) -> String {
    document::anchor("cable", tag)
}

/// The current, which leads to the check that judged it.
fn current(about: &About<'_>, row: &Row) -> Text {
    let Some(current) = &row.current else {
        return Text::default();
    };
    let finding = about.about("port-current", &row.tag);
    let anchor = finding.and_then(|finding| about.anchor(finding));
    let highest = Text::default()
        .quantity(current.at_high(), Origin::Tolerance)
        .words();
    Text::default().link(anchor, format!("up to {highest}"))
}

fn wires(shown: &Shown<'_>) -> Table {
    let rows = shown.rows.iter().filter(|row| !row.wires.is_empty());
    let groups = rows.map(|row| {
        let (from, to) = (row.old_port.as_deref(), row.new_port.as_deref());
        let title = format!(
            " {}: {} → {}",
            row.device,
            from.unwrap_or("new"),
            to.unwrap_or("left off")
        );
        Group {
            title: Text::default().tag(&row.tag).and(title),
            rows: row.wires.iter().map(|wire| wire_row(shown, wire)).collect(),
        }
    });
    let columns = ["Wire", "For", "Old pin", "New pin", ""].map(Column::text);
    Table {
        groups: groups.collect(),
        phone: Phone::Scroll,
        ..Table::new(columns, [])
    }
}

fn wire_row(shown: &Shown<'_>, wire: &WireRow) -> TableRow {
    let moves = wire.new_pin.is_some_and(|pin| pin != wire.old_pin);
    let remark = match wire.new_pin {
        None => elsewhere(wire),
        Some(_) if moves => "moves",
        Some(_) => "",
    };
    let colour = shown.swap.catalogue.wire_colour(&wire.colour).map(swatch);
    let colour = colour.map_or_else(Text::default, |swatch| Text::default().span(Span::Swatch(swatch)));
    let new = match (wire.new_pin, &wire.new_function) {
        (Some(pin), Some(function)) => format!("{pin} ({function})"),
        _ => "–".to_owned(),
    };
    TableRow {
        stands_out: moves,
        ..TableRow::of([
            colour.and(&wire.colour),
            Text::of(&wire.function),
            Text::of(wire.old_pin.to_string()),
            Text::of(new),
            Text::of(remark),
        ])
    }
}

fn swatch(colour: WireColour<'_>) -> Swatch {
    Swatch {
        first: colour.first.body.channels,
        second: colour.second.map(|second| second.body.channels),
    }
}
