//! Checks a solution against the problem as it was given, by plain addition, sharing nothing with the search.

use crate::problem::{Choice, Item, Problem, Resource, Total};
use crate::solution::{Proof, Solution};

/// One way in which a solution breaks its problem.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Violation {
    /// Not one entry per item.
    Length {
        /// Entries given.
        given: usize,
        /// Items of the problem.
        items: usize,
    },
    /// The choice is unknown, or serves another item.
    Foreign {
        /// The item.
        item: Item,
        /// The choice listed for it.
        choice: Choice,
    },
    /// More of a resource is taken than there is.
    Overfull {
        /// The resource.
        resource: Resource,
        /// The sum of the amounts.
        taken: i128,
        /// Its capacity.
        capacity: i64,
    },
    /// Two choices that exclude each other.
    Together(Choice, Choice),
    /// Two choices that are bound to different states of a mode.
    States(Choice, Choice),
    /// The cost does not equal the sum.
    Cost {
        /// As the solution says.
        stated: Total,
        /// As the sum says.
        summed: Total,
    },
    /// The list of unassigned required items is not the true one.
    Unassigned,
    /// The proof contradicts the cost: a bound above it, or a gap that is not the difference.
    Proof,
}

/// Adds everything up again, in `i128`.
///
/// It cannot check that nothing is cheaper; it does check that the stated bounds do not contradict the stated cost.
///
/// # Errors
/// All violations, resources first by index, then conflicts, states, then cost, unassigned list and proof.
pub fn verify(problem: &Problem, solution: &Solution) -> Result<(), Vec<Violation>> {
    let items = problem.items().len();
    if solution.chosen.len() != items {
        return Err(vec![Violation::Length {
            given: solution.chosen.len(),
            items,
        }]);
    }
    let mut found = foreign(problem, solution);
    if !found.is_empty() {
        return Err(found);
    }
    found.extend(overfull(problem, solution));
    let chosen = |choice: Choice| solution.chosen[problem.item_of(choice).0] == Some(choice);
    let together = problem
        .conflicts()
        .iter()
        .filter(|(a, b)| chosen(*a) && chosen(*b));
    found.extend(together.map(|&(a, b)| Violation::Together(a, b)));
    let mut first = vec![None; problem.mode_count()];
    for &choice in solution.chosen.iter().flatten() {
        for &(mode, state) in problem.states_of(choice) {
            let &mut (before, known) = first[mode.0].get_or_insert((choice, state));
            if known != state {
                found.push(Violation::States(before, choice));
            }
        }
    }
    found.extend(wrong_sums(problem, solution));
    if found.is_empty() { Ok(()) } else { Err(found) }
}

fn foreign(problem: &Problem, solution: &Solution) -> Vec<Violation> {
    let listed = problem
        .items()
        .zip(&solution.chosen)
        .filter_map(|(item, choice)| Some((item, (*choice)?)));
    listed
        .filter(|&(item, choice)| choice.0 >= problem.choice_count() || problem.item_of(choice) != item)
        .map(|(item, choice)| Violation::Foreign { item, choice })
        .collect()
}

fn overfull(problem: &Problem, solution: &Solution) -> Vec<Violation> {
    let mut taken = vec![0i128; problem.resource_count()];
    for choice in solution.chosen.iter().flatten() {
        for &(resource, amount) in problem.uses_of(*choice) {
            taken[resource.0] += i128::from(amount);
        }
    }
    let resources = taken
        .into_iter()
        .enumerate()
        .map(|(index, taken)| (Resource(index), taken));
    resources
        .map(|(resource, taken)| (resource, taken, problem.capacity_of(resource)))
        .filter(|&(_, taken, capacity)| taken > i128::from(capacity))
        .map(|(resource, taken, capacity)| Violation::Overfull {
            resource,
            taken,
            capacity,
        })
        .collect()
}

fn wrong_sums(problem: &Problem, solution: &Solution) -> Vec<Violation> {
    let mut found = Vec::new();
    let mut summed = Total::default();
    let mut unassigned = Vec::new();
    for (item, choice) in problem.items().zip(&solution.chosen) {
        if choice.is_none() && problem.is_required(item) {
            unassigned.push(item);
        }
        let tiers = match choice {
            Some(choice) => problem.cost_of(*choice).0,
            None => {
                let missed = problem.unassigned_cost(item);
                summed.unassigned += missed.unassigned;
                missed.tiers
            }
        };
        for (sum, tier) in summed.tiers.iter_mut().zip(tiers) {
            *sum += tier;
        }
    }
    if summed != solution.cost {
        found.push(Violation::Cost {
            stated: solution.cost,
            summed,
        });
    }
    if unassigned != solution.unassigned {
        found.push(Violation::Unassigned);
    }
    let sound = match solution.proof {
        Proof::Optimal { root_bound, .. } => root_bound <= solution.cost,
        Proof::Stopped { lower_bound, gap, .. } => {
            lower_bound <= solution.cost && gap == solution.cost - lower_bound
        }
    };
    if !sound {
        found.push(Violation::Proof);
    }
    found
}
