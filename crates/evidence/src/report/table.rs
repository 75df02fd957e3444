//! A table of a report.

use serde::Serialize;

/// A table with a heading for each column.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Table {
    /// What it shows.
    pub title: String,
    /// Headings, with units.
    pub columns: Vec<String>,
    /// Rows.
    pub rows: Vec<Row>,
}

/// A row of a table.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// One text for each column.
    pub cells: Vec<String>,
    /// Whether it is the one to take.
    pub chosen: bool,
}

impl Table {
    /// A table of texts, none of its rows chosen.
    #[must_use]
    pub fn of(
        title: impl Into<String>,
        columns: &[&str],
        rows: impl IntoIterator<Item = Vec<String>>,
    ) -> Self {
        Self {
            title: title.into(),
            columns: columns.iter().map(|column| (*column).to_owned()).collect(),
            rows: rows
                .into_iter()
                .map(|cells| Row { cells, chosen: false })
                .collect(),
        }
    }

    /// The same with the row at this place as the one to take.
    #[must_use]
    pub fn choosing(mut self, at: usize) -> Self {
        if let Some(row) = self.rows.get_mut(at) {
            row.chosen = true;
        }
        self
    }
}
