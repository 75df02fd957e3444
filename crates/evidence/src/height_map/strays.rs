//! Touches that stray: so far from the others of their place, or from the smooth surface of their neighbours, that they say nothing about the bed.
//!
//! One such touch swells the noise of all and bends the surface. It is named with its line and left out of the shape; what the map
//! would say with it is told beside. Noise is measured by medians, which a few wild touches do not move.

use nalgebra::DVector;

use super::surface::{Smoothing, Surface};
use super::{MOST_PLACES, Place, Touch, Visits, mm, visits};
use statistics::median;

/// A touch that strays.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stray {
    /// Its place among the touches as given.
    pub touch: usize,
    /// Where it was touched, millimetres.
    pub at: [f64; 2],
    /// How much higher it lies than its witness says, millimetres.
    pub off: f64,
    /// That in deviations of the robust noise; infinite where the others do not scatter at all.
    pub times: f64,
    /// What it is held against.
    pub witness: Witness,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What a stray touch is held against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Witness {
    /// At least two other touches of the same place: the bed itself is no excuse.
    SamePlace,
    /// The surface of the neighbouring places: a narrow dent or bump of the bed would look the same.
    Neighbours,
}

/// The touches that stray, the farthest first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Strays {
    /// Each of them.
    pub found: Vec<Stray>,
    /// Whether there are any that are left out of the shape: not where they are too many to be single mishaps.
    pub left_out: bool,
}

/// Farther from the other touches of its place than so many deviations is no noise: by chance one in 10¹⁵ of normal touches.
const FAR: f64 = 8.0;
/// The same from the surface of neighbours, which beds leave more often than noise leaves its deviation.
const FAR_FROM_SURFACE: f64 = 12.0;
/// Fewer spare touches than this do not tell a robust deviation.
const LEAST_FREEDOM: usize = 10;
/// Fewer places than this do not tell how smooth a bed is.
const LEAST_PLACES: usize = 16;
/// A median of absolute deviations is so much smaller than the standard deviation of a normal distribution.
const MEDIAN_TO_DEVIATION: f64 = 1.482_602_2;

/// Looks for touches that stray. More than a tenth of all are no mishaps but the way this bed is touched: none is left out then.
///
/// # Source
/// Median absolute deviation: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.6 and 1.3.5.17 (from memory).
pub(super) fn strays(touches: &[Touch], sorted: &Visits) -> Strays {
    let spare = touches.len() + 1 - sorted.places.len().min(touches.len());
    let mut found = if spare > LEAST_FREEDOM + sorted.shifts.len() {
        of_places(touches, sorted)
    } else {
        of_neighbours(touches, sorted)
    };
    found.sort_by(|one, other| other.times.total_cmp(&one.times));
    Strays {
        left_out: !found.is_empty() && found.len() <= most(touches.len()),
        found,
    }
}

/// The touches that are kept, each with the visit that it was sorted into among all.
pub(super) fn without(touches: &[Touch], sorted: &Visits, strays: &Strays) -> Vec<Touch> {
    let is_out = |at: usize| strays.left_out && strays.found.iter().any(|stray| stray.touch == at);
    (0..touches.len())
        .filter(|at| !is_out(*at))
        .map(|at| Touch {
            visit: Some(sorted.of[at].1 as u32),
            ..touches[at]
        })
        .collect()
}

fn most(touches: usize) -> usize {
    (touches / 10).max(1)
}

fn stray(touches: &[Touch], touch: usize, off: f64, scale: f64, witness: Witness) -> Stray {
    let own = &touches[touch];
    Stray {
        touch,
        at: [mm(own.at.x), mm(own.at.y)],
        off,
        times: off.abs() / scale,
        witness,
        line: own.line,
    }
}

