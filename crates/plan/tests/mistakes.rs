//! Mistakes as data: each row of `mistakes/*.toml` edits a copy of an example and says what must be found, and why.
//!
//! ```toml
//! [[mistake]]
//! name = "the bed heater has lost its sensor"    # stands once in its file
//! group = "completeness"                         # a heading of the score
//! base = "demo"                                  # a folder of examples/; default "demo"
//! board = "Alder A4"                             # the board that is planned; default: the first candidate
//! edit = [{ file = "machine.toml", at = "device[T2]", remove = true }]
//! expect = "completeness:H2"                     # identifier of a finding, its beginning up to a `-`, or its check alone; code of an error where level = "error"
//! level = "blocker"                              # blocker, action required, note, pass; error: the folder does not load
//! why = "heat would run unwatched"
//! ```
//!
//! An edit names a file and a place in it: keys are parted by dots; `[NAME]` selects the table of an array whose `tag`, `name`, `board` or
//! `file` is NAME, or the element of that number. It has one of `remove = true`, `set = VALUE`, `from = TEXT` with `to = TEXT` (in the whole file),
//! `append = TEXT` (at the end of the file). Without a place `set` is the whole file, and `remove` takes the file out. `[[machine]]` with `name`, `base` and `edit` makes a base of its own for later rows.
//!
//! Where `level = "assumed"`, `expect` is a fact that is taken from what is usual and said to be, as "H1.wire".
//!
//! Two more forms of `expect`:
//! - `refused:CHECK:DEVICE` or `refused:CHECK:DEVICE-PORT`: the check refuses a way of that device (its `level` is `blocker`), none in the base;
//! - `new:WORDS`: a finding that the base lacks and that names WORDS, at that level or a worse one, by whichever check.
//!
//! Instead of `expect` and `level` a row may say:
//! - `harmless = true`: nothing is found (blocker or caution, by identifier) that the base does not have too;
//! - `behind = "Birch B6"`: the comparison puts `board` behind that one, and does not do so in the base.
//!
//! The unedited base must lack what is expected. `open = "reason"` marks a row that is known to fail: it is counted, and must be taken off once it
//! passes.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, OnceLock};

use model::Swap;
use plan::compatible::Refusal;
use plan::{Finding, Verdict};
use samples::Folder;
use toml_edit::{DocumentMut, Item, Table, Value};

/// One edit of a folder.
#[derive(Clone, Debug)]
struct Edit {
    file: String,
    at: String,
    act: Act,
}

#[derive(Clone, Debug)]
enum Act {
    Remove,
    Set(Value),
    Replace { from: String, to: String },
    Append(String),
}

#[derive(Debug)]
enum Expected {
    Found { id: String, level: Verdict },
    Refused { check: String, way: String },
    New { words: String, level: Verdict },
    Error { code: String },
    Assumed { id: String },
    Harmless,
    Behind { other: String },
}

#[derive(Debug)]
struct Row {
    place: String,
    group: String,
    base: String,
    board: Option<String>,
    edits: Vec<Edit>,
    expected: Expected,
    open: Option<String>,
}

/// The folders of `examples/` that rows may stand on.
const EXAMPLES: [&str; 3] = ["demo", "second", "third"];

/// What a plan says: its findings with those of the captured settings, and the ways that a check refuses, as "CHECK:DEVICE-PORT".
#[derive(Clone, Debug)]
struct Seen {
    findings: Vec<Finding>,
    refused: BTreeSet<String>,
}

/// Bases by name: folders of `examples/`, and those that rows made of them.
type Bases = BTreeMap<String, Folder>;

fn text(table: &Table, key: &str) -> Option<String> {
    Some(table.get(key)?.as_str()?.to_owned())
}

