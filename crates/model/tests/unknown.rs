//! What nobody stated: left out or `"?"`, it stops no plan but where it is one of the few facts that stand on labels.

use std::collections::BTreeSet;

use model::{Answer, Supposed};
use toml_edit::{DocumentMut, Item, Value};

use crate::support::{Folder, example, plain};

const EXAMPLES: [&str; 3] = ["demo", "second", "third"];

/// What is needed: names that others refer to, kinds and roles, and what stands on a label. All else can be found out later.
const NEEDED: [&str; 12] = [
    "tag",
    "kind",
    "voltage",
    "power",
    "current",
    "role",
    "name",
    "candidates",
    "machine",
    "old_board",
    "device",
    "port",
];

/// What says what a person wants or did, or which file is meant: no fact of machine or board.
const NO_FACT: [&str; 9] = [
    "wish",
    "part",
    "accepted",
    "evidence",
    "controller",
    "workload",
    "chosen_board",
    "old_settings",
    "words",
];

#[derive(Clone, Debug, PartialEq)]
enum Step {
    Key(String),
    At(usize),
}

fn ways(table: &dyn toml_edit::TableLike, way: &mut Vec<Step>, out: &mut Vec<Vec<Step>>) {
    for (key, item) in table.iter() {
        way.push(Step::Key(key.to_owned()));
        out.push(way.clone());
        if let Some(inner) = item.as_table_like() {
            ways(inner, way, out);
        } else if let Some(array) = item.as_array_of_tables() {
            for (at, inner) in array.iter().enumerate() {
                way.push(Step::At(at));
                out.push(way.clone());
                ways(inner, way, out);
                way.pop();
            }
        }
        way.pop();
    }
}

/// The files of machine and boards, and the swap without what is no fact.
fn files(folder: &Folder) -> Vec<(String, DocumentMut)> {
    let ours = folder
        .keys()
        .filter(|file| file.ends_with(".toml") && !file.starts_with("words/"));
    let read = ours.map(|file| {
        let text = String::from_utf8(folder[file].clone()).expect("UTF-8");
        (file.clone(), text.parse().expect("TOML"))
    });
    read.collect()
}

fn table<'d>(item: &'d mut Item, way: &[Step]) -> &'d mut Item {
    way.iter().fold(item, |item, step| match step {
        Step::Key(key) => &mut item[key.as_str()],
        Step::At(at) => &mut item[*at],
    })
}

fn without(folder: &Folder, (file, document): &(String, DocumentMut), way: &[Step], unknown: bool) -> Folder {
    let mut document = document.clone();
    let (last, outer) = way.split_last().expect("a way");
    let item = table(document.as_item_mut(), outer);
    match last {
        Step::Key(key) if unknown => item[key.as_str()] = Item::Value(Value::from("?")),
        Step::Key(key) => drop(item.as_table_like_mut().expect("a table").remove(key)),
        Step::At(at) => item.as_array_of_tables_mut().expect("tables").remove(*at).clear(),
    }
    let mut folder = folder.clone();
    folder.insert(file.clone(), document.to_string().into_bytes());
    folder
}

/// Which keys, left out or said to be unknown, stop a plan.
fn stopping(unknown: bool) -> BTreeSet<String> {
    let mut stopping = BTreeSet::new();
    for name in EXAMPLES {
        let folder = example(name);
        let mut seen: BTreeSet<String> = BTreeSet::new();
        for file in files(&folder) {
            let mut found = Vec::new();
            ways(file.1.as_table(), &mut Vec::new(), &mut found);
            for way in found {
                let keys = way.iter().filter_map(|step| match step {
                    Step::Key(key) => Some(key.as_str()),
                    Step::At(_) => None,
                });
                let keys: Vec<&str> = keys.collect();
                let last = *keys.last().expect("a key");
                let fact = !NO_FACT.contains(&keys[0]);
                let leaf = matches!(way.last(), Some(Step::Key(_)));
                if !fact || unknown && !leaf {
                    continue;
                }
                // A table that others refer to takes its name along.
                if !leaf && ["device", "port", "driver", "jumper"].contains(&last) {
                    continue;
                }
                let said = format!(
                    "{}: {}",
                    if file.0.starts_with("boards/") {
                        "board"
                    } else {
                        "machine"
                    },
                    keys.join(".")
                );
                // Like keys of like tables are tried once in each example.
                let times = seen
                    .iter()
                    .filter(|other| other.starts_with(&format!("{said}#")))
                    .count();
                if times >= 1 {
                    continue;
                }
                seen.insert(format!("{said}#{times}"));
                if let Err(faults) = model::load(&without(&folder, &file, &way, unknown)) {
                    let why = plain(&faults);
                    let why = why.lines().next().unwrap_or("").to_owned();
                    if !NEEDED.contains(&last) {
                        stopping.insert(format!("{said}: {why}"));
                    }
                }
            }
        }
    }
    stopping
}

