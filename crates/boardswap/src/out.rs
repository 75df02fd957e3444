//! Standard output: collected and written at once, so a fault never leaves half a page; a closed pipe is no error.

use std::fmt::{Display, Write as _};
use std::io::Write as _;

use anstyle::{AnsiColor, Style};

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

/// Text in a style; the stream drops the style where the terminal has no colour.
pub fn styled(text: impl Display, style: Style) -> String {
    format!("{style}{text}{style:#}")
}

/// For headings.
pub const HEADING: Style = Style::new().bold();
/// For what is less important.
pub const FAINT: Style = Style::new().dimmed();

/// The style of a verdict; its word always stands beside it.
pub fn verdict_style(verdict: plan::Verdict) -> Style {
    match verdict {
        plan::Verdict::Blocker => AnsiColor::Red.on_default().bold(),
        plan::Verdict::Caution => AnsiColor::Yellow.on_default(),
        plan::Verdict::Note => AnsiColor::Cyan.on_default(),
        plan::Verdict::Pass => AnsiColor::Green.on_default(),
    }
}
