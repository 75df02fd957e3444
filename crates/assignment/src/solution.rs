//! What the solver hands back: the selection, its cost, and how sure it is; and the limits a caller may set.

use std::sync::atomic::{AtomicBool, Ordering};

use crate::problem::{Choice, Item, Problem, Total};

/// How far a search may go. The default has no end but the proof.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Largest number of nodes of the search trees of one call, all its subproblems together.
    pub nodes: u64,
    /// Most cells of tableaus that relaxations may look at, some thousand million a second: an end that comes at the same place on every machine.
    pub work: u64,
    /// Ends the search where it is set, with the best so far.
    pub stop: Option<&'static AtomicBool>,
}

impl Default for Limits {
    fn default() -> Limits {
        Limits {
            nodes: u64::MAX,
            work: u64::MAX,
            stop: None,
        }
    }
}

/// What is left of the work of [`Limits`].
#[derive(Clone, Copy, Debug)]
pub(crate) struct Work {
    left: u64,
    stop: Option<&'static AtomicBool>,
}

impl Work {
    pub fn new(limits: &Limits) -> Work {
        Work {
            left: limits.work,
            stop: limits.stop,
        }
    }
    /// Takes the cells of one step; false where nothing is left.
    pub fn take(&mut self, cells: usize) -> bool {
        self.left = self.left.saturating_sub(cells as u64);
        if self.stop.is_some_and(|stop| stop.load(Ordering::Relaxed)) {
            self.left = 0;
        }
        self.left > 0
    }
    pub fn is_spent(&self) -> bool {
        self.left == 0
    }
}

/// Where a search stands; handed to the hook of [`solve_watched`](crate::solve_watched) now and then.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Nodes explored so far.
    pub nodes: u64,
    /// Independent parts of the problem already solved, and how many there are.
    pub parts: (usize, usize),
}

/// One selection with its cost and proof.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Solution {
    /// The choice of each item, in the order of the items; `None` where it stays unassigned.
    pub chosen: Vec<Option<Choice>>,
    /// The required items that stay unassigned.
    pub unassigned: Vec<Item>,
    /// The sum of the costs.
    pub cost: Total,
    /// Why nothing is cheaper, or how much cheaper something could be.
    pub proof: Proof,
}

impl Solution {
    pub(crate) fn new(problem: &Problem, chosen: Vec<Option<Choice>>, proof: Proof) -> Solution {
        let unassigned = problem
            .items()
            .filter(|&item| problem.is_required(item) && chosen[item.0].is_none())
            .collect();
        let cost = problem.total(&chosen);
        Solution {
            chosen,
            unassigned,
            cost,
            proof,
        }
    }

    /// Whether nothing can be cheaper.
    pub fn is_optimal(&self) -> bool {
        matches!(self.proof, Proof::Optimal { .. })
    }
}

/// How sure a result is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// Nothing is cheaper.
    Optimal {
        /// The bound before any branching. Never above the cost.
        root_bound: Total,
        /// Nodes of all search trees.
        nodes: u64,
        /// What closed the last gap.
        closed: Closed,
    },
    /// The limit or the hook ended the search first.
    Stopped {
        /// Nothing is cheaper than this.
        lower_bound: Total,
        /// Cost less lower bound, tier by tier: read up to the first tier that is not 0.
        gap: Total,
        /// Nodes of all search trees.
        nodes: u64,
    },
}

/// What closed the gap between the bound and the cost.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Closed {
    /// The bound before branching met the cost.
    AtRoot,
    /// Every branch was explored or bounded.
    BySearch,
}
