//! The search for the lowest and the highest result over the box of the inputs, in SI base units.

use quantity::AnyValue;

use super::End;

/// Which points of the box are looked at.
#[derive(Clone, Copy)]
pub(super) enum Grid {
    /// The corners only.
    Corners,
    /// So many points along each input.
    Inside(usize),
}

/// A larger grid would make a page wait; ten inputs' worth of corners still fit.
const MOST_POINTS: usize = 20_000;

/// What a search found.
pub(super) struct Found {
    pub nominal: f64,
    pub lowest: Extreme,
    pub highest: Extreme,
    /// Lowest and highest result when one input moves alone.
    pub swings: Vec<(f64, f64)>,
}

/// An extreme of the result and the point where it was found.
#[derive(Clone)]
pub(super) struct Extreme {
    pub result: f64,
    point: Vec<f64>,
    /// Inputs on which the extreme does not depend.
    free: Vec<bool>,
}

impl Extreme {
    fn moved_to(&mut self, result: f64, point: &[f64]) {
        self.result = result;
        self.point.copy_from_slice(point);
    }

    pub(super) fn end(&self, index: usize, value: AnyValue) -> End {
        let at = self.point[index];
        if self.free[index] {
            End::Either
        } else if at == value.low {
            End::Low
        } else if at == value.high {
            End::High
        } else {
            End::Inside(AnyValue {
                nominal: at,
                low: at,
                high: at,
                ..value
            })
        }
    }
}

type Function<'a> = &'a dyn Fn(&[f64]) -> f64;

/// Looks at the nominal point and at all points of the grid; of equal results the first in grid order counts.
pub(super) fn search(bounds: &[AnyValue], grid: Grid, f: Function<'_>) -> Found {
    let axes = axes(bounds, grid);
    let middle: Vec<f64> = bounds.iter().map(|value| value.nominal).collect();
    let nominal = f(&middle);
    let mut extremes = Extremes::new(nominal, &middle);
    each_point(&axes, &mut |point| extremes.see(f(point), point));
    let mut point = middle;
    let swings = axes
        .each()
        .enumerate()
        .map(|(index, axis)| swing(nominal, &mut point, index, axis, f));
    Found {
        nominal,
        swings: swings.collect(),
        lowest: freed(extremes.lowest, bounds, f),
        highest: freed(extremes.highest, bounds, f),
    }
}

/// Moves each input alone, then all of them in the directions found.
pub(super) fn search_by_direction(bounds: &[AnyValue], f: Function<'_>) -> Found {
    let middle: Vec<f64> = bounds.iter().map(|value| value.nominal).collect();
    let nominal = f(&middle);
    let mut found = Found {
        nominal,
        lowest: Extreme {
            result: nominal,
            point: middle.clone(),
            free: vec![false; bounds.len()],
        },
        highest: Extreme {
            result: nominal,
            point: middle.clone(),
            free: vec![false; bounds.len()],
        },
        swings: Vec::new(),
    };
    let mut point = middle;
    for (index, value) in bounds.iter().enumerate() {
        let [at_low, at_high] = along(&mut point, index, [value.low, value.high], f);
        let rises = at_low <= at_high;
        let (bottom, top) = if rises {
            (value.low, value.high)
        } else {
            (value.high, value.low)
        };
        found.lowest.point[index] = bottom;
        found.highest.point[index] = top;
        found.lowest.free[index] = at_low == at_high;
        found.highest.free[index] = at_low == at_high;
        found.swings.push(hull(nominal, [at_low, at_high]));
    }
    found.lowest.result = f(&found.lowest.point);
    found.highest.result = f(&found.highest.point);
    if found.lowest.result.is_nan() || found.highest.result.is_nan() {
        (found.lowest.result, found.highest.result) = UNBOUNDED;
    }
    found
}

const UNBOUNDED: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

/// The coordinates to visit along each input, one after another; one for an input without tolerance.
struct Axes {
    coordinates: Vec<f64>,
    /// Where the coordinates of each input begin, and where the last ones end.
    starts: Vec<usize>,
}

impl Axes {
    fn len(&self) -> usize {
        self.starts.len() - 1
    }

    fn of(&self, index: usize) -> &[f64] {
        &self.coordinates[self.starts[index]..self.starts[index + 1]]
    }

    fn each(&self) -> impl Iterator<Item = &[f64]> {
        (0..self.len()).map(|index| self.of(index))
    }
}

