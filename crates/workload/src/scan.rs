//! Bytes to lines, and lines to words: the part that reads every byte.
//!
//! Lines of plain words are read on a quick path straight from the buffer. Whatever it does not know (expressions, checksums, blanks
//! inside numbers, names, garbage) goes to [`careful`], which decides what the line is. Both give the same words for the same line.

mod careful;
mod expression;

use std::io::{self, Read};

use crate::number::{PAD, number};
use careful::careful;
pub(crate) use expression::Parameters;

/// A line longer than this is none of a program.
pub(crate) const LONGEST: usize = 1 << 16;

/// Bytes that are read at once: they stay in the processor's second cache.
const CAPACITY: usize = 4 * LONGEST;

/// The most G and M words of one line: a word of each modal group that the report knows.
const MOST_COMMANDS: usize = 12;

/// A word that commands: `G1`, `G92.1`, `M104`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Code {
    /// `G`, `M`, or `T` where it stands alone.
    pub letter: u8,
    /// Ten times its number.
    pub tenths: u32,
}

impl Code {
    /// A code that is written as in a table: `G92.1`.
    pub fn parse(text: &str) -> Option<Self> {
        let (letter, rest) = text.as_bytes().split_first()?;
        let number: f64 = core::str::from_utf8(rest).ok()?.parse().ok()?;
        Self::of(letter.to_ascii_uppercase(), number)
    }

    /// `None` for numbers with more than one decimal, and from a million on.
    #[inline(always)]
    fn of(letter: u8, number: f64) -> Option<Self> {
        let tenths = number * 10.0;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "whatever the cast makes of it is compared with the number"
        )]
        let whole = tenths as u32;
        (f64::from(whole) == tenths && whole < 10_000_000).then_some(Self {
            letter,
            tenths: whole,
        })
    }
}

impl core::fmt::Display for Code {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let letter = char::from(self.letter);
        write!(f, "{letter}{}", self.tenths / 10)?;
        match self.tenths % 10 {
            0 => Ok(()),
            tenth => write!(f, ".{tenth}"),
        }
    }
}

/// The words of one line.
#[derive(Clone, Debug, Default)]
pub(crate) struct Line {
    /// Numbers by letter, from A; only those in `letters` count.
    values: [f64; 32],
    /// A bit for each letter that has a number.
    letters: u32,
    commands: [Code; MOST_COMMANDS],
    count: usize,
    /// What was wrong behind the words that were read. Matters only where the command is one whose words we need.
    pub fault: Option<Fault>,
    /// Bytes without comments, with the line end: what a program that sends the file would send; 0 for a line without words.
    pub sent: u32,
    /// All bytes, line end included.
    pub bytes: u32,
}

impl Line {
    #[inline(always)]
    fn clear(&mut self) {
        self.letters = 0;
        self.count = 0;
        self.fault = None;
    }

    /// The number behind a letter.
    #[inline(always)]
    pub fn get(&self, letter: u8) -> Option<f64> {
        let at = usize::from(letter - b'A');
        (self.letters >> at & 1 != 0).then(|| self.values[at & 31])
    }

    /// Whether there is a number behind a letter.
    #[inline(always)]
    pub fn has(&self, letter: u8) -> bool {
        self.letters >> (letter - b'A') & 1 != 0
    }

    /// Whether one of some letters has a number; `mask` from [`letters`].
    #[inline(always)]
    pub fn has_any(&self, mask: u32) -> bool {
        self.letters & mask != 0
    }

    /// The commands in the order of the line.
    #[inline(always)]
    pub fn commands(&self) -> &[Code] {
        &self.commands[..self.count]
    }

    /// How many words the line has.
    #[inline(always)]
    fn words(&self) -> u64 {
        u64::from(self.letters.count_ones()) + self.count as u64
    }

    /// Takes a word.
    #[inline(always)]
    fn take(&mut self, at: u8, number: f64) -> Result<(), Fault> {
        if at == G || at == M {
            let slot = self.commands.get_mut(self.count).ok_or(Fault::TooManyCommands)?;
            *slot = Code::of(b'A' + at, number).ok_or(Fault::NoCommand)?;
            self.count += 1;
            return Ok(());
        }
        if self.letters >> at & 1 != 0 {
            return Err(Fault::Twice);
        }
        self.letters |= 1 << at;
        self.values[usize::from(at) & 31] = number;
        Ok(())
    }
}

