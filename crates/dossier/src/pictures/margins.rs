//! The margin chart: each check with a limit, its tightest finding.

use drawing::{MarginGroup, MarginRow, Margins};
use plan::{Finding, Group, Side};

use crate::about::title_of;
use crate::shown::Shown;

/// Whether there is anything to draw.
pub(super) fn has_any(shown: &Shown<'_>) -> bool {
    shown.plan.findings.iter().any(|finding| finding.margin.is_some())
}

/// Of each check the finding with the least margin: a chart of all would be too long to see anything in.
pub(super) fn margins(shown: &Shown<'_>, prefix: String) -> Margins {
    let title = format!("Room to the limits on {}", shown.plan.board.name);
    let description = format!(
        "For each check the finding with the least room to its limit, at the worst corner of the tolerances. The tightest that holds is {}.",
        shown
            .entry
            .tightest
            .first()
            .map_or("none", |tight| &tight.finding)
    );
    Margins {
        head: super::head(shown, prefix, &title, description),
        groups: Group::ALL
            .iter()
            .map(|group| MarginGroup {
                heading: group.title().to_owned(),
                rows: rows(shown, *group),
            })
            .filter(|group| !group.rows.is_empty())
            .collect(),
    }
}

fn rows(shown: &Shown<'_>, group: Group) -> Vec<MarginRow> {
    let mut tightest: Vec<&Finding> = Vec::new();
    for finding in shown.about.of_group(group) {
        let Some(margin) = finding.margin else { continue };
        match tightest.iter_mut().find(|own| own.check == finding.check) {
            None => tightest.push(finding),
            Some(own) if own.margin.is_some_and(|other| margin < other) => *own = finding,
            Some(_) => {}
        }
    }
    tightest.sort_by(|a, b| a.margin.unwrap_or(0.0).total_cmp(&b.margin.unwrap_or(0.0)));
    tightest.into_iter().filter_map(row).collect()
}

fn row(finding: &Finding) -> Option<MarginRow> {
    let (value, limit) = (finding.value?, finding.limit?);
    let (worst, bound, sign) = match limit.side {
        Side::AtMost => (value.at_high(), limit.bound.at_low(), "≤"),
        Side::AtLeast => (value.at_low(), limit.bound.at_high(), "≥"),
    };
    let about = [
        &finding.subject.device,
        &finding.subject.port,
        &finding.subject.other,
    ];
    let about: Vec<&str> = about.into_iter().flatten().map(String::as_str).collect();
    let label = if about.is_empty() {
        title_of(finding).to_owned()
    } else {
        format!("{}: {}", title_of(finding), about.join(" at "))
    };
    Some(MarginRow {
        label,
        value: worst.to_string(),
        limit: format!("{sign} {bound}"),
        margin: finding.margin,
        room: finding
            .margin
            .filter(|margin| finding.kelvins(*margin).is_some())
            .map(|margin| crate::words::room_of(finding, margin)),
        verdict: super::verdict(finding.verdict),
    })
}
