//! How far reading and duty swing together.

use quantity::Range;
use quantity::si::{Frequency, Ratio, hertz, ratio};
use statistics::CONFIDENCE;
use statistics::spectrum::coherence_by_chance;

use super::DRIFT_BINS;
use super::spectra::Spectra;

/// Fewer segments tell no coherence: a single one is coherent with anything.
pub(super) const FEWEST_SEGMENTS: usize = 4;

/// How far reading and duty swing together, by frequency: 1 where one follows from the other, near 0 where they have nothing in common.
///
/// In a closed loop the duty follows every reading, so coherence is high where pick-up or noise reach the controller, too; what is *not*
/// coherent is not control.
#[derive(Clone, Debug, PartialEq)]
pub struct Coherence {
    /// Where the reading swings most, above the drift.
    pub peak: Frequency,
    /// The coherence there.
    pub at_peak: Ratio,
    /// The mean over all frequencies above the drift, each weighted by how much the reading swings there.
    pub mean: Ratio,
    /// What chance alone exceeds at one frequency in twenty.
    pub by_chance: Ratio,
    /// The stretch of frequencies around the peak in which the coherence is above chance; nothing where it is not so at the peak.
    pub band: Option<Range<Frequency>>,
    /// Frequency (Hz), coherence.
    pub(crate) curve: Vec<[f64; 2]>,
}

impl Coherence {
    /// Nothing where there is no duty, or there are too few segments.
    pub(super) fn of(spectra: &Spectra) -> Option<Self> {
        let Spectra {
            reading, coherent, ..
        } = spectra;
        let density = &reading.density;
        let bins = density.len();
        if !spectra.has_duty || reading.segments < FEWEST_SEGMENTS || bins <= DRIFT_BINS + 1 {
            return None;
        }
        let inner = || DRIFT_BINS..bins - 1;
        let peak = inner().max_by(|one, other| density[*one].total_cmp(&density[*other]))?;
        let sum: f64 = density[inner()].iter().sum();
        let weighted: f64 = inner().map(|bin| density[bin] * coherent[bin]).sum();
        let by_chance = coherence_by_chance(reading.segments, CONFIDENCE);
        let at = |bin: usize| hertz(reading.frequencies[bin]);
        let above = |bin: &usize| coherent[*bin] > by_chance;
        let low = inner().rev().filter(|bin| *bin <= peak).take_while(above).last();
        let high = inner().filter(|bin| *bin >= peak).take_while(above).last();
        let curve = inner().map(|bin| [reading.frequencies[bin], coherent[bin]]);
        Some(Self {
            peak: at(peak),
            at_peak: ratio(coherent[peak]),
            mean: ratio(weighted / sum.max(f64::MIN_POSITIVE)),
            by_chance: ratio(by_chance),
            band: low.zip(high).map(|(low, high)| Range::new(at(low), at(high))),
            curve: curve.collect(),
        })
    }
}
