//! The integer programme behind a problem: every item takes exactly one option (leaving it unassigned is one), every
//! resource and every clique of conflicts is a row with a capacity. Parts that share no row are told apart.
//!
//! A mode is an item behind those of the problem, its states are the options. For each state the choices bound to it are gathered by
//! something of which there is room for only one of them (a port): they and all other states of the mode make a row `≤ 1`. So the
//! relaxation gives a port no larger share in a state than the mode has.

use std::collections::BTreeMap;

use crate::problem::{Choice, Item, Problem, Resource, TIERS};

/// A clique has no more members than this, since it is sought in the square of their number: what is left of it becomes another.
const LARGEST_CLIQUE: usize = 256;

/// Which choices may be used and which items may stay unassigned.
#[derive(Clone, Debug)]
pub(crate) struct Mask {
    pub choice: Vec<bool>,
    pub unassigned: Vec<bool>,
}

impl Mask {
    pub fn all(problem: &Problem) -> Mask {
        Mask {
            choice: vec![true; problem.choice_count()],
            unassigned: vec![true; problem.items().len()],
        }
    }

    /// Leaves `item` nothing but `choice` (`None`: to stay unassigned).
    pub fn force(&mut self, problem: &Problem, item: Item, choice: Option<Choice>) {
        for &other in problem.choices_of(item) {
            self.choice[other.0] = Some(other) == choice;
        }
        self.unassigned[item.0] = choice.is_none();
    }

    /// Takes `choice` (`None`: to stay unassigned) away from `item`.
    pub fn forbid(&mut self, item: Item, choice: Option<Choice>) {
        match choice {
            Some(choice) => self.choice[choice.0] = false,
            None => self.unassigned[item.0] = false,
        }
    }
}

/// Tiers of the programme: the count of unassigned required items, then the caller's.
pub(crate) const ALL_TIERS: usize = TIERS + 1;

#[derive(Clone, Debug)]
pub(crate) struct ProgramOption {
    pub choice: Option<Choice>,
    pub tiers: [i64; ALL_TIERS],
    pub uses: Vec<(usize, i64)>,
    /// The states it is bound to, as (item of the mode, option).
    pub states: Vec<(usize, usize)>,
}

#[derive(Clone, Debug)]
pub(crate) struct Program {
    /// Options of each item, those of the problem by index, then the one to stay unassigned. Behind them the modes with their states.
    pub items: Vec<Vec<ProgramOption>>,
    pub capacities: Vec<i64>,
    /// The first mode among the items.
    pub first_mode: usize,
}

impl Program {
    /// `None` where some item has no option left.
    pub fn new(problem: &Problem, mask: &Mask) -> Option<Program> {
        let mut capacities: Vec<i64> = (0..problem.resource_count())
            .map(|index| problem.capacity_of(Resource(index)))
            .collect();
        let fits = |choice: Choice| {
            mask.choice[choice.0]
                && problem
                    .uses_of(choice)
                    .iter()
                    .all(|&(resource, amount)| amount <= capacities[resource.0])
        };
        let usable: Vec<bool> = (0..problem.choice_count())
            .map(|choice| fits(Choice(choice)))
            .collect();
        let mut in_cliques = vec![Vec::new(); problem.choice_count()];
        for clique in cliques(problem, &usable) {
            for choice in clique {
                in_cliques[choice].push((capacities.len(), 1));
            }
            capacities.push(1);
        }
        let first_mode = problem.items().len();
        let (modes, mut bound) = modes(problem, &usable, first_mode, &mut capacities);
        let mut items = Vec::with_capacity(first_mode + modes.len());
        for item in problem.items() {
            let mut options = Vec::new();
            for &choice in problem.choices_of(item).iter().filter(|choice| usable[choice.0]) {
                let mut tiers = [0; ALL_TIERS];
                tiers[1..].copy_from_slice(&problem.cost_of(choice).0);
                let mut uses: Vec<(usize, i64)> = problem
                    .uses_of(choice)
                    .iter()
                    .map(|&(resource, amount)| (resource.0, amount))
                    .collect();
                uses.append(&mut in_cliques[choice.0]);
                let Bound { mut rows, mut states } = std::mem::take(&mut bound[choice.0]);
                uses.append(&mut rows);
                // There are as many as choices, and they stay.
                uses.shrink_to_fit();
                states.shrink_to_fit();
                options.push(ProgramOption {
                    choice: Some(choice),
                    tiers,
                    uses,
                    states,
                });
            }
            if mask.unassigned[item.0] {
                let total = problem.unassigned_cost(item);
                let mut tiers = [total.unassigned; ALL_TIERS];
                tiers[1..].copy_from_slice(&total.tiers);
                options.push(ProgramOption {
                    choice: None,
                    tiers,
                    uses: Vec::new(),
                    states: Vec::new(),
                });
            }
            if options.is_empty() {
                return None;
            }
            items.push(options);
        }
        items.extend(modes);
        Some(Program {
            items,
            capacities,
            first_mode,
        })
    }

