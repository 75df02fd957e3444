//! The bring-up as a list to work through, with room to write what was read.

use bringup::{Expected, Needs, Phase, Step};
use maud::{Markup, html};
use plan::Verdict;

use super::marks::verdict_with;
use super::working::working;
use crate::shown::Shown;
use crate::words::{capital, sentence};

pub(super) fn steps(shown: &Shown<'_>) -> Markup {
    let mut phases: Vec<(Phase, Vec<(usize, &Step)>)> = Vec::new();
    for (at, step) in shown.material.steps.iter().enumerate() {
        match phases.last_mut() {
            Some((phase, own)) if *phase == step.phase => own.push((at + 1, step)),
            _ => phases.push((step.phase, vec![(at + 1, step)])),
        }
    }
    html! {
        div class="warning" role="note" {
            h3 { "Live work" }
            ul class="wide-list" { @for caution in bringup::cautions() { li { (caution) } } }
        }
        p {
            "Keep to the order: each step relies on those before it. Write down what you read; stop at the first reading \
             outside its limits and look for the cause."
        }
        @for (phase, steps) in &phases {
            h3 { (phase.title()) }
            @for (number, step) in steps { (self::step(shown, *number, step)) }
        }
        div class="sign" {
            div { "done by" } div { "date" } div { "looked through by" }
        }
    }
}

fn step(shown: &Shown<'_>, number: usize, step: &Step) -> Markup {
    html! {
        article class="step" id=(anchor(step)) {
            h4 { span class="box" aria-hidden="true" {} (number) ". " (step.title) }
            p class="small" { (needs(step.needs)) " " span class="quiet" { (sentence(&step.why)) } }
            @if let Some(hazard) = &step.hazard {
                p { (verdict_with(Verdict::Caution, "caution")) " " (sentence(hazard)) }
            }
            ol class="prose" { @for action in &step.actions { li { (sentence(action)) } } }
            @if !step.expected.is_empty() {
                table class="readings" {
                    thead { tr { th scope="col" { "Reading" } th scope="col" { "Expected" } th scope="col" { "Read" } } }
                    tbody { @for expected in &step.expected { (reading(shown, expected)) } }
                }
            }
            @if !step.otherwise.is_empty() {
                p class="small" { strong { "Otherwise: " } (sentence(&step.otherwise.join("; "))) }
            }
        }
    }
}

fn reading(shown: &Shown<'_>, expected: &Expected) -> Markup {
    html! {
        tr {
            td {
                (capital(&expected.what))
                @if !expected.working.is_empty() {
                    details class="block no-print" {
                        summary { span class="headline" { "How the limits came about" } }
                        div class="inside" { @for working in &expected.working { (self::working(shown, working)) } }
                    }
                }
            }
            td { strong { (expected.words()) } }
            td { span class="write" {} }
        }
    }
}

fn needs(needs: Needs) -> Markup {
    let words = match needs {
        Needs::Unplugged => "unplugged",
        Needs::Power => "under power",
        Needs::Motion => "moves",
        Needs::Heat => "heats",
    };
    html! { span class="needs" { (words) } }
}

/// Steps are named by us and by tags of the user: only safe letters go into the anchor.
fn anchor(step: &Step) -> String {
    let safe = |c: char| {
        if c.is_ascii_alphanumeric() || matches!(c, ':' | '-' | '_' | '.') {
            c
        } else {
            '-'
        }
    };
    format!("step-{}", step.id.chars().map(safe).collect::<String>())
}
