//! Tracks for lines that run side by side: an order with few crossings, and as few tracks as that order allows.

/// A line on a track, from `low` to `high`, with a stroke leaving at each end, towards the near or the far side.
#[derive(Clone, Copy, Debug)]
pub(super) struct Run {
    pub ends: [RunEnd; 2],
}

/// One end of a run.
#[derive(Clone, Copy, Debug)]
pub(super) struct RunEnd {
    /// Where along the track.
    pub at: f64,
    /// Whether the stroke there leaves towards the near side, the side of track 0.
    pub near: bool,
}

impl Run {
    pub const fn low(&self) -> f64 {
        self.ends[0].at.min(self.ends[1].at)
    }

    pub const fn high(&self) -> f64 {
        self.ends[0].at.max(self.ends[1].at)
    }

    /// Whether the two may not share a track: `air` is what must lie between their ends.
    fn meets(&self, other: &Self, air: f64) -> bool {
        self.low() < other.high() + air && other.low() < self.high() + air
    }

    fn spans(&self, at: f64) -> bool {
        self.low() < at && at < self.high()
    }
}

/// Crossings if `a` lies nearer than `b`: what leaves `b` to the near side crosses `a`, and the other way round.
fn crossings(a: &Run, b: &Run) -> usize {
    let through_a = b.ends.iter().filter(|e| e.near && a.spans(e.at)).count();
    let through_b = a.ends.iter().filter(|e| !e.near && b.spans(e.at)).count();
    through_a + through_b
}

/// The track of each run, counted from the near side.
pub(super) fn tracks(runs: &[Run], air: f64) -> Vec<usize> {
    let count = runs.len();
    // nearer[a][b]: a must have a lower track than b.
    let mut nearer = vec![vec![false; count]; count];
    let mut pairs: Vec<(usize, usize, usize, usize)> = Vec::new();
    for a in 0..count {
        for b in a + 1..count {
            if runs[a].meets(&runs[b], air) {
                pairs.push((a, b, crossings(&runs[a], &runs[b]), crossings(&runs[b], &runs[a])));
            }
        }
    }
    // Where the order matters most first, so that a cycle costs little.
    pairs.sort_by_key(|(a, b, ab, ba)| (std::cmp::Reverse(ab.abs_diff(*ba)), *a, *b));
    for (a, b, ab, ba) in pairs {
        let (first, second) = if ab <= ba { (a, b) } else { (b, a) };
        if reaches(&nearer, second, first) {
            nearer[second][first] = true;
        } else {
            nearer[first][second] = true;
        }
    }
    levels(&nearer)
}

fn reaches(nearer: &[Vec<bool>], from: usize, to: usize) -> bool {
    let mut seen = vec![false; nearer.len()];
    let mut stack = vec![from];
    while let Some(at) = stack.pop() {
        if at == to {
            return true;
        }
        if !std::mem::replace(&mut seen[at], true) {
            stack.extend((0..nearer.len()).filter(|n| nearer[at][*n]));
        }
    }
    false
}

/// Longest chain of nearer ones before each.
fn levels(nearer: &[Vec<bool>]) -> Vec<usize> {
    let count = nearer.len();
    let mut level = vec![0; count];
    // Without a cycle, `count` rounds suffice.
    for _ in 0..count {
        for a in 0..count {
            for b in 0..count {
                if nearer[a][b] {
                    level[b] = level[b].max(level[a] + 1);
                }
            }
        }
    }
    level
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const fn run(from: f64, to: f64) -> Run {
        // From the near side to the far side.
        Run {
            ends: [RunEnd { at: from, near: true }, RunEnd { at: to, near: false }],
        }
    }

    #[test]
    fn nested_runs_do_not_cross() {
        // Both go down; the lower one must turn nearer to where they come from.
        let runs = [run(0.0, 50.0), run(10.0, 60.0)];
        assert_eq!(tracks(&runs, 2.0), [1, 0]);
        assert_eq!(crossings(&runs[1], &runs[0]), 0);
        // Both go up: the other way round.
        assert_eq!(tracks(&[run(50.0, 0.0), run(60.0, 10.0)], 2.0), [0, 1]);
    }

    #[test]
    fn runs_apart_share_a_track() {
        assert_eq!(tracks(&[run(0.0, 10.0), run(20.0, 30.0)], 2.0), [0, 0]);
    }

    proptest! {
        /// In the plane, an order that is kept needs no crossing (river routing).
        #[test]
        fn an_order_that_is_kept_needs_no_crossing(
            from in prop::collection::btree_set(0_u16..400, 1..14),
            to in prop::collection::btree_set(0_u16..400, 14),
        ) {
            let runs: Vec<Run> =
                from.iter().zip(&to).map(|(f, t)| run(f64::from(*f), f64::from(*t) + 0.5)).collect();
            let on = tracks(&runs, 0.1);
            for a in 0..runs.len() {
                for b in 0..runs.len() {
                    if a != b && runs[a].meets(&runs[b], 0.1) {
                        prop_assert_ne!(on[a], on[b]);
                        if on[a] < on[b] {
                            prop_assert_eq!(crossings(&runs[a], &runs[b]), 0);
                        }
                    }
                }
            }
        }
    }
}
