//! `cargo xtask rename-keys FOLDER`: rewrites the TOML files of a swap's folder whose keys and words have old names.
//!
//! Only the names are replaced, in the text: comments, order and blanks stay. A commented-out key is renamed as well.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::path::{Path, PathBuf};

use toml_edit::{Document, Item, Key, TableLike, Value};

use crate::shell;

/// Renames in all files of the folder; says what it changed, and fails on what it could not.
pub fn run(rest: &[String]) -> Result<(), String> {
    let [folder] = rest else {
        return Err("name one folder: cargo xtask rename-keys FOLDER".to_owned());
    };
    let rows = rows()?;
    let mut files = Vec::new();
    toml_files(Path::new(folder), &mut files)?;
    if files.is_empty() {
        return Err(format!("{folder}: no TOML file in this folder"));
    }
    let mut left = Vec::new();
    let mut changed = 0;
    for path in &files {
        let shown = path.display();
        let text = match std::fs::read_to_string(path) {
            Ok(text) => text,
            Err(error) => {
                left.push(format!("{shown}: {error}"));
                continue;
            }
        };
        let renamed = match renamed(&text, &rows) {
            Ok(renamed) => renamed,
            Err(problem) => {
                left.push(format!("{shown}: {problem}"));
                continue;
            }
        };
        left.extend(renamed.left.iter().map(|problem| format!("{shown}:{problem}")));
        if renamed.text != text {
            write_beside(path, &renamed.text)?;
            changed += 1;
            let counts = renamed
                .counts
                .iter()
                .map(|(what, count)| format!("{what} ({count})"));
            println!("{shown}: {}", counts.collect::<Vec<_>>().join(", "));
        }
    }
    println!("{changed} of {} files changed", files.len());
    if left.is_empty() {
        return Ok(());
    }
    Err(format!("{} left to you:\n{}", left.len(), left.join("\n")))
}

/// Writes beside the file, then renames: it is never half-written.
fn write_beside(path: &Path, text: &str) -> Result<(), String> {
    let mut beside = path.as_os_str().to_owned();
    beside.push(".renaming");
    let beside = PathBuf::from(beside);
    std::fs::write(&beside, text)
        .and_then(|()| std::fs::rename(&beside, path))
        .map_err(|error| format!("{}: {error}", path.display()))
}

/// The TOML files below a folder, in order; hidden folders and links to folders are left out.
fn toml_files(folder: &Path, files: &mut Vec<PathBuf>) -> Result<(), String> {
    let fault = |error: std::io::Error| format!("{}: {error}", folder.display());
    let entries = std::fs::read_dir(folder).map_err(fault)?;
    let mut paths = entries
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<Result<Vec<_>, _>>()
        .map_err(fault)?;
    paths.sort();
    for path in paths {
        let hidden = path
            .file_name()
            .is_some_and(|name| name.to_string_lossy().starts_with('.'));
        if path.is_dir() && !path.is_symlink() && !hidden {
            toml_files(&path, files)?;
        } else if path.is_file() && path.extension().is_some_and(|ending| ending == "toml") {
            files.push(path);
        }
    }
    Ok(())
}

/// A row of `data/renamed.toml`.
#[derive(Clone, Debug)]
struct Row {
    /// The path of the table; `*` stands for any name.
    at: String,
    /// Of a word: the key that holds it.
    key: Option<String>,
    old: String,
    new: String,
    /// The kinds of measurement for which the row holds; all where there is none.
    kinds: Vec<String>,
}

/// The rows as they stand in the data.
fn rows() -> Result<Vec<Row>, String> {
    let path = shell::root().join("data/renamed.toml");
    let text = std::fs::read_to_string(&path).map_err(|error| format!("{}: {error}", path.display()))?;
    let document: Document<String> = text
        .parse()
        .map_err(|error| format!("data/renamed.toml: {error}"))?;
    let mut rows = Vec::new();
    for array in ["word", "key"] {
        for table in document
            .get(array)
            .and_then(Item::as_array_of_tables)
            .into_iter()
            .flatten()
        {
            let text = |key: &str| table.get(key).and_then(Item::as_str).map(str::to_owned);
            let needed = |key: &str| text(key).ok_or(format!("data/renamed.toml: a row without `{key}`"));
            let kinds = table.get("kinds").and_then(Item::as_array).into_iter().flatten();
            rows.push(Row {
                at: needed("at")?,
                key: text("key"),
                old: needed("old")?,
                new: needed("new")?,
                kinds: kinds.filter_map(Value::as_str).map(str::to_owned).collect(),
            });
        }
    }
    Ok(rows)
}

