//! Measurements of the demonstration within their swap: limits and screws come from it.

use dossier::evidence::{Context, Job, Measured, measured};
use evidence::Verdict;
use model::{EvidenceKind, Swap};
use plan::Plan;
use settings::Dialect;

use crate::support::{Folder, example, load};

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
        (EvidenceKind::HeightMap, Verdict::Holds),
        (EvidenceKind::Repeatability, Verdict::Holds),
        (EvidenceKind::StallSweep, Verdict::Holds),
        (EvidenceKind::ExtruderCalibration, Verdict::Fails),
        (EvidenceKind::AxisCalibration, Verdict::Holds),
        (EvidenceKind::PressureCalibration, Verdict::Measured),
        (EvidenceKind::FlowCalibration, Verdict::Fails),
        (EvidenceKind::FilamentTest, Verdict::Holds),
        (EvidenceKind::LightTest, Verdict::Fails),
        (EvidenceKind::SupplyLog, Verdict::Holds),
        (EvidenceKind::DriverTemperatures, Verdict::Holds),
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
    let motor = look(&swap, &plan, &folder, EvidenceKind::DriverTemperatures)
        .outcome
        .unwrap();
    assert!(
        motor[0].sentence.contains("motor Y") && motor[0].sentence.contains("26 °C"),
        "{}",
        motor[0].sentence
    );
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
    let mut folder = example("demo");
    let swap_file = folder.get_mut("swap.toml").unwrap();
    swap_file.extend_from_slice(
        b"\n[[evidence]]\nfile = \"evidence/read-back.txt\"\nkind = \"settings read-back\"\n",
    );
    let swap = load(&folder);
    let plan = plan::plan(&swap, &swap.candidates[0]);
    let dialect = Dialect::common();
    let program = settings::gcode(&settings::settings(&plan.setup(), dialect), dialect);
    let verdict = |text: &str| {
        let mut folder = folder.clone();
        folder.insert("evidence/read-back.txt".into(), text.as_bytes().to_vec());
        let found = look(&swap, &plan, &folder, EvidenceKind::SettingsReadBack);
        found.outcome.map(|reports| reports[0].verdict)
    };
    assert_eq!(verdict(&program), Ok(Verdict::Holds));
    let steps = program.lines().find(|line| line.contains("X80")).unwrap();
    let changed = steps.replacen("80", "81", 1);
    assert_ne!(steps, changed);
    assert_eq!(verdict(&program.replace(steps, &changed)), Ok(Verdict::Fails));
    assert_eq!(verdict(&program.replace(steps, "")), Ok(Verdict::NotShown));
    assert!(verdict("nothing of the kind\n").is_err());
}
