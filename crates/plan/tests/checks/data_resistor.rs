//! `data-resistor`: between what damps and what rounds.

use crate::support::Case;
use plan::Verdict;

#[test]
fn in_and_out_of_the_usual() {
    let with = |resistor: &str| {
        let case = Case::new().port("LIGHT", &format!("series_resistor = '{resistor}'"));
        case.pair("data-resistor", "LS", "LIGHT").verdict
    };
    assert_eq!(with("100 Ω"), Verdict::Pass);
    assert_eq!(with("99 Ω"), Verdict::Note);
    assert_eq!(with("500 Ω"), Verdict::Pass);
    assert_eq!(with("501 Ω"), Verdict::Note);
    let none = Case::new().without_line("new.toml", "[[port]]\nname = \"LIGHT\"", "series_resistor");
    assert_eq!(none.pair("data-resistor", "LS", "LIGHT").verdict, Verdict::Note);
}

/// What counts is the nearer of the two ends: 100 Ω below, 500 Ω above (the limits of the list; arithmetic redone).
#[test]
fn the_margin_is_that_of_the_nearer_end() {
    for (ohms, expected) in [
        (110.0, 0.1),
        (300.0, 0.4),
        (490.0, 0.02),
        (90.0, -0.1),
        (550.0, -0.1),
    ] {
        let case = Case::new().port("LIGHT", &format!("series_resistor = '{ohms} Ω'"));
        let margin = case
            .pair("data-resistor", "LS", "LIGHT")
            .margin
            .expect("a margin");
        assert!((margin - expected).abs() < 1e-9, "{ohms} Ω: {margin}");
    }
}
