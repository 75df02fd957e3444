//! An edge of the window: a chance that changes with the threshold, by logistic regression.

use quantity::Number as _;
use statistics::{Estimate, logistic_regression};

use super::Ask;

/// One edge of the window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Edge {
    /// Where the chance is as large as allowed, and where it is one half.
    Found {
        /// The threshold at which the chance is what is allowed.
        allowed: Estimate,
        /// The threshold at which the chance is one half.
        half: Estimate,
        /// Whether one value parts the outcomes.
        separated: bool,
    },
    /// No trial went wrong on this side; the last threshold that was tried.
    Beyond(f64),
    /// Every trial went wrong on this side, or the chance runs the wrong way: no edge.
    None,
}

impl Edge {
    /// The edge in the numbers of the controller.
    pub(super) fn unscaled(self, sense: f64) -> Self {
        match self {
            Edge::Found {
                allowed,
                half,
                separated,
            } => Edge::Found {
                allowed: allowed.map(|x| sense * x),
                half: half.map(|x| sense * x),
                separated,
            },
            Edge::Beyond(last) => Edge::Beyond(sense * last),
            Edge::None => Edge::None,
        }
    }

    /// Where the chance is as large as allowed.
    pub(super) fn place(&self) -> Option<Estimate> {
        match self {
            Edge::Found { allowed, .. } => Some(*allowed),
            Edge::Beyond(last) => Some(Estimate::around(*last, 0.0)),
            Edge::None => None,
        }
    }

    /// The share of failures in per cent over the places from `low` to `high`, by a logistic curve through the places of one half and of what
    /// is `allowed`; nothing where no edge was found.
    pub(super) fn curve(&self, low: f64, high: f64, allowed: f64) -> Option<Vec<[f64; 2]>> {
        let Edge::Found {
            allowed: place, half, ..
        } = self
        else {
            return None;
        };
        let odds = (allowed / (1.0 - allowed)).ln();
        let slope = odds / (place.value - half.value);
        let points = (0..=100).map(|k| low + (high - low) * f64::from(k) / 100.0);
        let share = |x: f64| 100.0 / (1.0 + (-slope * (x - half.value)).exp());
        Some(points.map(|x| [x, share(x)]).collect())
    }
}

/// An edge over (place, whether it went wrong), in the scale where the chance should rise (or fall) with the place.
pub(super) fn edge(trials: &[(f64, bool)], rises: bool, ask: Ask) -> Edge {
    let wrong = trials.iter().filter(|t| t.1).count();
    if trials.is_empty() || wrong == trials.len() {
        return Edge::None;
    }
    if wrong == 0 {
        let places = trials.iter().map(|t| t.0);
        let last = if rises {
            places.fold(f64::NEG_INFINITY, f64::max)
        } else {
            places.fold(f64::INFINITY, f64::min)
        };
        return Edge::Beyond(last);
    }
    let outcomes: Vec<statistics::Trial> = trials
        .iter()
        .map(|(x, happened)| statistics::Trial {
            x: *x,
            happened: *happened,
        })
        .collect();
    match logistic_regression(&outcomes, true) {
        Some(found) if (found.slope > 0.0) == rises => Edge::Found {
            allowed: found.place(ask.allowed.base(), ask.confidence.base()),
            half: found.place(0.5, ask.confidence.base()),
            separated: found.separated,
        },
        _ => Edge::None,
    }
}
