//! Times and rates against closed forms, and laws that hold for any program.

use core::num::NonZeroUsize;

use physics::motion::{Carriages, Kinematics, move_time};
use proptest::prelude::*;
use quantity::Number as _;
use quantity::si::{
    Length, degree, hertz, millimetre, millimetre_per_second, millimetre_per_second_squared, ratio, second,
    step_per_millimetre,
};
use workload::{Corner, Motor, Purpose, Setup, Work};

use crate::given::{run, run_with, setup, words};

fn time(work: &Work) -> f64 {
    work.times.motion().base()
}

fn near(found: f64, expected: f64) {
    let scale = expected.abs().max(1e-9);
    assert!(
        (found - expected).abs() / scale < 1e-9,
        "{found} is not {expected}"
    );
}

fn on(change: impl FnOnce(&mut Setup), text: &str) -> Work {
    let mut setup = setup();
    change(&mut setup);
    run_with(&setup, &words(), text.as_bytes()).0
}

/// From rest to rest; `physics` holds the formula against published figures. X may do 180 mm/s at 1500 mm/s², travel is at 1200 mm/s².
#[test]
fn single_moves_take_the_time_of_the_formula() {
    for (text, length, speed, acceleration) in [
        ("G1 X100 F6000", 100.0, 100.0, 1200.0),
        ("G1 X5 F6000", 5.0, 100.0, 1200.0),
        ("G1 X100 F60000", 100.0, 180.0, 1200.0),
        ("G1 X100 E4 F3000", 100.0, 50.0, 1000.0),
        ("G1 Z8 F6000", 8.0, 10.0, 100.0),
        ("G1 E-2 F1800", 2.0, 30.0, 2000.0),
        // Both axes at once: Y bounds the way to √2 · 150 mm/s, and its acceleration to √2 · 1000 mm/s² of the 1200 that are told.
        ("G1 X100 Y100 F60000", 141.421_356_237, 212.132_034_356, 1200.0),
        (
            "M5012 D3000\nG1 X100 Y100 F6000",
            141.421_356_237,
            100.0,
            1_414.213_562_373,
        ),
    ] {
        let expected = move_time(
            millimetre(length),
            millimetre_per_second(speed),
            millimetre_per_second_squared(acceleration),
            millimetre_per_second(0.0),
            millimetre_per_second(0.0),
        );
        let found = time(&run(&format!("{text}\n")));
        assert!(
            (found / expected.base() - 1.0).abs() < 1e-9,
            "{text}: {found} {expected:?}"
        );
    }
}

/// There and back, with a rest between by a wait: twice the time of one, and the wait by itself.
#[test]
fn waits_end_the_motion() {
    let one = time(&run("G1 X100 F6000\n"));
    let work = run("G1 X100 F6000\nG4 P500\nG1 X200\n");
    near(time(&work), 2.0 * one);
    near(work.times.dwell.base(), 0.5);
    // Straight on without a wait it is one move.
    let work = run("G1 X100 F6000\nG1 X200\n");
    near(time(&work), one + 1.0);
    near(time(&run("G1 X100 F6000\nM400\nG1 X200\n")), 2.0 * one);
}

/// A right angle by sudden change: 8 mm/s on each axis, so 8 mm/s; by deviation √(a d s / (1 − s)), 10.9868 mm/s at 0.05 mm and 1 m/s².
#[test]
fn corners_are_taken_at_the_speed_of_their_rule() {
    let text = "G1 X50 F6000\nG1 Y50\n";
    let leg = |acceleration: f64, corner: f64| {
        let at_rest = millimetre_per_second(0.0);
        let (from, to) = (at_rest, millimetre_per_second(corner));
        let (a, v) = (
            millimetre_per_second_squared(acceleration),
            millimetre_per_second(100.0),
        );
        move_time(millimetre(50.0), v, a, from, to).base()
    };
    // X by 1200 mm/s², Y by 1000 mm/s², the least of both at the corner.
    near(time(&run(text)), leg(1200.0, 8.0) + leg(1000.0, 8.0));
    let corner = 10.986_841_13;
    let work = on(
        |setup| setup.machine.corner = Corner::Deviation(millimetre(0.05)),
        text,
    );
    let expected = leg(1200.0, corner) + leg(1000.0, corner);
    assert!(
        (time(&work) / expected - 1.0).abs() < 1e-8,
        "{} {expected}",
        time(&work)
    );
}

