//! What was measured on the machine: from the bytes of a file, with what swap and plan know, to reports.
//!
//! To add a kind: its word in `model`, its analysis in `evidence`, a module here that hands that analysis what it needs of swap and
//! plan, and a line in `ANALYSES`. Temperature logs alone may be too large for memory as text: [`log_layout`] and [`measured_log`].

mod belongs;
mod calibration;
mod height_map;
mod joined;
mod read_back;
mod repeatability;
mod simple;
mod stall;
mod temperature;

use catalogue::Limits;
use drawing::{Head, Layout};
use evidence::read::Log;
use evidence::{Outcome, Refused, Report, Trouble};
use model::{Evidence, EvidenceFile, EvidenceKind, MeasuredOn, Swap, Tolerance};
use plan::Plan;
use quantity::Value;
use quantity::si::Ratio;

use crate::{File, pictures};

/// What is known about one measurement besides its file.
#[derive(Clone, Copy, Debug)]
pub struct Job<'a> {
    /// The keys as written; those that mean nothing for the kind are not there.
    pub keys: &'a EvidenceFile,
    /// The swap it belongs to; nothing where a file is looked at alone.
    pub context: Option<Context<'a>>,
}

/// Swap and plan behind a measurement.
#[derive(Clone, Copy, Debug)]
pub struct Context<'a> {
    /// The swap.
    pub swap: &'a Swap,
    /// The plan of the board that it was measured on; of the shown one where it was measured on the old board, or nobody said.
    pub plan: &'a Plan<'a>,
    /// The measurement, with what it names found.
    pub entry: &'a Evidence,
}

/// One measurement with what came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The file, as written in the swap.
    pub file: String,
    /// What was measured.
    pub kind: EvidenceKind,
    /// The name of the board it was measured on, if it was said.
    pub board: Option<String>,
    /// The reports, or why there are none.
    pub outcome: Outcome,
    /// Temperature logs, looked at, for comparing boards.
    pub analyses: Vec<evidence::temperature::Analysis>,
    /// The settings that it was taken under.
    taken: Vec<joined::Taken>,
    /// What the controller answered, in a read-back.
    answers: Vec<joined::Answer>,
}

impl Measured {
    /// The reports; none where the file was refused.
    #[must_use]
    pub fn reports(&self) -> &[Report] {
        self.outcome.as_deref().unwrap_or_default()
    }
}

