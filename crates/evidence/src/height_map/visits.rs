//! Places touched again and again: what each visit shifted as a whole, and the noise that is left.

use statistics::{CONFIDENCE, Estimate, standard_deviation_interval};

use super::Touch;
use crate::lengths::mm;

/// A place with the mean of its touches, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// To the right.
    pub x: f64,
    /// To the back.
    pub y: f64,
    /// Mean height, each visit's shift taken off.
    pub height: f64,
    /// How many touches.
    pub touches: usize,
}

/// The noise of a single touch, from repeated visits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// Standard deviation, in millimetres.
    pub deviation: f64,
    /// Its degrees of freedom.
    pub freedom: f64,
    /// With its interval at 95 %.
    pub interval: Estimate,
}

/// Touches sorted into places and visits.
#[derive(Clone, Debug, PartialEq)]
pub struct Visits {
    /// Each place once, in the order of its first touch.
    pub places: Vec<Place>,
    /// The shift of each visit against their mean, in millimetres, in the order of the visits.
    pub shifts: Vec<f64>,
    /// The noise; nothing where no place was touched twice.
    pub noise: Option<Noise>,
    /// For each touch: its place and its visit.
    pub of: Vec<(usize, usize)>,
}

/// Touches nearer to each other than this, in millimetres, are at one place: far below what a probe can tell apart.
const SAME_PLACE: f64 = 0.02;

/// Sorts touches. Height = place + shift of the visit + noise, fitted by least squares, so that a visit may be incomplete.
pub(super) fn visits(touches: &[Touch]) -> Visits {
    let (mut places, of, count) = sorted(touches);
    let heights: Vec<f64> = touches.iter().map(|t| mm(t.height)).collect();
    let shifts = shifts(&mut places, &of, &heights, count);
    let noise = noise(&places, &shifts, &of, &heights);
    Visits {
        places,
        shifts,
        noise,
        of,
    }
}

/// The places without their heights; the place and the visit of each touch; how many visits there are.
fn sorted(touches: &[Touch]) -> (Vec<Place>, Vec<(usize, usize)>, usize) {
    let mut places: Vec<Place> = Vec::new();
    let mut of: Vec<(usize, usize)> = Vec::new();
    let mut names: Vec<u32> = Vec::new();
    for touch in touches {
        let (x, y) = (mm(touch.at.x), mm(touch.at.y));
        let near = |p: &Place| (p.x - x).abs() < SAME_PLACE && (p.y - y).abs() < SAME_PLACE;
        let place = places.iter().position(near).unwrap_or_else(|| {
            places.push(Place {
                x,
                y,
                height: 0.0,
                touches: 0,
            });
            places.len() - 1
        });
        let name = touch.visit.unwrap_or(places[place].touches as u32);
        places[place].touches += 1;
        let visit = names.iter().position(|own| *own == name).unwrap_or_else(|| {
            names.push(name);
            names.len() - 1
        });
        of.push((place, visit));
    }
    (places, of, names.len())
}

/// Heights of places and shifts of visits: means of either in turn, a descent to the least squares, exact at once where all visits are
/// complete.
fn shifts(places: &mut [Place], of: &[(usize, usize)], heights: &[f64], count: usize) -> Vec<f64> {
    let mut shifts = vec![0.0; count];
    let mut of_visit = vec![0.0; count];
    for (_, visit) in of {
        of_visit[*visit] += 1.0;
    }
    for _ in 0..200 {
        for place in places.iter_mut() {
            place.height = 0.0;
        }
        for ((place, visit), height) in of.iter().zip(heights) {
            places[*place].height += (height - shifts[*visit]) / places[*place].touches as f64;
        }
        let mut next = vec![0.0; count];
        for ((place, visit), height) in of.iter().zip(heights) {
            next[*visit] += (height - places[*place].height) / of_visit[*visit];
        }
        let middle = next.iter().sum::<f64>() / count.max(1) as f64;
        let mut moved = 0.0_f64;
        for (new, old) in next.iter_mut().zip(&shifts) {
            *new -= middle;
            moved = moved.max((*new - old).abs());
        }
        shifts = next;
        if moved < 1e-9 {
            break;
        }
    }
    shifts
}

fn noise(places: &[Place], shifts: &[f64], of: &[(usize, usize)], heights: &[f64]) -> Option<Noise> {
    let freedom = of.len() as f64 - places.len() as f64 - (shifts.len() as f64 - 1.0);
    if freedom < 1.0 {
        return None;
    }
    let sum: f64 = of
        .iter()
        .zip(heights)
        .map(|((place, visit), height)| (height - places[*place].height - shifts[*visit]).powi(2))
        .sum();
    let deviation = (sum / freedom).sqrt();
    Some(Noise {
        deviation,
        freedom,
        interval: standard_deviation_interval(deviation, freedom, CONFIDENCE),
    })
}

/// Joins neighbours into the cells of a lattice until at most `most` places are left.
pub(super) fn joined(places: &[Place], most: usize) -> Vec<Place> {
    if places.len() <= most {
        return places.to_vec();
    }
    let side = (most as f64).sqrt() as usize;
    let bounds = super::grid::bounds(places);
    let cell = |value: f64, low: f64, high: f64| {
        let share = (value - low) / (high - low).max(f64::MIN_POSITIVE);
        ((share * side as f64) as usize).min(side - 1)
    };
    let mut cells: Vec<Vec<&Place>> = vec![Vec::new(); side * side];
    for place in places {
        let column = cell(place.x, bounds[0], bounds[1]);
        let row = cell(place.y, bounds[2], bounds[3]);
        cells[row * side + column].push(place);
    }
    let mean = |cell: &Vec<&Place>, of: fn(&Place) -> f64| {
        cell.iter().map(|p| of(p)).sum::<f64>() / cell.len() as f64
    };
    cells
        .iter()
        .filter(|cell| !cell.is_empty())
        .map(|cell| Place {
            x: mean(cell, |p| p.x),
            y: mean(cell, |p| p.y),
            height: mean(cell, |p| p.height),
            touches: cell.iter().map(|p| p.touches).sum(),
        })
        .collect()
}
