//! Heat over the time of a program.

use quantity::Number as _;
use quantity::si::{celsius, second, watt};
use workload::flow_by_power;

use crate::given::{run, run_with, setup, words};

/// Both heaters at once draw 273 W of 250 W until the hot end is there; one after the other they do not.
#[test]
fn heating_together_exceeds_the_supply() {
    let together = run("M140 S60\nM104 S210\nM190 S60\nM109 S210\n");
    assert_eq!(together.heat.peak.value, watt(273.0));
    let (first, place) = together.heat.first_over.as_ref().unwrap();
    assert!(*first < second(1.0) && place.line == 3, "{first:?} {place}");
    assert!(together.heat.over > second(30.0));
    let apart = run("M190 S60\nM109 S210\n");
    // The wait ends a kelvin early, so that the bed is still at full power for two seconds; then it holds by 40 W.
    assert!(apart.heat.over <= second(3.0), "{:?}", apart.heat.over);
}

/// 450 J/K that lose 1 W/K, by 225 W from 20 °C to 59 °C: the closed form of one body.
#[test]
fn a_wait_takes_the_time_of_the_heat_up() {
    let work = run("M190 S60\n");
    let expected = -450.0 * (1.0_f64 - 39.0 / 225.0).ln();
    assert!(
        (work.times.heating.base() - expected).abs() <= 1.0,
        "{:?} {expected}",
        work.times.heating
    );
    let energy = work.heat.heaters[1].energy.base();
    assert!((energy / (225.0 * expected) - 1.0).abs() < 0.02, "{energy}");
    // Cooling down is waited for only where it is told so.
    let heating = |text: &str| run(text).times.heating.base();
    assert!(heating("M190 S60\nM190 R40\n") > heating("M190 S60\nM190 S40\n") + 60.0);
}

/// A target out of reach is given up, and said.
#[test]
fn a_target_out_of_reach_ends() {
    let work = run("M190 S60\nM109 S500\nG1 X10 F600\n");
    assert_eq!(work.heat.out_of_reach, 1);
    assert_eq!(work.heat.first_out_of_reach.as_ref().unwrap().line, 2);
    assert_eq!(work.moves, 1);
}

/// Flow: 0.1 mm of filament of 1.75 mm a millimetre, at 100 mm/s: 24.05 mm³/s.
#[test]
fn flow_is_filament_times_its_area() {
    let work = run("M109 S210\nM83\nG1 X200 E20 F6000\n");
    let expected = core::f64::consts::PI / 4.0 * 1.75 * 1.75 * 10.0;
    assert!(
        (work.flow.peak.value.base() * 1e9 - expected).abs() < 1e-6,
        "{:?}",
        work.flow
    );
    // It takes 24.05e-9 · 1250 · 2000 · 190 = 11.4 W beside 26.6 W to hold: 79 % of 48 W.
    let hold = work.heat.heaters[0].hold.value.base();
    assert!((hold - 0.79).abs() < 0.01, "{hold}");
    // What is left of 48 W melts 45 mm³/s.
    let most = flow_by_power(&setup(), 0, celsius(210.0))
        .unwrap()
        .nominal()
        .base()
        * 1e9;
    assert!(
        (most - (48.0 - 26.6) / (1250e-9 * 2000.0 * 190.0)).abs() < 0.1,
        "{most}"
    );
}

/// A fan of 3 W at half speed for 10 s.
#[test]
fn fans_take_their_share() {
    let work = run("M106 S127.5\nG4 S10\nM107\nG4 S10\n");
    assert!((work.heat.fans[0].base() - 15.0).abs() < 1e-6);
    // A second fan that the machine does not have changes nothing.
    assert!((run("M106 P1 S255\nG4 S10\n").heat.fans[0].base()).abs() < 1e-12);
}

/// What happens when stands on a time line that covers the whole program.
#[test]
fn the_time_line_covers_the_program() {
    let (work, course) = run_with(
        &setup(),
        &words(),
        &b"M190 S60\nG1 X200 F600\nM106 S255\nG1 X0\n"[..],
    );
    let line = &course.time_line;
    let whole = work.times.whole().base();
    assert!((line.len() as f64 - whole).abs() <= 2.0, "{} {whole}", line.len());
    assert!(line.windows(2).all(|pair| pair[0].begin < pair[1].begin));
    let energy: f64 = line.iter().map(|moment| moment.heaters.base()).sum();
    let expected: f64 = work.heat.heaters.iter().map(|heater| heater.energy.base()).sum();
    assert!((energy / expected - 1.0).abs() < 0.02, "{energy} {expected}");
    assert!(line.last().unwrap().fans > watt(2.0));
    assert!(course.seen_from_above.is_some());
}

/// Heaters whose data are not known: waits are counted, their time is not made up.
#[test]
fn unknown_heaters_are_said_to_be_unknown() {
    let mut setup = setup();
    setup.heat.heaters[0].part = None;
    let (work, _) = run_with(
        &setup,
        &words(),
        &b"M109 S210\nM7860 S40\nM7453 S40\nG28\nG29\n"[..],
    );
    // The hot end, the chamber that is not there, and the touching of the bed.
    assert_eq!(work.unknown_stops, 3);
    assert_eq!(work.unmodelled_words[0].what, "G29");
    assert_eq!(work.times.heating, second(0.0));
    // Homing: 230 mm at 45 mm/s, 230 mm at 37.5 mm/s, 240 mm at 2.5 mm/s.
    assert!((work.times.homing.base() - (230.0 / 45.0 + 230.0 / 37.5 + 96.0)).abs() < 1e-9);
}
