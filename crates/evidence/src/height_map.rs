//! The height of a bed at many places: tilt and turns of its screws, warp, and how fine a grid of touches has to be.
//!
//! Coordinates are those in which the nozzle is told to go; a larger height is a higher bed.
//!
//! The true surface is not known, so it is taken as a thin-plate spline through the mean of all visits, smoothed as far as the noise
//! of the visits tells. Everything about grids follows from that surface; that the surface foretells places it was not
//! given is what the cross-validation shows. Leaves out: how the bed changes as it warms, and that a touch has a width.

mod grid;
mod largest;
mod modes;
mod strays;
mod surface;
mod tilt;
mod visits;
mod words;

pub use grid::{GridError, GridStudy};
pub use modes::{Mode, Shape};
pub use strays::{Stray, Strays, Witness};
pub use surface::{Smoothing, Surface};
pub use tilt::{ScrewTurn, Tilt};
pub use visits::{Noise, Place, Visits};

use physics::mechanics::Point;
use quantity::Number as _;
use quantity::si::Length;
use statistics::{CONFIDENCE, Estimate, fisher_tail, standard_deviation_interval};

use crate::lengths::mm;
use crate::{Refused, Verdict};

/// One touch of the bed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touch {
    /// Where.
    pub at: Point,
    /// How high the bed is there.
    pub height: Length,
    /// Which visit of the whole bed it belongs to; nothing where that was not noted, and then the order tells.
    pub visit: Option<u32>,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// A screw that the bed stands on.
#[derive(Clone, Debug, PartialEq)]
pub struct Screw {
    /// What it is called, such as "front left".
    pub name: String,
    /// Where it carries the bed.
    pub at: Point,
    /// Travel of the bed for one turn.
    pub pitch: Length,
    /// The sense, seen by whoever turns it, that raises the bed.
    pub raises: Sense,
    /// Whether it cannot be turned; the others are then turned to its height.
    pub fixed: bool,
}

/// A sense of turning.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// As the hands of a clock.
    Clockwise,
    /// Against them.
    CounterClockwise,
}

impl Sense {
    /// The other sense.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Sense::Clockwise => Sense::CounterClockwise,
            Sense::CounterClockwise => Sense::Clockwise,
        }
    }
}

/// What is asked of a height map.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// The screws of the bed; none where it has none or they are not known.
    pub screws: Vec<Screw>,
    /// The grid that the controller will touch, columns and rows, at least 2 each; nothing where that is still open.
    pub grid: Option<[u32; 2]>,
    /// The height of the first layer.
    pub layer: Length,
    /// The largest error of the first layer's height that may be left.
    pub allowed: Length,
}

/// A bed as touched: places, plane, shapes, surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// Places, visits and their noise.
    pub visits: Visits,
    /// The plane through it and the turns of the screws.
    pub tilt: Tilt,
    /// What is left without the plane, as simple shapes.
    pub shape: Option<Shape>,
    /// The smoothed surface.
    pub surface: Surface,
    /// The deviation of a single touch that was used for intervals, in millimetres.
    pub touch_deviation: Estimate,
    /// Degrees of freedom of that deviation.
    pub touch_freedom: f64,
    /// The touches that stray; those left out are in nothing else of this.
    pub strays: Strays,
}

/// All that a height map says.
#[derive(Clone, Debug, PartialEq)]
pub struct HeightMap {
    /// The bed as touched.
    pub level: Level,
    /// What grids leave.
    pub grids: GridStudy,
    /// The same with the stray touches in; nothing where none was left out.
    pub with_strays: Option<Box<HeightMap>>,
    /// What was asked.
    pub ask: Ask,
}

/// Places of a bed beyond this number are joined with their neighbours: the spline costs the cube of their number.
const MOST_PLACES: usize = 400;

/// Looks at a height map.
///
/// # Errors
/// As [`level`]; also for a grid or a first layer without sense.
pub fn height_map(touches: &[Touch], ask: &Ask) -> Result<HeightMap, Refused> {
    refuse(ask)?;
    let level = level(touches, &ask.screws)?;
    let with_strays = if level.strays.left_out {
        let whole = all_in(touches, &ask.screws, Strays::default())?;
        Some(Box::new(on_grids(whole, ask, None)))
    } else {
        None
    };
    Ok(on_grids(level, ask, with_strays))
}

fn on_grids(level: Level, ask: &Ask, with_strays: Option<Box<HeightMap>>) -> HeightMap {
    let joined = visits::joined(&level.visits.places, MOST_PLACES);
    let grids = grid::study(&joined, &level.surface, level.touch_deviation, ask.grid);
    HeightMap {
        level,
        grids,
        with_strays,
        ask: ask.clone(),
    }
}

