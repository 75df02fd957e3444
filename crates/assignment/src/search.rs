//! Branch and bound over one model: covers at the root, a target that rises, depth first below it.

use crate::cover;
use crate::model::Model;
use crate::node::{Branch, Node, Saved, State};
use crate::solution::{Limits, Progress};
use std::ops::ControlFlow;

/// The first target lies this part of the gap above the bound; each further step is so many times as long.
const FIRST_STEP: i64 = 16;
const STEP_GROWTH: i64 = 3;

/// Rounds of covers added before branching.
const CUT_ROUNDS: usize = 12;

/// Nodes left to spend and the caller's hook; shared by all searches of one call.
pub(crate) struct Budget<'a> {
    pub nodes: u64,
    pub parts: (usize, usize),
    pub stopped: bool,
    limit: u64,
    hook: Option<&'a mut dyn FnMut(Progress) -> ControlFlow<()>>,
}

impl<'a> Budget<'a> {
    pub fn new(limits: &Limits, hook: Option<&'a mut dyn FnMut(Progress) -> ControlFlow<()>>) -> Budget<'a> {
        Budget {
            nodes: 0,
            parts: (0, 0),
            stopped: false,
            limit: limits.nodes,
            hook,
        }
    }

    /// Counts one node; false where the search must end.
    fn spend(&mut self) -> bool {
        if self.nodes >= self.limit {
            self.stopped = true;
        }
        if self.stopped {
            return false;
        }
        self.nodes += 1;
        if self.nodes.is_multiple_of(64) {
            self.report();
        }
        !self.stopped
    }

    pub fn report(&mut self) {
        let progress = Progress {
            nodes: self.nodes,
            parts: self.parts,
        };
        if let Some(hook) = &mut self.hook
            && hook(progress).is_break()
        {
            self.stopped = true;
        }
    }
}

/// What is known before a search starts.
#[derive(Clone, Debug)]
pub(crate) struct Known {
    /// A selection found earlier; handed back unless beaten.
    pub selection: Option<Vec<usize>>,
    /// Nothing is cheaper than this, so that the search may end there.
    pub floor: i64,
    /// Nodes after which the search gives up.
    pub patience: u64,
    /// Nodes after which a search that has found nothing gives up.
    pub hope: u64,
}

/// What a search found.
#[derive(Clone, Debug)]
pub(crate) struct Outcome {
    /// Option of each item; `None` where there is no selection, or none was found before the search was stopped.
    pub best: Option<Vec<usize>>,
    /// Cost of `best`.
    pub value: i64,
    /// Bound before branching, at most `value` where there is one.
    pub root: i64,
    /// Nothing is cheaper; equals `value` where the search ran to its end.
    pub lower: i64,
}

/// The cheapest selection. Covers found at the root are added to `model`.
pub(crate) fn minimise(model: &mut Model, known: Known, budget: &mut Budget<'_>) -> Outcome {
    let cost_of = |selection: &[usize]| selection.iter().map(|&option| model.cost[option]).sum::<i64>();
    let dearest = (0..model.items()).map(|item| {
        model.cost[model.first[item]..model.first[item + 1]]
            .iter()
            .max()
            .copied()
            .unwrap_or(0)
    });
    let upper = known
        .selection
        .as_deref()
        .map_or(dearest.sum::<i64>() + 1, cost_of);
    let mut search = Search {
        floor: known.floor,
        give_up_at: budget.nodes.saturating_add(known.patience),
        lose_hope_at: budget.nodes.saturating_add(known.hope),
        state: State::new(model, known.selection, upper),
    };
    let (root, open) = search.run(budget);
    let value = search.state.upper;
    Outcome {
        best: search.state.best,
        value,
        root: root.min(value),
        lower: open.min(value),
    }
}

/// A node, with the bound of what is below, and the branch of which one side is still to be explored.
struct Waiting {
    lower: i64,
    here: Saved,
    branch: Branch,
}

struct Search<'m> {
    state: State<'m>,
    floor: i64,
    /// Numbers of nodes at which the search ends, and at which it ends if nothing was found.
    give_up_at: u64,
    lose_hope_at: u64,
}

