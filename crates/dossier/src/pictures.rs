//! The pictures of a dossier, each for a desk and for a phone.

mod board;
mod comparison;
pub(crate) mod evidence;
pub(crate) mod heat_up;
mod margins;
mod tags;
mod terminals;
mod tolerances;
pub(crate) mod torque;
mod wiring;

use std::collections::BTreeMap;

use bringup::Step;
use document::Block;
use drawing::{Head, Layout, Verdict};

use crate::File;
use crate::shown::Shown;

/// One picture in both layouts.
pub(crate) struct Picture {
    /// The name by which documents know it, and of its file.
    name: String,
    /// What it shows.
    title: String,
    /// For a desk, for paper, and as a file.
    wide: String,
    /// For a phone.
    narrow: String,
    /// Which layouts are files of their own.
    files: Files,
}

/// Which layouts of a picture are files.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Files {
    None,
    Wide,
    Both,
}

impl Picture {
    /// Draws both layouts. `input` gets the prefix for identifiers, which must differ on one page.
    fn of<T>(
        name: &str,
        title: impl Into<String>,
        input: impl Fn(String) -> T,
        draw: impl Fn(&T, Layout) -> String,
    ) -> Self {
        Self {
            name: format!("{name}.svg"),
            title: title.into(),
            wide: draw(&input(format!("{name}-wide")), Layout::Wide),
            narrow: draw(&input(format!("{name}-narrow")), Layout::Narrow),
            files: Files::Wide,
        }
    }

    fn with(self, files: Files) -> Self {
        Self { files, ..self }
    }

    fn block(&self) -> Block {
        let picture = document::Picture {
            name: format!("{FOLDER}{}", self.name),
            title: self.title.clone(),
            is_file: self.files != Files::None,
            broad: self.name == WIRING,
        };
        picture.into()
    }
}

/// The folder of all pictures, beside the page.
pub(crate) const FOLDER: &str = "pictures/";

/// The only picture that wants a page of its own.
const WIRING: &str = "wiring.svg";

/// All pictures.
pub(crate) struct Pictures {
    all: Vec<Picture>,
    /// Sheets of tags, which are no part of a document.
    pub tags: Vec<String>,
}

impl Pictures {
    pub fn of(shown: &Shown<'_>) -> Self {
        let wiring = Picture::of(
            "wiring",
            "Wiring",
            |prefix| wiring::wiring(shown, prefix),
            drawing::wiring,
        );
        let board = |prefix| board::board(shown, prefix);
        let compared = |prefix| comparison::comparison(shown, prefix);
        let mut all = vec![
            wiring.with(Files::Both),
            Picture::of("board", "The board in its case", board, drawing::board),
            Picture::of(
                "comparison",
                "The candidates side by side",
                compared,
                drawing::comparison,
            ),
        ];
        if margins::has_any(shown) {
            let margins = |prefix| margins::margins(shown, prefix);
            all.push(Picture::of(
                "margins",
                "Room to the limits",
                margins,
                drawing::margins,
            ));
        }
        let connectors = |prefix| terminals::all(shown, prefix);
        let connectors = Picture::of(
            "terminals",
            "Connectors, pin by pin",
            connectors,
            drawing::terminals,
        );
        all.push(connectors.with(Files::Both));
        all.extend(
            shown
                .material
                .steps
                .iter()
                .filter_map(|step| close_up(shown, step)),
        );
        all.extend(torque::pictures(shown));
        all.extend(heat_up::picture(shown));
        all.extend(tolerances::tornadoes(shown));
        all.extend(evidence::pictures(shown));
        Self {
            all,
            tags: drawing::tags(&tags::tags(shown)),
        }
    }

    /// The block of a picture, where there is one of that name.
    pub fn block(&self, name: &str) -> Option<Block> {
        let found = self.all.iter().find(|picture| picture.name == name);
        found.map(Picture::block)
    }

    /// The connectors of a step close up, where it is about any.
    pub fn close_up(&self, step: &Step) -> Option<document::Picture> {
        let name = format!("{}.svg", close_up_name(step));
        let found = self.all.iter().find(|picture| picture.name == name)?;
        match found.block() {
            Block::Picture(picture) => Some(picture),
            _ => None,
        }
    }

    /// The blocks of the tornado charts, the tightest finding first.
    pub fn tornadoes(&self) -> impl Iterator<Item = Block> {
        let own = self
            .all
            .iter()
            .filter(|picture| picture.name.starts_with(tolerances::NAME));
        own.map(Picture::block)
    }

    /// The drawing of a picture, for the page.
    pub fn drawing(&self, name: &str) -> Option<document::html::Drawing<'_>> {
        let name = name.strip_prefix(FOLDER).unwrap_or(name);
        let found = self.all.iter().find(|picture| picture.name == name)?;
        Some(document::html::Drawing {
            wide: &found.wide,
            narrow: &found.narrow,
        })
    }

    /// The pictures as files.
    pub fn files(&self) -> Vec<File> {
        let file = |name: &str, svg: &String| File::new(format!("{FOLDER}{name}"), format!("{svg}\n"));
        let mut out = Vec::new();
        for picture in &self.all {
            if picture.files != Files::None {
                out.push(file(&picture.name, &picture.wide));
            }
            if picture.files == Files::Both {
                out.push(file(&narrow_name(&picture.name), &picture.narrow));
            }
        }
        let tags = self.tags.iter().enumerate();
        out.extend(tags.map(|(at, page)| file(&format!("tags-{}.svg", at + 1), page)));
        out
    }
}

fn close_up_name(step: &Step) -> String {
    document::anchor("close-up", &step.id)
}

/// Drawn for a phone alone: on paper the bench sheet has all connectors.
fn close_up(shown: &Shown<'_>, step: &Step) -> Option<Picture> {
    let name = close_up_name(step);
    let terminals = terminals::of_step(shown, step, format!("{name}-narrow"))?;
    let narrow = drawing::terminals(&terminals, Layout::Narrow);
    Some(Picture {
        name: format!("{name}.svg"),
        title: step.title.clone(),
        wide: String::new(),
        narrow,
        files: Files::None,
    })
}

/// The wiring of a board as one drawing, for a file of its own.
pub(crate) fn wiring_alone(shown: &Shown<'_>, layout: Layout) -> String {
    drawing::wiring(&wiring::wiring(shown, "wiring".to_owned()), layout)
}

/// The board in its case as one drawing, for a file of its own.
pub(crate) fn board_alone(shown: &Shown<'_>, layout: Layout) -> String {
    drawing::board(&board::board(shown, "board".to_owned()), layout)
}

/// The file of the narrow layout of a picture.
pub(crate) fn narrow_name(wide: &str) -> String {
    wide.replace(".svg", "-narrow.svg")
}

/// Names of files after what the pictures show, each once: small letters and digits, the rest a hyphen; what would be there twice is counted.
pub(crate) fn named_after<'t>(titles: impl Iterator<Item = &'t str>) -> Vec<String> {
    /// Longer names say no more.
    const LETTERS: usize = 60;
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let one = |title: &str| {
        let words: Vec<String> = title
            .to_lowercase()
            .split(|letter: char| !letter.is_ascii_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(str::to_owned)
            .collect();
        let mut name: String = words.join("-").chars().take(LETTERS).collect();
        if name.is_empty() {
            name = "picture".to_owned();
        }
        let count = seen.entry(name.clone()).or_default();
        *count += 1;
        match *count {
            1 => format!("{name}.svg"),
            count => format!("{name}-{count}.svg"),
        }
    };
    titles.map(one).collect()
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
