//! The bring-up as a person meets it: typed answers in, a record out that survives kills and edits.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::path::Path;

mod support;

use support::{copy, start, stderr, stdout, typed};

fn json(folder: &Path, arguments: &[&str]) -> serde_json::Value {
    let output = typed(folder, arguments, "");
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// The state of a duty.
fn state(folder: &Path, id: &str) -> String {
    let all = json(folder, &["bring-up", "--json"]);
    let duties = all["duties"].as_array().unwrap();
    let own = duties.iter().find(|duty| duty["id"] == id);
    own.unwrap_or_else(|| panic!("{id}"))["state"]
        .as_str()
        .unwrap()
        .to_owned()
}

const FIRST: &[&str] = &["bring-up", "--who", "Ann"];

#[test]
fn what_is_typed_is_judged_and_recorded() {
    let folder = copy(&[]);
    let lines = "skip it runs no more\nskip\nskip it runs no more\nabout 1\n0.3 V\n120 mΩ\nn\n90 mΩ\nnote plug in my pocket\nfile machine.toml\nfile nowhere.jpg\nstop\n";
    let output = typed(folder.path(), FIRST, lines);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    insta::assert_snapshot!("first_steps", stdout(&output));
    assert_eq!(state(folder.path(), "old-trimmers"), "left-out");
    assert_eq!(state(folder.path(), "unplug"), "done");
    assert_eq!(state(folder.path(), "protective-earth"), "done");
    let rows = json(folder.path(), &["record", "--json"]);
    let rows = rows["rows"].as_array().unwrap();
    let values: Vec<&str> = rows
        .iter()
        .filter_map(|row| row["value"].as_str())
        .filter(|value| !value.is_empty())
        .collect();
    assert_eq!(values[..3], ["300 mV", "120 mΩ", "90 mΩ"]);
    assert_eq!(rows[3]["verdict"], "fail");
    assert!(rows.iter().all(|row| row["who"] == "Ann"));
    let status = json(folder.path(), &["--json"]);
    assert_eq!(status["plan"]["bring_up"]["done"], 2);
    assert_eq!(status["plan"]["bring_up"]["left_out"], 2);
    // The next run goes on there, for the same person.
    let again = typed(folder.path(), &["bring-up"], "y\n");
    let text = stdout(&again);
    assert!(
        text.contains("Ann records for")
            && text.contains("photographs and tags")
            && !text.contains("Unplug and verify"),
        "{text}"
    );
}

#[test]
fn nothing_live_begins_without_a_yes_of_its_own() {
    let folder = copy(&[]);
    let output = typed(folder.path(), FIRST, "y\nYES please\nok\nyes\nstop\n");
    let text = stdout(&output);
    assert_eq!(text.matches("yes to begin").count(), 4, "{text}");
    assert_eq!(text.matches("Not begun").count(), 3, "{text}");
    let rows = json(folder.path(), &["record", "--json"]);
    assert_eq!(rows["rows"].as_array().unwrap().len(), 1);
    assert_eq!(rows["rows"][0]["kind"], "confirmed");
    // A new run is a new yes.
    let output = typed(folder.path(), FIRST, "");
    assert!(stdout(&output).contains("yes to begin"));
}

/// All readings as they are expected, from the first step to the last: by answers that a list of the steps alone makes.
#[test]
fn a_whole_bring_up_can_be_typed() {
    let folder = copy(&[]);
    let steps = json(folder.path(), &["steps", "--json"]);
    let mut answers = String::new();
    let reading = |expected: &serde_json::Value| {
        let reading = &expected["reading"];
        let number = |at: &str, end: &str| {
            reading[at][end]
                .as_f64()
                .map(|number| (number, reading[at]["unit"].as_str().unwrap().to_owned()))
        };
        let found = number("between", "nominal")
            .or(number("at-least", "high"))
            .or(number("at-most", "low"));
        if reading["noted"].is_string() {
            return "0.61 V\n".to_owned();
        }
        found.map_or_else(|| "y\n".to_owned(), |(number, unit)| format!("{number} {unit}\n"))
    };
    let all = |expected: &serde_json::Value| -> String {
        let list = expected.as_array().unwrap();
        if list.is_empty() {
            "y\n".to_owned()
        } else {
            list.iter().map(reading).collect()
        }
    };
    for step in steps["steps"].as_array().unwrap() {
        let needs = step["needs"].as_str().unwrap();
        let each = matches!(needs, "motion" | "heat");
        if needs == "power" {
            answers += "yes\n";
        }
        let parts = step["parts"].as_array().unwrap();
        for part in parts {
            answers += if each { "yes\n" } else { "" };
            answers += &all(&part["expected"]);
        }
        if parts.is_empty() || !step["expected"].as_array().unwrap().is_empty() {
            answers += if each { "yes\n" } else { "" };
            answers += &all(&step["expected"]);
        }
    }
    let output = typed(folder.path(), FIRST, &answers);
    let text = stdout(&output);
    assert!(
        text.ends_with("All steps are done.\n"),
        "{}",
        &text[text.len().saturating_sub(2_000)..]
    );
    assert!(!text.contains("FAIL"), "{text}");
    let all = json(folder.path(), &["bring-up", "--json"]);
    assert_eq!(all["done"], all["of"]);
    assert!(all["next"].is_null());
    let rows = json(folder.path(), &["record", "--json"]);
    assert!(rows["rows"].as_array().unwrap().len() > 200);
}

#[test]
fn a_record_goes_out_and_comes_back() {
    let folder = copy(&[]);
    typed(
        folder.path(),
        &["bring-up", "--who", "=1+1"],
        "skip none\nskip none\n0 V\n",
    );
    for name in ["record.csv", "record.jsonl"] {
        let output = typed(folder.path(), &["record", "--export", name], "");
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    }
    let csv = std::fs::read_to_string(folder.path().join("record.csv")).unwrap();
    assert_eq!(csv.lines().count(), 4);
    assert!(csv.contains(",'=1+1,") && !csv.contains(",=1+1"), "{csv}");
    // What the board would be is not decided; the report tells of what was recorded all the same.
    let report = typed(folder.path(), &["report"], "");
    assert!(report.status.success(), "{}", stderr(&report));
    let written = |name: &str| std::fs::read_to_string(folder.path().join(name)).unwrap();
    assert_eq!(written("out/tables/record.csv"), csv);
    assert_eq!(written("out/proof/record.jsonl"), written("record.jsonl"));
    assert!(written("out/proof/proof.html").contains("Bring-up record"));
    let before = json(folder.path(), &["record", "--json"]);
    let taken = typed(folder.path(), &["record", "--import", "record.jsonl"], "");
    assert_eq!(taken.status.code(), Some(2));
    std::fs::remove_file(folder.path().join("record.sqlite")).unwrap();
    let taken = typed(folder.path(), &["record", "--import", "record.jsonl"], "");
    assert_eq!(taken.status.code(), Some(0), "{}", stderr(&taken));
    assert_eq!(json(folder.path(), &["record", "--json"]), before);
    assert_eq!(
        typed(folder.path(), &["record", "--export", "record.pdf"], "")
            .status
            .code(),
        Some(2)
    );
}

#[test]
fn what_is_no_record_is_said_and_left() {
    let folder = copy(&[]);
    let path = folder.path().join("record.sqlite");
    std::fs::write(
        &path,
        "not a database, but long enough that nobody takes it for an empty one",
    )
    .unwrap();
    for arguments in [&["record"][..], FIRST, &["bring-up", "--list"]] {
        let output = typed(folder.path(), arguments, "yes\n");
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(stderr(&output).contains("is no record"), "{}", stderr(&output));
    }
    assert!(
        std::fs::read_to_string(&path)
            .unwrap()
            .starts_with("not a database")
    );
}

#[test]
fn hostile_answers_are_only_text() {
    let folder = copy(&[]);
    let mut lines: Vec<u8> = Vec::new();
    lines.extend(b"skip \x1b[2J\xff\xfe\n");
    lines.extend(vec![b'x'; 100_000]);
    lines.extend(b"\nskip '; DROP TABLE rows; --\n");
    lines.extend(b"nan V\ninf V\n1e999 V\n-0 V\n\0\n");
    let mut child = start(folder.path(), FIRST);
    child.stdin.take().unwrap().write_all(&lines).unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let shown = typed(folder.path(), &["record"], "");
    assert_eq!(shown.status.code(), Some(0));
    assert!(!stdout(&shown).contains('\u{1b}'));
    let rows = json(folder.path(), &["record", "--json"]);
    assert_eq!(rows["rows"][1]["reason"], "'; DROP TABLE rows; --");
}

/// A second run does not take the record while the first waits for an answer.
#[test]
fn two_runs_do_not_record_at_once() {
    let folder = copy(&[]);
    let mut first = start(folder.path(), FIRST);
    let mut lines = BufReader::new(first.stdout.take().unwrap());
    // It has the record once it tells who records.
    let mut line = String::new();
    while !line.contains("records for") {
        line.clear();
        assert_ne!(lines.read_line(&mut line).unwrap(), 0);
    }
    let second = typed(folder.path(), FIRST, "");
    assert_eq!(second.status.code(), Some(2));
    assert!(
        stderr(&second).contains("another run is recording"),
        "{}",
        stderr(&second)
    );
    drop(first.stdin.take());
    let mut rest = String::new();
    lines.read_to_string(&mut rest).unwrap();
    assert!(first.wait().unwrap().success());
}
