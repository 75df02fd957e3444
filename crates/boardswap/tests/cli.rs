//! The command line as a user meets it: exit codes, messages, and that nothing is half-written.

use std::path::Path;
use std::process::{Command, Output};

mod support;

use support::{copy, copy_into, demo, run, stderr, stdout};

/// Every file below a folder.
fn files(folder: &Path) -> Vec<String> {
    let mut out = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        for entry in std::fs::read_dir(next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                out.push(path.strip_prefix(folder).unwrap().to_string_lossy().into_owned());
            }
        }
    }
    out.sort();
    out
}

#[test]
fn every_command_prints_text_and_json() {
    let commands: [&[&str]; 9] = [
        &["check", "--board", "Alder A4"],
        &["compare"],
        &["wiring", "--board", "Alder A4"],
        &["settings", "--board", "Alder A4"],
        &["steps", "--board", "Alder A4"],
        &["explain", "--board", "Alder A4", "F2", "not", "on", "HEAT1"],
        &["explain", "--board", "Alder A4", "HEAT1", "F2"],
        &["explain", "--board", "Alder A4", "port-current:H2-BED"],
        &["tolerance", "--board", "Alder A4", "--trials", "300"],
    ];
    for command in commands {
        let text = run(&demo(), command);
        assert!(
            text.status.code().is_some_and(|code| code < 2),
            "{command:?}: {}",
            stderr(&text)
        );
        assert!(stdout(&text).lines().count() > 2, "{command:?}");
        assert!(!stdout(&text).contains('\u{1b}'), "{command:?} colours a pipe");
        let json = run(&demo(), &[command, &["--json"]].concat());
        let value: serde_json::Value =
            serde_json::from_slice(&json.stdout).unwrap_or_else(|error| panic!("{command:?}: {error}"));
        assert!(value.is_object() || value.is_array());
    }
}

#[test]
fn the_same_folder_gives_the_same_bytes() {
    for command in [
        &["compare"][..],
        &["check"],
        &["wiring"],
        &["tolerance", "--trials", "2500"],
    ] {
        assert_eq!(
            run(&demo(), command).stdout,
            run(&demo(), command).stdout,
            "{command:?}"
        );
    }
}

#[test]
fn check_ends_with_one_where_there_is_a_blocker() {
    let folder = copy(&[("machine.toml", "voltage = \"24 V", "voltage = \"48 V")]);
    let output = run(folder.path(), &["check", "--board", "Alder A4"]);
    assert_eq!(output.status.code(), Some(1), "{}", stdout(&output));
    assert!(stdout(&output).contains("blocker"));
}

#[test]
fn all_faults_of_all_files_are_shown_at_once() {
    let folder = copy(&[
        (
            "machine.toml",
            "kinematics = \"cartesian\"",
            "kinematics = \"cartesien\"",
        ),
        ("boards/alder-a4.toml", "current = \"20 A\"", "current = \"20 V\""),
        ("swap.toml", "weight = 300", "weight = -300"),
    ]);
    let output = run(folder.path(), &["check"]);
    let text = stderr(&output);
    assert_eq!(output.status.code(), Some(2));
    assert!(text.contains("did you mean `cartesian`?"), "{text}");
    assert!(text.contains("boards/alder-a4.toml:"), "{text}");
    assert!(text.contains("`V` is a unit of voltage"), "{text}");
    assert!(text.contains("3 errors"), "{text}");
    assert!(output.stdout.is_empty());
}

#[test]
fn wrong_words_end_with_two_and_say_what_was_meant() {
    let cases: [(&[&str], &str); 7] = [
        (&["check", "--board", "Alder A5"], "did you mean `Alder A4`?"),
        (&["explain", "F22", "HEAT1"], "did you mean"),
        (&["explain", "hood", "chimney"], "tags are PS, H1"),
        (&["explain", "F2", "HEAT9", "-b", "Alder A4"], "did you mean"),
        (&["explain", "port-curent", "-b", "Alder A4"], "did you mean"),
        (&["schema", "bord"], "swap, machine, board"),
        (&["chek"], "check"),
    ];
    for (command, expected) in cases {
        let output = run(&demo(), command);
        assert_eq!(output.status.code(), Some(2), "{command:?}");
        assert!(
            stderr(&output).contains(expected),
            "{command:?}: {}",
            stderr(&output)
        );
    }
}

