//! Text inside a line: pieces that are set apart, and what somebody wrote as it was written.

use quantity::{AnyValue, Digits, show_interval, show_interval_bare};

/// More than any measurement of a machine is worth.
const MEASURED: u8 = 9;

/// A line of text as pieces in their order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Text(Vec<Span>);

/// One piece of a line.
#[derive(Clone, Debug, PartialEq)]
pub enum Span {
    /// As it is.
    Plain(String),
    /// Set apart.
    Strong(String),
    /// Less important than what stands around it.
    Quiet(String),
    /// As it stands in a file or is typed.
    Code(String),
    /// A label that is tied to a thing.
    Tag(String),
    /// Words that lead to a place of the same document; mere words where the rendering has no places.
    Link {
        /// The identifier of the place.
        to: String,
        /// The words.
        words: String,
    },
    /// A verdict: a shape and a colour beside words, so that none of them says it alone.
    Verdict(Mark, String),
    /// A value with unit and interval, written so that its digits follow the interval.
    Quantity {
        /// The value.
        value: AnyValue,
        /// Where its interval is from.
        origin: Origin,
    },
    /// A patch of colour beside words that name it; left out where there are no colours.
    Swatch(Swatch),
    /// Room to write in.
    Blank,
}

/// Where an interval is from, which says how many digits it is worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Tolerances: four digits at most.
    Tolerance,
    /// A measurement.
    Measured,
    /// A measurement of a count, or of a place on a scale without unit: 1 is then not 100 %.
    Counted,
}

/// How a verdict is marked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mark {
    /// As it should be.
    Pass,
    /// Worth knowing.
    Note,
    /// To be looked at.
    Caution,
    /// Forbids to go on.
    Stop,
}

/// A patch of one or two colours: red, green, blue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Swatch {
    /// The only colour, or the upper one.
    pub first: [u8; 3],
    /// The lower one.
    pub second: Option<[u8; 3]>,
}

impl Mark {
    /// The name of its shape and colour.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Mark::Pass => "pass",
            Mark::Note => "note",
            Mark::Caution => "caution",
            Mark::Stop => "stop",
        }
    }
}

impl Text {
    /// Words as somebody wrote them.
    #[must_use]
    pub fn of(words: impl Into<String>) -> Self {
        Self::default().and(words)
    }
    /// A sentence of the program, in which backticks mark what stands in files. A backtick that opens nothing is a backtick: names of
    /// users may hold one.
    #[must_use]
    pub fn marked(words: &str) -> Self {
        Self::default().and_marked(words)
    }
    /// With more words as somebody wrote them.
    #[must_use]
    pub fn and(self, words: impl Into<String>) -> Self {
        self.span(Span::Plain(words.into()))
    }
    /// With one more sentence of the program; see [`Self::marked`].
    #[must_use]
    pub fn and_marked(mut self, words: &str) -> Self {
        let mut rest = words;
        while let Some((before, code, after)) = first_code(rest) {
            self = self.and(before).code(code);
            rest = after;
        }
        self.and(rest)
    }
    /// With words set apart.
    #[must_use]
    pub fn strong(self, words: impl Into<String>) -> Self {
        self.span(Span::Strong(words.into()))
    }
    /// With words of less importance.
    #[must_use]
    pub fn quiet(self, words: impl Into<String>) -> Self {
        self.span(Span::Quiet(words.into()))
    }
    /// With what stands in a file or is typed.
    #[must_use]
    pub fn code(self, words: impl Into<String>) -> Self {
        self.span(Span::Code(words.into()))
    }
    /// With a label.
    #[must_use]
    pub fn tag(self, words: impl Into<String>) -> Self {
        self.span(Span::Tag(words.into()))
    }
    /// With a verdict.
    #[must_use]
    pub fn verdict(self, mark: Mark, words: impl Into<String>) -> Self {
        self.span(Span::Verdict(mark, words.into()))
    }
    /// With words that lead to a place, where there is such a place.
    #[must_use]
    pub fn link(self, to: Option<impl Into<String>>, words: impl Into<String>) -> Self {
        match to {
            Some(to) => self.span(Span::Link {
                to: to.into(),
                words: words.into(),
            }),
            None => self.and(words),
        }
    }
    /// With a value; its digits follow its interval.
    #[must_use]
    pub fn quantity(self, value: AnyValue, origin: Origin) -> Self {
        self.span(Span::Quantity { value, origin })
    }
    /// With one more piece; empty words are left out.
    #[must_use]
    pub fn span(mut self, span: Span) -> Self {
        let empty = !matches!(span, Span::Swatch(_)) && span.words().is_empty();
        if !empty {
            self.0.push(span);
        }
        self
    }
    /// With the pieces of another text.
    #[must_use]
    pub fn join(mut self, other: Self) -> Self {
        self.0.extend(other.0);
        self
    }
    /// The pieces.
    #[must_use]
    pub fn spans(&self) -> &[Span] {
        &self.0
    }
    /// Whether nothing is said.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
    /// The words alone.
    #[must_use]
    pub fn words(&self) -> String {
        self.0.iter().map(Span::words).collect()
    }
}

