//! A board file of what a maker publishes, as a person makes it from the command line.

mod support;

use support::{root, run, stderr, stdout};

const PINS: &str = "Port,Pin,Function,Processor pin,Max current,What\nVIN,1,+,,20 A,Supply\n,2,-,,,\nHE,1,+,,6 A,hot end heater\n,2,-,B7,,\nHB,1,+,,12 A,bed heater\n,2,-,C2,,\nTA,1,signal,C3,,thermistor\n,2,gnd,,,\nTB,1,signal,C4,,thermistor\n,2,gnd,,,\nP1,1,A1,,,stepper motor\n,2,A2,,,\n,3,B1,,,\n,4,B2,,,\nK1,1,+,,1 A,fan\n,2,-,D5,,\nS1,1,signal,E1,,endstop\n,2,gnd,,,\n";

#[test]
fn drawings_and_a_table_make_a_board_file_that_loads() {
    let folder = tempfile::tempdir().unwrap();
    let files = root().join("crates/import/tests/files");
    for name in ["tiny-profile.gbr", "tiny-decimal.drl"] {
        std::fs::copy(files.join(name), folder.path().join(name)).unwrap();
    }
    std::fs::write(folder.path().join("pins.csv"), PINS).unwrap();
    let output = run(
        folder.path(),
        &["import", "tiny-profile.gbr", "tiny-decimal.drl", "pins.csv"],
    );
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let board = stdout(&output);
    for line in [
        "size = [\"40 mm\", \"20 mm\"]",
        "holes = [[\"36.5 mm\", \"16.5 mm\"]]",
        "[[port]]  # lines 4 to 5 of pins.csv",
        "role = \"heater output\"  # concluded from `heater`, to be confirmed",
        "# missing: the height of the tallest part, and the ports",
    ] {
        assert!(board.contains(line), "{line}\n{board}");
    }
    let swap = |board: &str| {
        std::fs::create_dir_all(folder.path().join("boards")).unwrap();
        std::fs::write(folder.path().join("boards/new.toml"), board).unwrap();
        std::fs::write(
            folder.path().join("swap.toml"),
            "old_board = \"?\"\ncandidates = [\"boards/new.toml\"]\n",
        )
        .unwrap();
        let machine = "device = [\n    { tag = \"PS\", kind = \"supply\", voltage = 24, power = 350 },\n    { tag = \"H1\", kind = \"heater\", zone = \"hot end\", voltage = 24, power = 40 },\n    { tag = \"T1\", kind = \"thermometer\", zone = \"hot end\" },\n]\n";
        std::fs::write(folder.path().join("machine.toml"), machine).unwrap();
    };
    swap(&board.replace("name = \"?\"", "name = \"Teal T1\""));
    let wiring = run(folder.path(), &["wiring", "--board", "Teal T1"]);
    assert_eq!(wiring.status.code(), Some(0), "{}", stderr(&wiring));
    assert!(
        stdout(&wiring).contains("HE") || stdout(&wiring).contains("HB"),
        "{}",
        stdout(&wiring)
    );
    // A port of which no word says what it is for does not load in silence.
    let unknown = PINS.replace(",thermistor", ",gizmo");
    std::fs::write(folder.path().join("pins.csv"), unknown).unwrap();
    let board = stdout(&run(folder.path(), &["import", "pins.csv"]));
    assert!(board.contains("# missing: role"), "{board}");
    swap(&board);
    let refused = run(folder.path(), &["check"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        stderr(&refused).contains("`role` is missing"),
        "{}",
        stderr(&refused)
    );
}

#[test]
fn what_is_no_drawing_says_what_would_help() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("page.txt"), "hello\n").unwrap();
    std::fs::write(folder.path().join("old.drl"), "M48\nT1C0.1\n%\nT1\nX1Y1\nM30\n").unwrap();
    for (file, words) in [
        ("page.txt", "this is no table"),
        ("old.drl", "--unit mm"),
        ("none.dxf", "none.dxf"),
    ] {
        let output = run(folder.path(), &["import", file]);
        assert_eq!(output.status.code(), Some(2), "{file}");
        assert!(stderr(&output).contains(words), "{}", stderr(&output));
        let json = run(folder.path(), &["import", "--json", file]);
        assert_eq!(json.status.code(), Some(2));
    }
}
