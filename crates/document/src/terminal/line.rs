//! Lines of styled pieces: wrapped at blanks by the width that a terminal gives each character.

use anstyle::Style;
use unicode_width::UnicodeWidthStr as _;

use crate::{Span, Text, visible};

/// Shows that something was left out.
const MORE_SIGN: &str = "…";

/// Words of one style that are not broken.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    words: String,
    style: Style,
    /// How many blanks stand before it, where it does not begin a line.
    blanks: usize,
}

/// A line: pieces with their blanks.
#[derive(Clone, Debug, Default)]
pub(super) struct Line(Vec<Piece>);

/// How many columns a terminal needs.
pub(super) fn width(text: &str) -> usize {
    text.width()
}

/// Text with blanks up to a width.
pub(super) fn padded(text: &str, to: usize) -> String {
    format!("{text}{}", " ".repeat(to.saturating_sub(width(text))))
}

/// The pieces of a text. Values are not broken: a number stays with its unit.
pub(super) fn pieces(text: &Text, style: Style) -> Vec<Piece> {
    let mut out: Vec<Piece> = Vec::new();
    let mut blanks = 0;
    for span in text.spans() {
        let (style, around) = span.on_terminal(style);
        let words = format!("{around}{}{around}", visible(&span.words()));
        if matches!(span, Span::Quantity { .. }) {
            out.push(Piece { words, style, blanks });
            blanks = 0;
            continue;
        }
        for (at, word) in words.split(' ').enumerate() {
            blanks += usize::from(at > 0);
            if !word.is_empty() {
                out.push(Piece {
                    words: word.to_owned(),
                    style,
                    blanks,
                });
                blanks = 0;
            }
        }
    }
    out
}

/// Words behind others, with a mark at the end of the first and a blank.
pub(super) fn beside(mut before: Vec<Piece>, mark: &str, mut after: Vec<Piece>) -> Vec<Piece> {
    if let (Some(last), Some(first)) = (before.last_mut(), after.first_mut()) {
        last.words.push_str(mark);
        first.blanks = 1;
    }
    before.append(&mut after);
    before
}

/// Breaks pieces at their blanks into lines of at most a width; what cannot be broken keeps its length. At least one line.
pub(super) fn wrapped(pieces: Vec<Piece>, width: usize) -> Vec<Line> {
    let mut out = Vec::new();
    let mut line = Line::default();
    let mut pieces = pieces.into_iter().peekable();
    while let Some(piece) = pieces.next() {
        // Pieces without blanks between them are one word.
        let mut word = vec![piece];
        while let Some(next) = pieces.next_if(|next| next.blanks == 0) {
            word.push(next);
        }
        let long: usize = word.iter().map(|piece| piece.words.width()).sum();
        if !line.is_empty() && line.width() + word[0].blanks + long > width {
            out.push(core::mem::take(&mut line));
        }
        if line.is_empty() {
            word[0].blanks = 0;
        }
        line.0.extend(word);
    }
    out.push(line);
    out
}

/// A line of at most a width: the head is cut where there is no room for it and its tail, and shows that it was. Where a number would be
/// cut, the line goes on below as far as the last of them.
pub(super) fn fitted(head: Vec<Piece>, tail: Vec<Piece>, width: usize) -> Vec<Line> {
    const HEAD: usize = 12;
    let tail = cut(tail, width.saturating_sub(HEAD));
    let room = match tail.width() {
        0 => width,
        tail => width.saturating_sub(tail + 1),
    };
    // A number that the tail repeats is not lost.
    let line = cut(head.clone(), room);
    let kept = |piece: &&Piece| piece.says_a_number() && !tail.says(&piece.words);
    if line.0.iter().filter(kept).count() == head.iter().filter(kept).count() {
        return vec![line.then(1, tail)];
    }
    let mut lines = wrapped(head, width);
    let last = lines.iter().rposition(|line| line.numbers() > 0).unwrap_or(0);
    // What is left of the last line that says a number gives way to the tail.
    let rest: Vec<Piece> = lines.drain(last..).flat_map(|line| line.0).collect();
    let end = cut(rest.clone(), room);
    if end.numbers() == numbers(&rest) {
        lines.push(end.then(1, tail));
    } else {
        lines.push(cut(rest, width));
        if !tail.is_empty() {
            lines.push(tail);
        }
    }
    lines
}