impl Row {
    fn is_at(&self, path: &[String]) -> bool {
        let own: Vec<&str> = self.at.split('.').filter(|part| !part.is_empty()).collect();
        own.len() == path.len() && own.iter().zip(path).all(|(own, part)| *own == "*" || own == part)
    }
}

/// A text after the renames.
struct Renamed {
    text: String,
    /// How often each rename was made.
    counts: BTreeMap<String, usize>,
    /// What stays for a person: line, then what is wrong.
    left: Vec<String>,
}

fn renamed(text: &str, rows: &[Row]) -> Result<Renamed, String> {
    let document: Document<&str> = Document::parse(text).map_err(|error| format!("not TOML: {error}"))?;
    let mut walk = Walk {
        rows,
        edits: BTreeMap::new(),
        strings: Vec::new(),
        left: Vec::new(),
        clashes: BTreeSet::new(),
    };
    walk.table(document.as_table(), &mut Vec::new());
    walk.lines(text);
    let Walk { edits, left, .. } = walk;
    let mut out = String::with_capacity(text.len());
    let mut counts = BTreeMap::new();
    let mut from = 0;
    for (start, (end, row)) in edits {
        out.push_str(&text[from..start]);
        let quoted = row.key.is_some();
        out.push_str(&if quoted {
            format!("\"{}\"", row.new)
        } else {
            row.new.clone()
        });
        *counts.entry(format!("{} → {}", row.old, row.new)).or_insert(0) += 1;
        from = end;
    }
    out.push_str(&text[from..]);
    let line = |at: usize| text[..at].matches('\n').count() + 1;
    Ok(Renamed {
        text: out,
        counts,
        left: left
            .into_iter()
            .map(|(at, problem)| format!("{}: {problem}", line(at)))
            .collect(),
    })
}

/// Collects the replacements of one text.
struct Walk<'r> {
    rows: &'r [Row],
    /// By start: end, and the row.
    edits: BTreeMap<usize, (usize, &'r Row)>,
    /// Where texts stand: a line that begins inside one is no key and no comment.
    strings: Vec<Range<usize>>,
    /// By place: what could not be renamed.
    left: Vec<(usize, String)>,
    /// Paths whose old and new key both stand there.
    clashes: BTreeSet<(Vec<String>, &'r str)>,
}

impl<'r> Walk<'r> {
    fn table(&mut self, table: &dyn TableLike, path: &mut Vec<String>) {
        let kind = table.get("kind").and_then(Item::as_str);
        for (name, item) in table.iter() {
            let span = table.key(name).and_then(Key::span);
            let at = span.as_ref().map_or(0, |span| span.start);
            match (self.key(path, name, kind), span) {
                (Found::Row(row), _) if table.contains_key(&row.new) => {
                    self.left
                        .push((at, format!("`{name}` and `{}` both stand here", row.new)));
                    self.clashes.insert((path.clone(), &row.old));
                }
                (Found::Row(row), Some(span)) => drop(self.edits.insert(at, (span.end, row))),
                (Found::OtherKinds, _) => {
                    self.left
                        .push((at, format!("`{name}` has no meaning for this kind")));
                }
                _ => {}
            }
            if let (Some(text), Some(span)) = (item.as_str(), item.span())
                && let Some(row) = self.word(path, name, text)
            {
                self.edits.insert(span.start, (span.end, row));
            }
            path.push(name.to_owned());
            self.item(item, path);
            path.pop();
        }
    }

    fn item(&mut self, item: &Item, path: &mut Vec<String>) {
        match item {
            Item::Table(table) => self.table(table, path),
            Item::ArrayOfTables(tables) => tables.iter().for_each(|table| self.table(table, path)),
            Item::Value(value) => self.value(value, path),
            Item::None => {}
        }
    }

    fn value(&mut self, value: &Value, path: &mut Vec<String>) {
        match value {
            Value::InlineTable(table) => self.table(table, path),
            Value::Array(values) => values.iter().for_each(|value| self.value(value, path)),
            Value::String(_) => self.strings.extend(value.span()),
            _ => {}
        }
    }

    /// The row that renames a key.
    fn key(&self, path: &[String], name: &str, kind: Option<&str>) -> Found<'r> {
        let mut rows = self
            .rows
            .iter()
            .filter(|row| row.key.is_none() && row.old == name && row.is_at(path))
            .peekable();
        let any = rows.peek().is_some();
        // A kind that has itself another name by now.
        let today = kind.map(|kind| self.word(path, "kind", kind).map_or(kind, |row| row.new.as_str()));
        match rows.find(|row| row.kinds.is_empty() || row.kinds.iter().any(|own| Some(own.as_str()) == today))
        {
            Some(row) => Found::Row(row),
            None if any => Found::OtherKinds,
            None => Found::Nothing,
        }
    }

    fn word(&self, path: &[String], name: &str, text: &str) -> Option<&'r Row> {
        self.rows
            .iter()
            .find(|row| row.key.as_deref() == Some(name) && row.old == text && row.is_at(path))
    }

    /// What the parsed document does not hold: keys and headers that are commented out, and each further mention of
    /// a table, as in `cable.wire = ...` after `cable.length = ...`.
    fn lines(&mut self, text: &str) {
        let mut header: Vec<String> = Vec::new();
        let mut kind = None;
        let mut at = 0;
        let lines: Vec<(usize, Line)> = text
            .split_inclusive('\n')
            .filter_map(|line| {
                let start = at;
                at += line.len();
                let inside = self
                    .strings
                    .iter()
                    .any(|span| span.start < start && start < span.end);
                Some((start, Line::of(line).filter(|_| !inside)?))
            })
            .collect();
        for (index, (start, line)) in lines.iter().enumerate() {
            if line.header {
                header.clear();
                kind = lines[index + 1..]
                    .iter()
                    .take_while(|(_, next)| !next.header)
                    .find_map(|(_, next)| next.kind.as_deref());
            }
            let mut path = header.clone();
            for (name, span) in &line.keys {
                if let Found::Row(row) = self.key(&path, name, kind)
                    && !self.clashes.contains(&(path.clone(), row.old.as_str()))
                {
                    self.edits.insert(start + span.start, (start + span.end, row));
                }
                path.push(name.clone());
            }
            if let (true, [(name, _)], Some((text, span))) = (line.comment, &line.keys[..], &line.text)
                && let Some(row) = self.word(&header, name, text)
            {
                self.edits.insert(start + span.start, (start + span.end, row));
            }
            if line.header {
                header = path;
            }
        }
    }
}

