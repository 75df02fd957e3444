//! From a TOML value to a typed field, collecting every fault on the way.
//!
//! Each type that can stand in a file implements [`Field`]: how it is read, and its JSON Schema. A table type is declared
//! with `record!` and a closed list of words with `words!`, so reading, checking and schema come from one declaration.

pub(crate) mod bounds;
pub(crate) mod rows;
mod table;
pub(crate) mod usual;
mod values;

use std::collections::BTreeSet;

use std::sync::Arc;

use quantity::{End, TextError};
use serde_json::{Value as Json, json};
use toml::Spanned;
use toml::de::DeValue;

use crate::diagnostic::{Diagnostic, cut};
use crate::source::{FileId, Located, Name, Place};

pub(crate) use rows::Shape;

pub use usual::{Answer, Assumed, Supposed};
pub(crate) use usual::{Assumptions, Scope, Told, UNKNOWN};

pub(crate) use table::{Keys, expectation, not_known, property, record, unknown_word, words};
pub use values::{Point, Tolerance};

pub(crate) type Node<'a> = Spanned<DeValue<'a>>;

/// Collects faults while one file is read.
pub(crate) struct Reader<'a> {
    pub file: FileId,
    pub text: &'a str,
    pub faults: &'a mut Vec<Diagnostic>,
    /// Names and tags of tables that were refused: a reference to one of them is no second fault.
    pub refused: BTreeSet<String>,
    /// Keys that are there but could not be read, or are spelt otherwise: their absence is no second fault.
    pub lost: Lost,
    /// The key that is being read.
    pub asked: Option<bounds::Asked>,
    /// Whether its value keeps to a bound.
    pub bounded: bool,
    /// The path of the file, where it has a name of its own.
    pub path: Option<Arc<str>>,
    /// The place that a value has which stands in no file: that of the table that lacks it.
    pub stand_in: Option<core::ops::Range<usize>>,
    /// The end of such a value that is taken alone.
    pub end: Option<End>,
    /// The unit of bare lengths in a drawing; millimetres where nothing is said.
    pub drawing: Option<&'static str>,
    /// The tables around what is being read, from the outside in.
    pub scopes: Vec<Scope>,
    /// What was taken for what nobody stated.
    pub assumptions: &'a mut Assumptions,
    /// Kinds that a row may be like.
    pub kinds: &'a catalogue::Table<catalogue::Kind>,
}

/// Keys by the place of their table.
pub(crate) type Lost = BTreeSet<(Place, &'static str)>;

impl Reader<'_> {
    pub fn place(&self, span: core::ops::Range<usize>) -> Place {
        Place::new(self.file, self.stand_in.clone().unwrap_or(span))
    }

    /// Remembers the name of a table that is refused, if the key is one.
    fn refuse_name(&mut self, key: &str, node: &Node<'_>) {
        if let DeValue::String(text) = node.get_ref()
            && ["name", "tag"].contains(&key)
        {
            self.refused.insert(text.trim().to_owned());
        }
    }

    /// Remembers the names of the table, or tables, under an unknown key.
    fn refuse_names(&mut self, node: &Node<'_>) {
        match node.get_ref() {
            DeValue::Table(table) => {
                for (key, node) in table {
                    self.refuse_name(key.get_ref(), node);
                }
            }
            DeValue::Array(items) => {
                for item in items
                    .iter()
                    .filter(|item| matches!(item.get_ref(), DeValue::Table(_)))
                {
                    self.refuse_names(item);
                }
            }
            _ => {}
        }
    }

    pub fn wrong_type(&mut self, node: &Node<'_>, expected: &str) {
        let place = self.place(node.span());
        let found = type_name(node.get_ref());
        self.faults.push(
            Diagnostic::new(
                "wrong-type",
                place,
                format!("expected {expected}, found {found}"),
                format!("this is {found}"),
            )
            .expected(expected),
        );
    }

    /// The text of a string node, or a fault.
    pub fn string<'n>(&mut self, node: &'n Node<'_>, expected: &str) -> Option<&'n str> {
        match node.get_ref() {
            DeValue::String(text) => Some(text),
            DeValue::Integer(_) | DeValue::Float(_) => {
                let place = self.place(node.span());
                let written = cut(self.text.get(node.span()).unwrap_or(""), 40);
                self.faults.push(
                    Diagnostic::new(
                        "wrong-type",
                        place,
                        format!("expected {expected}, found a bare number"),
                        "a number without quotes",
                    )
                    .expected(expected)
                    .help(format!(
                        "write it as text with its unit, such as \"{written} ...\""
                    )),
                );
                None
            }
            _ => {
                self.wrong_type(node, expected);
                None
            }
        }
    }

    /// A fault inside a string; its span is shifted into the file where the string has no escapes.
    pub fn text_fault(&mut self, node: &Node<'_>, text: &str, error: TextError) {
        let span = node.span();
        let raw = self.text.get(span.clone()).unwrap_or("");
        let quotes = raw.len().saturating_sub(text.len()) / 2;
        let inside = raw.get(quotes..quotes + text.len()) == Some(text);
        let span = if inside && !error.span.is_empty() {
            span.start + quotes + error.span.start..span.start + quotes + error.span.end
        } else {
            span
        };
        let place = self.place(span);
        self.faults.push(
            Diagnostic::new("bad-value", place, error.problem.clone(), error.problem)
                .expected(error.expected)
                .help(error.help),
        );
    }
}

