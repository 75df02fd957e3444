//! Programs out of what holds them: plain text, gzip, zip and zstd, told by content. Never more memory than a buffer and a window.
//!
//! What grows beyond all measure while it is unpacked is refused: a program packs to a tenth of its size, or a fiftieth where it repeats itself.

use std::cell::Cell;
use std::io::{self, BufRead as _, BufReader, Cursor, ErrorKind, Read, Seek, SeekFrom};
use std::rc::Rc;

use flate2::bufread::DeflateDecoder;
use flate2::read::MultiGzDecoder;
use rawzip::{CompressionMethod, RECOMMENDED_BUFFER_SIZE, ZipArchive};
use ruzstd::decoding::errors::{FrameDecoderError, ReadFrameHeaderError};
use ruzstd::decoding::{BlockDecodingStrategy, FrameDecoder};

/// Up to here nothing is too much.
const ALWAYS: u64 = 64 << 20;

/// Bytes out of each byte in, beyond which it is no program that was packed.
const MOST_GROWTH: u64 = 250;

/// The largest window of zstd: what its highest usual level takes, and what fits.
const WINDOW: u64 = 32 << 20;

/// Entries of a zip file.
const MOST_ENTRIES: u64 = 10_000;

/// Bytes at the start by which a form is told.
const HEAD: usize = 512;

/// Ends of names of programs.
const PROGRAMS: [&str; 6] = ["gcode", "gco", "g", "nc", "ngc", "tap"];

/// Ends of names of what may hold programs.
const PACKED: [&str; 4] = ["gz", "zip", "zst", "zstd"];

/// How programs are held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Form {
    /// As text.
    Plain,
    /// One, packed with gzip.
    Gzip,
    /// One, packed with zstd.
    Zstd,
    /// Several, in a zip file.
    Zip,
}

/// Whether a file of a folder is a program, or holds some, by its name. One that is named by a person is read whatever its name.
#[must_use]
pub fn is_named_as_program(name: &str) -> bool {
    let end = |name: &str| name.rsplit_once('.').map(|(_, end)| end.to_ascii_lowercase());
    end(name).is_some_and(|end| PROGRAMS.contains(&end.as_str()) || PACKED.contains(&end.as_str()))
}

/// Takes programs out of a source, one after the other: the name inside it, if it has one, and its text.
pub type Take<'t> = dyn FnMut(Option<&str>, &mut dyn Read) -> Result<(), String> + 't;

/// What was found in a source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Found {
    /// How the source holds programs.
    pub form: Form,
    /// Entries of a zip file that are no programs by their names.
    pub others: u64,
}

/// Hands each program of a source to `take`.
///
/// Trouble while a program is read is the business of whoever reads it: [`why`] says what an error means.
///
/// # Errors
/// Why the source cannot be read at all, or what `take` returned.
pub fn programs<R: Read + Seek>(mut source: R, take: &mut Take<'_>) -> Result<Found, String> {
    let mut head = Vec::with_capacity(HEAD);
    let read = |error: io::Error| why(&error);
    (&mut source)
        .take(HEAD as u64)
        .read_to_end(&mut head)
        .map_err(read)?;
    if head.starts_with(b"PK\x03\x04") || head.starts_with(b"PK\x05\x06") {
        return zip(source, take);
    }
    // A pipe states no length and cannot be packed by much before it ends: it has the fixed allowance.
    let size = source.seek(SeekFrom::End(0)).unwrap_or(0);
    let source = if size > 0 {
        source.seek(SeekFrom::Start(0)).map_err(read)?;
        Cursor::new(Vec::new()).chain(source)
    } else {
        Cursor::new(head.clone()).chain(source)
    };
    let budget = Budget::of(size);
    let form = match head.as_slice() {
        [0x1f, 0x8b, ..] => Form::Gzip,
        [0x28, 0xb5, 0x2f, 0xfd, ..] | [0x50..=0x5f, 0x2a, 0x4d, 0x18, ..] => Form::Zstd,
        _ => Form::Plain,
    };
    match form {
        Form::Gzip => text(budget.bound(MultiGzDecoder::new(source)), None, take)?,
        Form::Zstd => text(budget.bound(Frames::new(source)), None, take)?,
        Form::Plain | Form::Zip => text(source, None, take)?,
    }
    Ok(Found { form, others: 0 })
}

