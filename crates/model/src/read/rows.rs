//! Like rows written once: a row with several names, and a row like one above it or like a kind of the catalogue. They become rows of their
//! own before anything reads them.
//!
//! `names = ["D1", "D2"]` (of devices `tags`), or `"D1 .. D2"`, stands for a row each; a key that takes one value may then hold a list with
//! one for each name, or a series too. Places in a row along an edge share a coordinate: `at = [[18, 32], 4.5]`.
//! `like = "D1"` takes over what the row of that name states and this one does not, but for what belongs to one place alone; where no row
//! above has that name, what the kind of that name in the catalogue states.
//! Each value keeps the place where it is written, and each row that of its name.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Kind, Table};
use serde_json::{Value as Json, json};
use toml::de::{DeArray, DeTable, DeValue};

use super::{Node, Reader};
use crate::diagnostic::{Diagnostic, did_you_mean, one_of};

/// What a key takes, as far as rows with several names need to know it.
#[derive(Clone, Copy)]
pub(crate) enum Shape {
    /// One value: a list holds one for each name.
    One,
    /// A list of values: a list of lists holds one for each name.
    List,
    /// A table of such keys.
    Table(&'static str, fn() -> Vec<(&'static str, Shape)>),
    /// What all names share.
    Shared,
}

/// What a row does not take over from one that it is like: its names, and what belongs to one place alone.
const OWN: [&str; 15] = [
    "name",
    "tag",
    "names",
    "tags",
    "like",
    "axis",
    "end",
    "at",
    "driver",
    "processor_pin",
    "excludes",
    "old_port",
    "old_direction",
    "undriven",
    "from",
];

/// More values than these are not copied: a board has some hundreds, and a file of some megabytes could ask for billions.
const MOST: usize = 20_000;

/// A series has no more names than these: boards have some dozens of ports, and each name needs a place of its own.
const LONGEST: u32 = 64;

/// The key that names a row, and the one for several.
fn naming(keys: &[(&'static str, Shape)]) -> Option<(&'static str, &'static str)> {
    let has = |wanted| keys.iter().any(|(key, _)| *key == wanted);
    if has("tag") {
        Some(("tag", "tags"))
    } else {
        has("name").then_some(("name", "names"))
    }
}

/// The keys that a list of such tables takes besides: the one for several names, and `like`.
pub(super) fn besides(keys: &[(&'static str, Shape)]) -> Option<(&'static str, &'static str)> {
    naming(keys)
}

/// Adds these keys to the schema of a row.
pub(super) fn offer(row: &mut Json, one: &str, several: &str) {
    if let Some(required) = row["required"].as_array_mut() {
        required.retain(|key| key != one);
    }
    let names = json!({
        "anyOf": [
            { "type": "array", "items": { "type": "string", "minLength": 1, "maxLength": 200 } },
            { "type": "string" },
        ],
        "description": "Names of like rows, a list or a series such as \"D1 .. D5\": each has its own; a key that takes one value may hold a list with one for each.",
    });
    let like = json!({
        "type": "string",
        "description": "The name of a row above, or of a kind of the catalogue: what it states and this one does not is taken over.",
    });
    let properties = &mut row["properties"];
    (properties[several], properties["like"]) = (names, like);
    if let Some(order) = row["propertyOrder"].as_array_mut() {
        let at = order.iter().position(|key| key == one).map_or(0, |at| at + 1);
        order.insert(at, json!(several));
        order.insert(at + 1, json!("like"));
    }
}

/// The rows that a list stands for; `None` where it is what it looks like.
pub(super) fn expanded<'a>(
    items: &DeArray<'a>,
    (said, keys): (&'static str, &[(&'static str, Shape)]),
    kinds: &'a Table<Kind>,
    reader: &mut Reader<'_>,
) -> Option<Vec<Node<'a>>> {
    let (one, several) = naming(keys)?;
    let table = |node: &Node<'a>| match node.get_ref() {
        DeValue::Table(table) => Some(table.contains_key(several) || table.contains_key("like")),
        _ => None,
    };
    if !items.iter().any(|item| table(item) == Some(true)) {
        return None;
    }
    let mut rows = Rows {
        known: BTreeMap::new(),
        out: Vec::new(),
        copied: 0,
        naming: (one, several),
        said,
        kinds,
    };
    for item in items.iter() {
        if rows.copied > MOST {
            let place = reader.place(item.span());
            let problem = format!("more than {MOST} values come from rows with several names");
            reader
                .faults
                .push(Diagnostic::new("bad-value", place, problem, "from here on").expected("fewer names"));
            break;
        }
        rows.add(item, keys, reader);
    }
    Some(rows.out)
}

