//! The files of a swap as text that is edited in place: comments and order stay.

use std::collections::BTreeMap;

use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// A step of the way to a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Step {
    Key(&'static str),
    At(usize),
}

/// A table of a file, with the name that a person knows it by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Thing {
    /// Path of its file.
    pub file: String,
    pub way: Vec<Step>,
    /// A row may have several names.
    pub names: Vec<String>,
}

impl Thing {
    /// What it is called.
    pub fn name(&self) -> String {
        self.names.join(", ")
    }
}

/// Texts of a swap, by their paths inside its folder.
#[derive(Clone, Debug, Default)]
pub(crate) struct Files {
    documents: BTreeMap<String, DocumentMut>,
}

impl Files {
    /// # Errors
    /// The path of the first that is no TOML.
    pub fn of(texts: &BTreeMap<String, String>) -> Result<Self, String> {
        let documents = texts.iter().map(|(path, text)| {
            let document = text.parse().map_err(|_| path.clone())?;
            Ok((path.clone(), document))
        });
        Ok(Self {
            documents: documents.collect::<Result<_, String>>()?,
        })
    }

    pub fn text(&self, path: &str) -> String {
        self.documents
            .get(path)
            .map_or_else(String::new, ToString::to_string)
    }

    pub fn root(&mut self, path: &str) -> &mut Table {
        self.documents.entry(path.to_owned()).or_default().as_table_mut()
    }

    /// The path of the machine's file.
    pub fn machine(&self) -> String {
        let named = self
            .documents
            .get("swap.toml")
            .and_then(|swap| swap.get("machine"));
        named.and_then(Item::as_str).unwrap_or("machine.toml").to_owned()
    }

    /// The paths of the candidate boards.
    pub fn boards(&self) -> Vec<String> {
        let listed = self
            .documents
            .get("swap.toml")
            .and_then(|swap| swap.get("candidates"));
        let listed = listed.and_then(Item::as_array).into_iter().flatten();
        listed.filter_map(Value::as_str).map(str::to_owned).collect()
    }

    /// The rows of a list at the top of a file.
    pub fn rows(&self, path: &str, list: &'static str) -> Vec<(usize, &dyn TableLike)> {
        let item = self.documents.get(path).and_then(|document| document.get(list));
        let rows: Vec<&dyn TableLike> = match item {
            Some(Item::ArrayOfTables(tables)) => tables.iter().map(|table| table as _).collect(),
            Some(Item::Value(Value::Array(values))) => values
                .iter()
                .filter_map(|value| Some(value.as_inline_table()? as &dyn TableLike))
                .collect(),
            _ => Vec::new(),
        };
        rows.into_iter().enumerate().collect()
    }

    /// Whether a table has a key; one that is not there has none.
    pub fn has(&self, thing: &Thing, key: &str) -> bool {
        let Some(document) = self.documents.get(&thing.file) else {
            return false;
        };
        let mut table: &dyn TableLike = document.as_table();
        let mut way = thing.way.as_slice();
        loop {
            match way {
                [] => return table.contains_key(key),
                [Step::Key(list), Step::At(at), rest @ ..] => {
                    let next = match table.get(list) {
                        Some(Item::ArrayOfTables(tables)) => {
                            tables.get(*at).map(|table| table as &dyn TableLike)
                        }
                        Some(Item::Value(Value::Array(values))) => values
                            .get(*at)
                            .and_then(|value| Some(value.as_inline_table()? as _)),
                        _ => None,
                    };
                    let Some(next) = next else { return false };
                    (table, way) = (next, rest);
                }
                [Step::Key(inner), rest @ ..] => {
                    let Some(next) = table.get(inner).and_then(Item::as_table_like) else {
                        return false;
                    };
                    (table, way) = (next, rest);
                }
                [Step::At(_), ..] => return false,
            }
        }
    }

    /// The number under a key of a row of a list, its unit and tolerance left out.
    pub fn number(&self, thing: &Thing, key: &str) -> Option<f64> {
        let [Step::Key(list), Step::At(at)] = thing.way[..] else {
            return None;
        };
        let rows = self.rows(&thing.file, list);
        let (_, row) = rows.into_iter().nth(at)?;
        let item = row.get(key)?;
        let told = item
            .as_str()
            .and_then(|told| told.split_whitespace().next()?.parse().ok());
        told.or_else(|| item.as_float())
            .or_else(|| item.as_integer().map(|whole| whole as f64))
    }

    /// Puts a value into a table, which is made where it is not there.
    pub fn put(&mut self, thing: &Thing, key: &str, value: Value) {
        let mut table: &mut dyn TableLike = self.root(&thing.file);
        let mut way = thing.way.as_slice();
        loop {
            match way {
                [] => {
                    table.insert(key, Item::Value(value));
                    return;
                }
                [Step::Key(list), Step::At(at), rest @ ..] => {
                    let next = match table.get_mut(list) {
                        Some(Item::ArrayOfTables(tables)) => {
                            tables.get_mut(*at).map(|table| table as &mut dyn TableLike)
                        }
                        Some(Item::Value(Value::Array(values))) => values
                            .get_mut(*at)
                            .and_then(|value| Some(value.as_inline_table_mut()? as _)),
                        _ => None,
                    };
                    let Some(next) = next else { return };
                    (table, way) = (next, rest);
                }
                [Step::Key(inner), rest @ ..] => {
                    if !table.contains_key(inner) {
                        table.insert(inner, Item::Table(Table::new()));
                    }
                    let Some(next) = table.get_mut(inner).and_then(Item::as_table_like_mut) else {
                        return;
                    };
                    (table, way) = (next, rest);
                }
                [Step::At(_), ..] => return,
            }
        }
    }

    /// Adds a row to a list at the top of a file.
    pub fn add(&mut self, path: &str, list: &'static str, row: Vec<(&'static str, Value)>) {
        let root = self.root(path);
        let item = root
            .entry(list)
            .or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
        match item {
            Item::Value(Value::Array(values)) => values.push(row.into_iter().collect::<InlineTable>()),
            Item::ArrayOfTables(tables) => {
                let mut table = Table::new();
                for (key, value) in row {
                    table.insert(key, Item::Value(value));
                }
                tables.push(table);
            }
            _ => {}
        }
    }

    /// Adds an entry to a list of values at the top of a file.
    pub fn list(&mut self, path: &str, key: &str, value: Value) {
        let item = self
            .root(path)
            .entry(key)
            .or_insert(Item::Value(Value::Array(Array::new())));
        if let Some(array) = item.as_array_mut() {
            array.push(value);
        }
    }
}

/// A text of a table.
pub(crate) fn word<'t>(table: &'t dyn TableLike, key: &str) -> Option<&'t str> {
    table.get(key).and_then(Item::as_str)
}

/// What a row is called: its name, or its names; none where it has neither.
pub(crate) fn called(table: &dyn TableLike, one: &str, several: &str) -> Vec<String> {
    if let Some(name) = word(table, one) {
        return vec![name.to_owned()];
    }
    let names = table.get(several).and_then(Item::as_array).into_iter().flatten();
    names.filter_map(Value::as_str).map(str::to_owned).collect()
}
