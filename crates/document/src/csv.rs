//! Tables for a spreadsheet: RFC 4180, with cells that no spreadsheet takes for a formula.

use std::borrow::Cow;

/// A table being written, line by line.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Csv(String);

impl Csv {
    /// A table with its headings.
    #[must_use]
    pub fn new(headings: &[&str]) -> Self {
        let mut csv = Self::default();
        csv.line(headings);
        csv
    }
    /// One more line. Every cell is text; what is a number stays one.
    pub fn line<S: AsRef<str>>(&mut self, cells: impl IntoIterator<Item = S>) {
        for (at, text) in cells.into_iter().enumerate() {
            if at > 0 {
                self.0.push(',');
            }
            self.cell(text.as_ref());
        }
        self.0.push_str("\r\n");
    }
    /// The whole text.
    #[must_use]
    pub fn finish(self) -> String {
        self.0
    }

    fn cell(&mut self, text: &str) {
        let text = defused(text);
        if text.contains(['"', ',', '\n', '\r']) {
            self.0.push('"');
            self.0.push_str(&text.replace('"', "\"\""));
            self.0.push('"');
        } else {
            self.0.push_str(&text);
        }
    }
}

/// Text with an apostrophe wherever a spreadsheet would begin to reckon: at its start, and behind what parts cells elsewhere, since the
/// program that opens a file may part them otherwise.
fn defused(text: &str) -> Cow<'_, str> {
    let mut out = String::new();
    // Up to where the text is copied.
    let mut copied = 0;
    let mut starts = true;
    for (at, c) in text.char_indices() {
        let rest = &text[at..];
        if starts && begins_formula(c) && rest.len() > c.len_utf8() && !is_number(until_separator(rest)) {
            out.push_str(&text[copied..at]);
            out.push('\'');
            copied = at;
        }
        starts = matches!(c, ';' | ',' | '\t' | '\n' | '\r' | '|' | '"') || (starts && c.is_whitespace());
    }
    if copied == 0 && out.is_empty() {
        return Cow::Borrowed(text);
    }
    out.push_str(&text[copied..]);
    Cow::Owned(out)
}

/// The signs of OWASP's page on CSV injection, with their full-width forms.
fn begins_formula(c: char) -> bool {
    matches!(c, '=' | '+' | '-' | '@' | '＝' | '＋' | '－' | '＠')
}

fn until_separator(text: &str) -> &str {
    text.split([';', ',', '\t', '\n', '\r', '|', '"'])
        .next()
        .unwrap_or(text)
        .trim_end()
}

/// Whether a text is nothing but a decimal number, which is no formula though it has a sign.
fn is_number(text: &str) -> bool {
    let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | '+' | '-' | 'e' | 'E');
    text.chars().all(digits) && text.parse::<f64>().is_ok_and(f64::is_finite)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn line(cells: &[&str]) -> String {
        let mut csv = Csv::default();
        csv.line(cells);
        csv.finish()
    }

    /// RFC 4180, section 2: quotes around cells with separators, quotes doubled, lines end in CR LF.
    #[test]
    fn cells_are_quoted_as_the_standard_says() {
        assert_eq!(
            line(&["a", "b,c", "say \"x\"", ""]),
            "a,\"b,c\",\"say \"\"x\"\"\",\r\n"
        );
    }

    #[test]
    fn no_cell_is_taken_for_a_formula() {
        assert_eq!(line(&["=1+1", "+", "-5 V", "@x"]), "'=1+1,+,'-5 V,'@x\r\n");
        assert_eq!(
            line(&["-5", "-1.5e-3", "-inf", "-1-1"]),
            "-5,-1.5e-3,'-inf,'-1-1\r\n"
        );
        assert_eq!(line(&["a; =1+1", "5;-3", "＝x"]), "a; '=1+1,5;-3,'＝x\r\n");
        assert_eq!(
            line(&["\t=1", "x\n@y", "a\"=1"]),
            "\t'=1,\"x\n'@y\",\"a\"\"'=1\"\r\n"
        );
    }

    /// A reader of RFC 4180, written against its grammar.
    fn read(text: &str) -> Vec<Vec<String>> {
        let (mut rows, mut row, mut cell) = (Vec::new(), Vec::new(), String::new());
        let mut chars = text.chars().peekable();
        let mut quoted = false;
        while let Some(c) = chars.next() {
            match c {
                '"' if quoted && chars.peek() == Some(&'"') => {
                    chars.next();
                    cell.push('"');
                }
                '"' => quoted = !quoted,
                ',' if !quoted => row.push(core::mem::take(&mut cell)),
                '\r' if !quoted => {
                    chars.next();
                    row.push(core::mem::take(&mut cell));
                    rows.push(core::mem::take(&mut row));
                }
                other => cell.push(other),
            }
        }
        rows
    }

    proptest! {
        /// What is read back are the same cells, but for apostrophes; and no cell begins a formula, however cells are parted.
        #[test]
        fn cells_come_back_and_begin_no_formula(cells in prop::collection::vec("[-=+@;,|\"\t\n\r a1.＝]{0,12}", 1..4)) {
            let cells: Vec<&str> = cells.iter().map(String::as_str).collect();
            let rows = read(&line(&cells));
            let without = |text: &str| text.replace('\'', "");
            prop_assert_eq!(rows.len(), 1);
            let found: Vec<String> = rows[0].iter().map(|cell| without(cell)).collect();
            prop_assert_eq!(found, cells);
            for cell in &rows[0] {
                for part in cell.split([';', '\t', '|', ',', '\n', '\r', '"']).map(str::trim) {
                    let alone = part.chars().count() < 2;
                    prop_assert!(alone || !part.starts_with(begins_formula) || is_number(part), "{part:?} in {cell:?}");
                }
            }
        }
    }
}
