//! The law of absence: leaving something out of a file, or a worse part, never improves a verdict.
//!
//! A deletion takes one key, table or element out of a file of an example, or a line out of a report; a worse part changes one number of a
//! board to the worse. Where the files still load, no board may have fewer blockers, harm by harm, than before (a `check` would go from exit
//! code 1 to 0), and a board whose own file was changed may not rise in the comparison. Nor may what was
//! left to decide fall silent: a note about the same stands in its place, or something that was not told before. What is no lack is listed in `NO_LACK`, each with its reason.

use std::collections::BTreeMap;
use std::sync::{Mutex, OnceLock};

use model::Swap;
use plan::{ByHarm, Stake, Verdict};
use proptest::prelude::*;
use proptest::sample::Index;
use samples::Folder;
use toml_edit::{DocumentMut, Item, Value};

const EXAMPLES: [&str; 3] = ["demo", "second", "third"];

/// Keys whose deletion asks for less, or takes something away that is in the way: no lack.
const NO_LACK: &[(&str, &str)] = &[
    ("wish", "a wish less is asked"),
    ("keep_out", "what stood in the way is gone"),
    ("excludes", "ports that exclude each other no longer do"),
    ("candidates", "a board less is compared"),
    ("price", "a part without a price is no part of a rank by price"),
    (
        "run_current",
        "it is asked, not found: 85 % of the rated current where nothing is said",
    ),
];

/// A step of the way to a place in a file.
#[derive(Clone, Debug, PartialEq)]
enum Step {
    Key(String),
    At(usize),
}

#[derive(Clone, Debug)]
struct Change {
    file: String,
    way: Vec<Step>,
    /// What stands there instead; nothing where it is left out.
    worse: Option<String>,
}

/// Each board by name: its place in the comparison, and what blocks it.
type Ranks = BTreeMap<String, (usize, ByHarm)>;

fn ranks(swap: &Swap) -> Ranks {
    let entries = plan::compare(swap).entries;
    let of = entries.into_iter().enumerate();
    of.map(|(place, entry)| (entry.board, (place, entry.blocked)))
        .collect()
}

fn of_example(name: &str) -> &'static Ranks {
    static KNOWN: OnceLock<BTreeMap<&'static str, Ranks>> = OnceLock::new();
    let all = KNOWN.get_or_init(|| {
        let swap = |name: &str| model::load(&samples::example(name)).expect("an example loads");
        EXAMPLES.map(|name| (name, ranks(&swap(name)))).into()
    });
    &all[name]
}

fn ways(item: &Item, way: &mut Vec<Step>, out: &mut Vec<Vec<Step>>) {
    if !way.is_empty() {
        out.push(way.clone());
    }
    if let Some(table) = item.as_table_like() {
        for (key, item) in table.iter() {
            way.push(Step::Key(key.to_owned()));
            ways(item, way, out);
            way.pop();
        }
    } else if let Some(array) = item.as_array_of_tables() {
        for (at, table) in array.iter().enumerate() {
            way.push(Step::At(at));
            ways(&Item::Table(table.clone()), way, out);
            way.pop();
        }
    } else if let Some(array) = item.as_array() {
        for at in 0..array.len() {
            way.push(Step::At(at));
            out.push(way.clone());
            way.pop();
        }
    }
}

/// What a board is told of one thing.
#[derive(Clone)]
struct Told {
    verdict: Verdict,
    stake: Stake,
    /// Whether it is left to decide.
    open: bool,
    /// Whether it asks for a fact.
    asks: bool,
    /// Whether it is said to hang on what is usual.
    assumed: bool,
    device: Option<String>,
}

/// All that a board is told of, by identifier.
type AllTold = BTreeMap<String, Told>;

fn told(swap: &Swap, board: &str) -> Option<AllTold> {
    let mut candidates = swap.candidates.iter();
    let board = candidates.find(|candidate| candidate.name.value == board)?;
    let plan = plan::plan(swap, board);
    let later = settings::of_plan(&plan);
    let findings = plan.also(later).findings;
    let of = |finding: &plan::Finding| {
        let told = Told {
            verdict: finding.verdict,
            stake: finding.stake,
            open: finding.verdict >= Verdict::Caution && finding.is_open(),
            asks: finding.asks,
            assumed: finding.assumed,
            device: finding.subject.device.clone(),
        };
        (finding.id.clone(), told)
    };
    Some(findings.iter().map(of).collect())
}

