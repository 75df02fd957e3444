//! Files whose lines can be cut only after they were turned into plain ones: other codings of text, colours of a terminal, documents of JSON, rows
//! in brackets, tables drawn with upright strokes.
//!
//! What is turned keeps the numbers of its lines, so that a trouble points into the user's file.

use std::borrow::Cow;

use serde::de::IgnoredAny;

use super::cells::is_remark;
use super::coding::{is_coded, plain, utf8};
use super::log::HEAD;

/// Lines that tell how a file is written.
const LOOKED_AT: usize = 200;

/// Whether the lines of a file can be cut only after [`turned`], by its first [`HEAD`] bytes, or all.
#[must_use]
pub fn must_be_turned(head: &[u8]) -> bool {
    is_coded(head) || has_colours(head) || Shape::of(head) != Shape::Lines
}

/// The text of a file in UTF-8, a row in each line.
#[must_use]
pub fn turned(bytes: &[u8]) -> Cow<'_, [u8]> {
    let mut text = utf8(bytes);
    if has_colours(head(&text)) {
        text = Cow::Owned(without_colours(&text));
    }
    let other = match Shape::of(head(&text)) {
        Shape::Lines => None,
        Shape::Document => document(&text),
        Shape::Brackets => Some(line_by_line(&text, |line| {
            bracketed(line).unwrap_or(line).to_vec()
        })),
        Shape::Strokes => Some(line_by_line(&text, without_strokes)),
    };
    other.map_or(text, Cow::Owned)
}

fn head(text: &[u8]) -> &[u8] {
    &text[..text.len().min(HEAD)]
}

/// How rows stand in a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shape {
    /// A line each.
    Lines,
    /// In a list of one JSON document.
    Document,
    /// A line each, in brackets.
    Brackets,
    /// A line each, cells between upright strokes.
    Strokes,
}

impl Shape {
    fn of(head: &[u8]) -> Self {
        if is_document(head) {
            return Self::Document;
        }
        let lines = || {
            let all = head.split(|byte| *byte == b'\n').map(plain);
            all.filter(|line| !is_remark(line)).take(LOOKED_AT)
        };
        let count = lines().count();
        let most = |found: usize| found >= 3 && found * 10 >= count * 6;
        if most(lines().filter(|line| bracketed(line).is_some()).count()) {
            Self::Brackets
        } else if most(lines().filter(|line| line.contains(&b'|')).count()) {
            Self::Strokes
        } else {
            Self::Lines
        }
    }
}

fn line_by_line(text: &[u8], turn: impl Fn(&[u8]) -> Vec<u8>) -> Vec<u8> {
    let lines: Vec<Vec<u8>> = text
        .split(|byte| *byte == b'\n')
        .map(|line| turn(plain(line)))
        .collect();
    lines.join(&b'\n')
}

const ESCAPE: &[u8] = b"\x1b[";

fn has_colours(head: &[u8]) -> bool {
    memchr::memmem::find(head, ESCAPE).is_some()
}

/// Without control sequences (ECMA-48, 5.4: parameters, then one byte from `@` to `~`).
fn without_colours(text: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = memchr::memmem::find(rest, ESCAPE) {
        out.extend_from_slice(&rest[..at]);
        let behind = &rest[at + ESCAPE.len()..];
        let length = behind
            .iter()
            .take_while(|byte| (b' '..=b'?').contains(*byte))
            .count();
        let end = match behind.get(length) {
            Some(b'@'..=b'~') => length + 1,
            _ => length,
        };
        rest = &behind[end..];
    }
    out.extend_from_slice(rest);
    out
}

/// What stands in a line within one kind of brackets, perhaps several deep, perhaps with a comma behind; no bracket within.
fn bracketed(line: &[u8]) -> Option<&[u8]> {
    let line = line.trim_ascii();
    let line = line
        .strip_suffix(b",")
        .or_else(|| line.strip_suffix(b";"))
        .unwrap_or(line);
    let (open, close) = match line.first()? {
        b'[' => (b'[', b']'),
        b'(' => (b'(', b')'),
        _ => return None,
    };
    let mut inside = line;
    while let Some(rest) = inside.strip_prefix(&[open]) {
        inside = rest.trim_ascii_start();
    }
    let mut closed = false;
    while let Some(rest) = inside.strip_suffix(&[close]) {
        inside = rest.trim_ascii_end();
        closed = true;
    }
    let inside = inside.strip_suffix(b",").unwrap_or(inside);
    let any = inside.iter().any(|byte| b"[]()".contains(byte));
    (closed && !any && !inside.is_empty()).then_some(inside)
}

