//! `hole-pattern`: play after ISO 273, a published kind of registration, and what a plate mends.

use crate::support::Case;
use plan::Verdict;

fn holes(list: &str) -> Case {
    Case::new().board("[outline]", &format!("holes = [{list}]"))
}

/// ISO 273, medium: an M3 screw in a hole of 3.4 mm has 0.20 mm of play to each side; fine: 3.2 mm, 0.10 mm.
#[test]
fn in_and_out_of_the_play() {
    // The right pair of holes is off by twice the number: the best position shares it between both sides.
    let off = |x: f64| {
        let x = 105.0 + 2.0 * x;
        holes(&format!(
            "['5 mm', '5 mm'], ['{x} mm', '5 mm'], ['5 mm', '77 mm'], ['{x} mm', '77 mm']"
        ))
    };
    let finding = off(0.199).whole("hole-pattern");
    assert_eq!(finding.verdict, Verdict::Pass, "{}", finding.headline);
    assert!((finding.value.expect("a length").nominal - 0.199e-3).abs() < 1e-6);
    assert!((finding.working[0].result.nominal - 0.2e-3).abs() < 1e-12);
    let finding = off(0.201).whole("hole-pattern");
    assert_ne!(finding.verdict, Verdict::Pass, "{}", finding.headline);
    let fine = off(0.11).board("[outline]", "hole_diameter = '3.2 mm'");
    assert_ne!(fine.whole("hole-pattern").verdict, Verdict::Pass);
}

/// Four holes and posts turned by 1.48° with residuals up to 0.18 mm in the least-squares position (Kabsch 1976, recomputed):
/// all four M3 screws pass in medium holes.
#[test]
fn a_pattern_that_lies_askew() {
    let case = holes("['5 mm', '5 mm'], ['102 mm', '5 mm'], ['102 mm', '76 mm'], ['5 mm', '76 mm']").housing(
        "standoffs = [['32.5 mm', '16.3 mm'], ['129.3668 mm', '18.6392 mm'], ['127.3582 mm', '89.8648 mm'], ['30.5914 mm', '87.3757 mm']]",
    );
    let finding = case.whole("hole-pattern");
    assert_eq!(finding.verdict, Verdict::Pass, "{}", finding.headline);
    assert!(finding.headline.starts_with("4 of 4"), "{}", finding.headline);
    let worst = finding.value.expect("a length").nominal;
    assert!(
        worst <= 0.180719e-3,
        "the smallest largest residual is at most that of the least squares: {worst}"
    );
}

#[test]
fn three_screws_hold_and_two_do_not() {
    let three = holes("['5 mm', '5 mm'], ['105 mm', '5 mm'], ['5 mm', '77 mm'], ['102 mm', '77 mm']");
    let finding = three.whole("hole-pattern");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(
        finding.parts.is_empty() && finding.headline.starts_with("3 of 4"),
        "{}",
        finding.headline
    );
    let two = holes("['5 mm', '5 mm'], ['105 mm', '5 mm'], ['9 mm', '70 mm'], ['98 mm', '70 mm']");
    let finding = two.whole("hole-pattern");
    assert_eq!(finding.parts[0].name, "adaptor plate", "{}", finding.headline);
}

#[test]
fn a_board_too_large_has_no_plate() {
    let large = holes("['5 mm', '5 mm'], ['145 mm', '5 mm'], ['5 mm', '77 mm'], ['145 mm', '77 mm']")
        .board("[outline]", "size = ['150 mm', '82 mm']");
    assert_eq!(large.whole("hole-pattern").verdict, Verdict::Blocker);
}

#[test]
fn a_screw_too_thick_does_not_pass() {
    let thick = Case::new().housing("screw_size = 'M4'");
    let finding = thick.whole("hole-pattern");
    assert_eq!(finding.parts[0].name, "adaptor plate");
    assert!(finding.headline.contains("do not pass"), "{}", finding.headline);
}

#[test]
fn a_board_turned_round_is_said_to_be() {
    // Drawn the other way round: the missing corner tells.
    let turned = holes("['5 mm', '5 mm'], ['105 mm', '5 mm'], ['5 mm', '77 mm']")
        .housing("standoffs = [['120 mm', '92 mm'], ['20 mm', '92 mm'], ['120 mm', '20 mm']]");
    let finding = turned.whole("hole-pattern");
    assert!(
        finding.headline.contains("turned by 180°"),
        "{}",
        finding.headline
    );
    let quarter = holes("['5 mm', '5 mm'], ['105 mm', '5 mm'], ['5 mm', '77 mm']")
        .housing("standoffs = [['100 mm', '5 mm'], ['100 mm', '105 mm'], ['28 mm', '5 mm']]");
    let finding = quarter.whole("hole-pattern");
    assert!(
        finding.headline.contains("90° to the left"),
        "{}",
        finding.headline
    );
}

