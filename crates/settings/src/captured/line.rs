//! One line of captured text: which kind of line it is, and the words and numbers in it.

use model::Dialect;
use serde::Serialize;

/// A line by its kind.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Line {
    /// Nothing but blanks and comments.
    Blank,
    /// A command.
    Command(Command),
    /// Numbers behind labels.
    Readings(Vec<(String, f64)>),
    /// Plain words.
    Remark,
    /// Something that cannot be read, with the reason.
    Broken(String),
}

/// A command with what follows it, line number and checksum taken off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Command {
    /// The word: capital letter and number without needless zeros.
    pub word: String,
    /// The rest of the line.
    pub rest: String,
}

/// Tells what a line is.
pub(super) fn classify(text: &str, dialect: &Dialect) -> Line {
    let (clean, closed) = without_comments(text);
    let clean = clean.trim();
    if !closed {
        return Line::Broken("a comment is not closed".to_owned());
    }
    if clean.is_empty() {
        return Line::Blank;
    }
    if clean
        .chars()
        .any(|character| character == '\u{fffd}' || character.is_control() && character != '\t')
    {
        return Line::Broken("characters that are no text".to_owned());
    }
    if let Some(start) = find_command(clean) {
        return command(clean, &start);
    }
    match readings(clean, dialect) {
        Ok(readings) if !readings.is_empty() => Line::Readings(readings),
        Err(reason) => Line::Broken(reason),
        Ok(_) if clean.split_whitespace().any(is_piece) => {
            Line::Broken("values without the word that they belong to".to_owned())
        }
        Ok(_) => Line::Remark,
    }
}

/// The words of a line's comments.
pub(super) fn comment(text: &str) -> String {
    let (clean, _) = without_comments(text);
    match text.find([';', '(']) {
        Some(at) if clean.len() < text.len() => text[at + 1..].trim_matches([')', ';', ' ', '\t']).to_owned(),
        _ => String::new(),
    }
}

/// The text without `;` and `( )` comments, and whether each of the latter was closed.
fn without_comments(text: &str) -> (String, bool) {
    let mut out = String::with_capacity(text.len());
    let mut inside = false;
    for character in text.chars() {
        match character {
            ')' if inside => inside = false,
            '(' if inside => return (out, false),
            _ if inside => {}
            '(' => inside = true,
            ';' => break,
            other => out.push(other),
        }
    }
    (out, !inside)
}

/// Where a command begins.
struct Start {
    /// The first byte that a checksum counts: of the line number, or of the word.
    counted: usize,
    /// The letter of the word.
    letter: usize,
    /// The first digit of the word.
    digits: usize,
}

fn find_command(text: &str) -> Option<Start> {
    let bytes = text.as_bytes();
    (0..bytes.len()).filter(|at| begins(bytes, *at)).find_map(|at| {
        let letter = after_line_number(bytes, at);
        let first = at == 0 || bytes[..at] == *b"/";
        let is_word = match bytes.get(letter)?.to_ascii_uppercase() {
            b'G' | b'M' => true,
            // A tool word stands alone: "T0", and not "T:21".
            b'T' => first && tool_alone(&bytes[letter + 1..]),
            _ => false,
        };
        let mut digits = letter + 1;
        if first {
            digits += bytes[digits..].iter().take_while(|byte| is_blank(**byte)).count();
        }
        (is_word && bytes.get(digits)?.is_ascii_digit()).then_some(Start {
            counted: at,
            letter,
            digits,
        })
    })
}

/// Whether a word may begin at this byte: at the start, behind an optional `/`, or where an echo or prompt ends.
fn begins(bytes: &[u8], at: usize) -> bool {
    at == 0 || matches!(bytes[at - 1], b' ' | b'\t' | b':' | b'>') || bytes[..at] == *b"/"
}

/// The byte behind a line number and its blanks, or `at` itself where there is none.
fn after_line_number(bytes: &[u8], at: usize) -> usize {
    if !bytes[at].eq_ignore_ascii_case(&b'N') {
        return at;
    }
    let digits = bytes[at + 1..]
        .iter()
        .take_while(|byte| byte.is_ascii_digit())
        .count();
    if digits == 0 {
        return at;
    }
    let end = at + 1 + digits;
    end + bytes[end..].iter().take_while(|byte| is_blank(**byte)).count()
}

fn tool_alone(rest: &[u8]) -> bool {
    let digits = rest.iter().take_while(|byte| byte.is_ascii_digit()).count();
    digits > 0
        && rest
            .get(digits)
            .is_none_or(|byte| is_blank(*byte) || *byte == b'*')
}

