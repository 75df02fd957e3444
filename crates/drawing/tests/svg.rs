//! Every picture is well-formed, stands alone, can be put beside others, and says what it shows.

use std::collections::BTreeSet;

use drawing::Layout;
use roxmltree::{Document, Node};

use crate::scenario;

fn pictures(layout: Layout) -> Vec<String> {
    vec![
        drawing::wiring(&scenario::wiring(), layout),
        drawing::board(&scenario::board(), layout),
        drawing::margins(&scenario::margins(), layout),
        drawing::comparison(&scenario::comparison(), layout),
        drawing::scatter(&scenario::scatter(), layout),
        drawing::plot(&scenario::plot(), layout),
        drawing::surface(&scenario::surface(), layout),
        drawing::tornado(&scenario::tornado(), layout),
        drawing::spans(&scenario::spans(), layout),
        drawing::cells(&scenario::cells(), layout),
    ]
}

fn all() -> Vec<String> {
    let mut all = pictures(Layout::Wide);
    all.extend(pictures(Layout::Narrow));
    all.extend(drawing::tags(&scenario::tags()));
    all
}

fn child_text<'a>(root: Node<'a, 'a>, name: &str) -> Option<&'a str> {
    root.children()
        .find(|n| n.has_tag_name(("http://www.w3.org/2000/svg", name)))?
        .text()
}

#[test]
fn each_is_well_formed_and_says_what_it_shows() {
    for svg in all() {
        let tree = Document::parse(&svg).unwrap();
        let root = tree.root_element();
        assert_eq!(root.tag_name().name(), "svg");
        assert_eq!(root.attribute("role"), Some("img"));
        let (title, text) = (
            child_text(root, "title").unwrap(),
            child_text(root, "desc").unwrap(),
        );
        assert!(!title.is_empty() && text.contains("invented"), "{title}: {text}");
        // Both are named in the label, and shapes have no children: an open element would swallow the next ones.
        let named: Vec<&str> = root.attribute("aria-labelledby").unwrap().split(' ').collect();
        for id in named {
            assert!(tree.descendants().any(|n| n.attribute("id") == Some(id)), "{id}");
        }
        let shapes = ["line", "rect", "circle", "path"];
        let swallowed = tree
            .descendants()
            .filter(|n| shapes.contains(&n.tag_name().name()))
            .find(|n| n.has_children());
        assert!(swallowed.is_none(), "{swallowed:?}");
    }
}

#[test]
fn pictures_of_a_page_share_no_identifier() {
    let mut seen = BTreeSet::new();
    let page: Vec<String> = pictures(Layout::Wide)
        .into_iter()
        .chain(drawing::tags(&scenario::tags()))
        .collect();
    for svg in &page {
        let tree = Document::parse(svg).unwrap();
        for id in tree.descendants().filter_map(|n| n.attribute("id")) {
            assert!(seen.insert(id.to_owned()), "{id} twice");
        }
    }
}

#[test]
fn no_style_leaks_and_no_class_is_undefined() {
    for svg in all() {
        let tree = Document::parse(&svg).unwrap();
        let css = child_text(tree.root_element(), "style").unwrap();
        let without_media = css
            .replace("@media (prefers-color-scheme:dark){", "")
            .replace("@media print{", "");
        for rule in without_media.split('}').map(str::trim).filter(|r| !r.is_empty()) {
            assert!(rule.starts_with(".dwg"), "leaks: {rule}");
        }
        for class in tree
            .descendants()
            .filter_map(|n| n.attribute("class"))
            .flat_map(str::split_whitespace)
        {
            assert!(
                class == "dwg" || css.contains(&format!(".{class}{{")),
                "undefined: {class}"
            );
        }
        for used in css.split("var(--").skip(1).filter_map(|s| s.split(')').next()) {
            assert_eq!(
                css.matches(&format!("--{used}:")).count(),
                3,
                "{used}: light, dark, print"
            );
        }
    }
}

#[test]
fn nothing_reaches_outside() {
    for svg in all() {
        for word in ["href", "url(", "<script", "<image", "@import", "NaN", "inf"] {
            let body = svg.replace("http://www.w3.org/2000/svg", "");
            assert!(!body.contains(word), "{word}");
        }
    }
}

/// Text that keeps 11 CSS pixels at 390 px; the view box must not be wider, or the phone would shrink it.
#[test]
fn a_phone_gets_text_of_eleven_pixels() {
    for svg in pictures(Layout::Narrow) {
        let tree = Document::parse(&svg).unwrap();
        let view = tree.root_element().attribute("viewBox").unwrap();
        let width: f64 = view.split(' ').nth(2).unwrap().parse().unwrap();
        assert!(width <= 390.0, "{width}");
        for text in tree
            .descendants()
            .filter(|n| n.has_tag_name(("http://www.w3.org/2000/svg", "text")))
        {
            let size: f64 = text.attribute("font-size").unwrap().parse().unwrap();
            assert!(size >= 11.0, "{:?} has {size}", text.text());
        }
    }
}

#[test]
fn every_wire_shows_its_letters_and_every_lead_its_work() {
    for layout in [Layout::Wide, Layout::Narrow] {
        let input = scenario::wiring();
        let svg = drawing::wiring(&input, layout);
        let tree = Document::parse(&svg).unwrap();
        let count = |text: &str| {
            tree.descendants()
                .filter(|n| n.is_text() && n.text() == Some(text))
                .count()
        };
        for letters in ["RD", "BK", "WHBK", "GN"] {
            let wanted = input
                .cables
                .iter()
                .flat_map(|l| &l.wires)
                .filter(|w| w.letters == letters)
                .count();
            assert_eq!(count(letters), wanted, "{letters}");
        }
        for words in [
            "move plug",
            "re-pin",
            "re-crimp",
            "extend",
            "level shifter",
            "own supply",
        ] {
            let wanted = input
                .cables
                .iter()
                .flat_map(|l| &l.actions)
                .filter(|a| a.words() == words)
                .count();
            assert!(wanted > 0 && count(words) == wanted, "{words}");
        }
    }
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    assert_eq!(all(), all());
}
