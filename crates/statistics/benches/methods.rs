//! Welch's spectrum, Allan deviations and least squares beside scipy and allantools in one run: `cargo bench -p statistics`.
//!
//! The peer is Python; `benches/peer.py` says how to install it. Without it only our own times are told.
//! Each of our figures is the best of some runs, as are the peer's.

use peer::Beside::Peer;
use peer::best_seconds;
use statistics::allan::overlapping_allan_deviations;
use statistics::least_squares::{Model, least_squares};
use statistics::spectrum::welch_spectrum;

fn main() {
    let mut n: u64 = 1_234_567_890;
    let mut noise = || {
        n = n * 16_807 % 2_147_483_647;
        n as f64 / 2_147_483_647.0
    };
    let values: Vec<f64> = (0..1_000_000).map(|_| noise()).collect();
    let factors: Vec<usize> = (0..10).map(|power| 1 << power).collect();
    let ours = [
        (
            "Welch, 1 million, segments of 4096",
            Peer("scipy, one thread", 5.0),
            best_seconds(5, || welch_spectrum(&values, 4096, 1.0)),
        ),
        (
            "overlapping Allan, 1 million, 10 factors",
            Peer("allantools", 5.0),
            best_seconds(5, || overlapping_allan_deviations(&values, &factors)),
        ),
        (
            "least squares, 2,000 points, 3 parameters",
            Peer("scipy `curve_fit`", 1.0),
            best_seconds(200, || Curve::fit(&values, false)),
        ),
        (
            "the same with derivatives told",
            Peer("scipy `curve_fit` with them", 1.0),
            best_seconds(200, || Curve::fit(&values, true)),
        ),
    ];
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/peer.py");
    peer::beside::<&str>(script, &[], &ours);
}

/// `a exp(−b t) + c` with noise, as `peer.py` has it; with derivatives where they are told.
struct Curve {
    data: Vec<f64>,
    told: bool,
    decay: Vec<f64>,
}

impl Curve {
    fn fit(values: &[f64], told: bool) -> f64 {
        let data: Vec<f64> = (0..2_000)
            .map(|at| 3.0 * (-0.002 * f64::from(at)).exp() + 1.0 + 0.1 * values[at as usize])
            .collect();
        let (count, decay) = (data.len(), vec![0.0; data.len()]);
        let curve = Self { data, told, decay };
        least_squares(curve, &[1.0, 0.01, 0.5], count).unwrap().parameters[1]
    }
}

impl Model for Curve {
    fn residuals(&mut self, p: &[f64], out: &mut [f64]) {
        for (at, (out, data)) in out.iter_mut().zip(&self.data).enumerate() {
            *out = p[0] * (-p[1] * at as f64).exp() + p[2] - data;
        }
    }

    fn slopes(&mut self, parameter: usize, p: &[f64], _: &[f64], out: &mut [f64]) -> bool {
        match parameter {
            _ if !self.told => return false,
            0 => {
                for (at, decay) in self.decay.iter_mut().enumerate() {
                    *decay = (-p[1] * at as f64).exp();
                }
                out.copy_from_slice(&self.decay);
            }
            1 => {
                for (at, (out, decay)) in out.iter_mut().zip(&self.decay).enumerate() {
                    *out = -p[0] * at as f64 * decay;
                }
            }
            _ => out.fill(1.0),
        }
        true
    }
}
