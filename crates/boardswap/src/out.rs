//! Standard output: collected and written at once, so a fault never leaves half a page; a closed pipe is no error.

use std::fmt::{Display, Write as _};
use std::io::Write as _;

use document::terminal::Terminal;
use document::{Block, Document};

use crate::faults::Trouble;

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
    /// A value as JSON on lines of its own.
    pub fn json(&mut self, value: &impl serde::Serialize) -> Result<(), Trouble> {
        let text = serde_json::to_string_pretty(value)
            .map_err(|error| Trouble::machine(format!("JSON: {error}")))?;
        self.line(text);
        Ok(())
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

/// The terminal that is written to; 100 columns wide for pipes and files.
fn terminal() -> Terminal {
    let columns = std::env::var("COLUMNS").ok();
    let width = columns.and_then(|columns| columns.parse().ok()).unwrap_or(100);
    Terminal {
        width: width.clamp(60, 160),
        colour: anstream::AutoStream::choice(&std::io::stdout()) != anstream::ColorChoice::Never,
    }
}