fn is_blank(byte: u8) -> bool {
    matches!(byte, b' ' | b'\t')
}

fn command(text: &str, start: &Start) -> Line {
    let length = text[start.digits..]
        .bytes()
        .take_while(|byte| byte.is_ascii_digit() || *byte == b'.')
        .count();
    let end = start.digits + length;
    let Some(number) = number(&text[start.digits..end]) else {
        return Line::Broken(format!("`{}` is no word", &text[start.letter..end]));
    };
    let mut rest = &text[end..];
    if let Some((before, written)) = checksum(rest) {
        let counted = &text.as_bytes()[start.counted..end + before.len()];
        let computed = counted.iter().fold(0, |sum: u8, byte| sum ^ byte);
        if written != u64::from(computed) {
            return Line::Broken(format!("the checksum says {written}, the line gives {computed}"));
        }
        rest = before;
    }
    Line::Command(Command {
        word: format!(
            "{}{number}",
            text[start.letter..=start.letter].to_ascii_uppercase()
        ),
        rest: rest.to_owned(),
    })
}

/// What stands before a checksum at the end of a line, and the checksum.
fn checksum(rest: &str) -> Option<(&str, u64)> {
    let (before, sum) = rest.rsplit_once('*')?;
    let sum = sum.trim();
    let digits = !sum.is_empty() && sum.bytes().all(|byte| byte.is_ascii_digit());
    digits
        .then(|| sum.parse().ok())
        .flatten()
        .map(|sum| (before, sum))
}

/// A letter with its number.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Letter {
    /// The letter.
    pub letter: char,
    /// The number.
    pub number: f64,
    /// How many decimals it was written with.
    pub decimals: u8,
}

/// The letters with their numbers.
pub(super) fn parameters(text: &str) -> Result<Vec<Letter>, String> {
    let characters: Vec<char> = text
        .chars()
        .filter(|character| !matches!(character, ' ' | '\t'))
        .collect();
    let mut out: Vec<Letter> = Vec::new();
    let mut at = 0;
    while at < characters.len() {
        let letter = characters[at].to_ascii_uppercase();
        if !letter.is_ascii_uppercase() {
            return Err(format!("`{letter}` does not belong in a line"));
        }
        let digits: String = characters[at + 1..]
            .iter()
            .take_while(|character| matches!(character, '0'..='9' | '+' | '-' | '.'))
            .collect();
        let value = number(&digits).ok_or_else(|| format!("{letter} has no number that can be read"))?;
        if out.iter().any(|earlier| earlier.letter == letter) {
            return Err(format!("{letter} stands twice in the line"));
        }
        let decimals = digits.split_once('.').map_or(0, |(_, decimals)| decimals.len());
        out.push(Letter {
            letter,
            number: value,
            decimals: u8::try_from(decimals).unwrap_or(u8::MAX),
        });
        at += 1 + digits.len();
    }
    Ok(out)
}

/// Sign, digits, at most one point, at least one digit; and no infinity.
fn number(text: &str) -> Option<f64> {
    let unsigned = text.strip_prefix(['+', '-']).unwrap_or(text);
    let points = unsigned.bytes().filter(|byte| *byte == b'.').count();
    let digits = unsigned.bytes().filter(u8::is_ascii_digit).count();
    if points > 1 || digits == 0 || points + digits != unsigned.len() {
        return None;
    }
    text.parse().ok().filter(|number: &f64| number.is_finite())
}

/// The numbers behind labels that the dialect knows; behind `/` stands a target, which is no reading.
fn readings(text: &str, dialect: &Dialect) -> Result<Vec<(String, f64)>, String> {
    let mut out = Vec::new();
    let mut tokens = text.split_whitespace().peekable();
    while let Some(token) = tokens.next() {
        let Some((label, behind)) = token.split_once(':') else {
            continue;
        };
        if dialect.label(label).is_none() {
            continue;
        }
        let behind = if behind.is_empty() {
            tokens.peek().copied().unwrap_or("")
        } else {
            behind
        };
        let digits = behind.split('/').next().unwrap_or("");
        let value = number(digits).ok_or_else(|| format!("`{label}:` has no number that can be read"))?;
        out.push((label.to_owned(), value));
    }
    Ok(out)
}

