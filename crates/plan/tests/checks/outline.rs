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

/// Drawings that count from the upper left corner, y downward: the case is 112 mm deep, so that a block of 10 mm at 50 mm stands 52 mm from the top, and an
/// opening from 35 mm to 55 mm lies from 57 mm to 77 mm (subtraction).
#[test]
fn a_drawing_may_count_from_another_corner() {
    let case = |origin: &str, y: f64, from: f64| {
        let to = from + 20.0;
        Case::new().housing(origin).add(
            "machine.toml",
            &format!(
                "[[case.keep_out]]\nname = 'block'\nat = ['126.9 mm', '{y} mm']\nsize = ['10 mm', '10 mm']\nheight = '0 mm'\n\
                 [[case.opening]]\nrole = 'USB'\nedge = 'left'\nfrom = '{from} mm'\nto = '{to} mm'\n"
            ),
        )
    };
    let up = case("origin = 'lower left'", 50.0, 35.0).load();
    let down = case("origin = 'upper left'", 52.0, 57.0).load();
    let shape = |loaded: &crate::support::Loaded| {
        let case = &loaded.swap.machine.case;
        (
            case.keep_out[0].at.value,
            case.opening[0].from.value,
            case.opening[0].to.value,
        )
    };
    let (one, other) = (shape(&up), shape(&down));
    let near = |a: quantity::si::Length, b: quantity::si::Length| {
        (quantity::Number::base(a) - quantity::Number::base(b)).abs() < 1e-12
    };
    assert!(near(one.0.y, other.0.y) && near(one.0.x, other.0.x));
    assert!(near(one.1.nominal(), other.1.nominal()) && near(one.2.nominal(), other.2.nominal()));
    assert_eq!(
        up.wholes("openings")[0].verdict,
        down.wholes("openings")[0].verdict
    );
    // A board of 82 mm whose socket is drawn 30 mm from the top has it 52 mm from below.
    let board = Case::new().board("[outline]", "origin = 'upper left'").load();
    let socket = |loaded: &crate::support::Loaded| {
        let board = &loaded.swap.candidates[0];
        let port = board
            .ports
            .iter()
            .find(|port| matches!(port.kind, model::board::PortKind::Usb { .. }))
            .expect("a USB socket");
        quantity::Number::base(port.at.value.y)
    };
    let plain = Case::new().load();
    assert!((socket(&board) + socket(&plain) - 82e-3).abs() < 1e-12);
}