/// What is left to decide, the worst first.
fn open(told: &AllTold) -> Vec<(Verdict, Stake)> {
    let open = told.values().filter(|told| told.open);
    let mut worst: Vec<_> = open.map(|told| (told.verdict, told.stake)).collect();
    worst.sort_unstable_by(|one, other| other.cmp(one));
    worst
}

fn told_of_example(name: &'static str, board: &str) -> Option<AllTold> {
    type Known = Mutex<BTreeMap<(&'static str, String), AllTold>>;
    static KNOWN: OnceLock<Known> = OnceLock::new();
    let known = KNOWN.get_or_init(Known::default);
    let key = (name, board.to_owned());
    if let Some(found) = known.lock().expect("no case panics here").get(&key) {
        return Some(found.clone());
    }
    let swap = model::load(&samples::example(name)).expect("an example loads");
    let found = told(&swap, board)?;
    known
        .lock()
        .expect("no case panics here")
        .insert(key, found.clone());
    Some(found)
}

/// What a deletion silences without anything in its place, in words. One board is looked at: the one whose file was changed, else the first candidate.
fn settled(example: &'static str, folder: &Folder, change: &Change) -> Option<String> {
    let swap = model::load(&changed(folder, change)?).ok()?;
    let mut candidates = swap.candidates.iter();
    let own = candidates.find(|board| board.path == change.file);
    let board = own.or(swap.candidates.first())?;
    // A board that lost its name is another one.
    let before = told_of_example(example, &board.name.value)?;
    let after = told(&swap, &board.name.value)?;
    // More of the worst first; a longer list of the same beginning is worse.
    if open(&after) >= open(&before) {
        return None;
    }
    // What was to be found out about a device goes with the device; what the machine must have is asked for anew.
    let device = device_of(folder, change);
    // In its place: a note about the same, a pass that is said to be assumed, or anything that was not told before or not so badly.
    let gone = before.iter().filter(|(id, told)| {
        let silent = |after: &Told| after.verdict == Verdict::Pass && !after.assumed;
        told.open && after.get(*id).is_none_or(silent) && (device.is_none() || told.device != device)
    });
    let gone: Vec<&str> = gone.map(|(id, _)| id.as_str()).collect();
    let mut new = after.iter().filter(|(id, told)| {
        told.verdict >= Verdict::Note && before.get(*id).is_none_or(|old| old.verdict < told.verdict)
    });
    // What is then taken from what is usual is said in the list of what is assumed; where people or fire depend on it that is not enough.
    let known = model::load(folder).map_or(0, |swap| swap.assumed.len());
    let harmless = gone.iter().all(|id| before[*id].stake < Stake::Safety);
    let assumed = swap.assumed.len() > known && harmless;
    if gone.is_empty() || assumed || new.next().is_some() {
        return None;
    }
    Some(format!(
        "{}: nothing in the place of {}",
        board.name.value,
        gone.join(", ")
    ))
}

/// Facts of heated parts and of what was there before; each may hide what harms people, or burns.
const HEAT: [&str; 15] = [
    "part",
    "temperature_limit",
    "dead_time",
    "heat_capacity",
    "thermal_conductance",
    "body",
    "coupling",
    "second_conductance",
    "cut_out",
    "rated_at",
    "working_temperature",
    "sensor",
    "old_board",
    "old_settings",
    "words",
];

/// What harmed people or burnt, by any means and whatever was left to do about it, and is gone with a fact: neither its own check nor another one
/// says anything as bad of it, or of its device.
fn falls_silent(example: &'static str, folder: &Folder, change: &Change) -> Option<String> {
    let swap = model::load(&changed(folder, change)?).ok()?;
    let board = swap.candidates.first()?;
    let before = told_of_example(example, &board.name.value)?;
    let after = told(&swap, &board.name.value)?;
    let grave = |told: &Told| told.stake == Stake::Safety && told.verdict >= Verdict::Caution;
    let check = |id: &str| id.split(':').next().unwrap_or_default().to_owned();
    let gone = before.iter().filter(|(id, told)| {
        let stands = after.get(*id).is_some_and(|now| now.verdict >= Verdict::Caution);
        // Something that was not said or asked before, about the same.
        let replaced = after.iter().any(|(other, now)| {
            let new = |old: &Told| old.verdict < now.verdict || now.asks && !old.asks;
            let new = before.get(other).is_none_or(new);
            let same = check(other) == check(id) || now.device.is_some() && now.device == told.device;
            new && same && now.verdict >= Verdict::Caution
        });
        grave(told) && !stands && !replaced
    });
    let gone: Vec<&str> = gone.map(|(id, _)| id.as_str()).collect();
    (!gone.is_empty()).then(|| format!("{} fall silent", gone.join(", ")))
}

#[test]
fn a_fact_of_heat_that_is_left_out_silences_nothing() {
    let mut wrong = Vec::new();
    for example in EXAMPLES {
        let folder = samples::example(example);
        for change in deletions(&folder) {
            let Some(Step::Key(key)) = change.way.last() else {
                continue;
            };
            if !HEAT.contains(&key.as_str()) {
                continue;
            }
            if let Some(silent) = falls_silent(example, &folder, &change) {
                wrong.push(format!("{example} {} {:?}: {silent}", change.file, change.way));
            }
        }
    }
    assert!(wrong.is_empty(), "{}:\n{}", wrong.len(), wrong.join("\n"));
}

/// The tag of a device that a change takes out whole.
fn device_of(folder: &Folder, change: &Change) -> Option<String> {
    let ([Step::Key(key), Step::At(_)], None) = (&change.way[..], &change.worse) else {
        return None;
    };
    let text = String::from_utf8(folder[&change.file].clone()).ok()?;
    let document: DocumentMut = text.parse().ok()?;
    let device = place(document.as_item(), &change.way).filter(|_| key == "device")?;
    Some(device.get("tag")?.as_str()?.to_owned())
}

/// All lines of the reports of an example, each left out.
fn lines(folder: &Folder) -> Vec<Change> {
    let reports = folder.iter().filter(|(file, _)| file.starts_with("captured/"));
    reports
        .flat_map(|(file, bytes)| {
            let count = bytes.split(|byte| *byte == b'\n').count();
            (0..count).map(|at| Change {
                file: file.clone(),
                way: vec![Step::At(at)],
                worse: None,
            })
        })
        .collect()
}

fn left_out(folder: &Folder) -> Vec<Change> {
    let mut all = deletions(folder);
    all.extend(lines(folder));
    all
}

fn files(folder: &Folder) -> impl Iterator<Item = (&String, DocumentMut)> {
    let ours = |file: &&String| file.ends_with(".toml") && !file.starts_with("words/");
    folder.keys().filter(ours).map(|file| {
        let text = String::from_utf8(folder[file].clone()).expect("UTF-8");
        (file, text.parse().expect("TOML"))
    })
}

/// All deletions in an example.
fn deletions(folder: &Folder) -> Vec<Change> {
    let mut out = Vec::new();
    for (file, document) in files(folder) {
        let mut found = Vec::new();
        ways(document.as_item(), &mut Vec::new(), &mut found);
        found.retain(|way| {
            !NO_LACK
                .iter()
                .any(|(key, _)| way.contains(&Step::Key((*key).to_owned())))
        });
        out.extend(found.into_iter().map(|way| Change {
            file: file.clone(),
            way,
            worse: None,
        }));
    }
    out
}

/// Numbers of a board of which less is worse, and of which more is.
const LESS: [&str; 5] = [
    "current",
    "step_rate",
    "max_input_voltage",
    "max_microsteps",
    "levels",
];
const MORE: [&str; 7] = [
    "switch_resistance",
    "on_resistance",
    "noise",
    "thermal_resistance",
    "thermal_resistance_with_sink",
    "board_current",
    "trimmer_step",
];

/// The same text with its first number times a factor.
fn scaled(text: &str, factor: f64) -> Option<String> {
    if text.contains("..") {
        return None;
    }
    let end = text.find(|letter: char| !letter.is_ascii_digit() && letter != '.')?;
    let number: f64 = text[..end].parse().ok()?;
    Some(format!("{}{}", number * factor, &text[end..]))
}

/// All worse parts on the candidate boards of an example.
fn worse_parts(folder: &Folder) -> Vec<Change> {
    let mut out = Vec::new();
    for (file, document) in files(folder).filter(|(file, _)| file.starts_with("boards/")) {
        let mut found = Vec::new();
        ways(document.as_item(), &mut Vec::new(), &mut found);
        for way in found {
            let Some(Step::Key(key)) = way.last() else {
                continue;
            };
            let factor = match key.as_str() {
                key if LESS.contains(&key) => 0.6,
                key if MORE.contains(&key) => 1.8,
                _ => continue,
            };
            let text = place(document.as_item(), &way).and_then(Item::as_str);
            if let Some(worse) = text.and_then(|text| scaled(text, factor)) {
                out.push(Change {
                    file: file.clone(),
                    way,
                    worse: Some(worse),
                });
            }
        }
    }
    out
}

fn place<'a>(item: &'a Item, way: &[Step]) -> Option<&'a Item> {
    way.iter().try_fold(item, |item, step| match step {
        Step::Key(key) => item.get(key.as_str()),
        Step::At(at) => item.get(*at),
    })
}

