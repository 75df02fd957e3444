//! What was measured on the machine: from the bytes of a file, with what swap and plan know, to reports.
//!
//! To add a kind: its word in `model`, its analysis in `evidence`, a module here that hands that analysis what it needs of swap and
//! plan, and a line in [`ANALYSES`].

use drawing::{Head, Layout};
use evidence::{Outcome, Refused, Report};
use model::{Evidence, EvidenceFile, EvidenceKind, MeasuredOn, Swap};
use plan::Plan;

use crate::{Document, pictures};

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
    /// The plan of the board that is shown.
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

/// Every kind with its analysis.
const ANALYSES: &[(EvidenceKind, Analysis)] = &[];

/// Looks at one measurement.
#[must_use]
pub fn measured(job: &Job<'_>, bytes: &[u8]) -> Measured {
    let kind = job.keys.kind.value;
    let analysis = ANALYSES.iter().find(|(own, _)| *own == kind);
    let outcome = match analysis {
        Some((_, analysis)) => analysis(job, bytes),
        None => Err(Refused::new(
            format!("a {kind} cannot be looked at yet"),
            "leave the entry out, or look at another kind",
        )),
    };
    Measured {
        file: job.keys.file.value.clone(),
        kind,
        board: job.board(),
        outcome,
    }
}

/// The pictures of all reports as files, for measurements outside a dossier.
#[must_use]
pub fn pictures(all: &[Measured]) -> Vec<Document> {
    let reports = all.iter().flat_map(Measured::reports);
    let pictures = reports.flat_map(|report| report.pictures.iter().map(move |picture| (report, picture)));
    pictures
        .enumerate()
        .map(|(at, (report, picture))| {
            let name = pictures::evidence_name(at);
            let head = Head {
                prefix: format!("evidence-{}", at + 1),
                title: pictures::evidence::title(picture).to_owned(),
                description: pictures::evidence::description(report),
            };
            let text = pictures::evidence::draw(picture, head, Layout::Wide);
            Document::new(name, format!("{text}\n"))
        })
        .collect()
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
    /// The devices it is about, found in the machine.
    pub fn devices(&self) -> impl Iterator<Item = &'a model::machine::Device> + use<'a> {
        let context = self.context;
        context.into_iter().flat_map(|context| {
            let machine = &context.swap.machine;
            context.entry.devices.iter().map(|id| machine.device(*id))
        })
    }
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