#[test]
fn what_is_left_out_stops_no_plan() {
    let found = stopping(false);
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn what_is_said_to_be_unknown_stops_no_plan() {
    let found = stopping(true);
    assert!(found.is_empty(), "{found:#?}");
}

/// The examples state what they need: nothing is taken for granted, so that nothing of them is open.
#[test]
fn the_examples_leave_nothing_to_what_is_usual() {
    for name in EXAMPLES {
        let swap = model::load(&example(name)).expect("an example");
        let assumed: Vec<String> = swap.assumed.iter().map(model::Assumed::words).collect();
        assert!(assumed.is_empty() && swap.origin.is_none(), "{name}: {assumed:?}");
    }
}

#[test]
fn other_answers_stand_where_nothing_is_stated() {
    let mut folder = example("demo");
    let text = String::from_utf8(folder["machine.toml"].clone()).expect("UTF-8");
    folder.insert(
        "machine.toml".to_owned(),
        text.replacen("max_speed = \"180 mm/s\"\n", "", 1).into_bytes(),
    );
    let swap = model::load(&folder).expect("a swap");
    let [own] = &swap.assumed[..] else {
        panic!("{:?}", swap.assumed);
    };
    assert_eq!(
        (own.of, own.key, own.owner.as_slice()),
        ("axis", "max_speed", &["X".to_owned()][..])
    );
    assert_eq!(own.words(), "`max_speed` of X");
    let kept = swap.origin.as_ref().expect("files");
    let speed = |answer| {
        let supposed = Supposed {
            machine: answer,
            ..Supposed::default()
        };
        let other = kept.supposing(&supposed).expect("a swap");
        let speed = other.machine.axes[0].max_speed.value;
        [speed.low(), speed.high()].map(|speed| (speed.in_mm_per_s()).round())
    };
    assert_eq!(speed(Answer::Usual), [80.0, 300.0]);
    assert_eq!(speed(Answer::Likely), [150.0, 150.0]);
    assert_eq!(speed(Answer::Low), [80.0, 80.0]);
    assert_eq!(speed(Answer::High), [300.0, 300.0]);
}

trait InMillimetres {
    fn in_mm_per_s(self) -> f64;
}

impl InMillimetres for quantity::si::Velocity {
    fn in_mm_per_s(self) -> f64 {
        quantity::Number::base(self) * 1000.0
    }
}

/// A needed key that says `?` is told where that stands: whoever wrote it finds it there.
#[test]
fn a_needed_key_that_says_it_is_not_known_is_told_at_its_own_line() {
    for (from, to) in [
        ("kind = \"supply\"", "kind = \"?\""),
        ("power = \"400 W\"", "power = \"?\""),
    ] {
        let mut folder = example("demo");
        let bytes = folder.get_mut("machine.toml").expect("the file is there");
        let text = String::from_utf8(bytes.clone())
            .expect("text")
            .replacen(from, to, 1);
        let line = text.lines().position(|line| line == to).expect("the key") + 1;
        *bytes = text.into_bytes();
        let faults = model::load(&folder).expect_err("it is needed");
        let told = faults
            .faults
            .iter()
            .any(|fault| fault.code == "missing-key" && faults.sources.line_column(fault.place).0 == line);
        assert!(told, "{to}: {:?}", faults.faults);
    }
}