fn edits(table: &Table, place: &str) -> Vec<Edit> {
    let list = table.get("edit").and_then(Item::as_array);
    let list = list.unwrap_or_else(|| panic!("{place}: no `edit`"));
    let one = |value: &Value| {
        let edit = value
            .as_inline_table()
            .unwrap_or_else(|| panic!("{place}: an edit is a table"));
        let word = |key: &str| edit.get(key).and_then(Value::as_str).map(str::to_owned);
        let act = match (edit.get("remove"), edit.get("set"), word("from"), word("append")) {
            (Some(_), None, None, None) => Act::Remove,
            (None, Some(value), None, None) => Act::Set(value.clone()),
            (None, None, Some(from), None) => Act::Replace {
                from,
                to: word("to").unwrap_or_else(|| panic!("{place}: `from` without `to`")),
            },
            (None, None, None, Some(more)) => Act::Append(more),
            _ => panic!("{place}: an edit has one of remove, set, from, append"),
        };
        Edit {
            file: word("file").unwrap_or_else(|| panic!("{place}: an edit names a file")),
            at: word("at").unwrap_or_default(),
            act,
        }
    };
    list.iter().map(one).collect()
}

fn level(word: &str, place: &str) -> Verdict {
    let known = Verdict::WORST_FIRST;
    let found = known.into_iter().find(|verdict| verdict.word() == word);
    found.unwrap_or_else(|| panic!("{place}: no level `{word}`"))
}

fn row(table: &Table, file: &str) -> Row {
    let name = text(table, "name").unwrap_or_else(|| panic!("{file}: a row without name"));
    let place = format!("{file}: {name}");
    assert!(text(table, "why").is_some(), "{place}: no `why`");
    let expected = match (
        text(table, "expect"),
        text(table, "level"),
        text(table, "behind"),
        table.get("harmless"),
    ) {
        (Some(code), Some(word), None, None) if word == "error" => Expected::Error { code },
        (Some(id), Some(word), None, None) if word == "assumed" => Expected::Assumed { id },
        (Some(id), Some(word), None, None) => {
            let level = level(&word, &place);
            match id.split_once(':') {
                Some(("refused", rest)) => {
                    let (check, way) = rest
                        .split_once(':')
                        .unwrap_or_else(|| panic!("{place}: refused:CHECK:DEVICE"));
                    assert!(level == Verdict::Blocker, "{place}: a refusal is a blocker");
                    Expected::Refused {
                        check: check.to_owned(),
                        way: way.to_owned(),
                    }
                }
                Some(("new", words)) => Expected::New {
                    words: words.to_owned(),
                    level,
                },
                _ => Expected::Found { id, level },
            }
        }
        (None, None, Some(other), None) => Expected::Behind { other },
        (None, None, None, Some(_)) => Expected::Harmless,
        _ => panic!("{place}: one of `expect` with `level`, `behind`, `harmless`"),
    };
    Row {
        group: text(table, "group").unwrap_or_else(|| panic!("{place}: no `group`")),
        base: text(table, "base").unwrap_or_else(|| "demo".to_owned()),
        board: text(table, "board"),
        edits: edits(table, &place),
        open: text(table, "open"),
        expected,
        place,
    }
}

/// All rows of all files, and the bases that they stand on.
fn rows() -> (Vec<Row>, Bases) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/mistakes");
    let mut bases: Bases = EXAMPLES
        .map(|name| (name.to_owned(), samples::example(name)))
        .into();
    let mut rows: Vec<Row> = Vec::new();
    for (file, bytes) in samples::folder(&folder) {
        let document: DocumentMut = String::from_utf8(bytes)
            .expect("UTF-8")
            .parse()
            .unwrap_or_else(|error| panic!("{file}: {error}"));
        let tables = |key: &str| -> Vec<Table> {
            let array = document.get(key).and_then(Item::as_array_of_tables);
            array.map_or_else(Vec::new, |array| array.iter().cloned().collect())
        };
        for machine in tables("machine") {
            let name = text(&machine, "name").expect("a machine has a name");
            let base = text(&machine, "base").unwrap_or_else(|| "demo".to_owned());
            let mut folder = bases[&base].clone();
            for edit in edits(&machine, &format!("{file}: {name}")) {
                apply(&mut folder, &edit).unwrap_or_else(|problem| panic!("{file}: {name}: {problem}"));
            }
            assert!(
                bases.insert(name.clone(), folder).is_none(),
                "{file}: {name} stands twice"
            );
        }
        for table in tables("mistake") {
            let row = row(&table, &file);
            assert!(
                rows.iter().all(|other| other.place != row.place),
                "{} stands twice",
                row.place
            );
            rows.push(row);
        }
    }
    (rows, bases)
}