/// A head in full, with as many parts behind it as the last of its lines has room for, the first always.
pub(super) fn with_parts(head: Vec<Piece>, parts: Vec<Vec<Piece>>, width: usize) -> Vec<Line> {
    const MORE: usize = 2;
    let mut parts = parts.into_iter().peekable();
    let mut all = head;
    if let Some(mut first) = parts.next() {
        begin(&mut first, all.is_empty());
        all.extend(first);
    }
    // What follows, or the sign that something does, has room on the last line.
    let room = if parts.peek().is_some() {
        width.saturating_sub(MORE)
    } else {
        width
    };
    let mut lines = wrapped(all, room);
    while let (Some(part), Some(last)) = (parts.next(), lines.last_mut()) {
        let more = if parts.peek().is_some() { MORE } else { 0 };
        if last.width() + 2 + whole(&part) + more > width {
            last.0.push(Piece {
                words: MORE_SIGN.to_owned(),
                style: Style::new(),
                blanks: 1,
            });
            break;
        }
        if let Some(end) = last.0.last_mut() {
            end.words.push(';');
        }
        *last = core::mem::take(last).then(1, Line(part));
    }
    lines
}

/// A blank before pieces that do not begin a line.
fn begin(pieces: &mut [Piece], alone: bool) {
    if let Some(first) = pieces.first_mut().filter(|_| !alone) {
        first.blanks = first.blanks.max(1);
    }
}

/// How many pieces say a number.
fn numbers(pieces: &[Piece]) -> usize {
    pieces.iter().filter(|piece| piece.says_a_number()).count()
}

/// What of pieces has room in a width. Where that is not all, the last that is seen says so.
fn cut(mut pieces: Vec<Piece>, width: usize) -> Line {
    if let Some(first) = pieces.first_mut() {
        first.blanks = 0;
    }
    if whole(&pieces) <= width {
        return Line(pieces);
    }
    // Blank and sign that something is left out.
    let room = width.saturating_sub(2);
    let mut line = Line::default();
    for mut piece in pieces {
        if line.width() + piece.blanks + piece.words.width() <= room {
            line.0.push(piece);
            continue;
        }
        if line.is_empty() {
            let long = |words: &String| words.width() > room;
            while long(&piece.words) && piece.words.pop().is_some() {}
            line.0.push(piece);
        }
        break;
    }
    let shown = |line: &Line| line.0.last().is_some_and(|last| last.words == MORE_SIGN);
    if !shown(&line) {
        let style = line.0.last().map_or(Style::new(), |last| last.style);
        line.0.push(Piece {
            words: MORE_SIGN.to_owned(),
            style,
            blanks: 1,
        });
    }
    line
}

/// How many columns all of it needs on one line.
pub(super) fn whole(pieces: &[Piece]) -> usize {
    pieces
        .iter()
        .map(|piece| piece.blanks + width(&piece.words))
        .sum()
}

/// How many columns the longest part needs that cannot be broken.
pub(super) fn longest_word(pieces: &[Piece]) -> usize {
    let lines = wrapped(pieces.to_vec(), 0);
    lines.iter().map(Line::width).max().unwrap_or(0)
}

impl Piece {
    fn says_a_number(&self) -> bool {
        self.words.contains(|letter: char| letter.is_ascii_digit())
    }
}

impl Line {
    /// Whether a number stands in it.
    fn says(&self, words: &str) -> bool {
        let digits = |words: &str| {
            words
                .trim_matches(|letter: char| !letter.is_ascii_digit())
                .to_owned()
        };
        self.0.iter().any(|piece| digits(&piece.words) == digits(words))
    }
    /// How many of its pieces say a number.
    pub fn numbers(&self) -> usize {
        numbers(&self.0)
    }
    /// A line in no style.
    pub fn plain(words: &str) -> Self {
        Self::default().behind(words)
    }
    /// Whether nothing is in it.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
    /// How many columns it needs.
    pub fn width(&self) -> usize {
        let pieces = self.0.iter();
        pieces.map(|piece| piece.blanks + piece.words.width()).sum()
    }
    /// The same behind words in no style.
    pub fn behind(mut self, words: &str) -> Self {
        if !words.is_empty() {
            let words = visible(words).into_owned();
            let style = Style::new();
            self.0.insert(
                0,
                Piece {
                    words,
                    style,
                    blanks: 0,
                },
            );
        }
        self
    }
    /// With another line behind a number of blanks.
    pub fn then(mut self, blanks: usize, mut other: Self) -> Self {
        if let Some(first) = other.0.first_mut() {
            first.blanks += blanks;
            self.0.append(&mut other.0);
        }
        self
    }
    /// As text, without blanks at its end.
    pub fn written(&self, colour: bool) -> String {
        let mut out = String::new();
        let mut pieces = self.0.iter().peekable();
        let mut open = Style::new();
        while let Some(piece) = pieces.next() {
            if colour && open != piece.style {
                out.push_str(&open.render_reset().to_string());
                out.push_str(&" ".repeat(piece.blanks));
                out.push_str(&piece.style.render().to_string());
                open = piece.style;
            } else {
                out.push_str(&" ".repeat(piece.blanks));
            }
            out.push_str(&piece.words);
            if colour && pieces.peek().is_none() {
                out.push_str(&open.render_reset().to_string());
            }
        }
        let end = out.trim_end_matches(' ').len();
        out.truncate(end);
        out
    }
}
