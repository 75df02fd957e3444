//! Any bytes as a measurement of any kind: the first byte says which; reports with pictures, or a reason with its mend.
#![no_main]

use dossier::evidence::{Job, measured, pictures};
use evidence::Trouble;
use libfuzzer_sys::fuzz_target;
use model::{EvidenceFile, EvidenceKind};

/// What the kinds ask for beside the file.
const KEYS: &[(EvidenceKind, &str)] = &[
    (EvidenceKind::HeightMap, "grid = [5, 5]"),
    (EvidenceKind::Repeatability, "reference = \"1.3 mm\""),
    (EvidenceKind::StallThresholdTest, "axis = \"X\""),
    (EvidenceKind::ExtruderCalibration, "steps = \"418 step/mm\""),
    (EvidenceKind::AxisCalibration, "axis = \"X\"\nsteps = \"80 step/mm\""),
    (EvidenceKind::ExtrusionPressureTest, ""),
    (EvidenceKind::FlowCalibration, ""),
    (EvidenceKind::FilamentTest, "remaining_filament = \"120 mm\""),
    (EvidenceKind::LedTest, ""),
    (EvidenceKind::SupplyLog, "min_voltage = \"21.6 V\"\nmax_voltage = \"26.4 V\""),
    (EvidenceKind::MotorAndDriverTemperatures, "air = \"23 °C\""),
];

fn keys(kind: EvidenceKind, keys: &str) -> EvidenceFile {
    let text = format!("kind = \"{}\"\nfile = \"f\"\n{keys}\n", kind.word());
    model::load_evidence("fuzz", &text).unwrap_or_else(|faults| panic!("{text}: {faults:?}"))
}

fuzz_target!(|bytes: &[u8]| {
    let Some((which, file)) = bytes.split_first() else {
        return;
    };
    // Letters, so that a corpus can be read: `a` is the first kind.
    let (kind, more) = KEYS[usize::from(which.wrapping_sub(b'a')) % KEYS.len()];
    let keys = keys(kind, more);
    let found = measured(
        &Job {
            keys: &keys,
            context: None,
        },
        file,
    );
    let lines = file.iter().filter(|byte| **byte == b'\n').count() as u64 + 1;
    let inside = |troubles: &[Trouble]| {
        let mut told = troubles.iter().filter_map(|trouble| trouble.line);
        assert!(told.all(|line| (1..=lines).contains(&line)), "{troubles:?}");
    };
    match &found.outcome {
        Ok(reports) => {
            assert!(!reports.is_empty());
            for report in reports {
                // A number that is none has no place in what people read.
                let mut words = report.sentence.split([' ', ',', '.']);
                assert!(words.clone().count() > 2, "{report:?}");
                assert!(words.all(|word| !["NaN", "inf", "unbounded"].contains(&word)), "{report:?}");
                inside(&report.troubles);
            }
        }
        Err(reason) => {
            assert!(!reason.problem.is_empty() && !reason.mend.is_empty());
            assert!(reason.problem.chars().count() < 1000, "{reason:?}");
            inside(&reason.troubles);
        }
    }
    for picture in pictures(std::slice::from_ref(&found)) {
        assert!(!picture.text.contains("NaN"), "{}", picture.name);
    }
});
