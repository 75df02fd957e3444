//! Tables with named keys, and closed lists of words: each declared once for reading, checking and schema.

use std::borrow::Cow;

use serde_json::{Value as Json, json};
use toml::Spanned;
use toml::de::DeValue;

use super::bounds::Asked;
use super::usual::{Scope, is_unknown};
use super::{Field, Node, Reader};
use crate::diagnostic::{Diagnostic, cut, one_of, with_article};
use crate::source::Place;

/// A key, its value, and whether it was taken.
type Entry<'n, 'a> = (&'n Spanned<Cow<'a, str>>, &'n Node<'a>, bool);

/// A needed key that says `?`, and for which nothing usual stands in: at its own line.
pub(crate) fn not_known(key: &str, at: Place, what: &str) -> Diagnostic {
    Diagnostic::new(
        "missing-key",
        at,
        format!("`{key}` says `?`, and {what} cannot do without it: nothing usual stands in"),
        "not known",
    )
}

/// Reads the keys of a table: the needed, the optional, and the unknown ones.
pub(crate) struct Keys<'n, 'a> {
    entries: Vec<Entry<'n, 'a>>,
    pub place: Place,
    name: &'static str,
    known: &'static [&'static str],
    failed: bool,
}

impl<'n, 'a> Keys<'n, 'a> {
    /// `known` are all keys of the table.
    pub fn new(
        node: &'n Node<'a>,
        reader: &mut Reader<'_>,
        name: &'static str,
        known: &'static [&'static str],
    ) -> Option<Self> {
        let DeValue::Table(table) = node.get_ref() else {
            reader.wrong_type(node, &format!("a table ({name})"));
            if let (Some(help), DeValue::Array(_), Some(fault)) =
                (alone(name), node.get_ref(), reader.faults.last_mut())
            {
                fault.help = Some(help.to_owned());
            }
            return None;
        };
        let entries: Vec<_> = table.iter().map(|(key, value)| (key, value, false)).collect();
        // The span of a table that has a header ends with the header; a fault about a missing key points there.
        let place = reader.place(node.span());
        let kind = kind(&entries);
        for (key, _, _) in &entries {
            if let Some(meant) = meant(name, key.get_ref(), kind, known)
                && !table.contains_key(meant)
            {
                reader.lost.insert((place, meant));
            }
        }
        // A drawing states its unit once, for what belongs to it too: the case for its openings, the outline for the ports behind it.
        if ["outline", "case"].contains(&name) {
            let unit = table.get("unit").and_then(|node| node.get_ref().as_str());
            reader.drawing = (unit == Some("in")).then_some("in");
        }
        reader.scopes.push(Scope::of(name, table));
        let Reader {
            assumptions,
            path,
            scopes,
            ..
        } = reader;
        assumptions.keep_scope(place, path, scopes);
        Some(Self {
            entries,
            place,
            name,
            known,
            failed: false,
        })
    }

    /// Reads one key; `doc` says what it is for.
    pub fn take<T: Field>(&mut self, key: &'static str, doc: &str, reader: &mut Reader<'_>) -> Option<T> {
        let found = self.entries.iter_mut().find(|(name, _, _)| name.get_ref() == key);
        let mut said_unknown = None;
        let found = found.and_then(|(_, node, used)| {
            *used = true;
            if is_unknown(key, node) {
                said_unknown = Some(node.span());
                return None;
            }
            Some(node)
        });
        let said_unknown = said_unknown.map(|span| reader.place(span));
        if let Some(at) = said_unknown {
            reader.assumptions.unknown.insert((self.place, key), at);
        }
        let value = match found {
            Some(node) => {
                let outer = reader.asked.replace(Asked {
                    table: self.name,
                    key,
                });
                let read = T::read(node, reader);
                reader.asked = outer;
                read.or_else(|| {
                    reader.lost.insert((self.place, key));
                    T::absent().or_else(T::lost)
                })
            }
            None => T::absent()
                .or_else(|| T::implied(self.place, reader))
                .or_else(|| reader.usual(self.place, key))
                .or_else(|| {
                    if reader.lost.insert((self.place, key)) {
                        let fault = match said_unknown {
                            Some(at) => not_known(key, at, self.name),
                            None => Diagnostic::new(
                                "missing-key",
                                self.place,
                                format!("`{key}` is missing in this {}", self.name),
                                format!("`{key}` is missing"),
                            ),
                        };
                        reader
                            .faults
                            .push(fault.expected(missing(key, doc, &T::schema())));
                    }
                    T::lost()
                }),
        };
        self.failed |= value.is_none();
        value
    }

    /// Reports what no key was taken for; whether the table can be used.
    pub fn finish(self, reader: &mut Reader<'_>) -> bool {
        reader.scopes.pop();
        if self.name == "case" {
            reader.drawing = None;
        }
        let kind = kind(&self.entries);
        for (key, node, _) in self.entries.iter().filter(|(_, _, used)| !used) {
            let place = reader.place(key.span());
            let written = key.get_ref().as_ref();
            let shown = cut(written, 60);
            reader.refuse_names(node);
            if let Some(new) = catalogue::renamed_key(self.name, written, kind) {
                reader.faults.push(is_now(place, written, new));
                continue;
            }
            reader.faults.push(
                Diagnostic::new(
                    "unknown-key",
                    place,
                    format!("{} has no key `{shown}`", with_article(self.name)),
                    "unknown key",
                )
                .expected(one_of(self.known.iter().copied()))
                .help(crate::diagnostic::did_you_mean(
                    written,
                    self.known.iter().copied(),
                )),
            );
        }
        if self.failed {
            for (key, node, _) in &self.entries {
                reader.refuse_name(key.get_ref(), node);
            }
        }
        !self.failed
    }
}

