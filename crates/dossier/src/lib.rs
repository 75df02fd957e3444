//! The hand-over: one self-contained page, the same as Markdown, pictures, tables.
//!
//! [`documents`] turns what the core computed into texts with names; nothing is computed here but words and pictures. Start
//! reading at `Shown`, which holds what all documents share; `page` builds the HTML, `markdown` the text for publishing.
//!
//! Decisions and what they cost:
//! - **No script, no request.** Numbers open through `<details>`, pictures are inline SVG, the style sheet is in the page. The page
//!   works from a memory stick in twenty years. The price: each picture is in it twice, once for a desk and once for a phone.
//! - **Paper is an output of its own.** On paper all that asks for a decision or a reading is opened; the workings of what passed
//!   stay in the file, else nobody would print it.
//! - **What people wrote is text, never markup.** Names and remarks come from files that may come from strangers; `maud` escapes
//!   them in HTML, `markdown` escapes them there.
//!
//! What this crate must not know: files, clock, terminals, sockets. Same input, same bytes: there is no date in a dossier but
//! the one that a person writes into it.

mod cautions;
pub mod evidence;
mod markdown;
mod page;
mod pictures;
mod sheets;
mod shown;
mod words;

pub use words::{share as margin_words, tightest as tightest_words};

use bringup::Step;
use model::Swap;
use plan::{Comparison, Draws, Plan, Tally};
use settings::Settings;

use shown::Shown;

/// What a dossier is made of.
#[derive(Clone, Copy, Debug)]
pub struct Material<'a> {
    /// The swap.
    pub swap: &'a Swap,
    /// The plans of all candidates, in the order of the swap; at least one.
    pub plans: &'a [Plan<'a>],
    /// The candidates side by side.
    pub comparison: &'a Comparison,
    /// The board that the dossier is about, by its place in `plans`.
    pub shown: usize,
    /// The settings of that board.
    pub settings: &'a Settings,
    /// That plan made ready for drawing machines within the tolerances.
    pub draws: &'a Draws,
    /// What the draws gave.
    pub tally: &'a Tally,
    /// The bring-up of that board.
    pub steps: &'a [Step],
    /// What was measured, in the order of the swap.
    pub evidence: &'a [evidence::Measured],
}

/// One document: the name of its file and its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Document {
    /// A file name without folder.
    pub name: String,
    /// The whole text.
    pub text: String,
}

impl Document {
    fn new(name: impl Into<String>, text: String) -> Self {
        Self {
            name: name.into(),
            text,
        }
    }
}

/// All documents of a dossier; the page comes first.
///
/// # Panics
/// Where `shown` is no place in `plans`.
#[must_use]
pub fn documents(material: &Material<'_>) -> Vec<Document> {
    let shown = Shown::of(material);
    let pictures = pictures::Pictures::of(&shown);
    let mut out = vec![
        Document::new("dossier.html", page::page(&shown, &pictures)),
        Document::new("dossier.md", markdown::markdown(&shown)),
        Document::new("wires.csv", sheets::wires(&shown)),
        Document::new("parts.csv", sheets::parts(&shown)),
        Document::new("settings.gcode", settings::gcode(material.settings)),
        Document::new("build-sheet.txt", sheets::build_text(&shown)),
        Document::new("build-sheet.csv", sheets::build(&shown)),
        Document::new("steps.md", markdown::steps(&shown)),
    ];
    out.extend(sheets::control(&shown).map(|text| Document::new("temperature-control.csv", text)));
    out.extend(material.settings.tables.iter().map(|table| {
        let of: String = table
            .of
            .chars()
            .map(|c| if c.is_alphanumeric() { c } else { '-' })
            .collect();
        Document::new(format!("thermometer-{of}.csv"), sheets::thermometer(table))
    }));
    out.extend(pictures.documents());
    out
}
