//! Welch's spectrum, Allan deviations and least squares beside scipy and allantools in one run: `cargo bench -p statistics`.
//!
//! The peer is Python; `benches/peer.py` says how to install it. Without it only our own times are told.
//! Each of our figures is the best of some runs, as are the peer's.

#![allow(clippy::print_stdout, reason = "a bench prints its figures")]

#[path = "../tests/data.rs"]
#[allow(dead_code, reason = "its other readers are the tests")]
mod data;
#[path = "../tests/nonlinear.rs"]
#[allow(dead_code, reason = "its checks are the tests")]
mod nonlinear;

use std::path::Path;

use peer::Beside::{Limit, Peer};
use peer::{best_seconds, figure};
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
    published_sets();
}

/// A fit of a published set from one of its starts: its time, and whether it found the certified values.
struct Timed {
    name: String,
    seconds: f64,
    /// The largest relative error of a parameter is under 10⁻⁴: the digits that a practitioner would print.
    found: bool,
}

/// The 27 nonlinear sets of NIST, each from both published starts.
fn published_sets() {
    let mut ours = Vec::new();
    for (name, model) in nonlinear::SETS {
        let set = nonlinear::Set::of(name);
        for start in 0..2 {
            let fit = set.fit(*model, start);
            let off = |found: f64, certified: f64| (found / certified - 1.0).abs();
            let found = fit.is_ok_and(|fit| {
                let mut pairs = fit.parameters.iter().zip(&set.certified);
                pairs.all(|(found, row)| off(*found, row[2]) < 1e-4)
            });
            ours.push(Timed {
                name: format!("{name}, start {}", start + 1),
                seconds: best_seconds(5, || set.fit(*model, start)),
                found,
            });
        }
    }
    let library = "scipy `curve_fit`";
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data");
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/nist_peer.py");
    let printed = match peer::run(script, &[folder]) {
        Ok(printed) => printed,
        Err(missing) => {
            let all = ours.iter().map(|own| own.seconds).sum();
            figure(
                "least squares, the 54 fits of NIST's nonlinear sets",
                all,
                "s",
                Peer(library, 1.0),
                None,
            );
            return println!("{missing}");
        }
    };
    let theirs: Vec<Timed> = printed
        .lines()
        .filter_map(|line| {
            let mut fields = line.split(';');
            Some(Timed {
                name: fields.next()?.to_owned(),
                seconds: fields.next()?.parse().ok()?,
                found: fields.next()? == "found",
            })
        })
        .collect();
    assert!(
        ours.iter()
            .map(|own| &own.name)
            .eq(theirs.iter().map(|own| &own.name)),
        "the same sets"
    );
    let both = || {
        ours.iter()
            .zip(&theirs)
            .filter(|(one, other)| one.found && other.found)
    };
    let all = both().fold([0.0; 2], |[one, other], pair| {
        [one + pair.0.seconds, other + pair.1.seconds]
    });
    let what = format!(
        "least squares, {} of the 54 fits of NIST's nonlinear sets, which both find",
        both().count()
    );
    figure(&what, all[0], "s", Peer(library, 1.0), Some(all[1]));
    let worst = both()
        .min_by(|one, other| (one.1.seconds / one.0.seconds).total_cmp(&(other.1.seconds / other.0.seconds)));
    if let Some((own, other)) = worst {
        let what = format!("the one of them that is worst beside it: {}", own.name);
        figure(&what, own.seconds, "s", Peer(library, 1.0), Some(other.seconds));
    }
    let count = |all: &[Timed]| all.iter().filter(|own| !own.found).count() as f64;
    let what = "fits of the 54 that miss the certified values";
    figure(
        what,
        count(&ours),
        "fits",
        Limit(library, 1.0),
        Some(count(&theirs)),
    );
    for (own, other) in ours.iter().zip(&theirs) {
        let found = |own: &Timed| if own.found { "found" } else { "MISSED" };
        println!(
            "{:20} {:8.3} ms {:6}   peer {:8.3} ms {:6} {:6.1} times as fast",
            own.name,
            own.seconds * 1e3,
            found(own),
            other.seconds * 1e3,
            found(other),
            other.seconds / own.seconds
        );
    }
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
