//! `board-height`: under the lid, with and without air above.

use crate::support::Case;
use plan::Verdict;

#[test]
fn in_and_out_under_the_lid() {
    let high = |height: &str| {
        let case = Case::new().board("[outline]", &format!("height = '{height}'"));
        case.whole("board-height").verdict
    };
    // 34 mm are free, 5 mm of them for air and plugs.
    assert_eq!(high("29 mm"), Verdict::Pass);
    assert_eq!(high("29.1 mm"), Verdict::Caution);
    assert_eq!(high("34 mm"), Verdict::Caution);
    assert_eq!(high("34.1 mm"), Verdict::Blocker);
    assert_eq!(high("33.9 mm ± 1 %"), Verdict::Blocker);
}
