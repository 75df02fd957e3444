//! A file as an image: which form it has is told by its content, never by its name.

mod elf;
mod intel_hex;
mod s_record;
mod uf2;

use serde::Serialize;
use sha2::{Digest as _, Sha256};

use crate::content::{Builder, Content};
use crate::fault::{Faults, Refused};
use crate::image::{Elf, Image, Part};

/// The largest file that is taken for an image. Flash of such controllers is at most a few MiB; an ELF file holds notes for the
/// debugger beside it.
pub const LARGEST: u64 = 64 << 20;

/// The form of an image file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Form {
    /// The bytes of the flash and nothing else.
    Raw,
    /// Intel HEX.
    IntelHex,
    /// S-record.
    SRecord,
    /// ELF.
    Elf,
    /// UF2.
    Uf2,
}

impl Form {
    /// All forms.
    pub const ALL: [Form; 5] = [Form::Raw, Form::IntelHex, Form::SRecord, Form::Elf, Form::Uf2];

    /// The words on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Form::Raw => "raw binary",
            Form::IntelHex => "Intel HEX",
            Form::SRecord => "S-record",
            Form::Elf => "ELF",
            Form::Uf2 => "UF2",
        }
    }

    /// The form that files with an extension commonly have; nothing for one that names no form.
    #[must_use]
    pub fn of_extension(extension: &str) -> Option<Form> {
        match extension.to_ascii_lowercase().as_str() {
            "bin" => Some(Form::Raw),
            "hex" | "ihex" => Some(Form::IntelHex),
            "srec" | "s19" | "s28" | "s37" | "mot" => Some(Form::SRecord),
            "elf" => Some(Form::Elf),
            "uf2" => Some(Form::Uf2),
            _ => None,
        }
    }

    /// The form of a file by how it begins.
    fn of(bytes: &[u8]) -> Form {
        let text = bytes.trim_ascii_start();
        let begins = |mark: u8, digits: usize| {
            text.first() == Some(&mark)
                && text
                    .get(1..=digits)
                    .is_some_and(|rest| rest.iter().all(u8::is_ascii_hexdigit))
        };
        if bytes.starts_with(b"\x7FELF") {
            Form::Elf
        } else if bytes.starts_with(b"UF2\n") {
            Form::Uf2
        } else if begins(b':', 8) {
            Form::IntelHex
        } else if begins(b'S', 7) {
            Form::SRecord
        } else {
            Form::Raw
        }
    }
}

/// What a reader found, before it is an [`Image`].
#[derive(Debug, Default)]
struct Found {
    parts: Vec<Part>,
    entry: Option<u32>,
    elf: Option<Elf>,
}

impl Found {
    fn of(content: Content, entry: Option<u32>) -> Self {
        Self {
            parts: vec![Part {
                family: None,
                content,
            }],
            entry,
            elf: None,
        }
    }
}

/// Reads a file of at most [`LARGEST`] bytes.
///
/// # Errors
/// [`Refused`] with every fault and its place: a file with one wrong record is not to be loaded, so none is guessed at.
pub fn read(bytes: &[u8]) -> Result<Image, Refused> {
    if bytes.len() as u64 > LARGEST {
        return Err(Refused::new(
            format!("the file has more than {} MiB", LARGEST >> 20),
            "Choose the firmware image itself.",
        ));
    }
    let form = Form::of(bytes);
    let found = match form {
        Form::Raw => raw(bytes),
        Form::IntelHex => intel_hex::read(bytes),
        Form::SRecord => s_record::read(bytes),
        Form::Elf => elf::read(bytes),
        Form::Uf2 => uf2::read(bytes),
    }?;
    if found.parts.iter().all(|part| part.content.is_empty()) {
        return Err(Refused::new(
            format!("the {} file has no bytes for the flash", form.word()),
            BUILD_AGAIN,
        ));
    }
    Ok(Image {
        form,
        file_size: quantity::Memory::from_bytes(bytes.len() as u64),
        sha256: Sha256::digest(bytes).into(),
        parts: found.parts,
        entry: found.entry,
        elf: found.elf,
    })
}

/// The remedy for a file that is broken.
const BUILD_AGAIN: &str = "Copy, download or build the file again. Do not load this one.";

/// What the records of a text make, or every fault of it.
fn finished(form: Form, builder: Builder, mut faults: Faults, entry: Option<u32>) -> Result<Found, Refused> {
    let (content, overlaps) = builder.build();
    faults.append(overlaps);
    if faults.is_empty() {
        Ok(Found::of(content, entry))
    } else {
        Err(Refused::new(format!("the {} file is damaged", form.word()), BUILD_AGAIN).with(faults))
    }
}

/// Raw bytes have no marks of their own: what is plainly something else is refused here.
fn raw(bytes: &[u8]) -> Result<Found, Refused> {
    const OTHER: &[(&[u8], &str)] = &[
        (b"PK\x03\x04", "a ZIP archive"),
        (b"\x1F\x8B", "a gzip file"),
        (b"\x28\xB5\x2F\xFD", "a zstd file"),
        (b"\xFD7zXZ\0", "an xz file"),
        (b"7z\xBC\xAF\x27\x1C", "a 7z archive"),
        (b"BZh", "a bzip2 file"),
        (b"%PDF", "a PDF document"),
        (b"\x89PNG", "a picture"),
        (b"MZ", "a program for a computer"),
    ];
    if bytes.is_empty() {
        return Err(Refused::new("the file is empty", BUILD_AGAIN));
    }
    if let Some((_, what)) = OTHER.iter().find(|(mark, _)| bytes.starts_with(mark)) {
        let remedy = if what.contains("archive") || what.contains("file") {
            "Unpack it and check the image inside."
        } else {
            "Choose the firmware image."
        };
        return Err(Refused::new(format!("the file is {what}, not an image"), remedy));
    }
    let head = &bytes[..bytes.len().min(4096)];
    let is_text = |byte: &u8| matches!(byte, b'\t' | b'\r' | b'\n' | b' '..=b'~' | 0x80..);
    if std::str::from_utf8(head).map_or_else(|error| error.error_len().is_none(), |_| true)
        && head.iter().all(is_text)
    {
        let page = head.trim_ascii_start().first() == Some(&b'<');
        let what = if page { "a web page" } else { "text" };
        return Err(Refused::new(
            format!("the file is {what}, not an image"),
            if page {
                "Download the file itself, not the page that shows it."
            } else {
                "Choose the firmware image that was built from it."
            },
        ));
    }
    for (filling, word) in [(0xFF, "FF"), (0x00, "00")] {
        if bytes.iter().all(|byte| *byte == filling) {
            return Err(Refused::new(
                format!("every byte of the file is {word}: it is empty memory, not an image"),
                BUILD_AGAIN,
            ));
        }
    }
    Ok(Found::of(Content::of(0, bytes), None))
}

/// The lines of a text, from 1, without blanks at their ends; empty ones are left out.
fn lines(bytes: &[u8]) -> impl Iterator<Item = (usize, &[u8])> {
    let all = bytes.split(|byte| *byte == b'\n').enumerate();
    all.map(|(at, line)| (at + 1, line.trim_ascii()))
        .filter(|(_, line)| !line.is_empty())
}
