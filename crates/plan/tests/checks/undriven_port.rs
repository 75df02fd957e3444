//! `undriven-port`: there, and of no use.

use crate::support::Case;
use plan::Verdict;

#[test]
fn a_port_that_no_firmware_drives_serves_nothing() {
    let base = Case::new().load();
    let lights = base.id("LS");
    let way = base.plan().ways[lights.0].expect("lights are served");
    let port = base.swap.candidates[0].port(way.port).name.value.clone();
    let undriven = Case::new()
        .port(&port, "undriven = 'its pin has no timer'")
        .load();
    let finding = undriven.pair("undriven-port", "LS", &port);
    assert_eq!(finding.verdict, Verdict::Blocker);
    assert!(
        finding.headline.contains("its pin has no timer"),
        "{}",
        finding.headline
    );
    let now = undriven.plan().ways[lights.0];
    assert!(now.is_none_or(|now| now.port != way.port), "another port or none");
    assert!(base.pairs("undriven-port", "LS", &port).is_empty());
}
