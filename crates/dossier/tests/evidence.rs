//! Measurements of the demonstration within their swap: limits and screws come from it.

use dossier::evidence::{Context, Job, Measured, measured};
use evidence::Verdict;
use model::{EvidenceKind, Swap};
use plan::Plan;

use crate::support::{Folder, example, load};

#[path = "../examples/invent_reports/truth.rs"]
mod truth;

fn look(swap: &Swap, plan: &Plan<'_>, folder: &Folder, kind: EvidenceKind) -> Measured {
    let entry = swap.evidence.iter().find(|entry| entry.keys.kind.value == kind);
    let entry = entry.unwrap_or_else(|| panic!("the demonstration has no {kind}"));
    let job = Job {
        keys: &entry.keys,
        context: Some(Context { swap, plan, entry }),
    };
    measured(&job, &folder[&entry.keys.file.value])
}

#[test]
fn the_measurements_of_the_bench_are_judged() {
    let folder = example("demo");
    let swap = load(&folder);
    let plan = plan::plan(&swap, &swap.candidates[0]);
    let expected = [
        (EvidenceKind::HeightMap, Verdict::Pass),
        (EvidenceKind::Repeatability, Verdict::Pass),
        (EvidenceKind::StallThresholdTest, Verdict::Pass),
        (EvidenceKind::ExtruderCalibration, Verdict::Fail),
        (EvidenceKind::AxisCalibration, Verdict::Pass),
        (EvidenceKind::ExtrusionPressureTest, Verdict::Result),
        (EvidenceKind::FlowCalibration, Verdict::Fail),
        (EvidenceKind::FilamentTest, Verdict::Pass),
        (EvidenceKind::LedTest, Verdict::Fail),
        (EvidenceKind::SupplyLog, Verdict::Pass),
        (EvidenceKind::MotorAndDriverTemperatures, Verdict::Pass),
        (EvidenceKind::SettingsReadBack, Verdict::Fail),
    ];
    for (kind, verdict) in expected {
        let found = look(&swap, &plan, &folder, kind);
        let reports = found
            .outcome
            .unwrap_or_else(|refused| panic!("{kind}: {refused}"));
        for report in &reports {
            assert_eq!(report.verdict, verdict, "{kind}: {}", report.sentence);
        }
    }
    // The screws of the machine are told by their names.
    let map = look(&swap, &plan, &folder, EvidenceKind::HeightMap)
        .outcome
        .unwrap();
    assert!(
        map[0].advice[0].sentence.contains("`front right`"),
        "{:?}",
        map[0].advice
    );
    // A motor is judged at the room's hottest, 22 °C + 4 K, three above the air of the log.
    let motor = look(&swap, &plan, &folder, EvidenceKind::MotorAndDriverTemperatures)
        .outcome
        .unwrap();
    assert!(
        motor[0].sentence.contains("motor Y") && motor[0].sentence.contains("26 °C"),
        "{}",
        motor[0].sentence
    );
}

/// How sure trials are to show something is the entry's to say, else a limit's.
#[test]
fn the_confidence_of_a_sweep_is_told_by_its_entry() {
    let told = |entry: &str| {
        let mut folder = example("demo");
        let swap = String::from_utf8(folder["swap.toml"].clone()).unwrap();
        let kind = "kind = \"stall-threshold test\"\n";
        assert!(swap.contains(kind));
        let swap = swap.replace(kind, &format!("{kind}{entry}"));
        folder.insert("swap.toml".into(), swap.into_bytes());
        let swap = load(&folder);
        let plan = plan::plan(&swap, &swap.candidates[0]);
        look(&swap, &plan, &folder, EvidenceKind::StallThresholdTest).reports()[0].clone()
    };
    let (usual, surer) = (told(""), told("confidence = \"99.99 %\"\n"));
    assert!(
        usual.sentence.contains("with 95 % confidence"),
        "{}",
        usual.sentence
    );
    assert!(
        surer.sentence.contains("99.99 % confidence"),
        "{}",
        surer.sentence
    );
    assert_eq!((usual.verdict, surer.verdict), (Verdict::Pass, Verdict::Open));
}

