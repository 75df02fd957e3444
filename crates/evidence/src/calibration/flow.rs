//! Flow: widths of single walls as set and as measured.

mod words;

use quantity::Number as _;
use quantity::si::{Length, Ratio};
use statistics::{
    CONFIDENCE, Estimate, mean_interval, rosner_outliers, standard_deviation, standard_deviation_interval,
};

use super::{off_by_at_most, over};
use crate::lengths::mm;
use crate::{Refused, Verdict};
/// One wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wall {
    /// The width that was set.
    pub set: Length,
    /// The width that came out.
    pub measured: Length,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlowAsk {
    /// The flow that was set; 1 where nothing was changed.
    pub flow: Ratio,
    /// The largest share by which the width may be off.
    pub allowed: Ratio,
}

/// What the walls say.
#[derive(Clone, Debug, PartialEq)]
pub struct FlowCalibration {
    /// Measured over set width.
    pub width: Estimate,
    /// The flow to set: the one that was set over that.
    pub flow: Estimate,
    /// Standard deviation of a single width, as a share.
    pub deviation: Estimate,
    /// What was asked.
    pub ask: FlowAsk,
    walls: Vec<Wall>,
    outliers: Vec<u64>,
}

/// Looks at walls.
///
/// # Errors
/// [`Refused`] for fewer than three walls, widths that are not above zero, a flow without sense.
pub fn flow(walls: &[Wall], ask: FlowAsk) -> Result<FlowCalibration, Refused> {
    refuse(walls, &ask)?;
    let shares: Vec<f64> = walls.iter().map(|w| mm(w.measured) / mm(w.set)).collect();
    let width = mean_interval(&shares, CONFIDENCE);
    let (outliers, _) = rosner_outliers(&shares, (shares.len() / 8).max(1), 0.05);
    Ok(FlowCalibration {
        width,
        flow: over(ask.flow.base(), width),
        deviation: standard_deviation_interval(
            standard_deviation(&shares),
            shares.len() as f64 - 1.0,
            CONFIDENCE,
        ),
        ask,
        outliers: outliers.iter().map(|o| walls[o.at].line).collect(),
        walls: walls.to_vec(),
    })
}

/// Fewer walls than this give no uncertainty.
const FEWEST: usize = 3;

fn refuse(walls: &[Wall], ask: &FlowAsk) -> Result<(), Refused> {
    let bad = |w: &&Wall| !(mm(w.set) > 0.0 && mm(w.measured) > 0.0);
    if let Some(wall) = walls.iter().find(bad) {
        return Err(words::no_width(wall.line));
    }
    if walls.len() < FEWEST {
        return Err(words::too_few(walls.len()));
    }
    if ask.flow.base() > 0.0 && ask.flow.base().is_finite() && ask.allowed.base() > 0.0 {
        Ok(())
    } else {
        Err(words::no_flow())
    }
}

impl FlowCalibration {
    /// Whether the walls are as wide as set.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        off_by_at_most(self.width, self.ask.allowed.base())
    }

    /// The width that was set, mean of the places, millimetres.
    fn set_width(&self) -> f64 {
        self.walls.iter().map(|w| mm(w.set)).sum::<f64>() / self.walls.len() as f64
    }
}