fn type_name(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// A type that can stand as a value in a file.
pub(crate) trait Field: Sized {
    /// Reads a node; `None` after at least one fault was reported.
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self>;
    /// What stands for a key that is not there; `None` where the key is needed.
    fn absent() -> Option<Self> {
        None
    }
    /// What stands for a needed key after its fault was reported; `None` where the whole table is refused then.
    fn lost() -> Option<Self> {
        None
    }
    /// What stands for a needed table that is not there, where all it holds can be taken from what is usual.
    fn implied(_place: Place, _reader: &mut Reader<'_>) -> Option<Self> {
        None
    }
    /// Whether it is a table, so that a list of them is still of use without a refused one.
    const TABLE: bool = false;
    /// Whether a list of them may be given as the crossings of some columns with some rows.
    const CROSSED: bool = false;
    /// Whether it is a needed table that need not be there.
    const IMPLIED: bool = false;
    /// What it is to rows with several names.
    fn shape() -> Shape {
        Shape::One
    }
    /// The JSON Schema of the value.
    fn schema() -> Json;
    /// Where an optional value was written; `None` where it was not, and for what can't be left out.
    fn written(&self) -> Option<Place> {
        None
    }
}

/// A value that knows its place.
pub(crate) trait Placed {
    fn place(&self) -> Place;
}

impl<T> Placed for Located<T> {
    fn place(&self) -> Place {
        self.place
    }
}

impl<T: Field + Placed> Field for Option<T> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        T::read(node, reader).map(Some)
    }
    fn absent() -> Option<Self> {
        Some(None)
    }
    fn shape() -> Shape {
        T::shape()
    }
    fn schema() -> Json {
        T::schema()
    }
    fn written(&self) -> Option<Place> {
        self.as_ref().map(Placed::place)
    }
}

/// A needed part whose faults do not hide those of its neighbours: the table around it goes on to the checks.
#[derive(Clone, Debug, PartialEq)]
pub struct Needed<T>(pub Option<T>);

impl<T: Field> Field for Needed<T> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        Some(Self(T::read(node, reader)))
    }
    fn lost() -> Option<Self> {
        Some(Self(None))
    }
    fn implied(place: Place, reader: &mut Reader<'_>) -> Option<Self> {
        T::TABLE.then(|| Self(T::read(&usual::empty(place), reader)))
    }
    const IMPLIED: bool = T::TABLE;
    fn shape() -> Shape {
        T::shape()
    }
    fn schema() -> Json {
        T::schema()
    }
}

impl<T: Field + Placed> Field for Vec<T> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let crossed = T::CROSSED.then(|| rows::crossed(node)).flatten();
        let items = match (node.get_ref(), &crossed) {
            (_, Some(points)) => points,
            (DeValue::Array(items), _) => items,
            _ => {
                reader.wrong_type(node, "a list");
                return None;
            }
        };
        let rows = match T::shape() {
            Shape::Table(said, keys) => rows::expanded(items, (said, &keys()), reader.kinds, reader),
            _ => None,
        };
        if let Some(rows) = rows {
            return Some(rows.iter().filter_map(|item| T::read(item, reader)).collect());
        }
        let read: Vec<T> = items.iter().filter_map(|item| T::read(item, reader)).collect();
        // Of values a part would be misread, such as three of four pins; of tables the others are still checked.
        (T::TABLE || read.len() == items.len()).then_some(read)
    }
    fn absent() -> Option<Self> {
        Some(Vec::new())
    }
    fn schema() -> Json {
        let mut items = T::schema();
        if let Shape::Table(_, keys) = T::shape()
            && let Some((one, several)) = rows::besides(&keys())
        {
            rows::offer(&mut items, one, several);
        }
        let list = json!({ "type": "array", "items": items });
        if T::CROSSED {
            return json!({ "anyOf": [list, rows::crossed_schema()] });
        }
        list
    }
    fn shape() -> Shape {
        match T::shape() {
            Shape::One => Shape::List,
            _ => Shape::Shared,
        }
    }
    fn written(&self) -> Option<Place> {
        self.first().map(Placed::place)
    }
}

/// Tables under names of the user's choice, in the order of the file: `[rails.5V]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Map<T>(pub Vec<(Name, T)>);

impl<T: Field> Field for Map<T> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let DeValue::Table(table) = node.get_ref() else {
            reader.wrong_type(node, "a table");
            return None;
        };
        let mut out = Vec::new();
        for (key, value) in table.iter() {
            let name = Located {
                value: key.get_ref().to_string(),
                place: reader.place(key.span()),
            };
            reader.scopes.push(Scope::named(&name.value));
            let unknown = usual::is_unknown(&name.value, value);
            let read = if unknown {
                T::read(&usual::empty(name.place), reader)
            } else {
                T::read(value, reader)
            };
            reader.scopes.pop();
            match read {
                Some(value) => out.push((name, value)),
                None => drop(reader.refused.insert(name.value)),
            }
        }
        Some(Self(out))
    }
    fn absent() -> Option<Self> {
        Some(Self(Vec::new()))
    }
    fn schema() -> Json {
        json!({ "type": "object", "additionalProperties": T::schema() })
    }
    fn shape() -> Shape {
        Shape::Shared
    }
}