struct Rows<'a> {
    /// The rows so far by their names; what they state, with what they took over.
    known: BTreeMap<String, DeTable<'a>>,
    out: Vec<Node<'a>>,
    copied: usize,
    naming: (&'static str, &'static str),
    /// What such a row is called.
    said: &'static str,
    kinds: &'a Table<Kind>,
}

impl<'a> Rows<'a> {
    fn add(&mut self, item: &Node<'a>, keys: &[(&'static str, Shape)], reader: &mut Reader<'_>) {
        let DeValue::Table(own) = item.get_ref() else {
            self.out.push(item.clone());
            return;
        };
        let (one, several) = self.naming;
        let mut row = own.clone();
        self.copied += row.len();
        if let Some((_, like)) = row.remove_entry("like") {
            self.take_over(&mut row, &like, item, reader);
        }
        let Some((key, names)) = row.remove_entry(several) else {
            let name = row.get(one).and_then(|name| name.get_ref().as_str());
            if let Some(name) = name {
                self.known.insert(name.trim().to_owned(), row.clone());
            }
            self.out
                .push(toml::Spanned::new(item.span(), DeValue::Table(row)));
            return;
        };
        let names: Vec<Node<'a>> = match names.get_ref() {
            DeValue::Array(names) if !names.is_empty() => names.iter().cloned().collect(),
            DeValue::String(text) if series(text).is_some() => {
                let each = series(text).into_iter().flatten().enumerate();
                each.map(|(at, name)| {
                    toml::Spanned::new(
                        apart(&key.span(), &names.span(), at),
                        DeValue::String(name.into()),
                    )
                })
                .collect()
            }
            _ => {
                reader.wrong_type(&names, "a list of names, or a series such as \"D1 .. D5\"");
                return;
            }
        };
        if let Some((_, also)) = row.remove_entry(one) {
            let place = reader.place(also.span());
            let problem = format!("a row has `{one}` or `{several}`, not both");
            reader.faults.push(
                Diagnostic::new("contradiction", place, problem, "the one name")
                    .other(reader.place(key.span()), "the others"),
            );
        }
        let mut seen: BTreeSet<String> = BTreeSet::new();
        for (at, name) in names.iter().enumerate() {
            if self.copied > MOST {
                return;
            }
            let mut each = share(&row, keys, (at, names.len()), &name.span());
            self.copied += each.len();
            // The key that is written, with the place of its name: a fault of the row is told there.
            let mut own_key = key.clone();
            *own_key.get_mut() = one.into();
            each.insert(own_key, name.clone());
            if let Some(name) = name.get_ref().as_str()
                && seen.insert(name.to_owned())
            {
                self.known.insert(name.trim().to_owned(), each.clone());
            }
            self.out
                .push(toml::Spanned::new(name.span(), DeValue::Table(each)));
        }
    }

    /// What the row states above that this one is like.
    fn take_over(
        &mut self,
        row: &mut DeTable<'a>,
        like: &Node<'a>,
        item: &Node<'a>,
        reader: &mut Reader<'_>,
    ) {
        let Some(name) = reader.string(like, "the name of a row above, in quotes") else {
            return;
        };
        let kind = self.kinds.get(name.trim()).filter(|kind| kind.of == self.said);
        if let (false, Some(kind)) = (self.known.contains_key(name.trim()), kind) {
            if let Ok(parsed) = DeValue::parse(kind.text())
                && let DeValue::Table(model) = parsed.into_inner()
            {
                merge(row, &placed(model, &like.span()), &like.span());
            }
            self.copied += row.len();
            return;
        }
        let Some(model) = self.known.get(name.trim()) else {
            let place = reader.place(like.span());
            let kinds = self.kinds.rows().iter().filter(|kind| kind.of == self.said);
            let names = self.known.keys().map(String::as_str);
            let names: Vec<&str> = names.chain(kinds.map(|kind| kind.name.as_str())).collect();
            let problem = format!(
                "no row above and no kind of {} is called `{}`",
                self.said,
                crate::diagnostic::cut(name, 60)
            );
            let mut fault = Diagnostic::new("unknown-reference", place, problem, "no such row or kind")
                .help(did_you_mean(name, names.iter().copied()));
            if !names.is_empty() {
                fault = fault.expected(one_of(names.iter().copied().take(20)));
            }
            reader.faults.push(fault);
            return;
        };
        merge(row, model, &item.span());
        self.copied += row.len();
    }
}

