//! The variance of a soak shared out among its causes.

use quantity::si::{TemperatureInterval, hertz, kelvin, ratio};
use quantity::{Number as _, Value};
use statistics::{CONFIDENCE, chi_squared_quantile};

use super::lines::{Found, lines};
use super::rounded::{self, Rounded};
use super::soak::Soak;
use super::spectra::Spectra;
use super::steps::Levels;
use super::{Cause, DRIFT_BINS, Line, NoiseFrom, Part};

/// Below this share of a step, noise and rounding are no longer two white parts that add up: at 0.6 of a step, together 0.66, what is left of the
/// pattern of the steps is `2 e^(−2π²·0.36)`, less than two thousandths (Bennett 1948, from memory).
const COARSE: f64 = 0.66;
/// With noise of a third of a step, fewer readings than this leap over a level: from `P(|d| > 1.5 q)` with `d` of √2 · q/3, 0.15 %, and more
/// where the mean lies between two levels.
const FEW_LEAPS: f64 = 5e-3;
/// Parts below this share are not told.
const SMALL: f64 = 1e-3;

/// The parts of a swing.
pub(super) struct Told {
    pub parts: Vec<Part>,
    pub noise: Value<TemperatureInterval>,
    pub noise_from: NoiseFrom,
    pub lines: Vec<Line>,
}

/// `steepest` is how fast full power heats, K/s.
pub(super) fn told(
    spectra: &Spectra,
    soak: &Soak<'_>,
    levels: Option<Levels>,
    steepest: Option<f64>,
) -> Told {
    let lines = lines(spectra, steepest);
    let floor = Floor::of(spectra, &lines);
    let white = White::of(spectra, &lines, &floor, soak, levels);
    let of = |cause: Cause| -> f64 {
        let own = lines.iter().filter(|own| own.cause == cause);
        own.map(|own| own.power).sum()
    };
    let (control, unclear) = moved(spectra, &lines, &floor);
    let slow = drift(spectra, &floor, soak.variance);
    // A heater that is switched swings by itself, and may do so more slowly than any drift.
    let (control, slow) = if soak.is_switched {
        (control + slow, 0.0)
    } else {
        (control, slow)
    };
    let known = [
        (Cause::Control, control),
        (Cause::Noise, white.noise),
        (Cause::Steps, white.steps),
        (Cause::Drift, slow),
        (Cause::PickUp, of(Cause::PickUp)),
        (Cause::Regular, of(Cause::Regular) + unclear),
    ];
    let (noise, noise_from) = white.interval(soak.count, &floor);
    Told {
        parts: parts(&known, soak.variance),
        noise,
        noise_from,
        lines: told_lines(&lines),
    }
}

/// Shares of the variance, the largest first, with what none of the causes explains.
fn parts(known: &[(Cause, f64)], variance: f64) -> Vec<Part> {
    let sum: f64 = known.iter().map(|(_, power)| power).sum();
    let rest = (Cause::Rest, (variance - sum).max(0.0));
    let total = variance.max(sum).max(f64::MIN_POSITIVE);
    let mut parts: Vec<Part> = known
        .iter()
        .chain([&rest])
        .filter(|(_, power)| *power > SMALL * total)
        .map(|(cause, power)| Part {
            cause: *cause,
            size: kelvin(power.sqrt()),
            share: ratio(power / total),
        })
        .collect();
    parts.sort_by(|one, other| other.share.base().total_cmp(&one.share.base()));
    parts
}

/// The lines, the strongest first.
fn told_lines(lines: &[Found]) -> Vec<Line> {
    let told = lines.iter().map(|own| Line {
        frequency: hertz(own.frequency),
        size: kelvin(own.power.sqrt()),
        cause: own.cause,
    });
    let mut told: Vec<Line> = told.collect();
    told.sort_by(|one, other| other.size.base().total_cmp(&one.size.base()));
    told
}

/// What the duty moved above the drift, and what stands above the floor and is no line where nobody knows what the duty moved: without
/// a duty or a process that may be its doing.
fn moved(spectra: &Spectra, lines: &[Found], floor: &Floor) -> (f64, f64) {
    let reading = &spectra.reading;
    let (bins, width) = (reading.density.len(), reading.width());
    let Some(moved) = &spectra.moved else {
        let unclear = (DRIFT_BINS..bins)
            .filter(|bin| !in_line(lines, *bin))
            .map(|bin| (reading.density[bin] - floor.density).max(0.0) * width);
        return (0.0, unclear.sum());
    };
    let control = (DRIFT_BINS..bins).map(|bin| moved.density[bin].min(reading.density[bin]) * width);
    (control.sum(), 0.0)
}

/// The variance below the first bins, without their share of the floor.
fn drift(spectra: &Spectra, floor: &Floor, variance: f64) -> f64 {
    let reading = &spectra.reading;
    let quick: f64 = reading.power(DRIFT_BINS, reading.density.len());
    let slow = (variance - quick).max(0.0);
    (slow - floor.density * reading.width() * (DRIFT_BINS as f64 - 0.5)).max(0.0)
}

