//! Title, facts at a glance, cautions.

use maud::{Markup, html};
use plan::Verdict;

use super::marks::{count, verdict_with};
use crate::cautions::ALWAYS;
use crate::shown::Shown;
use crate::words::{plural, sentence};

pub(super) fn head(shown: &Shown<'_>) -> Markup {
    let swap = shown.swap;
    html! {
        header {
            h1 { (swap.name) }
            p class="lead" { (swap.machine.name) ": " (swap.old.name) " out, " (shown.plan.board.name) " in" }
            @if shown.invented() {
                p class="invented" { "Invented: machine, boards and figures are made up for an example" }
            }
            (facts(shown))
            div class="warning" role="note" {
                h2 style="border:0;margin:0 0 6px;padding:0;font-size:1.12rem" id="cautions" { "Before you begin" }
                ul class="wide-list" {
                    @for caution in ALWAYS { li { (caution) } }
                }
            }
        }
    }
}

fn facts(shown: &Shown<'_>) -> Markup {
    let (plan, entry) = (shown.plan, shown.entry);
    let points = [Verdict::Blocker, Verdict::Caution];
    html! {
        dl class="facts" {
            div { dt { "Board" } dd { (plan.board.name) } }
            div {
                dt { "Price with everything it needs" }
                dd { @match entry.price { Some(price) => (price), None => "not stated" } }
            }
            div {
                dt { "To settle first" }
                dd {
                    @for verdict in points {
                        div { (count(verdict, plan.count(verdict))) }
                    }
                }
            }
            div {
                dt { "Passed at the worst corner" }
                dd { (verdict_with(Verdict::Pass, &plural(plan.count(Verdict::Pass), "check", "checks"))) }
            }
            div {
                dt { "Wishes" }
                dd { (format!("{} of {} points served", entry.wishes.0, entry.wishes.1)) }
            }
            div {
                dt { "Work on leads" }
                dd { (format!("about {} min, {}", entry.minutes, plural(entry.leads_to_work_on, "lead", "leads"))) }
            }
            div {
                dt { "Wiring" }
                dd { a href="#alternatives" { (if plan.optimum.proved { "proved best" } else { "not proved best" }) } }
            }
        }
        @if entry.blockers > 0 {
            p { strong { (sentence(&format!("{} cannot be built like this", plan.board.name))) } " " a href="#open-points" { "What stands against it" } }
        }
    }
}
