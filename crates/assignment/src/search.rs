//! Branch and bound over one model: covers and knapsack rows at the root, a target that rises, depth first below it, a repair
//! that looks for good selections in between.

use crate::cover;
use crate::knapsack::Knapsacks;
use crate::model::Model;
use crate::node::{Branch, Node, Saved, State};
use crate::repair::Repair;
use crate::solution::{Limits, Progress, Work};
use std::ops::ControlFlow;

/// The first target lies this part of the gap above the bound; each further step is so many times as long.
const FIRST_STEP: i64 = 64;
const STEP_GROWTH: i64 = 2;

/// With more options left than this, a node is dear enough to look at whole knapsacks.
const LARGE: usize = 800;

/// Rounds of knapsack rows without a higher bound before branching.
const IDLE_ROUNDS: u32 = 4;

/// One node of so many gets knapsack rows of its own, in so many rounds.
const CUT_EVERY: u64 = 4;
const LATER_ROUNDS: u32 = 3;

/// Moves of the repair before branching, times the number of options.
const FIRST_MOVES: u64 = 40_000_000;

/// Nodes after which a repair is tried, and again each time their number has doubled.
const REPAIR_AFTER: u64 = 32;

/// Moves of the repair for each node, some tenth of its time: the square of the number of options divided by the first, since the tableau
/// grows with it, but no more than the second divided by their number, since a move looks at all options of an item.
const SQUARE_SHARE: u64 = 10_000;
const MOST_LOOKS: u64 = 200_000;

/// Rounds of covers added before branching.
const CUT_ROUNDS: usize = 12;

/// Nodes left to spend and the caller's hook; shared by all searches of one call.
pub(crate) struct Budget<'a> {
    pub nodes: u64,
    pub parts: (usize, usize),
    pub stopped: bool,
    /// What relaxations may still cost.
    work: Work,
    limit: u64,
    hook: Option<&'a mut dyn FnMut(Progress) -> ControlFlow<()>>,
}

impl<'a> Budget<'a> {
    pub fn new(limits: &Limits, hook: Option<&'a mut dyn FnMut(Progress) -> ControlFlow<()>>) -> Budget<'a> {
        Budget {
            nodes: 0,
            parts: (0, 0),
            stopped: false,
            work: Work::new(limits),
            limit: limits.nodes,
            hook,
        }
    }

    /// Takes work that was done beside a search; false where nothing is left.
    pub fn take(&mut self, cells: usize) -> bool {
        self.work.take(cells)
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
        own_rows: model.capacity.len(),
        knapsacks: None,
        floor: known.floor,
        give_up_at: budget.nodes.saturating_add(known.patience),
        lose_hope_at: budget.nodes.saturating_add(known.hope),
        state: State::new(model, known.selection, upper, budget.work),
    };
    let (root, open) = search.run(budget);
    budget.work = search.state.work;
    budget.stopped |= budget.work.is_spent();
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
    /// Rows of the model before covers were added.
    own_rows: usize,
    /// Where knapsacks are looked at whole.
    knapsacks: Option<Knapsacks>,
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
        if self.state.size() > LARGE && self.start_large(budget) == Node::Closed {
            return (self.state.upper, i64::MAX);
        }
        let root = self.state.lower().max(self.floor);
        (root, self.raise(root, budget))
    }

    /// Where a node is dear: tries to meet the bound by repair, then raises it by rows that see whole knapsacks.
    fn start_large(&mut self, budget: &mut Budget<'_>) -> Node {
        let lower = self.state.lower().max(self.floor);
        if let Some(mut repair) = self.repair(|_| false) {
            let moves = FIRST_MOVES / repair.size().max(1);
            self.mend(&mut repair, lower + 1, moves);
        }
        // Packed tiers are soon taken one by one, where the bound can be rounded up.
        if self.state.upper > lower && self.give_up_at == u64::MAX {
            if self.strengthen(budget) == Node::Closed {
                return Node::Closed;
            }
            self.plunge(budget);
        }
        self.state.examine()
    }