/// A sweep on a board whose driver measures no load cannot have been: the entry or the board's file is wrong.
#[test]
fn a_sweep_on_a_driver_that_measures_no_load_is_refused() {
    let of = |board: &str| {
        let mut folder = example("demo");
        let swap = String::from_utf8(folder["swap.toml"].clone()).unwrap();
        let own = "kind = \"stall-threshold test\"\nboard = \"Birch B6\"";
        assert!(swap.contains(own));
        let swap = swap.replace(own, &format!("kind = \"stall-threshold test\"\n{board}"));
        folder.insert("swap.toml".into(), swap.into_bytes());
        let swap = load(&folder);
        let name = board.split('"').nth(1);
        let shown = swap
            .candidates
            .iter()
            .find(|own| Some(own.name.value.as_str()) == name);
        let plan = plan::plan(&swap, shown.unwrap_or(&swap.candidates[0]));
        look(&swap, &plan, &folder, EvidenceKind::StallThresholdTest).outcome
    };
    assert!(of("board = \"Birch B6\"").is_ok());
    for board in ["board = \"Alder A4\"", "board = \"Hazel H4\"", ""] {
        let refused = of(board).unwrap_err();
        assert!(refused.problem.contains("measures no load"), "{board}: {refused}");
    }
}

/// Three boards: each new one is compared with the old one and with the other new one; a log that cannot be compared says so.
#[test]
fn every_two_boards_are_compared() {
    let log = |name: &str, seed: u32, text: &dyn Fn(f64, f64) -> f64| {
        let rows = (0..1_500_u32).map(|at| {
            let time = f64::from(at);
            let hash = f64::from(
                at.wrapping_mul(2_654_435_761)
                    .wrapping_add(seed.wrapping_mul(40_503))
                    >> 16,
            ) / 65_536.0
                - 0.5;
            format!("{time},{:.2},60\n", text(time, hash))
        });
        let table = "kind = \"temperature log\"\nfile = \"a.csv\"\n".to_owned() + name;
        let keys = model::load_evidence("--key", &table).unwrap();
        let job = Job {
            keys: &keys,
            context: None,
        };
        let text: String = std::iter::once("time (s),temperature (°C),target (°C)\n".to_owned())
            .chain(rows)
            .collect();
        measured(&job, text.as_bytes())
    };
    let held = |_: f64, noise: f64| 60.0 + 0.5 * noise;
    let mut all = vec![
        log("", 1, &held),
        log("", 2, &held),
        log("", 3, &held),
        log("", 4, &|_, _| -40.0),
    ];
    for (one, board) in all.iter_mut().zip(["Hazel", "Alder", "Birch", "Cedar"]) {
        one.board = Some(board.to_owned());
    }
    dossier::evidence::compare(&mut all, catalogue::built_in().limits());
    let titles: Vec<Vec<&str>> = all
        .iter()
        .map(|one| {
            one.reports()
                .iter()
                .skip(1)
                .map(|report| report.title.as_str())
                .collect()
        })
        .collect();
    assert!(titles[0].is_empty(), "{titles:?}");
    assert!(
        titles[1].len() == 1 && titles[1][0].ends_with("Hazel and Alder"),
        "{titles:?}"
    );
    assert!(
        titles[2].len() == 2 && titles[2][1].ends_with("Alder and Birch"),
        "{titles:?}"
    );
    let cedar = &all[3].reports()[0];
    assert!(
        titles[3].is_empty() && cedar.verdict == Verdict::Fail,
        "{titles:?}"
    );
    assert!(cedar.sentence.starts_with("Switch off"), "{}", cedar.sentence);
    let troubles: String = cedar.troubles.iter().map(ToString::to_string).collect();
    assert!(troubles.contains("not compared"), "{troubles}");
}

/// The source keys of reports stand in the bibliography.
#[test]
fn sources_resolve() {
    let folder = example("demo");
    let swap = load(&folder);
    let plan = plan::plan(&swap, &swap.candidates[0]);
    for entry in &swap.evidence {
        for report in look(&swap, &plan, &folder, entry.keys.kind.value).reports() {
            for source in &report.sources {
                assert!(swap.catalogue.sources().get(source).is_some(), "{source}");
            }
        }
    }
}