/// A mask of letters for [`Line::has_any`].
pub(crate) const fn letters(names: &[u8]) -> u32 {
    let (mut mask, mut at) = (0, 0);
    while at < names.len() {
        mask |= 1 << (names[at] - b'A');
        at += 1;
    }
    mask
}

/// Why a line could not be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Fault {
    /// Control characters or bytes that are no text.
    NotText,
    /// Longer than [`LONGEST`].
    TooLong,
    /// A letter without a number that can be read.
    NoNumber,
    /// A letter twice.
    Twice,
    /// A G or M word with a number that no such word has.
    NoCommand,
    /// More G and M words than a line can have.
    TooManyCommands,
    /// A comment in brackets that is not closed.
    OpenComment,
    /// A checksum that does not fit.
    Checksum,
    /// An expression that cannot be worked out.
    Expression,
    /// A character that begins no word.
    Stray,
}

/// Takes lines as they are read.
pub(crate) trait Sink {
    /// A line with words; `number` counts from 1.
    fn line(&mut self, number: u64, line: &Line);
    /// A line that begins with a name that is no word of a letter and a number.
    fn named(&mut self, number: u64, name: &str, line: &Line);
    /// A line that could not be read.
    fn broken(&mut self, number: u64, fault: Fault);
}

const BLANK: u8 = 32;
const NEWLINE: u8 = 33;
const SEMICOLON: u8 = 34;
const BRACKET: u8 = 35;
const OTHER: u8 = 36;
const G: u8 = b'G' - b'A';
const M: u8 = b'M' - b'A';

/// What a byte is where a word may begin: below 26 a letter by its place from A, in either case.
static CLASS: [u8; 256] = {
    let mut table = [OTHER; 256];
    let mut at = 0;
    while at < 26 {
        table[b'A' as usize + at] = at as u8;
        table[b'a' as usize + at] = at as u8;
        at += 1;
    }
    table[b' ' as usize] = BLANK;
    table[b'\t' as usize] = BLANK;
    table[b'\n' as usize] = NEWLINE;
    table[b';' as usize] = SEMICOLON;
    table[b'(' as usize] = BRACKET;
    table
};

/// Reads the line that begins at `at` and returns the place behind its end; `None` where it needs care.
#[inline(always)]
fn quick(text: &[u8], begin: usize, line: &mut Line) -> Option<usize> {
    line.clear();
    let mut at = begin;
    // Nearly every line of a program begins with a G, one digit and a blank.
    if let [b'G', digit @ b'0'..=b'9', b' '] = text[at..at + 3] {
        line.commands[0] = Code {
            letter: b'G',
            tenths: u32::from(digit - b'0') * 10,
        };
        line.count = 1;
        at += 3;
    }
    let end = loop {
        let class = CLASS[usize::from(text[at])];
        if class < 26 {
            let (value, end) = number(text, at + 1)?;
            line.take(class, value).ok()?;
            at = end;
            // A branch that is mostly foreseen: the next word need not wait for this byte.
            if text[at] == b' ' {
                at += 1;
            }
            continue;
        }
        match class {
            BLANK => at += 1,
            NEWLINE => break at,
            SEMICOLON => break at + memchr::memchr(b'\n', &text[at..])?,
            BRACKET => {
                let length = memchr::memchr3(b')', b'\n', b'(', &text[at + 1..])?;
                if text[at + 1 + length] != b')' {
                    return None;
                }
                at += length + 2;
            }
            // A carriage return that ends the line belongs to its end.
            _ if text[at] == b'\r' && text[at + 1] == b'\n' => break at + 1,
            _ => return None,
        }
    };
    #[expect(clippy::cast_possible_truncation, reason = "a line is shorter than 2³²")]
    {
        let has_words = line.letters != 0 || line.count > 0;
        line.sent = if has_words { (at - begin) as u32 + 1 } else { 0 };
        line.bytes = (end + 1 - begin) as u32;
    }
    Some(end + 1)
}

/// Reads lines from a source through a buffer of its own.
#[derive(Debug)]
pub(crate) struct Lines {
    buffer: Vec<u8>,
    filled: usize,
    count: u64,
    /// Whether the line under way is too long already: it is skipped up to its end.
    skipping: bool,
    parameters: Parameters,
    line: Line,
}

impl Default for Lines {
    fn default() -> Self {
        Self {
            buffer: vec![b'\n'; CAPACITY + PAD],
            filled: 0,
            count: 0,
            skipping: false,
            parameters: Parameters::default(),
            line: Line::default(),
        }
    }
}

