//! `connector-current`: ratings of contacts with their share.

use crate::support::Case;
use plan::Verdict;

fn verdict(case: &Case, tag: &str, port: &str) -> Verdict {
    case.pair("connector-current", tag, port).verdict
}

/// 2.5 mm crimp contacts: 3 A at 22 AWG (crimp-2-5-data-sheet); 80 % for long are 2.4 A.
#[test]
fn a_crimp_contact_of_2_5_mm_bears_three_amperes_and_four_fifths_for_long() {
    let at = |current: &str| verdict(&Case::new().device("F1", current), "F1", "FAN1");
    assert_eq!(at("current = '2.4 A'"), Verdict::Pass);
    assert_eq!(at("current = '2.41 A'"), Verdict::Caution);
    assert_eq!(at("current = '3 A'"), Verdict::Caution);
    assert_eq!(at("current = '3.01 A'"), Verdict::Blocker);
    assert_eq!(at("current = '2.3 A ± 5 %'"), Verdict::Caution);
}

/// 2.0 mm crimp contacts: 2 A at 24 AWG (crimp-2-0-data-sheet).
#[test]
fn the_contacts_of_the_port_count_when_the_plug_is_made_anew() {
    let case = Case::new()
        .port("FAN1", "connector = 'crimp 2.0 mm'")
        .device("F1", "current = '1.61 A'");
    let finding = case.pair("connector-current", "F1", "FAN1");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert_eq!(finding.source, "crimp-2-0-data-sheet");
}

#[test]
fn motors_send_their_run_current() {
    // It is rated for that: a motor is told no more than its rating.
    let case = Case::new()
        .device("MX", "current = '2.5 A'")
        .device("MX", "run_current = '2.5 A'");
    assert_eq!(verdict(&case, "MX", "M1"), Verdict::Caution);
}

#[test]
fn a_heater_above_the_contact_goes_over_an_external_switch() {
    // 12 A a contact: 300 W at 24 V are 12.5 A, and the port itself gives 15 A.
    let case = Case::new().device("H2", "power = '300 W'");
    assert!(case.load().pairs("connector-current", "H2", "BED").is_empty());
    let finding = case.pair("port-current", "H2", "BED");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert_eq!(finding.parts[0].name, "external heater switch");
    assert!(finding.headline.contains("contact"), "{}", finding.headline);
}

/// 85 °C for a contact and 30 K for its rating: in air of 70 °C there are 15 K left, and √(15 / 30) of the current (IEC 60512-5-2, from memory).
#[test]
fn warm_air_takes_its_share() {
    let at = |air: &str, current: f64| {
        let case = Case::new()
            .housing(&format!("air = '{air}'"))
            .device("F1", &format!("current = '{current} A'"));
        verdict(&case, "F1", "FAN1")
    };
    assert_eq!(at("55 °C", 2.399), Verdict::Pass);
    let left = 2.4 * 0.5_f64.sqrt();
    assert_eq!(at("70 °C", left * 0.999), Verdict::Pass);
    assert_eq!(at("70 °C", left * 1.001), Verdict::Caution);
    assert_eq!(at("85 °C", 0.01), Verdict::Caution, "nothing is left");
}

/// The limit is worked out in the open, and so is what is left of it: 80 % of 3 A, of which 2.1 A take seven eighths.
#[test]
fn limit_and_margin_are_worked_out() {
    let finding = Case::new()
        .device("F1", "current = '2 A ± 5 %'")
        .pair("connector-current", "F1", "FAN1");
    assert!((finding.working[0].result.nominal - 2.4).abs() < 1e-12);
    assert_eq!(finding.margin_sum().as_deref(), Some("(2.4 A − 2.1 A) / 2.4 A"));
    assert!((finding.margin.expect("a margin") - 0.125).abs() < 1e-12);
    let coil = Case::new().pair("driver-heat", "MX", "M1");
    let sum = coil.margin_sum().expect("a limit");
    // Of a temperature the difference says it all; a share of it would count from absolute zero.
    assert!(sum.contains(" °C − ") && !sum.contains('/'), "{sum}");
}
