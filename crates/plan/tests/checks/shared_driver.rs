//! `shared-driver`: what each of two motors gets.

use crate::support::Case;
use plan::{Finding, Verdict};

fn second(case: &Case) -> Finding {
    let loaded = case.load();
    let way = loaded.ways("MZ2", "M2").into_iter().find(|way| way.second);
    loaded
        .pairs_in("shared-driver", "MZ2", way.expect("a Y-lead"))
        .remove(0)
}

/// Kirchhoff: of 1.2 A the motor of 3.5 Ω beside one of 4.5 Ω gets 1.2 · 4.5 / 8 = 0.675 A.
#[test]
fn the_smaller_winding_gets_more() {
    let finding = second(&Case::new());
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!((finding.value.expect("a current").nominal - 0.6).abs() < 1e-12);
    let unequal = second(&Case::new().device("MZ", "resistance = '4.5 Ω'"));
    assert!((unequal.value.expect("a current").nominal - 0.675).abs() < 1e-12);
    let over = Case::new()
        .device("MZ", "resistance = '4.5 Ω'")
        .device("MZ2", "current = '0.67 A'");
    assert_eq!(second(&over).verdict, Verdict::Caution);
}

#[test]
fn in_series_both_get_all() {
    let case = Case::new()
        .driver("D2", "motor_connection = 'series'")
        .port("M3", "driver = 'D2'")
        .without("new.toml", "[[driver]]\nname = \"D3\"");
    let loaded = case.load();
    let way = loaded.ways("MZ2", "M3").into_iter().find(|way| way.second);
    let finding = loaded
        .pairs_in("shared-driver", "MZ2", way.expect("a second socket"))
        .remove(0);
    assert!((finding.value.expect("a current").nominal - 0.6).abs() < 1e-12);
    assert!(finding.headline.contains("series"), "{}", finding.headline);
}

#[test]
fn a_motor_alone_is_left_alone() {
    assert!(Case::new().load().pairs("shared-driver", "MX", "M1").is_empty());
}