impl Lines {
    /// Reads once from a source and hands on the lines that are whole; returns how many bytes came, 0 at the end.
    ///
    /// # Errors
    /// Those of the source. What came before has been handed on, but for the line under way: see [`Self::finish`].
    pub fn read(&mut self, source: &mut impl Read, sink: &mut impl Sink) -> io::Result<usize> {
        let count = loop {
            match source.read(&mut self.buffer[self.filled..CAPACITY]) {
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                other => break other?,
            }
        };
        self.filled += count;
        self.hand_on(sink);
        Ok(count)
    }

    /// Hands on what stands behind the last line end, if anything does.
    pub fn finish(&mut self, sink: &mut impl Sink) {
        if self.skipping || self.filled > 0 {
            // There is room: a full buffer without a line end has been skipped.
            self.buffer[self.filled] = b'\n';
            self.filled += 1;
            self.hand_on(sink);
        }
    }

    /// How many lines there were.
    pub fn count(&self) -> u64 {
        self.count
    }

    fn hand_on(&mut self, sink: &mut impl Sink) {
        let mut at = 0;
        if self.skipping {
            match memchr::memchr(b'\n', &self.buffer[..self.filled]) {
                None => {
                    self.filled = 0;
                    return;
                }
                Some(end) => {
                    self.skipping = false;
                    self.broken(Fault::TooLong, sink);
                    at = end + 1;
                }
            }
        }
        let whole = memchr::memrchr(b'\n', &self.buffer[at..self.filled]).map_or(at, |last| at + last + 1);
        // Split into the text and the rest of the state, so that the line may be written while the text is read.
        let text = &self.buffer[..];
        while at < whole {
            self.count += 1;
            if let Some(next) = quick(text, at, &mut self.line) {
                if next - at > LONGEST {
                    sink.broken(self.count, Fault::TooLong);
                } else {
                    sink.line(self.count, &self.line);
                }
                at = next;
                continue;
            }
            let end = at + memchr::memchr(b'\n', &text[at..]).unwrap_or(whole - 1 - at);
            let line = &text[at..end];
            let outcome = if line.len() > LONGEST {
                Err(Fault::TooLong)
            } else {
                careful(line, self.count, &mut self.parameters, &mut self.line)
            };
            match outcome {
                Ok(None) => sink.line(self.count, &self.line),
                Ok(Some(name)) => sink.named(self.count, name, &self.line),
                Err(fault) => sink.broken(self.count, fault),
            }
            at = end + 1;
        }
        self.buffer.copy_within(at..self.filled, 0);
        self.filled -= at;
        // What was read ahead must end in something that is no digit.
        let behind = self.filled..self.filled + PAD;
        self.buffer[behind].fill(b'\n');
        if self.filled > LONGEST {
            self.skipping = true;
            self.filled = 0;
        }
    }

    fn broken(&mut self, fault: Fault, sink: &mut impl Sink) {
        self.count += 1;
        sink.broken(self.count, fault);
    }
}

/// How many lines and words a text has: the reading alone, for benches and for a quick look.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Count {
    /// Lines.
    pub lines: u64,
    /// Words: letters with a number.
    pub words: u64,
    /// Lines that could not be read.
    pub broken: u64,
}

impl core::ops::AddAssign for Count {
    fn add_assign(&mut self, other: Self) {
        self.lines += other.lines;
        self.words += other.words;
        self.broken += other.broken;
    }
}

/// Reads every word and number of a text and keeps only how many there are.
///
/// # Errors
/// Those of the source.
pub fn count(source: &mut impl Read) -> io::Result<Count> {
    struct Counter(Count, f64);
    impl Sink for Counter {
        fn line(&mut self, _: u64, line: &Line) {
            self.0.lines += 1;
            self.0.words += line.words();
            // Somebody must want the numbers, or they would not be worked out.
            self.1 += line.values[usize::from(b'X' - b'A')] + line.values[usize::from(b'E' - b'A')];
        }
        fn named(&mut self, _: u64, _: &str, _: &Line) {
            self.0.lines += 1;
        }
        fn broken(&mut self, _: u64, _: Fault) {
            self.0.lines += 1;
            self.0.broken += 1;
        }
    }
    let mut counter = Counter(Count::default(), 0.0);
    let mut lines = Lines::default();
    while lines.read(source, &mut counter)? > 0 {}
    lines.finish(&mut counter);
    std::hint::black_box(counter.1);
    Ok(counter.0)
}

#[cfg(test)]
mod tests;