impl Span {
    /// The words alone, as they were written.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Span::Plain(words)
            | Span::Strong(words)
            | Span::Quiet(words)
            | Span::Code(words)
            | Span::Tag(words)
            | Span::Link { words, .. }
            | Span::Verdict(_, words) => words.clone(),
            Span::Quantity { value, origin } => match origin {
                Origin::Tolerance => show_interval(value, Digits::default()),
                Origin::Measured => show_interval(value, Digits::new(MEASURED)),
                Origin::Counted => show_interval_bare(value, Digits::new(MEASURED)),
            },
            Span::Swatch(_) => String::new(),
            Span::Blank => "______".to_owned(),
        }
    }
}

impl From<&str> for Text {
    fn from(words: &str) -> Self {
        Self::of(words)
    }
}

impl From<String> for Text {
    fn from(words: String) -> Self {
        Self::of(words)
    }
}

impl From<&String> for Text {
    fn from(words: &String) -> Self {
        Self::of(words)
    }
}

/// The identifier of a place, made from any name: letters, digits and a few signs that are safe in a link. Different names may share one.
#[must_use]
pub fn anchor(kind: &str, name: &str) -> String {
    let safe = |c: char| c.is_ascii_alphanumeric() || matches!(c, ':' | '-' | '_' | '.');
    let name: String = name.chars().map(|c| if safe(c) { c } else { '-' }).collect();
    format!("{kind}-{name}")
}

/// A share as a percentage with at most one decimal: the confidence of an interval.
pub(crate) fn percent(share: f64) -> String {
    format!("{} %", (share * 1000.0).round() / 10.0)
}

/// The first words between two backticks with what stands before and behind. The first backtick stands behind a blank or an opening
/// bracket, the second before anything but a letter or a digit; between them there is something, and no blank at its ends.
fn first_code(words: &str) -> Option<(&str, &str, &str)> {
    let opens = |at: usize| {
        let before = words[..at].chars().next_back();
        before.is_none_or(|c| c.is_whitespace() || matches!(c, '(' | '[' | '“' | '"'))
    };
    let places = words.match_indices('`').map(|(at, _)| at);
    for first in places.filter(|at| opens(*at)) {
        let inside = &words[first + 1..];
        let Some(length) = inside.find('`') else {
            break;
        };
        let (code, after) = (&inside[..length], &inside[length + 1..]);
        let closes = !after.starts_with(|c: char| c.is_alphanumeric() || c == '`');
        if closes && !code.is_empty() && code.trim() == code {
            return Some((&words[..first], code, after));
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn codes(words: &str) -> Vec<String> {
        let text = Text::marked(words);
        let spans = text.spans().iter();
        spans
            .filter_map(|span| match span {
                Span::Code(code) => Some(code.clone()),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn code_marks_of_sentences_are_read() {
        assert_eq!(
            codes("state it as `cut_out`, or (`a`), `b` and `c`."),
            ["cut_out", "a", "b", "c"]
        );
        assert_eq!(
            Text::marked("state it as `cut_out`.").words(),
            "state it as cut_out."
        );
    }

    #[test]
    fn backticks_of_names_stay() {
        for words in ["fan`s", "a ` b", "``", "a `` b", "`a `b", "x`y`z", "` a `"] {
            assert_eq!(Text::marked(words).words(), words);
        }
        assert_eq!(codes("the fan`s key `duty` is set"), ["duty"]);
    }

    proptest! {
        /// Reading code marks takes pairs of backticks away, and nothing else.
        #[test]
        fn nothing_but_marks_is_lost(words in "[a `(.é]{0,24}") {
            let text = Text::marked(&words);
            let kept = text.words();
            let without = |words: &str| words.replace('`', "");
            prop_assert_eq!(without(&kept), without(&words));
            prop_assert_eq!(words.len() - kept.len(), 2 * codes(&words).len());
        }
    }
}