/// What an error while reading means for the person whose file it is.
#[must_use]
pub fn why(error: &io::Error) -> String {
    // What does not fit its checksum or its size.
    if error.get_ref().is_some_and(|inner| inner.is::<rawzip::Error>()) {
        return "its packed data are damaged".to_owned();
    }
    match error.kind() {
        ErrorKind::UnexpectedEof => "it ends too early: the archive is truncated".to_owned(),
        ErrorKind::InvalidData | ErrorKind::InvalidInput => "its packed data are damaged".to_owned(),
        _ => error.to_string(),
    }
}

/// Hands on a text, unless its beginning shows that it is something else.
fn text<R: Read>(mut source: R, name: Option<&str>, take: &mut Take<'_>) -> Result<(), String> {
    let mut head = Vec::with_capacity(HEAD);
    // What could be read before an error is looked at all the same; the error comes again.
    let error = (&mut source).take(HEAD as u64).read_to_end(&mut head).err();
    if let Some(other) = something_else(&head) {
        return Err(other.to_owned());
    }
    let rest = Failing { error, source };
    take(name, &mut Cursor::new(head).chain(rest))
}

/// A source that fails first with what it failed with before.
struct Failing<R> {
    error: Option<io::Error>,
    source: R,
}

impl<R: Read> Read for Failing<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        match self.error.take() {
            Some(error) => Err(error),
            None => self.source.read(buffer),
        }
    }
}

/// What is no program, by its first bytes.
fn something_else(head: &[u8]) -> Option<&'static str> {
    const KNOWN: [(&[u8], &str); 7] = [
        (b"\xff\xfe", "UTF-16 text. Do: save it as UTF-8"),
        (b"\xfe\xff", "UTF-16 text. Do: save it as UTF-8"),
        (b"\xfd7zXZ\0", "an xz archive. Do: unpack it first"),
        (b"BZh", "a bzip2 archive. Do: unpack it first"),
        (b"7z\xbc\xaf\x27\x1c", "a 7z archive. Do: unpack it first"),
        (
            b"PK\x03\x04",
            "a zip file inside another archive. Do: unpack the outer one first",
        ),
        (
            b"\x1f\x8b",
            "gzip inside another archive. Do: unpack the outer one first",
        ),
    ];
    let known = KNOWN.iter().find(|(magic, _)| head.starts_with(magic));
    let tar = head.get(257..262) == Some(b"ustar");
    known
        .map(|(_, what)| *what)
        .or(tar.then_some("a tar archive. Do: unpack it first"))
}

/// What may still come out of a source.
#[derive(Clone)]
struct Budget(Rc<Cell<u64>>);

impl Budget {
    fn of(size: u64) -> Self {
        Self(Rc::new(Cell::new(
            ALWAYS.saturating_add(size.saturating_mul(MOST_GROWTH)),
        )))
    }

    fn bound<R>(&self, source: R) -> Bounded<R> {
        Bounded {
            source,
            budget: self.clone(),
        }
    }
}

/// A source that ends with an error where too much comes out of it.
struct Bounded<R> {
    source: R,
    budget: Budget,
}

impl<R: Read> Read for Bounded<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.source.read(buffer)?;
        let left = self.budget.0.get();
        if count as u64 > left {
            self.budget.0.set(0);
            return Err(io::Error::other(format!(
                "it unpacks to more than {MOST_GROWTH} times its size: this is no packed program"
            )));
        }
        self.budget.0.set(left - count as u64);
        Ok(count)
    }
}

/// The frames of a zstd file, one after the other, without those that are to be skipped.
struct Frames<R: Read> {
    source: BufReader<R>,
    decoder: FrameDecoder,
    inside: bool,
}

impl<R: Read> Frames<R> {
    fn new(source: R) -> Self {
        let mut decoder = FrameDecoder::new();
        decoder.set_max_window_size(WINDOW);
        Self {
            source: BufReader::with_capacity(1 << 16, source),
            decoder,
            inside: false,
        }
    }

    /// Opens the next frame; whether there is one.
    fn open(&mut self) -> io::Result<bool> {
        loop {
            if self.source.fill_buf()?.is_empty() {
                return Ok(false);
            }
            match self.decoder.init(&mut self.source) {
                Ok(()) => return Ok(true),
                Err(FrameDecoderError::ReadFrameHeaderError(ReadFrameHeaderError::SkipFrame {
                    length,
                    ..
                })) => {
                    let length = u64::from(length);
                    let skipped = io::copy(&mut (&mut self.source).take(length), &mut io::sink())?;
                    if skipped < length {
                        return Err(ErrorKind::UnexpectedEof.into());
                    }
                }
                Err(error) => return Err(told(error)),
            }
        }
    }
}