/// What to write in place of several tables where there can be one alone.
fn alone(name: &str) -> Option<&'static str> {
    (name == "cable").then_some(
        "a device has one cable, at one port: write its further plugs, which go to other ports, as [[device.plug]]",
    )
}

/// The kind that a table of measurements states.
fn kind<'n>(entries: &[Entry<'n, '_>]) -> Option<&'n str> {
    let (_, node, _) = entries.iter().find(|(key, _, _)| key.get_ref() == "kind")?;
    node.get_ref().as_str()
}

/// A key or word that has another name now.
fn is_now(place: Place, old: &str, new: &str) -> Diagnostic {
    Diagnostic::new("renamed", place, format!("`{old}` is now `{new}`"), "old name").help(format!(
        "write `{new}`; `cargo xtask rename-keys FOLDER` renames all at once"
    ))
}

/// The key that an unknown one was probably meant to be.
fn meant(
    table: &str,
    written: &str,
    kind: Option<&str>,
    known: &'static [&'static str],
) -> Option<&'static str> {
    if known.contains(&written) {
        return None;
    }
    if let Some(new) = catalogue::renamed_key(table, written, kind) {
        return known.iter().copied().find(|key| *key == new);
    }
    catalogue::nearest(written, known.iter().copied())
}

/// What was expected where a key is missing: what it is for, and what may stand there.
fn missing(key: &str, doc: &str, schema: &Json) -> String {
    let doc = doc.trim().trim_end_matches('.');
    let table = schema.get("properties").is_some();
    let kind = if table {
        "a table".to_owned()
    } else {
        expectation(schema)
    };
    let kind = kind.replacen("A ", "a ", usize::from(kind.starts_with("A ")));
    format!("the key `{key}`: {doc} ({kind})")
}

/// A few words on what a schema asks for.
pub(crate) fn expectation(schema: &Json) -> String {
    let first = |list: &Json| {
        list.get(0).map(|item| {
            if item.is_string() {
                item.clone()
            } else {
                json!(item.to_string())
            }
        })
    };
    if let Some(text) = schema["description"].as_str() {
        return text.trim_end_matches('.').to_owned();
    }
    if let Some(words) = schema["enum"].as_array() {
        return one_of(words.iter().filter_map(Json::as_str));
    }
    if let Some(example) = first(&schema["examples"]) {
        return format!("such as {}", example.as_str().unwrap_or(""));
    }
    match schema["type"].as_str() {
        Some("string") => "text in quotes".to_owned(),
        Some("integer") => "a whole number".to_owned(),
        Some("boolean") => "true or false".to_owned(),
        Some("array") => "a list".to_owned(),
        _ => "a table".to_owned(),
    }
}

