//! The search for the lowest and the highest result over the box of the inputs, in SI base units.

use quantity::AnyValue;

use super::End;

/// Which points of the box are looked at.
#[derive(Clone, Copy)]
pub enum Grid {
    /// The corners only.
    Corners,
    /// So many points along each input.
    Inside(usize),
}

/// A larger grid would make a page wait; ten inputs' worth of corners still fit.
const MOST_POINTS: usize = 20_000;

/// What a search found; lists of coordinates, flags and swings, one for each input.
pub struct Found<P, B, S> {
    pub(super) nominal: f64,
    pub(super) lowest: Extreme<P, B>,
    pub(super) highest: Extreme<P, B>,
    /// Lowest and highest result when one input moves alone.
    pub(super) swings: S,
}

/// An extreme of the result and the point where it was found.
#[derive(Clone)]
pub struct Extreme<P, B> {
    pub(super) result: f64,
    point: P,
    /// Inputs on which the extreme does not depend.
    free: B,
}

impl<P: AsMut<[f64]>, B: AsMut<[bool]>> Extreme<P, B> {
    pub(super) fn end(&mut self, index: usize, value: AnyValue) -> End {
        let at = self.point.as_mut()[index];
        if self.free.as_mut()[index] {
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

/// A formula over coordinates in SI base units.
pub type Function<'a> = &'a dyn Fn(&[f64]) -> f64;

type FoundOf<const N: usize> = Found<[f64; N], [bool; N], [(f64, f64); N]>;
type ExtremeOf<const N: usize> = Extreme<[f64; N], [bool; N]>;

/// Looks at the nominal point and at all points of the grid; of equal results the first in grid order counts.
pub(super) fn search<const N: usize>(bounds: &[AnyValue; N], grid: Grid, f: Function<'_>) -> FoundOf<N> {
    let steps = steps(bounds, grid);
    let middle = bounds.map(|value| value.nominal);
    let nominal = f(&middle);
    let mut extremes = Extremes::new(nominal, middle);
    each_point(bounds, steps, &mut |point| extremes.see(f(point), point));
    let mut point = middle;
    let swings =
        core::array::from_fn(|index| swing(nominal, &mut point, index, (bounds[index], steps[index]), f));
    Found {
        nominal,
        swings,
        lowest: freed(extremes.lowest, bounds, f),
        highest: freed(extremes.highest, bounds, f),
    }
}

/// Lowest, nominal and highest result over the corners.
pub(super) fn hull_of_corners<const N: usize>(bounds: &[AnyValue; N], f: Function<'_>) -> (f64, f64, f64) {
    let nominal = f(&bounds.map(|value| value.nominal));
    let (mut low, mut high) = if nominal.is_nan() {
        UNBOUNDED
    } else {
        (nominal, nominal)
    };
    each_point(bounds, steps(bounds, Grid::Corners), &mut |point| {
        let result = f(point);
        let (least, most) = if result.is_nan() {
            UNBOUNDED
        } else {
            (result, result)
        };
        if least < low {
            low = least;
        }
        if most > high {
            high = most;
        }
    });
    (low, nominal, high)
}

/// Moves each input alone, then all of them in the directions found.
pub(super) fn search_by_direction(
    bounds: &[AnyValue],
    f: Function<'_>,
) -> Found<Vec<f64>, Vec<bool>, Vec<(f64, f64)>> {
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
        swings: Vec::with_capacity(bounds.len()),
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

/// How many coordinates are visited along each input; one for an input without tolerance.
fn steps<const N: usize>(bounds: &[AnyValue; N], grid: Grid) -> [usize; N] {
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
    bounds.map(|value| if value.low == value.high { 1 } else { points })
}

/// One of the coordinates to visit along an input: the ends as they are, not as rounding leaves them.
fn coordinate(value: &AnyValue, step: usize, steps: usize) -> f64 {
    if steps == 1 {
        value.nominal
    } else if step == 0 {
        value.low
    } else if step + 1 == steps {
        value.high
    } else {
        value.low + step as f64 / (steps - 1) as f64 * (value.high - value.low)
    }
}

/// Visits all combinations of coordinates; the last input moves fastest.
fn each_point<const N: usize>(bounds: &[AnyValue; N], steps: [usize; N], visit: &mut dyn FnMut(&[f64; N])) {
    let mut counters = [0; N];
    let mut point = core::array::from_fn(|index| coordinate(&bounds[index], 0, steps[index]));
    loop {
        visit(&point);
        let Some(index) = (0..N).rev().find(|index| counters[*index] + 1 < steps[*index]) else {
            return;
        };
        counters[index] += 1;
        point[index] = coordinate(&bounds[index], counters[index], steps[index]);
        for later in index + 1..N {
            counters[later] = 0;
            point[later] = coordinate(&bounds[later], 0, steps[later]);
        }
    }
}

/// The extremes seen so far.
struct Extremes<const N: usize> {
    lowest: ExtremeOf<N>,
    highest: ExtremeOf<N>,
}

impl<const N: usize> Extremes<N> {
    fn new(nominal: f64, middle: [f64; N]) -> Self {
        let extreme = Extreme {
            result: nominal,
            point: middle,
            free: [false; N],
        };
        let mut extremes = Self {
            lowest: extreme.clone(),
            highest: extreme,
        };
        extremes.see(nominal, &middle);
        extremes
    }

    fn see(&mut self, result: f64, point: &[f64; N]) {
        // Where the formula gives no number nothing is known, and nothing may be promised.
        let (low, high) = if result.is_nan() {
            UNBOUNDED
        } else {
            (result, result)
        };
        if low < self.lowest.result || self.lowest.result.is_nan() {
            (self.lowest.result, self.lowest.point) = (low, *point);
        }
        if high > self.highest.result || self.highest.result.is_nan() {
            (self.highest.result, self.highest.point) = (high, *point);
        }
    }
}

/// Marks the inputs that could stand at their other end without changing the extreme.
///
/// An input that was found free stays moved, so that of two that could each be free, but not both, one is kept.
fn freed<const N: usize>(mut extreme: ExtremeOf<N>, bounds: &[AnyValue; N], f: Function<'_>) -> ExtremeOf<N> {
    let mut point = extreme.point;
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

/// Lowest and highest result while one input moves through its coordinates from the middle.
fn swing(
    nominal: f64,
    middle: &mut [f64],
    index: usize,
    (value, steps): (AnyValue, usize),
    f: Function<'_>,
) -> (f64, f64) {
    if steps == 1 {
        return (nominal, nominal);
    }
    let places = (0..steps).map(|step| coordinate(&value, step, steps));
    hull(nominal, places.flat_map(|base| along(middle, index, [base], f)))
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