#[test]
fn a_folder_without_a_swap_is_told_so() {
    let empty = tempfile::tempdir().unwrap();
    let output = run(empty.path(), &["check"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("boardswap new"), "{}", stderr(&output));
    let output = run(empty.path(), &["--folder", "nowhere", "check"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("there is no folder `nowhere`"));
}

#[test]
fn a_huge_or_binary_file_is_refused() {
    let folder = copy(&[]);
    std::fs::File::create(folder.path().join("machine.toml"))
        .unwrap()
        .set_len(100 << 20)
        .unwrap();
    std::fs::write(folder.path().join("boards/alder-a4.toml"), [b'n', 0xff, 0xfe]).unwrap();
    let output = run(folder.path(), &["check"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("has 100 MiB"), "{}", stderr(&output));
    assert!(stderr(&output).contains("not UTF-8"), "{}", stderr(&output));
}

#[test]
fn start_lays_out_a_template_that_is_refused_until_it_is_filled_in_and_never_overwrites_one() {
    let folder = tempfile::tempdir().unwrap();
    let output = run(folder.path(), &["new", "mine"]);
    assert!(output.status.success(), "{}", stderr(&output));
    let mine = folder.path().join("mine");
    for command in ["check", "compare", "wire", "settings", "steps", "dossier"] {
        let refused = run(&mine, &[command]);
        assert_eq!(refused.status.code(), Some(2), "{command}");
        let text = stderr(&refused);
        assert!(
            text.contains("still the template") && text.contains("device HH"),
            "{command}: {text}"
        );
    }
    for file in ["swap.toml", "machine.toml", "boards/candidate.toml"] {
        let text = std::fs::read_to_string(mine.join(file)).unwrap();
        let schema = text.lines().next().unwrap().strip_prefix("#:schema ").unwrap();
        assert!(mine.join(file).parent().unwrap().join(schema).exists(), "{file}");
    }
    let before = files(&mine);
    let again = run(folder.path(), &["new", "mine"]);
    assert_eq!(again.status.code(), Some(2));
    assert_eq!(files(&mine), before);
}

#[test]
fn the_demo_is_written_once_and_edits_are_kept() {
    let folder = tempfile::tempdir().unwrap();
    let output = run(folder.path(), &["demo"]);
    assert!(output.status.success(), "{}", stderr(&output));
    let text = stdout(&output);
    assert!(
        text.contains("Alder A4") && text.contains("invented") && text.contains("report.html"),
        "{text}"
    );
    let own = folder.path().join("boardswap-demo");
    assert!(own.join("out/report.html").exists());
    let swap = own.join("swap.toml");
    let edited = std::fs::read_to_string(&swap)
        .unwrap()
        .replace("# chosen_board = \"Alder A4\"", "chosen_board = \"Birch B6\"");
    std::fs::write(&swap, &edited).unwrap();
    assert!(run(folder.path(), &["demo"]).status.success());
    assert_eq!(std::fs::read_to_string(&swap).unwrap(), edited);
}

#[test]
fn trouble_of_the_disk_ends_with_three_and_leaves_nothing_half_written() {
    // A file stands where the folder of the results would be.
    let folder = copy(&[]);
    std::fs::write(folder.path().join("out"), "in the way").unwrap();
    let before = files(folder.path());
    let output = run(folder.path(), &["report", "--board", "Alder A4"]);
    assert_eq!(output.status.code(), Some(3), "{}", stderr(&output));
    assert_eq!(files(folder.path()), before);
}

/// A full disk, played by the limit of the shell on the size of files.
#[test]
#[cfg(unix)]
fn a_full_disk_keeps_the_old_results() {
    let folder = copy(&[]);
    assert!(
        run(folder.path(), &["report", "--board", "Alder A4"])
            .status
            .success()
    );
    let old = std::fs::read(folder.path().join("out/report.html")).unwrap();
    let before = files(folder.path());
    let program = env!("CARGO_BIN_EXE_boardswap");
    let line = format!("trap '' XFSZ; ulimit -f 8; exec '{program}' dossier --board 'Birch B6'");
    let output = Command::new("sh")
        .args(["-c", &line])
        .current_dir(folder.path())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(3), "{}", stderr(&output));
    assert!(stderr(&output).contains("cannot write"), "{}", stderr(&output));
    assert_eq!(std::fs::read(folder.path().join("out/report.html")).unwrap(), old);
    assert_eq!(files(folder.path()), before);
}

#[test]
#[cfg(unix)]
fn a_closed_pipe_is_no_error() {
    let program = env!("CARGO_BIN_EXE_boardswap");
    let line = format!("'{program}' check --all --board 'Alder A4' | head -n 1; exit 0");
    let output = Command::new("sh")
        .args(["-c", &line])
        .current_dir(demo())
        .output()
        .unwrap();
    assert!(stderr(&output).is_empty(), "{}", stderr(&output));
}

#[test]
fn shells_and_manual_are_served() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let output = run(&demo(), &["completions", shell]);
        assert!(stdout(&output).contains("compare"), "{shell}");
    }
    assert!(stdout(&run(&demo(), &["man"])).starts_with(".ie"));
    for text in [&["--help"][..], &["man"], &["completions", "bash"]] {
        let text = stdout(&run(&demo(), text));
        for name in ["wiring", "explain", "measurements", "tolerance", "report", "new"] {
            assert!(text.contains(name), "{name}");
        }
        for old in [
            "  start ",
            "  wire ",
            "boardswap-why",
            "boardswap,why",
            "boardswap-dossier",
            "boardswap,chance",
        ] {
            assert!(!text.contains(old), "{old} is shown");
        }
    }
    for kind in ["swap", "machine", "board"] {
        let schema: serde_json::Value =
            serde_json::from_slice(&run(&demo(), &["schema", kind]).stdout).unwrap();
        assert_eq!(schema["type"], "object");
    }
}

/// Commands and options go by their old names too, though no help shows them.
#[test]
fn old_names_of_commands_and_options_still_work() {
    let board = ["--board", "Alder A4"];
    for (old, new) in [
        (&["wire"][..], &["wiring"][..]),
        (
            &["why", "port-current:H2-BED"],
            &["explain", "port-current:H2-BED"],
        ),
        (
            &["chance", "--draws", "300", "--spread", "uniform"],
            &["tolerance", "--trials", "300", "--distribution", "rectangular"],
        ),
        (&["settings", "--sheet"], &["settings", "--build-sheet"]),
    ] {
        let text = |words: &[&str]| stdout(&run(&demo(), &[words, &board].concat()));
        assert_eq!(text(old), text(new), "{old:?}");
    }
    let log = "evidence/hot-end-alder.csv";
    for words in [
        [
            "evidence",
            "temperature-log",
            log,
            "--key",
            "board=Alder A4",
            "--against",
            log,
        ],
        [
            "measurements",
            "temperature-log",
            log,
            "--set",
            "board=Alder A4",
            "--compare-with",
            log,
        ],
    ] {
        let output = run(&demo(), &words);
        assert!(output.status.code() != Some(2), "{words:?}: {}", stderr(&output));
    }
    let folder = tempfile::tempdir().unwrap();
    assert!(run(folder.path(), &["start", "mine"]).status.success());
    assert!(folder.path().join("mine/swap.toml").exists());
}

/// Names come from files that may come from strangers: none turns the direction of writing or hides something. (Control
/// characters are refused before.)
#[test]
fn no_name_acts_on_the_terminal() {
    let folder = copy(&[("machine.toml", "\"part fan\"", "\"part\\u202efan\\u200b\"")]);
    for command in ["wiring", "steps", "check", "settings"] {
        let refused = run(folder.path(), &[command, "--board", "Alder A4"]);
        assert_eq!(refused.status.code(), Some(2), "{command}");
        let text = stderr(&refused);
        assert!(
            text.contains("a name with a character that hides"),
            "{command}: {text}"
        );
        assert!(!text.contains(['\u{1b}', '\u{202e}', '\u{200b}']), "{command}");
    }
}

