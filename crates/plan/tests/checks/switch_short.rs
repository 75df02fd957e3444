//! `switch-short`: the end, the weakest part, the time until it, the cut-out.

use crate::support::{Case, one};
use plan::{Finding, Verdict};

/// With a thermometer whose range is not what is weakest.
fn base() -> Case {
    Case::new().device("T1", "sensor = 'Pt1000'")
}

fn of(case: &Case, tag: &str, port: &str) -> Finding {
    one(
        case.load().wholes_at("switch-short", &[(tag, port)]),
        "switch-short",
    )
}

/// 20 °C + 40 W / 0.14 W/K = 305.7 °C. From 250 °C to 285 °C: 13 / 0.14 s · ln(55.71 / 20.71) = 91.9 s (lumped body).
#[test]
fn the_worked_number() {
    let finding = of(&base(), "H1", "HEAT1");
    assert_eq!(finding.verdict, Verdict::Caution);
    let end = finding.value.expect("a temperature").nominal - 273.15;
    assert!((end - 305.714).abs() < 1e-3, "{end}");
    let time = finding.working.last().expect("a time").result.nominal;
    assert!((time - 91.88).abs() < 0.05, "{time}");
    assert!(
        finding.headline.contains("after 92") || finding.headline.contains("after 91.9"),
        "{}",
        finding.headline
    );
}

/// A track of 2.88 Ω at 20 °C on 24 V with 1.90201 W/K ends at 100 °C (IEC 60028).
#[test]
fn a_copper_track_ends_where_it_balances() {
    let case = base()
        .device("H2", "power = '200 W'")
        .device("H2", "thermal_conductance = '1.90201 W/K'");
    let end = of(&case, "H2", "BED").value.expect("a temperature").nominal - 273.15;
    assert!((end - 100.0).abs() < 1e-3, "{end}");
}

#[test]
fn in_and_out_at_what_the_temperature_limit_bears() {
    let with = |bears: &str| {
        of(
            &base().device("H1", &format!("temperature_limit = '{bears}'")),
            "H1",
            "HEAT1",
        )
        .verdict
    };
    assert_eq!(with("305.8 °C"), Verdict::Pass);
    assert_eq!(with("305.6 °C"), Verdict::Caution);
    // The range of the thermometer counts as a part.
    let thermistor = Case::new().device("H1", "temperature_limit = '400 °C'");
    let finding = of(&thermistor, "H1", "HEAT1");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(
        finding.headline.contains("range of the thermometer T1"),
        "{}",
        finding.headline
    );
}

#[test]
fn each_part_has_its_name_and_time() {
    let case = base().device(
        "H1",
        "part = [{ name = 'liner', temperature_limit = '260 °C' }, { name = 'sleeve', temperature_limit = '300 °C' }]",
    );
    let finding = of(&case, "H1", "HEAT1");
    assert!(finding.headline.contains("bear: liner"), "{}", finding.headline);
    // 92.857 s · ln(55.71 / 45.71) = 18.4 s.
    assert!(
        finding.headline.contains("liner (260 °C) after 18.4 s from hot"),
        "{}",
        finding.headline
    );
    assert!(
        finding.headline.contains("sleeve (300 °C)"),
        "{}",
        finding.headline
    );
}

#[test]
fn a_part_on_the_second_body_stays_colder() {
    let case = |bears: &str| {
        base()
            .device("H1", "temperature_limit = '500 °C'")
            .device("H1", "coupling = '0.1 W/K'")
            .device("H1", "second_conductance = '0.1 W/K'")
            .device("H1", "second_capacity = '5 J/K'")
            .device(
                "H1",
                &format!("part = [{{ name = 'nozzle glue', temperature_limit = '{bears}', second = true }}]"),
            )
    };
    // The heated body ends 210.53 K above the room, the second one half of that: 125.3 °C.
    assert_eq!(of(&case("125.4 °C"), "H1", "HEAT1").verdict, Verdict::Pass);
    assert_eq!(of(&case("125.1 °C"), "H1", "HEAT1").verdict, Verdict::Caution);
}

/// The lines of the working are those of the headline: a part beside a second body that takes heat is slower than one body would be, and what
/// never gets so hot has no time.
#[test]
fn the_working_is_of_the_model_that_the_headline_tells() {
    let case = base()
        .device("H1", "temperature_limit = '285 °C'")
        .device("H1", "coupling = '0.02 W/K'")
        .device("H1", "second_conductance = '0.005 W/K'")
        .device("H1", "second_capacity = '5 J/K'")
        .device("H1", "part = [{ name = 'sleeve', temperature_limit = '400 °C' }]");
    let finding = of(&case, "H1", "HEAT1");
    let times: Vec<_> = finding
        .working
        .iter()
        .filter(|working| working.symbol == "t")
        .collect();
    let [time] = times.as_slice() else {
        panic!("one time: {times:?}");
    };
    let told = format!(
        "weakest part (285 °C) after {:.0} s from hot",
        time.result.nominal
    );
    assert!(finding.headline.contains(&told), "{told}: {}", finding.headline);
    // One body alone would take 91.9 s.
    assert!(time.result.nominal > 95.0, "{}", time.result);
    assert!(!finding.headline.contains("sleeve"), "{}", finding.headline);
}

#[test]
fn a_cut_out_below_the_temperature_limit_settles_it() {
    let with = |opens: &str| {
        of(
            &base().device("H1", &format!("cut_out = '{opens}'")),
            "H1",
            "HEAT1",
        )
    };
    assert_eq!(with("280 °C ± 4 K").verdict, Verdict::Pass);
    let late = with("282 °C ± 4 K");
    assert_eq!(late.verdict, Verdict::Caution);
    assert!(
        late.headline.contains("its cut-out opens at"),
        "{}",
        late.headline
    );
}

#[test]
fn without_parts_it_says_so() {
    let case = Case::new().without_line("machine.toml", "[[device]]\ntag = \"H1\"", "temperature_limit");
    // The thermometer alone is known.
    assert_eq!(of(&case, "H1", "HEAT1").verdict, Verdict::Caution);
    let chamber = case.device("T1", "zone = 'chamber'");
    assert_eq!(of(&chamber, "H1", "HEAT1").verdict, Verdict::Note);
}

/// What cannot be worked out is said, not passed over.
#[test]
fn without_its_loss_it_says_so() {
    let case = base().without_line("machine.toml", "[[device]]\ntag = \"H1\"", "thermal_conductance");
    let finding = of(&case, "H1", "HEAT1");
    assert_eq!(finding.verdict, Verdict::Note);
    assert!(
        finding.headline.contains("states no `thermal_conductance`"),
        "{}",
        finding.headline
    );
}
