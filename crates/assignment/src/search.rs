//! Branch and bound over one model: relaxation, integer bound, removal by reduced cost, depth first.

use crate::bound::{self, Reduced};
use crate::domain::Domain;
use crate::model::Model;
use crate::simplex::Tableau;
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
    let mut search = Search {
        model,
        domain: Domain::new(model),
        tableau: Tableau::new(model),
        synced: 0,
        reduced: Reduced::default(),
        best: known,
        upper,
        root: None,
    };
    let open = search.explore(budget);
    let value = search.upper;
    let root = search.root.unwrap_or(0);
    Outcome {
        best: search.best,
        value,
        root: root.min(value),
        lower: open.min(value),
    }
}

struct Search<'m> {
    model: &'m Model,
    domain: Domain,
    tableau: Tableau,
    /// The tableau knows the domain's removals up to this mark.
    synced: usize,
    reduced: Reduced,
    best: Option<Vec<usize>>,
    /// Only what is cheaper is looked for.
    upper: i64,
    root: Option<i64>,
}

/// What to do with a node.
enum Node {
    /// Nothing cheaper below.
    Closed,
    Branch(usize),
}

impl Search<'_> {
    /// Explores everything below the present state. Returns the least bound of what was left open. The domain is left as it
    /// was found; the tableau is not.
    fn explore(&mut self, budget: &mut Budget<'_>) -> i64 {
        let mark = self.domain.mark();
        let mut open = i64::MAX;
        let mut lower = i64::MIN;
        loop {
            if !budget.spend() {
                open = open.min(lower.max(self.root.unwrap_or(i64::MIN)));
                break;
            }
            let Node::Branch(option) = self.examine() else {
                break;
            };
            lower = self.lower();
            let (here, synced) = (self.domain.mark(), self.synced);
            let saved = self.tableau.clone();
            if self.domain.take(self.model, option) {
                open = open.min(self.explore(budget));
            }
            self.domain.undo(self.model, here);
            self.tableau = saved;
            self.synced = synced;
            if budget.stopped {
                open = open.min(lower);
                break;
            }
            if !self.domain.remove(self.model, option) {
                break;
            }
        }
        self.domain.undo(self.model, mark);
        open
    }

    fn lower(&self) -> i64 {
        bound::whole(self.reduced.bound(self.model, &self.domain))
    }

    /// Solves the relaxation, removes what cannot be cheaper, until nothing changes.
    fn examine(&mut self) -> Node {
        loop {
            for option in self.domain.removed_since(self.synced) {
                self.tableau.remove(option);
            }
            self.synced = self.domain.mark();
            let cut = (self.upper - 1) as f64 + 1e-6;
            let end = self.tableau.solve(cut);
            let multipliers = self.tableau.multipliers(self.model, end, cut);
            self.reduced = Reduced::new(self.model, &multipliers);
            let lower = self.lower();
            self.root.get_or_insert(lower);
            if lower >= self.upper {
                return Node::Closed;
            }
            if !self.remove_dear() {
                return Node::Closed;
            }
            let gone = self.domain.removed_since(self.synced);
            if gone
                .into_iter()
                .any(|option| self.tableau.value_of(option) > 1e-7)
            {
                continue;
            }
            match self.partly_used() {
                Some(option) => return Node::Branch(option),
                None => {
                    self.record();
                    if self.lower() >= self.upper {
                        return Node::Closed;
                    }
                    match self.any_open() {
                        Some(option) => return Node::Branch(option),
                        None => return Node::Closed,
                    }
                }
            }
        }
    }

    /// Removes options whose reduced cost alone closes the gap. False where an item has nothing left.
    fn remove_dear(&mut self) -> bool {
        let bound = self.reduced.bound(self.model, &self.domain);
        let slack = (i128::from(self.upper - 1) << bound::SCALE) - bound;
        for item in 0..self.model.items() {
            if self.domain.taken[item].is_some() {
                continue;
            }
            let most = self.reduced.least(self.model, &self.domain, item) + slack;
            for option in self.model.first[item]..self.model.first[item + 1] {
                if self.domain.alive[option]
                    && self.reduced.cost[option] > most
                    && !self.domain.remove(self.model, option)
                {
                    return false;
                }
            }
        }
        true
    }

    /// The partly used option whose two penalties together promise most.
    fn partly_used(&self) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        for option in (0..self.model.cost.len()).filter(|&option| self.domain.alive[option]) {
            let value = self.tableau.value_of(option);
            if !(1e-6..=1.0 - 1e-6).contains(&value) {
                continue;
            }
            let (down, up) = self.tableau.penalties(option);
            let score = f64::max(down.min(1e12), 1e-6) * f64::max(up.min(1e12), 1e-6);
            if best.is_none_or(|(most, _)| score > most) {
                best = Some((score, option));
            }
        }
        best.map(|(_, option)| option)
    }

    /// Where the relaxation is whole but the bound, rounded, does not close: any option of an open item.
    fn any_open(&self) -> Option<usize> {
        let item = (0..self.model.items()).find(|&item| self.domain.taken[item].is_none())?;
        self.domain.options(self.model, item).max_by(|&a, &b| {
            self.tableau
                .value_of(a)
                .total_cmp(&self.tableau.value_of(b))
                .then(b.cmp(&a))
        })
    }

    /// Takes the whole solution of the relaxation as the best, where it holds in integers and is cheaper.
    fn record(&mut self) {
        let chosen = |item: usize| {
            self.domain
                .options(self.model, item)
                .find(|&option| self.tableau.value_of(option) > 0.5)
        };
        let Some(selection) = (0..self.model.items())
            .map(chosen)
            .collect::<Option<Vec<usize>>>()
        else {
            return;
        };
        if let Some(value) = self.model.value(&selection)
            && value < self.upper
        {
            self.upper = value;
            self.best = Some(selection);
        }
    }
}
