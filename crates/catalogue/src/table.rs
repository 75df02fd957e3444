//! A table: rows from text, faults with their places, lookup by name, override by a user's rows.

use core::ops::Range as Span;

use serde::de::{DeserializeOwned, IntoDeserializer};
use serde::{Deserialize, Serialize};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::near::nearest;

/// How far the figures of a row can be trusted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Sure {
    /// Found in the source, or in a page that reprints it.
    #[serde(rename = "looked up")]
    LookedUp,
    /// From memory of the source: confirm before relying on it.
    #[serde(rename = "from memory")]
    FromMemory,
    /// Computed from a published formula with an independent library.
    #[serde(rename = "recomputed")]
    Recomputed,
    /// What the trade does; no published source.
    #[serde(rename = "common practice")]
    CommonPractice,
    /// As whoever wrote the row states it; what a user's own row says when it says nothing.
    #[default]
    #[serde(rename = "as stated")]
    AsStated,
}

impl core::fmt::Display for Sure {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        formatter.write_str(match self {
            Self::LookedUp => "looked up",
            Self::FromMemory => "from memory",
            Self::Recomputed => "recomputed",
            Self::CommonPractice => "common practice",
            Self::AsStated => "as stated",
        })
    }
}

/// The key of the source that a user's row has when it names none.
pub(crate) fn own_statement() -> String {
    "own-statement".to_owned()
}

/// A row of a table: it has a name, and says where its figures come from.
pub trait Row: DeserializeOwned + Clone {
    /// The name of the array of such rows in the file, such as `connector` for `[[connector]]`.
    const ARRAY: &'static str;
    /// The name or code by which the row is looked up; unique in its table.
    fn key(&self) -> &str;
    /// The key of the source in `data/sources.toml`.
    fn source(&self) -> &str;
    /// The keys of all sources: of the row, and of those of its figures that come from elsewhere.
    fn sources(&self) -> Vec<&str> {
        vec![self.source()]
    }
    /// How far the figures can be trusted.
    fn sure(&self) -> Sure;
    /// What is wrong with the row although each of its fields can be read; empty where nothing is.
    fn contradictions(&self) -> Vec<String> {
        Vec::new()
    }
}

/// Implements [`Row`] for a type with the fields `source` and `sure`; fields with further source keys stand in brackets.
macro_rules! row {
    ($row:ty, $array:literal, $key:ident $([$($also:ident),*])? $(, $contradictions:path)?) => {
        impl crate::table::Row for $row {
            const ARRAY: &'static str = $array;
            fn key(&self) -> &str {
                &self.$key
            }
            fn source(&self) -> &str {
                &self.source
            }
            fn sources(&self) -> Vec<&str> {
                vec![self.source.as_str() $($(, self.$also.as_str())*)?]
            }
            fn sure(&self) -> crate::table::Sure {
                self.sure
            }
            $(fn contradictions(&self) -> Vec<String> {
                $contradictions(self)
            })?
        }
    };
}
pub(crate) use row;

/// A fault in the text of a table, with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RowFault {
    /// The bytes of the text that are wrong.
    pub span: Span<usize>,
    /// What is wrong and what was expected.
    pub message: String,
}

/// Rows in the order of their file, each name once.
#[derive(Clone, Debug)]
pub struct Table<R> {
    rows: Vec<R>,
}

impl<R: Row> Table<R> {
    /// All rows, in the order of the file.
    #[must_use]
    pub fn rows(&self) -> &[R] {
        &self.rows
    }

    /// The row of this name.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<&R> {
        self.rows.iter().find(|row| row.key() == key)
    }

    /// The name of each row with each of its source keys.
    #[must_use]
    pub fn sources(&self) -> Vec<(&str, &str)> {
        let mut out = Vec::new();
        for row in &self.rows {
            out.extend(row.sources().into_iter().map(|key| (row.key(), key)));
        }
        out
    }

    /// The name that was probably meant by one that is not in the table; see [`nearest`].
    #[must_use]
    pub fn nearest(&self, name: &str) -> Option<&str> {
        nearest(name, self.rows.iter().map(Row::key))
    }

    /// Reads a file that holds rows of this kind only.
    ///
    /// # Errors
    /// Every fault of the text, at least one a faulty row.
    pub fn read(text: &str) -> Result<Self, Vec<RowFault>> {
        let mut document = Document::new(text);
        let table = document.rows();
        document.end()?;
        Ok(table)
    }

    /// This table with each row of `other` in place of the row of the same name, or at the end.
    #[must_use]
    pub fn overridden_by(mut self, other: Self) -> Self {
        for row in other.rows {
            match self.rows.iter_mut().find(|old| old.key() == row.key()) {
                Some(old) => *old = row,
                None => self.rows.push(row),
            }
        }
        self
    }
}

