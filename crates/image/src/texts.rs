//! Texts inside an image: the words of the controller's language that they name, and what it says it is.

use std::collections::BTreeMap;

use crate::content::Content;
use crate::verdict::printable;

/// Printable letters in a row that make a text.
const TEXT: usize = 6;
/// The most words that are kept.
const MOST_WORDS: usize = 4096;
/// The most texts of a reply that are compared.
const MOST_TEXTS: usize = 32;
/// The shortest text that says something.
const SHORTEST: usize = 3;

/// The words of a letter G, M or T with a number that stand by themselves in texts, each with the address of the first one.
#[must_use]
pub fn named_words(content: &Content) -> BTreeMap<String, u32> {
    let mut words = BTreeMap::new();
    for piece in content.pieces() {
        let bytes = &piece.bytes;
        let mut at = 0;
        while at < bytes.len() {
            let length = bytes[at..].iter().take_while(|byte| is_text(**byte)).count();
            let text = &bytes[at..at + length];
            // Between zeros a text may be as short as its word.
            let closed = length > 1 && bytes.get(at + length) == Some(&0) && (at == 0 || bytes[at - 1] == 0);
            if length >= TEXT || closed {
                for (inside, word) in words_of(text) {
                    if words.len() < MOST_WORDS {
                        let place = piece
                            .address
                            .wrapping_add(u32::try_from(at + inside).unwrap_or(0));
                        words.entry(word).or_insert(place);
                    }
                }
            }
            at += length.max(1);
        }
    }
    words
}

fn is_text(byte: u8) -> bool {
    matches!(byte, b' '..=b'~' | b'\t' | b'\r' | b'\n')
}

/// The words of a text with their places.
fn words_of(text: &[u8]) -> impl Iterator<Item = (usize, String)> {
    (0..text.len()).filter_map(move |at| {
        let begins = matches!(text[at], b'G' | b'M' | b'T');
        let behind_word = at > 0 && text[at - 1].is_ascii_alphanumeric();
        if !begins || behind_word {
            return None;
        }
        let digits = text[at + 1..]
            .iter()
            .take_while(|byte| byte.is_ascii_digit())
            .count();
        let next = text.get(at + 1 + digits);
        let ends = next.is_none_or(|next| !next.is_ascii_alphanumeric());
        ((1..=4).contains(&digits) && ends)
            .then(|| (at, String::from_utf8_lossy(&text[at..=at + digits]).into_owned()))
    })
}

/// Whether a text stands in the image.
#[must_use]
pub fn contains(content: &Content, text: &str) -> bool {
    let finder = memchr::memmem::Finder::new(text.as_bytes());
    content
        .pieces()
        .iter()
        .any(|piece| finder.find(&piece.bytes).is_some())
}

/// What in a reply tells one build from another: its words but for keys, acknowledgements and plain numbers.
///
/// A key is what ends in a colon, such as `NAME:` of `NAME:Example 1.2`.
#[must_use]
pub fn identities(reply: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for line in reply.lines() {
        let line = line.trim();
        if line.starts_with(">") || line.eq_ignore_ascii_case("ok") || line.starts_with("ok ") {
            continue;
        }
        for word in line.split_whitespace() {
            let value = word.rsplit(':').next().unwrap_or(word);
            let value = value.trim_matches(|letter: char| !letter.is_alphanumeric());
            // Numbers alone, such as a count of heaters, are written when asked for.
            let telling = value.len() >= SHORTEST && !value.bytes().all(|byte| byte.is_ascii_digit());
            if telling && !out.iter().any(|known| known == value) && out.len() < MOST_TEXTS {
                out.push(printable(value));
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(bytes: &[u8]) -> Vec<String> {
        named_words(&Content::of(0, bytes)).into_keys().collect()
    }

    #[test]
    fn words_stand_by_themselves_in_texts() {
        assert_eq!(words(b"report:  M92 X80 Y80\0"), ["M92"]);
        assert_eq!(words(b"\x01\x02\0M906\0\x03"), ["M906"]);
        assert_eq!(words(b"\x01M9\x02"), [] as [&str; 0]);
        assert_eq!(words(b"SAM92 XM10 M12345 M5x "), [] as [&str; 0]);
        assert_eq!(words(b"use M10,G29;T0"), ["G29", "M10", "T0"]);
    }

    #[test]
    fn a_reply_is_cut_into_what_tells_builds_apart() {
        let reply = "> M115\nNAME:Example 2.4.1-rc3 (Aug 12 2026) HEATERS:2 MACHINE:Bench\nok\n";
        assert_eq!(identities(reply), ["Example", "2.4.1-rc3", "Aug", "Bench"]);
    }
}
