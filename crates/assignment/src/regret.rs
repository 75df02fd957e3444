//! What it would cost to have one certain choice, and why it cannot be had.

use crate::conflict::{Conflict, Demands, among};
use crate::problem::{Choice, Item, Problem, Resource, Total};
use crate::program::Mask;
use crate::search::Budget;
use crate::solution::{Limits, Solution};
use crate::solve::{Masked, solve_masked};

/// The price of one choice, against the best selection without it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Regret {
    /// It can be had without leaving more required items unassigned.
    Costs {
        /// The best selection that has it.
        with: Solution,
        /// Cost of `with` less cost of the best, tier by tier. Never below 0 in lexicographic order where both are optimal.
        more: Total,
    },
    /// It can be had only if more required items stay unassigned.
    Displaces {
        /// The best selection that has it.
        with: Solution,
        /// Cost of `with` less cost of the best, tier by tier.
        more: Total,
        /// Which of the required items that the best serves cannot stand beside it, and why.
        because: Reason,
    },
    /// It does not even fit alone.
    Impossible {
        /// What it fails on.
        because: Reason,
    },
}

/// Why a choice cannot be had, or not beside the required items.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reason {
    /// The choice alone asks more than there is.
    TooMuch {
        /// The resource.
        resource: Resource,
        /// What the choice asks.
        amount: i64,
        /// What there is.
        capacity: i64,
    },
    /// One resource is not enough for the choice and these required items together.
    Full {
        /// The resource.
        resource: Resource,
        /// The items that need it.
        needed_by: Vec<Item>,
    },
    /// Every way to serve a required item is in conflict with the choice.
    Excludes {
        /// The required item.
        item: Item,
        /// Its choices, all in conflict with the one asked for.
        choices: Vec<Choice>,
    },
    /// Beside the choice these required items cannot hold together. The choice's own item is not listed.
    Together(Conflict),
    /// The limit was met before a reason was found.
    Unknown,
}

/// The cheapest selection that has `choice`.
///
/// # Errors
/// [`Reason::TooMuch`] where the choice does not fit alone; [`Reason::Unknown`] where the limit was met at once.
pub fn with_forced(problem: &Problem, choice: Choice, limits: &Limits) -> Result<Solution, Reason> {
    for &(resource, amount) in problem.uses_of(choice) {
        let capacity = problem.capacity_of(resource);
        if amount > capacity {
            return Err(Reason::TooMuch {
                resource,
                amount,
                capacity,
            });
        }
    }
    let mut mask = Mask::all(problem);
    mask.force(problem, problem.item_of(choice), Some(choice));
    match solve_masked(problem, &mask, &mut Budget::new(limits, None)) {
        Masked::Found(solution) => Ok(*solution),
        Masked::Nothing | Masked::Unknown => Err(Reason::Unknown),
    }
}

/// What `choice` costs against `best`, the answer of [`solve`](crate::solve) to the same problem.
pub fn regret(problem: &Problem, best: &Solution, choice: Choice, limits: &Limits) -> Regret {
    let with = match with_forced(problem, choice, limits) {
        Ok(with) => with,
        Err(because) => return Regret::Impossible { because },
    };
    let more = with.cost - best.cost;
    if more.unassigned <= 0 {
        return Regret::Costs { with, more };
    }
    let because = reason(problem, best, choice, limits);
    Regret::Displaces { with, more, because }
}

/// The items that the best serves can hold together, so what they fail on beside the choice is the choice's doing.
fn reason(problem: &Problem, best: &Solution, choice: Choice, limits: &Limits) -> Reason {
    let own = problem.item_of(choice);
    let served: Vec<Item> = problem
        .items()
        .filter(|&item| item != own && problem.is_required(item) && best.chosen[item.0].is_some())
        .collect();
    let Demands::Clash(conflict) = among(problem, &served, Some(choice), limits) else {
        return Reason::Unknown;
    };
    match (
        &conflict.items[..],
        &conflict.resources[..],
        &conflict.conflicts[..],
        &conflict.modes[..],
    ) {
        (items, &[resource], [], []) => Reason::Full {
            resource,
            needed_by: items.to_vec(),
        },
        (&[item], [], pairs, modes) => {
            let bound = |other: &Choice| {
                let mut own = problem.states_of(*other).iter();
                own.any(|(mode, _)| modes.contains(mode)) && problem.differ_in_state(choice, *other)
            };
            let paired = |other: &Choice| pairs.contains(&(choice.min(*other), choice.max(*other)));
            let excluded = |other: &&Choice| bound(other) || paired(other);
            let choices: Vec<Choice> = problem
                .choices_of(item)
                .iter()
                .filter(excluded)
                .copied()
                .collect();
            // Otherwise some way of the item fails on what its other ways rest on.
            if choices.is_empty() {
                Reason::Together(conflict)
            } else {
                Reason::Excludes { item, choices }
            }
        }
        _ => Reason::Together(conflict),
    }
}