fn changed(folder: &Folder, change: &Change) -> Option<Folder> {
    let mut folder = folder.clone();
    let text = String::from_utf8(folder[&change.file].clone()).ok()?;
    if let ([Step::At(line)], true) = (&change.way[..], change.file.starts_with("captured/")) {
        let kept = text.lines().enumerate().filter(|(at, _)| at != line);
        let kept: Vec<&str> = kept.map(|(_, line)| line).collect();
        folder.insert(change.file.clone(), kept.join("\n").into_bytes());
        return Some(folder);
    }
    let mut document: DocumentMut = text.parse().ok()?;
    let (last, way) = change.way.split_last()?;
    let mut item = document.as_item_mut();
    for step in way {
        item = match step {
            Step::Key(key) => item.get_mut(key.as_str())?,
            Step::At(at) => item.get_mut(*at)?,
        };
    }
    match (last, &change.worse) {
        (Step::Key(key), None) => drop(item.as_table_like_mut()?.remove(key)?),
        (Step::Key(key), Some(worse)) => {
            item.as_table_like_mut()?
                .insert(key, Item::Value(Value::from(worse.as_str())));
        }
        (Step::At(at), _) => match item {
            Item::ArrayOfTables(array) => drop(array.remove(*at)),
            item => drop(item.as_array_mut()?.remove(*at)),
        },
    }
    folder.insert(change.file.clone(), document.to_string().into_bytes());
    Some(folder)
}

