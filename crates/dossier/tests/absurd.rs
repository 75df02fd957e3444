//! Every number of both examples set to what nobody means: the load refuses it with a fault that points at it, or the plan, the settings
//! and the program live with it; nothing that anybody reads holds an infinity or NaN.

use std::collections::BTreeSet;

use document::terminal::Terminal;
use dossier::screens;
use model::Swap;

use crate::support::{Folder, example};

/// A number of a file: its bytes, and the key with the table that it stands in.
struct Number {
    path: String,
    at: core::ops::Range<usize>,
    key: String,
    quoted: bool,
}

/// Keys whose text may begin with a digit.
const TEXT: [&str; 11] = [
    "name",
    "tag",
    "pins",
    "devices",
    "old_port",
    "connector",
    "screw_size",
    "file",
    "sensor",
    "board",
    "core",
];

/// The numbers of the TOML files, each key of each kind of table once in a file.
fn numbers(folder: &Folder) -> Vec<Number> {
    let mut out = Vec::new();
    let mut seen = BTreeSet::new();
    for (path, bytes) in folder
        .iter()
        .filter(|(path, _)| path.ends_with(".toml") && !path.starts_with("words/"))
    {
        let text = core::str::from_utf8(bytes).expect("text");
        let (mut table, mut start, mut kind) = (String::new(), 0, String::new());
        for line in text.split_inclusive('\n') {
            let (before, plain) = (start, line.split('#').next().unwrap_or(""));
            start += line.len();
            if plain.starts_with('[') {
                table = plain.trim().trim_matches(['[', ']']).to_owned();
                kind.clear();
                continue;
            }
            let Some((key, value)) = plain.split_once('=') else {
                continue;
            };
            let key = key.trim();
            if ["kind", "role", "drive", "set_by"].contains(&key) {
                kind = value.trim().to_owned();
            }
            let is_value = value
                .trim_start()
                .trim_start_matches(['[', ' ', '"'])
                .starts_with(|first: char| first.is_ascii_digit());
            if !is_value || TEXT.contains(&key) {
                continue;
            }
            let name = format!("{path} {table} {kind} {key}");
            let folder = path.split('/').next().unwrap_or("");
            if !seen.insert(format!("{folder} {table} {kind} {key}")) {
                continue;
            }
            let first = before + plain.find('=').expect("an equals sign") + 1;
            let digits = first
                + text[first..]
                    .find(|character: char| character.is_ascii_digit())
                    .expect("a digit");
            let length = text[digits..]
                .find(|character: char| {
                    !(character.is_ascii_digit() || character == '.' || character == '_' || character == 'x')
                })
                .unwrap_or(0);
            // "12 V .. 24 V" ends the first number before its blank.
            let length = text[digits..digits + length].trim_end_matches('.').len();
            out.push(Number {
                path: path.clone(),
                at: digits..digits + length,
                key: name,
                quoted: text[first..digits].contains('"'),
            });
        }
    }
    out
}

const ABSURD: [&str; 6] = ["0", "-1", "0.000000001", "1000000000", "nan", "inf"];

/// Everything that a reader or a controller gets of a swap.
fn told(swap: &Swap) -> String {
    let plan = plan::plan(swap, &swap.candidates[0]);
    let settings = settings::settings(&plan.setup());
    let terminal = Terminal {
        width: 100,
        colour: false,
    };
    [
        terminal.document(&screens::check(&plan, &[], true)),
        terminal.document(&screens::settings(&plan, &settings, true)),
        serde_json::to_string(&plan.findings).expect("JSON"),
        serde_json::to_string(&settings).expect("JSON"),
        settings::gcode(&settings),
    ]
    .join("\n")
}

/// The first word that is no number.
fn no_number(text: &str) -> Option<&str> {
    let words = text.split(|character: char| !character.is_alphanumeric());
    words
        .into_iter()
        .find(|word| ["inf", "NaN", "nan", "infinity", "Infinity"].contains(word))
        .map(|word| {
            let at = word.as_ptr() as usize - text.as_ptr() as usize;
            let (from, to) = (
                text.floor_char_boundary(at.saturating_sub(200)),
                text.ceil_char_boundary((at + 60).min(text.len())),
            );
            &text[from..to]
        })
}

#[test]
fn no_absurd_number_reaches_a_reader() {
    let mut taken = Vec::new();
    let (mut tried, mut refused) = (0, 0);
    for name in ["demo", "second"] {
        let base = example(name);
        for number in numbers(&base) {
            for absurd in ABSURD {
                let mut folder = base.clone();
                let bytes = folder.get_mut(&number.path).expect("the file");
                let text = String::from_utf8(bytes.clone()).expect("text");
                *bytes = [&text[..number.at.start], absurd, &text[number.at.end..]]
                    .concat()
                    .into_bytes();
                tried += 1;
                match model::load(&folder) {
                    Err(faults) => {
                        refused += 1;
                        let at = |fault: &model::Diagnostic| {
                            let file = &faults.sources.file(fault.place.file);
                            let line = |at: usize| file.text[..at.min(file.text.len())].matches('\n').count();
                            file.path == number.path
                                && line(fault.place.start as usize) <= line(number.at.start)
                        };
                        assert!(
                            faults.faults.iter().any(at),
                            "{} = {absurd}: {:#?}",
                            number.key,
                            faults.faults
                        );
                    }
                    Ok(swap) => {
                        // The plan reads the machine, the old board and the first candidate.
                        let path = |board: &model::board::Board| board.path.clone();
                        let read = [path(&swap.old), path(&swap.candidates[0])].contains(&number.path)
                            || !number.path.starts_with("boards/") && number.path != "swap.toml";
                        // Next to zero a place is zero.
                        let place = [" at", " holes", " standoffs", " entry", " core"];
                        let read = read
                            && !(absurd.starts_with("0.")
                                && place.iter().any(|key| number.key.ends_with(key)));
                        if read && let Some(piece) = no_number(&told(&swap)) {
                            panic!("{} = {absurd} ({}): {piece}", number.key, number.quoted);
                        }
                        taken.push(format!("{} = {absurd}", number.key));
                    }
                }
            }
        }
    }
    insta::assert_snapshot!(taken.join("\n"));
    assert!(tried > 600 && refused * 10 > tried * 8, "{refused} of {tried}");
}
