//! A board from what its maker publishes: outline and holes of DXF drawings, Gerber layers and drill files, ports of tables of pins.
//!
//! Each reader gives [`Shapes`]: lines, arcs, circles, drilled holes and pads, in the coordinates of the file. [`Drawn::of`] makes a board of them: the
//! largest closed line is its edge, and holes of the size of a screw are those it is mounted by. What is stated in a file, what was concluded and what no
//! drawing shows is kept apart ([`Drawn::remarks`]). Bytes in, data out: no disk. All sizes are bounded, and hostile files are refused with the line.
//!
//! # Example
//!
//! ```
//! let gerber = b"%FSLAX46Y46*%%MOMM*%%ADD10C,0.1*%D10*X0Y0D02*X40000000Y0D01*Y20000000D01*X0D01*Y0D01*M02*";
//! let shapes = import::read(gerber, None).unwrap();
//! let board = import::Drawn::of(&[shapes]).unwrap();
//! assert!((board.size.0.base() - 0.040).abs() < 1e-9);
//! ```

mod drawn;
mod drill;
mod dxf;
mod gerber;
mod ports;
mod shapes;
mod table;

use core::fmt;

pub use drawn::{Drawn, Hole, Remark};
pub use ports::{Port, as_toml, ports};
pub use shapes::{Form, Length, Shapes, Unit};

/// The largest file that is read, in bytes.
pub const LARGEST: usize = 64 << 20;
/// The most shapes of a file.
pub const MOST: usize = 300_000;

/// Why a file is no drawing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The line, from 1; none where it is about the whole file.
    pub line: Option<usize>,
    /// What is wrong, as a sentence without a full stop.
    pub what: String,
    /// What would help.
    pub help: &'static str,
}

impl Problem {
    pub(crate) fn new(line: impl Into<Option<usize>>, what: impl Into<String>, help: &'static str) -> Self {
        Self {
            line: line.into(),
            what: what.into(),
            help,
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.line {
            Some(line) => write!(formatter, "line {line}: {}", self.what),
            None => formatter.write_str(&self.what),
        }
    }
}

impl core::error::Error for Problem {}

/// Whether a file looks like a drawing that [`read`] knows.
#[must_use]
pub fn is_drawing(bytes: &[u8]) -> bool {
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(4_000)]);
    is_gerber(&head) || is_drill(&head) || is_dxf(&head)
}

fn is_gerber(head: &str) -> bool {
    head.contains("%FS") || head.contains("%MO")
}

fn is_drill(head: &str) -> bool {
    head.lines().any(|line| line.trim() == "M48")
}

fn is_dxf(head: &str) -> bool {
    head.lines().any(|line| line.trim() == "SECTION")
        || head
            .lines()
            .next()
            .is_some_and(|line| line.contains("Binary DXF"))
}

/// Reads a drawing; its form is found by its content. `unit` is for files that state none.
///
/// # Errors
/// [`Problem`] where it is none of the forms, states no unit and none is given, or is cut short or too large.
pub fn read(bytes: &[u8], unit: Option<Unit>) -> Result<Shapes, Problem> {
    if bytes.len() > LARGEST {
        return Err(Problem::new(
            None,
            format!(
                "{} MiB are more than the {} that are read",
                bytes.len() >> 20,
                LARGEST >> 20
            ),
            "export the outline and the holes alone",
        ));
    }
    let text = String::from_utf8_lossy(bytes);
    let text = text.trim_start_matches('\u{feff}');
    let head: String = text.chars().take(4_000).collect();
    if is_gerber(&head) {
        return gerber::read(text);
    }
    if is_drill(&head) {
        return drill::read(text, unit);
    }
    if is_dxf(&head) {
        return dxf::read(text, unit);
    }
    Err(Problem::new(
        None,
        "this is no DXF drawing, no Gerber layer and no drill file",
        "take a file that begins with a DXF section, `%FS` or `M48`",
    ))
}