#[test]
fn colour_is_for_terminals_or_on_demand() {
    let coloured = run(&demo(), &["--color", "always", "compare"]);
    assert!(stdout(&coloured).contains('\u{1b}'));
}

/// What was measured on a board is judged by the plan of that board, whichever is shown.
#[test]
fn measurements_do_not_depend_on_the_board_that_is_shown() {
    let folder = copy(&[]);
    let shown = |board: &str| stdout(&run(folder.path(), &["measurements", "--board", board]));
    let own = shown("Alder A4");
    assert!(own.contains("read-back.txt: 1 of 48 settings"), "{own}");
    for board in ["Birch B6", "Cedar C3"] {
        assert_eq!(shown(board), own, "{board}");
    }
    let old = copy(&[(
        "swap.toml",
        "kind = \"settings read-back\"\nboard = \"Alder A4\"",
        "kind = \"settings read-back\"\nboard = \"Hazel H4\"",
    )]);
    let refused = run(old.path(), &["measurements"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        stdout(&refused).contains("was told nothing by this plan"),
        "{}",
        stdout(&refused)
    );
}

#[test]
fn measurements_of_a_swap_and_of_a_file_alone() {
    let folder = copy(&[]);
    let found = run(folder.path(), &["measurements"]);
    let text = stdout(&found);
    assert!(matches!(found.status.code(), Some(0 | 1)), "{}", stderr(&found));
    for said in [
        "hot-end-hazel.csv on Hazel H4: Held",
        "pass hot-end-alder.csv: 99 % within",
        "pass hot-end-alder.csv, Hazel H4 and Alder A4: 99 % within -0.60",
        "pass bed-alder.txt (1 remark): 99 % within",
        "pass height-map.csv: tilt 0.537",
        "pass stall-x.csv on Birch B6: threshold 75",
        "pass supply.csv: lowest 23.66 V",
        "read-back.txt: 1 of 48",
    ] {
        assert!(text.contains(said), "no `{said}` in\n{text}");
    }
    let one = stdout(&run(folder.path(), &["measurements", "--only", "probe.csv"]));
    assert!(
        one.contains("Where the next single trial will lie") && !one.contains("Stall threshold"),
        "{one}"
    );
    let none = run(folder.path(), &["measurements", "--only", "nothing.csv"]);
    assert_eq!(none.status.code(), Some(2));
    assert!(stderr(&none).contains("evidence/probe.csv"), "{}", stderr(&none));
    let all = stdout(&run(folder.path(), &["measurements", "--all"]));
    for said in [
        "Temperature of the hot end",
        "Hazel H4 and Alder A4",
        "Stall threshold, axis X",
        "Settings read back",
    ] {
        assert!(all.contains(said), "no `{said}` in\n{all}");
    }
    let json = run(folder.path(), &["measurements", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&stdout(&json)).unwrap();
    let json = &json["measurements"];
    assert_eq!(json.as_array().map(Vec::len), Some(15));
    assert_eq!(json[0]["reports"][0]["figures"][0]["id"], "farthest");
    let alone = run(
        folder.path(),
        &[
            "measurements",
            "temperature-log",
            "evidence/bed-alder.txt",
            "--set",
            "full_duty=469",
            "--set",
            "channel=B",
        ],
    );
    assert!(
        stdout(&alone).contains("Temperature of the bed"),
        "{}",
        stdout(&alone)
    );
    let both = [
        "measurements",
        "temperature-log",
        "evidence/hot-end-hazel.csv",
        "--compare-with",
        "evidence/hot-end-alder.csv",
    ];
    let compared = stdout(&run(folder.path(), &both));
    assert!(
        compared.contains("hot-end-alder.csv less") && compared.contains("hot-end-hazel.csv"),
        "{compared}"
    );
}

#[test]
fn measurements_that_are_not_there_or_say_nothing() {
    let folder = copy(&[("swap.toml", "evidence/bed-alder.txt", "evidence/bed-older.txt")]);
    let missing = run(folder.path(), &["measurements"]);
    assert_eq!(missing.status.code(), Some(2));
    let text = stderr(&missing);
    assert!(
        text.contains("file-missing") && text.contains("swap.toml"),
        "{text}"
    );
    std::fs::write(folder.path().join("three.csv"), "time,temp\n0,20\n1,21\n2,22\n").unwrap();
    let few = run(folder.path(), &["measurements", "temperature-log", "three.csv"]);
    assert_eq!(few.status.code(), Some(2));
    assert!(
        stdout(&few).contains("refused") && stdout(&few).contains("Mend:"),
        "{}",
        stdout(&few)
    );
    let kind = run(folder.path(), &["measurements", "temprature-log", "three.csv"]);
    assert_eq!(kind.status.code(), Some(2));
    assert!(stderr(&kind).contains("'temperature-log'"), "{}", stderr(&kind));
    let key = run(
        folder.path(),
        &[
            "measurements",
            "temperature-log",
            "three.csv",
            "--set",
            "chanel=B",
        ],
    );
    assert_eq!(key.status.code(), Some(2));
    assert!(
        stderr(&key).contains("unknown-key") && stderr(&key).contains("channel"),
        "{}",
        stderr(&key)
    );
    let channel = run(
        folder.path(),
        &[
            "measurements",
            "temperature-log",
            "evidence/hot-end-alder.csv",
            "--set",
            "channel=Q",
        ],
    );
    assert!(stdout(&channel).contains("has no `Q`"), "{}", stdout(&channel));
    // The controller to take is told by a word, since a file or a pipe has no bold.
    let log = ["measurements", "temperature-log", "evidence/hot-end-alder.csv"];
    let told = stdout(&run(folder.path(), &log));
    assert_eq!(told.matches("(take\u{a0}this)").count(), 1, "{told}");
}

/// Bad files of the plain questions: what is wrong is named with its line, and only a file that says nothing is refused.
#[test]
fn faults_of_measurements_are_named_with_their_lines() {
    let folder = tempfile::tempdir().unwrap();
    let look = |kind: &str, text: &str, keys: &[&str]| {
        std::fs::write(folder.path().join("f.csv"), text).unwrap();
        let mut arguments = vec!["measurements", kind, "f.csv"];
        arguments.extend(keys.iter().flat_map(|key| ["--set", key]));
        let found = run(folder.path(), &arguments);
        // Wrapped as for a terminal.
        let told = stdout(&found).split_whitespace().collect::<Vec<_>>().join(" ");
        (found.status.code(), told)
    };
    let supply = ["min_voltage=21.6 V", "max_voltage=26.4 V"];
    let good = "time,voltage\n0,24\n1,24.1\n2,NaN\n3,23.9\n3,23.8\n1,24\n4,24\n99,24\n5,24\n6,24\n";
    let (code, told) = look("supply-log", good, &supply);
    assert_eq!(code, Some(0), "{told}");
    for said in [
        "line 4: no number under `voltage`",
        "line 6: the same time as in the row before",
        "line 7: the time runs backwards in this row alone",
        "line 9: a gap of 95 s",
        "line 10: the clock starts anew here",
    ] {
        assert!(told.contains(said), "no `{said}` in {told}");
    }
    let (code, told) = look(
        "motor-and-driver-temperatures",
        "time,case (°C)\n0,23\n1,24\n2,25\n",
        &["air=23 °C"],
    );
    assert!(
        code == Some(2) && told.contains("refused: 3 readings are too few"),
        "{told}"
    );
    let (code, told) = look(
        "stall-threshold-test",
        "threshold,outcome,axis\n1,clean,Y\n",
        &["axis=X"],
    );
    assert!(code == Some(2) && told.contains("nothing about axis X"), "{told}");
    let (code, told) = look("filament-test", "yes,yes\nno,no\n", &[]);
    assert!(code == Some(2) && told.contains("The file has no head"), "{told}");
    let (code, told) = look("LED-test", "", &[]);
    assert!(code == Some(2) && told.contains("no row of values"), "{told}");
    let (code, told) = look(
        "repeatability",
        "position (mm)\n1.001\n1.002\n1e203\n1.003\n1.002\n1.001\n",
        &[],
    );
    assert!(
        code != Some(2) && told.contains("line 4: the number under `position` is beyond ± 1000 m"),
        "{told}"
    );
}

/// Runs the program with the user's own folder somewhere.
fn run_with_own(folder: &Path, own: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_boardswap"))
        .args(arguments)
        .current_dir(folder)
        .env("COLUMNS", "100")
        .env("BOARDSWAP_CONFIG", own)
        .output()
        .unwrap()
}

/// A word that nobody explained is listed with a row; pasted into the words of the swap, or of the user's own folder, it is remembered.
#[test]
fn a_captured_word_is_explained_once_and_remembered() {
    let folder = copy(&[]);
    let brief = stdout(&run(folder.path(), &["settings", "--board", "Alder A4"]));
    assert!(brief.contains("saved lines are not used"), "{brief}");
    let before = stdout(&run(folder.path(), &["settings", "--all", "--board", "Alder A4"]));
    assert!(before.contains("Captured, and not understood"), "{before}");
    assert!(before.contains("`Q` may be `pressure-compensation`"), "{before}");
    let row: String = before
        .lines()
        .map(str::trim)
        .skip_while(|line| *line != "[[word]]")
        .take_while(|line| *line == "[[word]]" || line.contains(" = "))
        .map(|line| format!("{line}\n"))
        .collect();
    assert!(row.contains("setting = \"pressure-compensation\""), "{row}");
    let own = tempfile::tempdir().unwrap();
    std::fs::create_dir(own.path().join("words")).unwrap();
    std::fs::write(own.path().join("words/tarn.toml"), &row).unwrap();
    let after = stdout(&run_with_own(
        folder.path(),
        own.path(),
        &["settings", "--all", "--board", "Alder A4"],
    ));
    assert!(
        !after.contains("Captured, and not understood") && after.contains("extrusion pressure compensation"),
        "{after}"
    );
    // Wrong rows there are faults like all others.
    std::fs::write(
        own.path().join("words/tarn.toml"),
        row.replace("pressure", "presure"),
    )
    .unwrap();
    let wrong = run_with_own(folder.path(), own.path(), &["settings"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(
        stderr(&wrong).contains("did you mean `pressure-compensation`"),
        "{}",
        stderr(&wrong)
    );
}

/// What is told, what is not, and why is said in every output.
#[test]
fn what_no_report_showed_stands_in_the_build_sheet() {
    let folder = copy(&[]);
    let of = |arguments: &[&str]| stdout(&run(folder.path(), arguments));
    let told = of(&["settings", "--all", "--board", "Alder A4"]);
    assert!(
        told.contains("M92 X") && !told.contains("stand in the build sheet until"),
        "{told}"
    );
    let brief = of(&["settings", "--board", "Cedar C3"]);
    assert!(
        brief.contains("Not told yet (") && brief.contains("the words of Cedar C3 are not known"),
        "{brief}"
    );
    let untold = of(&["settings", "--all", "--board", "Cedar C3"]);
    let flat: String = untold.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("settings stand in the build sheet until a report of Cedar C3 has shown their words"),
        "{untold}"
    );
    assert!(of(&["settings", "--board", "Cedar C3", "--gcode"]).contains("Nothing is told here"));
    let sheet = of(&["settings", "--board", "Cedar C3", "--build-sheet"]);
    assert!(
        sheet.contains("A running controller could be told these, and is not"),
        "{sheet}"
    );
}

/// One area, one setting or all of one part can be asked for.
#[test]
fn settings_can_be_asked_for_by_name() {
    let shown = |name: &str| run(&demo(), &["settings", name]);
    let sensors = stdout(&shown("sensors"));
    assert!(
        sensors.contains("B value of the sensor") && !sensors.contains("motor current"),
        "{sensors}"
    );
    assert!(stdout(&shown("LS")).contains("number of LEDs"));
    assert!(stdout(&shown("motor-current")).contains("motor current (rms)"));
    let none = shown("nonsense");
    assert_eq!(none.status.code(), Some(2));
    assert!(stderr(&none).contains("sensors"), "{}", stderr(&none));
    // JSON keeps to the name as well.
    let as_json = stdout(&run(&demo(), &["settings", "motor-current", "--json"]));
    let as_json: serde_json::Value = serde_json::from_str(&as_json).unwrap();
    let told = as_json["settings"].as_array().unwrap();
    assert!(!told.is_empty());
    let ids = told.iter().map(|setting| setting["id"].as_str().unwrap());
    assert!(
        ids.into_iter().all(|id| id.starts_with("motor-current")),
        "{told:?}"
    );
    let none = run(&demo(), &["settings", "nonsense", "--json"]);
    assert_eq!(none.status.code(), Some(2));
}

/// `-` is standard input, which is read as the file would be.
#[test]
fn a_measurement_is_read_from_standard_input() {
    let file = demo().join("evidence/probe.csv");
    let read = |name: &str| {
        Command::new(env!("CARGO_BIN_EXE_boardswap"))
            .args(["measurements", "repeatability", name, "--json"])
            .stdin(std::fs::File::open(&file).unwrap())
            .output()
            .unwrap()
    };
    let (named, piped) = (read(file.to_str().unwrap()), read("-"));
    assert_eq!(piped.status.code(), named.status.code(), "{}", stderr(&piped));
    let reports = |output: &Output| -> serde_json::Value {
        let json: serde_json::Value = serde_json::from_str(&stdout(output)).unwrap();
        json["measurements"][0]["reports"].clone()
    };
    assert!(reports(&named).is_array(), "{}", stdout(&named));
    assert_eq!(reports(&piped), reports(&named));
}

/// A words file that no controller speaks is not passed over in silence.
#[test]
fn words_that_no_controller_speaks_are_told() {
    let folder = copy(&[]);
    std::fs::write(folder.path().join("words/bog.toml"), "").unwrap();
    let text = stdout(&run(folder.path(), &["settings"]));
    assert!(
        text.contains("`words/bog.toml` is spoken by no controller"),
        "{text}"
    );
}

/// A pipe that somebody writes into is read; one that nobody does is refused, and nothing hangs.
#[cfg(unix)]
#[test]
fn a_pipe_without_a_writer_does_not_hang() {
    let folder = tempfile::tempdir().unwrap();
    let made = Command::new("mkfifo").arg(folder.path().join("log.csv")).status();
    assert!(made.unwrap().success());
    let alone = run(folder.path(), &["evidence", "temperature-log", "log.csv"]);
    assert_eq!(alone.status.code(), Some(2), "{}", stderr(&alone));
    assert!(stderr(&alone).contains("nobody writes"), "{}", stderr(&alone));
    let text = std::fs::read(demo().join("evidence/hot-end-alder.csv")).unwrap();
    let path = folder.path().join("log.csv");
    let writer = std::thread::spawn(move || std::fs::write(path, text));
    let found = run(folder.path(), &["evidence", "temperature-log", "log.csv"]);
    assert!(
        stdout(&found).contains("99 % of the readings"),
        "{}{}",
        stdout(&found),
        stderr(&found)
    );
    writer.join().unwrap().unwrap();
}

/// What a folder holds, byte for byte.
fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let read = |name: String| {
        let bytes = std::fs::read(folder.join(&name)).unwrap();
        (name, bytes)
    };
    files(folder).into_iter().map(read).collect()
}

#[test]
fn a_new_swap_overwrites_no_file_of_the_user() {
    for own in [
        "machine.toml",
        "boards/candidate.toml",
        "schemas/board.schema.json",
        "boards",
    ] {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(own);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, "mine").unwrap();
        let before = contents(folder.path());
        let output = run(folder.path(), &["new", "."]);
        assert_eq!(output.status.code(), Some(2), "{own}");
        assert!(stderr(&output).contains(own), "{}", stderr(&output));
        assert_eq!(contents(folder.path()), before, "{own}");
    }
    // Files that are in nobody's way stay, and the folder is laid out.
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("photo.jpg"), "mine").unwrap();
    let output = run(folder.path(), &["new", ".", "--json"]);
    assert!(output.status.success(), "{}", stderr(&output));
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(
        told["files"]
            .as_array()
            .unwrap()
            .iter()
            .any(|name| name == "machine.toml")
    );
    assert_eq!(std::fs::read(folder.path().join("photo.jpg")).unwrap(), b"mine");
}

