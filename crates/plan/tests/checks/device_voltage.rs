//! `device-voltage`: heaters by their power, all else by the voltage; converters.

use crate::support::Case;
use plan::Verdict;

fn verdict(case: &Case, tag: &str, port: &str) -> Verdict {
    case.pair("device-voltage", tag, port).verdict
}

/// The law P = U²/R (IEC 80000-6): 24 V and 40 W are 14.4 Ω; twice the voltage is four times the power.
#[test]
fn a_heater_of_12_v_on_24_v_gives_four_times_its_power() {
    let right = Case::new().pair("device-voltage", "H1", "HEAT1");
    assert_eq!(right.verdict, Verdict::Pass);
    assert!((right.working[0].result.nominal - 24.0 * 24.0 / 14.4).abs() < 1e-9);
    let wrong = Case::new()
        .device("H1", "voltage = '12 V'")
        .pair("device-voltage", "H1", "HEAT1");
    assert_eq!(wrong.verdict, Verdict::Blocker);
    assert!((wrong.value.expect("a share").nominal - 4.0).abs() < 1e-9);
    assert_eq!(wrong.margin, Some((1.5 - 4.0) / 1.5));
}

/// 110 % and 150 % of the power are √1.1 and √1.5 of the voltage: 25.1714 V and 29.3939 V; 80 % is 21.4663 V.
#[test]
fn a_heater_is_held_at_its_limits() {
    let at = |supply: &str| verdict(&Case::new().device("PS", supply), "H1", "HEAT1");
    assert_eq!(at("voltage = '25.171 V'"), Verdict::Pass);
    assert_eq!(at("voltage = '25.172 V'"), Verdict::Caution);
    assert_eq!(at("voltage = '29.393 V'"), Verdict::Caution);
    assert_eq!(at("voltage = '29.394 V'"), Verdict::Blocker);
    assert_eq!(at("voltage = '21.467 V'"), Verdict::Pass);
    assert_eq!(at("voltage = '21.466 V'"), Verdict::Caution);
    // 20 % of the power is √0.2 of the voltage: 10.7331 V.
    assert_eq!(at("voltage = '10.734 V'"), Verdict::Caution);
    assert_eq!(at("voltage = '10.733 V'"), Verdict::Blocker);
    // The highest and lowest voltage of the tolerance count, not the middle.
    assert_eq!(at("voltage = '24 V (23 V .. 25.172 V)'"), Verdict::Caution);
    assert_eq!(at("voltage = '24 V (21.466 V .. 25 V)'"), Verdict::Caution);
}

/// Fans for 12 V are commonly rated 10.8 V to 13.2 V, which is 10 % (common practice, no source).
#[test]
fn a_fan_without_a_band_of_its_own_gets_ten_per_cent() {
    let at = |supply: &str| verdict(&Case::new().device("PS", supply), "F1", "FAN1");
    assert_eq!(at("voltage = '26.4 V'"), Verdict::Pass);
    assert_eq!(at("voltage = '26.41 V'"), Verdict::Caution);
    assert_eq!(at("voltage = '28.79 V'"), Verdict::Caution);
    assert_eq!(at("voltage = '28.81 V'"), Verdict::Blocker);
    assert_eq!(at("voltage = '21.6 V'"), Verdict::Pass);
    assert_eq!(at("voltage = '21.59 V'"), Verdict::Caution);
    assert_eq!(at("voltage = '19.21 V'"), Verdict::Caution);
    assert_eq!(at("voltage = '19.19 V'"), Verdict::Blocker);
}

#[test]
fn a_stated_band_goes_before() {
    let base = Case::new().device("F1", "voltage = '24 V (12 V .. 32 V)'");
    let at = |supply: &str| verdict(&base.clone().device("PS", supply), "F1", "FAN1");
    assert_eq!(at("voltage = '12 V'"), Verdict::Pass);
    assert_eq!(at("voltage = '32 V'"), Verdict::Pass);
    assert_eq!(at("voltage = '11.99 V'"), Verdict::Blocker);
    assert_eq!(at("voltage = '32.01 V'"), Verdict::Blocker);
}

#[test]
fn sensors_and_panels_are_held_against_the_rail() {
    assert_eq!(verdict(&Case::new(), "BP", "PROBE"), Verdict::Pass);
    assert_eq!(verdict(&Case::new(), "PA", "PANEL"), Verdict::Pass);
    let weak = Case::new().board("[rails.5V]", "voltage = '3.3 V'");
    assert_eq!(verdict(&weak, "BP", "PROBE"), Verdict::Blocker);
}

#[test]
fn a_jumper_offers_a_way_for_each_rail() {
    let case = Case::new().device("F2", "voltage = '12 V'").load();
    let verdicts: Vec<Verdict> = case
        .ways("F2", "FAN2")
        .into_iter()
        .map(|way| case.pairs_in("device-voltage", "F2", way)[0].verdict)
        .collect();
    assert_eq!(verdicts, [Verdict::Blocker, Verdict::Pass, Verdict::Blocker]);
}

#[test]
fn a_converter_mends_the_voltage_and_is_bought() {
    for (supply, rated, part) in [
        ("24 V", "12 V", "converter 24 V to 12 V"),
        ("24 V", "5 V", "converter 24 V to 5 V"),
        ("36 V", "12 V", "adjustable converter"),
        ("24 V", "9 V", "adjustable converter"),
    ] {
        let case = Case::new()
            .device("PS", &format!("voltage = '{supply}'"))
            .device("F1", &format!("voltage = '{rated}'"))
            .load();
        let way = case.ways("F1", "FAN1")[1];
        assert!(way.own_supply);
        let finding = case.pairs_in("device-voltage", "F1", way).remove(0);
        assert_eq!(finding.verdict, Verdict::Caution);
        assert_eq!(finding.parts[0].name, part, "{supply} to {rated}");
        assert!(catalogue::built_in().parts().get(part).is_some());
    }
}
