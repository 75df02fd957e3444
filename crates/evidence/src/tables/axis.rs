//! Rows about several axes: which axis each is about, and which of them were asked for.

use super::columns::{Columns, label};
use crate::Refused;
use crate::read::{Record, listed};

/// The axis of each row, by a column or by whoever asks.
pub(super) struct Axis<'a> {
    column: Option<usize>,
    asked: Option<&'a str>,
    /// Those that were not asked for.
    others: Vec<String>,
}

impl<'a> Axis<'a> {
    /// `unknown` is what to say where neither the file nor the entry names an axis.
    pub fn of(columns: &Columns<'_>, asked: Option<&'a str>, unknown: &str) -> Result<Self, Refused> {
        let column = columns.find(&["axis"], usize::MAX);
        if column.is_none() && asked.is_none() {
            return Err(Refused::new(unknown, "add a column `axis`, or the key `axis`"));
        }
        Ok(Self {
            column,
            asked,
            others: Vec::new(),
        })
    }

    /// The axis of a row; nothing where it is another than the one asked for, which is told as `of` it.
    pub fn own(&mut self, columns: &mut Columns<'_>, row: &Record<'_>, of: &str) -> Option<String> {
        let own = label(row, self.column)
            .or_else(|| self.asked.map(str::to_owned))
            .unwrap_or_default();
        if self.asked.is_none_or(|asked| asked == own) {
            return Some(own);
        }
        columns.tell(
            row.line,
            format!("{of} axis {own}, which is not the one asked for; the row is left out"),
        );
        self.others.push(own);
        None
    }

    /// Refuses a file whose rows are all about other axes than the one asked for.
    pub fn refuse_others<T>(mut self, rows: &[T], columns: &Columns<'_>) -> Result<(), Refused> {
        let (true, Some(asked), false) = (rows.is_empty(), self.asked, self.others.is_empty()) else {
            return Ok(());
        };
        self.others.sort();
        self.others.dedup();
        let mend = format!(
            "ask for an axis that the file has: {}",
            listed(self.others.iter().map(String::as_str))
        );
        let refused = Refused::new(format!("the file holds nothing about axis {asked}"), mend);
        Err(refused.because_of(columns.troubles.clone()))
    }
}