/// What the controller was told, reported back as it stands, holds; with one number changed it fails, and cut in half it is not shown.
#[test]
fn settings_are_read_back() {
    let folder = example("demo");
    let swap = load(&folder);
    let plan = plan::plan(&swap, &swap.candidates[0]);
    let program = settings::gcode(&settings::settings(&plan.setup()));
    let verdict = |text: &str| {
        let mut folder = folder.clone();
        folder.insert("evidence/read-back.txt".into(), text.as_bytes().to_vec());
        let found = look(&swap, &plan, &folder, EvidenceKind::SettingsReadBack);
        found.outcome.map(|reports| reports[0].verdict)
    };
    assert_eq!(verdict(&program), Ok(Verdict::Pass));
    let steps = program.lines().find(|line| line.contains("X80")).unwrap();
    let changed = steps.replacen("80", "81", 1);
    assert_ne!(steps, changed);
    assert_eq!(verdict(&program.replace(steps, &changed)), Ok(Verdict::Fail));
    assert_eq!(verdict(&program.replace(steps, "")), Ok(Verdict::Open));
    assert!(verdict("nothing of the kind\n").is_err());
}

/// The file of the demonstration is what its generator writes, and the two faults that were put into it are what is found.
#[test]
fn the_faults_of_the_invented_read_back_are_found() {
    let folder = example("demo");
    let swap = load(&folder);
    let board = swap
        .candidates
        .iter()
        .find(|board| board.name.value == truth::BOARD);
    let plan = plan::plan(&swap, board.unwrap());
    for (path, text) in truth::files(folder.clone()) {
        let stands = String::from_utf8(folder[path].clone()).unwrap();
        assert_eq!(stands, text, "{path}: run `cargo xtask invent`");
    }
    let found = look(&swap, &plan, &folder, EvidenceKind::SettingsReadBack);
    let report = &found.reports()[0];
    let rows = &report.tables[0].rows;
    let of = |result: &str| -> Vec<&str> {
        let rows = rows.iter().filter(|row| row.cells[3] == result);
        rows.map(|row| row.cells[0].as_str()).collect()
    };
    assert_eq!(of("differs"), [truth::DIFFERS.0]);
    assert_eq!(
        of("not reported"),
        ["microsteps:X", "microsteps:Y", "microsteps:Z", "microsteps:E"]
    );
    assert!(report.sentence.starts_with("1 of "), "{}", report.sentence);
    // The picture counts the same: a cell each.
    let [evidence::Picture::Cells(cells)] = &report.pictures[..] else {
        panic!("{:?}", report.pictures)
    };
    let counts: Vec<usize> = cells.groups.iter().map(|group| group.cells.len()).collect();
    assert_eq!(counts, [1, 4, rows.len() - 5]);
    assert!(cells.groups[0].name.contains(truth::DIFFERS.0) && cells.groups[0].cells[0].right == Some(false));
}

