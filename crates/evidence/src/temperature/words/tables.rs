//! Tables of a temperature log: phases, causes, proposed controllers.

use quantity::{Number as _, Value};

use crate::report::Table;
use crate::temperature::swing::Part;
use crate::temperature::{Analysis, Proposal, Span};

impl Analysis {
    pub(super) fn tables(&self, proposals: &[Proposal]) -> Vec<Table> {
        if self.alarm.is_some() {
            return Vec::new();
        }
        let phases = Table::of(
            "Phases of the log",
            &["phase", "from", "for", "target"],
            self.spans.iter().map(phase),
        );
        let causes = self.swing.iter().map(|swing| {
            Table::of(
                "Where the swing comes from",
                &["cause", "size, rms", "share of the variance"],
                swing.parts.iter().map(cause),
            )
        });
        let proposed = (!proposals.is_empty() && !self.scale_in_doubt).then(|| controllers(proposals));
        [phases].into_iter().chain(causes).chain(proposed).collect()
    }
}

fn none() -> String {
    "–".to_owned()
}

fn phase(span: &Span) -> Vec<String> {
    let target = span.target;
    vec![
        span.phase.word().to_owned(),
        format!("{:.0} s", span.start.base()),
        format!("{:.0} s", (span.end - span.start).base()),
        target.map_or_else(none, |target| Value::exact(target).to_string()),
    ]
}

fn cause(part: &Part) -> Vec<String> {
    vec![
        part.cause.word().to_owned(),
        super::text(part.size),
        format!("{:.1} %", part.share.base() * 100.0),
    ]
}

pub(in crate::temperature) fn controllers(proposals: &[Proposal]) -> Table {
    let columns = [
        "rule",
        "gain, 1/K",
        "Tᵢ, s",
        "T_d, s",
        "overshoot, K",
        "within 1 K after, s",
        "temperature, lowest to highest, K",
        "99 % of the readings, width, K",
        "Ms, at worst",
    ];
    let title = "Controllers by published rules, simulated from cold with the noise and the steps of this input: take the marked one, not the plan's, which knows no log";
    let table = Table::of(title, &columns, proposals.iter().map(controller));
    match proposals.iter().position(|proposal| proposal.chosen) {
        Some(at) => table.choosing(at),
        None => table,
    }
}

fn controller(proposal: &Proposal) -> Vec<String> {
    let (integral, settled) = (proposal.pid.integral, proposal.settled);
    vec![
        proposal.rule.to_owned(),
        format!("{:.4}", proposal.pid.gain.base()),
        integral.map_or_else(none, |time| format!("{:.1}", time.base())),
        format!("{:.2}", proposal.pid.derivative.base()),
        format!("{:.1}", proposal.overshoot.base()),
        settled.map_or_else(|| "never".to_owned(), |time| format!("{:.0}", time.base())),
        format!("{:.2}", proposal.swing.base()),
        match proposal.width.base() {
            // Nothing is known of the readings where nothing was held.
            width if width < 1e-6 => none(),
            width => format!("{width:.2}"),
        },
        format!("{:.2}", proposal.sensitivity_peak.base()),
    ]
}
