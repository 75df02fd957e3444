//! Welch spectra and coherences against scipy, and how often chance alone is taken for coherence.

use statistics::spectrum::{Welch, coherence_by_chance, welch_spectrum};

use crate::coverage::Noise;
use crate::data::rows;
use crate::series::thousand;

#[test]
fn welch_is_that_of_the_reference_library() {
    let spectrum = welch_spectrum(&thousand(), 128, 1.0).unwrap();
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
    let spectrum = welch_spectrum(&tone, 1024, 1000.0).unwrap();
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

/// Series that have nothing in common exceed the level that one frequency in twenty does by chance in that share.
#[test]
fn coherence_by_chance_is_as_rare_as_it_says() {
    for segment in [64, 256] {
        let (mut above, mut all) = (0_u32, 0_u32);
        for seed in 0..100 {
            let mut noise = Noise::seeded(seed);
            let mut welch = Welch::new(segment, 1.0);
            for _ in 0..1_800 {
                welch.push(noise.normal(1.0), noise.normal(1.0));
            }
            let (spectrum, _, coherence) = welch.finish().unwrap();
            let level = coherence_by_chance(spectrum.segments, 0.95);
            let inner = &coherence[3..coherence.len() - 1];
            all += u32::try_from(inner.len()).unwrap();
            above += u32::try_from(inner.iter().filter(|own| **own > level).count()).unwrap();
        }
        let rate = f64::from(above) / f64::from(all);
        assert!((0.035..0.065).contains(&rate), "{segment}: {rate}");
    }
}

/// Values that come one at a time overlap as those of a whole series do.
#[test]
fn pushed_values_are_those_of_the_whole() {
    let values = thousand();
    let mut welch = Welch::new(64, 2.0);
    for value in &values {
        welch.push(*value, 1.0);
    }
    let (pushed, other, _) = welch.finish().unwrap();
    let whole = welch_spectrum(&values, 64, 2.0).unwrap();
    assert_eq!(pushed.segments, 30);
    assert_eq!(pushed, whole);
    assert!(other.density.iter().all(|own| *own == 0.0));
}
