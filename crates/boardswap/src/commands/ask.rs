//! `ask`: the next best question, and its answer written into the file where it belongs.

mod write;

use std::process::ExitCode;

use document::{Block, Document, Section, Text};
use model::{Assumed, Swap};
use plan::{Plan, Stake, Verdict};
use serde::Serialize;

use crate::args::{Args, BoardArg};
use crate::disk::{self, Folder, Overlay};
use crate::faults::Trouble;
use crate::out::Out;

/// So many questions stand below the first without `--all`.
const NEXT: usize = 4;

/// A fact that nobody stated, with what knowing it would settle.
#[derive(Serialize)]
struct Asked {
    /// The name by which it is answered.
    id: String,
    what: String,
    /// The board whose file lacks it.
    #[serde(skip_serializing_if = "Option::is_none")]
    board: Option<String>,
    /// Facts of other things that the same row of the file states.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    covers: Vec<String>,
    /// What is taken for it until then.
    assumed: String,
    #[serde(rename = "do")]
    act: &'static str,
    tool: &'static str,
    minutes: u32,
    state: &'static str,
    /// Findings on any board that it would settle, people and fire first.
    settles: Vec<String>,
    /// How many these are, on each board by itself.
    count: usize,
    people_and_fire: usize,
    /// What plausible answers would leave, for the questions that were tried.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    answers: Vec<Meaning>,
}

/// What an answer would mean.
#[derive(Serialize)]
struct Meaning {
    answer: String,
    /// Of the findings that it settles: these hold then.
    hold: usize,
    /// These are blockers or have to be decided, for certain.
    fail: usize,
    /// These stay open for another fact.
    open: usize,
}

impl Meaning {
    fn of(own: &plan::Meaning) -> Self {
        Self {
            answer: shown(&own.answer),
            hold: own.hold,
            fail: own.fail,
            open: own.open,
        }
    }
}

#[derive(Serialize)]
struct Questions {
    open: usize,
    assumed: usize,
    /// Whether some answer to what is left changes which board comes first; none where nothing is asked.
    changes_the_choice: Option<bool>,
    /// Findings that ask for a fact for which nothing usual stands in.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    asked_by_findings: Vec<String>,
    questions: Vec<Asked>,
}

/// Shows the next best questions, or writes an answer.
pub fn run(
    args: &Args,
    board: &BoardArg,
    answer: Option<&str>,
    how: Option<&str>,
    all: bool,
    out: &mut Out,
) -> Result<ExitCode, Trouble> {
    let folder = Folder::open(&args.folder)?;
    let swap = folder.load()?;
    match answer {
        Some(answer) => put(args, &folder, &swap, (answer, how), out),
        None => questions(args, &swap, board, all, out),
    }
}

fn questions(
    args: &Args,
    swap: &Swap,
    board: &BoardArg,
    all: bool,
    out: &mut Out,
) -> Result<ExitCode, Trouble> {
    let wanted = super::named(swap, board)?;
    let plans: Vec<Plan<'_>> = match wanted {
        Some(at) => vec![plan::plan(swap, &swap.candidates[at])],
        None => super::planned(swap, plan::plan),
    };
    let asked = ranked(swap, &plans);
    let found = Questions {
        open: plans.iter().map(Plan::open).sum(),
        assumed: swap.assumed.len(),
        asked_by_findings: asked_by_findings(&plans),
        changes_the_choice: (wanted.is_none() && !asked.is_empty()).then(|| !plan::is_decided(swap, &plans)),
        questions: asked,
    };
    if args.json {
        out.json(&found)?;
    } else {
        out.document(&document(&found, all));
    }
    Ok(ExitCode::SUCCESS)
}

