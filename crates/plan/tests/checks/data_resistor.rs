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
