//! Branch and bound over one model: propagation on the rows, the integer bound, depth first.

use crate::bound::{self, Reduced};
use crate::model::Model;
use crate::solution::{Limits, Progress};
use std::ops::ControlFlow;

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

/// The cheapest selection. `known` is one found earlier, if any; it is handed back unless beaten.
pub(crate) fn minimise(model: &Model, known: Option<Vec<usize>>, budget: &mut Budget<'_>) -> Outcome {
    let cost_of = |selection: &[usize]| selection.iter().map(|&option| model.cost[option]).sum::<i64>();
    let dearest = (0..model.items()).map(|item| {
        model.cost[model.first[item]..model.first[item + 1]]
            .iter()
            .max()
            .copied()
            .unwrap_or(0)
    });
    let upper = known.as_deref().map_or(dearest.sum::<i64>() + 1, cost_of);
    let multipliers = bound::subgradient(model, upper as f64, 300);
    let mut search = Search::new(model, known, upper, &multipliers);
    let root = bound::whole(search.bound());
    let open = search.dive(budget);
    let value = search.upper;
    Outcome {
        best: search.best,
        value,
        root: root.min(value),
        lower: open.min(value),
    }
}

struct Search<'m> {
    model: &'m Model,
    reduced: Reduced,
    /// Which options are left, and how many each item has.
    alive: Vec<bool>,
    count: Vec<usize>,
    taken: Vec<Option<usize>>,
    residual: Vec<i64>,
    least: Vec<i128>,
    trail: Vec<Event>,
    best: Option<Vec<usize>>,
    upper: i64,
}

#[derive(Clone, Copy)]
enum Event {
    Removed(usize),
    Taken(usize),
    Least(usize, i128),
}

impl<'m> Search<'m> {
    fn new(model: &'m Model, best: Option<Vec<usize>>, upper: i64, multipliers: &[f64]) -> Search<'m> {
        let reduced = Reduced::new(model, multipliers);
        let mut search = Search {
            model,
            alive: vec![true; model.cost.len()],
            count: (0..model.items())
                .map(|item| model.first[item + 1] - model.first[item])
                .collect(),
            taken: vec![None; model.items()],
            residual: model.capacity.clone(),
            least: vec![0; model.items()],
            trail: Vec::new(),
            best,
            upper,
            reduced,
        };
        for item in 0..model.items() {
            search.least[item] = search.least_of(item);
        }
        search
    }

    fn options(&self, item: usize) -> impl Iterator<Item = usize> + '_ {
        (self.model.first[item]..self.model.first[item + 1]).filter(|&option| self.alive[option])
    }

    fn least_of(&self, item: usize) -> i128 {
        self.options(item)
            .map(|option| self.reduced.cost[option])
            .min()
            .unwrap_or(0)
    }

    fn bound(&self) -> i128 {
        self.least.iter().sum::<i128>() - self.reduced.constant
    }

    /// Explores everything below the present state. Returns the least bound of what was left open.
    fn dive(&mut self, budget: &mut Budget<'_>) -> i64 {
        let mark = self.trail.len();
        let here = bound::whole(self.bound());
        if here >= self.upper {
            return i64::MAX;
        }
        if !budget.spend() {
            return here;
        }
        let open = if self.propagate() {
            self.branch(budget)
        } else {
            i64::MAX
        };
        self.undo(mark);
        open
    }

    fn branch(&mut self, budget: &mut Budget<'_>) -> i64 {
        let Some(item) = self.choose_item() else {
            self.record();
            return i64::MAX;
        };
        let mut options: Vec<usize> = self.options(item).collect();
        options.sort_by_key(|&option| (self.reduced.cost[option], option));
        let mut open = i64::MAX;
        for option in options {
            let mark = self.trail.len();
            if self.take(item, option) {
                open = open.min(self.dive(budget));
            }
            self.undo(mark);
        }
        open
    }

    /// The item with the fewest options; among those the one whose second best costs most.
    fn choose_item(&self) -> Option<usize> {
        let open = (0..self.model.items()).filter(|&item| self.taken[item].is_none());
        open.min_by_key(|&item| {
            let mut two = [i128::MAX; 2];
            for option in self.options(item) {
                let cost = self.reduced.cost[option];
                if cost < two[0] {
                    two = [cost, two[0]];
                } else {
                    two[1] = two[1].min(cost);
                }
            }
            (
                std::cmp::Reverse(two[1].saturating_sub(two[0])),
                self.count[item],
                item,
            )
        })
    }

    fn record(&mut self) {
        let selection: Vec<usize> = self.taken.iter().flatten().copied().collect();
        let value = selection.iter().map(|&option| self.model.cost[option]).sum();
        if value < self.upper {
            self.upper = value;
            self.best = Some(selection);
        }
    }

    /// Removes what cannot beat the best; takes what is left alone. False where an item has nothing left.
    fn propagate(&mut self) -> bool {
        loop {
            let slack = ((i128::from(self.upper) - 1) << bound::SCALE) - self.bound();
            if slack < 0 {
                return false;
            }
            let before = self.trail.len();
            for item in 0..self.model.items() {
                if self.taken[item].is_some() {
                    continue;
                }
                let most = self.least[item] + slack;
                for option in self.model.first[item]..self.model.first[item + 1] {
                    if self.alive[option] && self.reduced.cost[option] > most && !self.remove(option) {
                        return false;
                    }
                }
                if self.count[item] == 1 {
                    let only = self.options(item).next();
                    if let Some(option) = only
                        && !self.take(item, option)
                    {
                        return false;
                    }
                }
            }
            if self.trail.len() == before {
                return true;
            }
        }
    }

    /// Gives `option` to `item`; false where that empties another item or overfills a row.
    fn take(&mut self, item: usize, option: usize) -> bool {
        self.taken[item] = Some(option);
        self.trail.push(Event::Taken(option));
        let model = self.model;
        for &(row, amount) in model.uses_of(option) {
            self.residual[row] -= amount;
        }
        for other in model.first[item]..model.first[item + 1] {
            if other != option && self.alive[other] {
                self.remove(other);
            }
        }
        for &(row, _) in model.uses_of(option) {
            if self.residual[row] < 0 {
                return false;
            }
            for &(other, amount) in model.entries_of(row) {
                if self.alive[other]
                    && model.item[other] != item
                    && self.taken[model.item[other]].is_none()
                    && amount > self.residual[row]
                    && !self.remove(other)
                {
                    return false;
                }
            }
        }
        true
    }

    /// False where the item of `option` has nothing left.
    fn remove(&mut self, option: usize) -> bool {
        let item = self.model.item[option];
        self.alive[option] = false;
        self.count[item] -= 1;
        self.trail.push(Event::Removed(option));
        if self.count[item] == 0 {
            return false;
        }
        if self.reduced.cost[option] == self.least[item] {
            let least = self.least_of(item);
            if least != self.least[item] {
                self.trail.push(Event::Least(item, self.least[item]));
                self.least[item] = least;
            }
        }
        true
    }

    fn undo(&mut self, mark: usize) {
        while self.trail.len() > mark {
            match self.trail.pop() {
                Some(Event::Removed(option)) => {
                    self.alive[option] = true;
                    self.count[self.model.item[option]] += 1;
                }
                Some(Event::Taken(option)) => {
                    self.taken[self.model.item[option]] = None;
                    for &(row, amount) in self.model.uses_of(option) {
                        self.residual[row] += amount;
                    }
                }
                Some(Event::Least(item, least)) => self.least[item] = least,
                None => break,
            }
        }
    }
}