/// Adds what a table does not state itself; tables inside are merged alike.
fn merge<'a>(own: &mut DeTable<'a>, model: &DeTable<'a>, span: &core::ops::Range<usize>) {
    for (key, node) in model {
        if OWN.contains(&key.get_ref().as_ref()) {
            continue;
        }
        match (own.get_mut(key.get_ref().as_ref()), node.get_ref()) {
            (None, DeValue::Table(inner)) => {
                let mut taken = DeTable::new();
                merge(&mut taken, inner, span);
                own.insert(
                    key.clone(),
                    toml::Spanned::new(span.clone(), DeValue::Table(taken)),
                );
            }
            (None, DeValue::Array(items)) if key.get_ref() == "plug" => {
                let taken = items.iter().map(|item| match item.get_ref() {
                    DeValue::Table(inner) => {
                        let mut taken = DeTable::new();
                        merge(&mut taken, inner, span);
                        toml::Spanned::new(span.clone(), DeValue::Table(taken))
                    }
                    _ => item.clone(),
                });
                let taken: DeArray<'a> = taken.collect();
                own.insert(
                    key.clone(),
                    toml::Spanned::new(span.clone(), DeValue::Array(taken)),
                );
            }
            (None, _) => drop(own.insert(key.clone(), node.clone())),
            (Some(stated), DeValue::Table(inner)) => {
                if let DeValue::Table(stated) = stated.get_mut() {
                    merge(stated, inner, span);
                }
            }
            (Some(_), _) => {}
        }
    }
}

/// The share of one name in a row with several.
fn share<'a>(
    row: &DeTable<'a>,
    keys: &[(&'static str, Shape)],
    (at, count): (usize, usize),
    span: &core::ops::Range<usize>,
) -> DeTable<'a> {
    let mut out = DeTable::new();
    for (key, node) in row {
        let shape = keys.iter().find(|(own, _)| own == key.get_ref());
        let shape = shape.map_or(Shape::Shared, |(_, shape)| *shape);
        let each = match (node.get_ref(), shape) {
            (DeValue::Table(inner), Shape::Table(_, keys)) => {
                let own = share(inner, &keys(), (at, count), span);
                Some(toml::Spanned::new(span.clone(), DeValue::Table(own)))
            }
            (DeValue::Array(items), Shape::One) if items.len() == count => items.get(at).cloned(),
            (DeValue::String(text), Shape::One) if count > 1 => series(text)
                .filter(|each| each.len() == count)
                .and_then(|each| each.into_iter().nth(at))
                .map(|name| toml::Spanned::new(node.span(), DeValue::String(name.into()))),
            (DeValue::Array(pair), Shape::List) if along(pair, count).is_some() => {
                along(pair, count).map(|(x, y)| {
                    pair_of(
                        node,
                        [x, y].map(|from| match from.get_ref() {
                            DeValue::Array(each) => each[at].clone(),
                            _ => from.clone(),
                        }),
                    )
                })
            }
            (DeValue::Table(_), Shape::List) => crossed(node)
                .filter(|points| points.len() == count)
                .and_then(|points| points.get(at).cloned()),
            (DeValue::Array(items), Shape::List)
                if items.len() == count
                    && items
                        .iter()
                        .all(|item| matches!(item.get_ref(), DeValue::Array(_))) =>
            {
                items.get(at).cloned()
            }
            _ => None,
        };
        out.insert(key.clone(), each.unwrap_or_else(|| node.clone()));
    }
    out
}

