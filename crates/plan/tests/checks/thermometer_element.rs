//! `thermometer-element`: the published range, with and without headroom.

use crate::support::Case;
use plan::Verdict;

/// The table of the glass thermistor (glass-ntc-tables) ends at 250 °C.
#[test]
fn in_and_out_of_the_published_range() {
    let at = |working: &str| {
        let case = Case::new().device("T1", &format!("working_temperature = '{working}'"));
        case.pair("thermometer-element", "T1", "TH1").verdict
    };
    assert_eq!(at("230 °C"), Verdict::Pass);
    assert_eq!(at("231 °C"), Verdict::Note);
    assert_eq!(at("250 °C"), Verdict::Note);
    assert_eq!(at("251 °C"), Verdict::Caution);
}
