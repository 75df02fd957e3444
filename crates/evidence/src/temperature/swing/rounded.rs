//! White noise under steps that are coarser than it: by likelihood, since the spectrum then shows the steps and not the noise.
//!
//! Rounding adds `q²/12` of white noise only where the noise itself is wider than about half a step (Bennett 1948). Below, readings stand
//! still and jump, and how often they jump depends on where the temperature lies between two levels. So the course of the temperature is
//! fitted along with the noise: each reading says that course and noise together lay within half a step of its level.

use nalgebra::{DMatrix, DVector};
use statrs::function::erf::erfc;

use statistics::{CONFIDENCE, chi_squared_quantile};

/// A reading: time (s), level (K), what the duty moved (K).
pub(super) type Sample = [f64; 3];

/// What was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rounded {
    /// Noise before rounding, K: lower bound, estimate, upper bound at 95 %.
    pub noise: [f64; 3],
    /// Variance of what the course does not explain, noise and steps together, K².
    pub left: f64,
}

/// At most so many samples are looked at.
pub(super) const MOST: usize = 4_000;
/// Noise is looked for between these shares of a step.
const BETWEEN: [f64; 2] = [0.03, 2.0];
/// Values tried between them.
const TRIED: u32 = 18;
/// Noise narrower than this share of a step is not told from errors of the course; tried on invented logs.
const HIDDEN: f64 = 0.3;
/// How uncertain the course is, as a share of a step; tried on invented logs.
const UNSURE: f64 = 0.15;
/// The course bends at most this often, s: slower than noise, quicker than drift.
const BEND: f64 = 150.0;

/// The noise under steps of `step`; `lines` are frequencies (Hz) that the course may swing at besides what the duty moved.
///
/// Nothing where the likelihood has no peak that can be found.
pub(super) fn rounded(samples: &[Sample], step: f64, lines: &[f64]) -> Option<Rounded> {
    let course = Course::of(samples, lines)?;
    let mut search = Search {
        course,
        samples,
        step,
        at: DVector::zeros(0),
    };
    search.at = search.course.least_squares(samples)?;
    let (low, high) = ((BETWEEN[0] * step).ln(), (BETWEEN[1] * step).ln());
    let width = (high - low) / f64::from(TRIED);
    // From wide to narrow, each from the course of the one before.
    let mut tried = Vec::new();
    for at in 0..=TRIED {
        let place = high - width * f64::from(at);
        tried.push((place, search.likelihood(place)?, search.at.clone()));
    }
    let best = tried.iter().max_by(|one, other| one.1.total_cmp(&other.1))?;
    search.at.clone_from(&best.2);
    let (place, top) = search.highest(best.0 - width, best.0 + width)?;
    let below = top - chi_squared_quantile(CONFIDENCE, 1.0) / 2.0;
    let start = search.at.clone();
    let upper = search.crossing(place, high, below)?;
    search.at = start.clone();
    let lower = search.crossing(place, low, below)?;
    search.at = start;
    search.likelihood(place)?;
    // The likelihood counts on the course of the process, which the steps make uncertain too: a noise that is no wider than that is hidden.
    let hidden = lower.exp() < HIDDEN * step;
    let noise = if hidden {
        [0.0, place.exp(), upper.exp().hypot(UNSURE * step)]
    } else {
        [lower.exp(), place.exp(), upper.exp()]
    };
    Some(Rounded {
        noise,
        left: search.course.left(samples, &search.at),
    })
}

/// The course: straight between knots, each with a swing at every line whose size and phase go straight from knot to knot, too.
struct Course {
    /// For each sample, the knot before it, how far it is on the way to the next, and cosine and sine of each line.
    places: Vec<(usize, f64)>,
    waves: Vec<f64>,
    /// Values at a knot: 1 and two for each line.
    per_knot: usize,
    knots: usize,
}