    /// Adds rows that see whole knapsacks, as long as the bound rises.
    fn strengthen(&mut self, budget: &mut Budget<'_>) -> Node {
        let alive = &self.state.domain.alive;
        self.knapsacks = Some(Knapsacks::new(self.state.model, self.own_rows, |option| {
            alive[option]
        }));
        let (mut last, mut idle) = (self.state.lower(), 0);
        while idle < IDLE_ROUNDS && !self.state.work.is_spent() && budget.spend() {
            match self.knapsack_rows() {
                None => break,
                Some(Node::Closed) => return Node::Closed,
                Some(Node::Open) => {}
            }
            idle = if self.state.lower() > last { 0 } else { idle + 1 };
            last = self.state.lower();
        }
        Node::Open
    }

    /// Adds the knapsack rows that the relaxation breaks, and examines the node again. `None` where there are none.
    fn knapsack_rows(&mut self) -> Option<Node> {
        let tableau = &self.state.tableau;
        let rows = self.knapsacks.as_ref()?.broken(|option| tableau.value_of(option));
        if rows.is_empty() {
            return None;
        }
        self.state.add_rows(&rows);
        Some(self.state.examine())
    }

    /// Adds covers that the relaxation breaks, as long as there are any.
    fn cut(&mut self) -> Node {
        for _ in 0..CUT_ROUNDS {
            if self.state.work.is_spent() {
                break;
            }
            let rows = cover::broken(self.state.model, self.own_rows, |option| {
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
        while !self.state.work.is_spent() && budget.spend() && self.state.examine() == Node::Open {
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
        let begun = budget.nodes;
        let mut repair_at = begun + REPAIR_AFTER;
        let mut repair: Option<Repair> = None;
        loop {
            if feasible && self.state.upper > self.floor {
                if self.give_up(budget) || !budget.spend() {
                    let open = path.iter().map(|waiting| waiting.lower).min();
                    return open.unwrap_or(parent).min(parent);
                }
                if budget.nodes >= repair_at {
                    let nodes = budget.nodes - begun;
                    repair_at += nodes;
                    if repair.is_none() {
                        let removed = path.first().map(|root| self.state.removed_since(&root.here));
                        repair =
                            self.repair(|option| removed.as_ref().is_some_and(|removed| removed[option]));
                    }
                    if let Some(repair) = &mut repair {
                        let moves = nodes
                            * (repair.size() * repair.size() / SQUARE_SHARE)
                                .min(MOST_LOOKS / repair.size().max(1));
                        self.mend(repair, self.state.upper, moves);
                    }
                }
                let cut = budget.nodes.is_multiple_of(CUT_EVERY);
                if self.examine(cut) == Node::Open
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

    /// Examines a node; with `cut`, with the knapsack rows that it breaks.
    fn examine(&mut self, cut: bool) -> Node {
        let mut node = self.state.examine();
        for _ in 0..if cut { LATER_ROUNDS } else { 0 } {
            if node == Node::Closed {
                break;
            }
            match self.knapsack_rows() {
                None => break,
                Some(after) => node = after,
            }
        }
        node
    }

    /// A repair over the options left and those that `back` names, from the relaxation rounded.
    fn repair(&self, back: impl Fn(usize) -> bool) -> Option<Repair> {
        let state = &self.state;
        let allowed = |option: usize| state.domain.alive[option] || back(option);
        Repair::new(state.model, self.own_rows, allowed, |item| {
            let options =
                (state.model.first[item]..state.model.first[item + 1]).filter(|&option| allowed(option));
            let used = |option: usize| state.tableau.value_of(option);
            options.max_by(|&a, &b| used(a).total_cmp(&used(b)).then(b.cmp(&a)))
        })
    }

    /// Lets a repair look for something cheaper than `upper`.
    fn mend(&mut self, repair: &mut Repair, upper: i64, moves: u64) {
        if let Some(selection) = repair.run(self.state.model, upper, moves) {
            self.state.take_better(selection);
        }
    }

    fn give_up(&self, budget: &Budget<'_>) -> bool {
        self.state.work.is_spent()
            || budget.nodes > self.give_up_at
            || self.state.best.is_none() && budget.nodes > self.lose_hope_at
    }
}
