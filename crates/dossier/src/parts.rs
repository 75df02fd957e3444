//! The parts list: what to buy with its price, connectors and wire to the piece, tools by kind of work.

use std::collections::BTreeMap;

use catalogue::WorkKind;
use document::{Block, Cell, Column, Phone, Row, Section, Table};
use plan::{ActionKind, Line};
use quantity::{Number, Price, Value, WireSize, si};

use crate::shown::Shown;

/// What to buy, with the sum; then the same to the piece, and the tools.
pub(crate) fn parts(shown: &Shown<'_>) -> Vec<Block> {
    let mut blocks = bill(shown);
    let rows = pieces(shown)
        .into_iter()
        .map(|piece| Row::of([piece.what, piece.size, piece.count, piece.tags]));
    let rows: Vec<Row> = rows.collect();
    if !rows.is_empty() {
        let columns = [
            Column::text("Piece"),
            Column::text("Size"),
            Column::number("Count"),
            Column::text("For"),
        ];
        let remark = "Counted from the wires; one spare for each five begun. Prices above include them.";
        let table = Table::new(columns, rows).into();
        blocks.push(
            Section::new(
                "Connectors, ferrules, fuses, wire",
                vec![Block::remark(remark), table],
            )
            .into(),
        );
    }
    let rows: Vec<Row> = tools(&shown.rows)
        .into_iter()
        .map(|(tool, tags)| Row::of([tool, tags.as_str()]))
        .collect();
    let table = Table::new([Column::text("Tool"), Column::text("For")], rows).phone(Phone::Fits);
    blocks.push(Section::new("Tools", vec![table.into()]).into());
    blocks
}

pub(crate) fn bill(shown: &Shown<'_>) -> Vec<Block> {
    let shopping = &shown.entry.shopping;
    let price = |price: Option<Price>| {
        Cell::from(price.map_or_else(|| "not stated".to_owned(), |price| price.to_string()))
    };
    let rows = shopping.lines.iter().map(|line| {
        Row::of([
            Cell::from(&line.name),
            line.count.to_string().into(),
            price(line.each),
            price(line.each.map(|each| each.times(line.count))),
            Cell::from(price_from(shown, line)),
            Cell::from(&line.purpose),
        ])
    });
    let columns = [
        Column::text("Part"),
        Column::number("Count"),
        Column::number("Each"),
        Column::number("Together"),
        Column::text("Price from"),
        Column::text("For"),
    ];
    let none = Cell::default;
    let table = Table {
        foot: vec![
            Cell::from("Sum"),
            none(),
            none(),
            price(shopping.sum),
            none(),
            none(),
        ],
        ..Table::new(columns, rows)
    };
    let mut blocks = vec![table.into()];
    if !shopping.not_summed.is_empty() {
        let names = shopping.not_summed.join(", ");
        blocks.push(Block::say(format!(
            "Not in the sum, since no price in the currency of the board is known: {names}."
        )));
    }
    blocks
}

