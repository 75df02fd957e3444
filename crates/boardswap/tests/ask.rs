//! A swap that knows what labels say: it plans, says what is open, asks the next best question, and writes answers where they belong.

use std::path::Path;

mod support;

use serde_json::Value as Json;
use support::{root, run, stderr, stdout};

const MACHINE: &str = "machine.toml";

/// A copy of the swap of labels.
fn labels() -> tempfile::TempDir {
    let from = root().join("crates/boardswap/tests/labels");
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("boards")).unwrap();
    for file in ["swap.toml", MACHINE, "boards/sorrel.toml", "boards/teasel.toml"] {
        std::fs::copy(from.join(file), folder.path().join(file)).unwrap();
    }
    folder
}

fn json(folder: &Path, arguments: &[&str]) -> Json {
    let output = run(folder, arguments);
    serde_json::from_str(&stdout(&output)).unwrap_or_else(|error| panic!("{error}: {}", stderr(&output)))
}

fn text(folder: &Path, file: &str) -> String {
    std::fs::read_to_string(folder.join(file)).unwrap()
}

fn findings(folder: &Path, board: &str) -> Vec<Json> {
    let found = json(folder, &["check", "--board", board, "--json"]);
    found["findings"].as_array().unwrap().clone()
}

#[test]
fn labels_alone_give_a_plan_in_few_lines() {
    let folder = labels();
    let files = ["swap.toml", MACHINE, "boards/sorrel.toml", "boards/teasel.toml"];
    let lines: usize = files
        .iter()
        .map(|file| text(folder.path(), file).lines().count())
        .sum();
    assert!(lines <= 120, "{lines} lines");
    let output = run(folder.path(), &["check"]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    for board in ["Sorrel S2", "Teasel T7"] {
        let found = findings(folder.path(), board);
        let unserved = found
            .iter()
            .filter(|own| own["check"] == "unassigned" && own["verdict"] == "blocker");
        assert_eq!(unserved.count(), 0, "{board}");
        for own in &found {
            let trusted = own["stake"] == "safety" && own["verdict"] == "pass" && own["assumed"] == true;
            assert!(!trusted, "a pass of what may hurt hangs on what is usual: {own}");
            if own["open"].is_object() {
                assert!(own["open"]["fact"].is_string(), "{own}");
            }
        }
        let open = |id: &str| {
            let own = found
                .iter()
                .find(|own| own["id"] == id)
                .unwrap_or_else(|| panic!("no {id}"));
            own["open"]["ask"]
                .as_str()
                .unwrap_or_else(|| panic!("{own}"))
                .to_owned()
        };
        assert!(["case.size", "Sorrel S2.size", "Teasel T7.size"].contains(&open("outline").as_str()));
        // What the input of the first board bears decides how much runs through that lead.
        let lead = if board == "Sorrel S2" {
            "Sorrel S2.current"
        } else {
            "PS.wire"
        };
        assert_eq!(open("supply-lead:PS-wire"), lead);
        let wire = if board == "Sorrel S2" {
            "wire-size:MX-P1"
        } else {
            "wire-size:MX-A"
        };
        assert_eq!(open(wire), "MX.wire");
    }
    // The label of this board tells its input, so nothing is open there; that of the other tells nothing.
    let input = |board| {
        let found = findings(folder.path(), board);
        found
            .into_iter()
            .any(|own| own["id"] == "input-voltage" && own["open"].is_object())
    };
    assert!(!input("Sorrel S2") && input("Teasel T7"));
}

#[test]
fn a_question_says_what_to_do_and_what_answers_mean() {
    let folder = labels();
    let output = run(folder.path(), &["ask"]);
    assert!(output.status.success(), "{}", stderr(&output));
    let said = stdout(&output);
    for part in [
        "Do: ",
        "min",
        "It settles ",
        "What the answer would mean",
        "boardswap ask '",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    let found = json(folder.path(), &["ask", "--json"]);
    let questions = found["questions"].as_array().unwrap();
    assert!(questions.len() > 15, "{}", questions.len());
    assert!(
        questions[0]["people_and_fire"].as_u64() > Some(0),
        "{}",
        questions[0]
    );
    let ids: Vec<&str> = questions.iter().map(|own| own["id"].as_str().unwrap()).collect();
    let mut once = ids.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), ids.len(), "asked twice: {ids:?}");
}