impl Search<'_> {
    /// Returns the bound before branching and the least bound of what was left open.
    fn run(&mut self, budget: &mut Budget<'_>) -> (i64, i64) {
        if self.state.upper <= self.floor {
            return (self.floor, i64::MAX);
        }
        if !budget.spend() {
            return (self.floor, self.floor);
        }
        if !self.state.take_single() || self.state.examine() == Node::Closed || self.cut() == Node::Closed {
            return (self.state.upper, i64::MAX);
        }
        self.plunge(budget);
        if self.state.examine() == Node::Closed {
            return (self.state.upper, i64::MAX);
        }
        let root = self.state.lower().max(self.floor);
        (root, self.raise(root, budget))
    }

    /// Adds covers that the relaxation breaks, as long as there are any.
    fn cut(&mut self) -> Node {
        let own = self.state.model.capacity.len();
        for _ in 0..CUT_ROUNDS {
            let rows = cover::broken(self.state.model, own, |option| {
                self.state.tableau.value_of(option)
            });
            if rows.is_empty() {
                break;
            }
            self.state.add_rows(&rows);
            if self.state.examine() == Node::Closed {
                return Node::Closed;
            }
        }
        Node::Open
    }

    /// Rounds the relaxation up again and again, without going back, to find a good selection early.
    fn plunge(&mut self, budget: &mut Budget<'_>) {
        let here = self.state.save();
        while budget.spend() && self.state.examine() == Node::Open {
            let Some(option) = self.state.most_used() else {
                break;
            };
            if !self.state.domain.take(self.state.model, option) {
                break;
            }
        }
        self.state.restore(here);
    }

    /// Asks for something cheaper than a target a little above the bound, and for more each time there is none: a near target
    /// removes most options and prunes early, and a poor selection found first does no harm. Returns the least bound of what
    /// was left open.
    fn raise(&mut self, root: i64, budget: &mut Budget<'_>) -> i64 {
        let known = self.state.upper;
        self.floor = root;
        let mut step = ((known - root) / FIRST_STEP).max(1);
        loop {
            let target = known.min(self.floor.saturating_add(step));
            self.state.upper = target;
            let here = self.state.save();
            let open = self.explore(budget);
            self.state.restore(here);
            let found = self.state.upper < target;
            if !found {
                self.state.upper = known;
            }
            if open != i64::MAX {
                return open.min(target).max(self.floor);
            }
            if found || target == known {
                return i64::MAX;
            }
            self.floor = target;
            step = step.saturating_mul(STEP_GROWTH);
        }
    }

    /// Explores everything below the present state, and leaves the state anywhere. Returns the least bound of what was left open.
    fn explore(&mut self, budget: &mut Budget<'_>) -> i64 {
        // Nodes whose inner side is being explored: the outer side waits.
        let mut path: Vec<Waiting> = Vec::new();
        let mut parent = self.floor;
        let mut feasible = true;
        loop {
            if feasible && self.state.upper > self.floor {
                if self.give_up(budget) || !budget.spend() {
                    let open = path.iter().map(|waiting| waiting.lower).min();
                    return open.unwrap_or(parent).min(parent);
                }
                if self.state.examine() == Node::Open
                    && let Some(branch) = self.state.branch()
                {
                    let lower = self.state.lower();
                    let here = self.state.save();
                    feasible = self.state.follow(&branch, true);
                    path.push(Waiting { lower, here, branch });
                    parent = lower;
                    continue;
                }
            }
            let Some(waiting) = path.pop() else {
                return i64::MAX;
            };
            self.state.restore(waiting.here);
            parent = waiting.lower;
            feasible = self.state.follow(&waiting.branch, false);
        }
    }

    fn give_up(&self, budget: &Budget<'_>) -> bool {
        budget.nodes > self.give_up_at || self.state.best.is_none() && budget.nodes > self.lose_hope_at
    }
}
