//! Extruder steps: lengths of filament commanded and measured.

mod words;

use quantity::Number as _;
use quantity::si::{Length, Ratio, StepDensity};
use statistics::{CONFIDENCE, Estimate, LinearRegression, linear_regression};

use super::{off_by_at_most, over};
use crate::lengths::mm;
use crate::{Refused, Verdict};
/// One length of filament.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// What the controller was told to feed.
    pub commanded: Length,
    /// What went in.
    pub measured: Length,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExtruderAsk {
    /// The steps that were set; nothing where they are not known, and then only the factor is told.
    pub steps: Option<StepDensity>,
    /// The largest share by which the feed may be off.
    pub allowed: Ratio,
}

/// What the pulls say.
#[derive(Clone, Debug, PartialEq)]
pub struct ExtruderCalibration {
    /// Measured over commanded.
    pub feed: Estimate,
    /// The steps to set: those that were set over the feed.
    pub steps: Option<Estimate>,
    /// What every measured length is off by, whatever its size, in millimetres; known only from three different lengths.
    pub offset: Option<Estimate>,
    /// Standard deviation of a single measured length, millimetres.
    pub deviation: Estimate,
    /// What was asked.
    pub ask: ExtruderAsk,
    pulls: Vec<Pull>,
}

/// Looks at pulls. With three different lengths or more a straight line parts the feed from what each reading is off by; with fewer
/// a line through zero.
///
/// # Errors
/// [`Refused`] for fewer than three pulls, lengths that are not above zero, or limits without sense.
pub fn extruder(pulls: &[Pull], ask: ExtruderAsk) -> Result<ExtruderCalibration, Refused> {
    refuse(pulls, &ask)?;
    let (line, with_offset) = through(pulls)?;
    let feed = line.coefficient(usize::from(with_offset), CONFIDENCE);
    if !(feed.value > 0.0) {
        return Err(words::shorter());
    }
    Ok(ExtruderCalibration {
        feed,
        steps: ask.steps.map(|steps| over(steps.base() * 1e-3, feed)),
        offset: with_offset.then(|| line.coefficient(0, CONFIDENCE)),
        deviation: line.deviation_interval(CONFIDENCE),
        ask,
        pulls: pulls.to_vec(),
    })
}

/// Fewer pulls than this give no uncertainty.
const FEWEST: usize = 3;

fn refuse(pulls: &[Pull], ask: &ExtruderAsk) -> Result<(), Refused> {
    if pulls.len() < FEWEST {
        return Err(words::too_few(pulls.len()));
    }
    let bad = |p: &&Pull| !(mm(p.commanded) > 0.0 && mm(p.measured) > 0.0);
    if let Some(pull) = pulls.iter().find(bad) {
        return Err(words::no_length(pull.line));
    }
    let steps_known = ask.steps.is_none_or(|s| s.base() > 0.0 && s.base().is_finite());
    if steps_known && ask.allowed.base() > 0.0 {
        Ok(())
    } else {
        Err(words::no_steps())
    }
}

fn through(pulls: &[Pull]) -> Result<(LinearRegression, bool), Refused> {
    let mut lengths: Vec<f64> = pulls.iter().map(|p| mm(p.commanded)).collect();
    let measured: Vec<f64> = pulls.iter().map(|p| mm(p.measured)).collect();
    let line = |rows: Vec<Vec<f64>>| linear_regression(&rows, &measured).map_err(|_| words::no_line());
    let rows = lengths.iter().map(|x| vec![1.0, *x]).collect();
    let alone = lengths.iter().map(|x| vec![*x]).collect();
    lengths.sort_by(f64::total_cmp);
    lengths.dedup();
    // A line with an offset has two columns; its deviation needs a pull more.
    if lengths.len() >= 3 && pulls.len() >= 4 {
        Ok((line(rows)?, true))
    } else {
        Ok((line(alone)?, false))
    }
}

impl ExtruderCalibration {
    /// Whether the feed is right as it is.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        off_by_at_most(self.feed, self.ask.allowed.base())
    }
}
