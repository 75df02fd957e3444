//! Steps of the belt axes from a measured print: nominal and measured lengths along each axis.
//!
//! A printed length is off for three reasons, and only one of them is the steps: the walls are a little wide, the same amount
//! whatever the length; the material shrinks, the same share along every axis; what is left is the axis. Lengths of several sizes,
//! outside and inside, part the first from the others; the known shrinkage is taken off; the steps follow.

mod words;

use quantity::si::{Length, Ratio, StepDensity};
use quantity::{Number as _, Value};
use statistics::{
    CONFIDENCE, Estimate, LinearRegression, coverage_factor, linear_regression, welch_satterthwaite,
};

use super::off_by_at_most;
use crate::lengths::mm;
use crate::{Refused, Verdict};
/// Which side of a wall was measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Side {
    /// Over two outer faces: wide walls make it longer.
    #[default]
    Outside,
    /// Between two inner faces: wide walls make it shorter.
    Inside,
    /// From a face to the same face of the next: wide walls do not matter.
    Pitch,
}

impl Side {
    fn sign(self) -> f64 {
        match self {
            Side::Outside => 1.0,
            Side::Inside => -1.0,
            Side::Pitch => 0.0,
        }
    }
}

/// One measured length of a print.
#[derive(Clone, Debug, PartialEq)]
pub struct Print {
    /// The letter of the axis along which it lies.
    pub axis: String,
    /// The length that was drawn.
    pub nominal: Length,
    /// The length that came out, cold.
    pub measured: Length,
    /// Which side of the walls.
    pub side: Side,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// How motors move the axes, as far as it decides whose steps a length is a matter of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Drive {
    /// Each axis has motors of its own.
    #[default]
    Own,
    /// Two motors move X and Y together over crossed belts: both have one number of steps, and it moves both axes alike.
    Crossed,
    /// Three towers: a length along X or Y comes from the arms and their places, and from no axis of its own.
    Towers,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisAsk {
    /// How motors move the axes.
    pub drive: Drive,
    /// The steps that were set, by axis.
    pub steps: Vec<(String, StepDensity)>,
    /// How much the material shrinks, with its tolerance; zero to that where nothing is known.
    pub shrinkage: Value<Ratio>,
    /// The largest share by which an axis may be off.
    pub allowed: Ratio,
}

/// What the lengths along one axis say.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisCalibration {
    /// The letter.
    pub axis: String,
    /// Measured over nominal, walls taken off; shrinkage still in it.
    pub scale: Estimate,
    /// Travel over what was commanded: the scale with shrinkage taken off, at the bounds of both.
    pub travel: Estimate,
    /// The steps to set: of both axes where crossed belts move them together; nothing where steps decide no length along this axis.
    pub steps: Option<Estimate>,
    /// What walls add to a length over outer faces, millimetres; nothing where the lengths cannot tell.
    pub walls: Option<Estimate>,
    /// Standard deviation of a single length, millimetres.
    pub deviation: Estimate,
    /// How the scale differs from that of the first other axis: a share, and the letter of that axis.
    pub against: Option<(String, Estimate)>,
    /// What was asked.
    pub ask: AxisAsk,
    own: Scale,
    prints: Vec<Print>,
}

/// Looks at the lengths of each axis.
///
/// # Errors
/// [`Refused`] for an axis with fewer than three lengths, lengths that are not above zero, limits without sense.
pub fn axes(prints: &[Print], ask: &AxisAsk) -> Result<Vec<AxisCalibration>, Refused> {
    refuse(prints, ask)?;
    let mut letters: Vec<&str> = Vec::new();
    for print in prints {
        if !letters.contains(&print.axis.as_str()) {
            letters.push(&print.axis);
        }
    }
    let one = |axis: &str| {
        let own = prints.iter().filter(|p| p.axis == axis);
        one_axis(axis, own.cloned().collect(), ask)
    };
    let mut found = letters.into_iter().map(one).collect::<Result<Vec<_>, _>>()?;
    let scales: Vec<(String, Scale)> = found.iter().map(|a| (a.axis.clone(), a.own)).collect();
    for (at, axis) in found.iter_mut().enumerate() {
        axis.steps = axis.steps_beside(&scales);
        let mut others = scales.iter().enumerate().filter(|(other, _)| *other != at);
        axis.against = others
            .next()
            .map(|(_, (name, other))| (name.clone(), axis.own.less(*other)));
    }
    Ok(found)
}

fn refuse(prints: &[Print], ask: &AxisAsk) -> Result<(), Refused> {
    let bad = |p: &&Print| !(mm(p.nominal) > 0.0 && mm(p.measured) > 0.0);
    if let Some(print) = prints.iter().find(bad) {
        return Err(words::no_length(print.line));
    }
    let shrinkage = ask.shrinkage;
    let believable = shrinkage.low().base() > -0.1 && shrinkage.high().base() < 0.1;
    if !(believable && ask.allowed.base() > 0.0) {
        return Err(words::no_share());
    }
    if prints.is_empty() {
        return Err(words::nothing());
    }
    Ok(())
}

