//! Large programmes as an assignment problem: of the rows of each option only one counts, the first that has room for one.
//!
//! That is a relaxation, so that its optimum bounds the programme from below; all tiers are compared at once, lexicographically, and all
//! numbers are integers. Mostly ports are all that is scarce: where the optimum keeps the other rows too, it is that of the programme. Where it
//! does not, items leave the rows that are too full, each for what it would least miss, until all rows hold.
//!
//! # Source
//! Shortest augmenting paths with potentials: R. Jonker and A. Volgenant, A shortest augmenting path algorithm for dense and sparse linear
//! assignment problems, Computing 38 (1987) 325-340 (from memory). Tuples of integers in lexicographic order are an ordered group, which is all
//! that the algorithm asks of its costs.

use std::collections::BTreeMap;

use crate::program::{ALL_TIERS, Program, ProgramOption};
use crate::search::Budget;

/// A cost with all its tiers.
type Tiers = [i64; ALL_TIERS];

/// No column, no item.
const NONE: usize = usize::MAX;

/// Items leave rows at most so many times as often as there are items.
const ROUNDS: usize = 8;

/// What a look at an edge costs, in cells of a tableau; and what all states that are tried beside the first may cost.
const LOOK: usize = 16;
const MOST_TRIED: u64 = 200_000_000;

/// What the relaxation says of a part.
pub(crate) struct Relaxed {
    /// Nothing is cheaper.
    pub lower: Tiers,
    /// A selection that keeps all rows, where one was found.
    pub chosen: Option<Vec<usize>>,
    /// That selection costs as much as the optimum of the relaxation, so that it is the optimum of the programme.
    pub is_optimal: bool,
}

/// No mode, several modes.
const FREE: u32 = u32::MAX;
const SEVERAL: u32 = u32::MAX - 1;

/// An option at the row that counts for it. Small, since there is one for each option, and copies are made of all.
#[derive(Clone, Copy)]
struct Edge {
    column: u32,
    option: u32,
    /// The mode it is bound to, by its place behind the items, and the state.
    mode: u32,
    state: u32,
}

impl Edge {
    fn column(self) -> usize {
        self.column as usize
    }
    fn option(self) -> usize {
        self.option as usize
    }
}

#[derive(Clone)]
struct Matching<'p> {
    program: &'p Program,
    part: &'p [usize],
    /// For each item its options, the cheapest for each column.
    edges: Vec<Vec<Edge>>,
    /// All of them.
    all: Vec<Vec<Edge>>,
    /// The item at each column, and the column of each item.
    item_at: Vec<usize>,
    column_of: Vec<usize>,
    item_potential: Vec<Tiers>,
    column_potential: Vec<Tiers>,
    /// The state of each mode that has one.
    state: Vec<Option<usize>>,
    /// Edges looked at.
    looks: usize,
}

/// Solves the relaxation of a part. `None` where some item has no place even there.
pub(crate) fn relaxed(program: &Program, part: &[usize], budget: &mut Budget<'_>) -> Option<Relaxed> {
    let counts = single(program, part);
    let rows = program.capacities.len();
    // Modes are the last of a part, and have no edges.
    let items = part.partition_point(|&item| item < program.first_mode);
    let edges = |place: usize| -> Vec<Edge> {
        let options = program.items[part[place]].iter().enumerate();
        let edge = |(option, own): (usize, &ProgramOption)| {
            let own_row = own.uses.iter().find(|(row, _)| counts[*row]).map(|(row, _)| *row);
            let (mode, state) = match own.states.as_slice() {
                [] => (FREE, 0),
                [(mode, state)] => match part.binary_search(mode) {
                    Ok(mode) => (small(mode - items), small(*state)),
                    Err(_) => (FREE, 0),
                },
                _ => (SEVERAL, 0),
            };
            Edge {
                // Without such a row it stands in a column of its item.
                column: small(own_row.unwrap_or(rows + place)),
                option: small(option),
                mode,
                state,
            }
        };
        options.map(edge).collect()
    };
    let all: Vec<Vec<Edge>> = (0..items).map(edges).collect();
    let mut matching = Matching {
        program,
        part,
        edges: (0..items)
            .map(|place| cheapest(program, part[place], all[place].clone()))
            .collect(),
        all,
        item_at: vec![NONE; rows + part.len()],
        column_of: vec![NONE; items],
        item_potential: vec![[0; ALL_TIERS]; items],
        column_potential: vec![[0; ALL_TIERS]; rows + part.len()],
        state: vec![None; part.len() - items],
        looks: 0,
    };
    for place in 0..items {
        if !matching.insert(place) {
            return None;
        }
    }
    let lower = matching.bound();
    let unbound = (items < part.len()).then(|| matching.all.clone());
    let mut chosen = None;
    if matching.settle() && matching.empty_full_rows() {
        chosen = Some(improved(program, part, matching.selection()));
    }
    if let Some(unbound) = unbound {
        chosen = matching.other_states(&unbound, (chosen, lower), budget);
    }
    let is_optimal = chosen
        .as_ref()
        .is_some_and(|chosen| cost(program, part, chosen) == lower);
    Some(Relaxed {
        lower,
        chosen,
        is_optimal,
    })
}

