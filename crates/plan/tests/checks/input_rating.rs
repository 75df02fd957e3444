//! `input-rating`: what stands on a pin against what it bears.

use crate::support::Case;
use plan::Verdict;

fn probe(bears: &str, level: &str) -> Case {
    Case::new()
        .port("PROBE", &format!("max_input_voltage = '{bears}'"))
        .port("PROBE", "level = '3.3 V'")
        .device("BP", &format!("level = '{level}'"))
}

/// 0.3 V above the supply: electrical characteristics in data sheets of processors (from memory).
#[test]
fn in_and_out_at_three_tenths_above() {
    assert_eq!(
        probe("5 V", "5 V").pair("input-rating", "BP", "PROBE").verdict,
        Verdict::Pass
    );
    assert_eq!(
        probe("3.3 V", "3.59 V")
            .pair("input-rating", "BP", "PROBE")
            .verdict,
        Verdict::Pass
    );
    let out = probe("3.3 V", "3.61 V").pair("input-rating", "BP", "PROBE");
    assert_eq!(out.verdict, Verdict::Caution);
    assert_eq!(out.parts[0].name, "signal divider");
    assert_eq!(out.margin, None, "the divider changes it");
}

#[test]
fn the_worst_corner_counts() {
    assert_eq!(
        probe("5 V", "5 V ± 5 %")
            .pair("input-rating", "BP", "PROBE")
            .verdict,
        Verdict::Pass
    );
    assert_eq!(
        probe("5 V", "5 V ± 7 %")
            .pair("input-rating", "BP", "PROBE")
            .verdict,
        Verdict::Caution
    );
}

#[test]
fn what_comes_from_24_volt_is_kept_apart() {
    let out = probe("5 V", "24 V").pair("input-rating", "BP", "PROBE");
    assert_eq!(out.parts[0].name, "optocoupler input");
}

#[test]
fn contacts_and_open_collectors_put_no_voltage_on_a_pin() {
    let base = Case::new()
        .port("IN1", "max_input_voltage = '3.3 V'")
        .port("IN2", "max_input_voltage = '3.3 V'");
    assert_eq!(base.pair("input-rating", "LX", "IN1").verdict, Verdict::Pass);
    assert_eq!(base.pair("input-rating", "FS", "IN2").verdict, Verdict::Pass);
    // With a pull-up to 5 V inside they do.
    let pulled = base.device("FS", "level = '5 V'");
    assert_eq!(
        pulled.pair("input-rating", "FS", "IN2").parts[0].name,
        "signal divider"
    );
}

#[test]
fn the_device_has_its_limit_too() {
    let base = Case::new();
    assert_eq!(base.load().pairs("input-rating", "BP", "PROBE").len(), 1);
    let weak = base.device("BP", "max_input_voltage = '3.3 V'").load();
    let findings = weak.pairs("input-rating", "BP", "PROBE");
    assert_eq!(findings.len(), 2, "{findings:#?}");
    assert_eq!(findings[1].verdict, Verdict::Caution);
}