/// Short chords of a circle: the rule by deviation alone would allow 399.9 mm/s where the arc allows 141.42; half a chord holds it to 141.40.
#[test]
fn short_chords_keep_to_the_speed_of_their_arc() {
    // Between two corners of 126.5 mm/s a chord of 0.997 mm has room to speed up: √(126.5² + 997) = 130.4 mm/s.
    for (deviation, expected) in [(0.05, 141.4), (0.005, 130.4)] {
        let work = on(
            |setup| {
                setup.machine.corner = Corner::Deviation(millimetre(deviation));
                setup.machine.travelling = millimetre_per_second_squared(1000.0);
                for axis in &mut setup.machine.axes {
                    axis.top_speed = millimetre_per_second(1e3);
                    axis.acceleration = millimetre_per_second_squared(1e5);
                }
            },
            // Three turns of radius 20: the middle one runs evenly.
            "G1 X100 Y100 F600\nG1 F60000\nG2 X100 Y100 I20\nG2 X100 Y100 I20\nG2 X100 Y100 I20\n",
        );
        let fastest = work.motors[0].speed.base() * 1e3;
        assert!((fastest / expected - 1.0).abs() < 3e-3, "{fastest} {expected}");
    }
}

/// Few moves planned ahead: published times of 20 moves of 1 mm at 1 m/s² and 100 mm/s.
#[test]
fn a_short_look_ahead_is_slower() {
    let mut text = String::from("G91\nG1 F6000\n");
    for _ in 0..20 {
        text.push_str("G1 X1\n");
    }
    for (known, expected) in [
        (1, 1.264_911),
        (2, 0.451_275),
        (3, 0.365_375),
        (5, 0.309_100),
        (10, 0.3),
    ] {
        let work = on(
            |setup| {
                setup.machine.look_ahead = NonZeroUsize::new(known);
                setup.machine.travelling = millimetre_per_second_squared(1000.0);
            },
            &text,
        );
        assert!((time(&work) - expected).abs() < 1e-6, "{known}: {}", time(&work));
    }
}

/// Rates of steps: 80 and 400 step/mm.
#[test]
fn step_rates_are_speed_times_steps() {
    let work = run("G1 X100 F6000\nG4 P0\nG1 Z10 F600\nG4 P0\nG1 E10 F600\n");
    let peaks: Vec<f64> = work.motors.iter().map(|motor| motor.peak.value.base()).collect();
    for (found, expected) in peaks.iter().zip([8_000.0, 0.0, 4_000.0, 4_200.0]) {
        assert!((found - expected).abs() < 1e-6, "{peaks:?}");
    }
    assert_eq!(work.motors[2].peak.place.as_ref().unwrap().line, 3);
    // All together: never at once here, so that the highest is that of X.
    assert_eq!(work.boards[0].peak.value, hertz(8_000.0));
    assert!((work.boards[0].share.base() - 8.0 / 38.0).abs() < 1e-12);
}

/// Time above what may be used: the trapezoid cut at that speed.
#[test]
fn time_above_a_capability_is_exact() {
    // 100 mm/s at 80 step/mm are 8 kHz; 4 kHz may be used: 50 mm/s.
    let work = on(
        |setup| {
            setup.boards[0].step_rate = hertz(5e3);
            setup.machine.travelling = millimetre_per_second_squared(1000.0);
        },
        "G1 X110 F6000\n",
    );
    // Up to 100 mm/s in 0.1 s, 1 s even, down in 0.1 s: half of each ramp is above.
    near(work.boards[0].above.base(), 1.1);
    assert_eq!(work.boards[0].programs_above, 1);
    assert_eq!(work.boards[1].above, second(0.0));
}

