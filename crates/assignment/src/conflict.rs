//! Which required items cannot hold together: a smallest set, and the resources and conflicts it fails on.
//!
//! A smallest set hits every correction set (the items that some largest servable selection leaves out). So smallest
//! hitting sets of the correction sets found so far are tried until one cannot be served: that one is a smallest conflict, since
//! any conflict must hit them all (implicit hitting sets).

use crate::problem::{Choice, Item, Mode, Problem, Resource};
use crate::program::{ALL_TIERS, Mask, Program};
use crate::search::Budget;
use crate::solution::Limits;
use crate::tiers;

/// Required items that cannot all be served, whatever else is given up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conflict {
    /// By rising index. Each proper subset can be served, unless `size` says otherwise.
    pub items: Vec<Item>,
    /// Resources that are needed for the contradiction: with any one of them unlimited, the items fit. Neither these nor what follows is told
    /// where the limit was met before each had been tried.
    pub resources: Vec<Resource>,
    /// Conflicts that are needed for the contradiction, in the same sense.
    pub conflicts: Vec<(Choice, Choice)>,
    /// Modes that are needed for the contradiction, in the same sense.
    pub modes: Vec<Mode>,
    /// How small the set is proved to be.
    pub size: Size,
}

/// What is proved about the size of a [`Conflict`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// No conflict has fewer items.
    Smallest,
    /// No item can be left out, but another conflict may have fewer items: at least this many.
    Minimal {
        /// Lower bound on the items of any conflict.
        at_least: usize,
    },
    /// A conflict for sure, but the limit was met before every item was tried.
    Unreduced {
        /// Lower bound on the items of any conflict.
        at_least: usize,
    },
}

/// The answer of [`smallest_conflict`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Demands {
    /// All required items can be served together.
    Hold,
    /// They cannot.
    Clash(Conflict),
    /// The limit was met before either was proved.
    Unknown,
}

/// A smallest set of required items that cannot all be served, if there is one.
///
/// Half of the nodes go to the search for a smallest one; the rest to a minimal one where that did not end.
pub fn smallest_conflict(problem: &Problem, limits: &Limits) -> Demands {
    let required: Vec<Item> = problem
        .items()
        .filter(|&item| problem.is_required(item))
        .collect();
    among(problem, &required, None, limits)
}

/// As [`smallest_conflict`], among `candidates`, with one choice taken for granted.
pub(crate) fn among(
    problem: &Problem,
    candidates: &[Item],
    forced: Option<Choice>,
    limits: &Limits,
) -> Demands {
    let oracle = Oracle {
        problem,
        candidates,
        forced,
    };
    let half = Limits {
        nodes: limits.nodes / 2,
        work: limits.work / 2,
        ..*limits
    };
    let (size, core) = match oracle.smallest(&mut Budget::new(&half, None)) {
        Hitting::Hold => return Demands::Hold,
        Hitting::Smallest(core) => (Size::Smallest, core),
        Hitting::Stopped { clash: false, .. } => return Demands::Unknown,
        Hitting::Stopped {
            clash: true,
            at_least,
        } => oracle.minimal(at_least, &mut Budget::new(&half, None)),
    };
    let items: Vec<Item> = core.iter().map(|&place| candidates[place]).collect();
    let Reasons {
        resources,
        conflicts,
        modes,
    } = reasons(problem, &items, forced, &half);
    Demands::Clash(Conflict {
        items,
        resources,
        conflicts,
        modes,
        size,
    })
}

/// Correction sets beyond this many are not worth the hitting sets they cost.
const MOST_CORRECTIONS: usize = 400;

/// Nodes for one smallest hitting set.
const HITTING_NODES: usize = 200_000;

/// Cells of a tableau that take as long as a member of a set at a node, where the tree goes some way down.
const HITTING_CELLS: usize = 32;

/// Cells of a tableau that take as long as a choice in the making of a programme.
const CHOICE_CELLS: usize = 400;

enum Hitting {
    Hold,
    Smallest(Vec<usize>),
    Stopped { clash: bool, at_least: usize },
}

/// How a demand for certain items ends.
enum Served {
    /// As many of the rest as can be; these places are left out.
    LeftOut(Vec<usize>),
    Impossible,
    Unknown,
}

struct Oracle<'p> {
    problem: &'p Problem,
    candidates: &'p [Item],
    forced: Option<Choice>,
}

