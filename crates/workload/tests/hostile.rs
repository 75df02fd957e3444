//! What no program should hold: it is skipped, counted and named, and nothing panics.

use rand::{RngExt as _, SeedableRng as _};
use rand_pcg::Pcg64;
use workload::invent::{Shape, write};
use workload::{Batch, Interpreter, Model};

use crate::given::{run, run_with, setup, words};

fn told(text: &str) -> Vec<(String, u64, u64)> {
    let work = run(text);
    let all = work.troubles.iter();
    all.map(|trouble| (trouble.what.clone(), trouble.count, trouble.places[0].line))
        .collect()
}

fn one(text: &str, what: &str, line: u64) {
    let all = told(text);
    assert_eq!(all.len(), 1, "{text:?}: {all:?}");
    assert_eq!((all[0].0.as_str(), all[0].2), (what, line), "{text:?}");
}

#[test]
fn each_is_named_with_its_line() {
    one("G28\nG1 XNaN\n", "line skipped: a letter without a number", 2);
    one("G1 X1000000000000 F600\n", "move skipped: farther than 100 m", 1);
    one("G1 X-1000000000000 F600\n", "move skipped: farther than 100 m", 1);
    one("G1 E1000000000000 F600\n", "move skipped: farther than 100 m", 1);
    one("G1 X10 F-600\n", "feed ignored: not above zero", 1);
    one(
        "G2 X10 Y0 R1\n",
        "arc skipped: its radius does not reach its end",
        1,
    );
    one(
        "G2 X10 Y0 I99999999\n",
        "arc skipped: its centre is not equally far from both ends",
        1,
    );
    one("G1 X1\0 F600\n", "line skipped: not text", 1);
    one("\0\0\0\0\n", "line skipped: not text", 1);
    one("G4 P-5\n", "value ignored: out of range", 1);
    one("G4 S1000000000000\n", "value ignored: out of range", 1);
    one("M104 S100000\n", "value ignored: out of range", 1);
    one("M5012 U-1\n", "value ignored: out of range", 1);
    one("M7722 S0\n", "value ignored: out of range", 1);
    one("G92 X1000000000000\n", "move skipped: farther than 100 m", 1);
    one("G1 X1 X2\n", "line skipped: a letter twice", 1);
    one("G1 X[[1\n", "line skipped: expression without a value", 1);
    one("N1 G1 X1*99\n", "line skipped: wrong checksum", 1);
    one("G1 X1 (no end\n", "line skipped: comment not closed", 1);
}

/// A skipped move leaves the nozzle where it is.
#[test]
fn a_skipped_move_moves_nothing() {
    let work = run("G1 X10 F600\nG1 X1000000000000\nG1 X20\n");
    assert!((work.lengths[1].value - 0.02).abs() < 1e-12);
    assert_eq!(work.lost, 1);
}

/// 100 MB in one line, in the middle of a program.
#[test]
fn a_line_without_end_is_passed_over() {
    struct Long(u64);
    impl std::io::Read for Long {
        fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
            let count = self.0.min(buffer.len() as u64) as usize;
            buffer[..count].fill(b'7');
            self.0 -= count as u64;
            Ok(count)
        }
    }
    use std::io::Read as _;
    let source = b"G1 X10 F600\nG1 X"
        .chain(Long(100 << 20))
        .chain(&b"\nG1 X20\n"[..]);
    let (work, _) = run_with(&setup(), &words(), source);
    assert_eq!(work.troubles[0].what, "line skipped: longer than 65 536 bytes");
    assert_eq!(work.troubles[0].places[0].line, 2);
    assert!((work.lengths[1].value - 0.02).abs() < 1e-12);
    assert_eq!(work.lines, 3);
}

/// Garbage is no program.
#[test]
fn garbage_is_refused() {
    let mut random = Pcg64::seed_from_u64(7);
    let bytes: Vec<u8> = (0..200_000).map(|_| random.random()).collect();
    let (work, _) = run_with(&setup(), &words(), &bytes[..]);
    assert!(!work.is_program());
    assert_eq!(work.pieces, 0);
    assert!(!run("").is_program());
    assert!(!run("Dear all,\nplease find the file attached.\n").is_program());
}

/// Waits, moves and circles that take for ever are passed in few steps.
#[test]
fn endless_programs_end() {
    let mut text = String::new();
    for _ in 0..200 {
        text.push_str("G4 S1000000\nG1 X100 F0.001\nG1 X0\nG2 X0 Y0 I90000\nM109 S200\nM109 R30\n");
    }
    let work = run(&text);
    assert!(work.times.whole().value > 1e8);
    assert!(work.times.whole().value.is_finite());
}

/// One byte in some is changed, moved, doubled or lost, seeded: no panic, no time that is no number, every line accounted for.
#[test]
fn mutations_never_panic() {
    let (setup, words) = (setup(), words());
    let mut random = Pcg64::seed_from_u64(2026);
    let alphabet = b"GMTNXYZEFIJKRSP0123456789.-+ \t\r\n;()[]#*/%\0\xff\x80=ab";
    for round in 0..1_500 {
        let shape = Shape::ALL[round % Shape::ALL.len()];
        let mut text = Vec::new();
        write(shape, 1_500, &mut text).unwrap();
        for _ in 0..random.random_range(1..40) {
            let at = random.random_range(0..text.len());
            let byte = alphabet[random.random_range(0..alphabet.len())];
            match random.random_range(0..4) {
                0 => text[at] = byte,
                1 => text.insert(at, byte),
                2 => drop(text.remove(at)),
                _ => {
                    let end = (at + random.random_range(1..30)).min(text.len());
                    let piece = text[at..end].to_vec();
                    let to = random.random_range(0..text.len());
                    text.splice(to..to, piece);
                }
            }
        }
        let mut source = &text[..];
        let (mut interpreter, mut model, mut batch) = (
            Interpreter::new(&setup, &words),
            Model::new(&setup),
            Batch::default(),
        );
        while interpreter.read(&mut source, &mut batch).unwrap() > 0 {
            model.take(&batch);
            batch.clear();
        }
        interpreter.finish(&mut batch);
        model.take(&batch);
        let (work, course) = model.finish("mutant", &interpreter);
        let lines = text.split(|byte| *byte == b'\n').count() - usize::from(text.ends_with(b"\n"));
        assert_eq!(work.lines, lines as u64, "round {round}");
        assert!(
            work.times.whole().value.is_finite() && work.times.whole().value >= 0.0,
            "round {round}"
        );
        for motor in &work.motors {
            assert!(motor.peak.value.value.is_finite());
        }
        assert!(
            course
                .time_line
                .iter()
                .all(|moment| moment.heaters.value.is_finite())
        );
    }
}
