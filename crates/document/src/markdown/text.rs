//! Text as Markdown: what somebody wrote cannot be taken for markup.

use crate::{Span, Text, visible};

/// Where a text stands, which says what has to be escaped.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Place {
    /// At the start of a line, where some signs begin a block.
    Line,
    /// In a heading, behind its mark.
    Heading,
    /// In a cell of a table.
    Cell,
}

/// A line of its own: a paragraph, an item of a list.
pub(super) fn line(text: &Text) -> String {
    written(text, Place::Line)
}

/// A heading without its mark.
pub(super) fn heading(text: &Text) -> String {
    written(text, Place::Heading)
}

/// A cell of a table.
pub(super) fn cell(text: &Text) -> String {
    written(text, Place::Cell)
}

/// The target of a link.
pub(super) fn target(name: &str) -> String {
    let escaped: String = visible(name)
        .chars()
        .flat_map(|c| match c {
            '<' | '>' | '\\' => vec!['\\', c],
            other => vec![other],
        })
        .collect();
    // Angle brackets allow blanks and parentheses inside.
    if escaped
        .chars()
        .all(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_' | '/'))
    {
        escaped
    } else {
        format!("<{escaped}>")
    }
}

/// Lines as they stand, in a fence that is longer than any in them.
pub(super) fn fenced(lines: &[String]) -> String {
    let longest = lines.iter().map(|line| longest_run(line)).max().unwrap_or(0);
    let fence = "`".repeat(longest.max(2) + 1);
    format!("{fence}\n{}\n{fence}", lines.join("\n"))
}

/// How a run of text is set off.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Look {
    Plain,
    Strong,
    Code,
}

fn written(text: &Text, place: Place) -> String {
    let runs = runs(text, place);
    let mut out = String::new();
    for (at, (look, words)) in runs.iter().enumerate() {
        match look {
            Look::Code => push_code(&mut out, words),
            Look::Plain => push(&mut out, words, place),
            Look::Strong => {
                let inside = words.trim_matches(' ');
                let next = runs.get(at + 1).map(|(look, words)| (*look, words.as_str()));
                let (start, end) = (words.find(inside).unwrap_or(0), words.trim_end_matches(' ').len());
                out.push_str(&words[..start]);
                let strong = stands_off(&out, inside, &words[end.max(start)..], next);
                if strong {
                    out.push_str("**");
                }
                push(&mut out, inside, place);
                if strong {
                    out.push_str("**");
                }
                out.push_str(&words[end.max(start)..]);
            }
        }
    }
    out.trim_matches(' ').to_owned()
}

/// Runs of the same look, with blanks drawn together: those at the ends of a line and several in a row would be lost or be an indent.
fn runs(text: &Text, place: Place) -> Vec<(Look, String)> {
    let mut out: Vec<(Look, String)> = Vec::new();
    let mut blank = true;
    for span in text.spans() {
        let words = span.words();
        let look = match span {
            Span::Strong(_) | Span::Tag(_) | Span::Verdict(..) => Look::Strong,
            // Readers differ in how they take a bar in code in a table.
            Span::Code(_) if place == Place::Cell && words.contains(['|', '\\']) => Look::Plain,
            Span::Code(_) => Look::Code,
            _ => Look::Plain,
        };
        let mut own = String::new();
        for c in visible(&words).chars() {
            if c != ' ' || !blank {
                own.push(c);
            }
            blank = c == ' ';
        }
        match out.last_mut() {
            _ if own.is_empty() => {}
            Some((last, words)) if *last == look => words.push_str(&own),
            _ => out.push((look, own)),
        }
    }
    out
}

/// Whether asterisks around words begin and end emphasis there: CommonMark 0.31, section 6.2, on flanking runs. What stands at the ends of
/// the words decides, with what is beside it; a letter or a digit always does.
fn stands_off(before: &str, inside: &str, blanks: &str, next: Option<(Look, &str)>) -> bool {
    let (Some(first), Some(last)) = (inside.chars().next(), inside.chars().next_back()) else {
        return false;
    };
    let free = |beside: Option<char>| beside.is_none_or(|c| c == ' ' || c.is_ascii_punctuation());
    let behind = match next {
        _ if !blanks.is_empty() => Some(' '),
        Some((Look::Code, _)) => Some('`'),
        Some((_, words)) => words.chars().next(),
        None => None,
    };
    let starts = first.is_alphanumeric() || free(before.chars().next_back());
    let ends = last.is_alphanumeric() || free(behind);
    // An asterisk beside the marks is escaped, so that the run has two of them.
    // A no-break blank is one, too.
    let blank = first.is_whitespace() || last.is_whitespace();
    starts && ends && !blank && !before.ends_with("**")
}

fn push(out: &mut String, words: &str, place: Place) {
    for (at, c) in words.char_indices() {
        let rest = &words[at..];
        match c {
            // Also understood where a backslash before these is none.
            '<' => out.push_str("&lt;"),
            '&' => out.push_str("&amp;"),
            _ => {
                let starts = place == Place::Line && out.is_empty() && begins_block(c);
                if escapes(c) || starts || ends_number(out, c, rest, place) {
                    out.push('\\');
                }
                out.push(c);
            }
        }
    }
}

/// Signs that mean something anywhere in a line; `:` and `@` of addresses too, since some readers make links of bare ones.
fn escapes(c: char) -> bool {
    matches!(
        c,
        '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '#' | '~' | '$' | '@'
    )
}

/// Signs that begin a list, a quotation or a heading's underline where a line begins.
fn begins_block(c: char) -> bool {
    matches!(c, '-' | '+' | '=' | ':' | '>')
}

/// Whether a sign turns what stands before it into something else: a number at the start of a line into a list, letters into an address.
fn ends_number(out: &str, c: char, rest: &str, place: Place) -> bool {
    let number = || place == Place::Line && !out.is_empty() && out.bytes().all(|byte| byte.is_ascii_digit());
    let address = || c == ':' && rest.starts_with("://");
    let page = || c == '.' && out.to_ascii_lowercase().ends_with("www");
    (matches!(c, '.' | ')') && number()) || address() || page()
}

/// Code between backticks, more of them than any run inside has.
fn push_code(out: &mut String, words: &str) {
    let ticks = "`".repeat(longest_run(words) + 1);
    // A blank that one reader strips again; without it a backtick at an end would belong to the marks.
    let padded = words.starts_with(['`', ' ']) || words.ends_with(['`', ' ']);
    let blank = if padded { " " } else { "" };
    out.push_str(&format!("{ticks}{blank}{words}{blank}{ticks}"));
}

/// The longest run of backticks.
fn longest_run(words: &str) -> usize {
    let runs = words.split(|c| c != '`');
    runs.map(str::len).max().unwrap_or(0)
}