/// Each touch against the others of its place.
fn of_places(touches: &[Touch], sorted: &Visits) -> Vec<Stray> {
    let mut of_place: Vec<Vec<usize>> = vec![Vec::new(); sorted.places.len()];
    let mut of_visit: Vec<Vec<usize>> = vec![Vec::new(); sorted.shifts.len()];
    for (touch, (place, visit)) in sorted.of.iter().enumerate() {
        of_place[*place].push(touch);
        of_visit[*visit].push(touch);
    }
    // Medians of places and of visits in turn: a wild touch shifts neither.
    let heights: Vec<f64> = touches.iter().map(|t| mm(t.height)).collect();
    let mut shifts = vec![0.0; of_visit.len()];
    let mut middles = vec![0.0; of_place.len()];
    for _ in 0..10 {
        for (middle, own) in middles.iter_mut().zip(&of_place) {
            let level: Vec<f64> = own
                .iter()
                .map(|t| heights[*t] - shifts[sorted.of[*t].1])
                .collect();
            *middle = median(&level);
        }
        for (shift, own) in shifts.iter_mut().zip(&of_visit) {
            let off: Vec<f64> = own
                .iter()
                .filter(|t| of_place[sorted.of[**t].0].len() > 1)
                .map(|t| heights[*t] - middles[sorted.of[*t].0])
                .collect();
            if !off.is_empty() {
                *shift = median(&off);
            }
        }
    }
    let level = |touch: usize| heights[touch] - shifts[sorted.of[touch].1];
    let differences: Vec<f64> = of_place
        .iter()
        .filter(|own| own.len() > 1)
        .flat_map(|own| {
            // Two touches differ once, more of them each from the next, round in a ring.
            let pairs = if own.len() == 2 { 1 } else { own.len() };
            (0..pairs).map(|at| (level(own[at]) - level(own[(at + 1) % own.len()])).abs())
        })
        .collect();
    let scale = robust(&differences, step(&heights)) / 2.0_f64.sqrt();
    let mut found = Vec::new();
    let mut doubtful = Vec::new();
    for (place, own) in of_place.iter().enumerate() {
        match own[..] {
            [one, other] if (level(one) - level(other)).abs() > 2.0_f64.sqrt() * FAR * scale => {
                doubtful.push((place, one, other));
            }
            [_, _, _, ..] => found.extend(
                own.iter()
                    .map(|t| (*t, level(*t) - middles[place]))
                    .filter(|(_, off)| off.abs() > FAR * scale)
                    .map(|(t, off)| stray(touches, t, off, scale, Witness::SamePlace)),
            ),
            _ => {}
        }
    }
    if doubtful.is_empty() || doubtful.len() > most(touches.len()) {
        // Many pairs that disagree need no neighbours to be too many.
        let pairs = doubtful.iter();
        found.extend(pairs.map(|(_, one, other)| {
            stray(
                touches,
                *one,
                level(*one) - level(*other),
                scale,
                Witness::Neighbours,
            )
        }));
        return found;
    }
    // Of two that disagree, the neighbours tell which is the wrong one.
    let kept: Vec<Place> = sorted
        .places
        .iter()
        .enumerate()
        .filter(|(at, _)| doubtful.iter().all(|(place, ..)| place != at))
        .map(|(at, place)| Place {
            height: middles[at],
            ..*place
        })
        .collect();
    let Some(surface) = surface_of(&visits::joined(&kept, MOST_PLACES)) else {
        return found;
    };
    for (place, one, other) in doubtful {
        let told = surface.at(sorted.places[place].x, sorted.places[place].y);
        let (wrong, right) = if (level(one) - told).abs() > (level(other) - told).abs() {
            (one, other)
        } else {
            (other, one)
        };
        found.push(stray(
            touches,
            wrong,
            level(wrong) - level(right),
            scale,
            Witness::Neighbours,
        ));
    }
    found
}

/// Each place that was touched once against the surface of the others.
fn of_neighbours(touches: &[Touch], sorted: &Visits) -> Vec<Stray> {
    if sorted.places.len() < LEAST_PLACES {
        return Vec::new();
    }
    let mut found = Vec::new();
    let mut kept: Vec<usize> = (0..sorted.places.len()).collect();
    while found.len() <= most(touches.len()) {
        let places: Vec<Place> = kept.iter().map(|at| sorted.places[*at]).collect();
        let Some((at, off, scale)) = farthest(&places) else {
            break;
        };
        let place = kept.remove(at);
        let mut own = (0..touches.len()).filter(|t| sorted.of[*t].0 == place);
        let (Some(touch), None) = (own.next(), own.next()) else {
            // Several touches agree on it: that is the bed.
            continue;
        };
        found.push(stray(touches, touch, off, scale, Witness::Neighbours));
    }
    found
}

