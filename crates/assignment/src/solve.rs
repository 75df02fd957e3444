//! One optimum: of the whole problem, or of what a mask leaves of it.

use crate::problem::{Problem, Total};
use crate::program::{Mask, Program};
use crate::search::Budget;
use crate::solution::{Closed, Limits, Progress, Proof, Solution};
use crate::tiers;
use std::ops::ControlFlow;

/// The cheapest selection, in lexicographic order of [`Total`], with its proof.
///
/// There always is one: items may stay unassigned.
pub fn solve(problem: &Problem, limits: &Limits) -> Solution {
    answer(problem, &mut Budget::new(limits, None))
}

/// As [`solve`], and tells `hook` now and then where it stands. Where the hook breaks, the best so far is handed back as
/// [`Proof::Stopped`].
pub fn solve_watched(
    problem: &Problem,
    limits: &Limits,
    hook: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Solution {
    answer(problem, &mut Budget::new(limits, Some(hook)))
}

fn answer(problem: &Problem, budget: &mut Budget<'_>) -> Solution {
    match solve_masked(problem, &Mask::all(problem), budget) {
        Masked::Found(solution) => *solution,
        // Unreachable while every item may stay unassigned; the honest answer would be this one.
        Masked::Nothing | Masked::Unknown => {
            let chosen = vec![None; problem.items().len()];
            let gap = problem.total(&chosen);
            Solution::new(
                problem,
                chosen,
                Proof::Stopped {
                    lower_bound: Total::default(),
                    gap,
                    nodes: budget.nodes,
                },
            )
        }
    }
}

/// What a masked problem has to offer.
pub(crate) enum Masked {
    Found(Box<Solution>),
    /// Proved: no selection.
    Nothing,
    /// Stopped before one was found.
    Unknown,
}

/// The cheapest selection that `mask` allows. Node counts in proofs are those of this call alone.
pub(crate) fn solve_masked(problem: &Problem, mask: &Mask, budget: &mut Budget<'_>) -> Masked {
    let Some(program) = Program::new(problem, mask) else {
        return Masked::Nothing;
    };
    let before = budget.nodes;
    let parts = program.parts();
    let mut chosen = vec![None; problem.items().len()];
    let mut root = Total::default();
    let mut lower = Total::default();
    for (done, part) in parts.iter().enumerate() {
        budget.parts = (done, parts.len());
        let outcome = tiers::solve_part(&program, part, budget);
        let Some(options) = outcome.chosen else {
            return if budget.stopped {
                Masked::Unknown
            } else {
                Masked::Nothing
            };
        };
        for (&item, option) in part.iter().zip(options) {
            // Modes stand behind the items of the problem.
            if let Some(chosen) = chosen.get_mut(item) {
                *chosen = program.items[item][option].choice;
            }
        }
        root = root + outcome.root;
        lower = lower + outcome.lower;
    }
    let nodes = budget.nodes - before;
    let cost = problem.total(&chosen);
    let proof = if lower == cost {
        let closed = if root == cost {
            Closed::AtRoot
        } else {
            Closed::BySearch
        };
        Proof::Optimal {
            root_bound: root,
            nodes,
            closed,
        }
    } else {
        Proof::Stopped {
            lower_bound: lower,
            gap: cost - lower,
            nodes,
        }
    };
    Masked::Found(Box::new(Solution::new(problem, chosen, proof)))
}
