//! From a TOML value to a typed field, collecting every fault on the way.
//!
//! Each type that can stand in a file implements [`Field`]: how it is read, and its JSON Schema. A table type is declared
//! with `record!` and a closed list of words with `words!`, so reading, checking and schema come from one declaration.

use std::borrow::Cow;
use std::collections::BTreeSet;

use quantity::{Kind, Memory, Number, Price, Quantity, Range, TextError, Value, WireSize};
use serde_json::{Value as Json, json};
use toml::Spanned;
use toml::de::DeValue;

use crate::diagnostic::Diagnostic;
use crate::source::{FileId, Located, Name, Place};

pub(crate) type Node<'a> = Spanned<DeValue<'a>>;

/// Collects faults while one file is read.
pub(crate) struct Reader<'a> {
    pub file: FileId,
    pub text: &'a str,
    pub faults: &'a mut Vec<Diagnostic>,
    /// Each name or tag that was written, also in tables that were then refused: a reference to it is no second fault.
    pub declared: BTreeSet<String>,
}

impl Reader<'_> {
    pub fn place(&self, span: core::ops::Range<usize>) -> Place {
        Place::new(self.file, span)
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
                let written = self.text.get(node.span()).unwrap_or("").to_owned();
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
    fn schema() -> Json {
        T::schema()
    }
    fn written(&self) -> Option<Place> {
        self.as_ref().map(Placed::place)
    }
}

impl<T: Field + Placed> Field for Vec<T> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let DeValue::Array(items) = node.get_ref() else {
            reader.wrong_type(node, "a list");
            return None;
        };
        // What could be read is kept: a bad item must not hide the others from later checks.
        Some(items.iter().filter_map(|item| T::read(item, reader)).collect())
    }
    fn absent() -> Option<Self> {
        Some(Vec::new())
    }
    fn schema() -> Json {
        json!({ "type": "array", "items": T::schema() })
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
            reader.declared.insert(name.value.clone());
            if let Some(value) = T::read(value, reader) {
                out.push((name, value));
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
}

/// Up to 200 characters of one line.
impl Field for Name {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let text = reader.string(node, "a name in quotes")?;
        let place = reader.place(node.span());
        let fault = if text.trim().is_empty() {
            Some("an empty name")
        } else if text.chars().count() > 200 {
            Some("a name of more than 200 characters")
        } else if text.chars().any(char::is_control) {
            Some("a name with a control character")
        } else {
            None
        };
        if let Some(fault) = fault {
            reader.faults.push(
                Diagnostic::new("bad-name", place, fault, fault).expected("one line of visible characters"),
            );
            return None;
        }
        Some(Located {
            value: text.trim().to_owned(),
            place,
        })
    }
    fn schema() -> Json {
        json!({ "type": "string", "minLength": 1, "maxLength": 200 })
    }
}

impl Field for Located<bool> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let DeValue::Boolean(value) = node.get_ref() else {
            reader.wrong_type(node, "true or false");
            return None;
        };
        Some(Located {
            value: *value,
            place: reader.place(node.span()),
        })
    }
    fn schema() -> Json {
        json!({ "type": "boolean" })
    }
}

/// A whole number that is not negative, decimal or hexadecimal.
impl Field for Located<u32> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let DeValue::Integer(integer) = node.get_ref() else {
            reader.wrong_type(node, "a whole number");
            return None;
        };
        let place = reader.place(node.span());
        let digits: String = integer.as_str().chars().filter(|c| *c != '_').collect();
        match u32::from_str_radix(&digits, integer.radix()) {
            Ok(value) => Some(Located { value, place }),
            Err(_) => {
                reader.faults.push(
                    Diagnostic::new("bad-value", place, "the number is out of range", "out of range")
                        .expected("a whole number from 0 to 4294967295"),
                );
                None
            }
        }
    }
    fn schema() -> Json {
        json!({ "type": "integer", "minimum": 0, "maximum": u32::MAX })
    }
}

