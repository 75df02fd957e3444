//! Each place that was touched once against the surface of the others.

use nalgebra::DVector;

use super::{Stray, Witness, most, robust, step, stray};
use crate::height_map::surface::{Smoothing, Surface};
use crate::height_map::{MOST_PLACES, Place, Touch, Visits, visits};

/// Farther from the surface of its neighbours than so many deviations is no noise: more than from other touches of the place, since beds
/// leave the surface more often than noise leaves its deviation.
const FAR_FROM_SURFACE: f64 = 12.0;
/// Fewer places than this do not tell how smooth a bed is.
const LEAST_PLACES: usize = 16;

/// Each place that was touched once against the surface of the others.
pub(super) fn strays(touches: &[Touch], sorted: &Visits) -> Vec<Stray> {
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

pub(super) fn surface_of(places: &[Place]) -> Option<Surface> {
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