#[test]
fn the_demo_strews_nothing_among_files_of_the_user() {
    for own in ["notes.txt", "swap.toml", "machine.toml", "out/dossier.html"] {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(own);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, "mine").unwrap();
        let before = contents(folder.path());
        let output = run(folder.path(), &["demo", "."]);
        assert_eq!(output.status.code(), Some(2), "{own}");
        let first = own.split('/').next().unwrap();
        assert!(stderr(&output).contains(first), "{}", stderr(&output));
        assert_eq!(contents(folder.path()), before, "{own}");
    }
}

/// Faults have one shape in JSON, whatever went wrong.
#[test]
fn faults_are_json_where_json_is_asked_for() {
    let folder = copy(&[("machine.toml", "teeth = 20", "teeth = 2")]);
    let empty = tempfile::tempdir().unwrap();
    for (folder, arguments, code, exit) in [
        (folder.path(), &["check", "--json"][..], "implausible-value", 2),
        (empty.path(), &["check", "--json"], "usage", 2),
        (empty.path(), &["chek", "--json"], "usage", 2),
        (empty.path(), &["schema", "wiring", "--json"], "usage", 2),
    ] {
        let output = run(folder, arguments);
        assert_eq!(output.status.code(), Some(exit), "{arguments:?}");
        let told: serde_json::Value = serde_json::from_slice(&output.stdout)
            .unwrap_or_else(|error| panic!("{arguments:?}: {error}: {}", stdout(&output)));
        assert_eq!(told["errors"][0]["code"], code, "{arguments:?}");
        assert!(!told["errors"][0]["message"].as_str().unwrap().is_empty());
    }
    let output = run(folder.path(), &["check", "--json"]);
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let place = &told["errors"][0]["places"][0];
    assert_eq!(place["file"], "machine.toml");
    assert!(place["line"].as_u64().unwrap() > 1 && place["column"].as_u64().unwrap() > 1);
}

