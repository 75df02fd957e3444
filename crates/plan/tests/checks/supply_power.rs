//! `supply-power`: heat-up and hot, with a copper bed.

use crate::support::Case;
use plan::{Finding, Verdict};

pub(super) const PLACES: [(&str, &str); 5] = [
    ("PS", "POWER"),
    ("H1", "HEAT1"),
    ("H2", "BED"),
    ("F1", "FAN1"),
    ("F2", "ALWAYS"),
];

fn at(case: &Case) -> Vec<Finding> {
    case.load().wholes_at("supply-power", &PLACES)
}

/// The base without rails, whose own use would come on top.
fn bare() -> Case {
    Case::new()
        .without_line("new.toml", "[rails.5V]", "board_current")
        .without_line("new.toml", "[rails.\"3.3V\"]", "board_current")
}

/// Copper: 1 + 0.00393/K · (ϑ − 20 °C) times the resistance (IEC 60028): 0.98035 at 15 °C, 1.3144 at 100 °C.
/// 40 W, 192 W at 20 °C, and fans of 0.3 A at 24 V.
#[test]
fn the_sum_is_that_of_the_laws() {
    let findings = at(&bare());
    let cold = 40.0 + 192.0 / 0.98035 + 0.3 * 24.0;
    let hot = 40.0 + 192.0 / 1.3144 + 0.3 * 24.0;
    let value = |at: usize| findings[at].value.expect("a power").nominal;
    assert!((value(0) - cold).abs() < 1e-9, "{} {cold}", value(0));
    assert!((value(1) - hot).abs() < 1e-9, "{} {hot}", value(1));
}

#[test]
fn the_supply_is_held_at_its_limits() {
    let cold = 40.0 + 192.0 / 0.98035 + 7.2;
    let hot = 40.0 + 192.0 / 1.3144 + 7.2;
    let alone = cold - 40.0;
    let verdicts = |watts: f64| -> Vec<Verdict> {
        let case = bare().device("PS", &format!("power = '{watts:.3} W'"));
        at(&case).into_iter().map(|finding| finding.verdict).collect()
    };
    assert_eq!(verdicts(cold + 0.01)[0], Verdict::Pass);
    assert_eq!(verdicts(cold - 0.01)[0], Verdict::Caution);
    assert_eq!(verdicts(alone + 0.01)[0], Verdict::Caution);
    assert_eq!(verdicts(alone - 0.01)[0], Verdict::Blocker);
    // 90 % for long.
    assert_eq!(verdicts(hot / 0.9 + 0.01)[1], Verdict::Pass);
    assert_eq!(verdicts(hot / 0.9 - 0.01)[1], Verdict::Caution);
}

/// Power goes with U²: 5 % more voltage is 10.25 % more power.
#[test]
fn the_highest_voltage_counts() {
    let finding = &at(&bare().device("PS", "voltage = '24 V ± 5 %'"))[0];
    let high = (40.0 + 192.0 / 0.98035) * 1.05 * 1.05 + 7.2 * 1.05;
    assert!((finding.value.expect("a power").high - high).abs() < 1e-6);
}

/// Edges of 50 ns at 20 kHz.
fn edges(case: Case) -> Case {
    case.driver("D1", "edge_time = '50 ns'")
        .driver("D1", "chopper_frequency = '20 kHz'")
}

/// What X takes at 0.8 A holding still: 1.65 Ω of each winding and 0.4 Ω of its switches, hot `factor` times that; and at each edge
/// `U · I · (t_on + t_off) · f / 2` with both phases together at 1.6 A (dissipation sections of drivers' data sheets, from memory).
fn heat_of_x(factor: f64) -> f64 {
    2.0 * 0.8 * 0.8 * (1.65 + 0.4 * factor) + 24.0 * 1.6 * 100e-9 * 20e3 / 2.0
}