/// What a kind may be in a file of this trade, in base units: (smallest, largest, how it is said).
fn plausible(kind: Kind) -> (f64, f64, &'static str) {
    const TINY: f64 = f64::MIN_POSITIVE;
    match kind {
        Kind::Voltage => (TINY, 400.0, "above 0 V and at most 400 V"),
        Kind::Current => (TINY, 100.0, "above 0 A and at most 100 A"),
        Kind::Resistance => (TINY, 1e8, "above 0 Ω and at most 100 MΩ"),
        Kind::Power => (TINY, 5e3, "above 0 W and at most 5 kW"),
        Kind::Inductance => (TINY, 1.0, "above 0 H and at most 1 H"),
        Kind::Capacitance => (TINY, 1.0, "above 0 F and at most 1 F"),
        Kind::Frequency => (TINY, 1e9, "above 0 Hz and at most 1 GHz"),
        Kind::Length => (0.0, 10.0, "from 0 mm to 10 m"),
        Kind::Area => (TINY, 1.0, "above 0 and at most 1 m²"),
        Kind::Mass => (TINY, 500.0, "above 0 and at most 500 kg"),
        Kind::Time => (0.0, 1e6, "from 0 s to 11 days"),
        Kind::Velocity => (TINY, 5.0, "above 0 and at most 5000 mm/s"),
        Kind::Acceleration => (TINY, 200.0, "above 0 and at most 200 m/s²"),
        Kind::Force => (TINY, 1e4, "above 0 and at most 10 kN"),
        Kind::Torque => (TINY, 100.0, "above 0 and at most 100 N m"),
        Kind::Angle => (0.0, 7.0, "from 0° to 360°"),
        Kind::AngularVelocity => (TINY, 1e4, "above 0"),
        Kind::Temperature => (203.15, 873.15, "from -70 °C to 600 °C"),
        Kind::TemperatureDifference => (0.0, 600.0, "from 0 K to 600 K"),
        Kind::ThermalResistance => (TINY, 1e4, "above 0 K/W"),
        Kind::ThermalConductance => (TINY, 1e4, "above 0 W/K"),
        Kind::HeatCapacity => (TINY, 1e6, "above 0 J/K"),
        Kind::TemperatureCoefficient => (0.0, 1.0, "from 0 to 100 %/K"),
        Kind::StepDensity => (TINY, 1e8, "above 0 step/mm"),
        Kind::ResistancePerLength => (TINY, 1e4, "above 0 Ω/m"),
        Kind::Ratio => (0.0, 1e6, "not negative"),
        Kind::Energy => (0.0, 1e9, "not negative"),
    }
}

/// Checks the outermost bounds of a value against what is plausible, and says how.
fn within_reason(reader: &mut Reader<'_>, place: Place, kind: Kind, low: f64, high: f64) -> Option<()> {
    let (smallest, largest, allowed) = plausible(kind);
    let problem = if low < 0.0 && smallest >= 0.0 {
        "a negative value makes no sense here"
    } else if low < smallest {
        "the value is too small"
    } else if high > largest {
        "the value is too large"
    } else {
        return Some(());
    };
    let name = kind.name();
    reader.faults.push(
        Diagnostic::new(
            "implausible-value",
            place,
            format!("{problem}: a {name} of this trade is {allowed}"),
            problem,
        )
        .expected(format!("a {name} {allowed}"))
        .help("check the decimal point and the unit's prefix".to_owned()),
    );
    None
}

macro_rules! text_field {
    ($(($type:ty, $parse:path, $expected:expr, $schema:expr);)*) => { $(
        impl Field for Located<$type> {
            fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
                let text = reader.string(node, $expected)?;
                match $parse(text) {
                    Ok(value) => Some(Located { value, place: reader.place(node.span()) }),
                    Err(error) => {
                        let text = text.to_owned();
                        reader.text_fault(node, &text, error);
                        None
                    }
                }
            }
            fn schema() -> Json {
                $schema
            }
        }
    )* };
}

