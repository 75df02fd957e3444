//! `axis-ends`: switch, probe, load, or nothing.

use crate::support::Case;
use plan::Verdict;

/// Two carriages on one rail home to an end each: one switch leaves the other unsensed.
#[test]
fn each_of_two_carriages_has_an_end_of_its_own() {
    let motor = "[[device]]\ntag = 'MX2'\nname = 'motor X, right'\nkind = 'motor'\naxis = 'X'\ncurrent = '1.5 A'\n[device.cable]\nconnector = 'crimp 2.5 mm'\npins = ['A1', 'A2', 'B1', 'B2']\nwire = '24 AWG'\nlength = '0.5 m'\n";
    let switch = |end: &str| {
        format!(
            "[[device]]\ntag = 'LX2'\nname = 'limit switch X, right'\nkind = 'limit switch'\naxis = 'X'\nend = '{end}'\noutput = 'contact, normally closed'\n[device.cable]\nconnector = 'crimp 2.5 mm'\npins = ['1', '2']\nwire = '26 AWG'\nlength = '0.4 m'\n"
        )
    };
    let with = |end: &str| {
        Case::new()
            .replace(
                "machine.toml",
                "kinematics = \"cartesian\"",
                "kinematics = \"two carriages\"",
            )
            .add("machine.toml", motor)
            .add("machine.toml", &switch(end))
            .load()
    };
    let of = |end: &str, places: &[(&str, &str)]| with(end).wholes_at("axis-ends", places).remove(0);
    let one = of("max", &[("MX", "M1"), ("MX2", "M4"), ("LX", "IN1")]);
    assert_eq!(one.verdict, Verdict::Blocker);
    assert!(
        one.headline.contains("one of the two carriages"),
        "{}",
        one.headline
    );
    let both = [("MX", "M1"), ("MX2", "M4"), ("LX", "IN1"), ("LX2", "IN2")];
    assert_eq!(of("max", &both).verdict, Verdict::Pass);
    assert_eq!(of("min", &both).verdict, Verdict::Blocker, "both at one end");
}

#[test]
fn switch_probe_load_or_nothing() {
    let wish =
        "[[wish]]\nname = 'no switch'\nkind = 'homing by stall detection'\ndevices = ['MX']\nweight = 10\n";
    let loaded = Case::new().load();
    let one = |places: &[(&str, &str)]| loaded.wholes_at("axis-ends", places).remove(0);
    assert_eq!(one(&[("MX", "M1"), ("LX", "IN1")]).verdict, Verdict::Pass);
    assert_eq!(one(&[("MX", "M1")]).verdict, Verdict::Blocker);
    let by_hand = Case::new().axis("X", "homing = 'by hand'").load();
    let placed = by_hand.wholes_at("axis-ends", &[("MX", "M1")]).remove(0);
    assert_eq!(placed.verdict, Verdict::Caution);
    assert_eq!(one(&[("MZ", "M2"), ("BP", "PROBE")]).verdict, Verdict::Pass);
    assert!(
        loaded.wholes_at("axis-ends", &[("ME", "M4")]).is_empty(),
        "filament has no end"
    );
    let wished = Case::new().add("swap.toml", wish).load();
    let by_load = wished.wholes_at("axis-ends", &[("MX", "M1")]).remove(0);
    assert_eq!(by_load.verdict, Verdict::Pass);
    assert!(by_load.headline.contains("load"), "{}", by_load.headline);
}
