//! The proof, and the next-best assignments.

use maud::{Markup, html};
use plan::Alternative;

use crate::shown::Shown;
use crate::words::sentence;

pub(super) fn alternatives(shown: &Shown<'_>) -> Markup {
    let optimum = &shown.plan.optimum;
    html! {
        p { "The wiring above is " (sentence(&optimum.proof)) }
        p class="small quiet" {
            "Counted in this order: needed devices without a port, wishes by their worth, cautions, settings that change, \
             minutes of work, millimetres of lead. It costs " (optimum.objective.words()) "."
        }
        @if shown.alternatives.is_empty() {
            p { "There is no other way that puts a device elsewhere." }
        } @else {
            p { "The next best ways to wire it, should one of the ports turn out to be broken or out of reach:" }
            ol class="prose" {
                @for alternative in &shown.alternatives { li { (moves(shown, alternative)) } }
            }
        }
    }
}

fn moves(shown: &Shown<'_>, alternative: &Alternative) -> Markup {
    html! {
        @for (at, id) in alternative.moved.iter().enumerate() {
            @if at > 0 { "; " }
            strong { (shown.swap.machine.device(*id).tag) } " "
            @match alternative.ways[id.0] {
                Some(way) => { (plan::words(shown.plan, way)) }
                None => { "left off" }
            }
        }
        ". It costs " (alternative.more.words()) " more."
    }
}