#[test]
fn every_other_command_speaks_json_too() {
    for arguments in [&["completions", "bash"][..], &["man"], &["schema", "board"]] {
        let output = run(&demo(), &[arguments, &["--json"]].concat());
        assert!(output.status.success(), "{arguments:?}");
        serde_json::from_slice::<serde_json::Value>(&output.stdout)
            .unwrap_or_else(|error| panic!("{arguments:?}: {error}"));
    }
}

#[test]
fn a_swap_without_measurements_says_so() {
    let second = demo().join("../second");
    let folder = tempfile::tempdir().unwrap();
    copy_into(&second, folder.path());
    let output = run(folder.path(), &["measurements"]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    assert!(
        stdout(&output).contains("names no measurement yet"),
        "{}",
        stdout(&output)
    );
    let json: serde_json::Value =
        serde_json::from_slice(&run(folder.path(), &["measurements", "--json"]).stdout).unwrap();
    assert_eq!(json, serde_json::json!({ "format": 1, "measurements": [] }));
}

#[test]
fn a_file_of_the_catalogue_with_a_wrong_name_is_told() {
    let folder = copy(&[]);
    std::fs::create_dir(folder.path().join("catalogue")).unwrap();
    std::fs::write(folder.path().join("catalogue/thermometer.toml"), "").unwrap();
    let output = run(folder.path(), &["check"]);
    assert_eq!(output.status.code(), Some(2));
    let text = stderr(&output);
    assert!(
        text.contains("catalogue/thermometer.toml") && text.contains("did you mean `thermometers.toml`?"),
        "{text}"
    );
}

#[test]
fn the_manual_has_the_options_of_each_command() {
    let page = stdout(&run(&demo(), &["man"]));
    // The manual page writes hyphens in its own way.
    for option in ["alternatives", "gcode", "pictures", r"compare\-with"] {
        assert!(page.contains(option), "{option}");
    }
    let bash = stdout(&run(&demo(), &["completions", "bash"]));
    for word in ["temperature-log", "machine", "compgen -f"] {
        assert!(bash.contains(word), "{word}");
    }
}

/// Copies an example into a folder of its own.
fn example(name: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy_into(&demo().join("..").join(name), folder.path());
    folder
}

fn run_wide(folder: &Path, columns: &str, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_boardswap"))
        .args(arguments)
        .current_dir(folder)
        .env("COLUMNS", columns)
        .env("BOARDSWAP_CONFIG", folder.join("nobody"))
        .output()
        .unwrap()
}

/// First screens: what decides fits on them, at 80 columns, on every example.
#[test]
fn first_screens_are_short() {
    for name in ["demo", "second", "third"] {
        let folder = example(name);
        // Seventeen reports of fifteen files: a line each, and in full what fails.
        for (arguments, most) in [
            (&[][..], 25),
            (&["check"], 25),
            (&["compare"], 25),
            (&["settings"], 25),
            (&["measurements"], 32),
        ] {
            let output = run_wide(folder.path(), "80", arguments);
            let text = stdout(&output);
            assert!(
                output.status.code().is_some_and(|code| code < 2),
                "{}",
                stderr(&output)
            );
            let lines = text.lines().count();
            assert!(lines <= most, "{name} {arguments:?}: {lines} lines\n{text}");
            let long = text.lines().find(|line| line.chars().count() > 80);
            assert_eq!(long, None, "{name} {arguments:?}");
        }
    }
}

/// A narrow window or a large type: no line runs out of the terminal.
#[test]
fn narrow_terminals_break_no_line() {
    for name in ["demo", "second", "third"] {
        let folder = example(name);
        for command in [
            "",
            "check",
            "compare",
            "wiring",
            "settings",
            "measurements",
            "ask",
        ] {
            let arguments: Vec<&str> = command.split_whitespace().collect();
            for columns in [40, 50, 60, 70] {
                let text = stdout(&run_wide(folder.path(), &columns.to_string(), &arguments));
                let long = text.lines().find(|line| line.chars().count() > columns);
                assert_eq!(long, None, "{name} {command} at {columns}");
            }
        }
    }
}

/// A file with very many faults shows fifty and counts the rest, as text and as JSON.
#[test]
fn faults_beyond_fifty_of_a_file_are_counted() {
    let folder = example("demo");
    let path = folder.path().join("machine.toml");
    let mut text = std::fs::read_to_string(&path).unwrap();
    for at in 0..300 {
        text.push_str(&format!("\n[[device]]\ntag = \"Q{at}\"\nbogus = {at}\n"));
    }
    std::fs::write(&path, text).unwrap();
    let output = run(folder.path(), &["check"]);
    assert_eq!(output.status.code(), Some(2));
    let said = stderr(&output);
    assert_eq!(said.matches("error[").count(), 50, "{}", said.len());
    let count: usize = said
        .lines()
        .find_map(|line| line.strip_suffix(" more in `machine.toml`"))
        .and_then(|count| count.parse().ok())
        .unwrap();
    assert!(count >= 250, "{count}");
    let json: serde_json::Value =
        serde_json::from_slice(&run(folder.path(), &["check", "--json"]).stdout).unwrap();
    assert_eq!(json["errors"].as_array().unwrap().len(), 50);
    assert_eq!(json["not_listed"]["machine.toml"], count);
}

/// A guide on each pair of boards: its length, its pictures, and that nothing is published while a bracket is open.
#[test]
fn a_guide_is_published_once_its_author_has_filled_it() {
    let folder = example("demo");
    let boards = ["Alder A4", "Birch B6", "Cedar C3", "Dogwood D1"];
    let mut told = Vec::new();
    for (at, one) in boards.iter().enumerate() {
        for other in &boards[at + 1..] {
            let pair = format!("{one},{other}");
            let out = format!("guide-{}", told.len());
            let output = run(
                folder.path(),
                &["guide", "--boards", &pair, "--out", &out, "--json"],
            );
            assert!(output.status.success(), "{pair}: {}", stderr(&output));
            let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
            let words = json["words"].as_u64().unwrap();
            assert!((1_000..=1_400).contains(&words), "{pair}: {words} words");
            told.push(out);
        }
    }
    let path = folder.path().join(&told[0]).join("guide.md");
    let text = std::fs::read_to_string(&path).unwrap();
    let shown = text.lines().filter(|line| line.starts_with("![")).count();
    assert!(shown >= 4, "{text}");
    let publish = |path: &Path| run(folder.path(), &["guide", "--publish", path.to_str().unwrap()]);
    let open = publish(&path);
    assert_eq!(open.status.code(), Some(1));
    assert!(stdout(&open).contains("[your verdict"), "{}", stdout(&open));
    let filled = text.replace("\\[your", "My");
    std::fs::write(&path, &filled).unwrap();
    let ready = publish(&path);
    assert!(ready.status.success(), "{}", stdout(&ready));
    // What the author wrote is not written over.
    let again = run(
        folder.path(),
        &["guide", "--boards", "Alder A4,Birch B6", "--out", &told[0]],
    );
    assert_eq!(again.status.code(), Some(2), "{}", stderr(&again));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), filled);
}

