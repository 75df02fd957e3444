//! Load-measured homing: which threshold stops at the end, and neither before it nor beyond.
//!
//! Each trial is a homing at one threshold, with one of three outcomes. A threshold that is too touchy stops on the way (a false
//! trigger), one that is too numb runs into the end (missed). Between the two lies the window. Both edges are chances that
//! change with the threshold, each fitted by logistic regression; the value proposed has the most room to both.
//!
//! A false trigger hides whether the end would have been noticed: such trials count for the one edge alone. What is not assumed is
//! which way the numbers of the controller run: the outcomes tell.

mod report;

use quantity::Number;
use quantity::si::{ElectricCurrent, Ratio, Velocity};

use crate::Refused;
use statistics::{Estimate, logistic_regression, mean, proportion_interval, trials_for};

/// How a homing ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// It stopped before the end.
    FalseTrigger,
    /// It stopped at the end.
    Clean,
    /// It ran into the end and went on.
    Missed,
}

/// One homing.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// The letter of the axis.
    pub axis: String,
    /// The speed, where noted.
    pub speed: Option<Velocity>,
    /// The motor current, where noted.
    pub current: Option<ElectricCurrent>,
    /// The threshold, a plain number of the controller.
    pub threshold: f64,
    /// How it ended.
    pub ending: Ending,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What is asked of a threshold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ask {
    /// The largest chance, of a false trigger and of a miss each, that a homing may have.
    pub allowed: Ratio,
    /// How sure it is to be shown, and the confidence of every interval: above 50 % and below 100 %.
    pub confidence: Ratio,
}

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

/// The trials of one axis at one speed and current.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// The speed.
    pub speed: Option<Velocity>,
    /// The current.
    pub current: Option<ElectricCurrent>,
    /// Trials.
    pub trials: usize,
    /// The edge to false triggers.
    pub touchy: Edge,
    /// The edge to misses.
    pub numb: Edge,
    /// Room on both sides of the proposed threshold, in its numbers: touchy, numb; as estimated and at the unfavourable bounds.
    pub room: Option<[Estimate; 2]>,
    /// Trials still needed at the proposed threshold, if none of them fails; nothing where no number of trials would do.
    pub needed: Option<u64>,
}

/// What the trials of one axis say.
#[derive(Clone, Debug, PartialEq)]
pub struct StallSweep {
    /// The letter of the axis.
    pub axis: String,
    /// Whether a larger number is more touchy.
    pub larger_is_touchier: bool,
    /// Speeds and currents, each by itself.
    pub groups: Vec<Group>,
    /// The threshold with the most room on both sides over all groups.
    pub proposed: f64,
    /// Its room: the smaller side of the worst group, as estimated and at the unfavourable bound.
    pub room: Estimate,
    /// What was asked.
    pub ask: Ask,
    trials: Vec<Trial>,
}

/// Looks at the trials of each axis.
///
/// # Errors
/// [`Refused`] for no trial, a threshold that is not finite, an allowed chance outside 0 to 50 %, a confidence outside 50 to 100 %, an axis with fewer than two
/// thresholds or with no trial that failed.
pub fn stall_sweep(trials: &[Trial], ask: Ask) -> Result<Vec<StallSweep>, Refused> {
    if !(ask.allowed.base() > 0.0 && ask.allowed.base() < 0.5) {
        return Err(Refused::new(
            "the allowed chance of a failed homing is not between 0 and 50 %",
            "write it as a share, such as \"5 %\"",
        ));
    }
    if !(ask.confidence.base() > 0.5 && ask.confidence.base() < 1.0) {
        return Err(Refused::new(
            "the confidence is not between 50 and 100 %",
            "write it as a share, such as \"95 %\"; 100 % cannot be had from any number of trials",
        ));
    }
    if let Some(trial) = trials.iter().find(|t| !t.threshold.is_finite()) {
        return Err(Refused::new(
            format!("line {} holds no threshold", trial.line),
            "write the number that the controller was given",
        ));
    }
    let mut axes: Vec<&str> = Vec::new();
    for trial in trials {
        if !axes.contains(&trial.axis.as_str()) {
            axes.push(&trial.axis);
        }
    }
    if axes.is_empty() {
        return Err(Refused::new(
            "there is no trial",
            "home at several thresholds and note how each homing ended",
        ));
    }
    axes.into_iter()
        .map(|axis| {
            let own: Vec<Trial> = trials.iter().filter(|t| t.axis == axis).cloned().collect();
            one_axis(axis, own, ask)
        })
        .collect()
}

