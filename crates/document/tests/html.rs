//! The page.

use document::html::{Drawing, Html, definitions};
use document::{Block, Text};

use crate::everything;
use crate::hostile::text_of;

const NO_DRAWING: Html<'_> = Html { drawings: &|_| None };

fn drawn(name: &str) -> Option<Drawing<'static>> {
    let drawing = Drawing {
        wide: "<svg class=\"w\"></svg>",
        narrow: "<svg class=\"n\"></svg>",
    };
    (name == "wiring.svg").then_some(drawing)
}

#[test]
fn a_page_of_every_block() {
    let page = Html { drawings: &drawn }.page(&everything::document());
    let style = page.find("<style>").unwrap()..page.find("</style>").unwrap();
    let mut page = page;
    page.replace_range(style, "<style>");
    // One element a line reads better.
    let page = [
        "<p", "<h", "<section", "<div", "<tr", "<li", "<details", "<figure", "<table", "<dl", "<article",
        "</",
    ]
    .iter()
    .take(11)
    .fold(page, |page, tag| page.replace(tag, &format!("\n{tag}")));
    insta::assert_snapshot!(page);
}

#[test]
fn one_block_is_rendered_alone() {
    let html = NO_DRAWING.blocks(&[Block::say(Text::of("a & b"))], 2);
    assert_eq!(html, "<p>a &amp; b</p>");
    let section = document::Section::new("Title", vec![Block::say("x")]).at("own");
    assert_eq!(
        NO_DRAWING.blocks(&[section.into()], 2),
        "<h3 id=\"own\">Title</h3><p>x</p>"
    );
    assert!(definitions().contains("mark-stop"));
}

/// Held against another parser: an HTML page by the standard of WHATWG.
#[test]
fn the_page_is_parsed_without_a_fault() {
    let page = Html { drawings: &drawn }.page(&everything::document());
    let (text, faults) = text_of(&page);
    assert!(faults.is_empty(), "{faults:?}");
    assert!(text.contains("<b>&amp;*_[x](y)|#1<U+202E>"), "{text}");
}
