//! The threshold with the most room on both sides, and the trials that it still needs.

use quantity::Number as _;
use statistics::{Estimate, trials_for};

use super::{Ask, Ending, Group, Trial};

/// Room of a place to both edges: estimate, unfavourable bound (low) and favourable bound (high).
pub(super) fn rooms(group: &Group, at: f64) -> Option<[Estimate; 2]> {
    let touchy = group.touchy.place()?.map(|edge| at - edge);
    let numb = group.numb.place()?.map(|edge| edge - at);
    Some([touchy, numb])
}

/// The threshold whose smaller room in the worst group is largest: at the unfavourable bounds where that leaves any, else as estimated.
pub(super) fn propose(trials: &[Trial], groups: &[(Group, Vec<&Trial>)], sense: f64) -> (f64, Estimate) {
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
pub(super) fn needed(trials: &[&Trial], at: f64, sense: f64, ask: Ask) -> Option<u64> {
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
