//! The phases of a log: cold, heat-up, approach, soak, disturbance, cooling.

use quantity::si::{TemperatureInterval, ThermodynamicTemperature, Time, celsius, kelvin, second};
use serde::Serialize;
use statistics::median_high;

use super::view::View;
use super::{Ask, words};
use crate::Trouble;
use crate::quantities::in_celsius;
use crate::read::{Channel, Log};

/// What goes on in a part of a log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    /// No target, and nothing moves.
    Cold,
    /// Far below the target.
    HeatUp,
    /// Near the target, until it is held.
    Approach,
    /// The target is held.
    Soak,
    /// Something from outside takes it off the target.
    Disturbance,
    /// Well above the target, or without one and falling.
    Cooling,
    /// The duty is given by hand or by a programme of time, and nothing is held.
    Driven,
}

/// A part of a log.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// What goes on.
    pub phase: Phase,
    /// Its start, from the first sample of the log.
    pub start: Time,
    /// Its end.
    pub end: Time,
    /// The target, if there is one.
    pub target: Option<ThermodynamicTemperature>,
    /// First point of the view, and the one behind the last.
    pub(crate) points: (usize, usize),
}

/// Near is within this of the target, or within a tenth of the way to it.
const NEAR: f64 = 10.0;
/// For this long readings have to stay in the band before the target counts as held, s.
const HELD: f64 = 20.0;

/// Cuts a log.
pub(super) fn phases(view: &View, ask: &Ask, troubles: &mut Vec<Trouble>) -> Vec<Span> {
    let targets = targets(view, ask, troubles);
    let noise = noise(&view.measured);
    let band = (5.0 * noise).max(3.0);
    let mut spans: Vec<Span> = Vec::new();
    let mut start = 0;
    while start < view.len() {
        let target = targets[start];
        let same = |at: &usize| targets[*at].to_bits() == target.to_bits();
        let end = (start..view.len()).find(|at| !same(at)).unwrap_or(view.len());
        if target > 0.0 {
            wanted(view, (start, end), target, band, &mut spans);
        } else {
            let falls = view.measured[start] - view.measured[end - 1] > 5.0_f64.max(5.0 * noise);
            let phase = if falls { Phase::Cooling } else { Phase::Cold };
            push(&mut spans, view, phase, (start, end), None);
        }
        start = end;
    }
    spans
}

/// A log whose duty does not react: one phase.
pub(super) fn driven(view: &View) -> Vec<Span> {
    let mut spans = Vec::new();
    push(&mut spans, view, Phase::Driven, (0, view.len()), None);
    spans
}

/// One stretch with one target.
fn wanted(view: &View, (start, end): (usize, usize), target: f64, band: f64, spans: &mut Vec<Span>) {
    let off = |at: usize| view.measured[at] - target;
    let way = off(start).abs();
    let near = NEAR.max(way / 10.0).max(band);
    let mut at = start;
    let mut add = |phase, from: usize, to: usize| push(spans, view, phase, (from, to), Some(target));
    // Down to a lower target.
    let reached = (at..end).find(|at| off(*at).abs() <= near);
    // A loop may hold far from its target: then it is near where it comes near to that level.
    let reached = reached.or_else(|| {
        let level = steady_level(&view.measured[start..end])?;
        (at..end).find(|at| (view.measured[*at] - level).abs() <= band)
    });
    let reached = reached.unwrap_or(end);
    add(
        if off(start) > near {
            Phase::Cooling
        } else {
            Phase::HeatUp
        },
        at,
        reached,
    );
    at = reached;
    let (level, band) = held_level(&view.measured[reached..end], target, near, band);
    let off = |at: usize| view.measured[at] - level;
    let held = held(view, level, band, at, end).unwrap_or(end);
    add(Phase::Approach, at, held);
    at = held;
    while at < end {
        let left = (at..end).find(|at| off(*at).abs() > band).unwrap_or(end);
        add(Phase::Soak, at, left);
        at = left;
        if at < end {
            let back = self::held(view, level, band, at, end).unwrap_or(end);
            add(Phase::Disturbance, at, back);
            at = back;
        }
    }
}

