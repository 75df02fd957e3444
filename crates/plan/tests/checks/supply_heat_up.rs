//! `supply-heat-up`: how long everything at once lies above what the supply may give for long.

use plan::heat_up::HeatUp;
use plan::{Finding, Verdict};
use quantity::Number;

use super::supply_power::PLACES;
use crate::support::{Case, Loaded};

fn at(case: &Case) -> Finding {
    crate::support::one(case.load().wholes_at("supply-heat-up", &PLACES), "supply-heat-up")
}

/// The base without rails, in the air of a room of 15 °C, at which the machine starts.
fn bare() -> Case {
    Case::new()
        .without_line("new.toml", "[rails.5V]", "board_current")
        .without_line("new.toml", "[rails.\"3.3V\"]", "board_current")
        .set("swap.toml", "[ambient]", "temperature = '15 °C'")
}

fn seconds(finding: &Finding) -> f64 {
    finding.value.expect("a time").nominal
}

/// A bed of aluminium without loss, its track of copper, and no other load but the hot end that is warm at once: 192 W at 20 °C.
///
/// `C · dϑ/dt = P₂₀ / (1 + α · (ϑ − 20 °C))` is solved by `(ϑ − ϑ₀) + α / 2 · ((ϑ − 20 °C)² − (ϑ₀ − 20 °C)²) = P₂₀ · t / C` (separated
/// variables), with α = 0.00393/K (IEC 60028). The supply's 90 % are passed where `P₂₀ / (1 + α · (ϑ − 20 °C))` and the rest are as much.
#[test]
fn a_track_falls_below_the_level_when_the_equation_says() {
    let case = bare()
        .device("H2", "thermal_conductance = '0.000001 W/K'")
        .device("H1", "power = '0.001 W'")
        .device("H1", "working_temperature = '16 °C'")
        .device("H1", "heat_capacity = '0.00000001 J/K'");
    let (alpha, p20, capacity, fans) = (0.00393, 192.0, 540.0, 0.3 * 24.0);
    let goal = 60.0;
    let level = p20 / (1.0 + alpha * (goal - 20.0)) + fans;
    let wanted = ((goal - 15.0) + alpha / 2.0 * ((goal - 20.0_f64).powi(2) - 25.0)) * capacity / p20;
    // Without the drop along the lead, as the worst corner counts.
    let found = heat_up(&case.load(), |own| own.worst());
    let found = found.above(quantity::si::watt(level)).base();
    // Steps of a second.
    assert!((found - wanted).abs() <= 1.0, "{found} {wanted}");
}

/// A hot end of constant power and no bed: `t = −C / G · ln(1 − G · Δϑ / P)` (heat-transfer-textbook, lumped body), then it takes what it loses.
#[test]
fn a_heater_that_is_warm_takes_what_it_loses() {
    let case = bare()
        .device("H2", "power = '0.001 W'")
        .device("H2", "thermal_conductance = '0.0000001 W/K'")
        .device("H2", "working_temperature = '16 °C'")
        .device("H2", "heat_capacity = '0.00000001 J/K'");
    let (power, capacity, loss, rise) = (40.0_f64, 13.0, 0.14, 235.0);
    let wanted = -capacity / loss * (1.0 - loss * rise / power).ln();
    let course = heat_up(&case.load(), |own| own.worst());
    let done = course.done.expect("it gets warm").base();
    assert!((done - wanted).abs() <= 1.0, "{done} {wanted}");
    let last = course.moments.last().expect("an end").power.base();
    assert!((last - (loss * rise + 7.2)).abs() < 0.01, "{last}");
    // Between what it holds and what it takes, the time is that of the heat-up.
    let level = |watts: f64| case.clone().device("PS", &format!("power = '{} W'", watts / 0.9));
    // A heater that gets less behind its lead is slower: the longest time is no shorter than that of the strongest.
    let longest = at(&level(42.0)).value.expect("a time").high;
    assert!(longest >= done && longest < 1.15 * done, "{longest} {done}");
    // Below what holds it the supply never rests.
    let never = at(&level(38.0));
    assert_eq!(never.verdict, Verdict::Caution);
    assert!(
        never.headline.contains("does not fall below"),
        "{}",
        never.headline
    );
}

