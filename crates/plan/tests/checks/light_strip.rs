//! `light-strip`: a ladder by hand, and where Kirchhoff's laws put the feeds.

use crate::support::Case;
use plan::{Finding, Verdict};

/// 60 lights of 20 mA on a strip of 1 m with 0.2 Ω/m out and back: 1/300 Ω a segment, 0.02 A · 60 · 61 / 2 / 300 Ω = 0.122 V are lost along it
/// (Kirchhoff's laws). The lead has 10 mm, so that nearly nothing is lost in it but at its contacts.
fn strip(lights: u32, more: &str) -> Case {
    Case::new().without_device("LS").add(
        "machine.toml",
        &format!(
            "[[device]]\ntag = 'LS'\nname = 'light strip'\nkind = 'light strip'\nvoltage = '5 V'\nled_count = {lights}\ncurrent_per_led = '20 mA'\n{more}\n[device.cable]\nconnector = 'crimp 2.5 mm'\npins = ['+', 'data', '-']\nwire = '18 AWG'\nlength = '10 mm'\n"
        ),
    )
}

fn findings(case: &Case) -> Vec<Finding> {
    case.load().wholes_at("light-strip", &[("LS", "LIGHT")])
}

#[test]
fn the_sum_of_the_ladder() {
    let found = findings(&strip(60, "strip_length = '1 m'\nstrip_resistance = '0.2 Ω/m'"));
    let lost = found[0].working[0].result.nominal;
    assert!((lost - 0.122).abs() < 1e-9, "{lost}");
    assert_eq!(found[0].verdict, Verdict::Pass, "{}", found[0].headline);
    assert_eq!(
        found[1].verdict,
        Verdict::Pass,
        "all of its blue: {}",
        found[1].headline
    );
}

#[test]
fn a_long_strip_is_fed_in_again() {
    let found = findings(&strip(60, "strip_length = '1 m'\nstrip_resistance = '2 Ω/m'"));
    assert_eq!(found[0].verdict, Verdict::Caution);
    let remedy = found[0].remedy.as_deref().expect("places");
    // Half a volt of room at most: √(1/4 + 2 · 0.48 / (1/30 · 0.02)) − 1/2 = 37 lights to each side; one feed in the middle serves all.
    assert!(remedy.contains("at LED 31 instead"), "{remedy}");
    assert_eq!(found[1].verdict, Verdict::Note);
    assert!(found[1].headline.contains("of its blue"), "{}", found[1].headline);
}

/// 300 lights of 20 mA on 5 m of 0.6 Ω/m would lose 0.02 A · 300 · 301 / 2 · 0.01 Ω = 9 V of 5 V. They cannot have their current: none has less than
/// what takes nothing, no colour keeps all, and the feeds are counted and placed. One feed serves √(1/4 + 2 · ΔU / (r · I₁)) − 1/2 to each side.
#[test]
fn lights_that_starve_keep_what_lights_them() {
    let case = strip(300, "strip_length = '5 m'\nstrip_resistance = '0.6 Ω/m'");
    let found = findings(&case);
    let [far, colour] = found.as_slice() else {
        panic!("two findings: {found:#?}");
    };
    assert_eq!(far.verdict, Verdict::Caution);
    assert!(far.headline.contains("cannot run so"), "{}", far.headline);
    let voltage = far.value.expect("a voltage");
    assert!(voltage.low > 1.6 && voltage.high < 4.0, "{voltage}");
    assert!(
        colour.headline.contains("keeps 0 % of its blue"),
        "{}",
        colour.headline
    );
    assert!(!colour.headline.contains("keeps all"), "{}", colour.headline);
    let remedy = far.remedy.as_deref().expect("places");
    assert!(
        remedy.contains("pairs of wires") && remedy.contains("LED") && remedy.contains("m"),
        "{remedy}"
    );
    assert!(!remedy.contains("dedicated converter"), "{remedy}");
    // By Kirchhoff's laws no light of it has less than the limit of 4.5 V then.
    let lowest = remedy.split("less than ").nth(1).expect("a voltage");
    let lowest: f64 = lowest
        .split(' ')
        .next()
        .expect("a number")
        .parse()
        .expect("a number");
    assert!(lowest >= 4.5, "{remedy}");
}

#[test]
fn without_its_length_it_is_said() {
    let found = findings(&strip(60, ""));
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].verdict, Verdict::Note);
}
