//! What opens below a number: formula, numbers, corners, limit, sources.

use maud::{Markup, html};
use physics::Working;
use plan::{Finding, Verdict};

use super::marks::with_code;
use crate::shown::Shown;
use crate::words::{capital, corners, spare, value_and_limit};

/// Everything behind a finding.
pub(super) fn inside(shown: &Shown<'_>, finding: &Finding) -> Markup {
    html! {
        @for working in &finding.working { (self::working(shown, working)) }
        @if let Some((value, limit)) = value_and_limit(finding) {
            dl class="numbers" {
                div { dt { "Value" } dd { (value) } }
                div { dt { "Limit" } dd { (limit) } }
                @if let Some(margin) = finding.margin {
                    div {
                        dt { "Room at the worst corner" }
                        dd { @if let Some(sum) = finding.margin_sum() { (sum) " = " } (spare(margin)) }
                    }
                }
            }
        }
        (super::tolerances::of(shown, finding))
        @if finding.verdict < Verdict::Caution {
            @if let Some(remedy) = &finding.remedy { p { strong { "Do: " } (with_code(remedy)) } }
        }
        p class="small quiet" {
            (if finding.limit.is_some() { "Limit from: " } else { "Rule from: " }) (shown.citation(finding.source)) "."
            @if let Some(place) = finding.place {
                " Hangs on " code { (shown.swap.sources.show(place)) } "."
            }
            " Name: " code { (finding.id) }
        }
    }
}

/// One formula with its numbers. There are hundreds of these on a page: the style sheet knows laws and source by their place.
pub(super) fn working(shown: &Shown<'_>, working: &Working) -> Markup {
    html! {
        figure class="working" {
            figcaption { (capital(working.formula.title)) }
            span { (working.law()) }
            span { (working.with_numbers()) }
            span { strong { (working.result_line()) } }
            @if !working.inputs.is_empty() {
                table {
                    // Hundreds of these tables stand on a page: the scope of their headings is the one that is implied.
                    thead { tr { th { "Symbol" } th { "Value" } th { "Meaning" } } }
                    tbody {
                        @for input in &working.inputs {
                            tr { th { (input.symbol) } td { (input.value.to_string()) } td { (input.what) } }
                        }
                    }
                }
            }
            @if let Some(corners) = corners(working) { p { "The result is " (corners) "." } }
            p { "Formula from: " (shown.formula_source(working)) "." }
        }
    }
}
