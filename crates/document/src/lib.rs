//! Documents: what is said, apart from how it is shown.
//!
//! A [`Document`] is sections of [`Block`]s: paragraphs, verdicts, tables, figures, pictures, workings, cautions, actions. Three renderers
//! lay the same blocks out: [`html`] for a page (and for single sections of one), [`markdown`] for publishing, [`terminal`] for a command;
//! [`csv`] writes tables for a spreadsheet. Start reading at [`Block`], then at one renderer.
//!
//! Decisions and what they cost:
//! - **Text is data, never markup.** A [`Text`] holds what somebody wrote as it was written. Only renderers escape, each in one place,
//!   and all show characters that act on the reader or cannot be seen as `<U+202E>` ([`visible`]). [`Text::marked`] alone reads the code
//!   marks that sentences of the program carry.
//! - **A block says what it is, not how it looks.** What a renderer cannot show it leaves out: links on a terminal, what opens on
//!   demand on paper. A new layout is a change of one renderer; a new order of a document is a change of who builds it. The price: a
//!   block that only one rendering can show well has to make do in the others.
//! - **Headings take their level from where their section stands,** so that sections can be moved.
//!
//! What this crate must not know: boards, findings, settings; files, clock, terminals, sockets.

mod block;
mod citation;
pub mod csv;
pub mod html;
pub mod markdown;
pub mod terminal;
mod text;

pub use block::{
    Action, Block, Brief, Card, Caution, Cell, Column, Document, Entry, Figure, Figures, Fitted, Fold, Group,
    Input, Kind, List, Opens, Paper, Phone, Picture, Place, Reading, Row, Section, Table, Tone, Working,
};
pub use citation::Citation;
pub use text::{Mark, Origin, Span, Swatch, Text, anchor};
pub use writing::visible;
