//! Aligned columns for the terminal: no rules, two blanks between columns, the last column is wrapped.

use unicode_width::UnicodeWidthStr as _;

/// Rows of cells; styles are applied after widths are known.
pub struct Table {
    rows: Vec<Vec<String>>,
    styles: Vec<Option<anstyle::Style>>,
    right: Vec<bool>,
}

impl Table {
    /// A table; `right` marks the columns that are set to the right, as numbers are.
    pub fn new(headings: &[&str], right: &[usize]) -> Self {
        let mut table = Self {
            rows: Vec::new(),
            styles: Vec::new(),
            right: (0..headings.len())
                .map(|column| right.contains(&column))
                .collect(),
        };
        table.row(
            headings.iter().map(|heading| (*heading).to_owned()).collect(),
            Some(crate::out::FAINT),
        );
        table
    }
    /// One more row, with a style for its first cell (the heading: for all).
    pub fn row(&mut self, cells: Vec<String>, style: Option<anstyle::Style>) {
        self.rows.push(cells);
        self.styles.push(style);
    }
    /// The lines, at most `width` wide where the last column can be wrapped.
    pub fn lines(&self, width: usize) -> Vec<String> {
        let columns = self.right.len();
        let widths: Vec<usize> = (0..columns)
            .map(|column| self.rows.iter().map(|row| row[column].width()).max().unwrap_or(0))
            .collect();
        let before: usize = widths[..columns - 1].iter().map(|width| width + 2).sum();
        let last = width.saturating_sub(before).max(24);
        let mut out = Vec::new();
        for (at, row) in self.rows.iter().enumerate() {
            let mut line = String::new();
            for column in 0..columns - 1 {
                let padding = " ".repeat(widths[column] - row[column].width());
                let cell = if self.right[column] {
                    format!("{padding}{}", row[column])
                } else {
                    format!("{}{padding}", row[column])
                };
                line.push_str(&self.style(at, column, cell));
                line.push_str("  ");
            }
            for (part, text) in wrapped(&row[columns - 1], last).into_iter().enumerate() {
                if part == 0 {
                    let text = if self.right[columns - 1] {
                        format!(
                            "{}{text}",
                            " ".repeat(widths[columns - 1].saturating_sub(text.width()))
                        )
                    } else {
                        text
                    };
                    out.push(format!("{line}{}", self.style(at, columns - 1, text)));
                } else {
                    out.push(format!(
                        "{}{}",
                        " ".repeat(before),
                        self.style(at, columns - 1, text)
                    ));
                }
            }
        }
        out.iter().map(|line| line.trim_end().to_owned()).collect()
    }

    fn style(&self, row: usize, column: usize, cell: String) -> String {
        match self.styles[row] {
            Some(style) if row == 0 || column == 0 => crate::out::styled(cell, style),
            _ => cell,
        }
    }
}

/// Breaks text at blanks, the first line behind `first`, the others behind as many blanks as `indent` says; `width` is that of whole lines.
pub fn hanging(first: &str, text: &str, indent: usize, width: usize) -> Vec<String> {
    let before = first.width().max(indent);
    let lines = wrapped(text, width.saturating_sub(before));
    lines
        .into_iter()
        .enumerate()
        .map(|(part, line)| match part {
            0 => format!("{first}{line}"),
            _ => format!("{}{line}", " ".repeat(indent)),
        })
        .collect()
}

/// Breaks text at blanks; a word that is too long keeps its length.
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut out = Vec::new();
    let mut line = String::new();
    for word in text.split(' ') {
        if !line.is_empty() && line.width() + 1 + word.width() > width {
            out.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    out.push(line);
    out
}

/// The width of the terminal, or 100 columns for pipes and files.
pub fn terminal_width() -> usize {
    std::env::var("COLUMNS")
        .ok()
        .and_then(|columns| columns.parse().ok())
        .unwrap_or(100)
        .clamp(60, 160)
}