/// The parts of a place: keys and selections in their order.
fn parts(at: &str) -> Vec<(String, Option<String>)> {
    let mut out = Vec::new();
    let mut rest = at;
    while !rest.is_empty() {
        let end = rest.find(['.', '[']).unwrap_or(rest.len());
        let key = rest[..end].to_owned();
        rest = &rest[end..];
        let mut selected = None;
        if let Some(inside) = rest.strip_prefix('[') {
            let close = inside.find(']').expect("a selection ends with ]");
            selected = Some(inside[..close].to_owned());
            rest = &inside[close + 1..];
        }
        rest = rest.strip_prefix('.').unwrap_or(rest);
        out.push((key, selected));
    }
    out
}

/// The table of an array that a selection means.
fn selected(array: &toml_edit::ArrayOfTables, name: &str) -> Option<usize> {
    let named = |table: &Table| {
        ["tag", "name", "board", "file"]
            .iter()
            .any(|key| text(table, key).as_deref() == Some(name))
    };
    let by_name = array.iter().position(named);
    by_name.or_else(|| name.parse().ok().filter(|at| *at < array.len()))
}

fn apply(folder: &mut Folder, edit: &Edit) -> Result<(), String> {
    let bytes = folder
        .get_mut(&edit.file)
        .ok_or_else(|| format!("no file {}", edit.file))?;
    let old = String::from_utf8(bytes.clone()).map_err(|error| error.to_string())?;
    let new = match &edit.act {
        Act::Append(more) => format!("{old}\n{more}\n"),
        Act::Replace { from, to } => {
            if !old.contains(from.as_str()) {
                return Err(format!("{} does not hold `{from}`", edit.file));
            }
            old.replacen(from.as_str(), to, 1)
        }
        Act::Remove if edit.at.is_empty() => {
            folder.remove(&edit.file);
            return Ok(());
        }
        Act::Set(value) if edit.at.is_empty() => value.as_str().ok_or("the whole file is a text")?.to_owned(),
        Act::Remove | Act::Set(_) => at_place(&old, edit)?,
    };
    *bytes = new.into_bytes();
    Ok(())
}

fn at_place(old: &str, edit: &Edit) -> Result<String, String> {
    let mut document: DocumentMut = old.parse().map_err(|error| format!("{}: {error}", edit.file))?;
    let parts = parts(&edit.at);
    let nothing = || format!("{} has no `{}`", edit.file, edit.at);
    let (last, way) = parts.split_last().ok_or_else(nothing)?;
    let mut item: &mut Item = document.as_item_mut();
    for (key, selection) in way {
        item = item.get_mut(key.as_str()).ok_or_else(nothing)?;
        if let Some(name) = selection {
            // An edit may have set the tables in line.
            if item.is_array() {
                *item = std::mem::take(item)
                    .into_array_of_tables()
                    .map_or_else(|item| item, Item::ArrayOfTables);
            }
            let array = item.as_array_of_tables().ok_or_else(nothing)?;
            let at = selected(array, name).ok_or_else(nothing)?;
            item = item.get_mut(at).ok_or_else(nothing)?;
        }
    }
    let table = item.as_table_like_mut().ok_or_else(nothing)?;
    let (key, selection) = last;
    match (&edit.act, selection) {
        (Act::Remove, None) => drop(table.remove(key).ok_or_else(nothing)?),
        (Act::Set(value), None) => drop(table.insert(key, Item::Value(value.clone()))),
        (act, Some(name)) => {
            let item = table.get_mut(key).ok_or_else(nothing)?;
            if let Item::ArrayOfTables(array) = item {
                let at = selected(array, name).ok_or_else(nothing)?;
                array.remove(at);
            } else {
                let array = item.as_array_mut().ok_or_else(nothing)?;
                let at: usize = name.parse().map_err(|_| nothing())?;
                if at >= array.len() {
                    return Err(nothing());
                }
                match act {
                    Act::Set(value) => drop(array.replace(at, value.clone())),
                    _ => drop(array.remove(at)),
                }
            }
        }
        _ => return Err(nothing()),
    }
    Ok(document.to_string())
}

