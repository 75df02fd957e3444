//! `guide`: what a person publishes who tried two boards on one machine; publishing stops while something is left to the author.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use document::{Block, Document, Mark, Text};
use dossier::Material;
use dossier::guide::{Bracket, left_open, words};
use physics::Spread;
use plan::Draws;
use serde::Serialize;

use crate::args::{Args, BoardArg};
use crate::exchange;
use crate::faults::Trouble;
use crate::out::Out;

/// A guide larger than this is none.
const LARGEST: u64 = 1 << 20;

#[derive(Serialize)]
struct Written<'a> {
    boards: [&'a str; 2],
    folder: String,
    files: Vec<&'a str>,
    words: usize,
    open: Vec<Open>,
}

#[derive(Serialize)]
struct Looked {
    file: String,
    words: usize,
    missing_pictures: Vec<String>,
    open: Vec<Open>,
}

#[derive(Serialize)]
struct Open {
    line: usize,
    asks: String,
}

impl Open {
    fn all(brackets: Vec<Bracket>) -> Vec<Self> {
        let open = |own: Bracket| Self {
            line: own.line,
            asks: own.asks,
        };
        brackets.into_iter().map(open).collect()
    }
}

/// Writes the guide for two boards.
pub fn run(
    args: &Args,
    boards: &[String],
    folder: Option<&Path>,
    out: &mut Out,
) -> Result<ExitCode, Trouble> {
    let [one, other] = boards else {
        let help = "name two candidate boards with a comma between them: --boards A,B".to_owned();
        return Err(Trouble::user("a guide compares two boards", help));
    };
    let swap = super::load(args)?;
    let at = |name: &String| -> Result<usize, Trouble> {
        let board = BoardArg {
            board: Some(name.trim().to_owned()),
        };
        Ok(super::named(&swap, &board)?.unwrap_or_default())
    };
    let at = [at(one)?, at(other)?];
    if at[0] == at[1] {
        let help = "name another board than the first".to_owned();
        return Err(Trouble::user("a guide compares two boards", help));
    }
    let mut plans = super::plans(&swap);
    let comparison = super::comparison(&plans);
    for own in at {
        super::judge_shown(&mut plans, own);
    }
    let evidence = super::measurements::all(&args.folder, &plans[at[0]])?;
    let settings = at.map(|own| ::settings::settings(&plans[own].setup()));
    let steps = [0, 1].map(|own| bringup::steps(&plans[at[own]], &settings[own]));
    let draws = at.map(|own| Draws::of(&plans[own]));
    let tallies = draws
        .each_ref()
        .map(|draws| draws.clone().tally(Spread::Uniform, 1, 0..0));
    let material = |own: usize| Material {
        swap: &swap,
        plans: &plans,
        comparison: &comparison,
        shown: at[own],
        settings: &settings[own],
        draws: &draws[own],
        tally: &tallies[own],
        steps: &steps[own],
        evidence: &evidence,
        record: &[],
    };
    let files = dossier::guide::guide(&[material(0), material(1)]);
    let bytes: Vec<(String, Vec<u8>)> = files
        .iter()
        .map(|file| (file.name.clone(), file.text.clone().into_bytes()))
        .collect();
    let folder = folder.map_or_else(|| args.folder.join("guide"), PathBuf::from);
    exchange::write(&folder, &bytes)?;
    let text = &files[0].text;
    let open = Open::all(left_open(text));
    if args.json {
        out.json(&Written {
            boards: at.map(|own| plans[own].board.name.value.as_str()),
            folder: folder.display().to_string(),
            files: files.iter().map(|file| file.name.as_str()).collect(),
            words: words(text),
            open,
        })?;
        return Ok(ExitCode::SUCCESS);
    }
    let path = folder.join("guide.md").display().to_string();
    out.blocks(&[
        Block::say(format!(
            "{path}: {} words, {} pictures, {} brackets that only you can fill.",
            words(text),
            files.len() - 1,
            open.len()
        )),
        Block::say(Text::of("Next: fill them, then ").code(format!("boardswap guide --publish {path}"))),
    ]);
    Ok(ExitCode::SUCCESS)
}

/// Looks at a guide that its author went on with; exit code 1 while a bracket is open or a picture is missing.
pub fn publish(args: &Args, file: &Path, out: &mut Out) -> Result<ExitCode, Trouble> {
    let path = file.display().to_string();
    let trouble = |why: String| Trouble::user(format!("`{path}` cannot be read: {why}"), None);
    let data = std::fs::metadata(file).map_err(|error| trouble(error.to_string()))?;
    if !data.is_file() || data.len() > LARGEST {
        return Err(trouble("it is no file of text".to_owned()));
    }
    let text = std::fs::read_to_string(file).map_err(|error| trouble(error.to_string()))?;
    let open = Open::all(left_open(&text));
    let folder = file.parent().unwrap_or(Path::new(""));
    let missing: Vec<String> = pictures(&text)
        .filter(|name| !folder.join(name).is_file())
        .map(str::to_owned)
        .collect();
    let ready = open.is_empty() && missing.is_empty();
    if args.json {
        out.json(&Looked {
            file: path,
            words: words(&text),
            missing_pictures: missing,
            open,
        })?;
    } else if ready {
        let said = format!("{} words, {} pictures.", words(&text), pictures(&text).count());
        out.blocks(&[Block::Verdict(
            Mark::Pass,
            "Ready to publish".to_owned(),
            Text::of(said),
        )]);
    } else {
        let brackets = open
            .iter()
            .map(|own| Text::of(format!("line {}: {}", own.line, own.asks)));
        let missing = missing
            .iter()
            .map(|name| Text::of(format!("no picture `{name}`")));
        let lines: Vec<Text> = brackets.chain(missing).collect();
        out.document(&Document {
            title: Text::of(format!("Not published: {} to fill in {path}", lines.len())),
            front: vec![Block::list(lines)],
            ..Document::default()
        });
    }
    Ok(if ready {
        ExitCode::SUCCESS
    } else {
        ExitCode::from(1)
    })
}

/// The pictures that a text shows: `![title](address)`.
fn pictures(text: &str) -> impl Iterator<Item = &str> {
    text.lines().filter_map(|line| {
        let (_, rest) = line.strip_prefix("![")?.split_once("](")?;
        Some(rest.strip_suffix(')')?.trim_matches(['<', '>']))
    })
}