fn one_axis(axis: &str, trials: Vec<Trial>, ask: Ask) -> Result<StallSweep, Refused> {
    let sense = sense(axis, &trials)?;
    // In the scale of this module a larger number is always more numb.
    let scale = |threshold: f64| sense * threshold;
    let mut groups: Vec<(Group, Vec<&Trial>)> = Vec::new();
    for trial in &trials {
        let same = |g: &(Group, Vec<&Trial>)| g.0.speed == trial.speed && g.0.current == trial.current;
        match groups.iter_mut().find(|g| same(g)) {
            Some((_, own)) => own.push(trial),
            None => groups.push((empty(trial), vec![trial])),
        }
    }
    for (group, own) in &mut groups {
        group.trials = own.len();
        let false_ones = own
            .iter()
            .map(|t| (scale(t.threshold), t.ending == Ending::FalseTrigger));
        group.touchy = edge(&false_ones.collect::<Vec<_>>(), false, ask);
        let noticed = own.iter().filter(|t| t.ending != Ending::FalseTrigger);
        let misses = noticed.map(|t| (scale(t.threshold), t.ending == Ending::Missed));
        group.numb = edge(&misses.collect::<Vec<_>>(), true, ask);
    }
    let (proposed, room) = propose(&trials, &groups, sense);
    for (group, own) in &mut groups {
        group.room = rooms(group, scale(proposed));
        group.needed = needed(own, scale(proposed), sense, ask);
        group.touchy = group.touchy.unscaled(sense);
        group.numb = group.numb.unscaled(sense);
    }
    let groups = groups.into_iter().map(|(group, _)| group).collect();
    Ok(StallSweep {
        axis: axis.to_owned(),
        larger_is_touchier: sense < 0.0,
        groups,
        proposed,
        room,
        ask,
        trials,
    })
}

fn empty(trial: &Trial) -> Group {
    Group {
        speed: trial.speed,
        current: trial.current,
        trials: 0,
        touchy: Edge::None,
        numb: Edge::None,
        room: None,
        needed: None,
    }
}

