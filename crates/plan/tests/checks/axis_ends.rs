//! `axis-ends`: switch, probe, load, or nothing.

use crate::support::Case;
use plan::Verdict;

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