/// Limits come from the plan: the supply's from the narrowest load, the driver's from its own loss, the extruder's old steps from what
/// either controller knows.
#[test]
fn limits_and_old_steps_come_from_the_plan() {
    let mut folder = example("demo");
    let of_the_old = "\n[[evidence]]\nfile = \"evidence/motor-y.csv\"\nkind = \"motor and driver temperatures\"\nboard = \"Alder A4\"\naxis = \"Y\"\n";
    folder
        .get_mut("swap.toml")
        .unwrap()
        .extend_from_slice(of_the_old.as_bytes());
    let swap = load(&folder);
    let plan = plan::plan(&swap, &swap.candidates[0]);
    let sentence = |at: usize| {
        let entry = &swap.evidence[at];
        let job = Job {
            keys: &entry.keys,
            context: Some(Context {
                swap: &swap,
                plan: &plan,
                entry,
            }),
        };
        measured(&job, &folder[&entry.keys.file.value]).reports()[0].clone()
    };
    let of = |kind| {
        swap.evidence
            .iter()
            .position(|entry| entry.keys.kind.value == kind)
            .unwrap()
    };
    let told = |at: usize, words: &[&str]| {
        let sentence = sentence(at).sentence;
        for word in words {
            assert!(sentence.contains(word), "{word} in: {sentence}");
        }
    };
    // A fan of 24 V less a tenth; a heater of 24 V at 110 % of its power.
    told(
        of(EvidenceKind::SupplyLog),
        &["21.6 V for F1 (part fan)", "25.17 V for H1 (hot-end heater)"],
    );
    told(swap.evidence.len() - 1, &["driver of Y"]);
    // The strip has 20 lights, and the plan foretells the voltage of the last one; the same test with fewer lights shows less.
    let lights = sentence(of(EvidenceKind::LedTest));
    let figure = |id: &str| {
        lights
            .figures
            .iter()
            .find(|figure| figure.id == id)
            .unwrap()
            .shown()
    };
    assert_eq!(
        (figure("lights").as_str(), figure("far-end").contains(" V")),
        ("20", true)
    );
    let strip = of(EvidenceKind::LedTest);
    let mut few = folder.clone();
    let text = few.get_mut(&swap.evidence[strip].keys.file.value).unwrap();
    *text = b"light,told,shown\n1,red,red\n1,green,green\n1,blue,blue\n1,white,white\n".to_vec();
    let found = look(&swap, &plan, &few, EvidenceKind::LedTest).reports()[0].clone();
    assert_eq!(found.verdict, Verdict::Open);
    assert!(
        found.sentence.contains("19 of the strip were not tried"),
        "{}",
        found.sentence
    );
    few.insert(
        swap.evidence[strip].keys.file.value.clone(),
        b"light,told,shown\n21,red,red\n".to_vec(),
    );
    let beyond = look(&swap, &plan, &few, EvidenceKind::LedTest)
        .outcome
        .unwrap_err();
    assert!(
        beyond.problem.starts_with("line 2: the strip has 20 lights"),
        "{beyond}"
    );
    // No look at a sound switch shows what a broken wire reads as; the plan does.
    let switch = sentence(of(EvidenceKind::FilamentTest));
    assert!(
        switch
            .advice
            .iter()
            .any(|a| a.sentence.starts_with("By the plan: A broken signal wire of FS")),
        "{:?}",
        switch.advice
    );
    // 417.5 step/mm were carried over, and 97.32 % of the length came out.
    told(of(EvidenceKind::ExtruderCalibration), &["429"]);
}

/// The troubles of a log given as that of a heater.
fn troubles_of_log(file: &str, text: &[u8], heater: &str) -> String {
    let report = report_of_log(file, text, heater);
    report
        .troubles
        .iter()
        .map(|trouble| format!("{trouble}\n"))
        .collect()
}

/// The report of a log that is named for a heater of the demo.
fn report_of_log(file: &str, text: &[u8], heater: &str) -> evidence::Report {
    let mut folder = example("demo");
    let entry = format!(
        "\n[[evidence]]\nfile = \"{file}\"\nkind = \"temperature log\"\nboard = \"Alder A4\"\ndevices = [\"{heater}\"]\n"
    );
    folder
        .get_mut("swap.toml")
        .unwrap()
        .extend_from_slice(entry.as_bytes());
    folder.insert(file.into(), text.to_vec());
    let swap = load(&folder);
    let plan = plan::plan(&swap, &swap.candidates[0]);
    let entry = swap.evidence.last().unwrap();
    let job = Job {
        keys: &entry.keys,
        context: Some(Context {
            swap: &swap,
            plan: &plan,
            entry,
        }),
    };
    measured(&job, text).reports()[0].clone()
}

/// What full power counts as in the reports of the demonstration's new controller.
const FULL_DUTY: f64 = 469.0;

/// The words and the entry of the demonstration agree on what full power counts as, and a log without that key is read by the words.
#[test]
fn the_words_of_a_controller_say_what_full_power_counts_as() {
    let mut folder = example("demo");
    let swap = load(&folder);
    assert_eq!(
        truth::full(&swap.controller(&swap.candidates[0]).dialect),
        FULL_DUTY
    );
    let text = String::from_utf8(folder["swap.toml"].clone()).unwrap();
    assert!(text.contains("full_duty = 469\n"));
    folder.insert(
        "swap.toml".into(),
        text.replace("full_duty = 469\n", "").into_bytes(),
    );
    let by_words = load(&folder);
    let looked = |swap: &Swap| {
        let plan = plan::plan(swap, &swap.candidates[0]);
        let entry = swap
            .evidence
            .iter()
            .find(|entry| entry.keys.file.value.ends_with(".txt"))
            .unwrap();
        let job = Job {
            keys: &entry.keys,
            context: Some(Context {
                swap,
                plan: &plan,
                entry,
            }),
        };
        let found = measured(&job, &folder["evidence/bed-alder.txt"]);
        let report = &found.reports()[0];
        (
            report.verdict,
            report.sentence.clone(),
            report.figures.clone(),
            report.troubles.clone(),
        )
    };
    assert_eq!(looked(&by_words), looked(&swap));
}

