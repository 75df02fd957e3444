//! `current-step`: the laws of published drivers, and the step of the setting.

use crate::support::Case;
use plan::Verdict;

fn trimmer(law: &[&str], run: &str) -> Case {
    let base = Case::new()
        .without_line("new.toml", "[[driver]]\nname = \"D1\"", "levels")
        .driver("D1", "set_by = 'trimmer'")
        .driver("D1", "current_definition = 'peak'")
        .driver("D1", "current = '0.1 A .. 4.2 A'")
        .device("MX", "current = '4 A'")
        .device("MX", &format!("run_current = '{run}'"));
    law.iter().fold(base, |case, line| case.driver("D1", line))
}

fn reference(case: &Case) -> f64 {
    case.pair("current-step", "MX", "M1").working[0].result.nominal
}

/// Data sheets of translator drivers (translator-driver-sheets): gain 8, 0.1 Ω, 0.8 V makes 1.000 A; gain 5, 0.1 Ω, 1.0 V makes 2.000 A;
/// both from memory. Peaks, so the effective value is less by the root of two.
#[test]
fn reference_of_drivers_with_sense_resistor() {
    let of = |current: f64| format!("{} A", current / 2.0_f64.sqrt());
    let eight = trimmer(&["gain = '8'", "sense_resistor = '0.1 Ω'"], &of(1.0));
    assert!((reference(&eight) - 0.8).abs() < 1e-9);
    let five = trimmer(&["gain = '5'", "sense_resistor = '0.1 Ω'"], &of(2.0));
    assert!((reference(&five) - 1.0).abs() < 1e-9);
}

/// 2.2 V/A: 1.5 A at 3.3 V; 0.66 V/A: 4 A at 2.64 V (integrated-sense-driver-sheets).
#[test]
fn reference_of_drivers_that_sense_inside() {
    let of = |current: f64| format!("{} A", current / 2.0_f64.sqrt());
    let one = trimmer(&["reference_at_one_ampere = '2.2 V'"], &of(1.5));
    assert!((reference(&one) - 3.3).abs() < 1e-9);
    let other = trimmer(&["reference_at_one_ampere = '0.66 V'"], &of(4.0));
    assert!((reference(&other) - 2.64).abs() < 1e-9);
}

#[test]
fn in_and_out_at_five_per_cent() {
    // 10 mV at gain 8 and 0.1 Ω are 12.5 mA; of 0.25 A peak that is 5 %.
    let at = |run: f64| {
        let law = ["gain = '8'", "sense_resistor = '0.1 Ω'", "trimmer_step = '10 mV'"];
        let run = format!("{} A", run / 2.0_f64.sqrt());
        trimmer(&law, &run).pair("current-step", "MX", "M1").verdict
    };
    assert_eq!(at(0.2501), Verdict::Pass);
    assert_eq!(at(0.2499), Verdict::Note);
}

#[test]
fn levels_are_named() {
    // 1.4 A in 64 levels: 0.8 A lies nearest to level 37.
    let finding = Case::new().pair("current-step", "MX", "M1");
    assert!(
        finding.headline.contains("level 37 of 64"),
        "{}",
        finding.headline
    );
    assert_eq!(finding.verdict, Verdict::Pass);
    let coarse = Case::new().driver("D1", "levels = 32");
    assert_eq!(coarse.pair("current-step", "MX", "M1").verdict, Verdict::Note);
    // 1.4 A in 11 levels is 15.9 % of 0.8 A.
    let coarser = Case::new().driver("D1", "levels = 11");
    assert_eq!(coarser.pair("current-step", "MX", "M1").verdict, Verdict::Caution);
}

/// 5 mA of 1.4 A in 64 levels are less than half a level: the lowest there is makes 1.4 A / 64.
#[test]
fn the_lowest_level_is_one() {
    let finding = Case::new()
        .device("MX", "run_current = '5 mA'")
        .driver("D1", "current = '1 mA .. 1.4 A'")
        .pair("current-step", "MX", "M1");
    assert!(finding.headline.contains("level 1 of 64"), "{}", finding.headline);
    let made = finding.working[0].result.nominal;
    assert!((made - 1.4 / 64.0).abs() < 1e-9, "{made}");
}
