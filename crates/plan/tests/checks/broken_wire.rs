//! `broken-wire`: which breaks stay unseen.

use crate::support::Case;
use plan::Verdict;

#[test]
fn a_closed_circuit_stops_the_machine() {
    let closed = Case::new().pair("broken-wire", "LX", "IN1");
    assert_eq!(closed.verdict, Verdict::Pass);
    let open = Case::new().device("LX", "output = 'contact, normally open'");
    let open = open.pair("broken-wire", "LX", "IN1");
    assert_eq!(open.verdict, Verdict::Caution);
    assert!(
        open.headline.contains("X runs on into its end"),
        "{}",
        open.headline
    );
}

#[test]
fn a_lost_print_is_a_note_and_a_crash_a_caution() {
    assert_eq!(
        Case::new().pair("broken-wire", "FS", "IN2").verdict,
        Verdict::Note
    );
    assert_eq!(
        Case::new().pair("broken-wire", "BP", "PROBE").verdict,
        Verdict::Caution
    );
}
