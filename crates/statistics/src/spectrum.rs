//! Spectrum of a series by Welch's method: means over windowed segments; coherence of two series.

use realfft::num_complex::Complex64;
use realfft::{RealFftPlanner, RealToComplex};
use std::sync::Arc;

use crate::sums::sum;

/// One-sided density of a series.
#[derive(Clone, Debug, PartialEq)]
pub struct Spectrum {
    /// Cycles per unit of time, from 0 to half of the sample rate.
    pub frequencies: Vec<f64>,
    /// Square of the series' unit, per cycle per unit of time. Its integral is the variance.
    pub density: Vec<f64>,
    /// How many segments were averaged.
    pub segments: usize,
}

impl Spectrum {
    /// Width of a bin.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.frequencies.get(1).copied().unwrap_or(0.0)
    }
    /// Variance in the bins from `from` on, up to `to` exclusive.
    #[must_use]
    pub fn power(&self, from: usize, to: usize) -> f64 {
        let to = to.min(self.density.len());
        self.density.get(from..to).unwrap_or_default().iter().sum::<f64>() * self.width()
    }
}

/// Collects segments of one or two series; values may come in pieces, so that a long log needs no memory.
pub struct Welch {
    transform: Arc<dyn RealToComplex<f64>>,
    window: Vec<f64>,
    rate: f64,
    /// Auto spectra and cross spectrum, summed.
    own: Vec<f64>,
    other: Vec<f64>,
    cross: Vec<Complex64>,
    begun: [Vec<f64>; 2],
    segments: usize,
    input: Vec<f64>,
    scratch: Vec<Complex64>,
    buffers: [Vec<Complex64>; 2],
}

impl core::fmt::Debug for Welch {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        formatter
            .debug_struct("Welch")
            .field("segment", &self.window.len())
            .field("segments", &self.segments)
            .finish_non_exhaustive()
    }
}

impl Welch {
    /// - `segment`: values in a segment, an even number of at least 8; Hann's window, half of each segment overlaps the next.
    /// - `rate`: values in a unit of time.
    #[must_use]
    pub fn new(segment: usize, rate: f64) -> Self {
        let segment = (segment.max(8) / 2) * 2;
        let transform = RealFftPlanner::<f64>::new().plan_fft_forward(segment);
        let bins = segment / 2 + 1;
        let turn = |at: usize| core::f64::consts::TAU * at as f64 / segment as f64;
        Self {
            window: (0..segment).map(|at| 0.5 - 0.5 * turn(at).cos()).collect(),
            input: vec![0.0; segment],
            scratch: transform.make_scratch_vec(),
            transform,
            rate,
            own: vec![0.0; bins],
            other: vec![0.0; bins],
            cross: vec![Complex64::default(); bins],
            begun: [Vec::with_capacity(segment), Vec::with_capacity(segment)],
            segments: 0,
            buffers: [vec![Complex64::default(); bins], vec![Complex64::default(); bins]],
        }
    }

    /// Takes the next value of both series.
    pub fn push(&mut self, own: f64, other: f64) {
        self.begun[0].push(own);
        self.begun[1].push(other);
        if self.begun[0].len() == self.window.len() {
            let mut begun = core::mem::take(&mut self.begun);
            self.segment(&begun[0], Some(&begun[1]));
            for begun in &mut begun {
                begun.drain(..self.window.len() / 2);
            }
            self.begun = begun;
        }
    }

    /// Begins anew behind a gap: no segment reaches over it.
    pub fn gap(&mut self) {
        self.begun.iter_mut().for_each(Vec::clear);
    }

    /// Takes a segment of both series, or of one alone.
    fn segment(&mut self, own: &[f64], other: Option<&[f64]>) {
        self.transform(0, own);
        self.segments += 1;
        let one = self.buffers[0].iter();
        for (sum, one) in self.own.iter_mut().zip(one) {
            *sum += one.norm_sqr();
        }
        let Some(other) = other else { return };
        self.transform(1, other);
        for (bin, (one, two)) in self.buffers[0].iter().zip(&self.buffers[1]).enumerate() {
            self.other[bin] += two.norm_sqr();
            self.cross[bin] += one.conj() * two;
        }
    }

    /// The transform of a segment less its mean, under the window.
    fn transform(&mut self, which: usize, values: &[f64]) {
        let buffer = &mut self.buffers[which];
        // What never changes, as the second series where there is only one, needs no transform.
        if values.iter().all(|value| *value == values[0]) {
            buffer.fill(Complex64::default());
            return;
        }
        let mean = sum(values) / values.len() as f64;
        for ((input, value), window) in self.input.iter_mut().zip(values).zip(&self.window) {
            *input = (value - mean) * window;
        }
        // Lengths are those of the plan, the one thing that can be wrong.
        let done = (self.transform).process_with_scratch(&mut self.input, buffer, &mut self.scratch);
        debug_assert!(done.is_ok());
    }

    /// The spectra of both series, and their coherence `|Pxy|² / (Pxx Pyy)`; nothing where no segment was full.
    ///
    /// # Source
    /// [welch-1967]; held against scipy on the 1000-point series of [nist-sp1065].
    #[must_use]
    pub fn finish(self) -> Option<(Spectrum, Spectrum, Vec<f64>)> {
        if self.segments == 0 {
            return None;
        }
        let count = self.window.len();
        let power: f64 = self.window.iter().map(|window| window * window).sum();
        let scale = 1.0 / (self.rate * power * self.segments as f64);
        let frequencies: Vec<f64> = (0..=count / 2)
            .map(|bin| self.rate * bin as f64 / count as f64)
            .collect();
        let one_sided = |sums: &[f64]| -> Vec<f64> {
            let double = |bin: usize| if bin == 0 || bin == count / 2 { 1.0 } else { 2.0 };
            sums.iter()
                .enumerate()
                .map(|(bin, sum)| sum * scale * double(bin))
                .collect()
        };
        let coherence = (0..=count / 2)
            .map(|bin| {
                let below = self.own[bin] * self.other[bin];
                if below > 0.0 {
                    self.cross[bin].norm_sqr() / below
                } else {
                    0.0
                }
            })
            .collect();
        let spectrum = |sums: &[f64]| Spectrum {
            frequencies: frequencies.clone(),
            density: one_sided(sums),
            segments: self.segments,
        };
        Some((spectrum(&self.own), spectrum(&self.other), coherence))
    }
}

/// What the coherence of two series that have nothing in common stays under in a share of cases, at one frequency.
///
/// `1 − (1 − share)^(1/(n−1))` for `n` segments that do not overlap; half overlapping ones under Hann's window count for 1/1.056 each, as in
/// the variance of a spectrum.
///
/// # Source
/// [carter-1973], for the law; [welch-1967], for the overlap.
#[must_use]
pub fn coherence_by_chance(segments: usize, share: f64) -> f64 {
    let apart = segments as f64 / 1.056;
    1.0 - (1.0 - share).powf(1.0 / (apart - 1.0).max(1e-3))
}

/// The spectrum of a whole series.
#[must_use]
pub fn welch_spectrum(values: &[f64], segment: usize, rate: f64) -> Option<Spectrum> {
    let mut welch = Welch::new(segment, rate);
    let (length, mut from) = (welch.window.len(), 0);
    while let Some(own) = values.get(from..from + length) {
        welch.segment(own, None);
        from += length / 2;
    }
    welch.finish().map(|(spectrum, _, _)| spectrum)
}
