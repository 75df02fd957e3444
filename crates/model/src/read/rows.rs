//! Like rows written once: a row with several names, and a row like one above it. Both become rows of their own before anything reads them.
//!
//! `names = ["D1", "D2"]` (of devices `tags`) stands for a row each; a key that takes one value may then hold a list with one for each name.
//! `like = "D1"` takes over what the row of that name states and this one does not, but for what belongs to one place alone.
//! Each value keeps the place where it is written, and each row that of its name.

use std::collections::{BTreeMap, BTreeSet};

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
    Table(fn() -> Vec<(&'static str, Shape)>),
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
        "type": "array",
        "items": { "type": "string", "minLength": 1, "maxLength": 200 },
        "description": "Names of like rows: each has its own; a key that takes one value may hold a list with one for each.",
    });
    let like = json!({
        "type": "string",
        "description": "The name of a row above: what it states and this one does not is taken over.",
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
    keys: &[(&'static str, Shape)],
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
            _ => {
                reader.wrong_type(&names, "a list of names");
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
        let Some(model) = self.known.get(name.trim()) else {
            let place = reader.place(like.span());
            let names: Vec<&str> = self.known.keys().map(String::as_str).collect();
            let problem = format!("no row above is called `{}`", crate::diagnostic::cut(name, 60));
            let mut fault = Diagnostic::new("unknown-reference", place, problem, "no such row above")
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
            (DeValue::Table(inner), Shape::Table(keys)) => {
                let own = share(inner, &keys(), (at, count), span);
                Some(toml::Spanned::new(span.clone(), DeValue::Table(own)))
            }
            (DeValue::Array(items), Shape::One) if items.len() == count => items.get(at).cloned(),
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