/// What the heat-up of a machine with everything in its place tells.
fn heat_up<R>(loaded: &Loaded, read: impl FnOnce(&HeatUp<'_>) -> R) -> R {
    let ways = loaded.ways_at(&PLACES);
    read(&HeatUp::of(&loaded.facts(&ways)))
}

/// The peak of the worst course is the sum that `supply-power` judges by.
#[test]
fn the_peak_is_that_of_the_cold_machine() {
    for case in [
        Case::new(),
        Case::new().device("PS", "voltage = '24 V ± 3 %'"),
        Case::new().device("H2", "power = '192 W ± 8 %'"),
    ] {
        let loaded = case.load();
        let peak = heat_up(&loaded, |heat_up| heat_up.worst().peak().base());
        let sum = loaded.wholes_at("supply-power", &PLACES).remove(0);
        let sum = sum.value.expect("a power").high;
        assert!((peak / sum - 1.0).abs() < 1e-9, "{peak} {sum}");
    }
}

#[test]
fn in_turns_the_peak_is_that_of_the_bed_alone() {
    let (together, turns) = heat_up(&bare().load(), |own| (own.worst(), own.in_turns()));
    assert!((together.peak().base() - turns.peak().base() - 40.0).abs() < 1e-6);
    assert!(turns.done.expect("both get warm") > together.done.expect("both get warm"));
}

#[test]
fn in_and_out_of_the_time() {
    // 90 % of 250 W are 225 W: for some minutes, which is less than a quarter of an hour.
    let short = at(&bare().device("PS", "power = '250 W'"));
    assert_eq!(short.verdict, Verdict::Pass, "{}", short.headline);
    assert!(seconds(&short) > 10.0 && seconds(&short) < 900.0);
    // A bed of stone takes an hour.
    let long = at(&bare()
        .device("PS", "power = '200 W'")
        .device("H2", "heat_capacity = '6 kJ/K'"));
    assert_eq!(long.verdict, Verdict::Caution, "{}", long.headline);
    assert!(long.remedy.is_some_and(|remedy| remedy.contains("bed first")));
    let ample = at(&bare());
    assert_eq!((ample.verdict, seconds(&ample)), (Verdict::Pass, 0.0));
    let unknown = bare().device("PS", "power = '250 W'").without_line(
        "machine.toml",
        "[[device]]\ntag = \"H2\"",
        "heat_capacity",
    );
    assert_eq!(at(&unknown).verdict, Verdict::Note);
}

/// 2.5 % of the rating for each kelvin above 50 °C: at 60 °C three quarters are left (common practice, no source).
#[test]
fn warm_air_takes_from_the_rating() {
    let hot = |air: &str| {
        let case = bare().housing(&format!("air = '{air}'"));
        let finding = case.load().wholes_at("supply-power", &PLACES).remove(0);
        finding.limit.expect("a limit").bound.nominal
    };
    assert!((hot("45 °C") - 400.0).abs() < 1e-9);
    assert!((hot("60 °C") - 300.0).abs() < 1e-9);
}

/// Whatever lies within the tolerances, the time is no longer than that of the worst corner.
#[test]
fn the_longest_time_holds_every_draw() {
    let text = |share: [f64; 4]| {
        bare()
            .device("PS", "power = '230 W'")
            .device("H1", &format!("power = '{} W'", 40.0 * (1.0 + 0.1 * share[0])))
            .device("H2", &format!("power = '{} W'", 192.0 * (1.0 + 0.1 * share[1])))
            .device(
                "H2",
                &format!("heat_capacity = '{} J/K'", 540.0 * (1.0 + 0.1 * share[2])),
            )
            .device(
                "H1",
                &format!("heat_capacity = '{} J/K'", 13.0 * (1.0 + 0.1 * share[3])),
            )
    };
    let worst = bare()
        .device("PS", "power = '230 W'")
        .device("H1", "power = '40 W ± 10 %'")
        .device("H2", "power = '192 W ± 10 %'")
        .device("H2", "heat_capacity = '540 J/K ± 10 %'")
        .device("H1", "heat_capacity = '13 J/K ± 10 %'");
    let worst = at(&worst).value.expect("a time").high;
    let ends = [-1.0, -0.3, 0.4, 1.0];
    for number in 0..256_usize {
        let share = [0, 2, 4, 6].map(|shift| ends[(number >> shift) & 3]);
        let time = seconds(&at(&text(share)));
        assert!(time <= worst + 1.0, "{share:?}: {time} > {worst}");
    }
}