/// Level and band of a soak, from the second half of what lies near the target. A loop may hold beside its target, and it may swing:
/// what is still a soak is wide enough for a lively one, and what leaves it is a disturbance.
fn held_level(near_target: &[f64], target: f64, near: f64, least: f64) -> (f64, f64) {
    let mut later = near_target[near_target.len() / 2..].to_vec();
    if later.is_empty() {
        return (target, least);
    }
    let level = median_high(&mut later);
    let level = if (level - target).abs() <= near || steady_level(near_target).is_some() {
        level
    } else {
        target
    };
    let mut off: Vec<f64> = later.iter().map(|value| (value - level).abs()).collect();
    // Four deviations of a normal swing, from the median so that disturbances do not widen it.
    (level, (4.0 * median_high(&mut off) / 0.6745).max(least))
}

/// The level of the later half of a stretch, where its two halves agree and it hardly swings; nothing of a few points.
fn steady_level(stretch: &[f64]) -> Option<f64> {
    const FEWEST: usize = 60;
    const APART: f64 = 1.0;
    let later = &stretch[stretch.len() / 2..];
    if later.len() < FEWEST {
        return None;
    }
    let (one, other) = later.split_at(later.len() / 2);
    let [one, other] = [one, other].map(|half| median_high(&mut half.to_vec()));
    let level = median_high(&mut later.to_vec());
    let mut off: Vec<f64> = later.iter().map(|value| (value - level).abs()).collect();
    let keeps = (one - other).abs() <= APART && median_high(&mut off) <= APART;
    keeps.then_some(level)
}

/// The first point from which on readings stay in the band for long enough.
fn held(view: &View, target: f64, band: f64, from: usize, end: usize) -> Option<usize> {
    let mut start = None;
    for at in from..end {
        if (view.measured[at] - target).abs() > band {
            start = None;
            continue;
        }
        let first = *start.get_or_insert(at);
        if view.time[at] - view.time[first] >= HELD {
            return Some(first);
        }
    }
    // The log may end before.
    start
}

fn push(spans: &mut Vec<Span>, view: &View, phase: Phase, points: (usize, usize), target: Option<f64>) {
    let (from, to) = points;
    if from >= to {
        return;
    }
    let end = view.start.get(to).copied().unwrap_or(view.time[to - 1]);
    spans.push(Span {
        phase,
        start: second(view.start[from]),
        end: second(end),
        target: target.map(celsius),
        points,
    });
}

/// The target at each point; where the log has none, the level at which it stays longest, from the start of its heat-up.
fn targets(view: &View, ask: &Ask, troubles: &mut Vec<Trouble>) -> Vec<f64> {
    if view.target.iter().any(|target| target.is_finite()) {
        return view
            .target
            .iter()
            .map(|target| if target.is_nan() { 0.0 } else { *target })
            .collect();
    }
    let ambient = in_celsius(ask.ambient);
    let Some(level) = level(view).filter(|level| *level > ambient + 15.0) else {
        return vec![0.0; view.len()];
    };
    troubles.push(words::target_assumed(level));
    // Off where the heater rests and the temperature has left the level for good.
    let last = (0..view.len())
        .rev()
        .find(|at| (view.measured[*at] - level).abs() < 3.0)
        .unwrap_or(0);
    let first = view
        .measured
        .iter()
        .position(|value| *value > ambient + 8.0)
        .unwrap_or(0);
    let first = (0..first)
        .rev()
        .find(|at| view.measured[*at] < ambient + 3.0)
        .unwrap_or(0);
    (0..view.len())
        .map(|at| if (first..=last).contains(&at) { level } else { 0.0 })
        .collect()
}

