//! What acts on the reader or cannot be seen, made visible.

use std::borrow::Cow;

/// Text with each character that acts on the reader or cannot be seen written as its code point: `<U+202E>`. Blanks of any kind but the
/// no-break ones become plain blanks.
///
/// Shown are control characters (Cc), the marks and overrides of the direction of writing (Bidi_Control), what leaves no trace
/// (Default_Ignorable_Code_Point) and the anchors of interlinear notes. Letters that only look alike stay: see [`crate::look_alike`].
///
/// # Source
/// Unicode Technical Report 36, sections 2.5 and 3.6; Unicode Technical Standard 39, section 3.1; properties of Unicode 16.0.
#[must_use]
pub fn visible(text: &str) -> Cow<'_, str> {
    if !text.chars().any(|c| is_blank(c) || is_hidden(c)) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if is_blank(c) {
            out.push(' ');
        } else if is_hidden(c) {
            out.push_str(&format!("<U+{:04X}>", c as u32));
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

/// The lines of a text that is shown as it stands in a file; blanks keep their number.
pub fn lines(text: &str) -> impl Iterator<Item = String> {
    let lines = text.lines();
    lines.map(|line| visible(&line.replace('\t', "    ")).into_owned())
}

/// Ends of lines and tabs, and the separators of lines and paragraphs.
fn is_blank(c: char) -> bool {
    matches!(c, '\t' | '\n' | '\r' | '\u{2028}' | '\u{2029}')
}

/// Whether a character acts on the reader or leaves no trace.
#[must_use]
pub fn is_hidden(c: char) -> bool {
    let ignorable = matches!(
        c,
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}'..='\u{1160}' | '\u{17b4}'..='\u{17b5}' | '\u{180b}'..='\u{180f}'
            | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{3164}'
            | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fff8}'
            | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}'
    );
    let anchors = matches!(c, '\u{fff9}'..='\u{fffb}');
    (c.is_control() && !is_blank(c)) || ignorable || anchors
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Held against the tables of another library over all characters.
    #[test]
    fn every_hidden_character_is_shown() {
        let hidden =
            regex::Regex::new(r"^[\p{Cc}\p{Bidi_Control}\p{Default_Ignorable_Code_Point}\u{FFF9}-\u{FFFB}]$")
                .unwrap();
        let mut text = String::new();
        for c in '\0'..=char::MAX {
            text.clear();
            text.push(c);
            assert_eq!(
                is_hidden(c) || is_blank(c),
                hidden.is_match(&text) || matches!(c, '\u{2028}' | '\u{2029}'),
                "{c:?}"
            );
        }
    }

    #[test]
    fn a_hidden_character_is_written_as_its_code_point() {
        assert_eq!(
            visible("fan\u{1b}[2J\u{202e}x\u{e0041}"),
            "fan<U+001B>[2J<U+202E>x<U+E0041>"
        );
        assert_eq!(visible("a\nb\tc"), "a b c");
        assert!(matches!(visible("Lüfter 5 Ω · 24\u{a0}V"), Cow::Borrowed(_)));
    }
}
