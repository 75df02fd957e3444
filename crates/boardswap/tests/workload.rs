//! `boardswap workload` as a user meets it: files, archives, folders, the swap's own; pictures; what is refused.

use std::io::Write as _;
use std::path::Path;
use std::process::Output;

mod support;

use support::{demo, stderr, stdout};

use workload::invent::{Shape, write};

fn run(swap: &Path, arguments: &[&str]) -> Output {
    support::run(swap, &[&["workload"], arguments].concat())
}

fn compare(swap: &Path, arguments: &[&str]) -> String {
    let output = support::run(swap, &[&["compare"], arguments].concat());
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    stdout(&output)
}

/// A folder with an invented program of each shape.
fn prints() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for shape in Shape::ALL {
        let path = folder.path().join(format!("{}.gcode", shape.name()));
        let mut file = std::fs::File::create(path).unwrap();
        write(shape, 20_000, &mut file).unwrap();
    }
    folder
}

fn text_of(folder: &Path) -> &str {
    folder.to_str().unwrap()
}

#[test]
fn a_folder_is_judged_on_every_board() {
    let prints = prints();
    let output = run(&demo(), &[text_of(prints.path())]);
    let text = stdout(&output);
    assert_eq!(output.status.code(), Some(0), "{text}{}", stderr(&output));
    assert!(text.starts_with("Workload of 5 files: "), "{text}");
    for board in ["Alder A4", "Birch B6", "Cedar C3", "Dogwood D1"] {
        let line = text.lines().find(|line| line.starts_with(board)).unwrap();
        assert!(line.contains("Pass: of 5 files none asks more than "), "{line}");
    }
    assert!(!text.contains('\u{1b}'));
    // The same bytes each time, though two threads are at work.
    assert_eq!(run(&demo(), &[text_of(prints.path())]).stdout, output.stdout);
}

#[test]
fn json_holds_every_figure() {
    let prints = prints();
    let output = run(&demo(), &["--json", text_of(prints.path())]);
    let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(value["boards"].as_array().unwrap().len(), 4);
    assert_eq!(value["files"].as_array().unwrap().len(), 5);
    let total = &value["total"];
    assert_eq!(total["programs"], 5);
    for motor in total["motors"].as_array().unwrap() {
        let seconds = motor["times"]["seconds"].as_array().unwrap();
        assert!(
            seconds.len() > 100 || motor["peak"]["place"].is_null(),
            "{}",
            seconds.len()
        );
    }
    assert!(total["heat"]["heaters"][0]["energy"]["nominal"].as_f64().unwrap() > 0.0);
    assert!(value["findings"].as_array().unwrap().len() > 4);
}

#[test]
fn pictures_are_written_for_desk_and_phone() {
    let (prints, out) = (prints(), tempfile::tempdir().unwrap());
    let pictures = out.path().join("pictures");
    let output = run(
        &demo(),
        &[text_of(prints.path()), "--pictures", text_of(&pictures)],
    );
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    for name in ["boards", "motors", "time-line", "from-above"] {
        for end in ["", "-narrow"] {
            let text = std::fs::read_to_string(pictures.join(format!("workload-{name}{end}.svg"))).unwrap();
            assert!(
                text.starts_with("<svg") && text.ends_with("</svg>"),
                "{name}{end}"
            );
        }
    }
    let boards = std::fs::read_to_string(pictures.join("workload-boards.svg")).unwrap();
    // The limit of each board stands beside its line.
    assert!(
        boards.contains(">Dogwood D1<") && boards.contains("stroke-dasharray"),
        "no limits"
    );
}