/// All tiers of a selection.
fn cost(program: &Program, part: &[usize], chosen: &[usize]) -> Tiers {
    let options = part.iter().zip(chosen);
    options.fold([0; ALL_TIERS], |sum, (&item, &option)| {
        more(sum, program.items[item][option].tiers)
    })
}

/// Numbers of options and rows stay far below the end of `u32`: a problem has at most 2²⁰ choices.
fn small(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// The cheapest for each column.
fn cheapest(program: &Program, item: usize, mut edges: Vec<Edge>) -> Vec<Edge> {
    let options = &program.items[item];
    edges.sort_by(|one, other| {
        let cost = |edge: &Edge| options[edge.option()].tiers;
        (one.column.cmp(&other.column))
            .then_with(|| cost(one).cmp(&cost(other)))
            .then(one.option.cmp(&other.option))
    });
    edges.dedup_by_key(|edge| edge.column);
    edges
}

/// Whether an option uses a row.
fn takes(program: &Program, item: usize, option: usize, row: usize) -> bool {
    let uses = &program.items[item][option].uses;
    uses.iter().any(|(own, _)| *own == row)
}

/// The rows that have room for one and of which every option takes one.
fn single(program: &Program, part: &[usize]) -> Vec<bool> {
    let mut single: Vec<bool> = program.capacities.iter().map(|&capacity| capacity == 1).collect();
    let options = part.iter().flat_map(|&item| &program.items[item]);
    for &(row, amount) in options.flat_map(|option| &option.uses) {
        single[row] &= amount == 1;
    }
    single
}

/// The row that a selection fills most beyond its capacity, in parts of that.
fn fullest(program: &Program, part: &[usize], chosen: &[usize]) -> Option<usize> {
    let used = used(program, part, chosen);
    let over = used.iter().zip(&program.capacities).enumerate();
    let over = over.filter(|(_, (used, capacity))| used > capacity);
    let share =
        |used: i64, capacity: i64| i128::from(used - capacity) * 1_000_000 / i128::from(capacity.max(1));
    over.max_by_key(|(row, (used, capacity))| (share(**used, **capacity), core::cmp::Reverse(*row)))
        .map(|(row, _)| row)
}

fn used(program: &Program, part: &[usize], chosen: &[usize]) -> Vec<i64> {
    let mut used = vec![0; program.capacities.len()];
    for (&item, &option) in part.iter().zip(chosen) {
        for &(row, amount) in &program.items[item][option].uses {
            used[row] += amount;
        }
    }
    used
}

/// Each item in its cheapest option for which there is room, again and again until none moves.
fn improved(program: &Program, part: &[usize], mut chosen: Vec<usize>) -> Vec<usize> {
    let mut used = used(program, part, &chosen);
    loop {
        let mut moved = false;
        for (place, &item) in part.iter().enumerate() {
            let options = &program.items[item];
            let book = |used: &mut Vec<i64>, option: usize, sign: i64| {
                for &(row, amount) in &options[option].uses {
                    used[row] += sign * amount;
                }
            };
            book(&mut used, chosen[place], -1);
            let fits = |option: &usize| {
                let uses = &options[*option].uses;
                uses.iter()
                    .all(|&(row, amount)| used[row] + amount <= program.capacities[row])
            };
            let best = (0..options.len())
                .filter(fits)
                .min_by_key(|&option| (options[option].tiers, option));
            if let Some(best) = best.filter(|&best| options[best].tiers < options[chosen[place]].tiers) {
                chosen[place] = best;
                moved = true;
            }
            book(&mut used, chosen[place], 1);
        }
        if !moved {
            return chosen;
        }
    }
}

impl Matching<'_> {
    /// Gives an item a column along the shortest path, on which others may move. False where there is none.
    fn insert(&mut self, place: usize) -> bool {
        let columns = self.item_at.len();
        let mut least: Vec<Option<Tiers>> = vec![None; columns];
        let mut before = vec![NONE; columns];
        // Columns on the way so far, and those that were reached and wait.
        let mut done: Vec<usize> = Vec::new();
        let mut is_done = vec![false; columns];
        let mut reached: Vec<usize> = Vec::new();
        let (mut item, mut from) = (place, NONE);
        let free = loop {
            self.looks += self.edges[item].len() + reached.len();
            let options = &self.program.items[self.part[item]];
            for edge in &self.edges[item] {
                let column = edge.column();
                if is_done[column] {
                    continue;
                }
                let cost = less(
                    less(options[edge.option()].tiers, self.item_potential[item]),
                    self.column_potential[column],
                );
                let known = &mut least[column];
                if known.is_none() {
                    reached.push(column);
                }
                if known.is_none_or(|known| cost < known) {
                    *known = Some(cost);
                    before[column] = from;
                }
            }
            let nearest = reached
                .iter()
                .filter(|&&column| !is_done[column])
                .min_by_key(|&&column| (least[column], column));
            let Some(&column) = nearest else {
                return false;
            };
            let step = least[column].unwrap_or([0; ALL_TIERS]);
            self.item_potential[place] = more(self.item_potential[place], step);
            for &own in &done {
                let at = self.item_at[own];
                self.item_potential[at] = more(self.item_potential[at], step);
                self.column_potential[own] = less(self.column_potential[own], step);
            }
            for &own in &reached {
                if let Some(cost) = least[own].as_mut().filter(|_| !is_done[own]) {
                    *cost = less(*cost, step);
                }
            }
            is_done[column] = true;
            if self.item_at[column] == NONE {
                break column;
            }
            done.push(column);
            (item, from) = (self.item_at[column], column);
        };
        let mut column = free;
        while column != NONE {
            let from = before[column];
            let item = if from == NONE { place } else { self.item_at[from] };
            self.item_at[column] = item;
            self.column_of[item] = column;
            column = from;
        }
        true
    }

    fn remove(&mut self, place: usize) {
        self.item_at[self.column_of[place]] = NONE;
        self.column_of[place] = NONE;
    }

    /// Items leave the rows that are too full. False where that does not end.
    fn empty_full_rows(&mut self) -> bool {
        for _ in 0..=ROUNDS * self.all.len() {
            let chosen = self.selection();
            let Some(full) = fullest(self.program, self.part, &chosen) else {
                return true;
            };
            let Some(place) = self.least_missing(&chosen, full) else {
                return false;
            };
            let (program, item) = (self.program, self.part[place]);
            self.all[place].retain(|edge| !takes(program, item, edge.option(), full));
            self.edges[place] = cheapest(program, item, self.all[place].clone());
            self.remove(place);
            if !self.insert(place) {
                return false;
            }
        }
        false
    }

    /// Gives each mode the state that most of the items ask for, and sends the others away; where they turn to a mode that nobody had asked for,
    /// it has a state thereafter too. False where one of them has nowhere to go.
    fn settle(&mut self) -> bool {
        while self.state.iter().any(Option::is_none) {
            let mut votes: Vec<BTreeMap<usize, usize>> = vec![BTreeMap::new(); self.state.len()];
            let items = self.all.len();
            for (place, option) in self.selection().into_iter().enumerate().take(items) {
                for &(mode, state) in &self.program.items[self.part[place]][option].states {
                    if let Ok(mode) = self.part.binary_search(&mode) {
                        *votes[mode - items].entry(state).or_default() += 1;
                    }
                }
            }
            let mut any = false;
            for (own, votes) in self.state.iter_mut().zip(votes).filter(|(own, _)| own.is_none()) {
                *own = votes
                    .into_iter()
                    .max_by_key(|&(state, votes)| (votes, core::cmp::Reverse(state)))
                    .map(|(state, _)| state);
                any |= own.is_some();
            }
            if !any {
                for own in &mut self.state {
                    own.get_or_insert(0);
                }
            }
            if !(0..items).all(|place| self.keep_suiting(place)) {
                return false;
            }
        }
        true
    }

    /// Takes the options from an item that are bound to other states. False where it has nowhere to go.
    fn keep_suiting(&mut self, place: usize) -> bool {
        let (item, items) = (self.part[place], self.all.len());
        let mut all = std::mem::take(&mut self.all[place]);
        let before = all.len();
        all.retain(|edge| self.suits(place, *edge, items));
        self.looks += before;
        let fewer = all.len() < before;
        self.all[place] = all;
        if !fewer {
            return true;
        }
        self.edges[place] = cheapest(self.program, item, self.all[place].clone());
        if self.edge_at(place).is_some() {
            return true;
        }
        self.remove(place);
        self.insert(place)
    }

    /// Whether an option is bound to no state but those that its modes have. The modes begin at `items`.
    fn suits(&self, place: usize, edge: Edge, items: usize) -> bool {
        match edge.mode {
            FREE => true,
            SEVERAL => {
                let states = &self.program.items[self.part[place]][edge.option()].states;
                states.iter().all(|&(mode, own)| {
                    let mode = self.part.binary_search(&mode);
                    mode.map_or(true, |mode| {
                        self.state[mode - items].is_none_or(|state| state == own)
                    })
                })
            }
            mode => self.state[mode as usize].is_none_or(|state| state == edge.state as usize),
        }
    }

    /// Tries each mode in its other states, for as long as that makes the selection cheaper and the work lasts; hands back the cheapest selection.
    fn other_states(
        &mut self,
        unbound: &[Vec<Edge>],
        (mut best, lower): (Option<Vec<usize>>, Tiers),
        budget: &mut Budget<'_>,
    ) -> Option<Vec<usize>> {
        let (program, part) = (self.program, self.part);
        let items = self.all.len();
        let mut own = best.as_ref().map(|best| cost(program, part, best));
        let (mut mode, mut idle, mut tried) = (0, 0, 0);
        while idle < self.state.len() && tried < MOST_TRIED && own.is_none_or(|own| own > lower) {
            idle += 1;
            for state in 0..program.items[part[items + mode]].len() {
                if self.state[mode] == Some(state) || tried >= MOST_TRIED {
                    continue;
                }
                let mut other = self.clone();
                other.looks = 0;
                other.state[mode] = Some(state);
                let holds = other.turn(unbound, mode) && other.empty_full_rows();
                // The copy itself takes time too.
                let looks = LOOK * (other.looks + self.all.iter().map(Vec::len).sum::<usize>() / 4);
                tried += looks as u64;
                if !budget.take(looks) {
                    tried = MOST_TRIED;
                }
                if !holds {
                    continue;
                }
                let chosen = other.selection();
                let its = cost(program, part, &chosen);
                if own.is_none_or(|own| its < own) {
                    (best, own, *self, idle) = (Some(chosen), Some(its), other, 0);
                }
            }
            mode = (mode + 1) % self.state.len();
        }
        best.map(|best| improved(program, part, best))
    }

    /// Begins anew with the items that depend on a mode, whose state has changed. False where one of them has nowhere to go.
    fn turn(&mut self, unbound: &[Vec<Edge>], mode: usize) -> bool {
        let items = self.all.len();
        let depends = |place: usize| {
            let mut edges = unbound[place].iter();
            edges.any(|edge| edge.mode == small(mode) || edge.mode == SEVERAL)
        };
        let concerned: Vec<usize> = (0..items).filter(|&place| depends(place)).collect();
        for &place in &concerned {
            let suiting = unbound[place].iter().copied();
            self.looks += unbound[place].len();
            self.all[place] = suiting.filter(|edge| self.suits(place, *edge, items)).collect();
            self.edges[place] = cheapest(self.program, self.part[place], self.all[place].clone());
            // Those for which nothing is cheaper than where they are stay there.
            let options = &self.program.items[self.part[place]];
            let reduced =
                |edge: &Edge| less(options[edge.option()].tiers, self.column_potential[edge.column()]);
            let Some(least) = self.edges[place].iter().map(reduced).min() else {
                return false;
            };
            let here = self.edge_at(place).as_ref().map(reduced);
            self.item_potential[place] = least;
            if here != Some(least) && self.column_of[place] != NONE {
                self.remove(place);
            }
        }
        concerned
            .into_iter()
            .all(|place| self.column_of[place] != NONE || self.insert(place))
    }

    /// The option of an item at the column that it has.
    fn edge_at(&self, place: usize) -> Option<Edge> {
        let column = self.column_of[place];
        let mut edges = self.edges[place].iter();
        edges.find(|edge| edge.column() == column).copied()
    }

    fn selection(&self) -> Vec<usize> {
        let items = (0..self.all.len()).map(|place| self.edge_at(place).map_or(0, Edge::option));
        items
            .chain(self.state.iter().map(|state| state.unwrap_or(0)))
            .collect()
    }

    /// The sum of the potentials: no selection costs less, since no option costs less than those of its item and column, and no column has a
    /// positive one.
    fn bound(&self) -> Tiers {
        let all = self.item_potential.iter().chain(&self.column_potential);
        all.fold([0; ALL_TIERS], |sum, one| more(sum, *one))
    }

    /// Of the items in a row the one whose next option without it costs least above the potentials.
    fn least_missing(&self, chosen: &[usize], row: usize) -> Option<usize> {
        let missing = |place: usize| {
            let item = self.part[place];
            let options = self.all[place].iter();
            let without = options.filter(|edge| !takes(self.program, item, edge.option(), row));
            let costs = without.map(|edge| {
                less(
                    less(
                        self.program.items[item][edge.option()].tiers,
                        self.item_potential[place],
                    ),
                    self.column_potential[edge.column()],
                )
            });
            costs.min()
        };
        let within =
            (0..self.all.len()).filter(|&place| takes(self.program, self.part[place], chosen[place], row));
        within
            .filter_map(|place| Some((missing(place)?, place)))
            .min()
            .map(|(_, place)| place)
    }
}

