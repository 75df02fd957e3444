//! Statistics against NIST SP 1065 (Allan deviations) and scipy (Welch's spectrum).

use evidence::statistics::allan::{allan, modified_allan, overlapping_allan};
use evidence::statistics::spectrum::{Welch, welch};

use crate::table::rows;

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