fn in_line(lines: &[Found], bin: usize) -> bool {
    lines.iter().any(|own| own.holds(bin))
}

/// The level floor of the upper half of the spectrum, where no part of such a machine moves.
struct Floor {
    /// K²/Hz
    density: f64,
    /// How many of its bins hold no line, and how many there are in the half.
    clear: f64,
    half: f64,
    /// From 0 Hz to half of the sample rate, Hz.
    band: f64,
}

impl Floor {
    fn of(spectra: &Spectra, lines: &[Found]) -> Self {
        let bins = spectra.reading.density.len();
        let upper: Vec<f64> = (bins / 2..bins - 1)
            .filter(|bin| !in_line(lines, *bin))
            .map(|bin| spectra.left.density[bin])
            .collect();
        Self {
            density: upper.iter().sum::<f64>() / upper.len().max(1) as f64,
            clear: upper.len() as f64,
            half: bins as f64 / 2.0,
            band: spectra.reading.width() * (bins - 1) as f64,
        }
    }
}

/// White noise and steps, as variances in K².
struct White {
    /// Both together, as the floor tells.
    whole: f64,
    noise: f64,
    steps: f64,
    /// The levels, where the steps are coarser than the noise.
    coarse: Option<Levels>,
    /// What the jumps between coarse levels tell.
    jumps: Option<Rounded>,
}

impl White {
    fn of(
        spectra: &Spectra,
        lines: &[Found],
        floor: &Floor,
        soak: &Soak<'_>,
        levels: Option<Levels>,
    ) -> Self {
        let variance = soak.variance;
        let whole = (floor.density * floor.band).min(variance);
        let steps = levels.map_or(0.0, |levels| (levels.step * levels.step / 12.0).min(whole));
        let coarse = levels.filter(|levels| whole.sqrt() < COARSE * levels.step);
        let jumps = coarse.and_then(|levels| under_steps(spectra, levels.step, lines));
        let (noise, steps) = match jumps {
            Some(found) => {
                let noise = found.noise[1].powi(2).min(variance);
                (noise, (found.left - noise).clamp(0.0, variance - noise))
            }
            // Nobody knows what moved under the steps; readings that keep to one level and its neighbours jump by the steps.
            None if coarse.is_some_and(|levels| soak.leaps(levels.step) < FEW_LEAPS) => (0.0, whole),
            None => (whole - steps, steps),
        };
        Self {
            whole,
            noise,
            steps,
            coarse,
            jumps,
        }
    }

    /// The noise of a soak of so many readings with its 95 % interval, and how it was told.
    fn interval(&self, count: usize, floor: &Floor) -> (Value<TemperatureInterval>, NoiseFrom) {
        if let Some(found) = self.jumps {
            let [low, middle, high] = found.noise.map(kelvin);
            let from = if found.noise[0] > 0.0 {
                NoiseFrom::Jumps
            } else {
                NoiseFrom::Hidden
            };
            return (Value::between(low, middle, high), from);
        }
        let middle = kelvin(self.noise.sqrt());
        let tail = (1.0 - CONFIDENCE) / 2.0;
        let bound = |share| self.bound(share, count, floor);
        match self.coarse {
            // Without a process nobody knows what moved under the steps. All that is seen may be noise, or none of it; and readings that keep to
            // one level may hide a good part of half a step.
            Some(levels) => {
                let high = bound(tail).larger(kelvin(levels.step / 2.0));
                (Value::between(kelvin(0.0), middle, high), NoiseFrom::Hidden)
            }
            None => {
                let all = Value::between(bound(1.0 - tail), middle, bound(tail));
                (all, NoiseFrom::Floor)
            }
        }
    }

    /// A bound of the noise by the floor. Half of the band has half of the degrees of freedom, less what neighbours in a window share.
    fn bound(&self, share: f64, count: usize, floor: &Floor) -> TemperatureInterval {
        let freedom = 0.45 * count as f64 * floor.clear / floor.half;
        let squared = self.whole * freedom / chi_squared_quantile(share, freedom.max(1.0));
        kelvin((squared - self.steps).max(0.0).sqrt())
    }
}

/// Noise under coarse steps, and what the steps make of it.
fn under_steps(spectra: &Spectra, step: f64, lines: &[Found]) -> Option<Rounded> {
    spectra.moved.as_ref()?;
    let mut lines: Vec<&Found> = lines.iter().collect();
    lines.sort_by(|one, other| other.power.total_cmp(&one.power));
    // More than a few would leave nothing to the noise; weak ones that are left out count as noise.
    let strongest: Vec<f64> = lines.iter().take(2).map(|own| own.frequency).collect();
    rounded::rounded(&spectra.samples, step, &strongest)
}