fn axes(bounds: &[AnyValue], grid: Grid) -> Axes {
    let loose = bounds.iter().filter(|value| value.low < value.high).count();
    let points = match grid {
        Grid::Corners => 2,
        Grid::Inside(wanted) => {
            let mut points = wanted.max(3);
            let total = |points: usize| {
                u32::try_from(loose)
                    .ok()
                    .and_then(|loose| points.checked_pow(loose))
            };
            while points > 3 && total(points).is_none_or(|total| total > MOST_POINTS) {
                points -= 1;
            }
            points
        }
    };
    let mut axes = Axes {
        coordinates: Vec::with_capacity(bounds.len() + loose * (points - 1)),
        starts: Vec::with_capacity(bounds.len() + 1),
    };
    axes.starts.push(0);
    for value in bounds {
        if value.low == value.high {
            axes.coordinates.push(value.nominal);
        } else {
            // The ends as they are, not as rounding leaves them.
            axes.coordinates.push(value.low);
            let share = |step: usize| step as f64 / (points - 1) as f64;
            let inside = (1..points - 1).map(|step| value.low + share(step) * (value.high - value.low));
            axes.coordinates.extend(inside);
            axes.coordinates.push(value.high);
        }
        axes.starts.push(axes.coordinates.len());
    }
    axes
}

/// Visits the product of the axes; the last input moves fastest.
fn each_point(axes: &Axes, visit: &mut dyn FnMut(&[f64])) {
    let mut counters = vec![0; axes.len()];
    let mut point: Vec<f64> = axes.each().map(|axis| axis[0]).collect();
    loop {
        visit(&point);
        let Some(index) = (0..axes.len())
            .rev()
            .find(|index| counters[*index] + 1 < axes.of(*index).len())
        else {
            return;
        };
        counters[index] += 1;
        point[index] = axes.of(index)[counters[index]];
        for later in index + 1..axes.len() {
            counters[later] = 0;
            point[later] = axes.of(later)[0];
        }
    }
}

/// The extremes seen so far.
struct Extremes {
    lowest: Extreme,
    highest: Extreme,
}

impl Extremes {
    fn new(nominal: f64, middle: &[f64]) -> Self {
        let extreme = Extreme {
            result: nominal,
            point: middle.to_vec(),
            free: vec![false; middle.len()],
        };
        let mut extremes = Self {
            lowest: extreme.clone(),
            highest: extreme,
        };
        extremes.see(nominal, middle);
        extremes
    }

    fn see(&mut self, result: f64, point: &[f64]) {
        // Where the formula gives no number nothing is known, and nothing may be promised.
        let (low, high) = if result.is_nan() {
            UNBOUNDED
        } else {
            (result, result)
        };
        if low < self.lowest.result || self.lowest.result.is_nan() {
            self.lowest.moved_to(low, point);
        }
        if high > self.highest.result || self.highest.result.is_nan() {
            self.highest.moved_to(high, point);
        }
    }
}

/// Marks the inputs that could stand at their other end without changing the extreme.
///
/// An input that was found free stays moved, so that of two that could each be free, but not both, one is kept.
fn freed(mut extreme: Extreme, bounds: &[AnyValue], f: Function<'_>) -> Extreme {
    let mut point = extreme.point.clone();
    for (index, value) in bounds.iter().enumerate() {
        let here = point[index];
        let there = if here == value.low { value.high } else { value.low };
        point[index] = there;
        extreme.free[index] = there == here || f(&point) == extreme.result;
        if !extreme.free[index] {
            point[index] = here;
        }
    }
    extreme
}

/// Lowest and highest result while one input moves along its axis from the middle.
fn swing(nominal: f64, middle: &mut [f64], index: usize, axis: &[f64], f: Function<'_>) -> (f64, f64) {
    if axis.len() == 1 {
        return (nominal, nominal);
    }
    hull(
        nominal,
        axis.iter().flat_map(|base| along(middle, index, [*base], f)),
    )
}

/// The results with one input moved from the point to each of the places, and the point left as it was.
fn along<const N: usize>(point: &mut [f64], index: usize, places: [f64; N], f: Function<'_>) -> [f64; N] {
    let own = point[index];
    let results = places.map(|base| {
        point[index] = base;
        f(point)
    });
    point[index] = own;
    results
}

fn hull(nominal: f64, results: impl IntoIterator<Item = f64>) -> (f64, f64) {
    results
        .into_iter()
        .fold((nominal, nominal), |(low, high), result| {
            if result.is_nan() {
                UNBOUNDED
            } else {
                (low.min(result), high.max(result))
            }
        })
}
