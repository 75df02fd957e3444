//! `openings`: sockets behind the holes in the wall.

use crate::support::Case;
use plan::Verdict;

fn opening(case: Case, role: &str, edge: &str, from: f64, to: f64) -> Case {
    let text =
        format!("[[case.opening]]\nrole = '{role}'\nedge = '{edge}'\nfrom = '{from} mm'\nto = '{to} mm'\n");
    case.add("machine.toml", &text)
}

/// The USB socket lies at 30 mm of a board whose corner is at 15 mm: 45 mm along the left wall.
#[test]
fn in_and_out_of_the_opening() {
    let at = |from: f64| {
        let loaded = opening(Case::new(), "USB", "left", from, from + 20.0).load();
        let findings = loaded.wholes("openings");
        findings
            .into_iter()
            .find(|finding| finding.subject.other.as_deref() == Some("USB"))
            .expect("USB")
    };
    let middle = at(35.0);
    assert_eq!(middle.verdict, Verdict::Pass);
    assert!((middle.value.expect("a length").nominal - 10e-3).abs() < 1e-9);
    assert!(middle.headline.contains("20 mm behind"), "{}", middle.headline);
    // Half of a plug of 12.4 mm, less half a millimetre.
    assert_eq!(at(45.0 - 5.71).verdict, Verdict::Pass);
    assert_eq!(at(45.0 - 5.69).verdict, Verdict::Caution);
    assert_eq!(at(50.0).verdict, Verdict::Caution, "it looks at the wall");
}

#[test]
fn another_wall_and_no_opening() {
    let loaded = opening(Case::new(), "USB", "right", 35.0, 55.0).load();
    let findings = loaded.wholes("openings");
    assert_eq!(findings.len(), 2, "{findings:#?}");
    assert!(
        findings[0].headline.contains("does not look at"),
        "{}",
        findings[0].headline
    );
    assert_eq!(findings[1].verdict, Verdict::Note, "no opening for the card");
    // A case that names no opening at all says nothing about them.
    assert!(Case::new().load().wholes("openings").is_empty());
}

/// A plug of 12.4 mm does not pass an opening of 12 mm, however well it is centred.
#[test]
fn an_opening_narrower_than_its_plug() {
    let at = |wide: f64| {
        let loaded = opening(Case::new(), "USB", "left", 45.0 - wide / 2.0, 45.0 + wide / 2.0).load();
        let findings = loaded.wholes("openings");
        findings
            .into_iter()
            .find(|finding| finding.subject.other.as_deref() == Some("USB"))
            .expect("USB")
    };
    assert_eq!(at(12.5).verdict, Verdict::Pass);
    let narrow = at(12.3);
    assert_eq!(narrow.verdict, Verdict::Caution);
    assert!(narrow.headline.contains("12.3 mm wide"), "{}", narrow.headline);
}

/// Turned by 180° the socket would meet its opening, but the board would stand out of the case: it lies as drawn.
#[test]
fn inside_the_case_goes_before_openings() {
    // As drawn the board reaches from 15 mm to 125 mm. Holes 5 mm from the left edge and 14 mm from the right one: turned, it begins at 6 mm.
    let board = Case::new()
        .board("[outline]", "size = ['119 mm', '82 mm']")
        .housing("size = ['135 mm', '112 mm']");
    let loaded = opening(board.clone(), "USB", "right", 57.0, 77.0).load();
    assert_eq!(
        loaded.seats.new.turned(),
        "turned by 180°",
        "turned it lies inside: 6 mm to 125 mm"
    );
    let near = board.housing(
        "standoffs = [['10 mm', '20 mm'], ['110 mm', '20 mm'], ['10 mm', '92 mm'], ['110 mm', '92 mm']]",
    );
    let loaded = opening(near, "USB", "right", 57.0, 77.0).load();
    // Turned it would begin 4 mm outside.
    assert_eq!(loaded.seats.new.turned(), "as drawn");
    let block = "[[case.keep_out]]\nname = 'block'\nat = ['6 mm', '50 mm']\nsize = ['7 mm', '10 mm']\nheight = '0 mm'\n";
    let hit = opening(
        Case::new().board("[outline]", "size = ['119 mm', '82 mm']"),
        "USB",
        "right",
        57.0,
        77.0,
    );
    let hit = hit.add("machine.toml", block).load();
    assert_eq!(
        hit.seats.new.turned(),
        "as drawn",
        "turned it would stand on the block"
    );
}

#[test]
fn of_two_ways_to_lie_the_one_at_its_opening() {
    // The pattern is a rectangle: turned by 180° the socket looks right, at 112 − 45 mm.
    let loaded = opening(Case::new(), "USB", "right", 57.0, 77.0).load();
    let findings = loaded.wholes("openings");
    assert_eq!(findings[0].verdict, Verdict::Pass, "{}", findings[0].headline);
    let pattern = loaded.wholes("hole-pattern").remove(0);
    assert!(
        pattern.headline.contains("turned by 180°"),
        "{}",
        pattern.headline
    );
}

/// Of several openings for one socket the one that it looks at counts, whichever stands first; the others can be closed.
#[test]
fn of_several_openings_the_best_counts() {
    let (met, blind) = (("left", 35.0, 55.0), ("top", 20.0, 40.0));
    for order in [[met, blind], [blind, met]] {
        let case = order.into_iter().fold(Case::new(), |case, (edge, from, to)| {
            opening(case, "USB", edge, from, to)
        });
        let findings = case.load().wholes("openings");
        let usb: Vec<_> = findings
            .iter()
            .filter(|finding| finding.headline.contains("USB"))
            .map(|finding| finding.verdict)
            .collect();
        assert_eq!(usb.len(), 2, "{findings:#?}");
        assert!(
            usb.contains(&Verdict::Pass) && usb.contains(&Verdict::Note),
            "{usb:?}"
        );
    }
}

/// Two openings that the one socket misses: the nearer one is told of once.
#[test]
fn a_socket_that_misses_all_openings_is_one_caution() {
    let case = opening(Case::new(), "USB", "right", 5.0, 25.0);
    let findings = opening(case, "USB", "left", 70.0, 90.0).load().wholes("openings");
    let cautions: Vec<_> = findings
        .iter()
        .filter(|finding| finding.verdict == Verdict::Caution)
        .collect();
    assert_eq!(cautions.len(), 1, "{findings:#?}");
    assert!(
        cautions[0].headline.contains("left wall"),
        "{}",
        cautions[0].headline
    );
}
