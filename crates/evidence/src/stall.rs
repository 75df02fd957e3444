//! Homing by stall detection: which threshold stops at the end, and neither before it nor beyond.
//!
//! Each trial is a homing at one threshold, with one of three outcomes. A threshold that is too touchy stops on the way (a false
//! trigger), one that is too numb runs into the end (missed). Between the two lies the window. Both edges are chances that
//! change with the threshold, each fitted by logistic regression; the value proposed has the most room to both.
//!
//! A false trigger hides whether the end would have been noticed: such trials count for the one edge alone. What is not assumed is
//! which way the numbers of the controller run: the outcomes tell.

mod edge;
mod proposal;
mod words;

use quantity::Number as _;
use quantity::si::{ElectricCurrent, Ratio, Velocity};
use statistics::{Estimate, mean, proportion_interval};

pub use self::edge::Edge;
use self::edge::edge;
use self::proposal::{needed, propose, rooms};
use crate::{Refused, Verdict};

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
pub struct StallThresholdTest {
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
pub fn stall_sweep(trials: &[Trial], ask: Ask) -> Result<Vec<StallThresholdTest>, Refused> {
    refuse(trials, ask)?;
    let mut axes: Vec<&str> = Vec::new();
    for trial in trials {
        if !axes.contains(&trial.axis.as_str()) {
            axes.push(&trial.axis);
        }
    }
    let one = |axis: &str| {
        let own = trials.iter().filter(|t| t.axis == axis);
        one_axis(axis, own.cloned().collect(), ask)
    };
    axes.into_iter().map(one).collect()
}

fn refuse(trials: &[Trial], ask: Ask) -> Result<(), Refused> {
    if !(ask.allowed.base() > 0.0 && ask.allowed.base() < 0.5) {
        return Err(words::no_chance());
    }
    if !(ask.confidence.base() > 0.5 && ask.confidence.base() < 1.0) {
        return Err(words::no_confidence());
    }
    if let Some(trial) = trials.iter().find(|t| !t.threshold.is_finite()) {
        return Err(words::no_threshold(trial.line));
    }
    if trials.is_empty() {
        return Err(words::nothing());
    }
    Ok(())
}

fn one_axis(axis: &str, trials: Vec<Trial>, ask: Ask) -> Result<StallThresholdTest, Refused> {
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
    Ok(StallThresholdTest {
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
            return Err(words::none_failed(axis));
        }
    };
    if low < high {
        Ok(1.0)
    } else if low > high {
        Ok(-1.0)
    } else {
        Err(words::unchanging(axis))
    }
}

impl StallThresholdTest {
    /// Whether the proposed threshold is safe.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let shown = self.groups.iter().all(|g| g.needed == Some(0));
        if !(self.room.value > 0.0) {
            Verdict::Fail
        } else if self.room.low > 0.0 && shown {
            Verdict::Pass
        } else {
            Verdict::Open
        }
    }

    /// Trials still needed over all groups together; nothing where no number would do.
    fn still_needed(&self) -> Option<u64> {
        self.groups.iter().map(|g| g.needed).sum()
    }

    /// The groups that still need trials, with how many.
    fn short_of_trials(&self) -> Vec<(&Group, u64)> {
        let groups = self.groups.iter();
        groups
            .filter_map(|group| Some((group, group.needed.filter(|more| *more > 0)?)))
            .collect()
    }

    /// The trials at each threshold that was tried.
    fn counts(&self) -> Vec<Count> {
        let mut thresholds: Vec<f64> = self.trials.iter().map(|t| t.threshold).collect();
        thresholds.sort_by(f64::total_cmp);
        thresholds.dedup();
        let at = |threshold: f64| {
            let own = || self.trials.iter().filter(|t| t.threshold == threshold);
            let count = |ending| own().filter(|t| t.ending == ending).count() as u64;
            let (touchy, numb) = (count(Ending::FalseTrigger), count(Ending::Missed));
            let trials = own().count() as u64;
            let chance = |hits, of| proportion_interval(hits, of, self.ask.confidence.base());
            Count {
                threshold,
                trials,
                chances: [chance(touchy, trials), chance(numb, trials - touchy)],
            }
        };
        thresholds.into_iter().map(at).collect()
    }
}

/// The trials at one threshold.
struct Count {
    threshold: f64,
    trials: u64,
    /// The chance of a false trigger, and of a miss among those that reached the end, with exact intervals.
    chances: [Estimate; 2],
}
