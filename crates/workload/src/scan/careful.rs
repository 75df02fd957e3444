//! One line by all the rules: comments, blanks anywhere, line numbers, checksums, parameters and expressions, names.
//!
//! The grammar is that of NISTIR 6556, 3.3: blanks and letter case mean nothing, a line may begin with a stroke and a line number, a
//! number may be an expression. The trade adds comments behind `;`, checksums behind `*`, and words whose rest is text.

use super::expression::{self, Parameters};
use super::{Code, Fault, Line};

/// The most characters of a name.
const LONGEST_NAME: usize = 48;

/// Reads one line without its end. Words go into `line`; the name is that of a line that is no line of words.
pub(super) fn careful<'t>(
    text: &'t [u8],
    number: u64,
    parameters: &mut Parameters,
    line: &mut Line,
) -> Result<Option<&'t str>, Fault> {
    line.clear();
    #[expect(clippy::cast_possible_truncation, reason = "a line is shorter than 2³²")]
    {
        line.bytes = text.len() as u32 + 1;
        line.sent = 0;
    }
    let text = text.strip_suffix(b"\r").unwrap_or(text);
    let text = match text.strip_prefix("\u{feff}".as_bytes()) {
        Some(rest) if number == 1 => rest,
        _ => text,
    };
    let plain = without_comments(text);
    let (plain, closed) = (plain.text, plain.closed);
    #[expect(clippy::cast_possible_truncation, reason = "a line is shorter than 2³²")]
    {
        line.sent = plain.len() as u32 + 1;
    }
    let trimmed = plain.trim_ascii();
    if trimmed.is_empty() || trimmed == b"%" {
        line.sent = 0;
        return if closed { Ok(None) } else { Err(Fault::OpenComment) };
    }
    if trimmed
        .iter()
        .any(|byte| byte.is_ascii_control() && *byte != b'\t' || !byte.is_ascii())
    {
        // Words whose rest is a text may be followed by letters of any language.
        return match text_command(trimmed, line) {
            Some(()) => Ok(None),
            None => Err(Fault::NotText),
        };
    }
    if let Some(name) = name(text) {
        return Ok(Some(name));
    }
    if !closed {
        return Err(Fault::OpenComment);
    }
    match words(trimmed, parameters, line) {
        Ok(()) => Ok(None),
        // Whether it matters is known only to who knows the command.
        Err(fault) if line.count > 0 => {
            line.fault = Some(fault);
            Ok(None)
        }
        Err(fault) => Err(fault),
    }
}

struct Plain {
    text: Vec<u8>,
    closed: bool,
}

fn without_comments(text: &[u8]) -> Plain {
    let mut out = Vec::with_capacity(text.len());
    let mut inside = false;
    for &byte in text {
        match byte {
            b')' if inside => inside = false,
            b'(' if inside => {
                return Plain {
                    text: out,
                    closed: false,
                };
            }
            _ if inside => {}
            b'(' => inside = true,
            b';' => break,
            other => out.push(other),
        }
    }
    Plain {
        text: out,
        closed: !inside,
    }
}

/// The command of a line whose rest is no plain text, if it begins with one.
fn text_command(text: &[u8], line: &mut Line) -> Option<()> {
    let digits = text[1..].iter().take_while(|byte| byte.is_ascii_digit()).count();
    let head = core::str::from_utf8(&text[..=digits]).ok()?;
    let code = Code::parse(head).filter(|code| matches!(code.letter, b'G' | b'M'))?;
    // Garbage may begin with a letter and a digit by chance, but hardly goes on with a blank and valid text.
    let rest = core::str::from_utf8(&text[1 + digits..]).ok()?;
    if !rest.starts_with(' ')
        || rest
            .chars()
            .any(|character| character.is_control() && character != '\t')
    {
        return None;
    }
    line.commands[0] = code;
    line.count = 1;
    line.fault = Some(Fault::NotText);
    Some(())
}

/// The name that a line begins with: two letters or strokes at least, then letters, digits, strokes and points; behind it a blank, `=` or nothing.
fn name(text: &[u8]) -> Option<&str> {
    let text = text.trim_ascii_start();
    let of_name = |byte: &u8| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'.');
    let length = text.iter().take_while(|byte| of_name(byte)).count();
    let starts = |byte: &u8| byte.is_ascii_alphabetic() || *byte == b'_';
    let ends = text
        .get(length)
        .is_none_or(|byte| matches!(byte, b' ' | b'\t' | b'=' | b';'));
    if !(2..=LONGEST_NAME).contains(&length) || !ends || !text[..2].iter().all(starts) {
        return None;
    }
    // A letter with what some programs write for a number that is none.
    if [&b"nan"[..], b"inf"]
        .iter()
        .any(|none| text[1..length].eq_ignore_ascii_case(none))
    {
        return None;
    }
    core::str::from_utf8(&text[..length]).ok()
}

fn words(trimmed: &[u8], parameters: &mut Parameters, line: &mut Line) -> Result<(), Fault> {
    let body = checked(trimmed)?;
    let text: Vec<u8> = body
        .iter()
        .filter(|byte| !matches!(byte, b' ' | b'\t' | b'\r'))
        .map(u8::to_ascii_uppercase)
        .collect();
    let mut at = usize::from(text.first() == Some(&b'/'));
    // Settings of parameters take effect behind the line: NISTIR 6556, 3.3.2.1.
    let mut settings = Vec::new();
    while at < text.len() {
        match text[at] {
            letter @ b'A'..=b'Z' => {
                let (value, end) = expression::value(&text, at + 1, parameters)?;
                line.take(letter - b'A', value)?;
                at = end;
            }
            b'#' => {
                let (index, end) = expression::value(&text, at + 1, parameters)?;
                if text.get(end) != Some(&b'=') {
                    return Err(Fault::Expression);
                }
                let (value, end) = expression::value(&text, end + 1, parameters)?;
                settings.push((index, value));
                at = end;
            }
            _ => return Err(Fault::Stray),
        }
    }
    for (index, value) in settings {
        parameters.set(index, value)?;
    }
    Ok(())
}

/// The line without its checksum, which must fit: all bytes before it joined by exclusive or.
fn checked(text: &[u8]) -> Result<&[u8], Fault> {
    let Some(at) = memchr::memrchr(b'*', text) else {
        return Ok(text);
    };
    let (body, sum) = (&text[..at], text[at + 1..].trim_ascii());
    // A power stands between brackets: `[2 ** 3]`.
    if sum.is_empty() || !sum.iter().all(u8::is_ascii_digit) {
        return Ok(text);
    }
    let computed = body.iter().fold(0_u8, |sum, byte| sum ^ byte);
    let written = core::str::from_utf8(sum).ok().and_then(|sum| sum.parse().ok());
    if written == Some(u64::from(computed)) {
        Ok(body)
    } else {
        Err(Fault::Checksum)
    }
}
