//! `adaptor-plate`: where the board goes on it, where its holes are, and what it adds to the height.

use crate::support::Case;
use plan::Verdict;
use plan::mounting::Held;

/// Holes that no two posts meet: 90 mm by 62 mm, where the posts are 100 mm by 72 mm apart.
fn missing() -> Case {
    Case::new().board(
        "[outline]",
        "holes = [['10 mm', '10 mm'], ['100 mm', '10 mm'], ['10 mm', '72 mm'], ['100 mm', '72 mm']]",
    )
}

#[test]
fn on_the_posts_there_is_none() {
    assert!(Case::new().load().wholes("adaptor-plate").is_empty());
}

/// Centred in the case of 140 mm by 112 mm the board of 110 mm by 82 mm begins at 15 mm, 15 mm: each hole 5 mm inside its post both ways,
/// 7.07 mm from it; a washer of M3 has 7 mm (ISO 7089). The plate reaches 3.5 mm beyond the posts.
#[test]
fn its_holes_and_its_web() {
    let loaded = missing().load();
    assert_eq!(loaded.seats.new.held, Held::Plate);
    let findings = loaded.wholes("adaptor-plate");
    assert_eq!(findings[0].verdict, Verdict::Note);
    assert!(
        findings[0].headline.contains("107 mm x 79 mm"),
        "{}",
        findings[0].headline
    );
    assert!(
        findings[0].headline.contains("at 15 mm, 15 mm"),
        "{}",
        findings[0].headline
    );
    let drill = findings[0].remedy.as_deref().expect("places of holes");
    assert!(
        drill.contains("Posts: 3.5 / 3.5 mm, 103.5 / 3.5 mm, 3.5 / 75.5 mm"),
        "{drill}"
    );
    assert!(drill.contains("Board: 8.5 / 8.5 mm, 98.5 / 8.5 mm"), "{drill}");
    assert_eq!(findings[1].verdict, Verdict::Pass);
    assert!((findings[1].value.expect("a length").nominal - 50e-6_f64.sqrt()).abs() < 1e-9);
}

/// A hole two millimetres beside a post leaves no room for a head beside a distance piece, wherever the board can be pushed.
#[test]
fn holes_too_near() {
    // The case leaves the board no room to be shifted.
    let case = missing()
        .board(
            "[outline]",
            "holes = [['5 mm', '7 mm'], ['103 mm', '7 mm'], ['5 mm', '75 mm'], ['103 mm', '75 mm']]",
        )
        .housing("size = ['140 mm', '112 mm']");
    let findings = case.load().wholes("adaptor-plate");
    let web = findings[1].value.expect("a length");
    assert_eq!(findings[1].verdict == Verdict::Pass, web.nominal >= 7e-3);
    let tight = missing().housing("size = ['110 mm', '82 mm']").housing(
        "standoffs = [['12 mm', '12 mm'], ['98 mm', '12 mm'], ['12 mm', '70 mm'], ['98 mm', '70 mm']]",
    );
    let finding = tight.load().wholes("adaptor-plate").remove(1);
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!((finding.value.expect("a length").nominal - 8e-6_f64.sqrt()).abs() < 1e-9);
}

/// The plate is a body too: a post 3 mm from the wall takes it, with the 3.5 mm of a washer, half a millimetre out of the case; what leaves less than its
/// 3 mm of height free stands in its way.
#[test]
fn it_meets_walls_and_what_stands_in_the_way() {
    let of = |case: &Case| case.load().wholes("adaptor-plate");
    let out = missing().housing(
        "standoffs = [['3 mm', '20 mm'], ['137 mm', '20 mm'], ['3 mm', '92 mm'], ['137 mm', '92 mm']]",
    );
    let findings = of(&out);
    let wall = findings
        .iter()
        .find(|finding| finding.id == "adaptor-plate:outline-of-the-plate")
        .expect("a wall");
    assert_eq!(wall.verdict, Verdict::Caution);
    assert!(
        wall.headline.contains("500 µm") || wall.headline.contains("0.5 mm"),
        "{}",
        wall.headline
    );
    let block = |height: &str| {
        missing().housing("size = ['140 mm', '112 mm']").add(
            "machine.toml",
            &format!("[[case.keep_out]]\nname = 'block'\nat = ['60 mm', '60 mm']\nsize = ['10 mm', '10 mm']\nheight = '{height}'\n"),
        )
    };
    let met = |height: &str| {
        of(&block(height))
            .iter()
            .any(|finding| finding.id == "adaptor-plate:block")
    };
    // Below 3 mm of free height the plate does not pass.
    assert!(met("2 mm"));
    assert!(!met("4 mm"));
}

/// 3 mm of plate and 5 mm of distance pieces under the board of 21 mm.
#[test]
fn it_lifts_the_board() {
    let lid = |free: &str| {
        missing()
            .housing(&format!("height = '{free}'"))
            .whole("board-height")
            .verdict
    };
    assert_eq!(lid("34 mm"), Verdict::Pass);
    assert_eq!(lid("33.9 mm"), Verdict::Caution);
    assert_eq!(lid("29 mm"), Verdict::Caution);
    assert_eq!(lid("28.9 mm"), Verdict::Blocker);
    let flat = Case::new().housing("height = '28.9 mm'").whole("board-height");
    assert_eq!(flat.verdict, Verdict::Pass);
}

/// The socket lies at 30 mm of the board's left edge: with the opening from 50 mm to 70 mm the board is pushed up by 15 mm.
#[test]
fn it_puts_a_socket_behind_its_opening() {
    let case = missing().add(
        "machine.toml",
        "[[case.opening]]\nrole = 'USB'\nedge = 'left'\nfrom = '48 mm'\nto = '68 mm'\n",
    );
    let findings = case.load().wholes("openings");
    assert_eq!(findings[0].verdict, Verdict::Pass, "{}", findings[0].headline);
    assert!((findings[0].value.expect("a length").nominal - 10e-3).abs() < 1e-9);
}

/// A plate of 3 mm to 5 mm is as thick as it may be where it passes something.
#[test]
fn the_thickest_plate_counts() {
    let thick = "\n[[limit]]\nkey = 'plate.thickness'\nvalue = '4 mm ± 1 mm'\nreason = 'Of this test.'\nsource = 'common-practice'\nsure = 'common \
                 practice'\n";
    let met = |height: &str| {
        let case = missing()
            .housing("size = ['140 mm', '112 mm']")
            .add(
                "machine.toml",
                &format!("[[case.keep_out]]\nname = 'block'\nat = ['60 mm', '60 mm']\nsize = ['10 mm', '10 mm']\nheight = '{height}'\n"),
            )
            .add("catalogue/limits.toml", thick);
        let findings = case.load().wholes("adaptor-plate");
        findings.iter().any(|finding| finding.id == "adaptor-plate:block")
    };
    assert!(met("4 mm"));
    assert!(!met("5.1 mm"));
}
