//! Tables of text in the forms in which makers publish them: HTML, Markdown, tabs, commas or semicolons.

use crate::Problem;

/// The longest table that is read, in rows.
const ROWS: usize = 20_000;
/// The most columns.
const COLUMNS: usize = 64;

/// Rows of cells, each with the line on which it begins.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Table {
    pub rows: Vec<(usize, Vec<String>)>,
}

impl Table {
    /// # Errors
    /// [`Problem`] where no row has two cells, or there are too many.
    pub fn read(text: &str) -> Result<Self, Problem> {
        let lower = text.to_ascii_lowercase();
        let mut rows = if lower.contains("<tr") {
            html(text, &lower)
        } else if text.lines().filter(|line| line.matches('|').count() >= 2).count() >= 2 {
            text.lines()
                .enumerate()
                .filter_map(|(at, line)| Some((at + 1, markdown(line)?)))
                .collect()
        } else {
            let separator = ['\t', ';', ',']
                .into_iter()
                .find(|separator| text.lines().filter(|line| line.contains(*separator)).count() >= 2);
            let separator = separator.ok_or_else(|| {
                Problem::new(
                    None,
                    "this is no table",
                    "paste the table of the page, or save it with commas or tabs",
                )
            })?;
            separated(text, separator)
        };
        rows.retain(|(_, cells): &(usize, Vec<String>)| cells.iter().any(|cell| !cell.is_empty()));
        if rows.len() > ROWS || rows.iter().any(|(_, cells)| cells.len() > COLUMNS) {
            return Err(Problem::new(
                None,
                "the table is too large",
                "paste the table of one board alone",
            ));
        }
        if rows.len() < 2 || rows.iter().all(|(_, cells)| cells.len() < 2) {
            return Err(Problem::new(
                None,
                "the table has no rows of two columns",
                "paste the table with its head",
            ));
        }
        Ok(Self { rows })
    }
}

/// A row between strokes; none where it is the line below the head, or no row.
fn markdown(line: &str) -> Option<Vec<String>> {
    let line = line.trim();
    if !line.contains('|') {
        return None;
    }
    let inner = line.strip_prefix('|').unwrap_or(line);
    let inner = inner.strip_suffix('|').unwrap_or(inner);
    let cells: Vec<String> = inner
        .split('|')
        .map(|cell| plain(cell.trim_matches([' ', '`', '*'])))
        .collect();
    let rule = cells
        .iter()
        .all(|cell| !cell.is_empty() && cell.bytes().all(|byte| matches!(byte, b'-' | b':' | b' ')));
    (!rule).then_some(cells)
}

/// Cells with a separator between, in quotes where they hold it (RFC 4180).
fn separated(text: &str, separator: char) -> Vec<(usize, Vec<String>)> {
    let mut rows = Vec::new();
    let (mut cells, mut cell, mut quoted) = (Vec::new(), String::new(), false);
    let (mut line, mut begins) = (1, 1);
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                cell.push('"');
            }
            '"' if quoted => quoted = false,
            '"' if cell.trim().is_empty() => quoted = true,
            '\n' if !quoted => {
                cells.push(plain(&core::mem::take(&mut cell)));
                rows.push((begins, core::mem::take(&mut cells)));
                line += 1;
                begins = line;
            }
            letter if letter == separator && !quoted => cells.push(plain(&core::mem::take(&mut cell))),
            letter => {
                line += usize::from(letter == '\n');
                cell.push(letter);
            }
        }
    }
    cells.push(plain(&cell));
    rows.push((begins, cells));
    rows
}

/// The rows of all tables of a page; a cell that spans rows stands in each.
fn html(text: &str, lower: &str) -> Vec<(usize, Vec<String>)> {
    let mut rows = Vec::new();
    // How many more rows the cell of a column goes down, and what it says.
    let mut down: Vec<(usize, String)> = Vec::new();
    let mut at = 0;
    let mut line = 1;
    while let Some(start) = lower[at..].find("<tr").map(|start| at + start) {
        line += text[at..start].matches('\n').count();
        let end = lower[start..].find("</tr").map_or(lower.len(), |end| start + end);
        let next = lower[start + 3..end]
            .find("<tr")
            .map_or(end, |next| start + 3 + next);
        let mut cells = Vec::new();
        let mut place = start;
        loop {
            while let Some((left, said)) = down.get_mut(cells.len())
                && *left > 0
            {
                *left -= 1;
                let said = said.clone();
                cells.push(said);
            }
            let cell = ["<td", "<th"]
                .iter()
                .filter_map(|tag| lower[place..next].find(tag))
                .min();
            let Some(cell) = cell.map(|cell| place + cell) else {
                break;
            };
            let Some(open) = lower[cell..next].find('>').map(|open| cell + open + 1) else {
                break;
            };
            let close = ["</td", "</th", "<td", "<th"]
                .iter()
                .filter_map(|tag| lower[open..next].find(tag))
                .min();
            let close = close.map_or(next, |close| open + close);
            let said = plain(&without_tags(&text[open..close]));
            let rows = attribute(&lower[cell..open], "rowspan").clamp(1, 1000);
            if down.len() <= cells.len() {
                down.resize(cells.len() + 1, (0, String::new()));
            }
            down[cells.len()] = (rows - 1, said.clone());
            cells.push(said);
            place = close;
            if cells.len() > COLUMNS {
                break;
            }
        }
        rows.push((line, cells));
        line += text[start..next].matches('\n').count();
        at = next.max(start + 3);
        if rows.len() > ROWS {
            break;
        }
    }
    rows
}

fn attribute(tag: &str, name: &str) -> usize {
    let Some((_, rest)) = tag.split_once(name) else {
        return 1;
    };
    let digits: String = rest
        .trim_start_matches(['=', ' ', '"', '\''])
        .chars()
        .take_while(char::is_ascii_digit)
        .collect();
    digits.parse().unwrap_or(1)
}

fn without_tags(text: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for letter in text.chars() {
        match letter {
            '<' => {
                inside = true;
                out.push(' ');
            }
            '>' if inside => inside = false,
            letter if !inside => out.push(letter),
            _ => {}
        }
    }
    let entities = [
        ("&nbsp;", " "),
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#39;", "'"),
        ("&minus;", "-"),
        ("&amp;", "&"),
    ];
    entities
        .iter()
        .fold(out, |out, (entity, letter)| out.replace(entity, letter))
}

/// One line, blanks single, no letter that hides.
fn plain(text: &str) -> String {
    let text: String = text
        .chars()
        .map(|letter| if letter.is_control() { ' ' } else { letter })
        .collect();
    let text = text
        .replace('\u{2212}', "-")
        .replace(['\u{a0}', '\u{200b}', '\u{feff}'], " ");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
