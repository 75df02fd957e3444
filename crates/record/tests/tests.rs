//! The record from outside: chain, exports, other processes, kills.

use std::io::{BufRead as _, BufReader, Write as _};
use std::path::Path;
use std::process::{Command, Stdio};

use proptest::prelude::*;
use record::{Entry, Kind, Problem, Record, Row, Stamp, Verdict, from_lines, sha256, to_lines};
use rusqlite::Connection;

fn stamp() -> Stamp {
    Stamp {
        who: "R. Tester".to_owned(),
        board: "Board 1".to_owned(),
        files: sha256(b"files"),
    }
}

fn entry(step: &str, value: &str) -> Entry {
    Entry {
        what: "between its wires".to_owned(),
        value: value.to_owned(),
        verdict: Some(Verdict::Pass),
        reason: "10.9 Ω to 13.6 Ω".to_owned(),
        ..Entry::of(Kind::Reading, step)
    }
}

/// A record of so many rows, closed again.
fn recorded(path: &Path, count: usize) -> Vec<Row> {
    let mut record = Record::open(path).unwrap();
    for at in 0..count {
        record
            .append(&stamp(), entry(&format!("resistance:H{at}"), "12 Ω"))
            .unwrap();
    }
    record.rows().to_vec()
}

/// FIPS 180-4, examples of one block and of none (from NIST's example values; the second from memory).
#[test]
fn the_published_hashes() {
    assert_eq!(
        sha256(b"abc"),
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    );
    assert_eq!(
        sha256(b""),
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    );
}

#[test]
fn what_was_added_is_there_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.sqlite");
    assert_eq!(Record::read(&path).unwrap(), []);
    let rows = recorded(&path, 3);
    assert_eq!(Record::read(&path).unwrap(), rows);
    let mut again = Record::open(&path).unwrap();
    let fourth = again
        .append(&stamp(), Entry::of(Kind::LeftOut, "lights"))
        .unwrap();
    assert_eq!(fourth.number, 4);
    assert_eq!(fourth.before, rows[2].hash);
    assert!(fourth.at.ends_with('Z') && fourth.at.len() == 24, "{}", fourth.at);
}

/// Whoever edits a row, with whatever tool, is told of: each column by itself, a row taken out, two exchanged, the last cut off but one.
#[test]
fn an_edit_by_hand_shows() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.sqlite");
    recorded(&path, 4);
    let edits = [
        "UPDATE rows SET value = '13 Ω' WHERE number = 2",
        "UPDATE rows SET at = '2020-01-01T00:00:00.000Z' WHERE number = 2",
        "UPDATE rows SET who = 'Somebody' WHERE number = 2",
        "UPDATE rows SET board = 'Board 2' WHERE number = 2",
        "UPDATE rows SET files = '' WHERE number = 2",
        "UPDATE rows SET kind = 'remark' WHERE number = 2",
        "UPDATE rows SET kind = 'other' WHERE number = 2",
        "UPDATE rows SET step = 'resistance:H9' WHERE number = 2",
        "UPDATE rows SET what = '' WHERE number = 2",
        "UPDATE rows SET verdict = 'fail' WHERE number = 2",
        "UPDATE rows SET verdict = NULL WHERE number = 2",
        "UPDATE rows SET verdict = 'fine' WHERE number = 2",
        "UPDATE rows SET reason = '' WHERE number = 2",
        "UPDATE rows SET basis = '{}' WHERE number = 2",
        "UPDATE rows SET corrects = 1 WHERE number = 2",
        "UPDATE rows SET hash = before WHERE number = 2",
        "DELETE FROM rows WHERE number = 2",
        "DELETE FROM rows WHERE number = 1",
        "UPDATE rows SET number = 9 WHERE number = 2",
    ];
    for edit in edits {
        let other = folder.path().join("edited.sqlite");
        std::fs::copy(&path, &other).unwrap();
        let connection = Connection::open(&other).unwrap();
        let free = "DROP TRIGGER rows_are_not_changed; DROP TRIGGER rows_are_not_deleted;";
        connection.execute_batch(free).unwrap();
        assert_eq!(connection.execute(edit, []).unwrap(), 1, "{edit}");
        drop(connection);
        for found in [
            Record::read(&other),
            Record::open(&other).map(|own| own.rows().to_vec()),
        ] {
            assert!(matches!(found, Err(Problem::Altered(..))), "{edit}: {found:?}");
        }
    }
}

#[test]
fn what_is_no_record_is_refused_and_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let text = folder.path().join("text.sqlite");
    std::fs::write(
        &text,
        "this is a text, and a long one, that nobody wrote as a database",
    )
    .unwrap();
    let other = folder.path().join("other.sqlite");
    let connection = Connection::open(&other).unwrap();
    connection.execute_batch("CREATE TABLE t (x)").unwrap();
    drop(connection);
    for path in [&text, &other] {
        let before = std::fs::read(path).unwrap();
        assert!(matches!(Record::read(path), Err(Problem::NoRecord(..))));
        assert!(matches!(Record::open(path), Err(Problem::NoRecord(..))));
        if path == &text {
            assert_eq!(std::fs::read(path).unwrap(), before);
        }
    }
    let newer = folder.path().join("newer.sqlite");
    recorded(&newer, 1);
    let connection = Connection::open(&newer).unwrap();
    connection.execute_batch("PRAGMA user_version = 7").unwrap();
    drop(connection);
    assert!(matches!(Record::open(&newer), Err(Problem::Newer(_, 7))));
}