/// With two holes two screws are all that can be: the board is held by them, without a plate.
#[test]
fn screws_are_counted_by_holes_that_exist() {
    let two = holes("['5 mm', '5 mm'], ['105 mm', '77 mm']").load();
    assert_eq!(two.seats.new.held, plan::mounting::Held::Posts);
    assert_eq!(two.seats.new.screws, 2);
}

/// The fourth post stands under the board, and the nearest hole is 8 mm off: more than the 3.5 mm of a washer of M3 (ISO 7089).
#[test]
fn a_post_without_a_hole_presses() {
    let findings = holes("['5 mm', '5 mm'], ['105 mm', '5 mm'], ['5 mm', '77 mm'], ['97 mm', '77 mm']")
        .load()
        .wholes("hole-pattern");
    let pressing = findings
        .iter()
        .find(|finding| finding.id == "hole-pattern:post-4");
    assert_eq!(
        pressing.map(|finding| finding.verdict),
        Some(Verdict::Caution),
        "{findings:#?}"
    );
    let near = holes("['5 mm', '5 mm'], ['105 mm', '5 mm'], ['5 mm', '77 mm'], ['102 mm', '77 mm']");
    assert!(
        near.load()
            .wholes("hole-pattern")
            .iter()
            .all(|finding| !finding.headline.contains("presses"))
    );
}

/// One hole is 0.8 mm off: with a play of 0.2 mm no position holds all four, and three holes remain, the three with the least largest distance.
#[test]
fn of_all_subsets_the_one_with_the_least_largest_distance() {
    let best =
        holes("['5 mm', '5 mm'], ['105 mm', '5 mm'], ['5.1 mm', '77.2 mm'], ['105.8 mm', '77 mm']").load();
    assert_eq!(best.seats.new.screws, 3);
    let largest = quantity::Number::base(best.seats.new.largest);
    assert!(largest <= 0.2e-3, "{largest}");
    // Leaving out any one hole, the fit is never better than the one taken.
    let all = [(5.0, 5.0), (105.0, 5.0), (5.1, 77.2), (105.8, 77.0)];
    let posts = [(20.0, 20.0), (120.0, 20.0), (20.0, 92.0), (120.0, 92.0)];
    let point = |(x, y): (f64, f64)| {
        physics::mechanics::Point::new(quantity::si::millimetre(x), quantity::si::millimetre(y))
    };
    for left in 0..4 {
        let pairs: Vec<_> = (0..4)
            .filter(|at| *at != left)
            .map(|at| (point(all[at]), point(posts[at])))
            .collect();
        let (_, other) = physics::mechanics::tightest_fit(&pairs, false).expect("a fit");
        assert!(largest <= quantity::Number::base(other) + 1e-9, "without {left}");
    }
}

#[test]
fn without_holes_it_is_not_known() {
    let finding = holes("").whole("hole-pattern");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(
        finding.asks && finding.headline.contains("is open"),
        "{}",
        finding.headline
    );
}

/// Turned by 180° the board would lie in the middle of the case, and 0.2 mm beside something that stands up to the lid: it stays as drawn, off the middle.
#[test]
fn of_two_ways_that_keeps_its_distance_from_what_stands_there() {
    let case = Case::new()
        .housing(
            "standoffs = [['21 mm', '20 mm'], ['121 mm', '20 mm'], ['21 mm', '92 mm'], ['121 mm', '92 mm']]",
        )
        .board(
            "[outline]",
            "holes = [['4 mm', '5 mm'], ['104 mm', '5 mm'], ['4 mm', '77 mm'], ['104 mm', '77 mm']]",
        );
    let block = "[[case.keep_out]]\nname = 'block'\nat = ['5 mm', '50 mm']\nsize = ['9.8 mm', '10 mm']\nheight = '0 mm'\n";
    assert_eq!(case.load().seats.new.turned(), "turned by 180°");
    assert_eq!(case.load().seats.new.front(), Some("top"));
    assert_eq!(
        case.add("machine.toml", block).load().seats.new.turned(),
        "as drawn"
    );
}
