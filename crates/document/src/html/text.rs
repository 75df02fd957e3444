//! Text as HTML. Whatever somebody wrote passes [`Words`], which escapes and shows what is hidden.

use maud::{Escaper, Markup, Render, html};

use crate::{Mark, Span, Swatch, Text, visible};

/// Words as text of the page.
pub(super) struct Words<'w>(pub &'w str);

impl Render for Words<'_> {
    fn render_to(&self, buffer: &mut String) {
        use core::fmt::Write as _;
        // Writing to a string cannot fail.
        let _ = Escaper::new(buffer).write_str(&visible(self.0));
    }
}

/// A line of text.
pub(super) fn text(text: &Text) -> Markup {
    html! { @for own in text.spans() { (span(own)) } }
}

fn span(span: &Span) -> Markup {
    html! {
        @match span {
            Span::Plain(words) => { (Words(words)) }
            Span::Strong(words) => { strong { (Words(words)) } }
            Span::Quiet(words) => { span class="quiet" { (Words(words)) } }
            Span::Code(words) => { code { (Words(words)) } }
            Span::Tag(words) => { span class="tag" { (Words(words)) } }
            Span::Link { to, words } => { a href=(visible(&format!("#{to}"))) { (Words(words)) } }
            Span::Verdict(mark, words) => { (verdict(*mark, words)) }
            Span::Quantity { .. } => { span class="keep" { (Words(&span.words())) } }
            Span::Swatch(swatch) => { span class="swatch" aria-hidden="true" style=(colours(swatch)) {} }
            Span::Blank => { span class="write" {} }
        }
    }
}

/// Shape and words of a verdict.
pub(super) fn verdict(mark: Mark, words: &str) -> Markup {
    html! { span class=(format!("verdict {}", mark.name())) { (shape(mark)) (Words(words)) } }
}

/// The shape alone, where the words stand elsewhere.
pub(super) fn shape(mark: Mark) -> Markup {
    let name = mark.name();
    html! { svg class=(format!("mark {name}")) aria-hidden="true" { use href=(format!("#mark-{name}")) {} } }
}

fn colours(swatch: &Swatch) -> String {
    let css = |[red, green, blue]: [u8; 3]| format!("#{red:02x}{green:02x}{blue:02x}");
    let first = css(swatch.first);
    match swatch.second.map(css) {
        None => format!("background:{first}"),
        Some(second) => format!("background:linear-gradient({first} 50%,{second} 50%)"),
    }
}
