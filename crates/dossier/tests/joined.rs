//! Settings that a measurement was taken under, held against those that other files of the swap tell.

use dossier::evidence::{Context, Job, Measured, join, measured};
use evidence::{Report, Verdict};
use model::EvidenceKind;

use crate::support::{Folder, example, load};

/// All small measurements and the logs of the swap, side by side, each with the plan of its board.
fn all(folder: &Folder) -> Vec<Measured> {
    let swap = load(folder);
    let plans: Vec<_> = swap
        .candidates
        .iter()
        .map(|board| plan::plan(&swap, board))
        .collect();
    let looked = swap.evidence.iter().map(|entry| {
        let own = entry.keys.board.as_ref();
        let plan = plans
            .iter()
            .find(|plan| own.is_some_and(|own| own.value == plan.board.name.value))
            .unwrap_or(&plans[0]);
        let job = Job {
            keys: &entry.keys,
            context: Some(Context {
                swap: &swap,
                plan,
                entry,
            }),
        };
        measured(&job, &folder[&entry.keys.file.value])
    });
    let mut all: Vec<Measured> = looked.collect();
    join(&mut all);
    all
}

fn edited(file: &str, edits: &[(&str, &str)]) -> Folder {
    edit(example("demo"), file, edits)
}

fn edit(mut folder: Folder, file: &str, edits: &[(&str, &str)]) -> Folder {
    let mut text = String::from_utf8(folder[file].clone()).unwrap();
    for (old, new) in edits {
        assert!(text.contains(old), "{file} has no {old}");
        text = text.replace(old, new);
    }
    folder.insert(file.into(), text.into_bytes());
    folder
}

fn of(all: &[Measured], kind: EvidenceKind) -> &Report {
    let one = all.iter().find(|one| one.kind == kind).unwrap();
    &one.reports()[0]
}

/// Nothing of the kind is opened, and nothing contradicts.
#[track_caller]
fn assert_silent(folder: &Folder, kind: EvidenceKind) {
    let all = all(folder);
    let report = of(&all, kind);
    assert!(!report.sentence.contains("Contradiction"), "{}", report.sentence);
}

#[track_caller]
fn assert_opened(folder: &Folder, kind: EvidenceKind, places: [&str; 2]) {
    let all = all(folder);
    let report = of(&all, kind);
    assert!(report.verdict >= Verdict::Open, "{}", report.sentence);
    assert!(
        report.sentence.starts_with("Contradiction: "),
        "{}",
        report.sentence
    );
    for place in places {
        assert!(report.sentence.contains(place), "{place}: {}", report.sentence);
    }
}

#[test]
fn a_read_back_that_contradicts_a_calibration_is_told_in_both() {
    let folder = example("demo");
    let places = [
        "417.5 step/mm by the settings for Alder A4",
        "405 step/mm by evidence/read-back.txt:9",
    ];
    assert_opened(&folder, EvidenceKind::ExtruderCalibration, places);
    let all = all(&folder);
    // 405 over a feed of 0.9732.
    let report = of(&all, EvidenceKind::ExtruderCalibration);
    assert!(
        report.sentence.contains("the result is 416.1 step/mm"),
        "{}",
        report.sentence
    );
    let back = of(&all, EvidenceKind::SettingsReadBack);
    let told = back
        .advice
        .iter()
        .any(|own| own.sentence.contains("line 9 beside evidence/extruder.csv"));
    assert!(told, "{:?}", back.advice);
    // The axes were measured at what the controller reports.
    let axes = of(&all, EvidenceKind::AxisCalibration);
    assert_eq!(axes.verdict, Verdict::Pass, "{}", axes.sentence);
}

#[test]
fn a_controller_that_was_told_the_result_contradicts_nothing() {
    for steps in ["429", "417.5", "428.6"] {
        let folder = edited("evidence/read-back.txt", &[("E405", &format!("E{steps}"))]);
        assert_silent(&folder, EvidenceKind::ExtruderCalibration);
    }
    let folder = edited("evidence/read-back.txt", &[("E405", "E420")]);
    let place = ["417.5 step/mm", "420 step/mm by evidence/read-back.txt:9"];
    assert_opened(&folder, EvidenceKind::ExtruderCalibration, place);
    // A read-back of another board says nothing of this one.
    let swap = (
        "kind = \"settings read-back\"\nboard = \"Alder A4\"",
        "kind = \"settings read-back\"\nboard = \"Birch B6\"",
    );
    assert_silent(&edited("swap.toml", &[swap]), EvidenceKind::ExtruderCalibration);
}

#[test]
fn steps_beside_the_readings_contradict_those_of_the_entry_and_of_the_mechanics() {
    let kind = EvidenceKind::AxisCalibration;
    let noted = edited(
        "evidence/axes.csv",
        &[("axis,nominal", "# steps: 100 step/mm\naxis,nominal")],
    );
    assert_opened(
        &noted,
        kind,
        ["80 step/mm by swap.toml:", "100 step/mm by evidence/axes.csv:2"],
    );
    let stated = edited(
        "swap.toml",
        &[("steps = \"80 step/mm\"", "steps = \"100 step/mm\"")],
    );
    assert_opened(
        &stated,
        kind,
        [
            "100 step/mm by swap.toml:",
            "80 step/mm by the settings for Alder A4",
        ],
    );
    let same = edited(
        "evidence/axes.csv",
        &[("axis,nominal", "# steps: 80 step/mm\naxis,nominal")],
    );
    assert_silent(&same, kind);
}