/// The text of a table file while it is read: take the rows of each kind, then [`end`](Self::end).
pub(crate) struct Document<'a> {
    rest: DeTable<'a>,
    faults: Vec<RowFault>,
}

impl<'a> Document<'a> {
    pub fn new(text: &'a str) -> Self {
        let (table, errors) = DeTable::parse_recoverable(text);
        // Rows of a broken text would be blamed for what the syntax lost.
        let rest = if errors.is_empty() {
            table.into_inner()
        } else {
            DeTable::new()
        };
        Self {
            rest,
            faults: errors.into_iter().map(RowFault::from).collect(),
        }
    }

    /// Takes all rows of one kind; none is no fault.
    pub fn rows<R: Row>(&mut self) -> Table<R> {
        let mut rows: Vec<R> = Vec::new();
        let Some(found) = self.rest.remove(R::ARRAY) else {
            return Table { rows };
        };
        let span = found.span();
        let DeValue::Array(array) = found.into_inner() else {
            self.fault(
                span,
                format!("`{0}` is no list of rows; expected `[[{0}]]`", R::ARRAY),
            );
            return Table { rows };
        };
        for written in array {
            let span = written.span();
            match R::deserialize(written.into_deserializer()) {
                Err(error) => self.faults.push(RowFault {
                    span: error.span().unwrap_or(span),
                    message: with_near_miss(error.message()),
                }),
                Ok(row) if rows.iter().any(|earlier| earlier.key() == row.key()) => {
                    self.fault(span, format!("a second row named `{}`", row.key()));
                }
                Ok(row) => {
                    for contradiction in row.contradictions() {
                        self.fault(span.clone(), format!("`{}`: {contradiction}", row.key()));
                    }
                    rows.push(row);
                }
            }
        }
        Table { rows }
    }

    /// Takes a table that stands once in the file; `None` where it is missing or faulty.
    pub fn single<T: DeserializeOwned>(&mut self, key: &str) -> Option<T> {
        let found: Spanned<DeValue<'a>> = self.rest.remove(key)?;
        let span = found.span();
        T::deserialize(found.into_deserializer())
            .map_err(|error| {
                self.faults.push(RowFault {
                    span: error.span().unwrap_or(span),
                    message: with_near_miss(error.message()),
                });
            })
            .ok()
    }

    /// Notes a fault.
    pub fn fault(&mut self, span: Span<usize>, message: String) {
        self.faults.push(RowFault { span, message });
    }

    /// The faults met so far, and one for each key that nobody took.
    pub fn end(mut self) -> Result<(), Vec<RowFault>> {
        for (key, _) in &self.rest {
            self.faults.push(RowFault {
                span: key.span(),
                message: format!("`{}` is not a kind of row of this file", key.get_ref()),
            });
        }
        self.faults
            .sort_by_key(|fault| (fault.span.start, fault.span.end));
        if self.faults.is_empty() {
            Ok(())
        } else {
            Err(self.faults)
        }
    }
}

/// The reader's words "unknown field `a`, expected one of `b`, `c`" with the near one proposed.
fn with_near_miss(message: &str) -> String {
    let mut quoted = message.split('`').skip(1).step_by(2);
    let near = match quoted.next() {
        Some(wrong) if message.starts_with("unknown ") => nearest(wrong, quoted),
        _ => None,
    };
    match near {
        Some(near) => format!("{message}; did you mean `{near}`?"),
        None => message.to_owned(),
    }
}

impl From<toml::de::Error> for RowFault {
    fn from(error: toml::de::Error) -> Self {
        Self {
            span: error.span().unwrap_or(0..0),
            message: error.message().to_owned(),
        }
    }
}
