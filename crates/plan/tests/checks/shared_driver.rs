//! `shared-driver`: what each of two motors gets.

use crate::support::Case;
use plan::{Finding, Verdict};

fn second(case: &Case) -> Finding {
    let loaded = case.load();
    let way = loaded.ways("MZ2", "M2").into_iter().find(|way| way.second);
    loaded
        .pairs_in("shared-driver", "MZ2", way.expect("a Y-lead"))
        .remove(0)
}

/// Kirchhoff: of 1.2 A the motor of 3.5 Ω beside one of 4.5 Ω gets 1.2 · 4.5 / 8 = 0.675 A.
#[test]
fn the_smaller_winding_gets_more() {
    let finding = second(&Case::new());
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!((finding.value.expect("a current").nominal - 0.6).abs() < 1e-12);
    let unequal = second(&Case::new().device("MZ", "resistance = '4.5 Ω'"));
    assert!((unequal.value.expect("a current").nominal - 0.675).abs() < 1e-12);
    let over = Case::new()
        .device("MZ", "resistance = '4.5 Ω'")
        .device("MZ2", "current = '0.67 A'");
    assert_eq!(second(&over).verdict, Verdict::Caution);
}

#[test]
fn in_series_both_get_all() {
    let case = Case::new()
        .driver("D2", "motor_connection = 'series'")
        .port("M3", "driver = 'D2'")
        .without("new.toml", "[[driver]]\nname = \"D3\"");
    let loaded = case.load();
    let way = loaded.ways("MZ2", "M3").into_iter().find(|way| way.second);
    let finding = loaded
        .pairs_in("shared-driver", "MZ2", way.expect("a second socket"))
        .remove(0);
    assert!((finding.value.expect("a current").nominal - 0.6).abs() < 1e-12);
    assert!(finding.headline.contains("series"), "{}", finding.headline);
}

/// Both hang on the driver of D2: what the whole assignment says of each.
fn both(case: &Case) -> Vec<Finding> {
    let case = case
        .clone()
        .without("new.toml", "[[driver]]\nname = \"D3\"")
        .port("M3", "driver = 'D2'");
    let loaded = case.load();
    loaded
        .plan()
        .findings
        .iter()
        .filter(|finding| finding.check == "shared-driver")
        .cloned()
        .collect()
}

fn of(findings: &[Finding], tag: &str) -> Finding {
    let found = findings
        .iter()
        .find(|finding| finding.subject.device.as_deref() == Some(tag));
    found.unwrap_or_else(|| panic!("{tag}: {findings:#?}")).clone()
}

/// The first motor is judged as well: beside 4.5 Ω that of 2.5 Ω gets 1.2 A · 4.5 / 7 = 0.771 A, its neighbour 0.429 A.
#[test]
fn the_first_motor_is_judged_too() {
    let unequal = Case::new()
        .device("MZ", "resistance = '2.5 Ω'")
        .device("MZ2", "resistance = '4.5 Ω'")
        .device("MZ", "current = '0.75 A'");
    let findings = both(&unequal);
    let (first, second) = (of(&findings, "MZ"), of(&findings, "MZ2"));
    assert!((first.value.expect("a current").nominal - 1.2 * 4.5 / 7.0).abs() < 1e-12);
    assert!((second.value.expect("a current").nominal - 1.2 * 2.5 / 7.0).abs() < 1e-12);
    assert_eq!(first.verdict, Verdict::Caution);
    assert_eq!(second.verdict, Verdict::Pass);
}

/// In series both get the larger of the two run currents, and the weaker rating decides.
#[test]
fn in_series_the_weaker_rating_decides() {
    let weak = Case::new()
        .driver("D2", "motor_connection = 'series'")
        .device("MZ2", "run_current = '0.8 A'")
        .device("MZ", "current = '0.7 A'");
    let findings = both(&weak);
    assert_eq!(of(&findings, "MZ").verdict, Verdict::Caution);
    assert_eq!(of(&findings, "MZ2").verdict, Verdict::Pass);
    assert!((of(&findings, "MZ").value.expect("a current").nominal - 0.8).abs() < 1e-12);
}

/// How two sockets are joined is assumed where the board's file does not state it, and that is said.
#[test]
fn an_unstated_connection_is_said_to_be_assumed() {
    let said = of(&both(&Case::new()), "MZ2");
    assert!(said.headline.contains("assumed"), "{}", said.headline);
    let stated = of(
        &both(&Case::new().driver("D2", "motor_connection = 'parallel'")),
        "MZ2",
    );
    assert!(!stated.headline.contains("assumed"), "{}", stated.headline);
}

/// Without a resistance it is not known which motor takes more: neither passes.
#[test]
fn without_resistance_nothing_passes() {
    let unknown = Case::new().without_line("machine.toml", "[[device]]\ntag = \"MZ\"", "resistance");
    for finding in both(&unknown) {
        assert_eq!(finding.verdict, Verdict::Note, "{}", finding.headline);
    }
}

#[test]
fn a_motor_alone_is_left_alone() {
    assert!(Case::new().load().pairs("shared-driver", "MX", "M1").is_empty());
}

/// Of two motors of an axis the second shares the driver of the first; it takes no second socket of a driver that the first is not on, though
/// its plug fits there as it is.
#[test]
fn a_second_socket_is_for_the_driver_of_the_first_motor() {
    let near = "\n[[port]]\nname = 'M4B'\nrole = 'motor output'\nconnector = 'crimp 2.5 mm'\npins = ['A1', 'A2', 'B1', 'B2']\nat = ['105 mm', '41 \
                mm']\ndriver = 'D4'\n";
    let loaded = Case::new()
        .port("M4", "connector = 'screw terminal 5.0 mm'")
        .add("new.toml", near)
        .load();
    let plan = loaded.plan();
    let driver = |tag: &str| {
        let way = plan.ways[loaded.id(tag).0].expect("a port");
        let port = &loaded.site().board.port(way.port);
        (
            plan::driver(loaded.site().board, port)
                .expect("a driver")
                .name
                .value
                .clone(),
            way.second,
        )
    };
    let (first, second) = (driver("MZ"), driver("MZ2"));
    assert!(!first.1, "the first motor of an axis has the first socket");
    assert!(!second.1 || first.0 == second.0, "{first:?} {second:?}");
}