/// What the plan of a base says by its board: many rows share it.
fn of_base(bases: &Bases, name: &str, board: Option<&str>) -> Seen {
    type Known = Mutex<BTreeMap<(String, Option<String>), Seen>>;
    static KNOWN: OnceLock<Known> = OnceLock::new();
    let known = KNOWN.get_or_init(Known::default);
    let key = (name.to_owned(), board.map(str::to_owned));
    if let Some(found) = known.lock().expect("no row panics here").get(&key) {
        return found.clone();
    }
    let swap = model::load(&bases[name]).unwrap_or_else(|faults| panic!("{name}: {}", faults_of(&faults)));
    let found = planned(&swap, board).unwrap_or_else(|problem| panic!("{name}: {problem}"));
    known
        .lock()
        .expect("no row panics here")
        .insert(key, found.clone());
    found
}

fn faults_of(faults: &model::Faults) -> String {
    let lines = faults.faults.iter().map(|fault| {
        format!(
            "{} {}: {}",
            faults.sources.show(fault.place),
            fault.code,
            fault.headline
        )
    });
    lines.collect::<Vec<_>>().join("; ")
}

fn planned(swap: &Swap, board: Option<&str>) -> Result<Seen, String> {
    let mut candidates = swap.candidates.iter();
    let board = match board {
        Some(name) => candidates.find(|candidate| candidate.name.value == name),
        None => candidates.next(),
    };
    let board = board.ok_or("no such board")?;
    let plan = plan::plan(swap, board);
    let mut refused = BTreeSet::new();
    for ((_, device), candidates) in swap.machine.device_ids().zip(&plan.programme().candidates) {
        for candidate in candidates {
            if let Err(Refusal::Check { check }) = &candidate.outcome {
                let port = &board.port(candidate.way.port).name.value;
                refused.insert(format!("{check}:{}-{port}", device.tag.value));
            }
        }
    }
    let later = settings::of_plan(&plan);
    Ok(Seen {
        findings: plan.also(later).findings,
        refused,
    })
}

fn is_behind(swap: &Swap, board: Option<&str>, other: &str) -> Result<bool, String> {
    let ranked = plan::compare(swap).entries;
    let place = |name: &str| ranked.iter().position(|entry| entry.board == name);
    let first = swap
        .candidates
        .first()
        .map_or("", |board| board.name.value.as_str());
    let own = place(board.unwrap_or(first)).ok_or("no such board")?;
    Ok(own > place(other).ok_or("no such board")?)
}

fn matches(finding: &Finding, id: &str, level: Verdict) -> bool {
    // `wire-size:H1` stands for the device wherever it is: `wire-size:H1-HEAT1`.
    let rest = finding.id.strip_prefix(id);
    let names = rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('-'));
    (names || finding.check == id) && finding.verdict == level
}