#[test]
fn what_the_swap_names_is_read() {
    let folder = tempfile::tempdir().unwrap();
    copy(&demo(), folder.path());
    let prints = folder.path().join("prints");
    std::fs::create_dir(&prints).unwrap();
    std::fs::write(prints.join("a.gcode"), "G28\nG1 X100 F6000\n").unwrap();
    std::fs::write(prints.join("note.txt"), "not read").unwrap();
    let output = run(folder.path(), &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("no G-code is named"),
        "{}",
        stderr(&output)
    );
    let swap = folder.path().join("swap.toml");
    let mut text = std::fs::read_to_string(&swap).unwrap();
    text.push_str("\n[[workload]]\nfile = \"prints\"\n");
    std::fs::write(&swap, &text).unwrap();
    let output = run(folder.path(), &[]);
    let shown = stdout(&output);
    assert_eq!(output.status.code(), Some(0), "{shown}{}", stderr(&output));
    assert!(
        shown.contains("the file asks no more than ") && shown.contains(" at prints/a.gcode:2"),
        "{shown}"
    );
    assert!(shown.contains("1 other file was not read"), "{shown}");
    let compared = compare(folder.path(), &[]);
    for board in ["Alder A4", "Birch B6", "Cedar C3", "Dogwood D1"] {
        let sentence = format!("{board:<10}  Pass: the file asks no more than ");
        assert!(compared.contains(&sentence), "{compared}");
    }
    let value: serde_json::Value = serde_json::from_str(&compare(folder.path(), &["--json"])).unwrap();
    assert_eq!(value["workload"].as_array().unwrap().len(), 4);
    assert_eq!(value["entries"].as_array().unwrap().len(), 4);
    // What cannot be read leaves each board open, and does not stop the comparison.
    std::fs::write(prints.join("empty.gcode"), "").unwrap();
    let compared = compare(folder.path(), &[]);
    assert!(
        compared.contains("Open: the file asks no more than "),
        "{compared}"
    );
    assert!(compared.contains("1 file was not read whole"), "{compared}");
    std::fs::remove_dir_all(&prints).unwrap();
    let compared = compare(folder.path(), &[]);
    assert!(compared.contains("Open: not found: `prints`."), "{compared}");
    std::fs::write(&swap, text.replace("\"prints\"", "\"../elsewhere\"")).unwrap();
    let output = run(folder.path(), &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("outside the swap folder"),
        "{}",
        stderr(&output)
    );
}

/// A swap that names no programs is compared as ever.
#[test]
fn without_programs_the_comparison_says_nothing_of_them() {
    assert!(!compare(&demo(), &[]).contains("G-code"));
    assert!(!compare(&demo(), &["--json"]).contains("workload"));
}

/// Words of one controller are understood where its words file says what they do, and only there; a value whose unit no report decides, and an
/// action in other words, stay open.
#[test]
fn words_of_the_controllers_own_are_used() {
    let folder = tempfile::tempdir().unwrap();
    copy(&demo(), folder.path());
    let program = folder.path().join("own.gcode");
    // M7648 W is the travel acceleration in the words of the demonstration's new controllers, M5467 and M6139 no words of theirs.
    std::fs::write(
        &program,
        "G28\nM7648 W50\nM5467 S2 F1800\nM6139\nG1 X100 F6000\nM30\n",
    )
    .unwrap();
    let of = |board: &str| {
        let output = run(folder.path(), &["--board", board, "--json", text_of(&program)]);
        let value: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        value["total"].clone()
    };
    let unknown = |total: &serde_json::Value| -> Vec<String> {
        let words = total["unknown_words"].as_array().unwrap().iter();
        words
            .map(|word| word["what"].as_str().unwrap().to_owned())
            .collect()
    };
    let speed = |total: &serde_json::Value| total["motors"][0]["speed"]["nominal"].as_f64().unwrap();
    let without = of("Cedar C3");
    assert_eq!(unknown(&without), ["M5467", "M6139"]);
    // 100 mm from rest to rest at 50 mm/s²: √(0.05 · 0.1) m/s in the middle, a little more where it may start at once; 0.1 m/s are asked for.
    assert!((speed(&without) - 0.005_f64.sqrt()).abs() < 2e-4, "{without}");
    let words = folder.path().join("words/moor.toml");
    let mut text = std::fs::read_to_string(&words).unwrap();
    text.push_str(
        "\n[[word]]\nword = \"M5467\"\naction = \"sets how far and how fast filament is drawn back\"\n\n\
         [[word]]\nword = \"M6139\"\naction = \"draws the filament back\"\n",
    );
    std::fs::write(&words, &text).unwrap();
    let with = of("Cedar C3");
    assert_eq!(unknown(&with), [""; 0]);
    assert!(
        (with["lengths"]["filament"]["nominal"].as_f64().unwrap() - 0.002).abs() < 1e-9,
        "{with}"
    );
    // The phrase counts, as the handbook lists it.
    std::fs::write(
        &words,
        text.replace("draws the filament back\"", "pulls it back\""),
    )
    .unwrap();
    let output = run(folder.path(), &["--board", "Cedar C3", text_of(&program)]);
    let flat = stdout(&output).split_whitespace().collect::<Vec<_>>().join(" ");
    for expected in [
        "Open: Commands of unknown action in 1 line not judged.",
        "own.gcode:4. Do: write the `action` in words/NAME.toml as docs/handbook/workload.md lists it.",
    ] {
        assert!(flat.contains(expected), "`{expected}` is not in\n{flat}");
    }
    // Cedar's controller reported nothing: the unit of M203 is not decided. Alder's report decides it.
    std::fs::write(&program, "G28\nM203 X10\nG1 X100 F6000\n").unwrap();
    let open = "Open: Values of unknown unit in 1 line not judged.";
    for (board, is_open) in [("Cedar C3", true), ("Alder A4", false)] {
        let output = run(folder.path(), &["--board", board, text_of(&program)]);
        let flat = stdout(&output).split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(flat.contains(open), is_open, "{board}: {flat}");
    }
}