/// Holding still, a motor takes 2 · I² · R in windings and driver, and what the driver loses at each edge; moving, at most E · I at top speed on top, which is M · ω.
/// X: 150 mm/s over 40 mm a turn are 3.75 turns a second; 0.8 A of 1.5 A rated give 0.24 N m of 0.45 N m.
#[test]
fn a_motor_takes_heat_and_work() {
    let case = edges(bare()).load();
    let value = |places: &[(&str, &str)], at: usize| {
        let findings = case.wholes_at("supply-power", places);
        findings[at].value.expect("a power")
    };
    let mut with = PLACES.to_vec();
    with.push(("MX", "M1"));
    let (heat, hottest) = (heat_of_x(1.65), heat_of_x(1.8));
    let work = 0.24 * 2.0 * core::f64::consts::PI * 3.75;
    for (at, most) in [(0, hottest), (1, hottest + work)] {
        let (before, after) = (value(&PLACES, at), value(&with, at));
        assert!((after.low - before.low).abs() < 1e-9);
        assert!((after.nominal - before.nominal - heat).abs() < 1e-9);
        assert!((after.high - before.high - most).abs() < 1e-9, "{at}");
    }
}

/// The voltage constant is 0.45 N m / (√2 · 1.5 A) = 0.2121 V s; at 37.5 turns a second the back-EMF is 50 V, above the supply of 24 V: what current
/// still flows leads it, and makes less work than all of it in phase.
#[test]
fn a_motor_beyond_its_supply_does_less_work() {
    let at = |speed: &str| {
        let case = edges(bare()).axis("X", &format!("max_speed = '{speed}'")).load();
        case.wholes_at("supply-power", &[("PS", "POWER"), ("MX", "M1")])[1]
            .value
            .expect("a power")
            .high
    };
    let heat = heat_of_x(1.8);
    let fast = at("1500 mm/s") - heat;
    assert!(fast > 1.0 && fast < 50.0 * 0.8 * 2.0_f64.sqrt() * 0.8, "{fast}");
    assert!(at("150 mm/s") > heat + 1.0);
}

#[test]
fn a_heater_behind_an_external_switch_still_hangs_on_the_supply() {
    let weak = bare().port("BED", "current = '5 A'");
    let value = |case: &Case| at(case)[0].value.expect("a power").nominal;
    assert!((value(&weak) - value(&bare())).abs() < 1e-9);
}

/// 30 W at 12 V behind a switch module, on a rail that a second supply of 6 W feeds: its voltage is 12 V, the rail gives 0.5 A, and the first
/// supply has the rest alone.
#[test]
fn behind_a_switch_on_a_rail_from_outside_a_heater_hangs_on_that_supply() {
    let second = "[[device]]\ntag = 'P2'\nname = 'second supply'\nkind = 'supply'\nvoltage = '12 V'\npower = '6 W'\n\
        cable = { connector = 'open wire', pins = ['+', '-'], wire = '18 AWG', length = '300 mm' }\n";
    let case = bare()
        .board("[rails.12V]", "source = 'external'")
        .device("H1", "voltage = '12 V'")
        .device("H1", "power = '30 W'")
        .port("HEAT1", "rail = '12V'")
        .port("HEAT1", "current = '1 A'")
        .add("machine.toml", second);
    let loaded = case.load();
    let pair = loaded.at("H1", loaded.ways("H1", "HEAT1")[0]);
    assert!(pair.external_switch().is_some());
    assert_eq!(
        pair.device_voltage().map(|voltage| voltage.nominal().value),
        Some(12.0)
    );
    let rail = pair.way.rail.expect("its rail");
    let rating = plan::rails::rating(pair.swap, pair.board, rail).expect("a rail that is fed");
    assert!((rating.value.low().value - 0.5).abs() < 1e-9);
    let first = at(&case)[0].value.expect("a power").nominal;
    assert!((first - (192.0 / 0.98035 + 7.2)).abs() < 1e-9, "{first}");
}
