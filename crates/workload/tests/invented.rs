//! Invented programs of every shape: what is known of them is found again.

use quantity::Number as _;
use workload::invent::{Shape, write};
use workload::{Vocabulary, count};

use crate::given::{run_with, setup, words};

#[test]
fn totals_are_found_again() {
    let (setup, words) = (setup(), words());
    for shape in Shape::ALL {
        for size in [1_000, 20_000, 300_000] {
            let mut text = Vec::new();
            let totals = write(shape, size, &mut text).unwrap();
            assert_eq!(totals.bytes, text.len() as u64);
            assert!(
                totals.bytes >= size && totals.bytes < size + 30_000,
                "{shape:?} {}",
                totals.bytes
            );
            let counted = count(&mut &text[..]).unwrap();
            assert_eq!((counted.lines, counted.broken), (totals.lines, 0), "{shape:?}");
            let (work, _) = run_with(&setup, &words, &text[..]);
            assert_eq!((work.lines, work.bytes), (totals.lines, totals.bytes));
            assert!(
                work.troubles.is_empty() && work.unknown_words.is_empty(),
                "{shape:?} {work:?}"
            );
            let near = |found: f64, expected: f64| {
                assert!(
                    (found - expected).abs() < 1e-6 + 1e-9 * expected,
                    "{shape:?} {size}: {found} {expected}"
                );
            };
            near(work.lengths[0].base(), totals.printed.base());
            near(work.lengths[1].base(), totals.travelled.base());
            let area = core::f64::consts::PI / 4.0 * 1.75e-3 * 1.75e-3;
            // Filament that is drawn back and pushed forward again counts once more.
            if shape != Shape::Infill {
                near(work.flow.volume.base() / area, totals.filament.base());
            }
            // Pushed forward by nothing, where it was drawn back before anything was laid down, is no move.
            assert!(
                work.moves <= totals.moves && work.moves + 1 >= totals.moves,
                "{shape:?}"
            );
        }
    }
}

/// Without words nothing is understood, and nothing breaks.
#[test]
fn without_words_nothing_moves() {
    let mut text = Vec::new();
    write(Shape::Tower, 5_000, &mut text).unwrap();
    let (setup, words) = (setup(), Vocabulary::default());
    let (work, _) = run_with(&setup, &words, &text[..]);
    assert_eq!(work.pieces, 0);
    assert!(!work.is_program() && work.unknown_words.iter().any(|word| word.what == "G1"));
}

/// Two programs joined: sums add up, peaks are the higher one's.
#[test]
fn programs_are_joined() {
    let (setup, words) = (setup(), words());
    let of = |shape| {
        let mut text = Vec::new();
        write(shape, 30_000, &mut text).unwrap();
        run_with(&setup, &words, &text[..]).0
    };
    let (one, other) = (of(Shape::Tower), of(Shape::Scribble));
    let mut both = one.clone();
    both.merge(&other);
    assert_eq!(both.programs, 2);
    assert_eq!(both.times.motion(), one.times.motion() + other.times.motion());
    for (at, motor) in both.motors.iter().enumerate() {
        let expected = one.motors[at].peak.value.larger(other.motors[at].peak.value);
        assert_eq!(motor.peak.value, expected);
        let sum = |times: Vec<quantity::si::Time>| times.iter().map(|time| time.base()).sum::<f64>();
        let parts = sum(one.motors[at].times.times()) + sum(other.motors[at].times.times());
        assert!((sum(motor.times.times()) - parts).abs() < 1e-6 * parts.max(1.0));
    }
}