/// Tries one row: what is wrong, or nothing.
fn tried(row: &Row, bases: &Bases) -> Result<(), String> {
    let base = bases
        .get(&row.base)
        .ok_or_else(|| format!("no base {}", row.base))?;
    let mut folder = base.clone();
    for edit in &row.edits {
        apply(&mut folder, edit)?;
    }
    let loaded = model::load(&folder);
    let board = row.board.as_deref();
    if let Expected::Error { code } = &row.expected {
        return match loaded {
            Ok(_) => Err(format!("loads, without the error {code}")),
            Err(faults) if faults.faults.iter().any(|fault| fault.code == code) => Ok(()),
            Err(faults) => Err(format!("other errors: {}", faults_of(&faults))),
        };
    }
    let swap = loaded.map_err(|faults| format!("does not load: {}", faults_of(&faults)))?;
    match &row.expected {
        Expected::Assumed { id } => {
            let assumed: Vec<String> = swap.assumed.iter().map(model::Assumed::id).collect();
            let base = model::load(&bases[&row.base]).expect("a base that loads");
            if base.assumed.iter().any(|own| own.id() == *id) {
                return Err(format!("the base assumes {id} already"));
            }
            let found = assumed.contains(id);
            found
                .then_some(())
                .ok_or_else(|| format!("{id} is not assumed, but {assumed:?}"))
        }
        Expected::Found { id, level } => {
            let before = of_base(bases, &row.base, board);
            if before.findings.iter().any(|finding| matches(finding, id, *level)) {
                return Err(format!("the base has {id} as a {} already", level.word()));
            }
            let found = planned(&swap, board)?.findings;
            if found.iter().any(|finding| matches(finding, id, *level)) {
                return Ok(());
            }
            let check = id.split(':').next().unwrap_or_default();
            let instead: Vec<String> = found
                .iter()
                .filter(|finding| finding.check == check)
                .map(|finding| format!("{} {}", finding.verdict.word(), finding.id))
                .collect();
            Err(format!("no {} {id}, but [{}]", level.word(), instead.join(", ")))
        }
        Expected::Refused { check, way } => {
            let of = |seen: &Seen| {
                let start = format!("{check}:{way}");
                let mut refused = seen.refused.iter();
                refused.any(|refused| {
                    refused
                        .strip_prefix(&start)
                        .is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
                })
            };
            if of(&of_base(bases, &row.base, board)) {
                return Err(format!("the base refuses {way} by {check} already"));
            }
            let seen = planned(&swap, board)?;
            let tag = format!(":{}-", way.split('-').next().unwrap_or_default());
            let others = seen.refused.iter().filter(|refused| refused.contains(&tag));
            let others: Vec<&str> = others.map(String::as_str).collect();
            if of(&seen) {
                Ok(())
            } else {
                Err(format!(
                    "{check} refuses no way of {way}, but [{}]",
                    others.join(", ")
                ))
            }
        }
        Expected::New { words, level } => {
            let before = of_base(bases, &row.base, board);
            let found = planned(&swap, board)?;
            let new = |finding: &&Finding| {
                let known = |other: &Finding| other.id == finding.id && other.verdict >= finding.verdict;
                finding.verdict >= Verdict::Note && !before.findings.iter().any(known)
            };
            let new: Vec<&Finding> = found.findings.iter().filter(new).collect();
            let fits = |finding: &&Finding| {
                finding.verdict >= *level
                    && (finding.headline.contains(words.as_str()) || finding.id.contains(words.as_str()))
            };
            if new.iter().any(fits) {
                return Ok(());
            }
            let new = new
                .iter()
                .map(|finding| format!("{} {}", finding.verdict.word(), finding.id));
            Err(format!(
                "nothing of `{words}`, but [{}]",
                new.collect::<Vec<_>>().join(", ")
            ))
        }
        Expected::Behind { other } => {
            let unedited = model::load(base).map_err(|faults| faults_of(&faults))?;
            match (
                is_behind(&unedited, board, other)?,
                is_behind(&swap, board, other)?,
            ) {
                (true, _) => Err(format!("is behind {other} in the base already")),
                (false, false) => Err(format!("is not behind {other}")),
                (false, true) => Ok(()),
            }
        }
        Expected::Harmless => {
            let alarms = |findings: &[Finding]| -> BTreeSet<String> {
                let alarms = findings
                    .iter()
                    .filter(|finding| finding.verdict >= Verdict::Caution);
                alarms
                    .map(|finding| format!("{} {}", finding.verdict.word(), finding.id))
                    .collect()
            };
            let before = alarms(&of_base(bases, &row.base, board).findings);
            let after = alarms(&planned(&swap, board)?.findings);
            let new: Vec<&String> = after.difference(&before).collect();
            if new.is_empty() {
                Ok(())
            } else {
                Err(format!("alarms: {new:?}"))
            }
        }
        Expected::Error { .. } => unreachable!("judged before"),
    }
}

