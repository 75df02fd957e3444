//! `level-from-device`: thresholds of the processor's pins, in and out at the limit.

use crate::support::Case;
use plan::Verdict;

fn probe(level: &str) -> Case {
    Case::new().device("BP", &format!("level = '{level}'"))
}

/// 0.7 VDD for CMOS inputs, as addressable-light-sheet and many others have it: at 3.3 V that is 2.31 V.
#[test]
fn seven_tenths_of_the_supply() {
    let check = |level| probe(level).pair("level-from-device", "BP", "PROBE");
    let finding = check("3.3 V");
    assert_eq!(finding.verdict, Verdict::Pass);
    let needed = finding.working[0].result.nominal;
    assert!((needed - 2.31).abs() < 1e-12, "{needed}");
    assert_eq!(
        check("2.52 V").verdict,
        Verdict::Pass,
        "2.31 V and 0.2 V for noise"
    );
    assert_eq!(check("2.50 V").verdict, Verdict::Caution);
    let out = check("2.30 V");
    assert_eq!(out.verdict, Verdict::Caution);
    assert_eq!(out.parts[0].name, "level shifter");
}

#[test]
fn the_worst_corner_of_both_supplies_counts() {
    let case = probe("2.6 V ± 1 %").board("[processor]", "logic = '3.3 V ± 3 %'");
    // Needed: 0.7 · 3.399 V + 0.2 V = 2.579 V; sent: 2.574 V.
    assert_eq!(
        case.pair("level-from-device", "BP", "PROBE").verdict,
        Verdict::Caution
    );
    let better = probe("2.61 V ± 1 %").board("[processor]", "logic = '3.3 V ± 3 %'");
    assert_eq!(
        better.pair("level-from-device", "BP", "PROBE").verdict,
        Verdict::Pass
    );
}

#[test]
fn a_pull_up_makes_the_level_of_contacts() {
    let finding = Case::new().pair("level-from-device", "LX", "IN1");
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!((finding.value.expect("a level").nominal - 3.3).abs() < 1e-12);
}

#[test]
fn a_panel_of_3_3_volt_is_read_by_a_board_of_5_volt() {
    // 60 % of 5 V are 3 V: data sheets of 5 V processors (from memory).
    let case = Case::new().board("[processor]", "logic = '5 V'");
    let panel = |level: &str| case.clone().device("PA", &format!("level = '{level}'"));
    assert_eq!(
        panel("3.3 V").pair("level-from-device", "PA", "PANEL").verdict,
        Verdict::Pass
    );
    let out = panel("2.9 V").pair("level-from-device", "PA", "PANEL");
    assert_eq!(out.parts[0].name, "level shifter");
}