impl Course {
    fn of(samples: &[Sample], lines: &[f64]) -> Option<Self> {
        let (first, last) = (samples.first()?[0], samples.last()?[0]);
        let duration = last - first;
        if duration <= 0.0 {
            return None;
        }
        let spacing = (duration / 12.0).min(BEND);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most the number of samples"
        )]
        let knots = ((duration / spacing).ceil() as usize).min(samples.len() / 20) + 1;
        if knots < 2 {
            return None;
        }
        let spacing = duration / (knots - 1) as f64;
        let per_knot = 1 + 2 * lines.len();
        let mut waves = Vec::with_capacity(samples.len() * per_knot);
        let mut places = Vec::with_capacity(samples.len());
        for [time, _, _] in samples {
            let along = (time - first) / spacing;
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a knot")]
            let knot = (along.floor() as usize).min(knots - 2);
            places.push((knot, along - knot as f64));
            waves.push(1.0);
            for line in lines {
                let (sine, cosine) = (core::f64::consts::TAU * line * time).sin_cos();
                waves.extend([cosine, sine]);
            }
        }
        Some(Self {
            places,
            waves,
            per_knot,
            knots,
        })
    }

    fn size(&self) -> usize {
        self.knots * self.per_knot
    }

    /// Value of the course at a sample.
    fn at(&self, sample: usize, values: &DVector<f64>) -> f64 {
        let (knot, way) = self.places[sample];
        let waves = &self.waves[sample * self.per_knot..(sample + 1) * self.per_knot];
        let begin = knot * self.per_knot;
        waves
            .iter()
            .enumerate()
            .map(|(own, wave)| {
                wave * ((1.0 - way) * values[begin + own] + way * values[begin + self.per_knot + own])
            })
            .sum()
    }

    /// Adds a sample's share to gradient and information.
    fn add(
        &self,
        sample: usize,
        slope: f64,
        weight: f64,
        gradient: &mut DVector<f64>,
        information: &mut DMatrix<f64>,
    ) {
        let (knot, way) = self.places[sample];
        let waves = &self.waves[sample * self.per_knot..(sample + 1) * self.per_knot];
        let begin = knot * self.per_knot;
        let factor = |at: usize| -> f64 {
            let share = if at < self.per_knot { 1.0 - way } else { way };
            share * waves[at % self.per_knot]
        };
        for one in 0..2 * self.per_knot {
            let own = factor(one);
            gradient[begin + one] += slope * own;
            for other in 0..=one {
                information[(begin + one, begin + other)] += weight * own * factor(other);
            }
        }
    }

    fn least_squares(&self, samples: &[Sample]) -> Option<DVector<f64>> {
        let mut gradient = DVector::zeros(self.size());
        let mut information = DMatrix::zeros(self.size(), self.size());
        for (at, [_, reading, moved]) in samples.iter().enumerate() {
            self.add(at, reading - moved, 1.0, &mut gradient, &mut information);
        }
        Some(information.cholesky()?.solve(&gradient))
    }

    /// Variance of readings around the course.
    fn left(&self, samples: &[Sample], values: &DVector<f64>) -> f64 {
        let squares: f64 = samples
            .iter()
            .enumerate()
            .map(|(at, [_, reading, moved])| (reading - moved - self.at(at, values)).powi(2))
            .sum();
        squares / samples.len() as f64
    }
}

struct Search<'s> {
    course: Course,
    samples: &'s [Sample],
    step: f64,
    /// The likeliest course so far; the next search begins there.
    at: DVector<f64>,
}