/// Cells behind tabs instead of between strokes; a drawn rule is a remark.
fn without_strokes(line: &[u8]) -> Vec<u8> {
    let is_rule = line.iter().all(|byte| b"|-+:= ".contains(byte)) && line.contains(&b'-');
    if is_rule {
        return b"#".to_vec();
    }
    let line = line.trim_ascii();
    let line = line.strip_prefix(b"|").unwrap_or(line);
    let line = line.strip_suffix(b"|").unwrap_or(line);
    let tab = |byte: &u8| if *byte == b'|' { b'\t' } else { *byte };
    line.iter().map(tab).collect()
}

/// Whether a text begins one JSON value that holds all of it, and is no JSON line.
fn is_document(head: &[u8]) -> bool {
    let Some(first @ (b'[' | b'{')) = plain(head).trim_ascii_start().first() else {
        return false;
    };
    match serde_json::from_slice::<IgnoredAny>(plain(head)) {
        Ok(_) => *first == b'[' || rows(head).is_some(),
        Err(error) => error.is_eof(),
    }
}

/// The rows of a document, a line each: objects as they are, lists without their brackets.
fn document(text: &[u8]) -> Option<Vec<u8>> {
    let elements = rows(text)?;
    let mut out = Vec::with_capacity(text.len());
    let (mut line, mut counted, mut begun) = (1, 0, 1);
    for (from, to) in elements {
        line += memchr::memchr_iter(b'\n', &text[counted..from]).count();
        counted = from;
        // Where several stand in one line, the number is that of the element.
        begun += usize::from(!out.is_empty());
        out.extend(std::iter::repeat_n(b'\n', usize::from(!out.is_empty())));
        while begun < line {
            out.push(b'\n');
            begun += 1;
        }
        let element = text[from..to].trim_ascii();
        let list = element.strip_prefix(b"[");
        let inside = list.map_or(element, |list| list.strip_suffix(b"]").unwrap_or(list));
        out.extend(
            inside
                .iter()
                .map(|byte| if b"\r\n\t".contains(byte) { b' ' } else { *byte }),
        );
    }
    out.push(b'\n');
    Some(out)
}

/// A list of a document while it is gone through.
struct List {
    /// Beginnings and ends of what it holds.
    elements: Vec<(usize, usize)>,
    /// Whether an element is under way.
    open: bool,
}