#[test]
fn nobody_else_takes_a_record_that_is_open() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.sqlite");
    let mut one = Record::open(&path).unwrap();
    one.append(&stamp(), entry("a", "1 V")).unwrap();
    assert!(matches!(Record::open(&path), Err(Problem::InUse(_))));
    drop(one);
    assert_eq!(Record::open(&path).unwrap().rows().len(), 1);
}

#[test]
fn a_file_that_was_taken_away_is_written_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.sqlite");
    let mut record = Record::open(&path).unwrap();
    record.append(&stamp(), entry("a", "1 V")).unwrap();
    std::fs::remove_file(&path).unwrap();
    record.append(&stamp(), entry("b", "2 V")).unwrap();
    record.append(&stamp(), entry("c", "3 V")).unwrap();
    let rows = record.rows().to_vec();
    drop(record);
    assert_eq!(Record::read(&path).unwrap(), rows);
    assert_eq!(rows.len(), 3);
}

#[test]
fn an_export_comes_back_as_the_same_record() {
    let folder = tempfile::tempdir().unwrap();
    let rows = recorded(&folder.path().join("record.sqlite"), 5);
    let lines = to_lines(&rows);
    assert_eq!(lines.lines().count(), 5);
    assert_eq!(from_lines(&lines).unwrap(), rows);
    let other = folder.path().join("other.sqlite");
    drop(Record::take_up(&other, rows.clone()).unwrap());
    assert_eq!(Record::read(&other).unwrap(), rows);
    let again = Record::take_up(&other, rows);
    assert!(matches!(again, Err(Problem::NotEmpty(_))));
    let without_second: String = lines
        .lines()
        .enumerate()
        .filter(|(at, _)| *at != 1)
        .map(|(_, line)| format!("{line}\n"))
        .collect();
    assert!(matches!(from_lines(&without_second), Err(Problem::Altered(3, _))));
    assert!(matches!(
        from_lines(&lines.replace("12 Ω", "13 Ω")),
        Err(Problem::Altered(1, _))
    ));
    assert!(matches!(from_lines("{}"), Err(Problem::Line(1, _))));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Any text comes back, whatever characters it has.
    #[test]
    fn any_text_comes_back(texts in proptest::collection::vec(("\\PC*", any::<String>(), any::<String>()), 1..6)) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.sqlite");
        let mut record = Record::open(&path).unwrap();
        for (step, value, reason) in &texts {
            let entry = Entry { reason: reason.clone(), ..entry(step, value) };
            record.append(&stamp(), entry).unwrap();
        }
        let rows = record.rows().to_vec();
        drop(record);
        prop_assert_eq!(&Record::read(&path).unwrap(), &rows);
        prop_assert_eq!(from_lines(&to_lines(&rows)).unwrap(), rows);
    }

    /// No text is taken for an export, and none makes it panic.
    #[test]
    fn hostile_lines_are_refused(text in any::<String>()) {
        prop_assume!(!text.trim().is_empty());
        prop_assert!(from_lines(&text).is_err());
    }
}

/// Names the record that this process is to write until it is killed.
const WRITER: &str = "RECORD_TEST_WRITER";

/// The process that [`a_kill_loses_nothing_that_was_answered_for`] kills; on its own it does nothing.
#[test]
fn writes_until_it_is_killed() {
    let Some(path) = std::env::var_os(WRITER) else {
        return;
    };
    let mut record = Record::open(Path::new(&path)).unwrap();
    loop {
        let row = record.append(&stamp(), entry("resistance:H1", "12 Ω")).unwrap();
        writeln!(std::io::stdout(), "\nanswered {}", row.number).unwrap();
    }
}

/// `count` processes, one after the other, each killed after another number of answers.
fn kill(count: u64) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.sqlite");
    let mut answered = 0;
    for run in 0..count {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "writes_until_it_is_killed", "--nocapture"])
            .env(WRITER, &path)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        // Somewhere between two answers; how many there are by then is drawn by a fixed sequence.
        let wanted = 1 + run * 7 % 5;
        let numbers = lines
            .map_while(Result::ok)
            .filter_map(|line| line.strip_prefix("answered ")?.parse::<u64>().ok());
        let mut seen = 0;
        for number in numbers {
            answered = answered.max(number);
            seen += 1;
            if seen == wanted {
                child.kill().unwrap();
            }
        }
        child.wait().unwrap();
        let rows = Record::read(&path).unwrap();
        assert!(rows.len() as u64 >= answered, "{} {answered}", rows.len());
    }
    assert!(answered >= count);
}

#[test]
fn a_kill_loses_nothing_that_was_answered_for() {
    kill(8);
}

/// As many as the project promises: for `cargo xtask long`.
#[test]
#[ignore = "takes a minute"]
fn five_hundred_kills_lose_nothing() {
    kill(500);
}