/// The middle of the band of 2 K that holds most readings.
fn level(view: &View) -> Option<f64> {
    let mut sorted = view.measured.clone();
    sorted.sort_by(f64::total_cmp);
    let mut end = 0;
    let mut best = (0, None);
    for (start, low) in sorted.iter().enumerate() {
        while end < sorted.len() && sorted[end] <= low + 2.0 {
            end += 1;
        }
        if end - start > best.0 {
            best = (end - start, Some(sorted[usize::midpoint(start, end - 1)]));
        }
    }
    best.1
}

/// First sample of each heat-up, and the one at which the target is near, looked for sample by sample where the log tells targets: the
/// blocks of a long log may be as long as the whole heat-up. Else the heat-ups of the view, a block more on either side.
pub(super) fn heat_ups(log: &Log, channel: &Channel, view: &View, spans: &[Span]) -> Vec<(usize, usize)> {
    let by_target = channel.target.as_ref().map(|targets| {
        let ends = targets.starts.iter().skip(1).copied().chain([log.len()]);
        let runs = targets.starts.iter().zip(ends).zip(&targets.values);
        let heats = runs.filter_map(|((from, to), target)| {
            let readings = channel.measured.get(*from..to)?;
            let first = readings.iter().copied().find(|value| value.is_finite())?;
            let near = NEAR.max(f64::from(target - first) / 10.0);
            if *target <= 0.0 || f64::from(target - first) < NEAR + 5.0 {
                return None;
            }
            let reached = readings
                .iter()
                .position(|value| f64::from(target - value) <= near);
            Some((*from, reached.map_or(to, |reached| from + reached)))
        });
        heats.collect::<Vec<_>>()
    });
    by_target.filter(|found| !found.is_empty()).unwrap_or_else(|| {
        let sample = |point: usize| view.sample.get(point).copied().unwrap_or(log.len());
        let heats = spans.iter().filter(|span| span.phase == Phase::HeatUp);
        heats
            .map(|span| (sample(span.points.0.saturating_sub(1)), sample(span.points.1 + 1)))
            .collect()
    })
}

/// Standard deviation of what changes from point to point, from the median: steps and lags do not count.
pub(super) fn noise(values: &[f64]) -> f64 {
    if values.len() < 4 {
        return 0.0;
    }
    let mut second: Vec<f64> = values
        .windows(3)
        .map(|three| (three[0] - 2.0 * three[1] + three[2]).abs())
        .collect();
    // A second difference has six times the variance; the median of a normal size is 0.6745 deviations.
    median_high(&mut second) / 0.6745 / 6.0_f64.sqrt()
}

/// By how much the target was exceeded after each heat-up to the first one's target, from at least 15 K below.
pub(super) fn overshoots(view: &View, spans: &[Span]) -> Vec<TemperatureInterval> {
    let heats = || (0..spans.len()).filter(|at| spans[*at].phase == Phase::HeatUp);
    let target = |at: usize| spans[at].target.map_or(f64::NAN, in_celsius);
    let Some(first) = heats().next().map(target) else {
        return Vec::new();
    };
    heats()
        .filter(|at| (target(*at) - first).abs() < 5.0 && first - view.measured[spans[*at].points.0] >= 15.0)
        .filter_map(|at| overshoot(view, spans, at))
        .collect()
}

/// By how much the target was exceeded after one heat-up.
fn overshoot(view: &View, spans: &[Span], at: usize) -> Option<TemperatureInterval> {
    let target = in_celsius(spans[at].target?);
    let until = spans[at + 1..]
        .iter()
        .take_while(|span| matches!(span.phase, Phase::Approach | Phase::Soak))
        .map(|span| span.points)
        .collect::<Vec<_>>();
    let (first, last) = (until.first()?.0, until.last()?.1);
    // The first swing is over a few minutes after the target was met; later highs are the soak's.
    let met = (first..last).find(|at| view.measured[*at] >= target)?;
    let high = (met..last)
        .take_while(|at| view.time[*at] - view.time[met] < 300.0)
        .map(|at| view.measured[at])
        .fold(f64::MIN, f64::max);
    Some(kelvin((high - target).max(0.0)))
}