impl Oracle<'_> {
    fn smallest(&self, budget: &mut Budget<'_>) -> Hitting {
        let mut corrections: Vec<Vec<usize>> = Vec::new();
        let mut at_least = 0;
        while corrections.len() < MOST_CORRECTIONS {
            let Some(hitting) = smallest_hitting_set(&corrections, budget) else {
                break;
            };
            at_least = hitting.len();
            match self.serve(&hitting, true, budget) {
                Served::Impossible => return Hitting::Smallest(hitting),
                Served::Unknown => break,
                Served::LeftOut(left) if left.is_empty() => return Hitting::Hold,
                Served::LeftOut(left) => corrections.push(left),
            }
        }
        Hitting::Stopped {
            clash: !corrections.is_empty(),
            at_least,
        }
    }

    /// Tries to leave out one item after the other.
    fn minimal(&self, at_least: usize, budget: &mut Budget<'_>) -> (Size, Vec<usize>) {
        let mut core: Vec<usize> = (0..self.candidates.len()).collect();
        let mut tried_all = true;
        for place in 0..self.candidates.len() {
            let fewer: Vec<usize> = core.iter().copied().filter(|&other| other != place).collect();
            match self.serve(&fewer, false, budget) {
                Served::Impossible => core = fewer,
                Served::LeftOut(_) => {}
                Served::Unknown => tried_all = false,
            }
        }
        let size = match tried_all {
            _ if core.len() <= at_least => Size::Smallest,
            true => Size::Minimal { at_least },
            false => Size::Unreduced { at_least },
        };
        (size, core)
    }

    /// Serves all of `must` and, where `rest`, as many other candidates as it can.
    fn serve(&self, must: &[usize], rest: bool, budget: &mut Budget<'_>) -> Served {
        if budget.stopped || !budget.take(CHOICE_CELLS * self.problem.choice_count()) {
            budget.stopped = true;
            return Served::Unknown;
        }
        let mut mask = Mask::all(self.problem);
        for item in self.problem.items() {
            match self.forced {
                Some(choice) if self.problem.item_of(choice) == item => {
                    mask.force(self.problem, item, Some(choice));
                }
                _ => match self.candidates.binary_search(&item) {
                    Ok(place) if must.contains(&place) => mask.forbid(item, None),
                    Ok(_) if rest => {}
                    _ => mask.force(self.problem, item, None),
                },
            }
        }
        let Some(program) = demands(self.problem, &mask) else {
            return Served::Impossible;
        };
        let mut left = Vec::new();
        for part in program.parts() {
            let outcome = tiers::solve_part(&program, &part, budget);
            let Some(chosen) = outcome.chosen else {
                return if budget.stopped {
                    Served::Unknown
                } else {
                    Served::Impossible
                };
            };
            for (&item, option) in part.iter().zip(chosen) {
                let unassigned = program.items[item][option].choice.is_none();
                if let Ok(place) = self.candidates.binary_search(&Item(item))
                    && unassigned
                    && rest
                {
                    left.push(place);
                }
            }
        }
        left.sort_unstable();
        // Left out because the search was stopped proves nothing.
        if budget.stopped {
            Served::Unknown
        } else {
            Served::LeftOut(left)
        }
    }
}

/// The programme with nothing to pay but unassigned required items.
fn demands(problem: &Problem, mask: &Mask) -> Option<Program> {
    let mut program = Program::new(problem, mask)?;
    for option in program.items.iter_mut().flatten() {
        option.tiers[1..].copy_from_slice(&[0; ALL_TIERS - 1]);
    }
    Some(program)
}

/// What a contradiction rests on.
#[derive(Clone, Default)]
struct Reasons {
    resources: Vec<Resource>,
    conflicts: Vec<(Choice, Choice)>,
    modes: Vec<Mode>,
}

