//! `switch-wiring`: what can work at an input, and what cannot.

use crate::support::Case;
use plan::Verdict;

#[test]
fn a_pull_up_serves_contacts_and_open_collectors() {
    let base = Case::new();
    assert_eq!(base.pair("switch-wiring", "LX", "IN1").verdict, Verdict::Pass);
    assert_eq!(base.pair("switch-wiring", "FS", "IN2").verdict, Verdict::Pass);
    assert_eq!(base.pair("switch-wiring", "BP", "PROBE").verdict, Verdict::Pass);
}

#[test]
fn without_a_pull_a_resistor_mends_it() {
    let bare = Case::new()
        .without_line("new.toml", "[[port]]\nname = \"IN2\"", "pull_resistor")
        .port("IN2", "pull = 'none'");
    let finding = bare.pair("switch-wiring", "FS", "IN2");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert_eq!(finding.parts[0].name, "bare pull-up resistor");
    // A sensor that brings its own pull-up needs none.
    let own = bare.device("FS", "level = '5 V'");
    assert_eq!(own.pair("switch-wiring", "FS", "IN2").verdict, Verdict::Pass);
}

#[test]
fn a_sensor_finds_no_supply_at_two_pins() {
    let finding = Case::new().pair("switch-wiring", "FS", "IN1");
    assert_eq!(finding.verdict, Verdict::Blocker);
    assert!(
        finding.headline.contains("`signal` and `-`"),
        "{}",
        finding.headline
    );
}

#[test]
fn a_pull_down_leaves_only_the_supply_pin() {
    let down = Case::new()
        .port("IN1", "pull = 'down'")
        .port("IN2", "pull = 'down'");
    assert_eq!(down.pair("switch-wiring", "LX", "IN1").verdict, Verdict::Blocker);
    assert_eq!(down.pair("switch-wiring", "LX", "IN2").verdict, Verdict::Caution);
    assert_eq!(down.pair("switch-wiring", "FS", "IN2").verdict, Verdict::Blocker);
}

/// IEC 60947-5-2: an output that switches to plus (PNP) gives its supply less a drop of 3.5 V at the most, and cannot pull low.
#[test]
fn an_output_to_plus_needs_a_pull_down() {
    let base = Case::new().device("FS", "output = 'PNP'");
    let up = base.pair("switch-wiring", "FS", "IN2");
    assert_eq!(up.verdict, Verdict::Caution);
    assert_eq!(up.parts[0].name, "optocoupler input");
    let down = base.port("IN2", "pull = 'down'");
    assert_eq!(down.pair("switch-wiring", "FS", "IN2").verdict, Verdict::Pass);
    // 5 V less 3.5 V does not read as high for certain.
    let level = down.pair("level-from-device", "FS", "IN2");
    assert_eq!(level.verdict, Verdict::Caution, "{}", level.headline);
}
