//! Blocks as HTML: a whole page in one file, or single blocks for a page that fetches its sections.
//!
//! The page is self-contained: no script, no request. On a screen folds open by a click, on paper by [`Opens`](crate::Opens); a picture is in it twice,
//! once for a desk and once for a phone, and the style sheet shows the one that fits.

mod blocks;
mod text;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::{Block, Document, Mark, Paper, Section, Text, visible};

use text::{Words, text};

const STYLE: &str = include_str!("html/style.css");

/// A picture as SVG, in both layouts.
#[derive(Clone, Copy, Debug)]
pub struct Drawing<'d> {
    /// For a desk and for paper.
    pub wide: &'d str,
    /// For a phone.
    pub narrow: &'d str,
}

/// The renderer, with the drawings that the page shows in its place.
#[derive(Clone, Copy)]
pub struct Html<'d> {
    /// Gives the drawing of a picture by its name; one that it does not know is left out. It is put into the page as it is.
    pub drawings: &'d dyn Fn(&str) -> Option<Drawing<'d>>,
}

impl Html<'_> {
    /// A whole page.
    #[must_use]
    pub fn page(&self, document: &Document) -> String {
        html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    // Nothing is fetched: a browser holds the page to that, whatever stands in the files behind it.
                    meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:";
                    meta name="color-scheme" content="light dark";
                    title { (Words(&document.title.words())) }
                    style { (PreEscaped(STYLE)) (PreEscaped(running(&document.title.words()))) }
                }
                body {
                    @if !document.sections.is_empty() { a class="skip" href="#contents" { "To the contents" } }
                    (PreEscaped(definitions()))
                    header {
                        h1 { (text(&document.title)) }
                        @if !document.lead.is_empty() { p class="lead" { (text(&document.lead)) } }
                        @if !document.badge.is_empty() { p class="badge" { (text(&document.badge)) } }
                        (self.all(&document.front, 2))
                    }
                    @if !document.sections.is_empty() { (contents(&document.sections)) }
                    main { @for section in &document.sections { (self.section(section)) } }
                }
            }
        }
        .into_string()
    }

    /// A page of actions of which a phone shows one at a time.
    #[must_use]
    pub fn one_by_one(&self, document: &Document) -> String {
        self.page(document)
            .replacen("<body>", "<body class=\"one-by-one\">", 1)
    }

    /// A page that fits one sheet of paper.
    #[must_use]
    pub fn one_sheet(&self, document: &Document) -> String {
        self.page(document)
            .replacen("<body>", "<body class=\"one-sheet\">", 1)
    }

    /// Sheets of paper, A3 landscape, each with a frame and a title block in the spirit of ISO 7200.
    #[must_use]
    pub fn sheets(&self, title: &Text, sheets: &[Sheet]) -> String {
        let fields = |sheet: &Sheet| {
            html! {
                dl class="title-block" {
                    @for (name, value) in &sheet.fields {
                        div {
                            dt { (Words(name)) }
                            dd { @if value.is_empty() { span class="write" {} } @else { (Words(value)) } }
                        }
                    }
                }
            }
        };
        html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:";
                    meta name="color-scheme" content="light dark";
                    title { (Words(&title.words())) }
                    style { (PreEscaped(STYLE)) }
                }
                body class="sheets" {
                    (PreEscaped(definitions()))
                    @for sheet in sheets {
                        section class="sheet" {
                            div class="drawing" { (self.all(&sheet.blocks, 2)) }
                            (fields(sheet))
                        }
                    }
                }
            }
        }
        .into_string()
    }

    /// Blocks that stand below a heading of a level, such as 2, for a page that has [`definitions`] and [`style`].
    #[must_use]
    pub fn blocks(&self, blocks: &[Block], level: u8) -> String {
        self.all(blocks, level + 1).into_string()
    }

    fn section(&self, section: &Section) -> Markup {
        let paper = match section.paper {
            Paper::Whole => None,
            Paper::Columns => Some("columns"),
            Paper::Pictures => Some("columns small-pictures"),
        };
        html! {
            section class=[paper] aria-labelledby=(visible(&section.id)) {
                h2 id=(visible(&section.id)) { (text(&section.title)) }
                (self.all(&section.blocks, 3))
            }
        }
    }
}

/// The title on each sheet of paper. What somebody wrote gets into a style sheet as code points alone.
fn running(title: &str) -> String {
    let escaped: String = visible(title)
        .chars()
        .map(|c| format!("\\{:x} ", u32::from(c)))
        .collect();
    format!("@page {{ @bottom-left {{ content: \"{escaped}\"; font: 8pt sans-serif; }} }}")
}

/// A sheet of paper.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// The fields of its title block; one without a value is a blank to write on.
    pub fields: Vec<(String, String)>,
    /// What is on it.
    pub blocks: Vec<Block>,
}

/// The same page, with links to places that it does not have leading to another page.
#[must_use]
pub fn elsewhere(page: &str, other: &str) -> String {
    let mut out = String::with_capacity(page.len());
    let mut rest = page;
    // No text of a page holds a quotation mark as it is: they are escaped.
    while let Some(at) = rest.find("<a href=\"#") {
        let (before, link) = rest.split_at(at + 9);
        out.push_str(before);
        let place = link
            .get(1..)
            .and_then(|link| link.split('"').next())
            .unwrap_or_default();
        if !page.contains(&format!("id=\"{place}\"")) {
            out.push_str(other);
        }
        rest = link;
    }
    out.push_str(rest);
    out
}

/// The style sheet of a page.
#[must_use]
pub const fn style() -> &'static str {
    STYLE
}

/// The shapes of verdicts, once for a whole page.
#[must_use]
pub fn definitions() -> String {
    let shape = |mark: Mark, outline: &str, inside: &str| {
        html! {
            symbol id=(format!("mark-{}", mark.name())) viewBox="-8 -8 16 16" {
                path d=(outline) stroke-width="1.8" stroke-linejoin="round" {}
                path d=(inside) stroke-width="1.8" {}
            }
        }
    };
    html! {
        svg width="0" height="0" aria-hidden="true" style="position:absolute" {
            (shape(Mark::Stop, "M-2.9-7H2.9L7-2.9V2.9L2.9 7H-2.9L-7 2.9V-2.9Z", "M-3-3L3 3M3-3L-3 3"))
            (shape(Mark::Caution, "M0-6.6L7 6H-7Z", "M0-2.4V1.6M0 3.4V4.6"))
            (shape(Mark::Note, "M-6-6H6V6H-6Z", "M0-4V-2.4M0-.8V4"))
            (shape(Mark::Pass, "M6.8 0A6.8 6.8 0 1 1-6.8 0A6.8 6.8 0 1 1 6.8 0Z", "M-3.2.2L-.8 2.8L3.4-2.6"))
        }
    }
    .into_string()
}

fn contents(sections: &[Section]) -> Markup {
    html! {
        nav aria-labelledby="contents" {
            h2 id="contents" { "Contents" }
            ol { @for section in sections { li { a href=(visible(&format!("#{}", section.id))) { (Words(&section.title.words())) } } } }
        }
    }
}
