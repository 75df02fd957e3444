//! The tornado charts: for the tightest findings, what each tolerance does by itself.

use drawing::{Tornado, TornadoRow};
use plan::{Finding, Verdict};
use quantity::Number as _;

use super::{Files, Picture};
use crate::shown::Shown;
use crate::words::{capital, sentence};

/// How the names of the pictures begin.
pub(super) const NAME: &str = "tornado";
/// How many findings are drawn.
const DRAWN: usize = 4;
/// How many inputs a chart has.
const ROWS: usize = 8;
/// A finding whose margin is further away than this is no question of tolerances.
const NEAR: f64 = 0.5;

/// Of each check the tightest finding that more than one tolerance moves, the tightest first; broken limits that no
/// tolerance could mend are left out.
pub(super) fn tornadoes(shown: &Shown<'_>) -> Vec<Picture> {
    let alone = shown.material.draws.alone();
    let mut tightest: Vec<(usize, &Finding, f64)> = Vec::new();
    for (at, finding) in shown.plan.findings.iter().enumerate() {
        let Some(margin) = finding.margin.filter(|margin| margin.abs() < NEAR) else {
            continue;
        };
        if finding.verdict == Verdict::Note || alone.nominal[at].is_none() || alone.effects[at].len() < 2 {
            continue;
        }
        match tightest.iter_mut().find(|(_, own, _)| own.check == finding.check) {
            None => tightest.push((at, finding, margin)),
            Some(own) if margin < own.2 => *own = (at, finding, margin),
            Some(_) => {}
        }
    }
    tightest.sort_by(|a, b| a.2.total_cmp(&b.2));
    let drawn = tightest.into_iter().take(DRAWN);
    let picture = |(at, finding, _): (usize, &Finding, f64)| {
        let input = |prefix| tornado(shown, at, finding, prefix);
        let name = format!("{NAME}-{at}");
        Picture::of(&name, title(finding), input, drawing::tornado).with(Files::None)
    };
    drawn.map(picture).collect()
}

fn title(finding: &Finding) -> String {
    format!("What the tolerances cost: {}", finding.id)
}

fn tornado(shown: &Shown<'_>, at: usize, finding: &Finding, prefix: String) -> Tornado {
    let (draws, alone) = (shown.material.draws, shown.material.draws.alone());
    let nominal = alone.nominal[at].unwrap_or(0.0);
    // Temperatures are shown in kelvins, all else in per cent of the limit.
    let (scale, unit) = finding
        .kelvins(1.0)
        .map_or((100.0, "%"), |whole| (whole.base(), "K"));
    let rows: Vec<TornadoRow> = alone.effects[at]
        .iter()
        .take(ROWS)
        .map(|effect| {
            let input = &draws.inputs()[effect.input];
            TornadoRow {
                label: capital(&input.name()),
                low: effect.low.unwrap_or(nominal) * scale,
                high: effect.high.unwrap_or(nominal) * scale,
                low_text: end(input.value.at_low().to_string(), effect.low),
                high_text: end(input.value.at_high().to_string(), effect.high),
            }
        })
        .collect();
    Tornado {
        head: super::head(
            shown,
            prefix,
            &title(finding),
            format!(
                "{} Each value alone at both ends of its tolerance.",
                sentence(&finding.headline)
            ),
        ),
        axis: format!("room to the limit, {unit}"),
        base: nominal * scale,
        limit: Some((0.0, "limit".to_owned())),
        rows,
    }
}

/// The end of an input; where another limit counts there, the bar stops short and says so.
fn end(value: String, margin: Option<f64>) -> String {
    if margin.is_some() {
        value
    } else {
        format!("{value}: other limit")
    }
}
