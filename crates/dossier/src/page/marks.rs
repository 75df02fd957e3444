//! The marks of verdicts: each has a shape of its own, and its word stands beside it.

use maud::{Markup, html};
use plan::Verdict;

use crate::words::counted;

/// The shapes, once for the whole page.
pub(super) fn definitions() -> Markup {
    html! {
        svg width="0" height="0" aria-hidden="true" style="position:absolute" {
            symbol id="mark-blocker" viewBox="-8 -8 16 16" {
                path d="M-2.9-7H2.9L7-2.9V2.9L2.9 7H-2.9L-7 2.9V-2.9Z" stroke-width="1.8" {}
                path d="M-3-3L3 3M3-3L-3 3" stroke-width="2" {}
            }
            symbol id="mark-caution" viewBox="-8 -8 16 16" {
                path d="M0-6.6L7 6H-7Z" stroke-width="1.8" stroke-linejoin="round" {}
                path d="M0-2.4V1.6M0 3.4V4.6" stroke-width="1.8" {}
            }
            symbol id="mark-note" viewBox="-8 -8 16 16" {
                path d="M-6-6H6V6H-6Z" stroke-width="1.8" {}
                path d="M0-4V-2.4M0-.8V4" stroke-width="1.8" {}
            }
            symbol id="mark-pass" viewBox="-8 -8 16 16" {
                circle r="6.8" stroke-width="1.8" {}
                path d="M-3.2.2L-.8 2.8L3.4-2.6" stroke-width="1.8" {}
            }
        }
    }
}

/// The shape alone, where the word stands elsewhere.
pub(super) fn mark(verdict: Verdict) -> Markup {
    html! {
        svg class=(format!("mark {}", verdict.word())) aria-hidden="true" {
            use href=(format!("#mark-{}", verdict.word())) {}
        }
    }
}

/// Shape and word.
pub(super) fn verdict(verdict: Verdict) -> Markup {
    html! { span class=(format!("verdict {}", verdict.word())) { (mark(verdict)) (verdict.word()) } }
}

/// A count of findings with its shape; none of what is bad is good.
pub(super) fn count(verdict: Verdict, count: usize) -> Markup {
    let calm = if count == 0 { Verdict::Pass } else { verdict };
    verdict_with(calm, &counted(count, verdict))
}

/// Words in which backticks mark what stands in files.
pub(super) fn with_code(words: &str) -> Markup {
    html! {
        @for (at, part) in words.split('`').enumerate() {
            @if at % 2 == 1 { code { (part) } } @else { (part) }
        }
    }
}

/// Shape with words of the caller.
pub(super) fn verdict_with(verdict: Verdict, words: &str) -> Markup {
    html! { span class=(format!("verdict {}", verdict.word())) { (mark(verdict)) (words) } }
}