/// Where the rows of a document stand: the elements of its one list of objects or of lists, else of its one list of values. Lists inside a list of
/// rows do not count. Nothing where there are several.
fn rows(text: &[u8]) -> Option<Vec<(usize, usize)>> {
    let mut stack: Vec<Option<List>> = Vec::new();
    let (mut found, mut bare): (Vec<List>, Vec<List>) = (Vec::new(), Vec::new());
    let (mut quoted, mut escaped) = (false, false);
    let begin = |stack: &mut Vec<Option<List>>, at: usize| {
        if let Some(Some(list)) = stack.last_mut()
            && !list.open
        {
            list.open = true;
            list.elements.push((at, text.len()));
        }
    };
    let end = |stack: &mut Vec<Option<List>>, at: usize| {
        if let Some(Some(list)) = stack.last_mut()
            && list.open
        {
            list.open = false;
            if let Some(last) = list.elements.last_mut() {
                last.1 = at;
            }
        }
    };
    let mut close = |list: List| {
        let Some((from, _)) = list.elements.first().copied() else {
            return;
        };
        let is = |byte: u8| list.elements.iter().all(|(from, _)| text[*from] == byte);
        if is(b'{') || is(b'[') {
            // What stands in its elements is of its rows.
            found.retain(|own| own.elements[0].0 < from);
            bare.retain(|own| own.elements[0].0 < from);
            found.push(list);
        } else {
            bare.push(list);
        }
    };
    for (at, byte) in text.iter().enumerate() {
        if quoted {
            quoted = escaped || *byte != b'"';
            escaped = !escaped && *byte == b'\\';
            continue;
        }
        match byte {
            b' ' | b'\t' | b'\r' | b'\n' | b':' => {}
            b'"' => {
                begin(&mut stack, at);
                quoted = true;
            }
            b'{' | b'[' => {
                begin(&mut stack, at);
                let list = List {
                    elements: Vec::new(),
                    open: false,
                };
                stack.push((*byte == b'[').then_some(list));
            }
            b'}' | b']' => {
                end(&mut stack, at);
                if let Some(Some(list)) = stack.pop() {
                    close(list);
                }
            }
            b',' => end(&mut stack, at),
            _ => begin(&mut stack, at),
        }
    }
    // A document that ends in the middle: the element under way ends there, and cannot be read.
    while let Some(list) = stack.pop() {
        list.into_iter().for_each(&mut close);
    }
    let mut lists = if found.is_empty() { bare } else { found };
    let only = lists.pop().filter(|_| lists.is_empty())?;
    Some(only.elements)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn text(of: &str) -> String {
        assert!(must_be_turned(of.as_bytes()), "{of}");
        String::from_utf8(turned(of.as_bytes()).into_owned()).unwrap()
    }

    #[test]
    fn documents_become_lines_and_keep_their_numbers() {
        assert_eq!(text("[{\"x\": 1}, {\"x\": 2}]"), "{\"x\": 1}\n{\"x\": 2}\n");
        assert_eq!(text("[\n  [1, 2],\n  [3,\n 4]\n]\n"), "\n1, 2\n3,  4\n");
        assert_eq!(
            text("{\n\"bed\": {\"rows\": [\n{\"a\": [1, 2], \"b\": \"]}\\\"\"},\n{\"a\": [3]}]}}"),
            "\n\n{\"a\": [1, 2], \"b\": \"]}\\\"\"}\n{\"a\": [3]}\n"
        );
        assert_eq!(text("[0.5, null, -1]"), "0.5\nnull\n-1\n");
        // Cut in the middle.
        assert_eq!(text("[{\"x\": 1},\n{\"x\""), "{\"x\": 1}\n{\"x\"\n");
        // Two lists of rows are for nobody to choose from.
        let two = "{\"a\": [[1]], \"b\": [[2]]}";
        assert_eq!(turned(two.as_bytes()), two.as_bytes());
    }

    #[test]
    fn rows_in_brackets_strokes_and_colours() {
        assert_eq!(text("[1, 2],\n[3, 4],\n[5, 6]\n"), "1, 2\n3, 4\n5, 6\n");
        assert_eq!(text("h = [\n(1 2)\n(3 4)\n (5 6)\n]"), "h = [\n1 2\n3 4\n5 6\n]");
        assert_eq!(text("[[ 1 2]\n [ 3 4]\n [ 5 6]]"), "1 2\n3 4\n5 6");
        assert_eq!(
            text("| a | b |\n|---|:-:|\n| 1 | 2 |\n| 3 | |"),
            " a \t b \n#\n 1 \t 2 \n 3 \t "
        );
        assert_eq!(text("\x1b[1;32mX\x1b[0m,1\n2\x1b["), "X,1\n2");
    }

    #[test]
    fn plain_lines_stay() {
        for plain in [
            "",
            "[",
            "a,b\n1,2\n",
            "{\"t\": 1, \"rows\": 3}\n{\"t\": 2}\n",
            "{\"t\": 1}\n",
            "{broken\n{\"t\": 2}\n",
            "[12:00:01] T:21.5 (ok)\n[12:00:02] T:21.5 (ok)\n[12:00:03] T:21.5 (ok)\n",
        ] {
            assert_eq!(turned(plain.as_bytes()), plain.as_bytes(), "{plain}");
        }
    }

    proptest! {
        /// What was turned needs it no more, and nothing panics.
        #[test]
        fn turned_once_is_turned(text in "[\\[\\]{},:\"|x1 \n\\\\\u{1b}-]{0,60}") {
            let once = turned(text.as_bytes()).into_owned();
            let _ = turned(&once);
        }

        /// Rows come out of a document as the library reads them.
        #[test]
        fn a_document_of_numbers_is_its_rows(
            rows in prop::collection::vec(prop::collection::vec(-1e3_f64..1e3, 3), 1..20),
            pretty in any::<bool>(),
        ) {
            let write = if pretty { serde_json::to_string_pretty } else { serde_json::to_string };
            let out = turned(write(&rows).unwrap().as_bytes()).into_owned();
            let out = String::from_utf8(out).unwrap();
            let read: Vec<Vec<f64>> = out
                .lines()
                .filter(|line| !line.trim().is_empty())
                .map(|line| line.split(',').map(|cell| cell.trim().parse().unwrap()).collect())
                .collect();
            prop_assert_eq!(read, rows);
        }
    }
}