/// What is known of a key.
enum Found<'r> {
    Row(&'r Row),
    /// It was a key, but not of this kind of measurement.
    OtherKinds,
    Nothing,
}

/// A line that is a header or begins with a key, commented out or not.
struct Line {
    comment: bool,
    header: bool,
    /// The parts of a dotted key with their places in the line.
    keys: Vec<(String, Range<usize>)>,
    /// The text that stands alone after the key, with its place.
    text: Option<(String, Range<usize>)>,
    /// That text, where the key is `kind`.
    kind: Option<String>,
}

impl Line {
    fn of(line: &str) -> Option<Self> {
        let bare = line.trim_start();
        let comment = bare.starts_with('#');
        let bare = bare.trim_start_matches('#').trim_start();
        let inner = bare.trim_start_matches('[');
        let header = inner.len() < bare.len();
        let mut at = line.len() - inner.len();
        let mut keys = Vec::new();
        loop {
            at += line[at..].len() - line[at..].trim_start_matches([' ', '\t']).len();
            let rest = &line[at..];
            let quote = rest.chars().next().filter(|first| ['"', '\''].contains(first));
            let end = match quote {
                Some(quote) => rest[1..].find(quote)? + 2,
                None => rest
                    .find(|c: char| !(c.is_ascii_alphanumeric() || c == '_' || c == '-'))
                    .unwrap_or(rest.len()),
            };
            if end == 0 {
                return None;
            }
            let name = rest[..end].trim_matches(['"', '\'']).to_owned();
            keys.push((name, at..at + end));
            at += end;
            let rest = line[at..].trim_start_matches([' ', '\t']);
            at = line.len() - rest.len();
            match rest.chars().next() {
                Some('.') => at += 1,
                Some(']') if header => break,
                Some('=') if !header => break,
                _ => return None,
            }
        }
        let after = line[at + 1..].trim_start_matches([' ', '\t']);
        let text = after.strip_prefix('"').and_then(|inside| {
            let text = inside.split_once('"')?.0;
            let start = line.len() - after.len();
            Some((text.to_owned(), start..start + text.len() + 2))
        });
        let kind = text
            .as_ref()
            .filter(|_| matches!(&keys[..], [(name, _)] if name == "kind"));
        let kind = kind.map(|(text, _)| text.clone());
        Some(Self {
            comment,
            header,
            keys,
            text,
            kind,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_of_words_holds_every_rename() {
        const MADE: &str = "<!-- made: renamed -->\n";
        let path = shell::root().join("docs/words.md");
        let page = std::fs::read_to_string(&path).expect("the page");
        let (front, table) = page.split_once(MADE).expect("the place of the table");
        let mut made = "| in | not | but |\n| --- | --- | --- |\n".to_owned();
        for row in rows().expect("the table of renames") {
            let place = match (row.at.as_str(), &row.key) {
                ("", _) => "swap.toml".to_owned(),
                (at, None) => format!("`[{at}]`"),
                (at, Some(key)) => format!("`[{at}]`, `{key}`"),
            };
            let kinds = if row.kinds.is_empty() {
                String::new()
            } else {
                format!(" ({})", row.kinds.join(", "))
            };
            made += &format!("| {place} | `{}` | `{}`{kinds} |\n", row.old, row.new);
        }
        if std::env::var_os("UPDATE").is_some() {
            std::fs::write(&path, format!("{front}{MADE}{made}")).expect("a writable page");
            return;
        }
        assert_eq!(table, made, "docs/words.md is stale: UPDATE=1 writes it anew");
    }

    /// The same rows read from right to left.
    fn backwards(rows: &[Row]) -> Vec<Row> {
        let turned = |row: &Row| {
            // A path names tables in their old words then.
            let mut at: Vec<String> = row.at.split('.').map(str::to_owned).collect();
            for depth in 0..at.len() {
                let above = at[..depth].join(".");
                if let Some(own) = rows
                    .iter()
                    .find(|own| own.key.is_none() && own.at == above && own.new == at[depth])
                {
                    at[depth].clone_from(&own.old);
                }
            }
            Row {
                at: at.join("."),
                old: row.new.clone(),
                new: row.old.clone(),
                ..row.clone()
            }
        };
        rows.iter().map(turned).collect()
    }

    #[test]
    fn old_copies_of_all_examples_and_of_the_template_come_out_as_they_stand() {
        let rows = rows().expect("the table of renames");
        let back = backwards(&rows);
        let mut used = BTreeSet::new();
        for folder in [
            "examples/demo",
            "examples/second",
            "examples/third",
            "crates/boardswap/template",
            "crates/model/tests/minimal",
            "crates/plan/tests/swap",
        ] {
            let mut files = Vec::new();
            toml_files(&shell::root().join(folder), &mut files).expect("the folder");
            for path in files {
                let shown = path.display();
                let today = std::fs::read_to_string(&path).expect("the file");
                let unchanged = renamed(&today, &rows).expect("TOML");
                assert!(unchanged.left.is_empty(), "{shown}: {:?}", unchanged.left);
                assert_eq!(unchanged.text, today, "{shown}: run `cargo xtask rename-keys`");
                let old = renamed(&today, &back).expect("TOML").text;
                let again = renamed(&old, &rows).expect("TOML");
                assert_eq!(again.text, today, "{shown}: back and forth");
                used.extend(again.counts.into_keys());
            }
        }
        assert!(
            used.len() > 25,
            "the examples use many of the renamed keys: {used:?}"
        );
    }

    #[test]
    fn comments_order_and_blanks_stay() {
        let rows = rows().expect("the table of renames");
        let old = include_str!("../fixtures/old-names.toml");
        let new = include_str!("../fixtures/new-names.toml");
        let once = renamed(old, &rows).expect("TOML");
        assert_eq!(once.text, new);
        assert_eq!(
            once.left,
            [
                "31: `bears` and `max_input_voltage` both stand here",
                "46: `allowed_share` has no meaning for this kind",
            ]
        );
        assert_eq!(
            renamed(new, &rows).expect("TOML").text,
            new,
            "twice changes nothing"
        );
    }

    #[test]
    fn a_folder_is_rewritten_and_what_is_no_toml_is_left() {
        let folder = std::env::temp_dir().join(format!("rename-keys-{}", std::process::id()));
        let boards = folder.join("boards");
        std::fs::create_dir_all(&boards).expect("a folder");
        std::fs::write(folder.join("swap.toml"), "choice = \"A\" # yes\r\n").expect("a file");
        std::fs::write(boards.join("a.toml"), "[[port]]\nbears = ").expect("a file");
        let result = run(&[folder.display().to_string()]);
        let swap = std::fs::read_to_string(folder.join("swap.toml")).expect("the file");
        let board = std::fs::read_to_string(boards.join("a.toml")).expect("the file");
        let names = std::fs::read_dir(&folder).expect("the folder").count();
        std::fs::remove_dir_all(&folder).expect("the folder");
        assert_eq!(swap, "chosen_board = \"A\" # yes\r\n");
        assert_eq!(board, "[[port]]\nbears = ");
        assert_eq!(names, 2, "nothing is left beside the files");
        let problem = result.expect_err("one file is no TOML");
        assert!(problem.contains("a.toml: not TOML"), "{problem}");
    }
}