#[test]
fn without_a_command_it_tells_where_the_swap_stands_and_what_comes_next() {
    let folder = example("demo");
    let text = stdout(&run(folder.path(), &[]));
    for said in [
        "recommended; nobody has chosen",
        "Cedar C3",
        "to decide",
        "handled by the plan",
        "not written yet",
        "1. boardswap compare",
    ] {
        assert!(text.contains(said), "{said}: {text}");
    }
    let path = folder.path().join("swap.toml");
    let swap = std::fs::read_to_string(&path).unwrap();
    let chosen = swap.replace("# chosen_board = \"Alder A4\"", "chosen_board = \"Birch B6\"");
    std::fs::write(&path, chosen).unwrap();
    assert!(run(folder.path(), &["report"]).status.success());
    let text = stdout(&run(folder.path(), &[]));
    assert!(
        text.contains("Birch B6, chosen") && text.contains("boardswap bring-up"),
        "{text}"
    );
    assert!(
        !text.contains("boardswap compare") && !text.contains("not written"),
        "{text}"
    );
    let json: serde_json::Value = serde_json::from_slice(&run(folder.path(), &["--json"]).stdout).unwrap();
    assert_eq!(json["format"], 1);
    assert_eq!(json["board"], "Birch B6");
    assert!(json["report"] == "current" || json["report"] == "outdated");
    // A file that is touched later makes the report old.
    let late = std::time::SystemTime::now() + std::time::Duration::from_secs(60);
    std::fs::File::options()
        .write(true)
        .open(&path)
        .unwrap()
        .set_modified(late)
        .unwrap();
    assert!(stdout(&run(folder.path(), &[])).contains("older than the files"));
}

