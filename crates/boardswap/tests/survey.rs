//! The interview as a person meets it: answers typed in, files out that survive a stop, an undo and an edit.

use std::path::Path;

mod support;

use support::{copy, run, stderr, stdout, typed};

/// What is typed for an invented machine and board: all that `today` asks.
const ANSWERS: &str = "Wheatear 200\ncart\n\n350\n\n24\n40, 3.2 Ω\n250, 90\n\n\n?\n\n1.2, 1.2, 0.9, 1\n\n24\n0.1 A, 0.15 A\n\n1\n\n\n\nSorrel S2\n12 V .. 24.5 V\nVIN\nHE, HB\n6, 12\nTA, TB\n4.7 kΩ\nP1, P2, P3, P4\n0.3 A .. 1.4 A\nrms\nbus\nK1, K2\n1\n\nS1, S2, S3\n";

fn text(folder: &Path, name: &str) -> String {
    std::fs::read_to_string(folder.join(name)).unwrap()
}

#[test]
fn a_page_for_tomorrow_comes_of_some_forty_answers() {
    let folder = tempfile::tempdir().unwrap();
    let output = typed(folder.path(), &["today"], ANSWERS);
    let said = stdout(&output);
    assert_eq!(output.status.code(), Some(0), "{said}{}", stderr(&output));
    let front = said
        .split_once("Sorrel S2 in Wheatear 200, for one print")
        .unwrap()
        .1;
    for words in [
        "If a check fails there is no print tomorrow.",
        "The kind of T1, T2 is not known: no more than 100 °C before check 10",
        "No cut-out is known at H1, H2",
        "Wiring",
        "Find out before the first heat",
        "today.html",
    ] {
        assert!(front.contains(words), "{words} in {front}");
    }
    let page = text(folder.path(), "today.html");
    assert_eq!(page.matches('☐').count(), 10);
    for words in [
        "Computed from what you said",
        "Assumed: usual",
        "Unknown, to be measured",
        "What may wait",
    ] {
        assert!(page.contains(words), "{words}");
    }
    // The resistance of the heater that was told by its power: 24² / 40, with meter and tolerance.
    assert!(page.contains("12.5 Ω to 16.8 Ω"), "{page}");
    // Made again in the same day without a question; every other command knows the swap.
    let again = typed(folder.path(), &["today"], "");
    assert!(!stdout(&again).contains("of about"), "{}", stdout(&again));
    assert_eq!(run(folder.path(), &["wiring"]).status.code(), Some(0));
    let status = stdout(&run(folder.path(), &[]));
    assert!(
        status.contains("1. boardswap survey: answer the rest: the page of"),
        "{status}"
    );
}

/// A spare that cannot carry the bed: the page says so first, and the command fails.
#[test]
fn what_is_certainly_wrong_leads_the_page() {
    let folder = tempfile::tempdir().unwrap();
    let answers = ANSWERS.replace("12 V .. 24.5 V", "10 V .. 14 V");
    let output = typed(folder.path(), &["today"], &answers);
    assert_eq!(
        output.status.code(),
        Some(1),
        "{}{}",
        stdout(&output),
        stderr(&output)
    );
    assert!(stdout(&output).contains("Not like this: "), "{}", stdout(&output));
    assert!(text(folder.path(), "today.html").contains("Not like this: "));
}

#[test]
fn a_page_of_another_day_has_expired() {
    let folder = tempfile::tempdir().unwrap();
    typed(folder.path(), &["today"], ANSWERS);
    // The first page was made in the year 2001.
    let lines = text(folder.path(), "survey.jsonl");
    let (head, last) = lines.trim_end().rsplit_once('\n').unwrap();
    let mut page: serde_json::Value = serde_json::from_str(last).unwrap();
    page["at"] = 1_000_000_000.into();
    std::fs::write(folder.path().join("survey.jsonl"), format!("{head}\n{page}\n")).unwrap();
    let said = stdout(&typed(folder.path(), &["today"], ""));
    assert!(said.contains("The page of 2001-09-09 has expired"), "{said}");
    assert!(said.contains("of about"), "the rest is asked: {said}");
}

/// Stopped after each answer and taken up again: the files come out as in one go.
#[test]
fn it_goes_on_where_it_was_left() {
    let whole = tempfile::tempdir().unwrap();
    typed(whole.path(), &["today"], ANSWERS);
    let parts = tempfile::tempdir().unwrap();
    for some in ANSWERS.lines().collect::<Vec<_>>().chunks(7) {
        let lines: String = some.iter().map(|line| format!("{line}\n")).collect();
        typed(parts.path(), &["today"], &format!("{lines}stop\n"));
    }
    for name in ["swap.toml", "machine.toml", "boards/sorrel-s2.toml"] {
        assert_eq!(text(whole.path(), name), text(parts.path(), name));
    }
}

#[test]
fn undo_gives_back_the_very_bytes_unless_somebody_edited_them() {
    let folder = tempfile::tempdir().unwrap();
    typed(folder.path(), &["survey"], "Wheatear\ncart\n");
    let before = text(folder.path(), "machine.toml");
    typed(folder.path(), &["survey"], "\n24 V\nundo\nundo\n");
    let after = text(folder.path(), "machine.toml");
    assert_eq!(before, after);
    // A torn last line, as a power cut leaves it, is no answer.
    let journal = text(folder.path(), "survey.jsonl");
    std::fs::write(
        folder.path().join("survey.jsonl"),
        format!("{journal}{{\"at\": 17, \"ques"),
    )
    .unwrap();
    typed(folder.path(), &["survey"], "\n30 V\n");
    let mended = text(folder.path(), "machine.toml");
    assert!(mended.contains("30 V"), "{mended}");
    std::fs::write(folder.path().join("machine.toml"), format!("{mended}# mine\n")).unwrap();
    let said = stdout(&typed(folder.path(), &["survey"], "undo\n"));
    assert!(said.contains("changed by hand since"), "{said}");
    assert!(text(folder.path(), "machine.toml").ends_with("# mine\n"));
}

#[test]
fn what_no_file_can_hold_is_asked_again() {
    let folder = tempfile::tempdir().unwrap();
    let said = stdout(&typed(
        folder.path(),
        &["survey"],
        "Wheatear\ncart\n15 apples\n\n24\n5 V\nphoto nowhere.jpg\n?\n",
    ));
    assert!(said.contains("No: "), "{said}");
    assert!(said.contains("expected: a temperature"), "{said}");
    assert!(said.contains("`nowhere.jpg` is no file"), "{said}");
    // Volts are no power; and what is needed is asked for at the end.
    assert!(said.contains("unit of voltage, not of power"), "{said}");
    assert!(said.contains("Needed, so asked again at the end"), "{said}");
    assert!(!text(folder.path(), "machine.toml").contains("power"));
}

#[test]
fn what_is_there_already_stays() {
    let folder = copy(&[]);
    let before = text(folder.path(), "machine.toml");
    let output = typed(folder.path(), &["survey"], "stop\n");
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    assert_eq!(text(folder.path(), "machine.toml"), before);
    let new = tempfile::tempdir().unwrap();
    run(new.path(), &["new", "."]);
    let refused = typed(new.path(), &["survey"], "");
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        stderr(&refused).contains("still the template in part"),
        "{}",
        stderr(&refused)
    );
}
