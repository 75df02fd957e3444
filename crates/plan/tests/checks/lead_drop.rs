//! `lead-drop`: wires and contacts, out and back.

use crate::support::Case;
use plan::Verdict;

/// 1 m out and 1 m back at 5 A and 20 °C: 0.3331 V for 20 AWG, 0.2095 V for 18 AWG (ASTM B258 and IEC 60028, worked out in the
/// wire table). The interval begins at cold copper, a solid wire and contacts without resistance.
#[test]
fn the_drop_begins_at_that_of_the_wire_table() {
    for (wire, volts) in [("20 AWG", 0.3331), ("18 AWG", 0.2095)] {
        let case = Case::new()
            .device("H1", "power = '120 W'")
            .cable("H1", &format!("wire = '{wire}'"));
        let finding = case.pair("lead-drop", "H1", "HEAT1");
        let wires = &finding.working[0].result;
        assert!((wires.low - volts).abs() < 1e-4, "{wire}: {wires}");
        // Two contacts of at most 5 mΩ.
        assert!((finding.working[1].result.high - 2.0 * 0.005 * 5.0).abs() < 1e-12);
        let total = wires.high + finding.working[1].result.high;
        assert!((finding.value.expect("a share").high - total / 24.0).abs() < 1e-12);
    }
}

/// Class 5 of IEC 60228: 1.5 mm² has at most 13.3 Ω/km at 20 °C (as reprinted), 1.1572 times that at 60 °C.
#[test]
fn a_cross_section_has_the_most_of_its_class() {
    let case = Case::new()
        .device("H1", "power = '120 W'")
        .cable("H1", "wire = '1.5 mm²'");
    let wires = &case.pair("lead-drop", "H1", "HEAT1").working[0].result;
    let hot = 1.0 + 0.00393 * 40.0;
    assert!((wires.high - 2.0 * 0.0133 * hot * 5.0).abs() < 1e-9, "{wires}");
    assert!((wires.low - 2.0 * 0.0172414 / 1.5 * 5.0).abs() < 1e-5, "{wires}");
}

#[test]
fn a_lead_is_held_at_its_limits() {
    // 40 W: 1.6667 A. 26 AWG: 0.127 mm · 92^(10/39) (ASTM B258), 1/58 Ω mm²/m (IEC 60028).
    // At the worst 2 · l · R′ · 1.16 · 1.1572 · I + 10 mΩ · I over 24 V.
    let base = Case::new().cable("H1", "wire = '26 AWG'");
    let at = |line: &str| base.clone().cable("H1", line).pair("lead-drop", "H1", "HEAT1");
    let diameter = 0.127 * 92_f64.powf(10.0 / 39.0);
    let per_metre = 1.0 / 58.0 / (core::f64::consts::PI / 4.0 * diameter * diameter);
    let metre = 2.0 * per_metre * 1.16 * 1.1572 * 40.0 / 24.0 / 24.0;
    let contacts = 0.01 * 40.0 / 24.0 / 24.0;
    let caution = (0.03 - contacts) / metre;
    let refused = (0.10 - contacts) / metre;
    let line = |metres: f64| format!("length = '{metres:.4} m'");
    assert_eq!(at(&line(caution - 0.01)).verdict, Verdict::Pass);
    assert_eq!(at(&line(caution + 0.01)).verdict, Verdict::Caution);
    assert!(at(&line(refused - 0.01)).parts.is_empty());
    // Beyond that the plan makes it anew of the thinnest wire that loses little, and judges that one too.
    let case = base.clone().cable("H1", &line(refused + 0.01)).load();
    let found = case.pairs("lead-drop", "H1", "HEAT1");
    assert_eq!(found[0].verdict, Verdict::Caution);
    assert_eq!(found[0].parts[0].name, "thicker lead");
    let size = found[0].parts[0].size.clone().expect("a size");
    assert_eq!(found[1].verdict, Verdict::Pass);
    assert!(size.starts_with("20 AWG"), "{size}");
    // What no wire mends stays a blocker.
    let far = Case::new()
        .device("LS", "led_count = 300")
        .cable("LS", "length = '10 m'");
    let found = far.load().pairs("lead-drop", "LS", "LIGHT");
    assert_eq!(found[1].verdict, Verdict::Blocker);
}

#[test]
fn five_volts_lose_more_of_themselves() {
    let finding = Case::new()
        .device("LS", "led_count = 40")
        .pair("lead-drop", "LS", "LIGHT");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(Case::new().load().pairs("lead-drop", "MX", "M1").is_empty());
}
