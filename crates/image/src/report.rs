//! The report on an image: what it is, every check, the verdict over all.

use quantity::Memory;
use serde::Serialize;

use crate::board::{Board, Limits};
use crate::card::{self, Card};
use crate::case::Case;
use crate::checks::{CHECKS, Wanted};
use crate::image::Image;
use crate::verdict::{Check, Verdict, hex};

/// What is asked about an image.
#[derive(Clone, Copy, Debug)]
pub struct Ask<'a> {
    /// The name of its file, without folders.
    pub file_name: &'a str,
    /// The board that it is meant for.
    pub board: &'a Board,
    /// What it is held against.
    pub limits: &'a Limits,
    /// Words that the controller must know.
    pub wanted: &'a [Wanted],
    /// What the controller reported that it is, if it was asked.
    pub reported: Option<&'a str>,
    /// The card that it is loaded from.
    pub card: Option<&'a Card>,
}

/// The report.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    /// The name of the file.
    pub file: String,
    /// The words for its form.
    pub form: &'static str,
    /// Its size.
    pub size: Memory,
    /// SHA-256 of the file.
    pub sha256: String,
    /// The first address, where it is known.
    pub start: Option<String>,
    /// The name of the board.
    pub board: String,
    /// The worst verdict.
    pub verdict: Verdict,
    /// The checks, in the order of their list.
    pub checks: Vec<Check>,
}

impl Report {
    /// How many checks have a verdict.
    #[must_use]
    pub fn count(&self, verdict: Verdict) -> usize {
        self.checks
            .iter()
            .filter(|check| check.verdict == verdict)
            .count()
    }
    /// The check of a name.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<&Check> {
        self.checks.iter().find(|check| check.id == id)
    }
}

/// Runs every check.
#[must_use]
pub fn report(image: &Image, ask: &Ask<'_>) -> Report {
    let case = Case::new(image, ask.board, ask.limits);
    let mut checks: Vec<Check> = CHECKS.iter().filter_map(|check| check(&case, ask)).collect();
    if let Some(card) = ask.card {
        checks.extend(card::checks(card, image, ask));
    }
    Report {
        file: ask.file_name.to_owned(),
        form: image.form.word(),
        size: image.file_size,
        sha256: image.sha256_text(),
        start: case.starts_at().map(hex),
        board: ask.board.name.clone(),
        verdict: checks
            .iter()
            .map(|check| check.verdict)
            .max()
            .unwrap_or(Verdict::Open),
        checks,
    }
}
