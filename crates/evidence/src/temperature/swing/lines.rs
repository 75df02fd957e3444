//! Narrow lines in what control does not explain, and what may make each.

use core::f64::consts::TAU;

use statistics::spectrum::{Spectrum, coherence_by_chance};
use statistics::{chi_squared_quantile, median_high};

use super::coherence::FEWEST_SEGMENTS;
use super::spectra::Spectra;
use super::{Cause, DRIFT_BINS};

/// By how much the median of some two dozen bins may be low.
const MEDIAN_MARGIN: f64 = 1.3;
/// Fewer bins have no surroundings to stand out from.
const FEWEST_BINS: usize = 24;
/// So many bins on each side are the surroundings of one.
const AROUND: usize = 12;
/// What is wider than this is no line: a resonance, or control without a process to tell. Hann's window spreads a line over four bins.
const WIDEST: usize = 8;
/// As rare by chance in a whole spectrum as this.
const CHANCE: f64 = 0.01;

/// A line before it is told: its bins, its mean frequency (Hz), its power (K²).
pub(super) struct Found {
    from: usize,
    to: usize,
    pub frequency: f64,
    pub power: f64,
    pub cause: Cause,
}

impl Found {
    pub fn holds(&self, bin: usize) -> bool {
        (self.from..self.to).contains(&bin)
    }
}

/// The lines, each with what may make it; `steepest` is how fast full power heats, K/s.
pub(super) fn lines(spectra: &Spectra, steepest: Option<f64>) -> Vec<Found> {
    let mut lines = narrow(spectra);
    for line in &mut lines {
        if may_be_control(line, spectra, steepest) {
            line.cause = Cause::Regular;
        }
    }
    follow_their_base(&mut lines, spectra.reading.width());
    lines
}

/// What may make a line.
///
/// With duty and process the lines are what the duty did not move. With a duty alone, what is coherent with it may be control, or pick-up
/// that the controller follows. Without a duty only what changes faster than full power heats is no control.
fn may_be_control(line: &Found, spectra: &Spectra, steepest: Option<f64>) -> bool {
    if spectra.moved.is_some() {
        return false;
    }
    if spectra.has_duty {
        let bins = spectra.reading.density.len();
        let chance = coherence_by_chance(spectra.reading.segments, 1.0 - CHANCE / bins as f64);
        let mut coherent = spectra.coherent[line.from..line.to].iter();
        return spectra.reading.segments < FEWEST_SEGMENTS || coherent.any(|own| *own > chance);
    }
    let needed = TAU * line.frequency * (2.0 * line.power).sqrt();
    steepest.is_none_or(|steepest| needed <= steepest)
}

/// A swing that is no sine has lines at whole multiples of its frequency, which are as little told.
fn follow_their_base(lines: &mut [Found], width: f64) {
    let slow: Vec<(f64, f64)> = lines
        .iter()
        .filter(|own| own.cause == Cause::Regular)
        .map(|own| (own.frequency, own.power))
        .collect();
    for own in lines {
        let is_multiple = |(frequency, power): &(f64, f64)| {
            let times = own.frequency / frequency;
            let off = (times - times.round()).abs() * frequency;
            own.power < *power && times.round() >= 2.0 && off <= 1.5 * width
        };
        if slow.iter().any(is_multiple) {
            own.cause = Cause::Regular;
        }
    }
}

/// What stands out of its surroundings and is narrow, taken for pick-up.
fn narrow(spectra: &Spectra) -> Vec<Found> {
    let left = &spectra.left;
    let bins = left.density.len();
    if bins < FEWEST_BINS {
        return Vec::new();
    }
    let limit = limit(left);
    let mut out = Vec::new();
    let mut bin = DRIFT_BINS;
    while bin < bins - 1 {
        let floor = surroundings(&left.density, bin);
        let is_low = |at: &usize| left.density[*at] < limit * floor;
        if is_low(&bin) || is_control(spectra, bin) {
            bin += 1;
            continue;
        }
        let end = (bin..bins).find(is_low).unwrap_or(bins);
        let (from, to) = (bin.saturating_sub(1).max(DRIFT_BINS), (end + 1).min(bins));
        if to - from <= WIDEST {
            out.push(found(left, from, to, floor));
        }
        bin = to;
    }
    out
}

/// By how much a bin must exceed the median of its surroundings. Few logs of pure noise shall show a line that is none; the median around
/// a bin is itself off by some per cent.
fn limit(left: &Spectrum) -> f64 {
    let freedom = 2.0 * (left.segments as f64 / 1.056).max(1.0);
    let share = 1.0 - CHANCE / left.density.len() as f64;
    MEDIAN_MARGIN * chi_squared_quantile(share, freedom) / freedom
}

/// The median density around a bin.
fn surroundings(density: &[f64], bin: usize) -> f64 {
    let from = bin.saturating_sub(AROUND).max(DRIFT_BINS);
    let to = (bin + AROUND + 1).min(density.len() - 1);
    let apart = (from..to).filter(|at| at.abs_diff(bin) > 2);
    let mut near: Vec<f64> = apart.map(|at| density[at]).collect();
    median_high(&mut near)
}

/// Whether a good part of a bin is what the duty moved.
fn is_control(spectra: &Spectra, bin: usize) -> bool {
    let moved = spectra.moved.as_ref();
    moved.is_some_and(|moved| moved.density[bin] > 0.2 * spectra.reading.density[bin])
}

fn found(left: &Spectrum, from: usize, to: usize, floor: f64) -> Found {
    let density = &left.density[from..to];
    let sum: f64 = density.iter().sum();
    let weighted: f64 = (from..to)
        .map(|bin| left.density[bin] * left.frequencies[bin])
        .sum();
    let above = density.iter().map(|own| (own - floor).max(0.0));
    Found {
        from,
        to,
        frequency: weighted / sum.max(f64::MIN_POSITIVE),
        power: above.sum::<f64>() * left.width(),
        cause: Cause::PickUp,
    }
}
