//! Readings in the order of their time: what repeats, runs backwards, stops or starts anew is told.

use super::columns::Columns;
use crate::read::{GAP, ordinary_step};

/// What becomes of readings whose time is odd, and the words for it.
pub(super) struct Rule {
    /// Whether a reading counts whose time alone runs backwards.
    pub backward_counts: bool,
    /// What a gap means, behind "a gap of 30 s before this row: ".
    pub gap: &'static str,
    /// What a clock that starts anew means.
    pub anew: &'static str,
}

/// The time in seconds and the line of a reading, and whether two readings say the same.
pub(super) trait Timed {
    fn seconds(&self) -> f64;
    fn line(&self) -> u64;
    fn says_the_same(&self, other: &Self) -> bool;
}

/// Looks at the order. Left out are rows that repeat the one before, and strays where the rule says so; a clock that starts anew is
/// told and left as it is.
pub(super) fn in_order<R: Timed>(columns: &mut Columns<'_>, readings: Vec<R>, rule: &Rule) -> Vec<R> {
    let times: Vec<f64> = readings.iter().map(Timed::seconds).collect();
    let step = ordinary_step(&times);
    let mut kept: Vec<R> = Vec::with_capacity(readings.len());
    for (at, reading) in readings.into_iter().enumerate() {
        let counts = match kept.last() {
            Some(last) => {
                let since = reading.seconds() - last.seconds();
                let repeats = since == 0.0 && reading.says_the_same(last);
                let alone = times.get(at + 1).is_some_and(|next| *next > last.seconds());
                let (counts, what) = rule.behind(since, step, repeats, alone);
                what.into_iter()
                    .for_each(|what| columns.tell(reading.line(), what));
                counts
            }
            None => true,
        };
        if counts {
            kept.push(reading);
        }
    }
    kept
}

impl Rule {
    /// Whether a reading counts that comes so many seconds behind the last one, and what is told of it. `repeats` says that it is the same
    /// once more, `alone` that the next reading is behind the last one again.
    fn behind(&self, since: f64, step: f64, repeats: bool, alone: bool) -> (bool, Option<String>) {
        let told = |counts, what: &str| (counts, Some(what.to_owned()));
        if repeats {
            return told(
                false,
                "the same time and the same reading as in the row before; the row is left out",
            );
        }
        if since == 0.0 {
            return told(true, "the same time as in the row before; both readings count");
        }
        if since < 0.0 {
            return match (alone, self.backward_counts) {
                (true, false) => told(
                    false,
                    "the time runs backwards in this row alone; the row is left out",
                ),
                (true, true) => told(
                    true,
                    "the time runs backwards in this row alone; its reading counts",
                ),
                (false, _) => told(true, self.anew),
            };
        }
        let gap =
            (since > GAP * step).then(|| format!("a gap of {since:.0} s before this row: {}", self.gap));
        (true, gap)
    }
}
