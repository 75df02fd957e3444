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
        let Some(last) = kept.last() else {
            kept.push(reading);
            continue;
        };
        let (line, since) = (reading.line(), reading.seconds() - last.seconds());
        if since == 0.0 && reading.says_the_same(last) {
            columns.tell(
                line,
                "the same time and the same reading as in the row before; the row is left out",
            );
            continue;
        }
        if since == 0.0 {
            columns.tell(line, "the same time as in the row before; both readings count");
        } else if since < 0.0 {
            let stray = times.get(at + 1).is_some_and(|next| *next > last.seconds());
            match (stray, rule.backward_counts) {
                (true, false) => {
                    columns.tell(
                        line,
                        "the time runs backwards in this row alone; the row is left out",
                    );
                    continue;
                }
                (true, true) => columns.tell(
                    line,
                    "the time runs backwards in this row alone; its reading counts",
                ),
                (false, _) => columns.tell(line, rule.anew),
            }
        } else if since > GAP * step {
            columns.tell(
                line,
                format!("a gap of {since:.0} s before this row: {}", rule.gap),
            );
        }
        kept.push(reading);
    }
    kept
}
