//! The findings: what has to be settled first, then every check by group, each number with its working.

use maud::{Markup, html};
use plan::{Finding, Group, Verdict};

use super::marks::{count, mark, verdict, with_code};
use super::working::inside;
use super::{Pictures, picture};
use crate::shown::{Shown, title_of};
use crate::words::{capital, counted, share, spare, value_and_limit};

/// Blockers and cautions, each with what to do.
pub(super) fn open_points(shown: &Shown<'_>) -> Markup {
    let points = shown.plan.open_points();
    html! {
        @if points.is_empty() {
            p { "Nothing: no check found a blocker or a caution." }
        } @else {
            p {
                "Each point says what was found, what to do about it, and opens into how the number came about. \
                 Tolerances are taken at their worst corner. What can hurt people or burn comes first, then what can break parts; of each, what lies furthest beyond its limit."
            }
        }
        div class="points" { @for finding in points { (point(shown, finding)) } }
    }
}

fn point(shown: &Shown<'_>, finding: &Finding) -> Markup {
    html! {
        article class=(format!("point is-{}", finding.verdict.word())) id=(shown.anchor(finding)) {
            p { (verdict(finding.verdict)) " " span class="quiet" { (title_of(finding)) " · at stake: " (finding.stake.words()) } }
            h3 style="margin:2px 0 6px;font-size:1rem" { (capital(&finding.headline)) }
            @if let Some((value, limit)) = value_and_limit(finding) {
                dl class="numbers" {
                    div { dt { "Value" } dd { (value) } }
                    div { dt { "Limit" } dd { (limit) } }
                    @if let Some(margin) = finding.margin { div { dt { "Room" } dd { (spare(margin)) } } }
                }
            }
            @if let Some(remedy) = &finding.remedy { p { strong { "Do: " } (with_code(remedy)) } }
            @if !finding.parts.is_empty() {
                p {
                    strong { "Needs: " }
                    @for (at, part) in finding.parts.iter().enumerate() {
                        @if at > 0 { ", " }
                        (part.count) " × " (part.name)
                    }
                    " (" a href="#parts" { "counted under parts" } ")"
                }
            }
            details class="open" {
                summary { span class="headline" { "How this came about" } }
                div class="inside" { (inside(shown, finding)) }
            }
        }
    }
}

/// Every check, by group.
pub(super) fn all(shown: &Shown<'_>, pictures: &Pictures) -> Markup {
    html! {
        p {
            "Every number opens into formula, inputs, worst corner and source. "
            @for (at, verdict) in Verdict::WORST_FIRST.iter().enumerate() {
                @if at > 0 { ", " }
                (count(*verdict, shown.plan.count(*verdict)))
            }
            "."
        }
        @if let Some(margins) = &pictures.margins { (picture(margins, "")) }
        @for group in Group::ALL { (self::group(shown, group)) }
        p class="small quiet only-print" { "On paper the workings of what passed are left out; they are in the file dossier.html." }
    }
}

fn group(shown: &Shown<'_>, group: Group) -> Markup {
    let findings = shown.of_group(group);
    if findings.is_empty() {
        return html! {};
    }
    let mut checks: Vec<(&str, Vec<&Finding>)> = Vec::new();
    for finding in findings {
        match checks.iter_mut().find(|(check, _)| *check == finding.check) {
            Some((_, own)) => own.push(finding),
            None => checks.push((finding.check, vec![finding])),
        }
    }
    html! {
        h3 { (group.title()) }
        @for (_, findings) in &checks { (check(shown, findings)) }
    }
}

/// One check with all it found. Blockers and cautions stand above already: here they are links.
fn check(shown: &Shown<'_>, findings: &[&Finding]) -> Markup {
    let worst = findings
        .iter()
        .map(|finding| finding.verdict)
        .max()
        .unwrap_or(Verdict::Pass);
    let least = findings
        .iter()
        .filter_map(|finding| finding.margin)
        .min_by(f64::total_cmp);
    html! {
        details class="check" {
            summary {
                span class="title" { (mark(worst)) (title_of(findings[0])) }
                span { (counts(findings)) }
                @if let Some(least) = least { span class="quiet" { "least room " (share(least)) } }
            }
            div {
                @for finding in findings {
                    @if finding.verdict >= Verdict::Caution {
                        p class="row" {
                            (verdict(finding.verdict)) " "
                            a href=(format!("#{}", shown.anchor(finding))) { (capital(&finding.headline)) }
                        }
                    } @else { (row(shown, finding)) }
                }
            }
        }
    }
}

fn counts(findings: &[&Finding]) -> Markup {
    html! {
        @for verdict in Verdict::WORST_FIRST {
            @let count = findings.iter().filter(|finding| finding.verdict == verdict).count();
            @if count > 0 { span class=(format!("verdict {}", verdict.word())) { (counted(count, verdict)) } " " }
        }
    }
}

fn row(shown: &Shown<'_>, finding: &Finding) -> Markup {
    html! {
        details class=(format!("row is-{}", finding.verdict.word())) {
            summary {
                (mark(finding.verdict))
                span class="headline" { (capital(&finding.headline)) }
                @if let Some(margin) = finding.margin { span class="room" { (share(margin)) } }
            }
            // The anchor is inside, so that a link opens the row by itself.
            div class="inside" id=(shown.anchor(finding)) { (inside(shown, finding)) }
        }
    }
}