fn surface_of(places: &[Place]) -> Option<Surface> {
    let points: Vec<[f64; 2]> = places.iter().map(|p| [p.x, p.y]).collect();
    let heights: Vec<f64> = places.iter().map(|p| p.height).collect();
    Surface::fit(&points, &heights, Smoothing::Found)
}

/// The place that lies farthest from what the others foretell, where that is too far: which, how far, and the deviation it is held against.
fn farthest(places: &[Place]) -> Option<(usize, f64, f64)> {
    if places.len() < LEAST_PLACES {
        return None;
    }
    let heights: Vec<f64> = places.iter().map(|p| p.height).collect();
    let by_size = |values: &[f64]| {
        (0..values.len()).max_by(|one, other| values[*one].abs().total_cmp(&values[*other].abs()))
    };
    if places.len() > MOST_PLACES {
        // Neighbours are joined into one place of the surface, which a single touch then bends little.
        let surface = surface_of(&visits::joined(places, MOST_PLACES))?;
        let off: Vec<f64> = places.iter().map(|p| p.height - surface.at(p.x, p.y)).collect();
        let at = by_size(&off)?;
        let scale = robust(&off, step(&heights));
        return (off[at].abs() > FAR_FROM_SURFACE * scale).then_some((at, off[at], scale));
    }
    let off = foretold(places, surface_of(places)?.smoothing)?;
    let scaled = |(off, spread): &(f64, f64)| off / spread;
    let candidate = by_size(&off.iter().map(scaled).collect::<Vec<_>>())?;
    // Smoothed as the others ask: the touch itself may have spoilt the smoothing.
    let mut others = places.to_vec();
    others.remove(candidate);
    let smoothing = surface_of(&others)?.smoothing;
    let of_others: Vec<f64> = foretold(&others, smoothing)?.iter().map(scaled).collect();
    let scale = robust(&of_others, f64::INFINITY);
    let (off, spread) = foretold(places, smoothing)?[candidate];
    (off.abs() > FAR_FROM_SURFACE * scale * spread).then_some((candidate, off, scale * spread))
}

/// For each place how much higher it lies than the surface through all others has it, and how widely that scatters, up to one factor
/// for all.
///
/// # Source
/// O. Dubrule, Mathematical Geology 15 (1983) 687: leaving out one place at a time, without fitting anew (from memory).
fn foretold(places: &[Place], smoothing: f64) -> Option<Vec<(f64, f64)>> {
    let points: Vec<[f64; 2]> = places.iter().map(|p| [p.x, p.y]).collect();
    let heights: Vec<f64> = places.iter().map(|p| p.height).collect();
    let response = Surface::fit(&points, &heights, Smoothing::Fixed(smoothing))?.response(smoothing)?;
    let weights = &response * DVector::from_vec(heights);
    let each = (0..places.len()).map(|at| {
        let own = response[(at, at)].max(f64::MIN_POSITIVE);
        (weights[at] / own, own.sqrt().recip())
    });
    Some(each.collect())
}

/// A size below this, in millimetres, is rounding.
const ROUNDING: f64 = 1e-9;

/// The deviation of values about nothing by the median of their sizes; where half of them are nothing, the step of the readings.
fn robust(values: &[f64], step: f64) -> f64 {
    let sizes: Vec<f64> = values.iter().map(|v| v.abs()).collect();
    let middle = median(&sizes);
    if middle > ROUNDING {
        MEDIAN_TO_DEVIATION * middle
    } else {
        step
    }
}

/// The smallest difference between readings; infinite where all are alike.
fn step(heights: &[f64]) -> f64 {
    let mut sorted = heights.to_vec();
    sorted.sort_by(f64::total_cmp);
    let gaps = sorted.windows(2).map(|pair| pair[1] - pair[0]);
    gaps.filter(|gap| *gap > ROUNDING).fold(f64::INFINITY, f64::min)
}
