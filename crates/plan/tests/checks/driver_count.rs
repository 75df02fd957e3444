//! `driver-count`: for each motor, for each axis, or not enough.

use crate::support::Case;
use plan::Verdict;

fn less(case: Case, number: u8) -> Case {
    case.without("new.toml", &format!("[[driver]]\nname = \"D{number}\""))
        .without_port(&format!("M{number}"))
}

#[test]
fn four_three_and_two() {
    let four = Case::new();
    assert_eq!(four.whole("driver-count").verdict, Verdict::Pass);
    let three = less(four, 4);
    assert_eq!(three.whole("driver-count").verdict, Verdict::Note);
    let two = less(three, 3);
    assert_eq!(two.whole("driver-count").verdict, Verdict::Blocker);
}
