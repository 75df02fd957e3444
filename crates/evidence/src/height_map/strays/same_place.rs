//! Each touch against the others of its place.

use core::f64::consts::SQRT_2;

use statistics::median;

use super::neighbours::surface_of;
use super::{Stray, Witness, most, robust, step, stray};
use crate::height_map::{MOST_PLACES, Place, Touch, Visits, visits};
use crate::lengths::mm;

/// Farther from the other touches of its place than so many deviations is no noise: by chance one in 10¹⁵ of normal touches.
const FAR: f64 = 8.0;

pub(super) fn strays(touches: &[Touch], sorted: &Visits) -> Vec<Stray> {
    let bed = Levelled::of(touches, sorted);
    let mut found = Vec::new();
    let mut doubtful = Vec::new();
    for (place, own) in bed.of_place.iter().enumerate() {
        match own[..] {
            [one, other] if bed.apart(one, other).abs() > SQRT_2 * FAR * bed.scale => {
                doubtful.push((place, one, other));
            }
            [_, _, _, ..] => found.extend(bed.far_from_the_middle(place)),
            _ => {}
        }
    }
    if doubtful.is_empty() {
        return found;
    }
    let wrong = if doubtful.len() > most(touches.len()) {
        // Many pairs that disagree need no neighbours to be too many.
        doubtful.iter().map(|(_, one, other)| (*one, *other)).collect()
    } else {
        bed.told_by_neighbours(&doubtful).unwrap_or_default()
    };
    found.extend(wrong.into_iter().map(|(wrong, right)| {
        stray(
            touches,
            wrong,
            bed.apart(wrong, right),
            bed.scale,
            Witness::Neighbours,
        )
    }));
    found
}

/// Touches with the shift of their visits taken off, by medians.
struct Levelled<'t> {
    touches: &'t [Touch],
    sorted: &'t Visits,
    heights: Vec<f64>,
    shifts: Vec<f64>,
    middles: Vec<f64>,
    of_place: Vec<Vec<usize>>,
    /// Robust deviation of a single touch.
    scale: f64,
}

impl<'t> Levelled<'t> {
    fn of(touches: &'t [Touch], sorted: &'t Visits) -> Self {
        let mut of_place: Vec<Vec<usize>> = vec![Vec::new(); sorted.places.len()];
        for (touch, (place, _)) in sorted.of.iter().enumerate() {
            of_place[*place].push(touch);
        }
        let mut bed = Self {
            touches,
            sorted,
            heights: touches.iter().map(|t| mm(t.height)).collect(),
            shifts: vec![0.0; sorted.shifts.len()],
            middles: vec![0.0; of_place.len()],
            of_place,
            scale: f64::NAN,
        };
        // In turn: a wild touch shifts neither.
        for _ in 0..10 {
            bed.middles = bed.of_place.iter().map(|own| bed.middle(own)).collect();
            bed.shift();
        }
        bed.scale = robust(&bed.differences(), step(&bed.heights)) / SQRT_2;
        bed
    }

    fn level(&self, touch: usize) -> f64 {
        self.heights[touch] - self.shifts[self.sorted.of[touch].1]
    }

    fn apart(&self, one: usize, other: usize) -> f64 {
        self.level(one) - self.level(other)
    }

    fn middle(&self, touches: &[usize]) -> f64 {
        let levels: Vec<f64> = touches.iter().map(|t| self.level(*t)).collect();
        median(&levels)
    }

    /// Each visit's shift, by the places that have other touches too.
    fn shift(&mut self) {
        let mut off: Vec<Vec<f64>> = vec![Vec::new(); self.shifts.len()];
        for (touch, (place, visit)) in self.sorted.of.iter().enumerate() {
            if self.of_place[*place].len() > 1 {
                off[*visit].push(self.heights[touch] - self.middles[*place]);
            }
        }
        for (shift, off) in self.shifts.iter_mut().zip(&off) {
            if !off.is_empty() {
                *shift = median(off);
            }
        }
    }

    /// Differences of touches at one place: two touches differ once, more of them each from the next, round in a ring.
    fn differences(&self) -> Vec<f64> {
        let several = self.of_place.iter().filter(|own| own.len() > 1);
        several
            .flat_map(|own| {
                let pairs = if own.len() == 2 { 1 } else { own.len() };
                (0..pairs).map(|at| self.apart(own[at], own[(at + 1) % own.len()]).abs())
            })
            .collect()
    }

    fn far_from_the_middle(&self, place: usize) -> impl Iterator<Item = Stray> + '_ {
        let off = move |touch: &usize| (*touch, self.level(*touch) - self.middles[place]);
        let all = self.of_place[place].iter().map(off);
        all.filter(|(_, off)| off.abs() > FAR * self.scale)
            .map(|(touch, off)| stray(self.touches, touch, off, self.scale, Witness::SamePlace))
    }

    /// Of two that disagree, which is the wrong one and which the right, by the surface of the other places.
    fn told_by_neighbours(&self, doubtful: &[(usize, usize, usize)]) -> Option<Vec<(usize, usize)>> {
        let is_doubtful = |at: usize| doubtful.iter().any(|(place, ..)| *place == at);
        let kept: Vec<Place> = (0..self.middles.len())
            .filter(|at| !is_doubtful(*at))
            .map(|at| Place {
                height: self.middles[at],
                ..self.sorted.places[at]
            })
            .collect();
        let surface = surface_of(&visits::joined(&kept, MOST_PLACES))?;
        let told = doubtful.iter().map(|(place, one, other)| {
            let own = &self.sorted.places[*place];
            let told = surface.at(own.x, own.y);
            if (self.level(*one) - told).abs() > (self.level(*other) - told).abs() {
                (*one, *other)
            } else {
                (*other, *one)
            }
        });
        Some(told.collect())
    }
}
