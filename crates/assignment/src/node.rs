//! The state of a search at one node: the relaxation, the integer bound, what that removes, and where to branch.

use crate::bound::Reduced;
use crate::domain::Domain;
use crate::model::Model;
use crate::simplex::{End, Packed, Tableau};
use crate::solution::Work;

/// So far the relaxation must pass the last cost that would still be cheaper, before it is stopped: more than all hints and
/// jitter.
const CUT_MARGIN: f64 = 0.07;

/// Where the relaxation claims so much more, or so large a part more, than its multipliers prove, it is built anew.
const DRIFT: f64 = 0.5;
const DRIFT_PART: f64 = 1e-4;

/// Among more rows of an item it is looked whether two of them split it alike.
const MANY_ROWS: usize = 64;

/// Shares nearer to 0 or 1 than this count as whole.
const WHOLE: f64 = 1e-6;

/// What was found out about a node.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Node {
    /// Nothing cheaper below.
    Closed,
    Open,
}

/// Splits a node in two: an item is served by one of these options, or by none of them.
#[derive(Clone, Debug)]
pub(crate) struct Branch {
    item: usize,
    inside: Vec<usize>,
}

/// A state to come back to.
pub(crate) struct Saved {
    tableau: Packed,
    mark: usize,
    synced: usize,
}

pub(crate) struct State<'m> {
    pub model: &'m mut Model,
    pub domain: Domain,
    pub tableau: Tableau,
    pub best: Option<Vec<usize>>,
    /// Only what is cheaper is looked for.
    pub upper: i64,
    /// What relaxations may still cost.
    pub work: Work,
    multipliers: Vec<f64>,
    reduced: Reduced,
    /// The tableau knows the domain's removals up to this mark.
    synced: usize,
    /// Tableaus no longer needed, kept for their memory.
    pool: Vec<Packed>,
}