/// The invented bed log as a table of values, in a scale.
fn bed_as_table(head: &str, scale: impl Fn(f64) -> f64) -> Vec<u8> {
    let folder = example("demo");
    let text = String::from_utf8(folder["evidence/bed-alder.txt"].clone()).unwrap();
    let number = |line: &str, from: &str| -> Option<f64> {
        let after = &line[line.find(from)? + from.len()..];
        after.split([' ', '/']).next()?.parse().ok()
    };
    let rows = text.lines().filter_map(|line| {
        let (reading, duty) = (number(line, " B:")?, number(line, " B@:")?);
        let target: f64 = line
            .split(" B:")
            .nth(1)?
            .split('/')
            .nth(1)?
            .split(' ')
            .next()?
            .parse()
            .ok()?;
        Some((reading, target, duty))
    });
    let rows = rows.enumerate().map(|(at, (reading, target, duty))| {
        let target = if target > 0.0 { scale(target) } else { 0.0 };
        format!("{at},{:.3},{target:.1},{:.4}\n", scale(reading), duty / FULL_DUTY)
    });
    std::iter::once(format!("{head}\n"))
        .chain(rows)
        .collect::<String>()
        .into_bytes()
}

/// The hot end's log given as the bed's and the other way round: named, by time constant and temperature, with the heater it would fit.
#[test]
fn a_log_of_another_heater_is_named() {
    let hot_end = &example("demo")["evidence/hot-end-alder.csv"];
    let other = "this looks like the log of another heater";
    let told = troubles_of_log("evidence/x.csv", hot_end, "H2");
    assert!(
        told.starts_with(&format!("{other}: it shows a rise of 34")),
        "{told}"
    );
    assert!(told.contains("it would fit H1 (hot-end heater)"), "{told}");
    assert!(
        told.contains("it reached 21") && told.contains("weakest part bears 135 °C"),
        "{told}"
    );
    let bed = bed_as_table("time (s),temperature (°C),target (°C),duty", |own| own);
    let told = troubles_of_log("evidence/x.csv", &bed, "H1");
    assert!(
        told.contains(other) && told.contains("it would fit H2 (bed heater)"),
        "{told}"
    );
    // Of the wrong part nothing is shown, however well it holds.
    for (log, heater) in [(hot_end, "H2"), (&bed, "H1")] {
        let report = report_of_log("evidence/x.csv", log, heater);
        assert_eq!(report.verdict, Verdict::Open, "{}", report.sentence);
        assert!(report.sentence.contains("another heater"), "{}", report.sentence);
    }
    for (log, heater) in [(hot_end, "H1"), (&bed, "H2")] {
        let told = troubles_of_log("evidence/x.csv", log, heater);
        assert!(!told.contains("heater") && !told.contains("scale"), "{told}");
    }
}

/// A bed log in degrees Fahrenheit that names no unit begins at 71.6, which is the room of the swap only in that scale.
#[test]
fn a_log_that_begins_at_the_room_in_another_scale_is_asked() {
    let fahrenheit = |own: f64| own * 1.8 + 32.0;
    let bare = bed_as_table("time,temperature,target,duty", fahrenheit);
    let told = troubles_of_log("evidence/x.csv", &bare, "H2");
    assert!(
        told.starts_with("the log begins at 71.")
            && told.contains("it would begin near it in Fahrenheit, and reach 61 °C"),
        "{told}"
    );
    let named = bed_as_table("time,temperature (°F),target (°F),duty", fahrenheit);
    let told = troubles_of_log("evidence/x.csv", &named, "H2");
    assert!(!told.contains("scale"), "{told}");
    let kelvins = bed_as_table("time,temperature,target,duty", |own| own + 273.15);
    let told = troubles_of_log("evidence/x.csv", &kelvins, "H2");
    assert!(told.contains("kelvin") || told.contains("scale"), "{told}");
}
