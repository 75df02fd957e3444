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
