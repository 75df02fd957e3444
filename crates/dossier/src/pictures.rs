//! The pictures of a dossier, each for a desk and for a phone.

mod board;
mod comparison;
pub(crate) mod evidence;
pub(crate) mod heat_up;
mod margins;
mod tags;
mod tolerances;
pub(crate) mod torque;
mod wiring;

use drawing::{Head, Layout, Verdict};

use crate::Document;
use crate::shown::Shown;

/// One picture in both layouts.
pub(crate) struct Picture {
    /// For a desk, for paper, and as a file.
    pub wide: String,
    /// For a phone.
    pub narrow: String,
}

impl Picture {
    /// Draws both layouts. `input` gets the prefix for identifiers, which must differ on one page.
    fn of<T>(name: &str, input: impl Fn(String) -> T, draw: impl Fn(&T, Layout) -> String) -> Self {
        Self {
            wide: draw(&input(format!("{name}-wide")), Layout::Wide),
            narrow: draw(&input(format!("{name}-narrow")), Layout::Narrow),
        }
    }
}

/// All pictures.
pub(crate) struct Pictures {
    pub wiring: Picture,
    pub board: Picture,
    pub margins: Option<Picture>,
    pub comparison: Picture,
    /// What each tolerance does to the tightest findings, by their places in the plan.
    pub tornadoes: Vec<(usize, Picture)>,
    /// Torque over speed, in the order of the curves.
    pub torque: Vec<Picture>,
    /// The supply over the heat-up.
    pub heat_up: Option<Picture>,
    /// One for each page.
    pub tags: Vec<String>,
    /// Those of the measurements, in the order of their reports.
    pub evidence: Vec<Picture>,
}

impl Pictures {
    pub fn of(shown: &Shown<'_>) -> Self {
        Self {
            wiring: Picture::of("wiring", |prefix| wiring::wiring(shown, prefix), drawing::wiring),
            board: Picture::of("board", |prefix| board::board(shown, prefix), drawing::board),
            margins: margins::has_any(shown).then(|| {
                Picture::of(
                    "margins",
                    |prefix| margins::margins(shown, prefix),
                    drawing::margins,
                )
            }),
            comparison: Picture::of(
                "comparison",
                |prefix| comparison::comparison(shown, prefix),
                drawing::comparison,
            ),
            tornadoes: tolerances::tornadoes(shown),
            torque: torque::pictures(shown),
            heat_up: heat_up::picture(shown),
            tags: drawing::tags(&tags::tags(shown)),
            evidence: evidence::pictures(shown),
        }
    }

    /// The pictures as files.
    pub fn documents(&self) -> Vec<Document> {
        let file = |name: &str, svg: &String| Document::new(name, format!("{svg}\n"));
        let mut out = vec![
            file("wiring.svg", &self.wiring.wide),
            file("wiring-narrow.svg", &self.wiring.narrow),
            file("board.svg", &self.board.wide),
            file("comparison.svg", &self.comparison.wide),
        ];
        out.extend(
            self.margins
                .iter()
                .map(|margins| file("margins.svg", &margins.wide)),
        );
        let tags = self.tags.iter().enumerate();
        out.extend(tags.map(|(at, page)| file(&format!("tags-{}.svg", at + 1), page)));
        let torque = self.torque.iter().enumerate();
        out.extend(torque.map(|(at, picture)| file(&torque_name(at), &picture.wide)));
        out.extend(
            self.heat_up
                .iter()
                .map(|heat_up| file("heat-up.svg", &heat_up.wide)),
        );
        let evidence = self.evidence.iter().enumerate();
        out.extend(evidence.map(|(at, picture)| file(&evidence_name(at), &picture.wide)));
        out
    }
}

/// The file of a picture of torque over speed, by its place among all.
pub(crate) fn torque_name(at: usize) -> String {
    format!("torque-{}.svg", at + 1)
}

/// The file of a picture of the measurements, by its place among all.
pub(crate) fn evidence_name(at: usize) -> String {
    format!("evidence-{}.svg", at + 1)
}

/// The head of a picture; what is made up says so in its title.
fn head(shown: &Shown<'_>, prefix: String, title: &str, description: String) -> Head {
    let mark = if shown.invented() { " (invented)" } else { "" };
    Head {
        prefix,
        title: format!("{title}{mark}"),
        description,
    }
}

fn verdict(verdict: plan::Verdict) -> Verdict {
    match verdict {
        plan::Verdict::Blocker => Verdict::Blocker,
        plan::Verdict::Caution => Verdict::Caution,
        plan::Verdict::Note => Verdict::Note,
        plan::Verdict::Pass => Verdict::Pass,
    }
}