/// An analysis takes the job and all bytes of the file.
type Analysis = fn(&Job<'_>, &[u8]) -> Outcome;

/// Every kind with its analysis, but for temperature logs, which are read in parts.
const ANALYSES: &[(EvidenceKind, Analysis)] = &[
    (EvidenceKind::HeightMap, height_map::reports),
    (EvidenceKind::Repeatability, repeatability::reports),
    (EvidenceKind::StallThresholdTest, stall::reports),
    (EvidenceKind::ExtruderCalibration, calibration::extruder_reports),
    (EvidenceKind::AxisCalibration, calibration::axis_reports),
    (EvidenceKind::ExtrusionPressureTest, calibration::pressure_reports),
    (EvidenceKind::FlowCalibration, calibration::flow_reports),
    (EvidenceKind::FilamentTest, simple::filament_reports),
    (EvidenceKind::LedTest, simple::light_reports),
    (EvidenceKind::SupplyLog, simple::supply_reports),
    (EvidenceKind::MotorAndDriverTemperatures, simple::warmth_reports),
    (EvidenceKind::SettingsReadBack, read_back::reports),
];

/// How a temperature log is written, found from its head ([`evidence::read::log::HEAD`] bytes), so that the caller may read its parts on
/// several threads; nothing for the other kinds.
#[must_use]
pub fn log_layout(job: &Job<'_>, head: &[u8]) -> Option<Result<evidence::read::Layout, Refused>> {
    let is_log = job.keys.kind.value == EvidenceKind::TemperatureLog;
    is_log.then(|| evidence::read::Layout::of(head, temperature::known(job)))
}

/// Looks at a temperature log whose parts were read.
#[must_use]
pub fn measured_log(job: &Job<'_>, log: Result<Log, Refused>) -> Measured {
    let log = belongs::foreign(job).map_or(log, Err);
    match log.and_then(|log| temperature::analyses(job, &log)) {
        Ok(analyses) => Measured {
            outcome: Ok(analyses
                .iter()
                .map(|analysis| {
                    let mut report = analysis.report();
                    joined::by_target(job, analysis, &mut report);
                    report
                })
                .collect()),
            analyses,
            ..of(job, Ok(Vec::new()))
        },
        Err(refused) => of(job, Err(refused)),
    }
}

/// Boards side by side: where the same heater was logged on several of them, each later log has the comparison with the first log of every
/// other board as one more report; what cannot be compared is said.
/// The limits say which differences nobody would mind.
pub fn compare(all: &mut [Measured], limits: &Limits) {
    let within = limits.measured_equal_within.value.nominal();
    for later in 1..all.len() {
        let (before, rest) = all.split_at_mut(later);
        let two = &mut rest[0];
        let (mut reports, mut troubles) = (Vec::new(), Vec::new());
        for analysis in &two.analyses {
            let Some(board) = &two.board else { continue };
            let mut seen: Vec<&String> = vec![board];
            for one in before.iter() {
                let Some(other) = one.board.as_ref().filter(|other| !seen.contains(other)) else {
                    continue;
                };
                let same = one.analyses.iter().find(|own| own.ask.name == analysis.ask.name);
                let Some(same) = same else { continue };
                seen.push(other);
                let side = |board, analysis| evidence::comparison::Side { board, analysis };
                match evidence::comparison::compare(side(other, same), side(board, analysis), within) {
                    Ok(compared) => reports.push(compared.report()),
                    Err(refused) => troubles.push(Trouble::of_all(format!("not compared: {refused}"))),
                }
            }
        }
        if let Ok(own) = &mut two.outcome {
            if let Some(first) = own.first_mut() {
                first.troubles.extend(troubles);
            }
            own.extend(reports);
        }
    }
}

/// Measurements and read-backs of one board side by side: a setting that one was taken under and that a controller reported otherwise opens its
/// reports, with both places named.
pub fn join(all: &mut [Measured]) {
    joined::by_answers(all);
}

/// Several logs of one part, run by run: the last of them has what they say together as one more report for each heater, or why they say nothing.
pub fn compare_runs(all: &mut [Measured]) {
    use evidence::temperature::{Analysis, runs};
    let mut names: Vec<&str> = Vec::new();
    for analysis in all.iter().flat_map(|one| &one.analyses) {
        if !names.contains(&analysis.ask.name.as_str()) {
            names.push(&analysis.ask.name);
        }
    }
    let of = |name: &str| {
        let own = |one: &'_ Measured| -> Option<usize> {
            one.analyses
                .iter()
                .position(|own: &Analysis| own.ask.name == name)
        };
        let logs: Vec<runs::Run<'_>> = all
            .iter()
            .filter_map(|one| {
                Some(runs::Run {
                    name: &one.file,
                    analysis: &one.analyses[own(one)?],
                })
            })
            .collect();
        runs::compare(&logs).map(|runs| runs.report())
    };
    let reports: Vec<Result<Report, Refused>> = names.into_iter().map(of).collect();
    let Some(last) = all.last_mut() else { return };
    let Ok(own) = &mut last.outcome else { return };
    for report in reports {
        match report {
            Ok(report) => own.push(report),
            Err(refused) => {
                if let Some(first) = own.first_mut() {
                    first.troubles.push(Trouble::of_all(refused.to_string()));
                }
            }
        }
    }
}

/// Looks at one measurement.
#[must_use]
pub fn measured(job: &Job<'_>, bytes: &[u8]) -> Measured {
    let bytes = &*evidence::read::turned(bytes);
    if let Some(layout) = log_layout(job, &bytes[..bytes.len().min(evidence::read::log::HEAD)]) {
        let log = layout.and_then(|layout| {
            let mut part = layout.part(true);
            part.push(bytes);
            layout.join(vec![part.finish()])
        });
        return measured_log(job, log);
    }
    let kind = job.keys.kind.value;
    let analysis = ANALYSES.iter().find(|(own, _)| *own == kind);
    let outcome = match (belongs::foreign(job), analysis) {
        (Some(refused), _) => Err(refused),
        (None, Some((_, analysis))) => analysis(job, bytes),
        (None, None) => Err(Refused::new(
            format!("a {kind} cannot be looked at yet"),
            "leave the entry out, or look at another kind",
        )),
    };
    let mut measured = of(job, outcome);
    measured.taken = joined::taken(job, bytes);
    if kind == EvidenceKind::SettingsReadBack {
        measured.answers = read_back::answers(job, bytes);
    }
    if let Ok(reports) = &mut measured.outcome {
        joined::by_settings(&measured.taken, reports);
    }
    measured
}

fn of(job: &Job<'_>, outcome: Outcome) -> Measured {
    let heeding = |reports: Vec<Report>| reports.into_iter().map(Report::heeding_lost_rows).collect();
    let outcome = outcome.map(heeding).map_err(Refused::heeding_lost_rows);
    Measured {
        file: job.keys.file.value.clone(),
        kind: job.keys.kind.value,
        board: job.board(),
        outcome,
        analyses: Vec::new(),
        taken: Vec::new(),
        answers: Vec::new(),
    }
}