/// A folder with faults says how many in which file; one without a swap how to begin.
#[test]
fn without_a_command_faults_are_counted_and_the_beginning_is_shown() {
    let folder = copy(&[
        ("machine.toml", "teeth = 20", "teeth = 2"),
        ("swap.toml", "weight = 300", "weight = -300"),
    ]);
    let output = run(folder.path(), &[]);
    let text = stdout(&output);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        text.contains("machine.toml") && text.contains("1 error"),
        "{text}"
    );
    assert!(
        text.contains("boardswap check") && text.lines().count() <= 25,
        "{text}"
    );
    let told: serde_json::Value = serde_json::from_slice(&run(folder.path(), &["--json"]).stdout).unwrap();
    assert_eq!(
        (&told["format"], told["errors"].as_array().map(Vec::len)),
        (&1.into(), Some(2))
    );
    let empty = tempfile::tempdir().unwrap();
    let output = run(empty.path(), &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("boardswap new") && stderr(&output).contains("boardswap demo"));
    // Each candidate has blockers: none is named as the one to take.
    let blocked = copy(&[("machine.toml", "voltage = \"24 V", "voltage = \"48 V")]);
    let text = stdout(&run(blocked.path(), &[]));
    assert!(
        text.contains("none: each candidate has blockers") && text.contains("Not usable"),
        "{text}"
    );
}

