//! What went wrong, and how it is printed: faults of the user's files, wrong words, trouble of the machine.

use std::collections::BTreeMap;
use std::process::ExitCode;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use model::{Diagnostic, Faults, Sources};
use serde::Serialize;

/// Why a command could not be done.
#[derive(Debug)]
pub enum Trouble {
    /// Faults in the files of the swap.
    Files(Box<Faults>),
    /// Something else that the user gave: a name, a folder.
    User {
        /// What is wrong.
        problem: String,
        /// How to mend it.
        help: Option<String>,
    },
    /// No board is chosen, and each candidate has blockers: its name, and their identifiers.
    Blocked(Vec<(String, Vec<String>)>),
    /// Disk, permissions, pipes.
    Machine(String),
}

impl Trouble {
    /// Trouble of the machine.
    pub fn machine(problem: impl Into<String>) -> Self {
        Self::Machine(problem.into())
    }
    /// A fault of the user's words.
    pub fn user(problem: impl Into<String>, help: impl Into<Option<String>>) -> Self {
        Self::User {
            problem: problem.into(),
            help: help.into(),
        }
    }
    /// What is wrong, in one line.
    pub fn problem(&self) -> String {
        match self {
            Self::Files(faults) => {
                let first = faults.faults.first();
                first.map_or_else(String::new, |fault| fault.headline.clone())
            }
            Self::Blocked(_) => "no board is free of blockers".to_owned(),
            Self::User { problem, .. } | Self::Machine(problem) => problem.clone(),
        }
    }
    /// 1 for blockers, 2 for what the user gave, 3 for the machine.
    pub fn code(&self) -> ExitCode {
        match self {
            Self::Blocked(_) => ExitCode::from(1),
            Self::Files(_) | Self::User { .. } => ExitCode::from(2),
            Self::Machine(_) => ExitCode::from(3),
        }
    }
    /// Prints it to standard error.
    pub fn print(&self) {
        use std::io::Write as _;
        let mut stderr = anstream::stderr().lock();
        // Nothing is left to do where even standard error is closed.
        let _ = stderr.write_all(self.text().as_bytes());
    }
    /// Prints it to standard output as JSON: one list of faults, whatever went wrong.
    pub fn print_json(&self) {
        use std::io::Write as _;
        let text = serde_json::to_string_pretty(&crate::out::Versioned::of(&Told {
            errors: self.told(),
            not_listed: self.left(),
        }))
        .unwrap_or_default();
        // Nothing is left to do where standard output is closed.
        let _ = writeln!(anstream::stdout().lock(), "{text}");
    }
    fn told(&self) -> Vec<Fault> {
        let plain = |code: &'static str, message: &str, help: Option<&String>| Fault {
            code,
            message: message.to_owned(),
            help: help.cloned(),
            ..Fault::default()
        };
        match self {
            Self::Files(faults) => {
                let (told, _) = told_and_left(faults);
                let told = told.into_iter();
                told.map(|fault| Fault::of(fault, &faults.sources)).collect()
            }
            Self::Blocked(boards) => boards
                .iter()
                .map(|(board, blockers)| {
                    let message = format!("{board} has blockers: {}", few(blockers));
                    plain("blocked", &message, None)
                })
                .collect(),
            Self::User { problem, help } => vec![plain("usage", problem, help.as_ref())],
            Self::Machine(problem) => vec![plain("machine", problem, None)],
        }
    }
    /// Faults that are counted only, by file.
    fn left(&self) -> BTreeMap<String, usize> {
        let Self::Files(faults) = self else {
            return BTreeMap::new();
        };
        let (_, left) = told_and_left(faults);
        left.into_iter()
            .map(|(path, count)| (path.to_owned(), count))
            .collect()
    }
    /// The whole message, with colour.
    pub fn text(&self) -> String {
        let renderer = Renderer::styled();
        match self {
            Self::Files(faults) => faults_text(faults, &renderer),
            Self::User { problem, help } => {
                let mut group = Group::with_title(Level::ERROR.primary_title(problem.as_str()));
                if let Some(help) = help {
                    group = group.element(Level::HELP.message(help.as_str()));
                }
                format!("{}\n", renderer.render(&[group]))
            }
            Self::Blocked(boards) => {
                let title = "every candidate board has blockers, and none is chosen";
                let named = boards
                    .iter()
                    .map(|(board, blockers)| format!("{board}: {}", few(blockers)));
                let group = named.fold(
                    Group::with_title(Level::ERROR.primary_title(title)),
                    |group, line| group.element(Level::NOTE.with_name("blockers").message(line)),
                );
                let help = "correct what they name or add a candidate; `boardswap check --board NAME` shows one board with them";
                format!(
                    "{}\n",
                    renderer.render(&[group.element(Level::HELP.message(help))])
                )
            }
            Self::Machine(problem) => {
                format!(
                    "{}\n",
                    renderer.render(&[Group::with_title(Level::ERROR.primary_title(problem.as_str()))])
                )
            }
        }
    }
}

