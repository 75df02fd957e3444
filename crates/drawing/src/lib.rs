//! Pictures as SVG: wiring, boards, charts. Knows data to draw and no file formats.
//!
//! Each picture is one function from a plain struct to the text of an SVG, [`tags`] to one text a page. It stands
//! alone as a file and can be put into a page with others: identifiers take a prefix from the caller, and the one
//! `<style>` speaks only of what is below the class `dwg`.
//!
//! Decisions and what they cost:
//! - **The crate knows none of the others.** Numbers come as positions with ready texts, lengths as [`Mm`]. The caller
//!   has to word its numbers, and in return a picture never disagrees with the report about a digit.
//! - **Colours are classes.** A scheme for light and one for dark follow the reader's system, paper is always light.
//!   A viewer without CSS shows black shapes.
//! - **Nothing is told by colour alone.** Wires carry their IEC 60757 letters, verdicts a shape and a word, series
//!   dashes. That takes room.
//! - **Text is measured with a cautious table** of widths, since the reader's face is unknown: nothing overlaps, and in
//!   a narrow face labels are loosely set.
//! - **Same bytes everywhere.** Coordinates are rounded to a hundredth; there is no hash map, clock or random number.
mod board;
mod cells;
mod comparison;
mod geometry;
mod halftone;
mod margins;
mod metrics;
mod palette;
mod plot;
mod scatter;
mod sheet;
mod spans;
mod surface;
mod tags;
mod terminals;
mod ticks;
mod tornado;
mod wiring;

pub use board::{BoardHole, BoardInCase, BoardPort, KeepOut, Opening, Post, board};
pub use cells::{Cell, CellGroup, CellState, Cells, cells};
pub use comparison::{Candidate, Comparison, Count, comparison};
pub use geometry::{Area, Mm, Point, Spot};
pub use halftone::{Halftone, halftone};
pub use margins::{MarginGroup, MarginRow, Margins, margins};
pub use palette::{WireColour, wire_colour};
pub use plot::{Along, Band, Mark, Plot, Series, plot};
pub use scatter::{Scatter, ScatterPoint, scatter};
pub use sheet::{Head, Layout, Verdict};
pub use spans::{SpanRow, Spans, spans};
pub use surface::{Surface, surface};
pub use tags::{Tag, TagSheet, TagWire, tags};
pub use terminals::{Terminal, TerminalPin, Terminals, terminals};
pub use tornado::{Tornado, TornadoRow, tornado};
pub use wiring::{
    Action, Cable, Device, Kind, MountingHole, Port, Routed, RoutedCable, Wire, Wiring, WiringBoard, route,
    wiring,
};
