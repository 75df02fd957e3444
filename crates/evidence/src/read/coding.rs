//! What is text at all, and its first lines.

use crate::Refused;

/// Refuses what is no text. A serial line may throw in a NUL where a controller starts anew; a picture, a workbook and text of two bytes a
/// letter are full of them.
pub(crate) fn text_only(head: &[u8]) -> Result<(), Refused> {
    if memchr::memchr_iter(0, head).count() * 20 <= head.len() {
        return Ok(());
    }
    Err(Refused::new(
        "the file is not text, or text of another coding than UTF-8",
        "export it as text with separated values (CSV) in UTF-8: a workbook or a picture cannot be read",
    ))
}

/// A line without carriage return and byte order mark.
pub(crate) fn plain(line: &[u8]) -> &[u8] {
    let line = line.strip_suffix(b"\r").unwrap_or(line);
    line.strip_prefix("\u{feff}".as_bytes()).unwrap_or(line)
}