/// Whether each blocker that is gone is open now: its own check asks for the fact that settles it. What nobody knows is no blocker, but left to
/// decide; where people or fire depend on it that is not enough.
fn asked_for(example: &str, swap: &Swap, board: &str) -> bool {
    let found = |swap: &Swap| {
        let board = swap.candidates.iter().find(|own| own.name.value == board);
        board.map_or_else(Vec::new, |board| plan::plan(swap, board).findings)
    };
    let known = model::load(&samples::example(example)).expect("an example loads");
    let (before, after) = (found(&known), found(swap));
    let mut gone = before.iter().filter(|finding| {
        let stays = |now: &plan::Finding| now.id == finding.id && now.verdict == Verdict::Blocker;
        finding.verdict == Verdict::Blocker && !after.iter().any(stays)
    });
    gone.all(|finding| {
        let asks =
            |now: &plan::Finding| now.check == finding.check && now.verdict == Verdict::Caution && now.asks;
        finding.stake < Stake::Safety && after.iter().any(asks)
    })
}

/// What a change improves against the law, in words.
fn improved(example: &str, folder: &Folder, change: &Change) -> Option<String> {
    let swap = model::load(&changed(folder, change)?).ok()?;
    let before = of_example(example);
    let after = ranks(&swap);
    for (board, (place, blocked)) in &after {
        // A board that lost its name is another one.
        let Some((old_place, old_blocked)) = before.get(board) else {
            continue;
        };
        if blocked < old_blocked && !asked_for(example, &swap, board) {
            return Some(format!("{board}: {old_blocked:?} becomes {blocked:?}"));
        }
        let own = swap.candidates.iter().any(|candidate| {
            candidate.name.value == *board && change.file.contains(&board.to_lowercase().replace(' ', "-"))
        });
        if own && place < old_place {
            return Some(format!("{board} rises from {old_place} to {place}"));
        }
    }
    None
}

