//! `cable-length`: old way and reserve against the new way.

use crate::support::Case;
use plan::Verdict;
use quantity::Number;

#[test]
fn a_lead_reaches_as_far_as_it_did_and_80_mm_more() {
    // The boards lie alike, so the ways differ just by the places of the ports: 48 mm and x.
    let at = |x: &str| {
        Case::new()
            .port("FAN1", &format!("at = ['{x}', '77 mm']"))
            .pair("cable-length", "F1", "FAN1")
    };
    // Farther from the entry at the right wall by up to 80 mm: not possible on this board to the left, so the reserve is used up by hand.
    let same = at("48 mm");
    assert_eq!(same.verdict, Verdict::Pass);
    let value = same.value.expect("a way").nominal;
    assert!((same.limit.expect("a limit").bound.nominal - value - 0.080).abs() < 1e-12);
    let near = Case::new()
        .old_port("FAN", "at = ['108 mm', '56 mm']")
        .pair("cable-length", "F1", "FAN1");
    assert_eq!(near.verdict, Verdict::Caution);
    // 60 mm to the left and 21 mm up: 1 mm too far.
    assert!(near.remedy.is_some_and(|remedy| remedy.contains("1 mm")));
}

#[test]
fn a_new_lead_reaches_no_farther_than_it_is_long() {
    let at = |length: &str| {
        Case::new()
            .cable("BP", &format!("length = '{length}'"))
            .pair("cable-length", "BP", "PROBE")
    };
    let way = at("2 m").value.expect("a way").nominal;
    // How much of it lies outside the case nobody said: that is open, however long it is.
    for long_enough in [at("2 m"), at(&format!("{:.1} mm", way * 1e3 + 0.1))] {
        assert_eq!(long_enough.verdict, Verdict::Note);
        assert!(long_enough.asks && long_enough.margin.is_some_and(|margin| margin >= 0.0));
    }
    let told = Case::new()
        .cable("BP", "length = '2 m'")
        .cable("BP", "outside = '0.4 m'");
    assert_eq!(told.pair("cable-length", "BP", "PROBE").verdict, Verdict::Pass);
    let short = at(&format!("{:.1} mm", way * 1e3 - 10.0));
    assert_eq!(short.verdict, Verdict::Caution);
    // The plan has an extension for what is missing, as many as it takes.
    let case = Case::new().cable("BP", "length = '10 mm'").load();
    let facts = case.at("BP", case.ways("BP", "PROBE")[0]);
    let parts = &facts.job().parts;
    assert!(
        parts
            .iter()
            .any(|part| part.name == "extension lead, 4 wires" && part.count == 1),
        "{parts:?}"
    );
}

/// What lies outside the case is not inside: 500 mm less 400 mm outside reach 100 mm.
#[test]
fn a_way_outside_the_case_counts() {
    let at = |length: &str, outside: &str| {
        Case::new()
            .cable("BP", &format!("length = '{length}'"))
            .cable("BP", &format!("outside = '{outside}'"))
            .pair("cable-length", "BP", "PROBE")
    };
    let found = at("500 mm", "400 mm");
    assert!((found.limit.expect("a limit").bound.nominal - 0.1).abs() < 1e-9);
    assert_eq!(found.verdict, Verdict::Caution);
    assert_eq!(at("900 mm", "400 mm ± 5 %").verdict, Verdict::Pass);
    // An old lead is held against both of its ways too.
    let old = |outside: &str| {
        let case = Case::new()
            .cable("F1", "length = '600 mm'")
            .cable("F1", &format!("outside = '{outside}'"));
        case.load().pairs("cable-length", "F1", "FAN1")
    };
    assert_eq!(old("300 mm")[0].verdict, Verdict::Pass);
    let wrong = &old("590 mm")[0];
    assert_eq!(
        (wrong.id.as_str(), wrong.verdict),
        ("cable-length:F1-old-way", Verdict::Caution)
    );
}