/// Histogram: 0.1 s up and 0.1 s down spread evenly over 0 to 8 kHz, the rest at 8 kHz.
#[test]
fn the_histogram_of_a_trapezoid_is_flat_with_a_peak() {
    let work = on(
        |setup| setup.machine.travelling = millimetre_per_second_squared(1000.0),
        "G1 X110 F6000\n",
    );
    let times = &work.motors[0].times;
    let (width, bins) = (times.width().base(), times.times());
    let peak = (8_000.0 / width) as usize;
    for (at, time) in bins.iter().enumerate() {
        let expected = match at {
            _ if at < peak => 0.2 * width / 8_000.0,
            _ if at == peak => 1.0 + 0.2 * (8_000.0 - peak as f64 * width) / 8_000.0,
            _ => 0.0,
        };
        assert!((time.base() - expected).abs() < 1e-9, "{at}: {time:?} {expected}");
    }
    let total: f64 = bins.iter().map(|time| time.base()).sum();
    near(total, 1.2);
    assert!((times.below(ratio(0.1)).base() / (0.6 * 8_000.0) - 1.0).abs() < 0.02);
}

fn motors(count: usize, steps: f64) -> Vec<Motor> {
    (0..count)
        .map(|at| Motor {
            name: at.to_string(),
            steps: step_per_millimetre(steps),
        })
        .collect()
}

fn with(kinematics: Kinematics, count: usize) -> impl FnOnce(&mut Setup) {
    move |setup: &mut Setup| {
        setup.machine.kinematics = kinematics;
        setup.motors = motors(count + 1, 100.0);
        for board in &mut setup.boards {
            board.steps = vec![step_per_millimetre(100.0); count + 1];
        }
    }
}

/// Rates of each motor at 60 mm/s: geometry.
#[test]
fn motors_follow_the_kinematics() {
    let rates = |change: &dyn Fn(&mut Setup), text: &str| -> Vec<f64> {
        let work = on(change, text);
        work.motors.iter().map(|motor| motor.peak.value.base()).collect()
    };
    let is = |found: Vec<f64>, expected: &[f64]| {
        for (found, expected) in found.iter().zip(expected) {
            assert!(
                (found - expected).abs() <= 5e-3 * expected.max(1.0),
                "{found} {expected}"
            );
        }
    };
    let crossed = |setup: &mut Setup| with(Kinematics::CrossedBelts, 3)(setup);
    is(rates(&crossed, "G1 X100 F3600\n"), &[6_000.0, 6_000.0, 0.0]);
    // Along a diagonal one belt stands still and the other does √2.
    is(rates(&crossed, "G1 X100 Y100 F3600\n"), &[8_485.3, 0.0, 0.0]);
    let carriages = |setup: &mut Setup| {
        with(
            Kinematics::TwoCarriages {
                moving: Carriages::First,
            },
            4,
        )(setup);
        setup.motors.extend(motors(1, 100.0));
    };
    is(rates(&carriages, "G1 X100 F3600\n"), &[6_000.0, 0.0, 0.0, 0.0]);
    is(
        rates(&carriages, "T1\nG1 X100 F3600\n"),
        &[0.0, 6_000.0, 0.0, 0.0],
    );
    let belt = |setup: &mut Setup| {
        with(Kinematics::BeltBed { tilt: degree(45.0) }, 3)(setup);
        setup.machine.axes[2].top_speed = millimetre_per_second(100.0);
    };
    // Up by 60 mm/s: the gantry does √2 of it, the belt as much.
    is(rates(&belt, "G1 Z100 F3600\n"), &[0.0, 8_485.3, 6_000.0]);
    is(rates(&belt, "G1 Y100 F3600\n"), &[0.0, 0.0, 6_000.0]);
    // Arms of 250 mm on a radius of 150 mm: from the middle towards the back tower, (0, 150) to (0, 100) away.
    let delta = |setup: &mut Setup| {
        with(
            Kinematics::Delta {
                arm: millimetre(250.0),
                radius: millimetre(150.0),
            },
            3,
        )(setup);
    };
    let found = rates(&delta, "G1 X0 Y0 F3600\nG1 Y50\n");
    // The back tower slows from 150/200 to 100/229.1 of the speed; at the peak speed of 60 mm/s it is near its start.
    assert!(found[2] <= 4_500.0 + 1.0 && found[2] >= 4_200.0, "{found:?}");
    // Straight up all carriages do as much.
    let up = |setup: &mut Setup| {
        delta(setup);
        setup.machine.axes[2].top_speed = millimetre_per_second(100.0);
    };
    is(rates(&up, "G1 Z100 F3600\n"), &[6_000.0, 6_000.0, 6_000.0]);
}