/// The first names of a list; the others are counted.
fn few(names: &[String]) -> String {
    const SHOWN: usize = 8;
    let first = names.iter().take(SHOWN).cloned().collect::<Vec<_>>().join(", ");
    match names.len().saturating_sub(SHOWN) {
        0 => first,
        more => format!("{first} and {more} more"),
    }
}

/// What went wrong, as JSON.
#[derive(Serialize)]
struct Told {
    errors: Vec<Fault>,
    /// How many more there are in which file.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    not_listed: BTreeMap<String, usize>,
}

/// One fault, as JSON; only those of files have a place.
#[derive(Default, Serialize)]
struct Fault {
    /// The kind of fault: that of a file, `usage` or `machine`.
    code: &'static str,
    message: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    expected: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    places: Vec<Marked>,
}

/// A place in a file with what is said of it.
#[derive(Serialize)]
struct Marked {
    file: String,
    line: usize,
    column: usize,
    label: String,
}

impl Fault {
    fn of(fault: &Diagnostic, sources: &Sources) -> Self {
        let own = (fault.place, fault.label.clone());
        let places = std::iter::once(&own).chain(&fault.others);
        let places = places.map(|(place, label)| {
            let (line, column) = sources.line_column(*place);
            Marked {
                file: sources.file(place.file).path.clone(),
                line,
                column,
                label: label.clone(),
            }
        });
        Self {
            code: fault.code,
            message: fault.headline.clone(),
            expected: fault.expected.clone(),
            help: fault.help.clone(),
            places: places.collect(),
        }
    }
}

/// So many faults of a file are told one by one: who mends these mostly mends the rest.
const TOLD: usize = 50;

/// The faults that are told, and for each file with more how many those are.
fn told_and_left(faults: &Faults) -> (Vec<&Diagnostic>, Vec<(&str, usize)>) {
    let path = |fault: &Diagnostic| faults.sources.file(fault.place.file).path.as_str();
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let told = faults.faults.iter().filter(|fault| {
        let count = counts.entry(path(fault)).or_default();
        *count += 1;
        *count <= TOLD
    });
    let told: Vec<&Diagnostic> = told.collect();
    let left = counts.into_iter().filter(|(_, count)| *count > TOLD);
    (told, left.map(|(path, count)| (path, count - TOLD)).collect())
}

/// The faults, each with its place underlined, those beyond [`TOLD`] of a file counted, and how many there are.
pub fn faults_text(faults: &Faults, renderer: &Renderer) -> String {
    let (told, left) = told_and_left(faults);
    let mut out = String::new();
    for fault in told {
        out.push_str(&fault_text(fault, &faults.sources, renderer));
        out.push_str("\n\n");
    }
    for (path, count) in left {
        out.push_str(&format!("{count} more in `{}`\n", document::visible(path)));
    }
    let count = faults.faults.len();
    let s = if count == 1 { "" } else { "s" };
    out.push_str(&format!("{count} error{s}\n"));
    out
}

fn fault_text(fault: &Diagnostic, sources: &Sources, renderer: &Renderer) -> String {
    let primary = sources.file(fault.place.file);
    let span = |range: std::ops::Range<usize>, text: &str| {
        let end = range.end.min(text.len());
        range.start.min(end)..end
    };
    let mut snippet = Snippet::source(primary.text.as_ref())
        .path(primary.path.as_str())
        .annotation(
            AnnotationKind::Primary
                .span(span(fault.place.range(), &primary.text))
                .label(fault.label.as_str()),
        );
    let mut elsewhere = Vec::new();
    for (place, label) in &fault.others {
        let file = sources.file(place.file);
        if place.file == fault.place.file {
            snippet = snippet.annotation(
                AnnotationKind::Context
                    .span(span(place.range(), &file.text))
                    .label(label.as_str()),
            );
        } else {
            elsewhere.push(
                Snippet::source(file.text.as_ref())
                    .path(file.path.as_str())
                    .annotation(
                        AnnotationKind::Context
                            .span(span(place.range(), &file.text))
                            .label(label.as_str()),
                    ),
            );
        }
    }
    let mut group = Level::ERROR
        .primary_title(fault.headline.as_str())
        .id(fault.code)
        .element(snippet);
    for snippet in elsewhere {
        group = group.element(snippet);
    }
    if let Some(expected) = &fault.expected {
        group = group.element(Level::NOTE.with_name("expected").message(expected.as_str()));
    }
    if let Some(help) = &fault.help {
        group = group.element(Level::HELP.message(help.as_str()));
    }
    renderer.render(&[group])
}