/// Whether a token looks like a piece of a command: a capital letter with a number, or a number beside nothing.
fn is_piece(token: &str) -> bool {
    token
        .strip_prefix(|letter: char| letter.is_ascii_uppercase())
        .is_some_and(|rest| number(rest).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> Line {
        classify(text, Dialect::common())
    }
    fn command_of(text: &str) -> (String, Vec<(char, f64)>) {
        match of(text) {
            Line::Command(command) => {
                let letters = parameters(&command.rest).expect("parameters");
                let letters = letters.into_iter().map(|letter| (letter.letter, letter.number));
                (command.word, letters.collect())
            }
            other => panic!("{text}: {other:?}"),
        }
    }

    /// NISTIR 6556, "format of a line": both lines mean the same.
    #[test]
    fn blanks_and_letter_case_mean_nothing() {
        let expected = ("G0".to_owned(), vec![('X', 0.1234), ('Y', 7.0)]);
        assert_eq!(command_of("g0 x +0. 12 34y 7"), expected);
        assert_eq!(command_of("g0 x+0.1234 y7"), expected);
        assert_eq!(command_of("G 00 X+0.1234Y7"), expected);
        assert_eq!(command_of("/g0x.1234y7."), expected);
    }

    /// NISTIR 6556: no exponent, one point, at least one digit.
    #[test]
    fn numbers_follow_the_grammar() {
        assert_eq!(command_of("M92 X-.5").1, [('X', -0.5)]);
        assert_eq!(
            command_of("M92 X1E5").1,
            [('X', 1.0), ('E', 5.0)],
            "no exponent: E is a letter"
        );
        for broken in [
            "M92 X",
            "M92 X.",
            "M92 X1.2.3",
            "M92 X--1",
            "M92 X-??",
            "M92 X1 X2",
            "M92 X1 #",
        ] {
            let Line::Command(command) = of(broken) else {
                panic!("{broken}")
            };
            assert!(parameters(&command.rest).is_err(), "{broken}");
        }
        let Line::Command(command) = of(&format!("M92 X{}", "9".repeat(400))) else {
            panic!()
        };
        assert!(parameters(&command.rest).is_err(), "no infinity");
    }

    /// Checksums: common practice, no source; the sums were recomputed elsewhere.
    #[test]
    fn checksums_are_held_against_the_line() {
        for right in [
            "N10 G1 X5.5*79",
            "N1 G28*18",
            "N2 G1 X10 F1200*54",
            "N2 G1 X10 F1200*54 ; moves",
        ] {
            assert!(matches!(of(right), Line::Command(_)), "{right}");
        }
        assert_eq!(
            of("N1 G28*19"),
            Line::Broken("the checksum says 19, the line gives 18".to_owned())
        );
    }

    #[test]
    fn what_stands_before_the_word_is_skipped() {
        for line in [
            "said: M92 X80",
            "said:M92 X80",
            "> M92 X80",
            "report:  M92 X80 ; per mm",
            "ok N7 M092 X80",
            "M92 X80 (per mm)",
        ] {
            assert_eq!(command_of(line), ("M92".to_owned(), vec![('X', 80.0)]), "{line}");
        }
        for words in [
            "at 25 degrees, constant B, pull-up",
            "speed in mm/s2, weight in kg/m3",
            "ready.",
            "gm92 x80",
            "start",
        ] {
            assert_eq!(of(words), Line::Remark, "{words}");
        }
    }

    #[test]
    fn comments_are_no_commands() {
        assert_eq!(of("; M92 X80"), Line::Blank);
        assert_eq!(of("(M92 X80)"), Line::Blank);
        assert!(
            matches!(of("(M92 X80"), Line::Broken(_)),
            "nothing is lost in a comment that does not end"
        );
        assert!(
            matches!(of("((M92) X80)"), Line::Broken(_)),
            "comments do not nest"
        );
    }

    #[test]
    fn reports_are_known_by_their_labels() {
        let expected = [("T", 21.56), ("B", 21.88), ("@", 0.0), ("B@", 0.0)]
            .map(|(label, number)| (label.to_owned(), number));
        assert_eq!(
            of("ok T:21.56 /0.00 B:21.88 /0.00 @:0 B@:0"),
            Line::Readings(expected.to_vec())
        );
        assert_eq!(of("T: 21.5/0.0"), Line::Readings(vec![("T".to_owned(), 21.5)]));
        assert!(matches!(of("ok T:20?.7 /205.0 B:22."), Line::Broken(_)));
        assert!(
            matches!(of("2 X80.00 Y8"), Line::Broken(_)),
            "a piece of a command is no remark"
        );
        assert!(matches!(of("T0"), Line::Command(_)));
    }
}