#[test]
fn a_sweep_at_another_current_speed_or_supply_than_the_machines_is_open() {
    let kind = EvidenceKind::StallThresholdTest;
    let file = "evidence/stall-x.csv";
    assert_silent(&example("demo"), kind);
    let current = edited(file, &[(",800\n", ",600\n")]);
    assert_opened(
        &current,
        kind,
        ["600 mA by evidence/stall-x.csv:3", "by the settings for Birch B6"],
    );
    // In a remark, where there is no column.
    let text = [
        (",speed (mm/s),current (mA)", ""),
        (",40,800\n", "\n"),
        ("# Invented", "# At 40 mm/s and 0.6 A. Invented"),
    ];
    let remark = edited(file, &text);
    assert_opened(
        &remark,
        kind,
        ["600 mA by evidence/stall-x.csv:1", "by the settings for Birch B6"],
    );
    let supply = edited(file, &[("# Invented", "# supply 12 V. Invented")]);
    assert_opened(
        &supply,
        kind,
        ["12 V by evidence/stall-x.csv:1", "24 V by machine.toml:"],
    );
    // Of two currents one is the machine's.
    let both = edited(
        file,
        &[("75,clean,40,800\n", "75,clean,40,800\n75,clean,40,600\n")],
    );
    assert_silent(&both, kind);
}

#[test]
fn a_motor_that_was_logged_at_another_current_is_open() {
    let kind = EvidenceKind::MotorAndDriverTemperatures;
    let file = "evidence/motor-y.csv";
    let own = edited(file, &[("# Invented", "# current: 0.9 A. Invented")]);
    assert_silent(&own, kind);
    let less = edited(file, &[("# Invented", "# current: 400 mA. Invented")]);
    assert_opened(
        &less,
        kind,
        ["400 mA by evidence/motor-y.csv:1", "by the settings for Alder A4"],
    );
    // The controller runs it at less than it was told.
    let back = edit(own, "evidence/read-back.txt", &[("Y897", "Y450")]);
    assert_opened(
        &back,
        kind,
        [
            "900 mA by evidence/motor-y.csv:1",
            "450 mA by evidence/read-back.txt:17",
        ],
    );
}

#[test]
fn a_flow_that_stood_otherwise_is_open() {
    let kind = EvidenceKind::FlowCalibration;
    assert_silent(&example("demo"), kind);
    let noted = edited("evidence/flow.csv", &[("# Invented", "# flow 90 %. Invented")]);
    let stated = edit(
        noted,
        "swap.toml",
        &[(
            "kind = \"flow calibration\"",
            "kind = \"flow calibration\"\nflow = \"100 %\"",
        )],
    );
    assert_opened(
        &stated,
        kind,
        ["100 % by swap.toml:", "90 % by evidence/flow.csv:1"],
    );
}

#[test]
fn a_log_that_was_read_through_another_sensor_is_open() {
    let kind = EvidenceKind::TemperatureLog;
    let board = (
        "board = \"Hazel H4\"\ndevices = [\"H1\"]",
        "board = \"Alder A4\"\ndevices = [\"H1\"]",
    );
    let folder = edit(example("demo"), "swap.toml", &[board]);
    assert_silent(&folder, kind);
    let folder = edit(
        folder,
        "evidence/read-back.txt",
        &[("U0 B100000 R4188", "U0 B10000 R4188")],
    );
    assert_opened(&folder, kind, ["evidence/read-back.txt:15", "than it was told"]);
}

#[test]
fn a_log_far_below_the_working_temperature_shows_nothing_of_it() {
    let all_of = |high: &str| {
        let high = format!("working_temperature = \"{high}\"");
        let folder = edited("machine.toml", &[("working_temperature = \"100 °C\"", &high)]);
        // The settings of its sensor follow the temperature, and those that were read back do not.
        let folder = edit(
            folder,
            "swap.toml",
            &[(
                "kind = \"settings read-back\"\nboard = \"Alder A4\"",
                "kind = \"settings read-back\"\nboard = \"Birch B6\"",
            )],
        );
        let all = all(&folder);
        let logs = all.iter().filter(|one| one.file.contains("bed-alder"));
        logs.flat_map(Measured::reports).next().unwrap().clone()
    };
    let told = all_of("110 °C");
    assert_eq!(told.verdict, Verdict::Pass, "{}", told.sentence);
    let told = all_of("240 °C");
    assert_eq!(told.verdict, Verdict::Open, "{}", told.sentence);
    assert!(told.sentence.contains("machine.toml:"), "{}", told.sentence);
}