/// A lead of 100 mm never reached a port that is 200 mm inside.
#[test]
fn a_lead_shorter_than_its_old_way_is_a_contradiction() {
    let case = Case::new().cable("F1", "length = '100 mm'");
    let found = case.load().pairs("cable-length", "F1", "FAN1");
    assert_eq!(found[0].id, "cable-length:F1-old-way");
    assert_eq!(
        found[1].verdict,
        Verdict::Caution,
        "what is so short does not reach now either"
    );
}

/// The way of a lead by hand: from the entry at 140 mm, 56 mm around the board, which lies from 15 mm to 125 mm and from 15 mm to 97 mm.
#[test]
fn the_way_goes_around_the_board() {
    let loaded = Case::new().load();
    let way = |port: &str| {
        let port = loaded.swap.candidates[0].port_named(port).expect("a port");
        loaded.seats.new_way(port).expect("an entry").length().base()
    };
    for (port, at, expected) in [
        // Down to the lower edge at 15 mm and along it.
        ("M1", (20.0, 5.0), 15.0 + 41.0 + (125.0 - 35.0) + 5.0),
        // Up to the upper edge at 97 mm and along it.
        ("FAN1", (48.0, 77.0), 15.0 + 41.0 + (125.0 - 63.0) + 5.0),
    ] {
        let board = &loaded.swap.candidates[0];
        let drawn = board.port(board.port_named(port).expect("a port")).at.value;
        assert!(
            (drawn.x.base() - at.0 * 1e-3).abs() < 1e-9 && (drawn.y.base() - at.1 * 1e-3).abs() < 1e-9,
            "{port}"
        );
        assert!(
            (way(port) - expected * 1e-3).abs() < 1e-9,
            "{port}: {} instead of {expected} mm",
            way(port) * 1e3
        );
    }
}

/// A board that its opening turns by 180° has its left edge at the right: its leads are those of the turned board.
#[test]
fn a_turned_board_turns_its_ways() {
    let opening = |edge: &str, from: f64| {
        let text = format!(
            "[[case.opening]]\nrole = 'USB'\nedge = '{edge}'\nfrom = '{from} mm'\nto = '{} mm'\n",
            from + 20.0
        );
        Case::new().add("machine.toml", &text).load()
    };
    let (drawn, turned) = (opening("left", 35.0), opening("right", 57.0));
    assert_eq!(turned.seats.new.turned(), "turned by 180°");
    let way = |loaded: &crate::support::Loaded, port: &str| {
        let port = loaded.swap.candidates[0].port_named(port).expect("a port");
        loaded.seats.new_way(port).expect("an entry").length().base()
    };
    // The entry lies in the middle of its wall: a port turned round lies as far below as it lay above, but on the other side.
    let (before, after) = (way(&drawn, "FAN1"), way(&turned, "FAN1"));
    assert!(
        (before - (15.0 + 41.0 + 62.0 + 5.0) * 1e-3).abs() < 1e-9,
        "{before}"
    );
    assert!(
        (after - (15.0 + 41.0 + 48.0 + 5.0) * 1e-3).abs() < 1e-9,
        "{after}"
    );
}

/// What stands at the wall beside the entry closes the short way.
#[test]
fn a_keep_out_makes_a_detour() {
    let block = "[[case.keep_out]]\nname = 'block'\nat = ['125 mm', '70 mm']\nsize = ['15 mm', '10 mm']\nheight = '0 mm'\n";
    let way = |case: Case| {
        let loaded = case.load();
        let port = loaded.swap.candidates[0].port_named("FAN1").expect("a port");
        loaded.seats.new_way(port).expect("an entry").length().base() * 1e3
    };
    let free = way(Case::new());
    // Down, along the lower edge, up the left one and back along the upper one.
    let around = 15.0 + 41.0 + 110.0 + 82.0 + 48.0 + 5.0;
    assert!((way(Case::new().add("machine.toml", block)) - around).abs() < 1e-6);
    assert!(free < around);
}