#[test]
fn words_places_and_limits_that_do_not_hold_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("own.gcode");
    std::fs::write(
        &path,
        "G28\nPRINT_BEGIN A=1\nG1 X-5 Y10 F6000\nG1 X240\nG1 XNaN\nM600\n",
    )
    .unwrap();
    let output = run(&demo(), &[text_of(&path)]);
    let text = stdout(&output);
    assert_eq!(output.status.code(), Some(1), "{text}");
    for expected in [
        "Fail: X needs 245 mm of travel; limit 230 mm.",
        "Open: 2 commands in 2 lines were not seen in the new controller.",
        "PRINT_BEGIN",
        "M600",
        "line skipped: a letter without a number",
        "own.gcode:5",
    ] {
        assert!(text.contains(expected), "`{expected}` is not in\n{text}");
    }
}

#[test]
fn what_cannot_be_read_is_refused_and_the_rest_is_judged() {
    let prints = prints();
    let at = |name: &str| prints.path().join(name);
    std::fs::write(at("garbage.gcode"), [0xff; 5_000]).unwrap();
    std::fs::write(at("empty.gcode"), "").unwrap();
    std::fs::write(at("letter.gcode"), "Dear all,\nhello\n").unwrap();
    std::fs::write(at("wide.gcode"), b"\xff\xfeG\x001\0").unwrap();
    let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    packed
        .write_all(&std::fs::read(at("tower.gcode")).unwrap())
        .unwrap();
    let packed = packed.finish().unwrap();
    std::fs::write(at("whole.gcode.gz"), &packed).unwrap();
    std::fs::write(at("cut.gcode.gz"), &packed[..packed.len() / 2]).unwrap();
    std::fs::write(at("cut.zip"), b"PK\x03\x04 and no more").unwrap();
    let output = run(&demo(), &[text_of(prints.path())]);
    let text = stdout(&output);
    assert_eq!(output.status.code(), Some(2), "{text}");
    assert!(text.starts_with("Workload of 7 files: "), "{text}");
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for (name, why) in [
        ("empty.gcode", "it is empty"),
        ("letter.gcode", "it holds no G-code: no known command in 2 lines"),
        ("wide.gcode", "UTF-16 text. Do: save it as UTF-8"),
        ("cut.zip", "its directory is missing: the archive is truncated"),
        ("cut.gcode.gz", "it ends too early: the archive is truncated"),
    ] {
        assert!(
            flat.contains(&format!("{name}: {why}")),
            "`{name}: {why}` is not in\n{text}"
        );
    }
    assert!(flat.contains("garbage.gcode: it holds no G-code"), "{text}");
}

#[test]
fn files_that_are_not_there_are_all_named() {
    let output = run(&demo(), &["one.gcode", "two.gcode"]);
    assert_eq!(output.status.code(), Some(2));
    let text = stderr(&output);
    assert!(text.contains("one.gcode") && text.contains("two.gcode"), "{text}");
    assert!(output.stdout.is_empty());
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).unwrap();
        }
    }
}
