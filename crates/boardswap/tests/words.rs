//! Places where the words once said something wrong, held on the demonstration.

mod support;

use support::{demo, run, stderr, stdout};

/// One line of text: the terminal breaks it anywhere.
fn said(arguments: &[&str]) -> String {
    let output = run(&demo(), arguments);
    assert_eq!(stderr(&output), "");
    let text = stdout(&output);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A new housing says what is new about it: the number of its ways.
#[test]
fn a_housing_of_more_ways_says_so() {
    let text = said(&["wiring", "--board", "Birch B6"]);
    assert!(
        text.contains("3-way housing of crimp 2.5 mm (was 2-way crimp 2.5 mm)"),
        "{text}"
    );
}

/// What a tolerance costs is told as "from .. to ..": a share of a margin near nothing means nothing.
#[test]
fn what_a_tolerance_costs_is_told_from_one_margin_to_another() {
    let text = said(&["tolerance", "--board", "Alder A4", "--trials", "500"]);
    assert!(text.contains(": from +") && text.contains(" to "), "{text}");
    assert!(!text.contains("% of −") && !text.contains("% of <"), "{text}");
}
