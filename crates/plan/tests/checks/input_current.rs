//! `input-current`: heat-up against the rating, hot against its share, and the heater that is moved off.

use crate::support::Case;
use plan::{Finding, Verdict};

const PLACES: [(&str, &str); 4] = [("PS", "POWER"), ("H1", "HEAT1"), ("H2", "BED"), ("F1", "FAN1")];

fn bare() -> Case {
    Case::new()
        .without_line("new.toml", "[rails.5V]", "board_current")
        .without_line("new.toml", "[rails.\"3.3V\"]", "board_current")
        .board("[input]", "fuse = '100 A'")
}

fn at(input: f64) -> Vec<Finding> {
    bare()
        .board("[input]", &format!("current = '{input:.4} A'"))
        .load()
        .wholes_at("input-current", &PLACES)
}

// 40 W and 192 W copper at 24 V: 1.6667 A, 8 A / 0.98035 at 15 °C, 8 A / 1.3144 at 100 °C; a fan of 0.2 A.
const COLD: f64 = 40.0 / 24.0 + 8.0 / 0.98035 + 0.2;
const HOT: f64 = 40.0 / 24.0 + 8.0 / 1.3144 + 0.2;

#[test]
fn the_rating_holds_at_heat_up_and_its_share_for_long() {
    let enough = at(COLD + 0.001);
    assert_eq!(enough[0].verdict, Verdict::Pass);
    assert!((enough[0].value.expect("a current").nominal - COLD).abs() < 1e-9);
    assert!((enough[1].value.expect("a current").nominal - HOT).abs() < 1e-9);
    // A bed of an alloy draws for long what it draws when cold.
    let long = 40.0 / 24.0 + 8.0 + 0.2;
    let verdict = |input: f64| {
        bare()
            .device("H2", "element = 'alloy'")
            .board("[input]", &format!("current = '{input:.4} A'"))
            .load()
            .wholes_at("input-current", &PLACES)[1]
            .verdict
    };
    assert_eq!(verdict(long / 0.8 + 0.001), Verdict::Pass);
    assert_eq!(verdict(long / 0.8 - 0.001), Verdict::Caution);
}

#[test]
fn the_bed_is_moved_off_where_that_is_enough() {
    let moved = at(COLD - 0.001);
    assert_eq!(moved[0].verdict, Verdict::Caution);
    assert_eq!(moved[0].parts[0].name, "external heater switch");
    assert_eq!(moved[0].subject.device.as_deref(), Some("H2"));
    // What is left is judged without the bed.
    assert_eq!(moved[1].verdict, Verdict::Pass);
    let left = 40.0 / 24.0 + 0.2;
    assert!((moved[1].value.expect("a current").nominal - left).abs() < 1e-9);
    // Where even the rest is too much, nothing is mended.
    let refused = at(left - 0.001);
    assert_eq!(refused[0].verdict, Verdict::Blocker);
    assert!(refused.iter().all(|finding| finding.parts.is_empty()));
}

#[test]
fn a_fuse_that_would_open_moves_the_bed_off_too() {
    // A blade fuse has opened within 600 s at 1.35 times its rating (ISO 8820-3, from memory).
    let at = |fuse: f64| {
        bare()
            .board("[input]", &format!("fuse = '{fuse:.4} A'"))
            .load()
            .wholes_at("input-current", &PLACES)
    };
    assert!(at(COLD / 1.35 + 0.001)[0].parts.is_empty());
    assert!(!at(COLD / 1.35 - 0.001)[0].parts.is_empty());
}
