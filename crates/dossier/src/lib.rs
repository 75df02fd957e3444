//! The hand-over: a page, a bench sheet, a checklist, the proof behind them, pictures, tables; and what the commands show of it.
//!
//! [`files`] turns what the core computed into texts with names, [`screens`] picks what a command shows. Nothing is computed here but words
//! and pictures, and nothing is laid out: each kind of thing has a module that says it in blocks (`finding`, `step`, `setting`, `report`,
//! `comparison`, `wiring`, `parts`, `tolerances`, `alternatives`, `curves`, `ends`), `page` puts these in order, and the renderers of
//! `document` show them. Start reading at `page`.
//!
//! Decisions and what they cost:
//! - **One mapping for all renderings.** A finding has the same words on the page, in Markdown and on a terminal. The price: each
//!   place that shows one takes it as it is, or leaves blocks out.
//! - **Paper is an output of its own.** On paper all that asks for a decision or a reading is opened; the workings of what passed
//!   stay in the file, else nobody would print it.
//! - **What people wrote is text, never markup.** Names and remarks come from files that may come from strangers; they go into blocks
//!   as they are, and the renderers escape them.
//!
//! What this crate must not know: files, clock, terminals, sockets. Same input, same bytes: there is no date in a dossier but
//! the one that a person writes into it.

mod about;
mod alternatives;
mod bench;
mod cautions;
mod compare;
mod comparison;
mod curves;
mod ends;
pub mod evidence;
mod finding;
pub mod guide;
mod open;
mod page;
mod parts;
mod pictures;
pub mod recorded;
mod report;
pub mod screens;
mod setting;
mod sheets;
mod shown;
mod step;
mod today;
mod tolerances;
mod wiring;
mod words;

pub use alternatives::moves;
pub use today::{Today, in_short, today};

use bringup::Step;
use document::html::{Html, elsewhere};
use document::markdown;
use document::terminal::Terminal;
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
    /// What the bring-up recorded.
    pub record: &'a [record::Row],
}

/// One file: its name and its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct File {
    /// Its name, with the folder that it lies in: `pictures/wiring.svg`.
    pub name: String,
    /// The whole text.
    pub text: String,
}

impl File {
    fn new(name: impl Into<String>, text: String) -> Self {
        Self {
            name: name.into(),
            text,
        }
    }
}

/// How wide a text file is that is read in an editor or printed.
const TEXT_WIDTH: usize = 100;

/// All files of a dossier; the page comes first.
///
/// # Panics
/// Where `shown` is no place in `plans`.
#[must_use]
pub fn files(material: &Material<'_>) -> Vec<File> {
    let shown = Shown::of(material);
    let pictures = pictures::Pictures::of(&shown);
    let html = Html {
        drawings: &|name| pictures.drawing(name),
    };
    let text = Terminal {
        width: TEXT_WIDTH,
        colour: false,
    };
    let sheet = settings::build_sheet(material.settings);
    let page = page::page(&shown, &pictures);
    let steps = page::steps(&shown, &pictures);
    let proof = page::proof(&shown, &pictures);
    let bench = bench::sheets(&shown, &pictures);
    let to_proof = |page: &str| elsewhere(page, "proof/proof.html");
    let to_report = |page: &str| elsewhere(page, "report.html");
    let choice = page::choice(&shown);
    let paper = page::settings(&shown);
    let build = text.document(&setting::sheet_alone(&shown.about, &sheet));
    let mut out = vec![
        File::new("report.html", to_proof(&html.page(&page))),
        File::new("choice.html", to_report(&html.one_sheet(&choice))),
        File::new("bench-sheet.html", html.sheets(&page.title, &bench)),
        File::new("checklist.html", to_report(&html.one_by_one(&steps))),
        File::new("settings.html", to_report(&html.page(&paper))),
        File::new("settings.gcode", settings::gcode(material.settings)),
        File::new(
            "proof/proof.html",
            elsewhere(&html.page(&proof), "../report.html"),
        ),
        File::new("proof/proof.md", markdown::document_at(&proof, "../")),
        File::new("proof/report.md", markdown::document_at(&page, "../")),
        File::new("proof/checklist.md", markdown::document_at(&steps, "../")),
        File::new("tables/wires.csv", sheets::wires(&shown)),
        File::new("tables/parts.csv", sheets::parts(&shown)),
        File::new("tables/build-sheet.txt", build),
        File::new("tables/build-sheet.csv", sheets::build(&sheet)),
    ];
    if !material.record.is_empty() {
        out.push(File::new("tables/record.csv", recorded::csv(material.record)));
        out.push(File::new("proof/record.jsonl", record::to_lines(material.record)));
    }
    out.extend(sheets::control(&shown).map(|text| File::new("tables/temperature-control.csv", text)));
    out.extend(material.settings.tables.iter().map(|table| {
        let of: String = table
            .of
            .chars()
            .map(|c| if c.is_alphanumeric() { c } else { '-' })
            .collect();
        File::new(format!("tables/thermometer-{of}.csv"), sheets::thermometer(table))
    }));
    out.extend(pictures.files());
    out
}

/// The page for one day as HTML, alone in its file.
#[must_use]
pub fn today_page(document: &document::Document) -> String {
    Html { drawings: &|_| None }.page(document)
}
