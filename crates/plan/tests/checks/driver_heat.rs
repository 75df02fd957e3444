//! `driver-heat`: loss, junction, and what mends it.

use crate::support::Case;
use physics::Working;
use plan::{Finding, Verdict};

/// The hot on-resistance at the nominal factor of 1.65 shall be 0.32 + 0.32 Ω.
fn base() -> Case {
    Case::new()
        .device("MX", "run_current = '1 A'")
        .driver("D1", &format!("on_resistance = '{} Ω'", 0.64 / 1.65))
        .driver("D1", "thermal_resistance_with_sink = '31 K/W'")
        .driver("D1", "edge_time = '0.000001 ns'")
}

fn switching_loss(finding: &Finding) -> &Working {
    let of_edges = |working: &&Working| working.formula.id == "switching-loss";
    finding.working.iter().find(of_edges).expect("a working")
}

/// Two edges of 50 ns at 24 V and 20 kHz: `U · I · (t_on + t_off) · f / 2` (dissipation sections of drivers' data sheets, from memory) with √2 of
/// 1.41421 A, which is 2 A: 24 · 2 · 100 ns · 20 kHz / 2 = 0.048 W on top of 1.28 W.
#[test]
fn each_edge_costs_heat() {
    let case = base()
        .driver("D1", "edge_time = '50 ns'")
        .driver("D1", "chopper_frequency = '20 kHz'");
    let finding = case.pair("driver-heat", "MX", "M1");
    let switching = switching_loss(&finding);
    assert!(
        (switching.result.nominal - 0.048).abs() < 1e-9,
        "{}",
        switching.result
    );
    let junction = finding.value.expect("a temperature").nominal - 273.15;
    assert!((junction - (40.0 + 31.0 * 1.328)).abs() < 1e-6, "{junction}");
}

/// Where the board's file states neither, the limits stand: 100 ns and 35 kHz, at the worst corner 200 ns and 50 kHz.
#[test]
fn usual_edges_where_none_are_stated() {
    let case = base().without_line("new.toml", "[[driver]]\nname = \"D1\"", "edge_time");
    let finding = case.pair("driver-heat", "MX", "M1");
    let switching = switching_loss(&finding);
    assert!((switching.result.nominal - 24.0 * 2.0 * 100e-9 * 35e3).abs() < 1e-9);
    assert!((switching.result.high - 24.0 * 2.0 * 200e-9 * 50e3).abs() < 1e-9);
}

/// 1 A effective through 0.32 + 0.32 Ω twice: 1.28 W (data sheets' dissipation sections, from memory); 40 °C and 31 K/W: 79.7 °C.
#[test]
fn the_worked_number() {
    let finding = base().pair("driver-heat", "MX", "M1");
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!((finding.working[0].result.nominal - 1.28).abs() < 1e-9);
    let junction = finding.value.expect("a temperature").nominal - 273.15;
    assert!((junction - 79.68).abs() < 1e-6, "{junction}");
}

#[test]
fn in_and_out_at_the_caution_and_the_limit() {
    // At the highest factor of 1.8: 1.396 W. 105 °C with 46.5 K/W, 125 °C with 60.9 K/W.
    let with = |theta: &str| {
        let case = base()
            .driver("D1", "heat_sink = false")
            .driver("D1", &format!("thermal_resistance = '{theta}'"));
        case.pair("driver-heat", "MX", "M1")
    };
    assert_eq!(with("46.5 K/W").verdict, Verdict::Pass);
    let warm = with("46.6 K/W");
    assert_eq!((warm.verdict, warm.parts.len()), (Verdict::Caution, 0));
    assert_eq!(with("60.8 K/W").parts.len(), 0);
    let mended = with("61 K/W");
    assert_eq!(mended.verdict, Verdict::Caution);
    assert_eq!(mended.parts[0].name, "heat sink for a driver");
}

#[test]
fn a_board_fan_takes_a_share() {
    let still = base()
        .pair("driver-heat", "MX", "M1")
        .value
        .expect("a temperature")
        .nominal;
    let blown = base()
        .device("F1", "cools = 'board'")
        .pair("driver-heat", "MX", "M1");
    let blown = blown.value.expect("a temperature").nominal;
    // 60 % of the rise.
    assert!(((blown - 313.15) / (still - 313.15) - 0.6).abs() < 1e-9);
}

#[test]
fn what_no_cooling_saves_is_refused() {
    let with = |theta: &str| {
        let case = base()
            .driver("D1", "heat_sink = false")
            .without_line(
                "new.toml",
                "[[driver]]\nname = \"D1\"",
                "thermal_resistance_with_sink",
            )
            .driver("D1", &format!("thermal_resistance = '{theta}'"));
        case.pair("driver-heat", "MX", "M1")
    };
    // With moving air at its worst factor of 75 % and 85 K of room: 0.6 A are borne with 225 K/W.
    let hot = with("220 K/W");
    assert_eq!(
        (hot.verdict, hot.parts.len()),
        (Verdict::Caution, 0),
        "{:?}",
        hot.remedy
    );
    assert_eq!(with("230 K/W").verdict, Verdict::Blocker);
}

#[test]
fn without_figures_it_says_so() {
    let case = Case::new().without_line("new.toml", "[[driver]]\nname = \"D1\"", "on_resistance");
    assert_eq!(case.pair("driver-heat", "MX", "M1").verdict, Verdict::Note);
}