#[test]
fn an_answer_goes_where_it_belongs_and_leaves_the_rest() {
    let folder = labels();
    let machine = text(folder.path(), MACHINE).replace(
        "device = [",
        "# a remark\ncase = { size = \"?\", height = 40 }\ndevice = [",
    );
    std::fs::write(folder.path().join(MACHINE), machine).unwrap();
    let answers = [
        ("H1.wire=20 AWG", MACHINE, "cable = { wire = \"20 AWG\" }"),
        ("case.size=[150, 110]", MACHINE, "size = [150, 110]"),
        (
            "machine.kinematics=cartesian",
            MACHINE,
            "kinematics = \"cartesian\"  # found with: eyes, ",
        ),
        ("X.max_speed=180 mm/s", MACHINE, "name = \"X\""),
        ("MX.length=480 mm", MACHINE, "length = \"480 mm\""),
        (
            "Sorrel S2.HE.connector=screw terminal 5.0 mm",
            "boards/sorrel.toml",
            "connector = \"screw terminal 5.0 mm\"",
        ),
        (
            "ambient.temperature=21 °C ± 4 K",
            "swap.toml",
            "temperature = \"21 °C ± 4 K\"",
        ),
    ];
    for (answer, file, written) in answers {
        let before = text(folder.path(), file);
        let output = run(folder.path(), &["ask", answer, "--how", "eyes"]);
        assert!(output.status.success(), "{answer}: {}", stderr(&output));
        let after = text(folder.path(), file);
        assert!(after.contains(written), "{answer}: {after}");
        for line in before.lines().filter(|line| line.trim_start().starts_with('#')) {
            assert!(after.contains(line), "{answer}: `{line}` is gone");
        }
        let again = run(folder.path(), &["ask", answer]);
        assert_eq!(again.status.code(), Some(2), "{answer} was answered already");
        assert_eq!(text(folder.path(), file), after);
    }
    let machine = text(folder.path(), MACHINE);
    assert!(
        machine.contains("# a remark") && !machine.contains('?'),
        "{machine}"
    );
    assert_eq!(run(folder.path(), &["check"]).status.code(), Some(1));
}

#[test]
fn what_cannot_be_is_refused_and_nothing_is_written() {
    let folder = labels();
    let before = text(folder.path(), MACHINE);
    for answer in [
        "H1.wire=blue",
        "H1.wire",
        "H9.wire=20 AWG",
        "wire=20 AWG",
        "H1.wire=\"20 AWG",
        "H1.length=480 m",
    ] {
        let output = run(folder.path(), &["ask", answer]);
        assert_eq!(output.status.code(), Some(2), "{answer}: {}", stdout(&output));
        assert!(
            stderr(&output).contains("help") || stderr(&output).contains("expected"),
            "{}",
            stderr(&output)
        );
        assert_eq!(text(folder.path(), MACHINE), before);
    }
}

/// Where all is stated there is nothing to ask.
#[test]
fn nothing_is_asked_of_the_demo() {
    let output = run(&support::demo(), &["ask"]);
    assert!(output.status.success(), "{}", stderr(&output));
    assert!(
        stdout(&output).contains("No question is left"),
        "{}",
        stdout(&output)
    );
}

/// A tag like a number could be taken for a pin or a step: it is shown with a word in front, and both forms name the device.
#[test]
fn a_tag_like_a_number_has_a_word_in_front() {
    let folder = labels();
    let machine = text(folder.path(), MACHINE);
    let machine = machine.replace("\"H1\"", "\"2\"").replace("\"F1\"", "\"24V\"");
    std::fs::write(folder.path().join(MACHINE), machine).unwrap();
    let wiring = stdout(&run(folder.path(), &["wiring", "--board", "Sorrel S2"]));
    let tags: Vec<&str> = wiring
        .lines()
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    assert!(tags.contains(&"tag2") && tags.contains(&"tag24V"), "{wiring}");
    assert!(!tags.contains(&"2") && !tags.contains(&"24V"), "{wiring}");
    for tag in ["2", "tag2", "TAG2"] {
        let output = run(folder.path(), &["explain", tag, "HB", "--board", "Sorrel S2"]);
        assert!(output.status.success(), "{tag}: {}", stderr(&output));
    }
    for fact in ["tag2.wire=18 AWG", "24V.wire=28 AWG"] {
        let output = run(folder.path(), &["ask", fact]);
        assert!(output.status.success(), "{fact}: {}", stderr(&output));
    }
    let machine = text(folder.path(), MACHINE);
    assert!(
        machine.contains("18 AWG") && machine.contains("28 AWG"),
        "{machine}"
    );
    // Beside it the very name that it would get.
    let machine = text(folder.path(), MACHINE).replace("\"H2\"", "\"tag2\"");
    std::fs::write(folder.path().join(MACHINE), machine).unwrap();
    assert_eq!(run(folder.path(), &["check"]).status.code(), Some(2));
}