impl<R: Read> Read for Frames<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        loop {
            if !self.inside {
                if !self.open()? {
                    return Ok(0);
                }
                self.inside = true;
            }
            while self.decoder.can_collect() == 0 && !self.decoder.is_finished() {
                let one = BlockDecodingStrategy::UptoBlocks(1);
                self.decoder.decode_blocks(&mut self.source, one).map_err(told)?;
            }
            let count = self.decoder.read(buffer)?;
            if count > 0 || buffer.is_empty() {
                return Ok(count);
            }
            self.inside = false;
            let written = self.decoder.get_checksum_from_data();
            if written.is_some() && written != self.decoder.get_calculated_checksum() {
                return Err(ErrorKind::InvalidData.into());
            }
        }
    }
}

/// An error of the decoder in our words.
#[expect(clippy::needless_pass_by_value, reason = "`map_err` hands it over")]
fn told(error: FrameDecoderError) -> io::Error {
    if let FrameDecoderError::WindowSizeTooBig { requested, max } = error {
        let (requested, max) = (requested >> 20, max >> 20);
        return io::Error::other(format!(
            "it was packed with a window of {requested} MiB; {max} MiB are read. Do: pack it with a usual level"
        ));
    }
    // Somewhere below may stand that the source ended.
    let mut cause: Option<&(dyn std::error::Error + 'static)> = Some(&error);
    while let Some(inner) = cause {
        if let Some(read) = inner.downcast_ref::<io::Error>()
            && read.kind() == ErrorKind::UnexpectedEof
        {
            return ErrorKind::UnexpectedEof.into();
        }
        cause = inner.source();
    }
    ErrorKind::InvalidData.into()
}

/// Entries of a zip file, in the order of its directory, which is read piece by piece.
fn zip<R: Read + Seek>(mut source: R, take: &mut Take<'_>) -> Result<Found, String> {
    let damaged = |error: rawzip::Error| match error.kind() {
        rawzip::ErrorKind::IO(error) => why(error),
        rawzip::ErrorKind::MissingEndOfCentralDirectory | rawzip::ErrorKind::Eof => {
            "its directory is missing: the archive is truncated".to_owned()
        }
        _ => "its directory is damaged".to_owned(),
    };
    let size = source.seek(SeekFrom::End(0)).map_err(|error| why(&error))?;
    let budget = Budget::of(size);
    let mut buffer = vec![0; RECOMMENDED_BUFFER_SIZE];
    let archive = ZipArchive::from_seekable(source, &mut buffer).map_err(damaged)?;
    if archive.entries_hint() > MOST_ENTRIES {
        return Err(format!("it holds more than {MOST_ENTRIES} files"));
    }
    // The only file of an archive is meant, whatever its name.
    let alone = archive.entries_hint() == 1;
    let mut entries = archive.entries(&mut buffer);
    let (mut seen, mut others) = (0, 0);
    while let Some(entry) = entries.next_entry().map_err(damaged)? {
        seen += 1;
        if seen > MOST_ENTRIES {
            return Err(format!("it holds more than {MOST_ENTRIES} files"));
        }
        if entry.is_dir() {
            continue;
        }
        let path = entry.file_path();
        let name = String::from_utf8_lossy(path.as_ref()).into_owned();
        if !(alone || is_named_as_program(&name)) {
            others += 1;
            continue;
        }
        let method = entry.compression_method();
        let encrypted = entry.flags().is_encrypted();
        let inside = archive.get_entry(entry.wayfinder()).map_err(damaged)?;
        let refused = |what: &str| format!("`{name}` in it is {what}");
        if encrypted {
            return Err(refused("encrypted. Do: unpack it first"));
        }
        let packed = BufReader::with_capacity(1 << 16, inside.reader());
        let outcome = if method == CompressionMethod::STORE {
            let verified = inside.verifying_reader(packed);
            text(budget.bound(verified), Some(&name), take)
        } else if method == CompressionMethod::DEFLATE {
            let verified = inside.verifying_reader(DeflateDecoder::new(packed));
            text(budget.bound(verified), Some(&name), take)
        } else {
            return Err(refused("packed in a way that is not read. Do: unpack it first"));
        };
        outcome.map_err(|what| refused(&what))?;
    }
    Ok(Found {
        form: Form::Zip,
        others,
    })
}
