//! Standard output: collected and written at once, so a fault never leaves half a page; a closed pipe is no error.

use std::fmt::{Display, Write as _};
use std::io::{BufRead as _, Read as _, Write as _};

use document::terminal::Terminal;
use document::{Block, Document};

use crate::faults::Trouble;

/// The format of what `--json` prints: another number where a key goes away or means something else.
pub const FORMAT: u32 = 1;

/// The name of the schema of what `--json` prints.
pub const SCHEMA: &str = "output";

/// The schema of what `--json` prints.
pub fn schema() -> &'static str {
    include_str!("../../../schemas/output.schema.json")
}

/// The longest line that is taken of what somebody types.
const LONGEST: u64 = 4_096;

/// An answer with the number of its format.
#[derive(serde::Serialize)]
pub struct Versioned<'a, T> {
    format: u32,
    #[serde(flatten)]
    value: &'a T,
}

impl<'a, T> Versioned<'a, T> {
    pub fn of(value: &'a T) -> Self {
        Self {
            format: FORMAT,
            value,
        }
    }
}

/// What a command prints.
pub struct Out {
    text: String,
}

impl Out {
    pub fn new() -> Self {
        Self { text: String::new() }
    }
    /// One line.
    pub fn line(&mut self, text: impl Display) {
        // Writing to a string cannot fail.
        let _ = writeln!(self.text, "{text}");
    }
    /// A document, laid out for the terminal.
    pub fn document(&mut self, document: &Document) {
        self.text.push_str(&terminal().document(document));
    }
    /// Blocks, apart from what stands above them.
    pub fn blocks(&mut self, blocks: &[Block]) {
        if !self.text.is_empty() {
            self.line("");
        }
        self.text.push_str(&terminal().blocks(blocks));
    }
    /// An answer as JSON on lines of its own, with the number of the format; one that has keys.
    pub fn json(&mut self, value: &impl serde::Serialize) -> Result<(), Trouble> {
        self.plain_json(&Versioned::of(value))
    }
    /// Answers of one kind under a key.
    pub fn json_list(&mut self, key: &str, list: &[impl serde::Serialize]) -> Result<(), Trouble> {
        self.json(&std::collections::BTreeMap::from([(key, list)]))
    }
    /// A value as JSON on lines of its own.
    pub fn plain_json(&mut self, value: &impl serde::Serialize) -> Result<(), Trouble> {
        let text = serde_json::to_string_pretty(value)
            .map_err(|error| Trouble::machine(format!("JSON: {error}")))?;
        self.line(text);
        Ok(())
    }
    /// Writes what there is so far to standard output, for whoever has to answer it.
    pub fn flush(&mut self) -> Result<(), Trouble> {
        core::mem::replace(self, Self::new()).finish()
    }
    /// Some text without an end of line.
    pub fn ask(&mut self, text: &str) {
        self.text.push_str(text);
    }
    /// What somebody types behind a prompt, without blanks around it; nothing where the input ends.
    pub fn answer(&mut self, prompt: &str) -> Result<Option<String>, Trouble> {
        self.ask(prompt);
        self.flush()?;
        let mut bytes = Vec::new();
        let refused = |error: std::io::Error| Trouble::machine(format!("standard input: {error}"));
        let mut input = std::io::stdin().lock();
        input
            .by_ref()
            .take(LONGEST)
            .read_until(b'\n', &mut bytes)
            .map_err(refused)?;
        if bytes.is_empty() {
            return Ok(None);
        }
        if bytes.last() != Some(&b'\n') && bytes.len() as u64 == LONGEST {
            // The rest of a line that nobody typed.
            let mut rest = Vec::new();
            while input
                .by_ref()
                .take(LONGEST)
                .read_until(b'\n', &mut rest)
                .map_err(refused)?
                > 0
                && rest.last() != Some(&b'\n')
            {
                rest.clear();
            }
        }
        Ok(Some(String::from_utf8_lossy(&bytes).trim().to_owned()))
    }
    /// Writes everything to standard output.
    pub fn finish(self) -> Result<(), Trouble> {
        let mut stdout = anstream::stdout().lock();
        let written = stdout
            .write_all(self.text.as_bytes())
            .and_then(|()| stdout.flush());
        match written {
            Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(()),
            Err(error) => Err(Trouble::machine(format!("standard output: {error}"))),
            Ok(()) => Ok(()),
        }
    }
}

/// The terminal that is written to, as wide as it is; 100 columns for pipes and files. `COLUMNS` goes before.
fn terminal() -> Terminal {
    /// Narrower than this no table can be read, and in wider lines the eye loses its place.
    const WIDTHS: (usize, usize) = (40, 160);
    let stated = std::env::var("COLUMNS")
        .ok()
        .and_then(|columns| columns.parse().ok());
    let real = || terminal_size::terminal_size_of(std::io::stdout()).map(|(width, _)| usize::from(width.0));
    let width: usize = stated.or_else(real).unwrap_or(100);
    Terminal {
        width: width.clamp(WIDTHS.0, WIDTHS.1),
        colour: anstream::AutoStream::choice(&std::io::stdout()) != anstream::ColorChoice::Never,
    }
}