    /// Groups of items that share no row that could ever be full. By smallest item, so the order is the same each time.
    pub fn parts(&self) -> Vec<Vec<usize>> {
        let mut most = vec![0i128; self.capacities.len()];
        let mut largest = vec![0i64; self.capacities.len()];
        for options in &self.items {
            for &(row, amount) in options.iter().flat_map(|option| &option.uses) {
                largest[row] = largest[row].max(amount);
            }
            for &(row, _) in options.iter().flat_map(|option| &option.uses) {
                most[row] += i128::from(std::mem::take(&mut largest[row]));
            }
        }
        let mut union: Vec<usize> = (0..self.items.len()).collect();
        let mut first_user = vec![usize::MAX; self.capacities.len()];
        for (item, options) in self.items.iter().enumerate() {
            for &(row, _) in options.iter().flat_map(|option| &option.uses) {
                if most[row] <= i128::from(self.capacities[row]) {
                    continue;
                }
                if first_user[row] == usize::MAX {
                    first_user[row] = item;
                }
                let (a, b) = (root(&mut union, first_user[row]), root(&mut union, item));
                union[a.max(b)] = a.min(b);
            }
        }
        let mut parts: Vec<Vec<usize>> = vec![Vec::new(); self.items.len()];
        for item in 0..self.items.len() {
            let leader = root(&mut union, item);
            parts[leader].push(item);
        }
        parts.retain(|part| !part.is_empty());
        parts
    }
}

fn root(union: &mut [usize], mut node: usize) -> usize {
    while union[node] != node {
        union[node] = union[union[node]];
        node = union[node];
    }
    node
}

/// What a choice has of the modes it is bound to.
#[derive(Clone, Debug, Default)]
struct Bound {
    rows: Vec<(usize, i64)>,
    states: Vec<(usize, usize)>,
}

/// What of the choices bound to a state only one can be had.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum OneOf {
    Resource(Resource),
    Item(Item),
}

/// The modes as items, which begin at `first`, and what each choice has of them; their rows are added. Left out is a mode of which a
/// state is left, or an item that uses it, only one: nothing can be wrong with that.
fn modes(
    problem: &Problem,
    usable: &[bool],
    first: usize,
    capacities: &mut Vec<i64>,
) -> (Vec<Vec<ProgramOption>>, Vec<Bound>) {
    let mut members: Vec<BTreeMap<usize, Vec<Choice>>> = vec![BTreeMap::new(); problem.mode_count()];
    for choice in (0..usable.len()).filter(|&choice| usable[choice]).map(Choice) {
        for &(mode, state) in problem.states_of(choice) {
            members[mode.0].entry(state).or_default().push(choice);
        }
    }
    let mut items = Vec::new();
    let mut bound = vec![Bound::default(); usable.len()];
    for states in members {
        let mut users = states.values().flatten().map(|&choice| problem.item_of(choice));
        let only = users.next();
        if states.len() < 2 || users.all(|item| Some(item) == only) {
            continue;
        }
        let item = first + items.len();
        let mut options = vec![
            ProgramOption {
                choice: None,
                tiers: [0; ALL_TIERS],
                uses: Vec::new(),
                states: Vec::new(),
            };
            states.len()
        ];
        for (option, choices) in states.into_values().enumerate() {
            let mut gathered: BTreeMap<OneOf, Vec<Choice>> = BTreeMap::new();
            for choice in choices {
                let mut uses = problem.uses_of(choice).iter();
                let single = uses.find(|(resource, _)| capacities[resource.0] == 1);
                let one = single.map_or(OneOf::Item(problem.item_of(choice)), |(resource, _)| {
                    OneOf::Resource(*resource)
                });
                gathered.entry(one).or_default().push(choice);
                bound[choice.0].states.push((item, option));
            }
            for choices in gathered.into_values() {
                let row = capacities.len();
                capacities.push(1);
                for choice in choices {
                    bound[choice.0].rows.push((row, 1));
                }
                for (_, other) in options.iter_mut().enumerate().filter(|(at, _)| *at != option) {
                    other.uses.push((row, 1));
                }
            }
        }
        items.push(options);
    }
    (items, bound)
}

/// Covers the conflicts by cliques, greedily: one row `≤ 1` for a clique bounds better than one row for each pair.
/// Choices of one item exclude each other anyway, so a clique may hold several of them.
fn cliques(problem: &Problem, usable: &[bool]) -> Vec<Vec<usize>> {
    let mut neighbours = vec![Vec::new(); usable.len()];
    for &(a, b) in problem
        .conflicts()
        .iter()
        .filter(|(a, b)| usable[a.0] && usable[b.0])
    {
        neighbours[a.0].push(b.0);
        neighbours[b.0].push(a.0);
    }
    for list in &mut neighbours {
        list.sort_unstable();
    }
    let mut covered: Vec<Vec<bool>> = neighbours.iter().map(|list| vec![false; list.len()]).collect();
    let conflict = |a: usize, b: usize| neighbours[a].binary_search(&b).ok();
    let exclude = |a: usize, b: usize| {
        problem.item_of(Choice(a)) == problem.item_of(Choice(b)) || conflict(a, b).is_some()
    };
    let mut found = Vec::new();
    for a in 0..usable.len() {
        for place in 0..neighbours[a].len() {
            let b = neighbours[a][place];
            if b < a || covered[a][place] {
                continue;
            }
            let mut clique = vec![a, b];
            for &other in neighbours[a].iter().chain(&neighbours[b]) {
                if clique.len() == LARGEST_CLIQUE {
                    break;
                }
                if !clique.contains(&other) && clique.iter().all(|&member| exclude(member, other)) {
                    clique.push(other);
                }
            }
            for &one in &clique {
                for &two in &clique {
                    if let Some(place) = conflict(one, two) {
                        covered[one][place] = true;
                    }
                }
            }
            clique.sort_unstable();
            found.push(clique);
        }
    }
    found
}