/// Tries all rows, two at a time.
fn all_tried(rows: &[Row], bases: &Bases) -> Vec<Result<(), String>> {
    let next = AtomicUsize::new(0);
    let results: Vec<Mutex<Option<Result<(), String>>>> = rows.iter().map(|_| Mutex::new(None)).collect();
    let work = || {
        while let Some(row) = rows.get(next.fetch_add(1, Ordering::Relaxed)) {
            let at = rows
                .iter()
                .position(|other| std::ptr::eq(other, row))
                .unwrap_or_default();
            let result = tried(row, bases);
            *results[at].lock().expect("no row panicked") = Some(result);
        }
    };
    std::thread::scope(|scope| {
        scope.spawn(work);
        scope.spawn(work);
    });
    let results = results.into_iter();
    let result = |one: Mutex<Option<_>>| one.into_inner().expect("no row panicked");
    results
        .map(|one| result(one).expect("each row was tried"))
        .collect()
}

#[test]
#[allow(clippy::print_stdout, reason = "`cargo xtask mistakes` shows the score")]
fn each_mistake_is_found() {
    let (mut rows, bases) = rows();
    // While a table is written: the rows whose file or name holds this text.
    let only = std::env::var("MISTAKES").unwrap_or_default();
    rows.retain(|row| row.place.contains(&only));
    let results = all_tried(&rows, &bases);
    // Of each group: rows that are as expected, rows, rows that are known to fail.
    let mut groups: BTreeMap<&str, (usize, usize, usize)> = BTreeMap::new();
    let mut wrong: Vec<String> = Vec::new();
    for (row, result) in rows.iter().zip(&results) {
        let group = groups.entry(&row.group).or_default();
        group.1 += 1;
        group.0 += usize::from(result.is_ok());
        group.2 += usize::from(row.open.is_some());
        match (result, &row.open) {
            (Err(problem), None) => wrong.push(format!("{}: {problem}", row.place)),
            (Ok(()), Some(_)) => wrong.push(format!("{}: passes: take `open` off it", row.place)),
            _ => {}
        }
    }
    println!("{:<28} {:>5} {:>5} {:>5}", "group", "found", "of", "open");
    for (group, (found, all, open)) in &groups {
        println!("{group:<28} {found:>5} {all:>5} {open:>5}");
    }
    let sum = |part: fn(&(usize, usize, usize)) -> usize| groups.values().map(part).sum::<usize>();
    println!(
        "{:<28} {:>5} {:>5} {:>5}",
        "all",
        sum(|of| of.0),
        sum(|of| of.1),
        sum(|of| of.2)
    );
    assert!(
        wrong.is_empty(),
        "{} of {}:\n{}",
        wrong.len(),
        rows.len(),
        wrong.join("\n")
    );
}

/// Checks that no row can raise, each with its reason.
const NOT_RAISED: &[(&str, &str)] = &[
    (
        "spare-ports",
        "a note on every board that has a port to spare, and all examples have",
    ),
    ("price", "a note on every board"),
    (
        "accepted",
        "it looks at acceptances when the findings are settled; tests of its own hold it",
    ),
];

#[test]
fn each_check_has_a_row_that_falls_without_it() {
    let (rows, _) = rows();
    let named: BTreeSet<&str> = rows
        .iter()
        .filter(|row| row.open.is_none())
        .filter_map(|row| match &row.expected {
            Expected::Found { id, .. } => id.split(':').next(),
            Expected::Refused { check, .. } => Some(check.as_str()),
            _ => None,
        })
        .collect();
    let pairs = plan::PAIR_CHECKS.iter().map(|check| check.id);
    let wholes = plan::WHOLE_CHECKS.iter().map(|check| check.id);
    let later = plan::LATER_CHECKS.iter().map(|check| check.id);
    let excused = |id: &str| NOT_RAISED.iter().any(|(check, _)| *check == id);
    let all: Vec<&str> = pairs.chain(wholes).chain(later).collect();
    let without: Vec<&&str> = all
        .iter()
        .filter(|id| !named.contains(**id) && !excused(id))
        .collect();
    assert!(without.is_empty(), "no row raises {without:?}");
    for (id, _) in NOT_RAISED {
        assert!(all.contains(id) && !named.contains(id), "{id} needs no excuse");
    }
}