text_field! {
    (Price, quantity::parse_price, "a price in quotes, such as \"12.50 EUR\"", json!({ "type": "string", "examples": ["12.50 EUR"] }));
    (Memory, quantity::parse_memory, "memory in quotes, such as \"512 KiB\"", json!({ "type": "string", "examples": ["512 KiB"] }));
    (WireSize, quantity::parse_wire_size, "a wire size in quotes, such as \"20 AWG\"", json!({ "type": "string", "examples": ["20 AWG", "0.5 mm²"] }));
}

fn expected_quantity<Q: Quantity>() -> String {
    format!("a {} in quotes ({})", Q::KIND.name(), Q::KIND.examples())
}

impl<Q: Quantity> Field for Located<Value<Q>> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let text = reader.string(node, &expected_quantity::<Q>())?.to_owned();
        let place = reader.place(node.span());
        match quantity::parse_value::<Q>(&text) {
            Ok(value) => {
                within_reason(reader, place, Q::KIND, value.low().base(), value.high().base())?;
                Some(Located { value, place })
            }
            Err(error) => {
                reader.text_fault(node, &text, error);
                None
            }
        }
    }
    fn schema() -> Json {
        let kind = Q::KIND;
        json!({
            "type": "string",
            "pattern": "[0-9]",
            "description": format!("A {} with its unit ({}), optionally with a tolerance such as ± 5 %.", kind.name(), kind.examples()),
        })
    }
}

impl<Q: Quantity> Field for Located<Range<Q>> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let text = reader.string(node, &expected_quantity::<Q>())?.to_owned();
        let place = reader.place(node.span());
        match quantity::parse_range::<Q>(&text) {
            Ok(value) => {
                within_reason(reader, place, Q::KIND, value.low().base(), value.high().base())?;
                Some(Located { value, place })
            }
            Err(error) => {
                reader.text_fault(node, &text, error);
                None
            }
        }
    }
    fn schema() -> Json {
        let kind = Q::KIND;
        json!({
            "type": "string",
            "pattern": "[0-9]",
            "description": format!("A range of {} with its unit ({}), such as \"a .. b\".", kind.name(), kind.examples()),
        })
    }
}

/// A point of the plane in millimetres from the lower left corner, x to the right, y up; may be negative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: quantity::si::Length,
    /// Up.
    pub y: quantity::si::Length,
}

impl Field for Located<Point> {
    fn read(node: &Node<'_>, reader: &mut Reader<'_>) -> Option<Self> {
        let expected = "two lengths, such as [\"12 mm\", \"70 mm\"]";
        let place = reader.place(node.span());
        let DeValue::Array(items) = node.get_ref() else {
            reader.wrong_type(node, expected);
            return None;
        };
        let mut both = Vec::with_capacity(2);
        for item in items.iter() {
            let text = reader.string(item, "a length in quotes (mm)")?.to_owned();
            match quantity::parse_value::<quantity::si::Length>(&text) {
                Ok(value) if value.nominal().base().abs() <= 10.0 => both.push(value.nominal()),
                Ok(_) => {
                    let place = reader.place(item.span());
                    let problem = "further than 10 m away";
                    reader.faults.push(
                        Diagnostic::new("implausible-value", place, problem, problem).expected(expected),
                    );
                    return None;
                }
                Err(error) => {
                    reader.text_fault(item, &text, error);
                    return None;
                }
            }
        }
        if let [x, y] = both[..] {
            return Some(Located {
                value: Point { x, y },
                place,
            });
        }
        let problem = format!("expected {expected}, found {} values", both.len());
        reader
            .faults
            .push(Diagnostic::new("wrong-type", place, problem, "not a pair").expected(expected));
        None
    }
    fn schema() -> Json {
        json!({ "type": "array", "items": { "type": "string" }, "minItems": 2, "maxItems": 2, "examples": [["12 mm", "70 mm"]] })
    }
}

/// Reads the keys of a table: the needed, the optional, and the unknown ones.
pub(crate) struct Keys<'n, 'a> {
    entries: Vec<(&'n Spanned<Cow<'a, str>>, &'n Node<'a>, bool)>,
    pub place: Place,
    name: &'static str,
    failed: bool,
}