impl Search<'_> {
    /// Logarithm of the likelihood of a noise (its logarithm), over all courses: at the likeliest one, with the room that the others have
    /// (Laplace's approximation), since a course with many knots would take part of the noise for itself.
    fn likelihood(&mut self, noise: f64) -> Option<f64> {
        let noise = noise.exp();
        let mut here = self.sum(noise, &self.at);
        for _ in 0..30 {
            let (gradient, information) = self.slopes(noise);
            let step = information.cholesky()?.solve(&gradient);
            let foreseen = gradient.dot(&step);
            let mut share = 1.0;
            loop {
                let next = &self.at + &step * share;
                let reached = self.sum(noise, &next);
                if reached >= here || share < 1e-3 {
                    if reached >= here {
                        self.at = next;
                        here = reached;
                    }
                    break;
                }
                share /= 2.0;
            }
            if foreseen < 1e-6 {
                break;
            }
        }
        let (_, information) = self.slopes(noise);
        let spread: f64 = information
            .cholesky()?
            .l()
            .diagonal()
            .iter()
            .map(|own| own.ln())
            .sum();
        let out = here - spread;
        out.is_finite().then_some(out)
    }

    fn sum(&self, noise: f64, values: &DVector<f64>) -> f64 {
        let of = |(at, sample): (usize, &Sample)| self.chance(at, sample, noise, values)[0].ln();
        self.samples.iter().enumerate().map(of).sum()
    }

    fn slopes(&self, noise: f64) -> (DVector<f64>, DMatrix<f64>) {
        let size = self.course.size();
        let (mut gradient, mut information) = (DVector::zeros(size), DMatrix::zeros(size, size));
        // A trace, so that a stretch that tells nothing of its course leaves it where it is.
        for at in 0..size {
            information[(at, at)] = 1e-9;
        }
        for (at, sample) in self.samples.iter().enumerate() {
            let [_, slope, weight] = self.chance(at, sample, noise, &self.at);
            self.course
                .add(at, slope, weight, &mut gradient, &mut information);
        }
        (gradient, information)
    }

    /// Chance of a reading, first derivative of its logarithm by the course, and second derivative with its sign turned.
    fn chance(&self, at: usize, [_, reading, moved]: &Sample, noise: f64, values: &DVector<f64>) -> [f64; 3] {
        // Beyond this the chance is no number any more; such a reading is an outlier, and pulls no further.
        const FAR: f64 = 30.0;
        let off = reading - moved - self.course.at(at, values);
        let half = self.step / 2.0;
        // By symmetry on the upper side, where small chances keep their digits.
        let (side, off) = if off < 0.0 { (-1.0, -off) } else { (1.0, off) };
        let below = ((off - half) / noise).min(FAR);
        let above = (off + half) / noise;
        let tail = |at: f64| 0.5 * erfc(at * core::f64::consts::FRAC_1_SQRT_2);
        let density = |at: f64| (-0.5 * at * at).exp() * 0.398_942_280_401_432_7;
        let chance = (tail(below) - tail(above)).max(1e-300);
        let (low, high) = (density(below), density(above));
        let slope = (low - high) / chance;
        let weight = slope * slope + (above * high - below * low) / chance;
        [chance, side * slope / noise, (weight / (noise * noise)).max(0.0)]
    }

    /// The highest likelihood between two noises, by the golden section.
    fn highest(&mut self, mut low: f64, mut high: f64) -> Option<(f64, f64)> {
        const GOLDEN: f64 = 0.618_033_988_749_894_9;
        let mut one = high - GOLDEN * (high - low);
        let mut other = low + GOLDEN * (high - low);
        let (mut of_one, mut of_other) = (self.likelihood(one)?, self.likelihood(other)?);
        while high - low > 0.01 {
            if of_one >= of_other {
                high = other;
                (other, of_other) = (one, of_one);
                one = high - GOLDEN * (high - low);
                of_one = self.likelihood(one)?;
            } else {
                low = one;
                (one, of_one) = (other, of_other);
                other = low + GOLDEN * (high - low);
                of_other = self.likelihood(other)?;
            }
        }
        Some(if of_one >= of_other {
            (one, of_one)
        } else {
            (other, of_other)
        })
    }

    /// Where the likelihood falls to a level on the way from its top to a bound; the bound where it never does.
    fn crossing(&mut self, top: f64, bound: f64, level: f64) -> Option<f64> {
        let (mut inside, mut outside, mut width) = (top, top, 0.1);
        loop {
            outside = if bound > top {
                (outside + width).min(bound)
            } else {
                (outside - width).max(bound)
            };
            if self.likelihood(outside)? < level {
                break;
            }
            if (outside - bound).abs() < 1e-12 {
                return Some(bound);
            }
            inside = outside;
            width *= 1.6;
        }
        while (outside - inside).abs() > 0.005 {
            let middle = f64::midpoint(inside, outside);
            if self.likelihood(middle)? < level {
                outside = middle;
            } else {
                inside = middle;
            }
        }
        Some(outside)
    }
}