fn more(one: Tiers, other: Tiers) -> Tiers {
    core::array::from_fn(|tier| one[tier] + other[tier])
}

fn less(one: Tiers, other: Tiers) -> Tiers {
    core::array::from_fn(|tier| one[tier] - other[tier])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::{Problem, Total};
    use crate::program::Mask;
    use crate::solution::{Limits, Proof};
    use crate::{generate, solve, verify};

    fn total(tiers: &Tiers) -> Total {
        let mut total = Total {
            unassigned: tiers[0],
            ..Total::default()
        };
        total.tiers.copy_from_slice(&tiers[1..]);
        total
    }

    /// The relaxation held against the search, part by part: a bound below the optimum, a selection that is no better, and equality where it
    /// claims that. Returns how many parts it solved alone.
    fn held(problem: &Problem) -> usize {
        let program = Program::new(problem, &Mask::all(problem)).unwrap();
        let best = solve(problem, &Limits::default());
        let (mut lower, mut cost, mut alone) = (Total::default(), Total::default(), 0);
        for part in program.parts() {
            let relaxed = relaxed(&program, &part, &mut Budget::new(&Limits::default(), None)).unwrap();
            let of = |chosen: &Vec<usize>| {
                let used = used(&program, &part, chosen);
                assert!(
                    used.iter()
                        .zip(&program.capacities)
                        .all(|(used, most)| used <= most)
                );
                super::cost(&program, &part, chosen)
            };
            let chosen = relaxed.chosen.as_ref().map(of);
            lower = lower + total(&relaxed.lower);
            match chosen {
                Some(own) => {
                    assert!(own >= relaxed.lower);
                    assert_eq!(relaxed.is_optimal, own == relaxed.lower);
                    cost = cost + total(&own);
                }
                // Nothing is claimed.
                None => cost.unassigned += 1 << 40,
            }
            alone += usize::from(relaxed.is_optimal);
        }
        assert!(lower <= best.cost, "{lower:?} above {:?}", best.cost);
        assert!(cost >= best.cost, "{cost:?} below {:?}", best.cost);
        alone
    }

    #[test]
    fn it_bounds_what_the_search_finds() {
        let mut alone = 0;
        for seed in 0..60 {
            alone += held(&generate::machine(seed, 14, 22));
            alone += held(&generate::starved(seed, 10, 16));
            alone += held(&generate::wild(seed, 8));
            alone += held(&generate::tight(seed, 6, 8, 2, 9));
            alone += held(&generate::moded(seed, 9, false));
        }
        assert!(alone > 100, "{alone} parts");
    }

    /// A large programme ends within its work, with a selection that holds and a gap that is no lie.
    #[test]
    fn a_large_programme_ends_with_what_is_open() {
        let problem = generate::machine(1, 300, 500);
        let limits = Limits {
            work: 2_000_000,
            ..Limits::default()
        };
        let solution = solve(&problem, &limits);
        assert_eq!(verify(&problem, &solution), Ok(()));
        match solution.proof {
            Proof::Optimal { root_bound, .. } => assert!(root_bound <= solution.cost),
            Proof::Stopped { lower_bound, gap, .. } => {
                assert!(lower_bound <= solution.cost);
                assert_eq!(solution.cost - lower_bound, gap);
                // Not one demand less than could be served.
                assert_eq!(gap.unassigned, 0, "{gap:?}");
            }
        }
    }

    /// Where somebody stops it, the best so far is handed back.
    #[test]
    fn a_stopped_search_hands_back_what_it_has() {
        static STOP: std::sync::atomic::AtomicBool = std::sync::atomic::AtomicBool::new(true);
        let problem = generate::machine(2, 60, 90);
        let limits = Limits {
            stop: Some(&STOP),
            ..Limits::default()
        };
        let solution = solve(&problem, &limits);
        assert_eq!(verify(&problem, &solution), Ok(()));
        assert!(
            matches!(solution.proof, Proof::Stopped { .. }),
            "{:?}",
            solution.proof
        );
    }
}