impl<'n, 'a> Keys<'n, 'a> {
    pub fn new(node: &'n Node<'a>, reader: &mut Reader<'_>, name: &'static str) -> Option<Self> {
        let DeValue::Table(table) = node.get_ref() else {
            reader.wrong_type(node, &format!("a table ({name})"));
            return None;
        };
        for key in ["name", "tag"] {
            if let Some(DeValue::String(text)) = table.get(key).map(Spanned::get_ref) {
                reader.declared.insert(text.trim().to_string());
            }
        }
        let entries: Vec<_> = table.iter().map(|(key, value)| (key, value, false)).collect();
        // The span of a table that has a header ends with the header; a fault about a missing key points there.
        let place = reader.place(node.span());
        Some(Self {
            entries,
            place,
            name,
            failed: false,
        })
    }

    pub fn take<T: Field>(&mut self, key: &'static str, reader: &mut Reader<'_>) -> Option<T> {
        let found = self.entries.iter_mut().find(|(name, _, _)| name.get_ref() == key);
        let value = match found {
            Some((_, node, used)) => {
                *used = true;
                T::read(node, reader)
            }
            None => {
                let value = T::absent();
                if value.is_none() {
                    let headline = format!("`{key}` is missing in this {}", self.name);
                    reader.faults.push(
                        Diagnostic::new("missing-key", self.place, headline, format!("`{key}` is missing"))
                            .expected(format!("the key `{key}`: {}", expectation(&T::schema()))),
                    );
                }
                value
            }
        };
        self.failed |= value.is_none();
        value
    }

    /// Reports what no key was taken for; `known` are all keys of the table.
    pub fn finish(self, reader: &mut Reader<'_>, known: &[&'static str]) -> bool {
        for (key, _, _) in self.entries.iter().filter(|(_, _, used)| !used) {
            let place = reader.place(key.span());
            let written = key.get_ref().as_ref();
            // Long keys are cut: a message must stay readable whatever the file holds.
            let shown: String = written.chars().take(60).collect();
            reader.faults.push(
                Diagnostic::new(
                    "unknown-key",
                    place,
                    format!("a {} has no key `{shown}`", self.name),
                    "unknown key",
                )
                .expected(format!(
                    "one of {}",
                    crate::diagnostic::listed(known.iter().copied())
                ))
                .help(crate::diagnostic::did_you_mean(written, known.iter().copied())),
            );
        }
        !self.failed
    }
}

/// A few words on what a schema asks for.
fn expectation(schema: &Json) -> String {
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
        return format!(
            "one of {}",
            crate::diagnostic::listed(words.iter().filter_map(Json::as_str))
        );
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
                let mut keys = $crate::read::Keys::new(node, reader, $said)?;
                let place = keys.place;
                $( let $field = keys.take::<$type>(stringify!($field), reader); )*
                let known: &[&'static str] = &[$(stringify!($field)),*];
                if !keys.finish(reader, known) {
                    return None;
                }
                Some(Self { $( $field: $field?, )* place })
            }
            fn schema() -> serde_json::Value {
                let mut properties = serde_json::Map::new();
                let mut required: Vec<&str> = Vec::new();
                $( $crate::read::property::<$type>(
                    &mut properties, &mut required, stringify!($field), concat!("" $(, $field_doc)*)); )*
                serde_json::json!({
                    "type": "object",
                    "description": concat!("" $(, $doc)*).trim(),
                    "properties": properties,
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
    key: &'static str,
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
        object.insert("description".to_owned(), json!(text));
    }
    properties.insert(key.to_owned(), schema);
    if T::absent().is_none() {
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
                serde_json::json!({ "type": "string", "enum": [$($word),*] })
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
    let shown: String = text.chars().take(60).collect();
    reader.faults.push(
        Diagnostic::new(
            "unknown-word",
            place,
            format!("`{shown}` is not a {said}"),
            format!("not a {said}"),
        )
        .expected(format!(
            "one of {}",
            crate::diagnostic::listed(words.iter().copied())
        ))
        .help(crate::diagnostic::did_you_mean(text, words.iter().copied())),
    );
}
