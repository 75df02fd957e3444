//! `device-voltage`: heaters by their power, all else by the voltage; converters.

use crate::support::Case;
use plan::Verdict;

fn verdict(case: &Case, tag: &str, port: &str) -> Verdict {
    case.pair("device-voltage", tag, port).verdict
}

/// What lies in series with a device, in Ω, as its finding tells: least and most.
fn series(tag: &str, port: &str) -> (f64, f64) {
    let finding = Case::new().pair("device-voltage", tag, port);
    let series = finding.working[0]
        .inputs
        .iter()
        .find(|input| input.symbol == "Rₗ");
    let value = series.expect("what lies in series").value;
    assert!(value.high > 0.0, "{value}");
    (value.low, value.high)
}

/// The law P = U²/R (IEC 80000-6): 24 V and 40 W are 14.4 Ω; twice the voltage is four times the power.
#[test]
fn a_heater_of_12_v_on_24_v_gives_four_times_its_power() {
    let right = Case::new().pair("device-voltage", "H1", "HEAT1");
    assert_eq!(right.verdict, Verdict::Pass);
    let (arrives, power) = (right.working[0].result.nominal, right.working[1].result.nominal);
    assert!(arrives < 24.0 && arrives > 23.5, "{arrives}");
    assert!((power - arrives * arrives / 14.4).abs() < 1e-9);
    let wrong = Case::new()
        .device("H1", "voltage = '12 V'")
        .pair("device-voltage", "H1", "HEAT1");
    assert_eq!(wrong.verdict, Verdict::Blocker);
    // Kirchhoff: 12 V and 40 W are 3.6 Ω, behind what lies in series.
    let lead = wrong.working[0].inputs.iter().find(|input| input.symbol == "Rₗ");
    let share = (2.0 * 3.6 / (3.6 + lead.expect("a cable").value.nominal)).powi(2);
    let value = wrong.value.expect("a share");
    assert!((value.nominal - share).abs() < 1e-9 && share > 3.5, "{value}");
}

/// 110 % and 150 % of the power are √1.1 and √1.5 of the voltage at the heater: 25.1714 V and 29.3939 V; 80 % is 21.4663 V. Of the rail a
/// resistance of 14.4 Ω gets R / (R + Rₗ) (Kirchhoff): too much where the least lies in series, too little where the most does.
#[test]
fn a_heater_is_held_at_its_limits() {
    let at = |supply: &str| verdict(&Case::new().device("PS", supply), "H1", "HEAT1");
    let (least, most) = series("H1", "HEAT1");
    let rail = |at_heater: f64, series: f64| at_heater * (14.4 + series) / 14.4;
    let volts = |volts: f64, off: f64| format!("voltage = '{:.4} V'", volts + off);
    for (bound, below, above) in [
        (rail(25.1714, least), Verdict::Pass, Verdict::Caution),
        (rail(29.3939, least), Verdict::Caution, Verdict::Blocker),
        (rail(21.4663, most), Verdict::Caution, Verdict::Pass),
        // 20 % of the power is √0.2 of the voltage.
        (rail(10.7331, most), Verdict::Blocker, Verdict::Caution),
    ] {
        assert_eq!(at(&volts(bound, -1e-3)), below);
        assert_eq!(at(&volts(bound, 1e-3)), above);
    }
    // The highest and lowest voltage of the tolerance count, not the middle.
    assert_eq!(at("voltage = '24 V (23 V .. 25.6 V)'"), Verdict::Caution);
    assert_eq!(at("voltage = '24 V (21.466 V .. 25 V)'"), Verdict::Caution);
}

/// Fans for 12 V are commonly rated 10.8 V to 13.2 V, which is 10 % (common practice, no source). A fan that draws its largest current gets less
/// than the rail by what its circuit loses (Ohm); one that stands still gets all of it.
#[test]
fn a_fan_without_a_band_of_its_own_gets_ten_per_cent() {
    let at = |volts: f64| {
        verdict(
            &Case::new().device("PS", &format!("voltage = '{volts} V'")),
            "F1",
            "FAN1",
        )
    };
    let (_, series) = series("F1", "FAN1");
    let finding = Case::new().pair("device-voltage", "F1", "FAN1");
    let lost = finding.working[0].inputs[1].value.high * series;
    assert!(lost > 0.001, "{lost}");
    assert_eq!(at(26.4), Verdict::Pass);
    assert_eq!(at(26.41), Verdict::Caution);
    assert_eq!(at(28.79), Verdict::Caution);
    assert_eq!(at(28.81), Verdict::Blocker);
    assert_eq!(at(21.6 + lost + 1e-6), Verdict::Pass);
    assert_eq!(at(21.6 + lost - 1e-6), Verdict::Caution);
    assert_eq!(at(19.2 + lost + 1e-6), Verdict::Caution);
    assert_eq!(at(19.2 + lost - 1e-6), Verdict::Blocker);
}

/// A sensor made for 4.75 V at the least, on a rail that gives 4.8 V: its own cable takes more than what is left.
#[test]
fn the_own_cable_counts() {
    let case = |length: &str| {
        Case::new()
            .device("BP", "voltage = '5 V (4.75 V .. 5.25 V)'")
            .device("BP", "current = '300 mA'")
            .cable("BP", &format!("length = '{length}'"))
            .cable("BP", "wire = '26 AWG'")
            .board("[rails.5V]", "voltage = '5 V (4.8 V .. 5.2 V)'")
            .pair("device-voltage", "BP", "PROBE")
    };
    assert_eq!(case("50 mm").verdict, Verdict::Pass);
    let long = case("1.5 m");
    assert!(long.verdict >= Verdict::Caution, "{}", long.headline);
}

#[test]
fn a_stated_band_goes_before() {
    let base = Case::new().device("F1", "voltage = '24 V (12 V .. 32 V)'");
    let at = |supply: &str| verdict(&base.clone().device("PS", supply), "F1", "FAN1");
    assert_eq!(at("voltage = '12.1 V'"), Verdict::Pass);
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