/// Who stated a price.
pub(crate) fn price_from(shown: &Shown<'_>, line: &Line) -> &'static str {
    let is = |name: &str| line.name == name || line.name.starts_with(&format!("{name}, "));
    if line.each.is_none() {
        ""
    } else if shown.swap.part_prices.iter().any(|part| is(&part.name.value)) {
        "parts.toml"
    } else if shown
        .swap
        .catalogue
        .parts()
        .rows()
        .iter()
        .any(|part| is(&part.name))
    {
        "catalogue (guessed)"
    } else if line.purpose.starts_with("new device") {
        "machine.toml"
    } else {
        "file of the board"
    }
}

/// Something to buy by the piece or by length.
pub(crate) struct Piece {
    pub what: String,
    pub size: String,
    pub count: String,
    pub tags: String,
}

/// Cross-sections of wire-end ferrules, in mm² (DIN 46228, from memory).
const FERRULES: [f64; 11] = [0.25, 0.34, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0];

/// The size of ferrule for a wire: the smallest that takes it, a twentieth forgiven.
fn ferrule(size: WireSize) -> String {
    let area = size.area().base() * 1e6;
    let fits = FERRULES.into_iter().find(|own| *own * 1.05 >= area);
    fits.map_or_else(|| format!("{area:.1} mm²"), |own| format!("{own} mm²"))
}

/// Connectors, contacts, ferrules, fuses and wire of all cables, equal ones together.
pub(crate) fn pieces(shown: &Shown<'_>) -> Vec<Piece> {
    let mut counted: BTreeMap<(u8, String, String), (usize, Vec<String>)> = BTreeMap::new();
    let mut lengths: BTreeMap<String, (si::Length, Vec<String>)> = BTreeMap::new();
    let facts = shown.plan.facts();
    for pair in facts.pairs() {
        let (device, port, job) = (pair.device(), pair.port(), pair.job());
        let tag = &device.tag.value;
        let cable = &device.cable;
        let wires = cable
            .pins
            .iter()
            .filter(|pin| pin.value != model::Pin::Unused)
            .count();
        let wire = cable.wire.value.to_string();
        let mut add = |kind: u8, what: &str, size: String, count: usize| {
            let own = counted.entry((kind, what.to_owned(), size)).or_default();
            own.0 += count;
            own.1.push(tag.clone());
        };
        let family = &port.connector.value;
        if job
            .parts
            .iter()
            .any(|part| part.name == "crimp housing with contacts")
        {
            add(0, "housing", format!("{family}, {}-way", port.pins.len()), 1);
            add(1, "contact", format!("{family}, for {wire}"), wires);
        }
        if job.work == Some(WorkKind::Clamp) {
            add(2, "wire-end ferrule", ferrule(cable.wire.value), wires);
        }
        let mut length = |each: si::Length| {
            let none = || (si::metre(0.0), Vec::new());
            let own = lengths.entry(wire.clone()).or_insert_with(none);
            own.0 += each * f64::from(u32::try_from(wires).unwrap_or_default());
            own.1.push(tag.clone());
        };
        if device.is_new() {
            length(cable.length.value.nominal());
        } else if let Some(missing) = job.extend {
            length(missing);
        }
    }
    for row in &shown.rows {
        for part in row.parts.iter().filter(|part| part.name.contains("fuse")) {
            let size = part.size.clone().unwrap_or_default();
            for (kind, what) in [(3, "blade fuse"), (4, "fuse holder")] {
                let own = counted.entry((kind, what.to_owned(), size.clone())).or_default();
                own.0 += part.count as usize;
                own.1.push(row.tag.clone());
            }
        }
    }
    let piece = |((kind, what, size), (count, tags)): ((u8, String, String), (usize, Vec<String>))| {
        // Housings and holders are seldom spoilt; contacts, ferrules and fuses are.
        let spare = if matches!(kind, 1..=3) {
            count.div_ceil(5)
        } else {
            0
        };
        let count = if spare > 0 {
            format!("{count} + {spare}")
        } else {
            count.to_string()
        };
        Piece {
            what,
            size,
            count,
            tags: tags.join(", "),
        }
    };
    let wire = |(size, (length, tags)): (String, (si::Length, Vec<String>))| Piece {
        what: "wire".to_owned(),
        size,
        // A tenth more than the sum, in full tenths of a metre.
        count: Value::exact(si::metre((length.base() * 11.0).ceil() / 10.0)).to_string(),
        tags: tags.join(", "),
    };
    let pieces = counted.into_iter().map(piece);
    pieces.chain(lengths.into_iter().map(wire)).collect()
}

/// Tools, each with the cables that need it.
pub(crate) fn tools(rows: &[plan::Row]) -> Vec<(&'static str, String)> {
    const ALWAYS: [&str; 3] = [
        "multimeter: resistance to 0.1 Ω, DC voltage",
        "screwdrivers, one of them with set torque for clamps",
        "eye protection, wrist strap or bare metal to touch",
    ];
    let of = |kinds: &[ActionKind]| -> String {
        let needs = |row: &&plan::Row| row.actions.iter().any(|action| kinds.contains(&action.kind));
        let tags: Vec<&str> = rows.iter().filter(needs).map(|row| row.tag.as_str()).collect();
        tags.join(", ")
    };
    let by_work: [(&'static str, &[ActionKind]); 5] = [
        (
            "contact crimping tool for the family of the port",
            &[ActionKind::ReCrimp],
        ),
        ("contact extractor, or a fine blade", &[ActionKind::RePin]),
        ("ferrule crimping tool, stripper", &[ActionKind::Clamp]),
        (
            "butt-splice crimping tool or soldering iron, sleeves, hot air",
            &[
                ActionKind::Splice,
                ActionKind::Extend,
                ActionKind::Fuse,
                ActionKind::OwnSupply,
                ActionKind::YCable,
            ],
        ),
        (
            "stripper, cutter",
            &[
                ActionKind::NewCable,
                ActionKind::Splice,
                ActionKind::Extend,
                ActionKind::ReCrimp,
            ],
        ),
    ];
    let always = ALWAYS.into_iter().map(|tool| (tool, "all".to_owned()));
    let needed = by_work.into_iter().map(|(tool, kinds)| (tool, of(kinds)));
    always
        .chain(needed.filter(|(_, tags)| !tags.is_empty()))
        .collect()
}
