//! `contradictions`: each pair agrees in the base, and is named where it does not. Bounds are common practice, no source.

use crate::support::{Case, example};
use plan::Verdict;

fn found(case: &Case) -> Vec<(String, Verdict)> {
    let found = case.load().wholes_at("contradictions", &[("PS", "POWER")]);
    found
        .into_iter()
        .map(|finding| (finding.id, finding.verdict))
        .collect()
}

#[track_caller]
fn only(case: &Case, id: &str) {
    assert_eq!(found(case), [(format!("contradictions:{id}"), Verdict::Caution)]);
}

#[test]
fn the_base_agrees_with_itself() {
    assert_eq!(
        found(&Case::new()),
        [("contradictions".to_owned(), Verdict::Pass)]
    );
    for name in ["demo", "second"] {
        let swap = example(name);
        let plan = plan::plan(&swap, &swap.candidates[0]);
        let own = plan
            .findings
            .iter()
            .filter(|finding| finding.check == "contradictions");
        assert!(
            own.into_iter().all(|finding| finding.verdict == Verdict::Pass),
            "{name}"
        );
    }
}

#[test]
fn cables_and_ports_that_cannot_be_as_they_are_written_are_named() {
    only(&Case::new().cable("PS", "colours = ['BK', 'RD']"), "PS-colours");
    only(&Case::new().cable("PS", "colours = ['GNYE', 'BK']"), "PS-colours");
    for colours in ["['RD', 'RD']", "['BN', 'BU']", "['--', 'RDBU']"] {
        let case = Case::new().cable("PS", &format!("colours = {colours}"));
        assert_eq!(
            found(&case),
            [("contradictions".to_owned(), Verdict::Pass)],
            "{colours}"
        );
    }
    only(&Case::new().device("H1", "power = '400 W'"), "H1-old-port");
}

#[test]
fn a_pin_that_stands_twice_is_named_unless_the_file_says_so() {
    let twice = Case::new().port("HEAT1", "processor_pin = 'N17'");
    only(&twice, "New-board-HEAT1-pin");
    let said = twice.port("HEAT1", "excludes = ['BED']");
    assert_eq!(found(&said), [("contradictions".to_owned(), Verdict::Pass)]);
    // The signal of a probe and a switch input may be one pin; two switch inputs may not.
    let probe = Case::new().port("IN1", "processor_pin = 'S15'");
    assert_eq!(found(&probe), [("contradictions".to_owned(), Verdict::Pass)]);
    only(
        &Case::new().port("IN2", "processor_pin = 'X8'"),
        "New-board-IN2-pin",
    );
}

#[test]
fn a_rail_is_what_its_name_says() {
    only(
        &Case::new().board("[rails.12V]", "voltage = '21 V'"),
        "New-board-rail-12V",
    );
    only(
        &Case::new().board("[rails.\"3.3V\"]", "voltage = '2.5 V'"),
        "New-board-rail-3.3V",
    );
    let trimmed = Case::new().board("[rails.12V]", "voltage = '13 V'");
    assert_eq!(found(&trimmed), [("contradictions".to_owned(), Verdict::Pass)]);
}

#[test]
fn a_reference_is_not_above_the_logic() {
    only(
        &Case::new().port("TH1", "reference = '5 V'"),
        "New-board-TH1-reference",
    );
}

#[test]
fn each_pair_that_disagrees_is_named() {
    // 2 · (1.5 A)² · 16.5 Ω = 74 W.
    only(&Case::new().device("MX", "resistance = '16.5 Ω'"), "MX-winding");
    only(&Case::new().device("MX", "resistance = '0.05 Ω'"), "MX-winding");
    // 26 W, and more than its old port gave.
    let both = ["F1-power", "F1-old-port"].map(|id| (format!("contradictions:{id}"), Verdict::Caution));
    assert_eq!(found(&Case::new().device("F1", "current = '1.1 A'")), both);
    let strip = Case::new().device("LS", "led_count = 40");
    only(&strip.clone().device("LS", "strip_length = '60 mm'"), "LS-lights");
    only(&strip.device("LS", "strip_length = '7 m'"), "LS-lights");
    only(&Case::new().device("BP", "stall_current = '0.1 A'"), "BP-stall");
    only(&Case::new().device("BP", "level = '12 V'"), "BP-level");
    only(
        &Case::new().axis("X", "homing_speed = '400 mm/s'"),
        "X-homing-speed",
    );
    only(
        &Case::new().axis("X", "corner_speed = '400 mm/s'"),
        "X-corner-speed",
    );
    only(&Case::new().housing("air = '5 °C'"), "air");
    only(
        &Case::new().board("[rails.\"3.3V\"]", "voltage = '9 V'"),
        "rail-3.3V",
    );
}

/// A block of 20 mm of aluminium holds 8000 mm³ · 2.42 J/(cm³ K) = 19 J/K (heat-transfer-textbook, from memory).
#[test]
fn a_heat_capacity_is_held_against_the_bodies() {
    let with = |stated: &str| {
        Case::new()
            .device("H1", &format!("heat_capacity = '{stated}'"))
            .device(
                "H1",
                "body = [{ name = 'block', material = 'aluminium', size = ['20 mm', '20 mm', '20 mm'] }]",
            )
    };
    assert_eq!(found(&with("19.4 J/K ± 5 %"))[0].1, Verdict::Pass);
    only(&with("60 J/K ± 5 %"), "H1-body");
}

/// A device ran at what its old port gave.
#[test]
fn a_voltage_that_its_old_port_did_not_give_is_named() {
    let found = |case: &Case, tag: &str| {
        let id = format!("contradictions:{tag}-old-voltage");
        found(case).iter().any(|(own, _)| *own == id)
    };
    for (tag, volts) in [("F1", "12 V"), ("F1", "5 V ± 10 %"), ("H1", "12 V")] {
        let case = Case::new().device(tag, &format!("voltage = '{volts}'"));
        assert!(found(&case, tag), "{tag} {volts}");
    }
    // Its old supply was another.
    let replaced = Case::new()
        .device("F1", "voltage = '12 V'")
        .device("PS", "old_voltage = '12 V'");
    assert!(!found(&replaced, "F1"));
    assert!(found(&replaced, "H1"));
}