/// Findings that ask for a fact which the files do not state, and for which no usual answer stands in.
fn asked_by_findings(plans: &[Plan<'_>]) -> Vec<String> {
    let all = plans.iter().flat_map(|plan| &plan.findings);
    let asking =
        all.filter(|finding| finding.asks && finding.open.is_none() && finding.verdict >= Verdict::Caution);
    let mut out: Vec<String> = Vec::new();
    for finding in asking {
        if !out.contains(&finding.id) {
            out.push(finding.id.clone());
        }
    }
    out
}

/// The questions, the best first.
fn ranked(swap: &Swap, plans: &[Plan<'_>]) -> Vec<Asked> {
    let asked = plan::ask_by_trying(swap, plans).into_iter().map(|ask| {
        let mut settles: Vec<String> = Vec::new();
        for finding in &ask.settles {
            if !settles.contains(&finding.id) {
                settles.push(finding.id.clone());
            }
        }
        let people_and_fire = ask.settles.iter().filter(|own| own.stake == Stake::Safety);
        let same = |own: &&Assumed| {
            own.place == ask.fact.place
                && own.key == ask.fact.key
                && own.of == ask.fact.of
                && own.id() != ask.fact.id()
        };
        let mut covers: Vec<String> = swap.assumed.iter().filter(same).map(Assumed::id).collect();
        covers.dedup();
        let mut boards = swap.candidates.iter().chain([&swap.old]);
        let board = boards.find(|board| board.place.file == ask.fact.place.file);
        Asked {
            id: ask.fact.id(),
            what: ask.fact.words(),
            board: board.map(|board| board.name.value.clone()),
            covers,
            assumed: shown(&ask.fact.taken),
            act: &ask.question.act,
            tool: &ask.question.tool,
            minutes: ask.question.minutes,
            state: &ask.question.state,
            count: ask.settles.len(),
            people_and_fire: people_and_fire.count(),
            settles,
            answers: ask.answers.iter().map(Meaning::of).collect(),
        }
    });
    asked.collect()
}

/// A value without its quotes.
fn shown(taken: &str) -> String {
    taken.replace('"', "")
}

fn document(found: &Questions, all: bool) -> Document {
    let Some((first, rest)) = found.questions.split_first() else {
        let asking = &found.asked_by_findings;
        let (title, said) = if asking.is_empty() {
            let said = "No finding hangs on a fact that nobody stated: nothing that you could still find out changes the choice.";
            ("No question is left", Text::of(said))
        } else {
            let mut said =
                Text::of("For these facts nothing usual stands in. Do: state them, as the findings say: ");
            for (at, id) in asking.iter().enumerate() {
                said = said.and(if at == 0 { "" } else { ", " }).code(id);
            }
            ("Some findings ask for a fact", said.and("."))
        };
        return Document {
            title: Text::of(title),
            front: vec![Block::say(said)],
            ..Document::default()
        };
    };
    let state = match first.state {
        "unplugged" => "with the machine unplugged",
        _ => "without touching the machine",
    };
    let mut front = vec![];
    if !first.covers.is_empty() {
        front.push(Block::say(Text::of(format!(
            "One row of the file holds several: the answer covers {} too.",
            first.covers.join(", ")
        ))));
    }
    front.extend([
        Block::say(Text::default().strong("Do: ").and_marked(&format!(
            "{} ({}, about {} min, {state}).",
            first.act, first.tool, first.minutes
        ))),
        Block::say(Text::default().and_marked(&format!(
            "It settles {}{}. Until then {} is assumed.",
            counted(first.count),
            match first.people_and_fire {
                0 => String::new(),
                count => format!(", {count} of them for people and fire"),
            },
            first.assumed
        ))),
    ]);
    let meanings = first.answers.iter().map(|own| {
        let words = [(own.hold, "hold"), (own.fail, "fail"), (own.open, "stay open")];
        let words = words.iter().filter(|(count, _)| *count > 0);
        let words: Vec<String> = words.map(|(count, word)| format!("{count} {word}")).collect();
        Text::default()
            .strong(&own.answer)
            .and(format!(": {}", words.join(", ")))
    });
    let meanings: Vec<Text> = meanings.collect();
    if !meanings.is_empty() {
        front.push(Section::new("What the answer would mean", vec![Block::list(meanings)]).into());
    }
    front.push(Block::say(Text::of("Answer: ").code(format!(
        "boardswap ask '{}=VALUE' --how \"{}\"",
        first.id, first.tool
    ))));
    let shown = if all { rest.len() } else { NEXT.min(rest.len()) };
    let next = rest.iter().take(shown).map(|own| {
        Text::default().code(&own.id).and(own.whose()).and(format!(
            ": settles {}, {} min, {}",
            counted(own.count),
            own.minutes,
            own.tool
        ))
    });
    let next: Vec<Text> = next.collect();
    if !next.is_empty() {
        front.push(Section::new("Then", vec![Block::ordered(next)]).into());
    }
    if rest.len() > shown {
        front.push(Block::remark(format!("{} more: --all", rest.len() - shown)));
    }
    if found.changes_the_choice == Some(false) {
        front.push(Block::remark(
            "You may stop here: no usual answer changes which board comes first or what blocks it. The rest decides wiring, protection and settings.",
        ));
    }
    Document {
        title: Text::default().and_marked(&format!("Find out {}{}", first.what, first.whose())),
        front,
        ..Document::default()
    }
}

impl Asked {
    /// " of Birch B6", where a board's file lacks the fact.
    fn whose(&self) -> String {
        let named = self
            .board
            .as_ref()
            .filter(|board| !self.what.contains(board.as_str()));
        named.map_or_else(String::new, |board| format!(" (board {board})"))
    }
}

fn counted(count: usize) -> String {
    match count {
        1 => "1 finding".to_owned(),
        count => format!("{count} findings"),
    }
}

#[derive(Serialize)]
struct Written {
    id: String,
    file: String,
    value: String,
}

/// Writes an answer into the file where it belongs, once the swap loads with it.
fn put(
    args: &Args,
    folder: &Folder,
    swap: &Swap,
    (answer, how): (&str, Option<&str>),
    out: &mut Out,
) -> Result<ExitCode, Trouble> {
    let Some((id, value)) = answer
        .split_once('=')
        .map(|(id, value)| (id.trim(), value.trim()))
    else {
        let help = "write FACT=VALUE, such as 'H1.wire=20 AWG'; `boardswap ask` names the facts".to_owned();
        return Err(Trouble::user(format!("`{answer}` is no answer"), help));
    };
    let fact = named(swap, id)?;
    let literal = write::literal(value);
    let (path, text) = write::stated(swap, fact, &literal, how).map_err(|why| {
        Trouble::user(
            format!("`{id}` cannot be written: {why}"),
            "state it in the file".to_owned(),
        )
    })?;
    let overlay = Overlay::of(folder, [(path.clone(), text.clone())]);
    let new = model::load(&overlay).map_err(|faults| Trouble::Files(Box::new(faults)))?;
    if new.assumed.iter().any(|own| own.id() == fact.id()) {
        let help = "state it in the file by hand".to_owned();
        return Err(Trouble::user(format!("`{id}` would still not be stated"), help));
    }
    disk::write_all(&args.folder, &[(path.clone(), text.into_bytes())])?;
    if args.json {
        out.json(&Written {
            id: fact.id(),
            file: path,
            value: shown(&literal),
        })?;
    } else {
        out.line(format!("{path}: {} = {}", fact.id(), shown(&literal)));
    }
    Ok(ExitCode::SUCCESS)
}

/// The fact of a name, or of the end of one that no other has.
fn named<'s>(swap: &'s Swap, id: &str) -> Result<&'s Assumed, Trouble> {
    // A tag like a number may be named as the file names it.
    let called = id
        .split('.')
        .map(model::machine::called)
        .collect::<Vec<_>>()
        .join(".");
    let exact = swap
        .assumed
        .iter()
        .find(|fact| fact.id() == id || fact.id() == called);
    let ending = format!(".{id}");
    let mut alike = swap.assumed.iter().filter(|fact| fact.id().ends_with(&ending));
    match (exact, alike.next(), alike.next()) {
        (Some(fact), _, _) | (None, Some(fact), None) => Ok(fact),
        (None, Some(one), Some(other)) => {
            let help = format!(
                "`{}`, `{}` and perhaps others are called so",
                one.id(),
                other.id()
            );
            Err(Trouble::user(format!("`{id}` may be several facts"), help))
        }
        (None, None, _) => {
            let ids: Vec<String> = swap.assumed.iter().map(Assumed::id).collect();
            let near = model::nearest(id, ids.iter().map(String::as_str));
            let help = near.map_or_else(
                || {
                    "it is stated already, or no table asks for it; `boardswap ask --all` lists what is not"
                        .to_owned()
                },
                |near| format!("did you mean `{near}`?"),
            );
            Err(Trouble::user(format!("no fact `{id}` is missing"), help))
        }
    }
}