/// Purposes and lengths.
#[test]
fn moves_are_told_apart_by_their_purpose() {
    let work = run("G1 X10 F3000\nG1 X40 E1\nG1 E0.2\nG0 X50\nG1 X60 E0.1\n");
    let lengths: Vec<f64> = work.lengths.iter().map(|length| length.base() * 1e3).collect();
    for (found, expected) in lengths.iter().zip([30.0, 30.0, 0.8]) {
        assert!((found - expected).abs() < 1e-9, "{lengths:?}");
    }
    assert_eq!(work.moves, 5);
    assert!(work.time_of(Purpose::Filament) > second(0.0));
    let all = work.times;
    near(
        (all.speeding_up + all.even + all.slowing_down).base(),
        all.motion().base(),
    );
}

/// A buffer that a slow line cannot fill: 1 mm in 10 ms, while a line of 9 bytes takes 0.9 s at 10 bytes a second.
#[test]
fn a_slow_line_lets_the_buffer_run_dry() {
    let mut text = String::from("G91\nG1 F6000\n");
    for _ in 0..100 {
        text.push_str("G1 X1.000\n");
    }
    let dry = |bytes: f64, moves: usize| {
        let work = on(
            |setup| setup.links = vec![crate::given::link("slow", bytes, moves)],
            &text,
        );
        (work.links[0].dry, work.links[0].dry_time.base(), time(&work))
    };
    // 100 lines of 13 bytes with their answer at 100 bytes/s take 13 s; the motion takes 1.1 s, of which some passes while lines come.
    let (count, seconds, motion) = dry(100.0, 16);
    assert_eq!(count, 99);
    assert!((seconds + motion - 13.0).abs() < 0.2, "{seconds} {motion}");
    assert_eq!(dry(11_520.0, 16).0, 0);
    // Just enough on the average: 13 bytes in 10 ms.
    assert_eq!(dry(1_400.0, 16).0, 0);
}

/// Straight moves that are split, in any number of pieces.
fn programs() -> impl Strategy<Value = Vec<([i32; 3], i32, u32)>> {
    let place = [0_i32..200_000, 0..200_000, 0..2_000];
    proptest::collection::vec((place, 0_i32..3_000, 300_u32..12_000), 1..25)
}

fn text(moves: &[([i32; 3], i32, u32)], pieces: usize) -> String {
    let mut out = String::from("M83\n");
    let mut from = [0.0; 3];
    for (place, filament, feed) in moves {
        let to = place.map(|place| f64::from(place) / 1e3);
        for piece in 1..=pieces {
            let share = piece as f64 / pieces as f64;
            let at: Vec<f64> = (0..3)
                .map(|axis| from[axis] + (to[axis] - from[axis]) * share)
                .collect();
            let filament = f64::from(*filament) / 1e3 / pieces as f64;
            out.push_str(&format!(
                "G1 X{:.9} Y{:.9} Z{:.9} E{filament:.9} F{feed}\n",
                at[0], at[1], at[2]
            ));
        }
        from = to;
    }
    out
}