fn tried(example: &str, changes: fn(&Folder) -> Vec<Change>, at: Index) -> Result<(), TestCaseError> {
    let folder = samples::example(example);
    let changes = changes(&folder);
    let change = at.get(&changes);
    let improved = improved(example, &folder, change);
    prop_assert!(improved.is_none(), "{change:?}: {}", improved.unwrap_or_default());
    Ok(())
}

/// The outline of a board whose holes met no posts: whether it fits is open then.
#[test]
fn a_blocker_whose_fact_is_left_out_is_asked_for() {
    let folder = samples::example("demo");
    let outline = vec![Step::Key("outline".to_owned())];
    let cedar = Change {
        file: "boards/cedar-c3.toml".to_owned(),
        way: outline,
        worse: None,
    };
    let swap = model::load(&changed(&folder, &cedar).expect("it has an outline")).expect("it loads");
    assert!(ranks(&swap)["Cedar C3"].1 < of_example("demo")["Cedar C3"].1);
    assert!(asked_for("demo", &swap, "Cedar C3"));
    assert_eq!(improved("demo", &folder, &cedar), None);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_left_out_improves_nothing(example in prop::sample::select(&EXAMPLES[..]), at: Index) {
        tried(example, deletions, at)?;
    }

    #[test]
    fn a_worse_part_improves_nothing(example in prop::sample::select(&EXAMPLES[..]), at: Index) {
        tried(example, worse_parts, at)?;
    }
}

/// Each deletion of all examples. `LAW` holds a text that file or way must hold, to look at a part.
#[test]
#[ignore = "long: half an hour, started by hand"]
#[allow(clippy::print_stderr, reason = "it runs long: what was found is seen at once")]
fn nothing_of_all_that_is_left_out_settles_anything() {
    let only = std::env::var("LAW").unwrap_or_default();
    let mut wrong = Vec::new();
    for example in EXAMPLES {
        let folder = samples::example(example);
        for change in left_out(&folder) {
            let place = format!("{example} {} {:?}", change.file, change.way);
            if !place.contains(&only) {
                continue;
            }
            if let Some(settled) = settled(example, &folder, &change) {
                eprintln!("{place}: {settled}");
                wrong.push(format!("{place}: {settled}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}:\n{}", wrong.len(), wrong.join("\n"));
}

/// One deletion of each key that is taken from what is usual then.
#[test]
#[ignore = "long: some minutes, started by hand"]
#[allow(clippy::print_stderr, reason = "it runs long: what was found is seen at once")]
fn what_is_taken_from_what_is_usual_improves_nothing() {
    let mut wrong = Vec::new();
    for example in EXAMPLES {
        let folder = samples::example(example);
        let mut seen: Vec<(bool, Vec<String>)> = Vec::new();
        for change in deletions(&folder) {
            let keys = change.way.iter().filter_map(|step| match step {
                Step::Key(key) => Some(key.clone()),
                Step::At(_) => None,
            });
            let said = (change.file.starts_with("boards/"), keys.collect::<Vec<_>>());
            let loaded = changed(&folder, &change).and_then(|folder| model::load(&folder).ok());
            let assumes = loaded.is_some_and(|swap| !swap.assumed.is_empty());
            if !assumes || seen.contains(&said) {
                continue;
            }
            seen.push(said);
            if let Some(improved) = improved(example, &folder, &change) {
                eprintln!("{example} {} {:?}: {improved}", change.file, change.way);
                wrong.push(format!("{example} {} {:?}: {improved}", change.file, change.way));
            }
        }
        assert!(seen.len() > 40, "{example}: {}", seen.len());
    }
    assert!(wrong.is_empty(), "{}:\n{}", wrong.len(), wrong.join("\n"));
}

/// Each deletion and each worse part of all examples.
#[test]
#[ignore = "long: some hours, started by hand"]
#[allow(clippy::print_stderr, reason = "it runs long: what was found is seen at once")]
fn no_change_of_all_improves_anything() {
    let mut wrong = Vec::new();
    for example in EXAMPLES {
        let folder = samples::example(example);
        for change in deletions(&folder).iter().chain(&worse_parts(&folder)) {
            if let Some(improved) = improved(example, &folder, change) {
                let Change { file, way, worse } = change;
                wrong.push(format!("{example} {file} {way:?} {worse:?}: {improved}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}:\n{}", wrong.len(), wrong.join("\n"));
}
