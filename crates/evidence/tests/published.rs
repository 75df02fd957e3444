//! Statistics against NIST StRD (nonlinear regression), NIST SP 1065 (Allan deviations) and scipy (Welch's spectrum).

use evidence::statistics::allan::{allan, modified_allan, overlapping_allan};
use evidence::statistics::least_squares::least_squares;
use evidence::statistics::spectrum::{Welch, welch};

use crate::table::rows;

type Model = fn(&[f64], f64) -> f64;

/// The models as the files of the sets print them.
const SETS: [(&str, Model); 8] = [
    ("misra1a", |b, x| b[0] * (1.0 - (-b[1] * x).exp())),
    ("danwood", |b, x| b[0] * x.powf(b[1])),
    ("gauss1", |b, x| {
        b[0] * (-b[1] * x).exp()
            + b[2] * (-(x - b[3]).powi(2) / b[4].powi(2)).exp()
            + b[5] * (-(x - b[6]).powi(2) / b[7].powi(2)).exp()
    }),
    ("mgh09", |b, x| {
        b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3])
    }),
    ("mgh10", |b, x| b[0] * (b[1] / (x + b[2])).exp()),
    ("thurber", |b, x| {
        (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1.0 + x * (b[4] + x * (b[5] + x * b[6])))
    }),
    ("boxbod", |b, x| b[0] * (1.0 - (-b[1] * x).exp())),
    ("eckerle4", |b, x| {
        b[0] / b[1] * (-0.5 * ((x - b[2]) / b[1]).powi(2)).exp()
    }),
];

/// From both published starts: parameters to 6 digits, their standard deviations to 5, the sum of squares to 8.
#[test]
fn nonlinear_least_squares_reaches_the_certified_values() {
    let mut report = String::new();
    for (name, model) in SETS {
        let (remarks, data) = rows(&format!("nist-strd-{name}.csv"));
        let data: Vec<(f64, f64)> = data
            .iter()
            .map(|row| (row[0].trim().parse().unwrap(), row[1].trim().parse().unwrap()))
            .collect();
        let certified: Vec<Vec<f64>> = remarks.iter().filter_map(|line| parameter(line)).collect();
        let sum: f64 = remarks
            .iter()
            .find_map(|line| word_after(line, "squares"))
            .unwrap();
        for start in 0..2 {
            let from: Vec<f64> = certified.iter().map(|row| row[start]).collect();
            let residuals = |b: &[f64], out: &mut [f64]| {
                for (out, (y, x)) in out.iter_mut().zip(&data) {
                    *out = model(b, *x) - y;
                }
            };
            let fit = least_squares(residuals, &from, data.len())
                .unwrap_or_else(|error| panic!("{name} from start {}: {error}", start + 1));
            let mut worst: f64 = 0.0;
            for (at, row) in certified.iter().enumerate() {
                let off = (fit.parameters[at] / row[2] - 1.0).abs();
                let spread = (fit.covariance[at][at].sqrt() / row[3] - 1.0).abs();
                worst = worst.max(off);
                assert!(
                    off < 1e-6,
                    "{name} from start {}: b{} is off by {off:e}",
                    start + 1,
                    at + 1
                );
                assert!(
                    spread < 1e-5,
                    "{name}: deviation of b{} is off by {spread:e}",
                    at + 1
                );
            }
            assert!(
                (fit.sum_of_squares / sum - 1.0).abs() < 1e-8,
                "{name}: {} for {sum}",
                fit.sum_of_squares
            );
            report += &format!("{name} from start {}: {worst:.0e}\n", start + 1);
        }
    }
    assert_eq!(report.lines().count(), 16);
}

/// `# b1: start1 25 start2 0.25 certified 1.9E-01 sd 1.1E-02`
fn parameter(line: &str) -> Option<Vec<f64>> {
    let words = ["start1", "start2", "certified", "sd"];
    line.starts_with("# b")
        .then(|| words.iter().map(|word| word_after(line, word)).collect())?
}

fn word_after(line: &str, word: &str) -> Option<f64> {
    let mut words = line.split([' ', ';']);
    words.find(|own| *own == word)?;
    words.next()?.parse().ok()
}

/// NIST SP 1065, p. 107: a series that everybody can make.
fn thousand() -> Vec<f64> {
    let mut n: u64 = 1_234_567_890;
    let mut out = Vec::new();
    for _ in 0..1000 {
        out.push(n as f64 / 2_147_483_647.0);
        n = n * 16_807 % 2_147_483_647;
    }
    out
}

/// All published digits.
#[test]
fn allan_deviations_are_those_of_the_test_suite() {
    let nine = [892.0, 809.0, 823.0, 798.0, 671.0, 644.0, 883.0, 903.0, 677.0];
    let thousand = thousand();
    let mut held = 0;
    for row in rows("nist-sp1065-adev.csv").1 {
        let values: &[f64] = if row[0] == "9-value" { &nine } else { &thousand };
        let factor: usize = row[2].parse().unwrap();
        let found = match row[1].as_str() {
            "adev" => allan(values, factor),
            "oadev" => overlapping_allan(values, factor),
            "mdev" => modified_allan(values, factor),
            _ => continue,
        };
        let published: f64 = row[3].parse().unwrap();
        let found = found.unwrap();
        assert!((found / published - 1.0).abs() < 5e-7, "{row:?}: {found}");
        held += 1;
    }
    assert_eq!(held, 15);
}

#[test]
fn welch_is_that_of_the_reference_library() {
    let spectrum = welch(&thousand(), 128, 1.0).unwrap();
    assert_eq!(spectrum.segments, 14);
    for (bin, row) in rows("welch-lcg.csv").1.iter().enumerate() {
        let [frequency, density] = [0, 1].map(|at| row[at].parse::<f64>().unwrap());
        assert!((spectrum.frequencies[bin] - frequency).abs() < 1e-9);
        assert!(
            (spectrum.density[bin] / density - 1.0).abs() < 1e-9,
            "bin {bin}: {}",
            spectrum.density[bin]
        );
    }
}

/// scipy, `references`: 2 sin(2π 125 t) + 0.5 at 1000 a second, Hann 1024 over 512, 4096 values: 1.3653333 at 125, neighbours
/// 0.3413333, integral 2.000. A series and its half hang together fully; one and an unrelated one hardly.
#[test]
fn a_tone_and_coherence() {
    let tone: Vec<f64> = (0..4096)
        .map(|at| 2.0 * (core::f64::consts::TAU * 125.0 * f64::from(at) / 1000.0).sin() + 0.5)
        .collect();
    let spectrum = welch(&tone, 1024, 1000.0).unwrap();
    assert!(
        (spectrum.density[128] - 1.365_333_3).abs() < 1e-6
            && (spectrum.density[127] - 0.341_333_3).abs() < 1e-6
    );
    assert!((spectrum.power(0, 513) - 2.0).abs() < 1e-6);
    let noise = thousand();
    let (mut same, mut other) = (Welch::new(64, 1.0), Welch::new(64, 1.0));
    for at in 0..1000 {
        same.push(noise[at], noise[at] / 2.0 + 3.0);
        other.push(noise[at], noise[(at * 7 + 13) % 1000]);
    }
    let coherence = same.finish().unwrap().2;
    assert!(coherence[1..].iter().all(|value| (value - 1.0).abs() < 1e-9));
    let coherence = other.finish().unwrap().2;
    assert!(coherence.iter().sum::<f64>() / (coherence.len() as f64) < 0.15);
}