/// Looks at plane, screws and warp alone. Touches that stray are left out, and named.
///
/// # Errors
/// [`Refused`] for fewer than four places, places in one line, numbers that are not finite, screws without pitch.
pub fn level(touches: &[Touch], screws: &[Screw]) -> Result<Level, Refused> {
    refuse_touches(touches, screws)?;
    let sorted = visits::visits(touches);
    let strays = strays::strays(touches, &sorted);
    if !strays.left_out {
        return all_in(touches, screws, strays);
    }
    let kept = strays::without(touches, &sorted, &strays);
    all_in(&kept, screws, strays.clone()).or_else(|_| {
        // Too little is left without them.
        let left_out = false;
        all_in(touches, screws, Strays { left_out, ..strays })
    })
}

/// Plane, screws and warp of all touches, whatever strays.
fn all_in(touches: &[Touch], screws: &[Screw], strays: Strays) -> Result<Level, Refused> {
    let visits = visits::visits(touches);
    if visits.places.len() < 4 {
        return Err(words::too_few(visits.places.len()));
    }
    let joined = visits::joined(&visits.places, MOST_PLACES);
    let surface = surface::fit_places(&joined, visits.noise.as_ref()).ok_or_else(words::in_line)?;
    // Noise of repeated visits where there is enough of it, else what the smooth surface leaves.
    let (deviation, freedom) = match &visits.noise {
        Some(noise) if noise.freedom >= 5.0 => (noise.deviation, noise.freedom),
        _ => (surface.deviation, surface.freedom),
    };
    let tilt = tilt::tilt(touches, &visits, screws, deviation, freedom).ok_or_else(words::in_line)?;
    let shape = modes::shape(&visits, deviation, freedom);
    Ok(Level {
        visits,
        tilt,
        shape,
        surface,
        touch_deviation: standard_deviation_interval(deviation, freedom, CONFIDENCE),
        touch_freedom: freedom,
        strays,
    })
}

fn refuse_touches(touches: &[Touch], screws: &[Screw]) -> Result<(), Refused> {
    let sizes = |t: &Touch| [t.at.x, t.at.y, t.height].map(|length| length.base());
    let is_odd = |t: &Touch| sizes(t).iter().any(|size| !size.is_finite());
    if let Some(at) = touches.iter().position(is_odd) {
        return Err(words::no_number(at + 1));
    }
    // Also keeps sums and squares of the surface finite.
    let is_far = |t: &Touch| sizes(t).iter().any(|size| size.abs() > FARTHEST);
    if let Some(at) = touches.iter().position(is_far) {
        return Err(words::too_far(at + 1));
    }
    match screws.iter().find(|s| !(s.pitch.base() > 0.0)) {
        Some(screw) => Err(words::no_pitch(&screw.name)),
        None => Ok(()),
    }
}

/// No bed is larger, m.
const FARTHEST: f64 = 10.0;

fn refuse(ask: &Ask) -> Result<(), Refused> {
    let is_odd = |side: &u32| !(2..=100).contains(side);
    if ask.grid.is_some_and(|grid| grid.iter().any(is_odd)) {
        return Err(words::no_grid());
    }
    if ask.layer.base() > 0.0 && ask.allowed.base() > 0.0 {
        Ok(())
    } else {
        Err(words::no_layer())
    }
}

impl HeightMap {
    /// Whether the grid that was asked for leaves no more than is allowed, at the bounds of the noise; not shown where that hangs on touches
    /// that may be the bed itself.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        if self.hangs_on_strays() {
            Verdict::Open
        } else {
            self.without_strays()
        }
    }

    /// Whether the verdict is another with the touches that were left out, and no second touch says that they are wrong.
    fn hangs_on_strays(&self) -> bool {
        let alone = |stray: &Stray| stray.witness == Witness::Neighbours;
        let with = self.with_strays.as_ref().map(|with| with.without_strays());
        with.is_some_and(|with| with != self.without_strays()) && self.level.strays.found.iter().any(alone)
    }

    /// The verdict on the touches that are in.
    fn without_strays(&self) -> Verdict {
        match self.asked_largest() {
            Some(error) => Verdict::at_most(error.low, error.high, mm(self.ask.allowed)),
            None if self.grids.asked.is_some() => Verdict::Open,
            None => Verdict::Result,
        }
    }

    /// The largest error with the grid asked for, where the touches tell it.
    fn asked_largest(&self) -> Option<Estimate> {
        self.grids.asked_largest.filter(|error| error.high.is_finite())
    }

    /// The grid from which on more points do not help.
    fn enough(&self) -> &GridError {
        &self.grids.squares[self.grids.enough]
    }

    /// Whether repeated touches show no shape beyond the plane: their spread between places is that within places.
    fn noise_only(&self) -> bool {
        if self.level.visits.noise.is_none() {
            return false;
        }
        let places = &self.level.visits.places;
        let groups: Vec<f64> = places
            .iter()
            .map(|p| p.height - self.level.tilt.at(p.x, p.y))
            .collect();
        let touches = self.level.visits.of.len() as f64 / groups.len() as f64;
        let freedom = (groups.len() as f64 - 3.0).max(1.0);
        let between = groups.iter().map(|g| g * g).sum::<f64>() * touches / freedom;
        let f = between / self.level.touch_deviation.value.powi(2);
        fisher_tail(f, freedom, self.level.touch_freedom) > 1.0 - CONFIDENCE
    }
}