/// The pictures of all reports as files, wide and narrow, for measurements outside a dossier.
#[must_use]
pub fn pictures(all: &[Measured]) -> Vec<File> {
    let mut out = Vec::new();
    for ((report, picture), wide) in pictured(all).zip(picture_names(all)) {
        let narrow = pictures::narrow_name(&wide);
        for (name, layout) in [(wide.clone(), Layout::Wide), (narrow, Layout::Narrow)] {
            let head = Head {
                prefix: wide.trim_end_matches(".svg").to_owned(),
                title: picture.title().to_owned(),
                description: pictures::evidence::description(report),
            };
            let text = pictures::evidence::draw(picture, head, layout);
            out.push(File::new(name, format!("{text}\n")));
        }
    }
    out
}

pub(crate) fn pictured(all: &[Measured]) -> impl Iterator<Item = (&Report, &evidence::Picture)> {
    let reports = all.iter().flat_map(Measured::reports);
    reports.flat_map(|report| report.pictures.iter().map(move |picture| (report, picture)))
}

/// The names of the wide pictures of all reports, in their order.
#[must_use]
pub fn picture_names(all: &[Measured]) -> Vec<String> {
    pictures::evidence::names(all)
}

impl<'a> Job<'a> {
    /// The name of the board it was measured on, if it was said.
    #[must_use]
    pub fn board(&self) -> Option<String> {
        self.keys.board.as_ref().map(|name| name.value.clone())
    }
    /// Whether it was measured on the board that is replaced; nothing where that was not said.
    #[must_use]
    pub fn on_old_board(&self) -> Option<bool> {
        let board = self.context?.entry.board?;
        Some(board == MeasuredOn::Old)
    }
    /// The limits: those of the swap, else the shipped ones.
    #[must_use]
    pub fn limits(&self) -> &'a Limits {
        match self.context {
            Some(context) => context.swap.catalogue.limits(),
            None => catalogue::built_in().limits(),
        }
    }
    /// The words of the controller that it was measured with; the shared ones where that was not said.
    fn dialect(&self) -> &'a model::Dialect {
        match (self.context, self.on_old_board()) {
            (Some(context), Some(true)) => &context.swap.controller(&context.swap.old).dialect,
            (Some(context), Some(false)) => &context.swap.controller(context.plan.board).dialect,
            _ => model::Dialect::common(),
        }
    }
    /// The share of failed trials that the entry allows, else that of a limit.
    fn max_failure_rate(&self, limit: Value<Ratio>) -> Ratio {
        let stated = self.keys.max_failure_rate;
        stated.map_or(limit.nominal(), |share| share.value.nominal())
    }
    /// The share by which the entry lets a length be off, else that of a limit.
    fn tolerated_share(&self, limit: Value<Ratio>) -> Ratio {
        match self.keys.tolerance.map(|tolerance| tolerance.value) {
            Some(Tolerance::Share(share)) => share.nominal(),
            _ => limit.nominal(),
        }
    }
    /// What it is about, in words: its devices, else the axis, else `otherwise`.
    fn subject(&self, otherwise: &str) -> String {
        let names: Vec<&str> = self.devices().map(|device| device.name.value.as_str()).collect();
        match (&self.keys.axis, names.is_empty()) {
            (_, false) => names.join(", "),
            (Some(axis), true) => format!("axis {}", axis.value),
            (None, true) => otherwise.to_owned(),
        }
    }
    /// The devices it is about, found in the machine.
    pub fn devices(&self) -> impl Iterator<Item = &'a model::machine::Device> + use<'a> {
        let context = self.context;
        context.into_iter().flat_map(|context| {
            let machine = &context.swap.machine;
            context.entry.devices.iter().map(|id| machine.device(*id))
        })
    }
}

/// A report with the troubles of its file before its own.
fn told(mut report: Report, mut troubles: Vec<Trouble>) -> Report {
    troubles.append(&mut report.troubles);
    Report { troubles, ..report }
}

/// Several reports of one file, of which the first tells the file's troubles.
fn told_once(reports: impl Iterator<Item = Report>, troubles: Vec<Trouble>) -> Vec<Report> {
    let mut troubles = Some(troubles);
    reports
        .map(|report| told(report, troubles.take().unwrap_or_default()))
        .collect()
}

/// A refusal with the lines that may have led to it.
fn with(refused: Refused, troubles: &[Trouble]) -> Refused {
    let mut all = troubles.to_vec();
    all.extend(refused.troubles.iter().cloned());
    refused.because_of(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_kind_is_listed_twice() {
        for (at, (kind, _)) in ANALYSES.iter().enumerate() {
            assert!(!ANALYSES[..at].iter().any(|(own, _)| own == kind), "{kind}");
        }
    }
}
