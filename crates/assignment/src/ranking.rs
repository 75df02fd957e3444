//! The k best selections, by partition of the remaining ones (Murty 1968, Lawler 1972).

use crate::problem::{Item, Problem};
use crate::program::Mask;
use crate::search::Budget;
use crate::solution::{Limits, Solution};
use crate::solve::{Masked, solve_masked};

/// The best selections, cheapest first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ranking {
    /// Pairwise different, by rising cost. Each one's proof speaks of what was left after those before it.
    pub solutions: Vec<Solution>,
    /// True where the order is proved. False where the limit was met: then only that these are distinct selections is sure,
    /// and better ones may be missing.
    pub proved: bool,
}

/// The `k` cheapest different selections, or all where there are fewer. The first one equals the answer of
/// [`solve`](crate::solve). Among equal costs the order is the same each time, but not otherwise meaningful.
pub fn next_best(problem: &Problem, k: usize, limits: &Limits) -> Ranking {
    let mut budget = Budget::new(limits, None);
    let mut ranking = Ranking {
        solutions: Vec::new(),
        proved: true,
    };
    let mut open = Vec::new();
    if k > 0 {
        ranking.proved &= push(problem, Mask::all(problem), 0, &mut open, &mut budget);
    }
    while ranking.solutions.len() < k {
        // The oldest among equals, so that the order does not depend on how the list is kept.
        let Some(place) = (0..open.len()).min_by_key(|&place| open[place].solution.cost) else {
            break;
        };
        let Subset {
            mask,
            fixed,
            solution,
        } = open.remove(place);
        if ranking.solutions.len() + 1 < k {
            ranking.proved &= split(problem, &mask, fixed, &solution, &mut open, &mut budget);
        }
        ranking.proved &= solution.is_optimal();
        ranking.solutions.push(solution);
    }
    ranking
}

/// A set of selections and its cheapest one.
struct Subset {
    mask: Mask,
    /// The items before this one are forced.
    fixed: usize,
    solution: Solution,
}

/// Splits what is left of a subset without its best: item by item, the items before as in the best, this one different.
fn split(
    problem: &Problem,
    mask: &Mask,
    fixed: usize,
    best: &Solution,
    open: &mut Vec<Subset>,
    budget: &mut Budget<'_>,
) -> bool {
    let mut proved = true;
    let mut mask = mask.clone();
    for item in fixed..problem.items().len() {
        let choice = best.chosen[item];
        let mut different = mask.clone();
        different.forbid(Item(item), choice);
        proved &= push(problem, different, item, open, budget);
        mask.force(problem, Item(item), choice);
    }
    proved
}

/// Solves one subset and keeps it where it holds anything; false where that stayed unknown.
fn push(
    problem: &Problem,
    mask: Mask,
    fixed: usize,
    open: &mut Vec<Subset>,
    budget: &mut Budget<'_>,
) -> bool {
    match solve_masked(problem, &mask, budget) {
        Masked::Found(solution) => open.push(Subset {
            mask,
            fixed,
            solution: *solution,
        }),
        Masked::Nothing => {}
        Masked::Unknown => return false,
    }
    true
}
