//! What is text at all, how it is coded, and its first lines.

use std::borrow::Cow;

use crate::Refused;

/// Beginnings of files that are no text, whatever follows.
const NO_TEXT: [&[u8]; 8] = [
    b"PK\x03\x04",
    b"\x89PNG",
    b"\xff\xd8\xff",
    b"\x1f\x8b",
    b"%PDF-",
    b"\x7fELF",
    b"\xd0\xcf\x11\xe0",
    b"GIF8",
];

/// Refuses what is no text. A serial line may throw in some control characters where a controller starts anew; a picture, a workbook and text
/// of two bytes a letter are full of them.
pub(crate) fn text_only(head: &[u8]) -> Result<(), Refused> {
    // Tab, line ends, form feed, escape and backspace stand in text.
    let is_control = |byte: &&u8| **byte < 32 && !b"\t\n\r\x0b\x0c\x1b\x08\x07".contains(byte);
    let controls = head.iter().filter(is_control).count();
    let known = NO_TEXT.iter().any(|begin| head.starts_with(begin));
    if !known && controls * 20 <= head.len() {
        return Ok(());
    }
    Err(Refused::new(
        "the file is not text, or text of another coding than UTF-8",
        "export it as text with separated values (CSV) in UTF-8: a workbook or a picture cannot be read",
    ))
}

/// Whether a text is no UTF-8 with line feeds: UTF-16 (The Unicode Standard, 23.8), or lines that end with a carriage return alone.
pub(crate) fn is_coded(head: &[u8]) -> bool {
    order(head).is_some() || has_returns_alone(head)
}

/// The text of a file in UTF-8: as it is, or from UTF-16; what is no letter becomes U+FFFD. Carriage returns alone become line feeds.
pub(crate) fn utf8(bytes: &[u8]) -> Cow<'_, [u8]> {
    let Some((order, mark)) = order(bytes) else {
        if has_returns_alone(&bytes[..bytes.len().min(super::log::HEAD)]) {
            let line_end = |byte: &u8| if *byte == b'\r' { b'\n' } else { *byte };
            return Cow::Owned(bytes.iter().map(line_end).collect());
        }
        return Cow::Borrowed(bytes);
    };
    let (pairs, left) = bytes[mark..].as_chunks::<2>();
    let letters = char::decode_utf16(pairs.iter().map(|pair| order(*pair)));
    let mut text: String = letters
        .map(|own| own.unwrap_or(char::REPLACEMENT_CHARACTER))
        .collect();
    if !left.is_empty() {
        text.push(char::REPLACEMENT_CHARACTER);
    }
    Cow::Owned(text.into_bytes())
}

fn has_returns_alone(head: &[u8]) -> bool {
    head.contains(&b'\r') && !head.contains(&b'\n')
}

/// A letter of UTF-16 from its two bytes.
type Order = fn([u8; 2]) -> u16;

/// How the letters of UTF-16 are read, and the bytes of its mark. Without a mark it is known by its digits and Latin letters, of which each has
/// an empty byte on the same side.
fn order(head: &[u8]) -> Option<(Order, usize)> {
    const LOOKED_AT: usize = 512;
    let (pairs, _) = head[..head.len().min(LOOKED_AT)].as_chunks::<2>();
    let most = |pass: fn(&[u8; 2]) -> bool| {
        pairs.len() >= 8 && pairs.iter().filter(|pair| pass(pair)).count() * 10 >= pairs.len() * 9
    };
    match head {
        [0xff, 0xfe, ..] => Some((u16::from_le_bytes, 2)),
        [0xfe, 0xff, ..] => Some((u16::from_be_bytes, 2)),
        _ if most(|pair| pair[1] == 0 && (pair[0] >= 32 || pair[0].is_ascii_whitespace())) => {
            Some((u16::from_le_bytes, 0))
        }
        _ if most(|pair| pair[0] == 0 && (pair[1] >= 32 || pair[1].is_ascii_whitespace())) => {
            Some((u16::from_be_bytes, 0))
        }
        _ => None,
    }
}

/// A line without carriage return and byte order mark.
pub(crate) fn plain(line: &[u8]) -> &[u8] {
    let line = line.strip_suffix(b"\r").unwrap_or(line);
    line.strip_prefix("\u{feff}".as_bytes()).unwrap_or(line)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn utf_16_is_read_by_its_mark() {
        let text = "time,T\n0,21.5 °C\u{1F525}\n";
        let little: Vec<u8> = "\u{feff}"
            .encode_utf16()
            .chain(text.encode_utf16())
            .flat_map(u16::to_le_bytes)
            .collect();
        let big: Vec<u8> = "\u{feff}"
            .encode_utf16()
            .chain(text.encode_utf16())
            .flat_map(u16::to_be_bytes)
            .collect();
        assert!(is_coded(&little) && is_coded(&big) && !is_coded(text.as_bytes()));
        assert_eq!(utf8(&little), text.as_bytes());
        assert_eq!(utf8(&big), text.as_bytes());
        assert_eq!(utf8(text.as_bytes()), text.as_bytes());
        // Without its mark, and with the line ends of old.
        let long = "12.5,21.5 °C\n".repeat(20);
        let letters = || long.encode_utf16();
        let little: Vec<u8> = letters().flat_map(u16::to_le_bytes).collect();
        let big: Vec<u8> = letters().flat_map(u16::to_be_bytes).collect();
        assert_eq!(utf8(&little), long.as_bytes());
        assert_eq!(utf8(&big), long.as_bytes());
        let old = text.replace('\n', "\r");
        assert!(is_coded(old.as_bytes()));
        assert_eq!(utf8(old.as_bytes()), text.as_bytes());
        // Cut in the middle of a letter.
        assert_eq!(utf8(&[0xff, 0xfe, b'7', 0, 0x3d]), "7\u{fffd}".as_bytes());
        assert_eq!(utf8(&[0xff, 0xfe, 0x3d, 0xd8]), "\u{fffd}".as_bytes());
    }

    #[test]
    fn what_is_no_text_is_refused() {
        let noise: Vec<u8> = (0..4_000_u32)
            .map(|at| (at.wrapping_mul(2_654_435_761) >> 24) as u8)
            .collect();
        for bytes in [
            &noise[..],
            b"PK\x03\x04 a,b\n1,2\n",
            b"%PDF-1.7\n",
            b"\x00\x00\x00\x01",
        ] {
            assert!(text_only(bytes).is_err(), "{:?}", &bytes[..4]);
        }
        for text in [
            "",
            "time,T\n0,21\n",
            "\x1b[0m ok T:21.5\n\x00\x01\x02 start, a line of noise where a controller starts anew\n",
        ] {
            assert!(text_only(text.as_bytes()).is_ok(), "{text:?}");
        }
    }
}
