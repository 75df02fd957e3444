//! A way that a part mends meets every check of the direct way at the same feeding conditions.

use crate::support::{Case, Loaded};
use plan::{Finding, Judge, PAIR_CHECKS, Setup, Verdict, WHOLE_CHECKS, Way, run_pair, run_whole};
use proptest::prelude::*;
use std::collections::BTreeMap;

/// What a port is asked about itself falls away where it does not carry the load; all else is of the device, its lead and what feeds it.
/// Fuse and lead of the input carry no less than before, or less: they are held against the whole in `input_current`.
const OF_THE_PORT: [&str; 11] = [
    "port-current",
    "part-rating",
    "connector-current",
    "switch-heating",
    "wire-fit",
    "input-fuse",
    "input-current",
    "supply-lead",
    "rail-budget",
    "enclosure-air",
    "regulator-heat",
];

/// All findings of a device in one way, with all that stands beside it in an assignment.
fn all(loaded: &Loaded, tag: &str, way: Way, beside: &[(&str, &str)]) -> Vec<Finding> {
    let mut judge = Judge::keeping();
    for check in PAIR_CHECKS {
        run_pair(check, &loaded.at(tag, way), &mut judge);
    }
    let mut ways = loaded.ways_at(beside);
    ways[loaded.id(tag).0] = Some(way);
    let facts = Setup::new(loaded.site(), &ways).facts();
    for check in WHOLE_CHECKS {
        run_whole(check, &facts, &mut judge);
    }
    judge.into_findings()
}

/// The worst verdict of each check, but those of the port.
fn worst(findings: &[Finding]) -> BTreeMap<&'static str, Verdict> {
    let mut out = BTreeMap::new();
    for finding in findings
        .iter()
        .filter(|finding| !OF_THE_PORT.contains(&finding.check))
    {
        let worst = out.entry(finding.check).or_insert(finding.verdict);
        *worst = finding.verdict.max(*worst);
    }
    out
}

/// Each check that the direct way raises is raised by the mended one, no less badly.
fn held_to_the_same(direct: &[Finding], mended: &[Finding]) -> Result<(), TestCaseError> {
    let (direct, mended) = (worst(direct), worst(mended));
    for (check, verdict) in direct.iter().filter(|(_, verdict)| **verdict >= Verdict::Caution) {
        let own = mended.get(check).copied();
        // Without the switch of the board in its way a heater is a little faster, and a shorter window may serve: judged, by its own figures.
        let verdict = if *check == "protection-window" {
            &Verdict::Pass
        } else {
            verdict
        };
        prop_assert!(
            own >= Some(*verdict),
            "{check}: {verdict:?} directly, {own:?} mended"
        );
    }
    Ok(())
}

const BESIDE: [(&str, &str); 2] = [("PS", "POWER"), ("T1", "TH1")];