/// Declares a table of a file: the struct, how it is read, and its schema.
macro_rules! record {
    ($(#[doc = $doc:literal])* $vis:vis struct $name:ident($said:literal) {
        $( $(#[doc = $field_doc:literal])* $field:ident: $type:ty, )*
    }) => {
        $(#[doc = $doc])*
        #[derive(Clone, Debug, PartialEq)]
        $vis struct $name {
            $( $(#[doc = $field_doc])* pub $field: $type, )*
            /// Where the table begins.
            pub place: $crate::source::Place,
        }

        impl $crate::read::Placed for $name {
            fn place(&self) -> $crate::source::Place {
                self.place
            }
        }

        #[allow(dead_code, reason = "tables without optional keys do not ask for it")]
        impl $name {
            /// Optional keys that are still there: what no role or kind has taken means nothing in this table.
            pub(crate) fn leftover(&self) -> Vec<(&'static str, $crate::source::Place)> {
                let written = [$((stringify!($field), $crate::read::Field::written(&self.$field))),*];
                written.into_iter().filter_map(|(key, place)| Some((key, place?))).collect()
            }
        }

        impl $crate::read::Field for $name {
            fn read(node: &$crate::read::Node<'_>, reader: &mut $crate::read::Reader<'_>) -> Option<Self> {
                let known: &[&'static str] = &[$(stringify!($field)),*];
                let mut keys = $crate::read::Keys::new(node, reader, $said, known)?;
                let place = keys.place;
                $( let $field = keys.take::<$type>(stringify!($field), concat!("" $(, $field_doc)*), reader); )*
                if !keys.finish(reader) {
                    return None;
                }
                Some(Self { $( $field: $field?, )* place })
            }
            const TABLE: bool = true;
            fn shape() -> $crate::read::Shape {
                $crate::read::Shape::Table($said, || vec![$((stringify!($field), <$type as $crate::read::Field>::shape())),*])
            }
            fn schema() -> serde_json::Value {
                let mut properties = serde_json::Map::new();
                let mut required: Vec<&str> = Vec::new();
                $( $crate::read::property::<$type>(
                    &mut properties, &mut required, ($said, stringify!($field)), concat!("" $(, $field_doc)*)); )*
                serde_json::json!({
                    "type": "object",
                    "description": concat!("" $(, $doc)*).trim(),
                    "properties": properties,
                    "propertyOrder": [$(stringify!($field)),*],
                    "required": required,
                    "additionalProperties": false,
                })
            }
        }
    };
}
pub(crate) use record;

pub(crate) fn property<T: Field>(
    properties: &mut serde_json::Map<String, Json>,
    required: &mut Vec<&'static str>,
    (table, key): (&'static str, &'static str),
    doc: &str,
) {
    let mut schema = T::schema();
    if let Some(object) = schema.as_object_mut() {
        let own = object
            .get("description")
            .and_then(Json::as_str)
            .unwrap_or("")
            .to_owned();
        let text = if object.contains_key("properties") || own.is_empty() {
            doc.trim().to_owned()
        } else {
            format!("{} {own}", doc.trim())
        };
        let text = match (Asked { table, key })
            .bound()
            .and_then(|bound| bound.split_once(" .. "))
        {
            Some((low, high)) => format!("{text} From {low} to {high}."),
            None => text,
        };
        object.insert("description".to_owned(), json!(text));
    }
    properties.insert(key.to_owned(), schema);
    if T::absent().is_none() && !T::IMPLIED && catalogue::rows_of(table, key).is_empty() {
        required.push(key);
    }
}

/// Declares a closed list of words that may stand as a value.
macro_rules! words {
    ($(#[doc = $doc:literal])* $vis:vis enum $name:ident($said:literal) {
        $( $(#[doc = $word_doc:literal])* $variant:ident = $word:literal, )*
    }) => {
        $(#[doc = $doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        $vis enum $name { $( $(#[doc = $word_doc])* $variant, )* }

        impl $name {
            /// All words, in the order of the format's page.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];
            /// The word as it stands in files and on pages.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$variant => $word,)* }
            }
        }

        impl core::fmt::Display for $name {
            fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
                formatter.pad(self.word())
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.word())
            }
        }

        impl $crate::read::Field for $crate::source::Located<$name> {
            fn read(node: &$crate::read::Node<'_>, reader: &mut $crate::read::Reader<'_>) -> Option<Self> {
                let text = reader.string(node, concat!("a ", $said, " in quotes"))?.trim().to_owned();
                let place = reader.place(node.span());
                if let Some(value) = $name::ALL.iter().find(|value| value.word() == text) {
                    return Some($crate::source::Located { value: *value, place });
                }
                $crate::read::unknown_word(reader, place, $said, &text, &[$($word),*]);
                None
            }
            fn schema() -> serde_json::Value {
                // The names are for a reader that knows just JSON Schema, the second list for editors that show it.
                serde_json::json!({
                    "type": "string",
                    "enum": [$($word),*],
                    "enumDescriptions": [$(concat!("" $(, $word_doc)*).trim()),*],
                })
            }
        }
    };
}
pub(crate) use words;

pub(crate) fn unknown_word(
    reader: &mut Reader<'_>,
    place: Place,
    said: &str,
    text: &str,
    words: &[&'static str],
) {
    if let Some(new) = catalogue::renamed_word(said, text) {
        reader.faults.push(is_now(place, text, new));
        return;
    }
    let shown = cut(text, 60);
    reader.faults.push(
        Diagnostic::new(
            "unknown-word",
            place,
            format!("`{shown}` is not a {said}"),
            format!("not a {said}"),
        )
        .expected(one_of(words.iter().copied()))
        .help(crate::diagnostic::did_you_mean(text, words.iter().copied())),
    );
}