/// Whether the circle that passes each corner at 0.05 mm touches the pieces within half their length: where it does not, the second bound
/// of the rule makes shorter pieces slower, which is right.
fn the_circles_have_room(moves: &[([i32; 3], i32, u32)], pieces: usize) -> bool {
    let mut from = [0.0; 3];
    let legs: Vec<([f64; 3], f64)> = moves
        .iter()
        .map(|(place, _, _)| {
            let to = place.map(|place| f64::from(place) / 1e3);
            let leg = core::array::from_fn(|axis| to[axis] - from[axis]);
            from = to;
            (leg, leg.iter().map(|way| way * way).sum::<f64>().sqrt())
        })
        .collect();
    legs.windows(2).all(|pair| {
        let [(one, length), (other, next)] = [pair[0], pair[1]];
        let cos = (0..3).map(|axis| one[axis] * other[axis]).sum::<f64>() / (length * next);
        // Half of the turn: the circle touches r·tan of it from the corner, and passes the corner at r·(1/cos − 1).
        let half = cos.clamp(-1.0, 1.0).acos() / 2.0;
        let touches = 0.05 * half.tan() / (1.0 / half.cos() - 1.0);
        half < 1e-6 || touches < length.min(next) / pieces as f64 / 2.0
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// Splitting straight moves changes no time, as long as the circle at a corner has room on the pieces: the rounding of places is a
    /// turn of a millionth.
    #[test]
    fn a_split_changes_no_time(moves in programs(), pieces in 2_usize..6, deviation in any::<bool>()) {
        prop_assume!(!deviation || the_circles_have_room(&moves, pieces));
        let change = |setup: &mut Setup| {
            if deviation {
                setup.machine.corner = Corner::Deviation(millimetre(0.05));
            }
        };
        let whole = on(change, &text(&moves, 1));
        let split = on(change, &text(&moves, pieces));
        prop_assert!((time(&split) / time(&whole) - 1.0).abs() < 1e-3, "{} {}", time(&split), time(&whole));
    }

    /// No motor is ever faster than its axis may be, and no time shorter than lengths over feeds.
    #[test]
    fn never_faster_than_a_limit(moves in programs()) {
        let work = run(&text(&moves, 1));
        let limits = [180.0, 150.0, 10.0, 45.0];
        for (motor, limit) in work.motors.iter().zip(limits) {
            prop_assert!(motor.speed.base() * 1e3 <= limit * (1.0 + 1e-9));
        }
        let mut least = 0.0;
        let mut from = [0.0; 3];
        for (place, _, feed) in &moves {
            let to = place.map(|place| f64::from(place) / 1e3);
            let length = (0..3).map(|axis| (to[axis] - from[axis]).powi(2)).sum::<f64>().sqrt();
            least += length / (f64::from(*feed) / 60.0);
            from = to;
        }
        prop_assert!(time(&work) >= least * (1.0 - 1e-9));
    }

    /// All lengths and speeds times k, accelerations too: the same times.
    #[test]
    fn times_do_not_change_with_the_scale(moves in programs(), k in 0.2_f64..5.0) {
        let scale = |setup: &mut Setup| {
            let machine = &mut setup.machine;
            for axis in &mut machine.axes {
                axis.top_speed *= k;
                axis.acceleration *= k;
                axis.sudden_change *= k;
            }
            machine.filament.top_speed *= k;
            machine.filament.acceleration *= k;
            machine.filament.sudden_change *= k;
            machine.printing *= k;
            machine.travelling *= k;
            machine.retracting *= k;
        };
        let one = on(|_| {}, &text(&moves, 1));
        // Inches of another length: every coordinate and feed times k.
        let scaled: String = text(&moves, 1)
            .lines()
            .map(|line| {
                let words: Vec<String> = line
                    .split(' ')
                    .map(|word| match (word.split_at(1), word.starts_with(['X', 'Y', 'Z', 'E', 'F'])) {
                        ((letter, number), true) => format!("{letter}{:.12}", number.parse::<f64>().unwrap() * k),
                        _ => word.to_owned(),
                    })
                    .collect();
                words.join(" ") + "\n"
            })
            .collect();
        let other = on(scale, &scaled);
        prop_assert!((time(&other) / time(&one) - 1.0).abs() < 1e-6, "{} {}", time(&other), time(&one));
    }

    /// Twice the accelerations and the squares of corner speeds are never slower; the sum of all phases is the whole.
    #[test]
    fn more_acceleration_is_never_slower(moves in programs()) {
        let faster = |setup: &mut Setup| {
            for axis in &mut setup.machine.axes {
                axis.acceleration *= 2.0;
                axis.sudden_change *= 1.5;
            }
            setup.machine.printing *= 2.0;
            setup.machine.travelling *= 2.0;
        };
        let (one, other) = (run(&text(&moves, 1)), on(faster, &text(&moves, 1)));
        prop_assert!(time(&other) <= time(&one) * (1.0 + 1e-12));
    }

    /// Nothing depends on how the bytes come in.
    #[test]
    fn lengths_are_those_of_the_places(moves in programs()) {
        let work = run(&text(&moves, 1));
        let mut expected = Length::from_base(0.0);
        let mut from = [0.0; 3];
        for (place, _, _) in &moves {
            let to = place.map(|place| f64::from(place) / 1e3);
            expected += millimetre((0..3).map(|axis| (to[axis] - from[axis]).powi(2)).sum::<f64>().sqrt());
            from = to;
        }
        let found = work.lengths[0] + work.lengths[1];
        prop_assert!((found - expected).abs() <= millimetre(1e-5));
    }
}
