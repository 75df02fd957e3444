//! The page: one HTML file with everything in it.

mod alternatives;
mod choice;
mod curves;
mod ends;
mod evidence;
mod findings;
mod head;
mod leads;
mod marks;
mod parts;
mod settings;
mod steps;
mod table;
mod tolerances;
mod working;

pub(crate) use ends::{NOT_CHECKED, silent};

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::pictures::{Picture, Pictures};
use crate::shown::Shown;

const STYLE: &str = include_str!("page/style.css");

/// A section of the page: anchor, heading, content, and how it lies on paper.
struct Section {
    id: &'static str,
    title: &'static str,
    content: Markup,
    paper: Paper,
}

impl Section {
    fn on(self, paper: Paper) -> Self {
        Self { paper, ..self }
    }
}

/// How a section lies on paper.
#[derive(Clone, Copy)]
enum Paper {
    /// Over the whole width.
    Whole,
    /// In two columns.
    Columns,
    /// In two columns, with pictures as they are on a phone.
    Pictures,
}

impl Paper {
    fn class(self) -> Option<&'static str> {
        match self {
            Paper::Whole => None,
            Paper::Columns => Some("columns"),
            Paper::Pictures => Some("columns small-pictures"),
        }
    }
}

/// The whole page.
pub(crate) fn page(shown: &Shown<'_>, pictures: &Pictures) -> String {
    let sections = sections(shown, pictures);
    let title = format!("{}: {}", shown.swap.name, shown.plan.board.name);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                // Nothing is fetched: a browser holds the page to that, whatever stands in the files of the swap.
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:";
                meta name="color-scheme" content="light dark";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                a class="skip" href="#choice" { "To the choice of the board" }
                (marks::definitions())
                (head::head(shown))
                nav aria-labelledby="contents" {
                    h2 id="contents" { "Contents" }
                    ol {
                        @for section in &sections {
                            li { a href=(format!("#{}", section.id)) { (section.title) } }
                        }
                    }
                }
                main {
                    @for section in &sections {
                        section class=[section.paper.class()] aria-labelledby=(section.id) {
                            h2 id=(section.id) { (section.title) }
                            (section.content)
                        }
                    }
                }
            }
        }
    }
    .into_string()
}

fn sections(shown: &Shown<'_>, pictures: &Pictures) -> Vec<Section> {
    let section = |id, title, content| Section {
        id,
        title,
        content,
        paper: Paper::Whole,
    };
    let mut sections = vec![
        section("choice", "Which board", choice::choice(shown, pictures)),
        section("open-points", "Settle these first", findings::open_points(shown)),
        section("parts", "Parts to buy", parts::parts(shown)),
        section("mounting", "Board in the case", ends::mounting(shown, pictures)),
        section("wiring", "Wiring", leads::wiring(shown, pictures)),
        section("settings", "Settings", settings::settings(shown)),
        section("steps", "Bring-up, step by step", steps::steps(shown)).on(Paper::Columns),
        section("findings", "All checks", findings::all(shown, pictures)).on(Paper::Columns),
        section(
            "curves",
            "Curves: torque, supply, control",
            curves::section(shown, pictures),
        )
        .on(Paper::Pictures),
        section(
            "tolerances",
            "How likely the limits hold",
            tolerances::section(shown, pictures),
        )
        .on(Paper::Pictures),
        section(
            "alternatives",
            "Other ways to wire it",
            alternatives::alternatives(shown),
        ),
        section("not-checked", "What was not checked", ends::not_checked(shown)),
        section("sources", "Sources", ends::sources(shown)),
        section("files", "Files and versions", ends::files(shown)),
    ];
    if !shown.material.evidence.is_empty() {
        let after = sections.iter().position(|section| section.id == "curves");
        let measured = section(
            "evidence",
            "What was measured",
            evidence::evidence(shown, pictures),
        )
        .on(Paper::Pictures);
        sections.insert(after.unwrap_or(0), measured);
    }
    sections
}

/// A picture in both layouts; the style sheet shows the one that fits.
fn picture(picture: &Picture, class: &str) -> Markup {
    html! {
        figure class=(format!("picture {class}")) {
            div class="wide" { (PreEscaped(&picture.wide)) }
            div class="narrow" { (PreEscaped(&picture.narrow)) }
        }
    }
}
