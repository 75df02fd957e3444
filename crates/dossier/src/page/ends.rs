//! The board in its case, and the last pages: what was not checked, sources, files.

use maud::{Markup, html};

use super::table::{cards, numbers, text, words};
use super::{Pictures, picture};
use crate::shown::Shown;

pub(super) fn mounting(shown: &Shown<'_>, pictures: &Pictures) -> Markup {
    html! {
        (picture(&pictures.board, ""))
        p class="small quiet" { "Posts are drawn twice as thick as their screw; the file of the machine does not say how thick they are." }
        @if shown.plan.board.outline.holes.is_empty() { p { "The file of the board names no mounting holes." } }
    }
}

/// What no check looks at.
pub(crate) const NOT_CHECKED: [&str; 7] = [
    "Whether machine and boards are as their files say. Measure what a decision hangs on.",
    "Mains wiring, protective earth, insulation, the inside of the supply: a qualified person and local codes decide.",
    "The condition of leads, contacts, bearings, heaters and switches.",
    "Whether the firmware of the board can do what the plan asks of it.",
    "Electromagnetic interference, static discharge, and what a loose strand can reach.",
    "Fire protection, ventilation and fumes of the place where the machine stands.",
    "Anything that is not in the lists of checks above.",
];

pub(super) fn not_checked(shown: &Shown<'_>) -> Markup {
    let silent = silent(shown);
    html! {
        ul class="prose" {
            @for line in NOT_CHECKED { li { (line) } }
            @if !silent.is_empty() {
                li { "Checks that found nothing to look at on this board: " (silent.join(", ")) "." }
            }
        }
    }
}

/// The titles of checks that said nothing: there was no such device, or the files do not tell enough.
pub(crate) fn silent(shown: &Shown<'_>) -> Vec<&'static str> {
    let pairs = plan::PAIR_CHECKS.iter().map(|check| (check.id, check.title));
    let wholes = plan::WHOLE_CHECKS.iter().map(|check| (check.id, check.title));
    pairs
        .chain(wholes)
        .filter(|(id, _)| !shown.plan.findings.iter().any(|finding| finding.check == *id))
        .map(|(_, title)| title)
        .collect()
}

pub(super) fn sources(shown: &Shown<'_>) -> Markup {
    html! {
        p { "What the limits and formulas of this page lean on." }
        ul class="prose small" {
            @for key in shown.sources() {
                li {
                    (shown.citation(key))
                    @if let Some(source) = shown.swap.catalogue.sources().get(key) {
                        @if !source.note.is_empty() { " " span class="quiet" { "(" (source.note) ")" } }
                    }
                }
            }
        }
    }
}

pub(super) fn files(shown: &Shown<'_>) -> Markup {
    let rows: Vec<Vec<Markup>> = shown
        .swap
        .sources
        .files()
        .iter()
        .map(|file| vec![html! { code { (file.path) } }, text(file.text.len().to_string())])
        .collect();
    html! {
        p { "Computed by Boardswap " (env!("CARGO_PKG_VERSION")) " from these files. Change one and this page is out of date." }
        (cards("", &[words("File"), numbers("Bytes")], &rows, None))
    }
}