/// What is accepted is no longer in front, stays in the proof, and a lapse says so.
#[test]
fn an_accepted_finding_is_counted_and_a_lapse_is_told() {
    // The last wish of the demonstration.
    const LAST: &str = "devices = [\"MX\", \"MY\"]\nweight = 20";
    let entry = |value: &str| {
        format!(
            "{LAST}\n\n[[accepted]]\nfinding = \"enclosure-air:without-fan\"\nvalue = \"{value}\"\nreason = \"watched\"\nby = \"A. Example\""
        )
    };
    let held = entry("500 °C");
    let folder = copy(&[("swap.toml", LAST, &held)]);
    let board = ["--board", "Birch B6"];
    let text = stdout(&run(folder.path(), &[&["check"][..], &board].concat()));
    assert!(
        text.contains("1 accepted") && !text.contains("`enclosure-air:without-fan`"),
        "{text}"
    );
    let all = stdout(&run(folder.path(), &[&["check", "--all"][..], &board].concat()));
    assert!(all.contains("by A. Example: Watched"), "{all}");
    let lapsed = entry("30 °C");
    let folder = copy(&[("swap.toml", LAST, &lapsed)]);
    let text = stdout(&run(folder.path(), &[&["check"][..], &board].concat()));
    assert!(text.contains("Not accepted: lapsed"), "{text}");
    let wrong = entry("hot");
    let folder = copy(&[("swap.toml", LAST, &wrong)]);
    let output = run(folder.path(), &["check"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("`hot` is no number with its unit"),
        "{}",
        stderr(&output)
    );
}

/// Every key of an answer is described in the schema, and every key that the schema needs is there.
fn described(value: &serde_json::Value, schema: &serde_json::Value, root: &serde_json::Value, at: &str) {
    let schema = match schema["$ref"].as_str() {
        Some(path) => root.pointer(path.trim_start_matches('#')).unwrap(),
        None => schema,
    };
    match value {
        serde_json::Value::Object(map) => {
            for needed in schema["required"].as_array().into_iter().flatten() {
                assert!(map.contains_key(needed.as_str().unwrap()), "{at}: no {needed}");
            }
            let Some(properties) = schema["properties"].as_object() else {
                return;
            };
            for (key, own) in map {
                let schema = properties
                    .get(key)
                    .unwrap_or_else(|| panic!("{at}.{key} is not described"));
                described(own, schema, root, &format!("{at}.{key}"));
            }
        }
        serde_json::Value::Array(list) => {
            for own in list.iter().filter(|_| schema["items"].is_object()) {
                described(own, &schema["items"], root, at);
            }
        }
        other => {
            if let Some(words) = schema["enum"].as_array() {
                assert!(words.contains(other), "{at}: {other}");
            }
        }
    }
}

#[test]
fn json_is_as_its_schema_says() {
    let folder = example("demo");
    let root: serde_json::Value =
        serde_json::from_slice(&run(folder.path(), &["schema", "output"]).stdout).unwrap();
    let broken = copy(&[("machine.toml", "teeth = 20", "teeth = 2")]);
    for (arguments, name) in [
        (&["--json"][..], "status"),
        (&["check", "--json", "--board", "Cedar C3"], "check"),
        (&["compare", "--json"], "compare"),
    ] {
        let mut value: serde_json::Value =
            serde_json::from_slice(&run(folder.path(), arguments).stdout).unwrap();
        let format = value.as_object_mut().unwrap().remove("format");
        assert_eq!(format, Some(1.into()), "{arguments:?}");
        described(&value, &root["$defs"][name], &root, name);
    }
    let mut value: serde_json::Value =
        serde_json::from_slice(&run(broken.path(), &["check", "--json"]).stdout).unwrap();
    assert_eq!(value.as_object_mut().unwrap().remove("format"), Some(1.into()));
    described(&value, &root["$defs"]["faults"], &root, "faults");
}

/// A digit lost on the way through a terminal is told to nobody.
#[test]
fn a_contradiction_in_the_report_reaches_check_and_the_program() {
    let file = "captured/old-controller.gcode";
    let folder = copy(&[
        (file, "V1 H234.0", "V1 H2340"),
        (file, "M203 X180.0", "M203 X-180.0"),
    ]);
    let output = run(folder.path(), &["check", "--board", "Alder A4"]);
    assert_eq!(output.status.code(), Some(1));
    let text = stdout(&output);
    for id in [
        "old-settings:warm-up-hot-end-preset-1",
        "old-settings:top-speed-X",
    ] {
        assert!(text.contains(id), "{id}: {text}");
    }
    let program = stdout(&run(
        folder.path(),
        &["settings", "--gcode", "--board", "Alder A4"],
    ));
    let lines = program.lines().filter(|line| !line.starts_with(';'));
    assert!(
        lines
            .clone()
            .all(|line| !line.contains("2340") && !line.contains("-180")),
        "{program}"
    );
    assert!(program.contains("NOT TOLD"), "{program}");
    let opened = run(folder.path(), &["why", "old-settings", "--board", "Alder A4"]);
    assert!(opened.status.success(), "{}", stderr(&opened));
}

/// What waits for somebody else says so, and goes on as soon as that comes.
#[test]
#[cfg(unix)]
fn a_silent_pipe_is_named_while_it_is_waited_for() {
    use std::io::{BufRead as _, Write};
    let folder = tempfile::tempdir().unwrap();
    let rows = "time,A\n0,20\n1,21\n2,22\n";
    let pipe = folder.path().join("log");
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    for named in [true, false] {
        // Open for both, so that neither end waits for the other.
        let both = std::fs::OpenOptions::new()
            .read(true)
            .write(true)
            .open(&pipe)
            .unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_boardswap"))
            .args(["measurements", "temperature-log"])
            .arg(if named { pipe.as_os_str() } else { "-".as_ref() })
            .stdin(std::process::Stdio::piped())
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        let mut writer: Box<dyn Write> = if named {
            Box::new(both)
        } else {
            Box::new(child.stdin.take().unwrap())
        };
        let mut lines = std::io::BufReader::new(child.stderr.take().unwrap()).lines();
        let said = lines.next().unwrap().unwrap();
        let what = if named {
            format!("the pipe `{}`", pipe.display())
        } else {
            "standard input".to_owned()
        };
        assert_eq!(
            said,
            format!("waiting for {what}: nothing came yet (Ctrl-C stops)")
        );
        writer.write_all(rows.as_bytes()).unwrap();
        drop(writer);
        let rest: Vec<String> = lines.map(Result::unwrap).collect();
        // Three rows are too few for a verdict: whatever it says, it came to an end by itself.
        assert!(child.wait().unwrap().code().is_some(), "{rest:?}");
    }
}

/// A folder that somebody passed on shows nothing that lies elsewhere on this machine; a link inside it is as good as a file.
#[cfg(unix)]
#[test]
fn links_that_leave_the_folder_are_refused() {
    use std::os::unix::fs::symlink;
    let (inside, outside) = (copy(&[]), tempfile::tempdir().unwrap());
    let swap = inside.path();
    let board = swap.join("boards/hazel-h4.toml");
    std::fs::rename(&board, swap.join("boards/kept.toml")).unwrap();
    symlink("kept.toml", &board).unwrap();
    assert_eq!(run(swap, &["compare"]).status.code(), Some(0));
    std::fs::rename(swap.join("boards/kept.toml"), outside.path().join("kept.toml")).unwrap();
    std::fs::remove_file(&board).unwrap();
    symlink(outside.path().join("kept.toml"), &board).unwrap();
    let refused = run(swap, &["compare"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        stderr(&refused).contains("a link leads out of the swap folder"),
        "{}",
        stderr(&refused)
    );
    std::fs::remove_file(&board).unwrap();
    std::fs::copy(outside.path().join("kept.toml"), &board).unwrap();
    // A whole folder is no other case.
    std::fs::rename(swap.join("evidence"), outside.path().join("evidence")).unwrap();
    symlink(outside.path().join("evidence"), swap.join("evidence")).unwrap();
    let refused = run(swap, &["measurements"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        stderr(&refused).contains("a link leads out of the swap folder"),
        "{}",
        stderr(&refused)
    );
}