/// The file of this kind is refused in these words; as it stands in the example it is not.
#[track_caller]
fn assert_refused(folder: &Folder, kind: EvidenceKind, words: &str) {
    let refused = |folder: &Folder| {
        let all = all(folder);
        let one = all.iter().find(|one| one.kind == kind).unwrap();
        one.outcome.as_ref().err().map(ToString::to_string)
    };
    assert_eq!(refused(&example("demo")), None);
    let why = refused(folder).unwrap_or_else(|| panic!("{kind} is not refused"));
    assert!(why.contains(words), "{why}");
}

#[test]
fn a_file_of_another_device_axis_or_board_is_refused() {
    for (kind, from, to, words) in [
        (
            EvidenceKind::LedTest,
            "devices = [\"LS\"]",
            "devices = [\"FS\"]",
            "of a LED strip, and FS",
        ),
        (
            EvidenceKind::FilamentTest,
            "devices = [\"FS\"]",
            "devices = [\"LS\"]",
            "of a filament switch",
        ),
        (
            EvidenceKind::ExtruderCalibration,
            "axis = \"E\"",
            "axis = \"X\"",
            "axis X moves no filament",
        ),
    ] {
        assert_refused(&edited("swap.toml", &[(from, to)]), kind, words);
    }
}

#[test]
fn what_has_no_port_on_a_board_was_not_tested_there() {
    let demo = load(&example("demo"));
    let mut seen = 0;
    for board in &demo.candidates {
        let plan = plan::plan(&demo, board);
        let facts = plan.facts();
        for (kind, tag) in [
            (EvidenceKind::LedTest, "LS"),
            (EvidenceKind::FilamentTest, "FS"),
            (EvidenceKind::Repeatability, "BP"),
        ] {
            let named = |board: &str| format!("board = \"{board}\"\ndevices = [\"{tag}\"]");
            let has = facts.pairs().any(|pair| pair.device().tag.value == tag);
            if !has {
                seen += 1;
                let folder = edited("swap.toml", &[(&named("Alder A4"), &named(&board.name.value))]);
                assert_refused(&folder, kind, "has no port on");
            }
        }
    }
    assert!(seen > 0);
}

/// The numbers of a column of a table, each by another one.
fn column(file: &str, at: usize, turn: impl Fn(f64) -> f64) -> Folder {
    let mut folder = example("demo");
    let text = String::from_utf8(folder[file].clone()).unwrap();
    let line = |line: &str| {
        let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
        let number = cells.get(at).and_then(|cell| cell.trim().parse::<f64>().ok());
        if let Some(number) = number {
            cells[at] = format!("{:.4}", turn(number));
        }
        cells.join(",") + "\n"
    };
    let text: String = text.lines().map(line).collect();
    folder.insert(file.into(), text.into_bytes());
    folder
}

#[test]
fn a_slip_of_the_unit_is_named_and_gives_no_advice() {
    let walls = |factor: f64| column("evidence/flow.csv", 1, move |number| number * factor);
    assert_refused(&walls(1e3), EvidenceKind::FlowCalibration, "in µm and read in mm");
    assert_refused(
        &walls(1.0 / 25.4),
        EvidenceKind::FlowCalibration,
        "in inches and read in mm",
    );
    let touches = column("evidence/probe.csv", 2, |number| number * 1e3);
    assert_refused(&touches, EvidenceKind::Repeatability, "In µm it would be 1.3");
    let map = column("evidence/height-map.csv", 3, |number| number * 1e3);
    assert_refused(&map, EvidenceKind::HeightMap, "unit slip");
    for (turn, words) in [
        (fahrenheit as fn(f64) -> f64, "In °F the same number is 23.1 °C"),
        (kelvin, "In K the same number"),
    ] {
        assert_open(&column("evidence/motor-y.csv", 1, turn), words);
    }
}

fn fahrenheit(celsius: f64) -> f64 {
    celsius * 1.8 + 32.0
}

fn kelvin(celsius: f64) -> f64 {
    celsius + 273.15
}

/// The log of a motor shows nothing, in these words, and has one advice.
#[track_caller]
fn assert_open(folder: &Folder, words: &str) {
    let all = all(folder);
    let report = of(&all, EvidenceKind::MotorAndDriverTemperatures);
    assert_eq!(report.verdict, Verdict::Open, "{}", report.sentence);
    assert!(
        report.sentence.contains(words) && report.advice.len() == 1,
        "{report:?}"
    );
}

#[test]
fn a_motor_does_not_begin_colder_than_its_air() {
    let air = |air: &str| edited("swap.toml", &[("air = \"23 °C\"", &format!("air = \"{air}\""))]);
    assert_open(&air("63 °C"), "colder than its air");
    // What a meter strays by is no contradiction.
    assert_silent(&air("24.5 °C"), EvidenceKind::MotorAndDriverTemperatures);
}

#[test]
fn trials_above_the_maximum_speed_are_of_another_axis() {
    // Z is stated up to 10 mm/s, the trials ran at 40 mm/s.
    let named =
        |axis: &str| format!("kind = \"stall-threshold test\"\nboard = \"Birch B6\"\naxis = \"{axis}\"");
    let folder = edited("swap.toml", &[(&named("X"), &named("Z"))]);
    assert_refused(
        &folder,
        EvidenceKind::StallThresholdTest,
        "above the maximum speed",
    );
}
