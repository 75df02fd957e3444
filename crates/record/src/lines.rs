//! A record as lines of JSON: one row a line, with its hash, so that what comes back is the same record.

use crate::problem::Problem;
use crate::row::Row;

/// The rows, one a line.
#[must_use]
pub fn to_lines(rows: &[Row]) -> String {
    let lines = rows
        .iter()
        .map(|row| serde_json::to_string(row).unwrap_or_default() + "\n");
    lines.collect()
}

/// The rows of a text that [`to_lines`] wrote; blank lines are passed over.
///
/// # Errors
/// [`Problem::Line`] where a line is no row, [`Problem::Altered`] where the chain does not hold.
pub fn from_lines(text: &str) -> Result<Vec<Row>, Problem> {
    let mut rows: Vec<Row> = Vec::new();
    for (at, line) in text.lines().enumerate() {
        if line.trim().is_empty() {
            continue;
        }
        let row: Row =
            serde_json::from_str(line).map_err(|error| Problem::Line(at + 1, error.to_string()))?;
        if let Some(why) = row.fault(rows.last()) {
            return Err(Problem::Altered(row.number, why.to_owned()));
        }
        rows.push(row);
    }
    Ok(rows)
}
