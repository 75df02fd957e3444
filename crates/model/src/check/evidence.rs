//! Measurements: the keys of each kind, and what they are about, against machine and boards.

use quantity::Number as _;

use super::{Checker, is_outside, outside};
use crate::diagnostic::Diagnostic;
use crate::file::swap::EvidenceFile;
use crate::machine::{AxisId, DeviceId};
use crate::read::Tolerance;
use crate::swap::{Evidence, MeasuredOn};
use crate::words::EvidenceKind;

/// What a measurement may name; nothing where the file that would tell could not be read.
pub(crate) struct Named<'n> {
    pub tags: Option<Vec<&'n str>>,
    pub axes: Option<Vec<&'n str>>,
    /// The old board, then the candidates.
    pub boards: Option<Vec<&'n str>>,
}

/// Keys that a kind needs, and others that it may have, beside `file`, `kind`, `board` and `devices`.
fn keys_of(kind: EvidenceKind) -> (&'static [&'static str], &'static [&'static str]) {
    match kind {
        EvidenceKind::TemperatureLog => (&[], &["channel", "scale", "interval", "full_duty", "tolerance"]),
        EvidenceKind::HeightMap => (&[], &["grid", "first_layer", "allowed_error"]),
        EvidenceKind::Repeatability => (
            &[],
            &[
                "axis",
                "channel",
                "reference",
                "allowed_error",
                "temperature_change",
            ],
        ),
        EvidenceKind::StallThresholdTest => (&[], &["axis", "max_failure_rate", "confidence"]),
        EvidenceKind::ExtruderCalibration => (&[], &["axis", "steps", "tolerance"]),
        EvidenceKind::AxisCalibration => (&[], &["axis", "steps", "shrinkage", "tolerance"]),
        EvidenceKind::ExtrusionPressureTest => (&[], &[]),
        EvidenceKind::FlowCalibration => (&[], &["flow", "tolerance"]),
        EvidenceKind::FilamentTest => (&[], &["remaining_filament", "max_failure_rate"]),
        EvidenceKind::LedTest => (&[], &[]),
        EvidenceKind::SupplyLog => (&[], &["channel", "min_voltage", "max_voltage", "meter_accuracy"]),
        EvidenceKind::MotorAndDriverTemperatures => {
            (&[], &["axis", "channel", "scale", "max_temperature", "air"])
        }
        EvidenceKind::SettingsReadBack => (&[], &[]),
    }
}

/// That each key has a meaning for the kind, and that those it needs are there.
pub(crate) fn evidence_keys(file: &EvidenceFile, checker: &mut Checker<'_>) {
    let (needed, optional) = keys_of(file.kind.value);
    let written = file.leftover();
    for key in needed {
        if !written.iter().any(|(own, _)| own == key) && !checker.is_lost(file.place, key) {
            let problem = format!("`{key}` is missing: a {} needs it", file.kind.value);
            checker.fault(
                Diagnostic::new("missing-key", file.place, problem, format!("`{key}` is missing"))
                    .expected(format!("the key `{key}` (docs/formats.md, \"[[evidence]]\")")),
            );
        }
    }
    let always = ["board", "devices"];
    if let Some(first) = file.grid.first()
        && (file.grid.len() != 2 || file.grid.iter().any(|n| !(2..=100).contains(&n.value)))
    {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                first.place,
                "no grid of touches",
                "not columns and rows",
            )
            .expected("two whole numbers from 2 to 100, such as [5, 5]"),
        );
    }
    if let Some(confidence) = &file.confidence
        && !(confidence.value.low().base() > 0.5 && confidence.value.high().base() < 1.0)
    {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                confidence.place,
                "no confidence that trials can show",
                "not between 50 and 100 %",
            )
            .expected("a share above 50 % and below 100 %, such as \"95 %\""),
        );
    }
    if let Some(tolerance) = &file.tolerance
        && optional.contains(&"tolerance")
    {
        let (fits, expected) = match (file.kind.value, tolerance.value) {
            (EvidenceKind::TemperatureLog, own) => (
                matches!(own, Tolerance::Temperature(_)),
                "a temperature difference in quotes, such as \"1 K\"",
            ),
            (_, own) => (
                matches!(own, Tolerance::Share(_)),
                "a share in quotes, such as \"1 %\"",
            ),
        };
        if !fits {
            let problem = format!("not a tolerance of a {}", file.kind.value);
            checker.fault(
                Diagnostic::new("bad-value", tolerance.place, problem, "another unit is needed")
                    .expected(expected),
            );
        }
    }
    let leftover = written
        .into_iter()
        .filter(|(key, _)| !always.contains(key) && !needed.contains(key) && !optional.contains(key));
    checker.leftover(leftover.collect(), &format!("a {}", file.kind.value));
}

/// A measurement was made on one board: where two rows name one file for different boards, one of them is wrong.
fn of_one_board(files: &[EvidenceFile], checker: &mut Checker<'_>) {
    for (at, file) in files.iter().enumerate() {
        let board = |file: &EvidenceFile| file.board.as_ref().map(|name| name.value.clone());
        let Some(own) = board(file) else { continue };
        let same = files[..at]
            .iter()
            .filter(|other| other.file.value == file.file.value);
        let Some(other) = same.filter_map(board).find(|other| *other != own) else {
            continue;
        };
        let problem = format!(
            "`{}` is named as measured on {other} and on {own}",
            file.file.value
        );
        checker.fault(
            Diagnostic::new("contradiction", file.file.place, problem, "a second time")
                .expected("the board on which it was measured"),
        );
    }
}

/// Measurements with what they name found.
pub(crate) fn evidence(
    files: Vec<EvidenceFile>,
    named: &Named<'_>,
    checker: &mut Checker<'_>,
) -> Vec<Evidence> {
    of_one_board(&files, checker);
    files
        .into_iter()
        .map(|file| {
            evidence_keys(&file, checker);
            if is_outside(&file.file.value) {
                let (code, problem) = outside(&file.file.value);
                checker.fault(
                    Diagnostic::new(code, file.file.place, problem, "this file")
                        .expected("a file inside the swap folder"),
                );
            }
            let tags = named.tags.as_deref();
            let devices = file.devices.iter().filter_map(|name| {
                let tags = tags?.iter().copied();
                checker.find(name, tags, crate::check::DEVICE_TAG).map(DeviceId)
            });
            let devices = devices.collect();
            let axis = file.axis.as_ref().and_then(|name| {
                let axes = named.axes.as_deref()?.iter().copied();
                checker.find(name, axes, "axis").map(AxisId)
            });
            let board = file.board.as_ref().and_then(|name| {
                let boards = named.boards.as_deref()?.iter().copied();
                let at = checker.find(name, boards, "board of this swap")?;
                Some(match at {
                    0 => MeasuredOn::Old,
                    more => MeasuredOn::Candidate(more - 1),
                })
            });
            Evidence {
                keys: file,
                board,
                devices,
                axis,
            }
        })
        .collect()
}