/// Measured over nominal of one axis, with its standard error and degrees of freedom.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Scale {
    value: f64,
    error: f64,
    freedom: f64,
}

impl Scale {
    /// How far the interval of a sum or difference of two reaches, by Welch.
    fn half_width(self, other: Self) -> f64 {
        let of = |scale: Self| (scale.error.powi(2), scale.freedom);
        let (variance, freedom) = welch_satterthwaite(&[of(self), of(other)]);
        coverage_factor(freedom, CONFIDENCE) * variance.sqrt()
    }

    fn less(self, other: Self) -> Estimate {
        Estimate::around(self.value - other.value, self.half_width(other))
    }

    fn mean(self, other: Self) -> Estimate {
        let middle = f64::midpoint(self.value, other.value);
        Estimate::around(middle, self.half_width(other) / 2.0)
    }
}

/// The mean scale of X and Y, where there are both.
fn of_both(scales: &[(String, Scale)]) -> Option<Estimate> {
    let of = |letter: &str| scales.iter().find(|(own, _)| own == letter);
    let ((_, x), (_, y)) = (of("X")?, of("Y")?);
    Some(x.mean(*y))
}

/// The line of measured over nominal lengths, through zero but for what walls add.
fn line(prints: &[Print], walls: bool) -> Option<LinearRegression> {
    let row = |p: &Print| {
        let mut row = vec![mm(p.nominal)];
        row.extend(walls.then(|| p.side.sign()));
        row
    };
    let rows: Vec<Vec<f64>> = prints.iter().map(row).collect();
    let measured: Vec<f64> = prints.iter().map(|p| mm(p.measured)).collect();
    linear_regression(&rows, &measured)
        .ok()
        .filter(|f| f.freedom >= 1.0)
}

/// Fewer lengths than this give no uncertainty; one more is needed where they are to tell the walls.
const FEWEST: usize = 3;

fn one_axis(axis: &str, prints: Vec<Print>, ask: &AxisAsk) -> Result<AxisCalibration, Refused> {
    let count = prints.len();
    let with_walls = line(&prints, true).filter(|_| count > FEWEST);
    let walls = with_walls.as_ref().map(|line| line.coefficient(1, CONFIDENCE));
    let line = with_walls
        .or_else(|| line(&prints, false).filter(|_| count >= FEWEST))
        .ok_or_else(|| words::too_few(axis, count))?;
    let scale = line.coefficient(0, CONFIDENCE);
    if !(scale.low > 0.0) {
        return Err(words::unlike(axis));
    }
    let mut first = vec![0.0; line.coefficients.len()];
    first[0] = 1.0;
    Ok(AxisCalibration {
        axis: axis.to_owned(),
        scale,
        travel: travel(scale, ask.shrinkage),
        // Whose they are is known once all axes are.
        steps: None,
        walls,
        deviation: line.deviation_interval(CONFIDENCE),
        against: None,
        ask: ask.clone(),
        own: Scale {
            value: scale.value,
            error: line.error_of(&first),
            freedom: line.freedom,
        },
        prints,
    })
}

/// Travel over what was commanded, from a scale that still has the shrinkage in it.
fn travel(scale: Estimate, shrinkage: Value<Ratio>) -> Estimate {
    let kept = |shrinkage: Ratio| 1.0 - shrinkage.base();
    Estimate {
        value: scale.value / kept(shrinkage.nominal()),
        low: scale.low / kept(shrinkage.low()),
        high: scale.high / kept(shrinkage.high()),
    }
}

impl AxisCalibration {
    /// The steps to set, beside the scales of all axes.
    fn steps_beside(&self, scales: &[(String, Scale)]) -> Option<Estimate> {
        if self.is_of_towers() {
            return None;
        }
        if self.is_crossed() {
            return self.steps_for(travel(of_both(scales)?, self.ask.shrinkage));
        }
        self.steps_for(self.travel)
    }

    /// The steps that make up for a travel; nothing where those that were set are not known.
    fn steps_for(&self, travel: Estimate) -> Option<Estimate> {
        let (_, steps) = self.ask.steps.iter().find(|(own, _)| *own == self.axis)?;
        let per_millimetre = steps.base() * 1e-3;
        Some(travel.map(|t| per_millimetre / t))
    }

    /// Whether it is one of the two that a drive other than its own may move.
    fn is_level(&self) -> bool {
        ["X", "Y"].contains(&self.axis.as_str())
    }

    fn is_crossed(&self) -> bool {
        self.ask.drive == Drive::Crossed && self.is_level()
    }

    fn is_of_towers(&self) -> bool {
        self.ask.drive == Drive::Towers && self.is_level()
    }

    /// Whether the axis travels what it is told.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        off_by_at_most(self.travel, self.ask.allowed.base())
    }

    /// Whether crossed belts move it together with an axis that was not measured.
    fn lacks_its_twin(&self) -> bool {
        let twin = |(other, _): &(String, Estimate)| ["X", "Y"].contains(&other.as_str());
        self.is_crossed() && !self.against.as_ref().is_some_and(twin)
    }
}