/// A heater on a port that bears it, and on one that does not: both feed it from the supply.
fn heater(heater: &dyn Fn(Case) -> Case) -> [Vec<Finding>; 2] {
    ["40 A", "0.1 A"].map(|rating| {
        let case = heater(Case::new())
            .port("HEAT1", &format!("current = '{rating}'"))
            .port("HEAT1", "connector = 'screw terminal 9.5 mm'")
            .port("HEAT1", "switch_resistance = '0.2 mΩ'");
        let loaded = case.load();
        let way = loaded.ways("H1", "HEAT1")[0];
        let outside = loaded.at("H1", way).external_switch().is_some();
        assert_eq!(outside, rating == "0.1 A", "{rating}");
        all(&loaded, "H1", way, &BESIDE)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn an_external_switch_spares_a_heater_no_check(
        volts in prop::sample::select(vec![12.0, 19.0, 24.0, 30.0, 48.0]),
        supply in prop::sample::select(vec![12.0, 19.0, 24.0, 30.0]),
        watts in 30.0..80.0_f64,
        wire in prop::sample::select(vec!["14 AWG", "18 AWG", "20 AWG", "24 AWG", "28 AWG"]),
        metres in 0.2..6.0_f64,
        working in 150.0..290.0_f64,
        weakest in 200.0..400.0_f64,
    ) {
        let [direct, mended] = heater(&|case| {
            case.device("PS", &format!("voltage = '{supply} V'"))
                .device("PS", "power = '1200 W'")
                .board("[input]", "voltage = '10 V .. 60 V'")
                .device("H1", &format!("voltage = '{volts} V'"))
                .device("H1", &format!("power = '{watts} W'"))
                .device("H1", &format!("working_temperature = '{working} °C'"))
                .device("H1", &format!("temperature_limit = '{weakest} °C'"))
                .cable("H1", &format!("wire = '{wire}'"))
                .cable("H1", &format!("length = '{metres} m'"))
        });
        held_to_the_same(&direct, &mended)?;
    }

    /// A converter that gives 12 V within 3 %, beside a rail that does.
    #[test]
    fn a_converter_spares_a_fan_no_check(
        rated in prop::sample::select(vec!["12 V", "12 V ± 2 %", "12 V ± 5 %", "13 V", "12 V (11.8 V .. 12.1 V)"]),
        amperes in 0.05..4.0_f64,
        wire in prop::sample::select(vec!["20 AWG", "24 AWG", "28 AWG", "30 AWG"]),
        metres in 0.2..6.0_f64,
    ) {
        let fan = |case: Case| {
            case.device("F2", &format!("voltage = '{rated}'"))
                .device("F2", &format!("current = '{amperes} A'"))
                .cable("F2", &format!("wire = '{wire}'"))
                .cable("F2", &format!("length = '{metres} m'"))
                .port("FAN1", "current = '9 A'")
                .port("FAN2", "current = '9 A'")
        };
        let loaded = fan(Case::new())
            .board("[rails.12V]", "voltage = '12 V ± 3 %'")
            .board("[rails.12V]", "current = '5 A'")
            .load();
        let rail = loaded.swap.candidates[0].rails.iter().position(|rail| rail.name.value == "12V");
        let direct = loaded.ways("F2", "FAN2").into_iter().find(|way| way.rail.map(|rail| rail.0) == rail);
        let own = loaded.ways("F2", "FAN1").into_iter().find(|way| way.own_supply);
        let (direct, own) = (direct.expect("the rail"), own.expect("a converter"));
        held_to_the_same(&all(&loaded, "F2", direct, &BESIDE), &all(&loaded, "F2", own, &BESIDE))?;
    }
}

/// A way through an external switch: the heater hangs on the supply, whatever the rail of its port is.
#[test]
fn a_heater_of_12_v_on_24_v_is_a_blocker_through_a_switch_too() {
    let [direct, mended] = heater(&|case| case.device("H1", "voltage = '12 V'"));
    for found in [direct, mended] {
        let voltage = found.iter().find(|finding| finding.check == "device-voltage");
        let voltage = voltage.expect("its voltage is judged");
        assert_eq!(voltage.verdict, Verdict::Blocker, "{}", voltage.headline);
        // (24 V / 12 V)², less what its cable loses.
        let share = voltage.value.expect("a share").nominal;
        assert!((3.8..=4.0).contains(&share), "{share}");
    }
    // On a fan output of a 12 V rail that is too weak, the switch feeds it from the supply of 24 V all the same.
    let case = Case::new()
        .device("H1", "voltage = '12 V'")
        .port("FAN2", "current = '0.2 A'")
        .load();
    for way in case.ways("H1", "FAN2") {
        let found = case.pairs_in("device-voltage", "H1", way);
        assert_eq!(found[0].verdict, Verdict::Blocker, "{}", found[0].headline);
    }
}

/// A fifth of its power is the least that a heater is hung on.
#[test]
fn a_heater_that_gets_next_to_nothing_is_refused() {
    // 12 V of 24 V: a quarter of its power; 5 V: 4 %.
    let case = Case::new().port("FAN2", "current = '4 A'").load();
    let verdicts: Vec<Verdict> = case
        .ways("H1", "FAN2")
        .into_iter()
        .map(|way| case.pairs_in("device-voltage", "H1", way)[0].verdict)
        .collect();
    assert_eq!(verdicts, [Verdict::Pass, Verdict::Caution, Verdict::Blocker]);
}

/// The switch module of the list is rated for 25 A (invented with the list).
#[test]
fn the_switch_module_has_a_rating_too() {
    let at = |power: &str, supply: &str| {
        let case = Case::new()
            .device("PS", &format!("voltage = '{supply}'"))
            .device("H1", &format!("voltage = '{supply}'"))
            .device("H1", &format!("power = '{power}'"))
            .cable("H1", "wire = '10 AWG'")
            .port("HEAT1", "current = '1 A'");
        case.load().pairs("part-rating", "H1", "HEAT1")
    };
    let verdicts = |found: Vec<Finding>| {
        found
            .into_iter()
            .map(|finding| finding.verdict)
            .collect::<Vec<_>>()
    };
    // 480 W / 24 V = 20 A, 80 % of 25 A.
    assert_eq!(verdicts(at("480 W", "24 V")), [Verdict::Pass, Verdict::Pass]);
    assert_eq!(verdicts(at("482 W", "24 V")), [Verdict::Pass, Verdict::Caution]);
    assert_eq!(verdicts(at("602 W", "24 V")), [Verdict::Pass, Verdict::Blocker]);
    // It switches up to 36 V.
    assert_eq!(verdicts(at("480 W", "48 V"))[0], Verdict::Blocker);
}

/// What flows back through the port to the minus of a converter's device flows through contact and switch of the port.
#[test]
fn a_port_behind_a_converter_carries_the_device_still() {
    let at = |amperes: &str, side: &str| {
        let case = Case::new()
            .device("F1", "voltage = '12 V'")
            .device("F1", &format!("current = '{amperes}'"))
            .cable("F1", "wire = '18 AWG'")
            .port("FAN1", &format!("side = '{side}'"))
            .port(
                "FAN1",
                if side == "low side" {
                    "pins = ['+', 'switched -']"
                } else {
                    "pins = ['switched +', '-']"
                },
            )
            .load();
        let way = case
            .ways("F1", "FAN1")
            .into_iter()
            .find(|way| way.own_supply)
            .expect("a converter");
        case.pairs_in("port-current", "F1", way).remove(0)
    };
    // FAN1 is rated for 1.5 A.
    assert_eq!(at("1.6 A", "low side").verdict, Verdict::Blocker);
    assert_eq!(at("1.2 A", "low side").verdict, Verdict::Pass);
    // Where the port feeds the converter it carries 12 V · 1.6 A / 85 % / 24 V, at the worst 8 % more.
    let fed = at("1.6 A", "high side");
    assert_eq!(fed.verdict, Verdict::Pass);
    let nominal = 12.0 * 1.6 / 0.85 / 24.0;
    assert!(
        (fed.value.expect("a current").nominal - nominal).abs() < 1e-9,
        "{:?}",
        fed.value
    );
}

/// The converter of the list for 12 V gives 5 A, the strong one 12 A (invented with the list); beyond that there is none.
#[test]
fn a_converter_is_chosen_by_its_current() {
    let of = |amperes: f64| {
        let case = Case::new()
            .device("LS", &format!("current_per_led = '{} A'", amperes / 40.0))
            .device("LS", "led_count = 40")
            .load();
        let way = case
            .ways("LS", "LIGHT")
            .into_iter()
            .find(|way| way.own_supply)
            .expect("a converter");
        let part = case.pairs_in("device-voltage", "LS", way)[0].parts[0].clone();
        let rating = case.pairs_in("part-rating", "LS", way).pop().expect("its rating");
        (part, rating.verdict)
    };
    let (small, verdict) = of(3.9);
    assert_eq!(
        (small.name.as_str(), verdict),
        ("converter 24 V to 5 V", Verdict::Pass)
    );
    assert!(
        small.size.is_some_and(|size| size.contains("4.87")),
        "its current is named"
    );
    assert_eq!(of(4.1).0.name, "strong converter");
    assert_eq!(of(9.7).1, Verdict::Caution);
    assert_eq!(of(12.1).1, Verdict::Blocker);
}
