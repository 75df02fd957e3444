//! Tables of a temperature log: phases, causes, proposed controllers.

use quantity::si::{TemperatureInterval, ratio};
use quantity::{Digits, Number as _, Value, rounded, show_bare};
use tuning::WHICH;

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
        "gain, %/K",
        "Tᵢ, s",
        "T_d, s",
        "overshoot, K",
        "within 1 K after, s",
        "swing of the temperature, K",
        "99 % of the readings, width, K",
        "Ms, worst case",
    ];
    let title =
        format!("Controller settings by published rules, simulated from cold with this log's noise. {WHICH}");
    let table = Table::of(title, &columns, proposals.iter().map(controller));
    match proposals.iter().position(|proposal| proposal.outcome.chosen) {
        Some(at) => table.choosing(at),
        None => table,
    }
}

fn controller(proposal: &Proposal) -> Vec<String> {
    let Proposal { outcome, width } = proposal;
    // What one run of a simulation shows is worth two digits; what is to be set has three.
    let rough = |number: f64| show_bare(&Value::exact(ratio(number)).into(), Digits::new(2));
    // Less than a millikelvin is nothing that a thermometer of this trade would show.
    let kelvins = |own: TemperatureInterval| rough((own.base() * 1e3).round() / 1e3);
    let (pid, course) = (&outcome.pid, &outcome.nominal);
    vec![
        outcome.rule.name.to_owned(),
        rounded(pid.gain.base() * 100.0),
        pid.integral.map_or_else(none, |time| rounded(time.base())),
        rounded(pid.derivative.base()),
        kelvins(course.overshoot),
        course
            .settled
            .map_or_else(|| "never".to_owned(), |time| rough(time.base())),
        kelvins(course.swing),
        // Nothing is known of the readings where nothing was held.
        width.map_or_else(none, kelvins),
        match outcome.sensitivity_peak_worst.base() {
            peak if peak.is_finite() => rough(peak),
            _ => "unstable".to_owned(),
        },
    ]
}