/// Leaves out resources, conflicts and modes as long as the items still do not fit, as far as the work of `limits` goes.
fn reasons(problem: &Problem, items: &[Item], forced: Option<Choice>, limits: &Limits) -> Reasons {
    let concerned = |choice: Choice| match forced {
        Some(forced) if problem.item_of(forced) == problem.item_of(choice) => choice == forced,
        _ => items.contains(&problem.item_of(choice)),
    };
    let choices = || {
        (0..problem.choice_count())
            .map(Choice)
            .filter(|&choice| concerned(choice))
    };
    let used = choices().flat_map(|choice| problem.uses_of(choice));
    let bound = choices().flat_map(|choice| problem.states_of(choice));
    let mut reasons = Reasons {
        resources: used.map(|&(resource, _)| resource).collect(),
        conflicts: problem
            .conflicts()
            .iter()
            .copied()
            .filter(|&(a, b)| concerned(a) && concerned(b))
            .collect(),
        modes: bound.map(|&(mode, _)| mode).collect(),
    };
    reasons.resources.sort_unstable();
    reasons.resources.dedup();
    reasons.modes.sort_unstable();
    reasons.modes.dedup();
    let mut budget = Budget::new(
        &Limits {
            nodes: u64::MAX,
            ..*limits
        },
        None,
    );
    let mut unknown = false;
    let mut clash = |reasons: &Reasons| {
        let relaxed = problem.relaxed(&reasons.resources, &reasons.conflicts, &reasons.modes);
        let must: Vec<usize> = (0..items.len()).collect();
        let oracle = Oracle {
            problem: &relaxed,
            candidates: items,
            forced,
        };
        let served = oracle.serve(&must, false, &mut budget);
        unknown |= matches!(served, Served::Unknown);
        matches!(served, Served::Impossible)
    };
    let (conflicts, modes) = (reasons.conflicts.clone(), reasons.modes.clone());
    reasons.conflicts = needed(conflicts, |conflicts| {
        clash(&Reasons {
            conflicts: conflicts.to_vec(),
            ..reasons.clone()
        })
    });
    reasons.modes = needed(modes, |modes| {
        clash(&Reasons {
            modes: modes.to_vec(),
            ..reasons.clone()
        })
    });
    let resources = reasons.resources.clone();
    reasons.resources = needed(resources, |resources| {
        clash(&Reasons {
            resources: resources.to_vec(),
            ..reasons.clone()
        })
    });
    if unknown { Reasons::default() } else { reasons }
}

/// A minimal part of `list` for which `holds` stays true; halves first, since most of a long list is needless.
fn needed<T: Copy>(mut list: Vec<T>, mut holds: impl FnMut(&[T]) -> bool) -> Vec<T> {
    let mut block = list.len().max(1);
    loop {
        let mut from = 0;
        while from < list.len() {
            let mut fewer = list[..from].to_vec();
            fewer.extend_from_slice(&list[(from + block).min(list.len())..]);
            if holds(&fewer) {
                list = fewer;
            } else {
                from += block;
            }
        }
        if block == 1 {
            return list;
        }
        block = block.div_ceil(2);
    }
}

/// A smallest set that meets every one of `sets`; `None` where that takes too long.
fn smallest_hitting_set(sets: &[Vec<usize>], budget: &mut Budget<'_>) -> Option<Vec<usize>> {
    let mut nodes = HITTING_NODES;
    let mut size = disjoint(sets, &[]);
    // A node looks at all sets, and for those that share a member at what they share.
    let each = HITTING_CELLS * sets.iter().map(Vec::len).sum::<usize>();
    loop {
        let mut chosen = Vec::new();
        let found = hit(sets, size, &mut chosen, &mut nodes, &mut || budget.take(each));
        if found {
            chosen.sort_unstable();
            return Some(chosen);
        }
        if nodes == 0 {
            return None;
        }
        size += 1;
    }
}

fn hit(
    sets: &[Vec<usize>],
    left: usize,
    chosen: &mut Vec<usize>,
    nodes: &mut usize,
    go_on: &mut impl FnMut() -> bool,
) -> bool {
    if *nodes == 0 || !go_on() {
        *nodes = 0;
        return false;
    }
    *nodes -= 1;
    let open = sets
        .iter()
        .filter(|set| !set.iter().any(|member| chosen.contains(member)));
    let Some(smallest) = open.min_by_key(|set| set.len()) else {
        return true;
    };
    if disjoint(sets, chosen) > left {
        return false;
    }
    for &member in smallest {
        chosen.push(member);
        if hit(sets, left - 1, chosen, nodes, go_on) {
            return true;
        }
        chosen.pop();
    }
    false
}

/// Number of pairwise disjoint sets not yet hit, counted greedily: each needs a member of its own.
fn disjoint(sets: &[Vec<usize>], chosen: &[usize]) -> usize {
    let mut open: Vec<&Vec<usize>> = sets
        .iter()
        .filter(|set| !set.iter().any(|member| chosen.contains(member)))
        .collect();
    open.sort_by_key(|set| set.len());
    let mut used: Vec<usize> = Vec::new();
    let mut count = 0;
    for set in open {
        if !set.iter().any(|member| used.contains(member)) {
            used.extend(set);
            count += 1;
        }
    }
    count
}
