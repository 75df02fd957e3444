//! `load-homing`: back-EMF against the driver's floor, only where it is wished.

use crate::support::Case;
use plan::Verdict;
use plan::compatible;

const WISH: &str =
    "[[wish]]\nname = 'no switch'\nkind = 'homing by stall detection'\ndevices = ['MX']\nweight = 10\n";

fn wished() -> Case {
    Case::new().add("swap.toml", WISH)
}

/// 40 mm/s are 1 rev/s: 0.45 N m · 2 π / (√2 · 1.5 A) = 1.333 V (synchronous machine, any machines textbook).
#[test]
fn in_and_out_at_the_floor() {
    let at = |floor: &str| {
        let case = wished().driver("D1", &format!("min_back_emf = '{floor}'"));
        case.pair("load-homing", "MX", "M1")
    };
    let finding = at("0.9 V");
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!((finding.value.expect("a voltage").nominal - 1.3329).abs() < 1e-4);
    assert_eq!(at("1.33 V").verdict, Verdict::Pass);
    let out = at("1.34 V");
    assert_eq!(out.verdict, Verdict::Note);
    assert!(
        out.remedy
            .is_some_and(|remedy| remedy.contains("faster than 40.2 mm/s"))
    );
    assert_eq!(at("1.3 V ± 3 %").verdict, Verdict::Note, "the worst corner");
}

#[test]
fn the_wish_hangs_on_it() {
    let served = |floor: &str| {
        let loaded = wished().driver("D1", &format!("min_back_emf = '{floor}'")).load();
        *loaded.plan().served.last().expect("a wish")
    };
    assert!(served("0.9 V"));
    assert!(!served("1.34 V"));
    // The way itself stays open: the switch does it.
    let loaded = wished().driver("D1", "min_back_emf = '1.34 V'").load();
    let way = loaded.ways("MX", "M1")[0];
    assert!(compatible::judge(&loaded.at("MX", way)).is_ok());
}

#[test]
fn only_where_it_is_wished_and_can_be_computed() {
    assert!(Case::new().load().pairs("load-homing", "MX", "M1").is_empty());
    assert_eq!(
        wished().pair("load-homing", "MX", "M2").verdict,
        Verdict::Note,
        "no measurement"
    );
    let unknown = wished().without_line("machine.toml", "[[axis]]\nname = \"X\"", "homing_speed");
    assert_eq!(unknown.pair("load-homing", "MX", "M1").verdict, Verdict::Caution);
}

#[test]
fn too_fast_is_no_good_either() {
    // 6 rev/s are 240 mm/s.
    let fast = wished().axis("X", "homing_speed = '260 mm/s'").load();
    assert_eq!(fast.pairs("load-homing", "MX", "M1").len(), 2);
}