impl Edge {
    /// The edge in the numbers of the controller.
    fn unscaled(self, sense: f64) -> Self {
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
    fn place(&self) -> Option<Estimate> {
        match self {
            Edge::Found { allowed, .. } => Some(*allowed),
            Edge::Beyond(last) => Some(Estimate::around(*last, 0.0)),
            Edge::None => None,
        }
    }
}

/// 1 where a larger number is more numb, −1 where it is more touchy.
fn sense(axis: &str, trials: &[Trial]) -> Result<f64, Refused> {
    let of = |ending: Ending| -> Vec<f64> {
        let own = trials.iter().filter(|t| t.ending == ending);
        own.map(|t| t.threshold).collect()
    };
    let (touchy, clean, numb) = (of(Ending::FalseTrigger), of(Ending::Clean), of(Ending::Missed));
    let (low, high) = match (touchy.is_empty(), numb.is_empty()) {
        (false, false) => (mean(&touchy), mean(&numb)),
        (false, true) => (mean(&touchy), mean(&clean)),
        (true, false) => (mean(&clean), mean(&numb)),
        (true, true) => {
            return Err(Refused::new(
                format!("axis {axis}: no homing failed, so that no edge is known"),
                "try thresholds in both directions until homings fail; the room is measured from there",
            ));
        }
    };
    if low < high {
        Ok(1.0)
    } else if low > high {
        Ok(-1.0)
    } else {
        Err(Refused::new(
            format!("axis {axis}: the outcomes do not change with the threshold"),
            "try at least two thresholds, a touchy and a numb one",
        ))
    }
}

/// An edge over (place, whether it went wrong), in the scale where the chance should rise (or fall) with the place.
fn edge(trials: &[(f64, bool)], rises: bool, ask: Ask) -> Edge {
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

/// Room of a place to both edges: estimate, unfavourable bound (low) and favourable bound (high).
fn rooms(group: &Group, at: f64) -> Option<[Estimate; 2]> {
    let touchy = group.touchy.place()?.map(|edge| at - edge);
    let numb = group.numb.place()?.map(|edge| edge - at);
    Some([touchy, numb])
}

/// The threshold whose smaller room in the worst group is largest: at the unfavourable bounds where that leaves any, else as estimated.
fn propose(trials: &[Trial], groups: &[(Group, Vec<&Trial>)], sense: f64) -> (f64, Estimate) {
    let worst = |threshold: f64| {
        groups.iter().fold(
            Estimate::around(f64::INFINITY, 0.0),
            |worst, (group, _)| match rooms(group, sense * threshold) {
                Some(rooms) => rooms.iter().fold(worst, |w, r| Estimate {
                    value: w.value.min(r.value),
                    low: w.low.min(r.low),
                    high: w.high.min(r.high),
                }),
                None => Estimate::around(f64::NEG_INFINITY, 0.0),
            },
        )
    };
    let best_by = |of: fn(&Estimate) -> f64| {
        let mut best: Option<(f64, Estimate)> = None;
        for threshold in candidates(trials) {
            let room = worst(threshold);
            if best.is_none_or(|(_, b)| of(&room) > of(&b)) {
                best = Some((threshold, room));
            }
        }
        best.unwrap_or((f64::NAN, Estimate::around(f64::NEG_INFINITY, 0.0)))
    };
    let cautious = best_by(|room| room.low);
    if cautious.1.low > 0.0 {
        cautious
    } else {
        best_by(|room| room.value)
    }
}

/// Thresholds that could be set: whole numbers where all that were tried are whole, else steps of the smallest distance tried.
fn candidates(trials: &[Trial]) -> Vec<f64> {
    let mut tried: Vec<f64> = trials.iter().map(|t| t.threshold).collect();
    tried.sort_by(f64::total_cmp);
    tried.dedup();
    let (low, high) = (tried[0], tried[tried.len() - 1]);
    let whole = tried.iter().all(|t| t.fract() == 0.0);
    let smallest = tried
        .windows(2)
        .map(|w| w[1] - w[0])
        .fold(f64::INFINITY, f64::min);
    let step = if whole { 1.0 } else { smallest };
    let count = ((high - low) / step).round();
    if !(count <= 20_000.0) {
        return tried;
    }
    (0..=count as u32).map(|k| low + step * f64::from(k)).collect()
}

/// Trials still needed at a place. Those at more touchy places that gave no false trigger speak for it too, and those at more numb places
/// that missed nothing: a chance that falls with the place is no larger here.
fn needed(trials: &[&Trial], at: f64, sense: f64, ask: Ask) -> Option<u64> {
    let side = |wrong: Ending, towards: f64| {
        let mut own: Vec<(f64, bool)> = trials
            .iter()
            .filter(|t| wrong == Ending::FalseTrigger || t.ending != Ending::FalseTrigger)
            .map(|t| (towards * (sense * t.threshold - at), t.ending == wrong))
            .filter(|(distance, _)| *distance >= 0.0)
            .collect();
        own.sort_by(|a, b| a.0.total_cmp(&b.0));
        // All trials at the place itself count; further out those before the first place with a failure.
        let stop = own
            .iter()
            .filter(|(d, wrong)| *d > 0.0 && *wrong)
            .map(|t| t.0)
            .fold(f64::INFINITY, f64::min);
        let counted = own.iter().filter(|(d, _)| *d == 0.0 || *d < stop);
        let (mut hits, mut count) = (0, 0);
        for (_, wrong) in counted {
            count += 1;
            hits += u64::from(*wrong);
        }
        trials_for(ask.allowed.base(), hits, ask.confidence.base()).map(|all| all.saturating_sub(count))
    };
    Some(side(Ending::FalseTrigger, -1.0)?.max(side(Ending::Missed, 1.0)?))
}

/// Trials and failures at one threshold, with the interval of the chance; for tables and pictures.
fn counts(trials: &[Trial], confidence: f64) -> Vec<(f64, usize, [Estimate; 2])> {
    let mut thresholds: Vec<f64> = trials.iter().map(|t| t.threshold).collect();
    thresholds.sort_by(f64::total_cmp);
    thresholds.dedup();
    let at = |threshold: f64| {
        let own: Vec<&Trial> = trials.iter().filter(|t| t.threshold == threshold).collect();
        let count = |ending| own.iter().filter(|t| t.ending == ending).count() as u64;
        let (touchy, numb) = (count(Ending::FalseTrigger), count(Ending::Missed));
        let n = own.len() as u64;
        let chances = [
            proportion_interval(touchy, n, confidence),
            proportion_interval(numb, n - touchy, confidence),
        ];
        (threshold, own.len(), chances)
    };
    thresholds.into_iter().map(at).collect()
}