/// A list of two in the place of a node.
fn pair_of<'a>(node: &Node<'a>, pair: [Node<'a>; 2]) -> Node<'a> {
    let pair: DeArray<'a> = pair.into_iter().collect();
    toml::Spanned::new(node.span(), DeValue::Array(pair))
}

/// Two coordinates of which one alone holds a value for each name.
fn along<'n, 'a>(pair: &'n DeArray<'a>, count: usize) -> Option<(&'n Node<'a>, &'n Node<'a>)> {
    if pair.len() != 2 {
        return None;
    }
    let each = |node: &Node<'_>| match node.get_ref() {
        DeValue::Array(each) => Some(each.len() == count),
        _ => None,
    };
    match (each(&pair[0]), each(&pair[1])) {
        (Some(true), None) | (None, Some(true)) => Some((&pair[0], &pair[1])),
        _ => None,
    }
}

/// The crossings of columns and rows, `{ x = [4, 108.1], y = [4, 82] }`: from left to right, row by row.
pub(super) fn crossed<'a>(node: &Node<'a>) -> Option<DeArray<'a>> {
    let DeValue::Table(table) = node.get_ref() else {
        return None;
    };
    let list = |key| match table.get(key)?.get_ref() {
        DeValue::Array(items) => Some(items),
        _ => None,
    };
    let (x, y) = (list("x")?, list("y")?);
    if table.len() != 2 || x.len().saturating_mul(y.len()) > MOST {
        return None;
    }
    let points = y
        .iter()
        .flat_map(|y| x.iter().map(|x| pair_of(node, [x.clone(), y.clone()])));
    Some(points.collect())
}

pub(super) fn crossed_schema() -> Json {
    let list = json!({ "type": "array", "items": { "type": "string" }, "minItems": 1 });
    json!({
        "type": "object",
        "description": "The crossings of columns and rows, from left to right, row by row.",
        "properties": { "x": list, "y": list },
        "required": ["x", "y"],
        "additionalProperties": false,
    })
}

/// The place of one name of a series. Rows are told apart by their places: each begins some letters further before the value, and once the
/// key is used up ends some letters sooner.
fn apart(
    key: &core::ops::Range<usize>,
    value: &core::ops::Range<usize>,
    at: usize,
) -> core::ops::Range<usize> {
    let before = value.start.saturating_sub(key.start) + 1;
    let start = value.start - at % before;
    start..value.end.saturating_sub(at / before).max(start)
}

/// The names of a series such as "D1 .. D5": of one stem with whole numbers that rise.
fn series(text: &str) -> Option<Vec<String>> {
    let (first, last) = text.split_once("..")?;
    let (stem, from) = numbered(first.trim())?;
    let (other, to) = numbered(last.trim())?;
    let (low, high): (u32, u32) = (from.parse().ok()?, to.parse().ok()?);
    // Two numbers with leading zeros keep their width.
    let width = if from.starts_with('0') { from.len() } else { 1 };
    let is_name = stem
        .chars()
        .all(|letter| letter.is_alphabetic() || "-_".contains(letter));
    if stem != other || !is_name || low >= high || high - low >= LONGEST {
        return None;
    }
    Some(
        (low..=high)
            .map(|number| format!("{stem}{number:0width$}"))
            .collect(),
    )
}

/// A name parted before its last digits.
fn numbered(name: &str) -> Option<(&str, &str)> {
    let stem = name.trim_end_matches(|letter: char| letter.is_ascii_digit());
    let digits = &name[stem.len()..];
    (!digits.is_empty() && digits.len() <= 6).then_some((stem, digits))
}

/// A table of the catalogue at the place that names it.
fn placed<'a>(table: DeTable<'a>, span: &core::ops::Range<usize>) -> DeTable<'a> {
    fn node<'a>(of: Node<'a>, span: &core::ops::Range<usize>) -> Node<'a> {
        let value = match of.into_inner() {
            DeValue::Table(table) => DeValue::Table(placed(table, span)),
            DeValue::Array(items) => {
                let items: DeArray<'a> = items.into_iter().map(|item| node(item, span)).collect();
                DeValue::Array(items)
            }
            other => other,
        };
        toml::Spanned::new(span.clone(), value)
    }
    let mut out = DeTable::new();
    for (key, value) in table {
        let key = toml::Spanned::new(span.clone(), key.into_inner());
        out.insert(key, node(value, span));
    }
    out
}
