//! Beside the worst case: what each tolerance does by itself, and how likely a limit holds.

use maud::{Markup, html};
use plan::{Effect, Finding, Verdict};

use super::{Pictures, picture};
use crate::shown::Shown;
use crate::words::{capital, chance, percent, rooms, share};

/// How many tolerances a finding lists.
const LISTED: usize = 6;

/// The tolerances that move the margin of a finding, the costliest first.
pub(super) fn of(shown: &Shown<'_>, finding: &Finding) -> Markup {
    let alone = shown.material.draws.alone();
    let Some(at) = shown.plan.place_of(finding) else {
        return html! {};
    };
    let effects = &alone.effects[at];
    let Some(nominal) = alone.nominal[at].filter(|_| !effects.is_empty()) else {
        return html! {};
    };
    if finding.verdict < Verdict::Caution {
        return brief(shown, nominal, effects);
    }
    let end = |margin: Option<f64>| margin.map_or_else(|| "another limit counts".to_owned(), share);
    html! {
        table class="tolerances" {
            caption { "Each tolerance by itself, the others nominal. With all nominal the room is " (share(nominal)) "." }
            thead { tr { th scope="col" { "Value" } th scope="col" class="number" { "Room at its lower end" } th scope="col" class="number" { "at its upper end" } } }
            tbody {
                @for effect in effects.iter().take(LISTED) {
                    @let input = &shown.material.draws.inputs()[effect.input];
                    tr {
                        th scope="row" { (input.name()) " " span class="quiet" { (input.value.to_string()) } }
                        td class="number" { (end(effect.low)) }
                        td class="number" { (end(effect.high)) }
                    }
                }
            }
        }
        @if effects.len() > LISTED { p class="small quiet" { (effects.len() - LISTED) " more move it less." } }
    }
}

/// For what holds anyway: one line with the costliest.
fn brief(shown: &Shown<'_>, nominal: f64, effects: &[Effect]) -> Markup {
    const NAMED: usize = 3;
    let named = effects
        .iter()
        .filter(|effect| effect.cost(nominal) > 0.0)
        .take(NAMED);
    let words: Vec<String> = named
        .map(|effect| {
            let input = &shown.material.draws.inputs()[effect.input];
            format!("{} takes {}", input.name(), percent(effect.cost(nominal)))
        })
        .collect();
    html! {
        p class="small quiet" {
            "With all values nominal the room is " (share(nominal))
            @if !words.is_empty() { "; " (words.join(", ")) " of the limit by itself" }
            "."
        }
    }
}

/// Which limits that the worst corner breaks hold on most machines, and which tolerance to narrow first.
pub(super) fn section(shown: &Shown<'_>, pictures: &Pictures) -> Markup {
    let (draws, tally) = (shown.material.draws, shown.material.tally);
    let broken = shown.plan.broken();
    html! {
        p {
            "The verdicts are for the worst corner, where all tolerances conspire. Here " (tally.without_blocker.draws)
            " machines are drawn, each of " (draws.inputs().len()) " values anywhere within its tolerance alike, and every check is run \
            on each. A chance is worth no more than that assumption; where a failure can hurt, the worst corner counts."
        }
        dl class="numbers" {
            div { dt { "Nothing is a blocker on" } dd { (chance(tally.without_blocker)) } }
            div { dt { "Nothing is a blocker or a caution on" } dd { (chance(tally.without_caution)) } }
        }
        @if broken.is_empty() {
            p { "No limit is broken at the worst corner, so all hold on every machine within the tolerances." }
        } @else {
            div class="scroll" { table {
                caption { "Limits that the worst corner breaks" }
                thead { tr {
                    th scope="col" { "Finding" } th scope="col" { "Holds on" }
                    th scope="col" { "Room at the worst corner; what 5 % and half of the draws stay below" }
                } }
                tbody { @for at in &broken {
                    @let finding = &shown.plan.findings[*at];
                    tr {
                        th scope="row" { a href=(format!("#{}", shown.anchor(finding))) { (capital(&finding.headline)) } }
                        td { (chance(tally.findings[*at].chance)) }
                        td { (rooms(finding, &tally.findings[*at]).join("; ")) }
                    }
                } }
            } }
        }
        @for (_, tornado) in &pictures.tornadoes { (picture(tornado, "")) }
    }
}
