//! `outline`: room to the walls, and what stands in the way.

use crate::support::Case;
use plan::{Finding, Verdict};

fn keep_out(at: &str, height: &str) -> Case {
    Case::new().add(
        "machine.toml",
        &format!(
            "[[case.keep_out]]\nname = 'block'\nat = {at}\nsize = ['10 mm', '10 mm']\nheight = '{height}'\n"
        ),
    )
}

fn block(case: &Case) -> Option<Finding> {
    let findings = case.load().wholes("outline");
    findings
        .into_iter()
        .find(|finding| finding.subject.other.is_some())
}

#[test]
fn in_and_out_of_the_case() {
    // The board lies from 15 mm to 125 mm and from 15 mm to 97 mm.
    let wide = |x: &str| {
        Case::new()
            .housing(&format!("size = ['{x}', '112 mm']"))
            .whole("outline")
    };
    let finding = wide("140 mm");
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!((finding.value.expect("a length").nominal - 15e-3).abs() < 1e-12);
    assert_eq!(wide("127 mm").verdict, Verdict::Pass);
    assert_eq!(wide("126.9 mm").verdict, Verdict::Caution);
    assert_eq!(wide("125 mm").verdict, Verdict::Caution);
    assert_eq!(wide("124.9 mm").verdict, Verdict::Blocker);
}

#[test]
fn off_the_posts_it_may_lie_anywhere() {
    let free = |size: &str| {
        let case = Case::new()
            .housing(&format!("size = {size}"))
            .housing("screw_size = 'M4'");
        case.whole("outline").verdict
    };
    assert_eq!(free("['114 mm', '112 mm']"), Verdict::Pass);
    assert_eq!(free("['113.9 mm', '112 mm']"), Verdict::Caution);
    assert_eq!(
        free("['109 mm', '112 mm']"),
        Verdict::Caution,
        "turned by a quarter"
    );
    assert_eq!(free("['109 mm', '109 mm']"), Verdict::Blocker);
}

#[test]
fn what_stands_in_the_way() {
    // Right of the board: 125 mm.
    assert_eq!(
        block(&keep_out("['127 mm', '50 mm']", "0 mm")).map(|finding| finding.verdict),
        Some(Verdict::Pass)
    );
    assert_eq!(
        block(&keep_out("['126.9 mm', '50 mm']", "0 mm")).map(|finding| finding.verdict),
        Some(Verdict::Caution)
    );
    assert_eq!(
        block(&keep_out("['124 mm', '50 mm']", "0 mm")).map(|finding| finding.verdict),
        Some(Verdict::Blocker)
    );
    // Above the board, which is 21 mm high.
    assert!(block(&keep_out("['60 mm', '50 mm']", "21 mm")).is_none());
    assert_eq!(
        block(&keep_out("['60 mm', '50 mm']", "20.9 mm")).map(|finding| finding.verdict),
        Some(Verdict::Caution)
    );
}