impl<'m> State<'m> {
    pub fn new(model: &'m mut Model, best: Option<Vec<usize>>, upper: i64, work: Work) -> State<'m> {
        State {
            domain: Domain::new(model),
            tableau: Tableau::new(model, |_| true),
            best,
            upper,
            work,
            multipliers: Vec::new(),
            reduced: Reduced::new(model),
            synced: 0,
            pool: Vec::new(),
            model,
        }
    }

    /// Gives every item that has only one option that option. False where they do not fit together.
    pub fn take_single(&mut self) -> bool {
        let single = |&item: &usize| self.model.first[item + 1] - self.model.first[item] == 1;
        let singles: Vec<usize> = (0..self.model.items()).filter(single).collect();
        singles.into_iter().all(|item| {
            self.domain.taken[item].is_some() || self.domain.take(self.model, self.model.first[item])
        })
    }

    pub fn add_rows(&mut self, rows: &[(Vec<(usize, i64)>, i64)]) {
        self.model.add_rows(rows);
        self.domain.add_rows(self.model);
        self.tableau.grow(self.model);
        self.reduced = Reduced::new(self.model);
    }

    /// Options left.
    pub fn size(&self) -> usize {
        self.domain.count.iter().sum()
    }

    pub fn save(&mut self) -> Saved {
        self.tableau.drop_loose_rows();
        let mut tableau = self.pool.pop().unwrap_or_default();
        self.tableau.pack_to(&mut tableau);
        Saved {
            tableau,
            mark: self.domain.mark(),
            synced: self.synced,
        }
    }

    pub fn restore(&mut self, mut saved: Saved) {
        self.domain.undo(self.model, saved.mark);
        self.tableau.unpack(&mut saved.tableau);
        self.pool.push(saved.tableau);
        self.synced = saved.synced;
        self.tableau.grow(self.model);
    }

    /// Nothing below costs less.
    pub fn lower(&self) -> i64 {
        self.reduced.whole(self.reduced.bound())
    }

    /// Solves the relaxation, removes what cannot be cheaper, until nothing changes; keeps a whole solution.
    pub fn examine(&mut self) -> Node {
        loop {
            for option in self.domain.removed_since(self.synced) {
                self.tableau.remove(option);
            }
            self.synced = self.domain.mark();
            self.relax();
            if self.lower() >= self.upper || !self.remove_dear() {
                return Node::Closed;
            }
            let mut gone = self.domain.removed_since(self.synced);
            if !gone.any(|option| self.tableau.value_of(option) > WHOLE) {
                break;
            }
        }
        if self.partly().next().is_none() {
            self.record();
        }
        let all_taken = self.domain.taken.iter().all(Option::is_some);
        if all_taken || self.lower() >= self.upper {
            Node::Closed
        } else {
            Node::Open
        }
    }

    /// Solves the relaxation, or as far as the bound needs, and takes its multipliers.
    fn relax(&mut self) {
        let target = (self.upper - 1) as f64 + CUT_MARGIN;
        let mut cut = target;
        let mut rebuilt = false;
        loop {
            let end = self.tableau.solve(cut, &mut self.work);
            if end == End::Optimal && self.tableau.add_broken_rows(self.model) {
                continue;
            }
            self.tableau
                .multipliers(self.model, end, target, &mut self.multipliers);
            self.reduced.set(self.model, &self.domain, &self.multipliers);
            if self.lower() >= self.upper || self.work.is_spent() {
                break;
            }
            if self.add_options() {
                continue;
            }
            if let End::Infeasible(_) = end {
                // Nothing here in floating point, but perhaps in integers: keep the bound without the ray.
                self.tableau
                    .multipliers(self.model, End::Tired, target, &mut self.multipliers);
                self.reduced.set(self.model, &self.domain, &self.multipliers);
            }
            if !rebuilt && self.drifted() {
                rebuilt = true;
                let alive = &self.domain.alive;
                self.tableau = Tableau::new(self.model, |option| alive[option]);
                continue;
            }
            if end != End::Cut || cut == f64::INFINITY {
                break;
            }
            // Past the cut in floating point, but not in integers: go on.
            cut = f64::INFINITY;
        }
    }

    /// Whether the relaxation claims more than its multipliers prove: rounding errors have piled up.
    fn drifted(&self) -> bool {
        let claimed = self.tableau.objective();
        claimed - self.reduced.in_costs(self.reduced.bound()) > DRIFT.max(claimed.abs() * DRIFT_PART)
    }

    /// Adds to the tableau the cheapest option of each item, where it is cheaper than those there. False where there is none.
    fn add_options(&mut self) -> bool {
        let mut any = false;
        for item in 0..self.model.items() {
            let mut there = i64::MAX;
            let mut left_out = (i64::MAX, usize::MAX);
            for option in self.domain.options(self.model, item) {
                let cost = self.reduced.cost[option];
                if self.tableau.has(option) {
                    there = there.min(cost);
                } else {
                    left_out = left_out.min((cost, option));
                }
            }
            let cheaper =
                left_out.1 != usize::MAX && left_out.0.saturating_add(self.reduced.trifle()) < there;
            any |= cheaper && self.tableau.add_option(self.model, left_out.1);
        }
        any
    }

    /// Removes options whose reduced cost alone closes the gap. False where an item has nothing left.
    fn remove_dear(&mut self) -> bool {
        let slack = self.reduced.scaled(self.upper - 1) - self.reduced.bound();
        for item in 0..self.model.items() {
            if self.domain.taken[item].is_some() {
                continue;
            }
            let most = self.reduced.least[item] + slack;
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

    /// Takes the whole solution of the relaxation as the best, where it holds in integers and is cheaper.
    fn record(&mut self) {
        let chosen = |item: usize| match self.domain.taken[item] {
            Some(option) => Some(option),
            None => self
                .domain
                .options(self.model, item)
                .find(|&option| self.tableau.value_of(option) > 0.5),
        };
        let Some(selection) = (0..self.model.items())
            .map(chosen)
            .collect::<Option<Vec<usize>>>()
        else {
            return;
        };
        self.take_better(selection);
    }

    /// Takes a selection as the best, where it holds in integers and is cheaper.
    pub fn take_better(&mut self, selection: Vec<usize>) {
        if let Some(value) = self.model.value(&selection)
            && value < self.upper
        {
            self.upper = value;
            self.best = Some(selection);
        }
    }

    /// Whether each option was taken away since a state was saved.
    pub fn removed_since(&self, saved: &Saved) -> Vec<bool> {
        let mut removed = vec![false; self.model.cost.len()];
        for option in self.domain.removed_since(saved.mark) {
            removed[option] = true;
        }
        removed
    }

    fn open_items(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.model.items()).filter(|&item| self.domain.taken[item].is_none())
    }

    /// Options that the relaxation uses in part, with their shares.
    fn partly(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let options = self
            .open_items()
            .flat_map(|item| self.domain.options(self.model, item));
        let values = options.map(|option| (option, self.tableau.value_of(option)));
        values.filter(|(_, value)| (WHOLE..=1.0 - WHOLE).contains(value))
    }

    /// The partly used option nearest to 1.
    pub fn most_used(&self) -> Option<usize> {
        self.partly()
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
            .map(|(option, _)| option)
    }

    /// Takes one side of a branch. False where that leaves an item without an option.
    pub fn follow(&mut self, branch: &Branch, inside: bool) -> bool {
        for option in self.model.first[branch.item]..self.model.first[branch.item + 1] {
            if branch.inside.contains(&option) != inside
                && self.domain.alive[option]
                && !self.domain.remove(self.model, option)
            {
                return false;
            }
        }
        true
    }

    /// Where to branch: on whether an item uses a row of which the relaxation gives it a part. Both sides should raise the bound.
    pub fn branch(&self) -> Option<Branch> {
        let mut best: Option<(f64, Branch)> = None;
        let mut rows: Vec<usize> = Vec::new();
        for item in self.open_items() {
            let partly: Vec<usize> = self
                .domain
                .options(self.model, item)
                .filter(|&option| (WHOLE..=1.0 - WHOLE).contains(&self.tableau.value_of(option)))
                .collect();
            rows.clear();
            rows.extend(
                partly
                    .iter()
                    .flat_map(|&option| self.model.uses_of(option))
                    .map(|entry| entry.0),
            );
            rows.sort_unstable();
            rows.dedup();
            // The rows of a mode split it alike, many times.
            let mut seen: Vec<Vec<usize>> = Vec::new();
            for &row in &rows {
                let inside: Vec<usize> = self
                    .domain
                    .options(self.model, item)
                    .filter(|&option| self.model.uses_of(option).iter().any(|entry| entry.0 == row))
                    .collect();
                let share: f64 = inside.iter().map(|&option| self.tableau.value_of(option)).sum();
                let splits = inside.len() < self.domain.count[item];
                if !splits
                    || !(WHOLE..=1.0 - WHOLE).contains(&share)
                    || rows.len() > MANY_ROWS && seen.contains(&inside)
                {
                    continue;
                }
                let score = self.score(item, row, &inside, share);
                if best.as_ref().is_none_or(|(most, _)| score > *most) {
                    best = Some((
                        score,
                        Branch {
                            item,
                            inside: inside.clone(),
                        },
                    ));
                }
                seen.push(inside);
            }
        }
        best.map(|(_, branch)| branch).or_else(|| self.any_branch())
    }

    fn score(&self, item: usize, row: usize, inside: &[usize], share: f64) -> f64 {
        let (down, up) = self.tableau.penalties(inside);
        let amounts = inside
            .iter()
            .flat_map(|&option| self.model.uses_of(option))
            .filter(|entry| entry.0 == row);
        let amount = amounts.map(|entry| entry.1).max().unwrap_or(0);
        // Without costs to tell them apart: the greatest demand on a row, over the most options.
        let weight = amount as f64 / self.model.capacity[row] as f64 * inside.len() as f64
            / self.domain.count[item] as f64;
        (down.min(1e12) + 1e-3 * share * weight) * (up.min(1e12) + 1e-3 * (1.0 - share) * weight)
    }

    /// Where the relaxation is whole, or no row is partly used, but the bound does not close: any option of an open item, the
    /// one most used.
    fn any_branch(&self) -> Option<Branch> {
        let item = self.open_items().next()?;
        let used = |option: usize| self.tableau.value_of(option);
        let options = self.domain.options(self.model, item);
        let most = options.max_by(|&a, &b| used(a).total_cmp(&used(b)).then(b.cmp(&a)))?;
        Some(Branch {
            item,
            inside: vec![most],
        })
    }
}
