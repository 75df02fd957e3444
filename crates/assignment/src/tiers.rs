//! Solves one part of a programme tier by tier.
//!
//! Tiers are packed into groups small enough for one scalar cost that floating point can still search on. A solved group
//! becomes a row, "costs no more than its optimum", of the next one. So no weight is ever large enough to drown a later tier.

use crate::model::{Model, RawOption};
use crate::problem::{TIERS, Total};
use crate::program::{ALL_TIERS, Program};
use crate::search::{self, Budget};
use std::ops::Range;

/// The scalar cost of a group stays below this, unless one tier alone is larger.
const GROUP: i128 = 1 << 36;

/// What is known about one part.
pub(crate) struct PartOutcome {
    /// Option of each item of the part; `None` where none exists or none was found in time.
    pub chosen: Option<Vec<usize>>,
    pub root: Total,
    /// Equals the cost of `chosen` where the search ran to its end.
    pub lower: Total,
}

/// The cheapest selection for the items of `part`.
pub(crate) fn solve_part(program: &Program, part: &[usize], budget: &mut Budget<'_>) -> PartOutcome {
    let mut stage = Stage::new(program, part);
    let mut tier = 0;
    while tier < ALL_TIERS && !budget.stopped {
        let group = stage.group(tier);
        tier = group.tiers.end;
        if !stage.solve(&group, budget) {
            break;
        }
    }
    PartOutcome {
        chosen: stage.chosen,
        root: total(&stage.root),
        lower: total(&stage.lower),
    }
}

/// Consecutive tiers as one scalar: tier `t` of an option counts `(cost − least[t][item]) / divisor[t] · weight[t]`.
struct Group {
    tiers: Range<usize>,
    divisor: Vec<i64>,
    weight: Vec<i64>,
}

struct Stage<'p> {
    program: &'p Program,
    part: &'p [usize],
    /// Options still allowed for each item of the part.
    allowed: Vec<Vec<usize>>,
    /// Rows of the solved groups: capacity, and the amount of each option of each item.
    rows: Vec<(i64, Vec<Vec<i64>>)>,
    chosen: Option<Vec<usize>>,
    root: [i64; ALL_TIERS],
    lower: [i64; ALL_TIERS],
    root_met: bool,
}

impl<'p> Stage<'p> {
    fn new(program: &'p Program, part: &'p [usize]) -> Stage<'p> {
        let allowed: Vec<Vec<usize>> = part
            .iter()
            .map(|&item| (0..program.items[item].len()).collect())
            .collect();
        let mut stage = Stage {
            program,
            part,
            chosen: unserved(program, part),
            allowed,
            rows: Vec::new(),
            root: [0; ALL_TIERS],
            lower: [0; ALL_TIERS],
            root_met: true,
        };
        for tier in 0..ALL_TIERS {
            let least: i64 = (0..part.len()).map(|place| stage.range(place, tier).0).sum();
            stage.root[tier] = least;
            stage.lower[tier] = least;
        }
        stage
    }

    fn tier_cost(&self, place: usize, option: usize, tier: usize) -> i64 {
        self.program.items[self.part[place]][option].tiers[tier]
    }

    /// Least and largest cost among the allowed options of one item.
    fn range(&self, place: usize, tier: usize) -> (i64, i64) {
        let costs = self.allowed[place]
            .iter()
            .map(|&option| self.tier_cost(place, option, tier));
        costs.fold((i64::MAX, i64::MIN), |(least, most), cost| {
            (least.min(cost), most.max(cost))
        })
    }

    /// Packs tiers from `first` on. The count of unserved required items stays alone: it is mostly closed without search.
    fn group(&self, first: usize) -> Group {
        let mut group = Group {
            tiers: first..first,
            divisor: Vec::new(),
            weight: Vec::new(),
        };
        let mut radices = Vec::new();
        let mut product: i128 = 1;
        for tier in first..ALL_TIERS {
            let mut spread = 0;
            let mut divisor = 0;
            for place in 0..self.part.len() {
                let (least, most) = self.range(place, tier);
                spread += most - least;
                for &option in &self.allowed[place] {
                    divisor = gcd(divisor, self.tier_cost(place, option, tier) - least);
                }
            }
            let divisor = divisor.max(1);
            let radix = i128::from(spread / divisor + 1);
            if tier > first && product * radix > GROUP {
                break;
            }
            product *= radix;
            group.tiers.end = tier + 1;
            group.divisor.push(divisor);
            radices.push(radix);
            if tier == 0 && radix > 1 {
                break;
            }
        }
        let mut weight: i128 = 1;
        for &radix in radices.iter().rev() {
            group.weight.insert(0, weight as i64);
            weight *= radix;
        }
        group
    }

    /// Scalar costs of all options of all items, those no longer allowed included (as 0).
    fn scalars(&self, group: &Group) -> Vec<Vec<i64>> {
        let scalars = |place: usize| {
            let mut costs = vec![0; self.program.items[self.part[place]].len()];
            for (index, tier) in group.tiers.clone().enumerate() {
                let least = self.range(place, tier).0;
                for &option in &self.allowed[place] {
                    let above = self.tier_cost(place, option, tier) - least;
                    costs[option] += above / group.divisor[index] * group.weight[index];
                }
            }
            costs
        };
        (0..self.part.len()).map(scalars).collect()
    }

    /// Solves one group; false where there is nothing more to do.
    fn solve(&mut self, group: &Group, budget: &mut Budget<'_>) -> bool {
        let costs = self.scalars(group);
        let Some(model) = self.model(&costs) else {
            self.chosen = None;
            return false;
        };
        let known = self.chosen.as_ref().map(|chosen| locate(&model, chosen));
        let outcome = search::minimise(&model, known, budget);
        if let Some(best) = &outcome.best {
            self.chosen = Some(best.iter().map(|&option| model.origin[option]).collect());
        }
        self.settle(group, outcome.root, outcome.lower, outcome.value);
        if outcome.best.is_none() || outcome.lower < outcome.value {
            return false;
        }
        self.restrict(costs, outcome.value);
        true
    }

    fn model(&self, costs: &[Vec<i64>]) -> Option<Model> {
        let first_row = self.program.capacities.len();
        let items = (0..self.part.len()).map(|place| {
            let raw = |&option: &usize| {
                let mut uses = self.program.items[self.part[place]][option].uses.clone();
                for (index, (_, amounts)) in self.rows.iter().enumerate() {
                    if amounts[place][option] > 0 {
                        uses.push((first_row + index, amounts[place][option]));
                    }
                }
                RawOption {
                    cost: costs[place][option],
                    origin: option,
                    uses,
                }
            };
            self.allowed[place].iter().map(raw).collect()
        });
        let mut capacities = self.program.capacities.clone();
        capacities.extend(self.rows.iter().map(|(capacity, _)| *capacity));
        Model::new(items.collect(), capacities)
    }

    /// Writes the bounds of the group's tiers down; later tiers keep the sum of the least costs.
    fn settle(&mut self, group: &Group, root: i64, lower: i64, value: i64) {
        let digits = |mut scalar: i64, into: &mut [i64; ALL_TIERS], base: &[i64]| {
            for (index, tier) in group.tiers.clone().enumerate() {
                let digit = scalar / group.weight[index];
                scalar -= digit * group.weight[index];
                into[tier] = base[index] + digit * group.divisor[index];
            }
        };
        let base: Vec<i64> = group
            .tiers
            .clone()
            .map(|tier| (0..self.part.len()).map(|place| self.range(place, tier).0).sum())
            .collect();
        if self.root_met {
            digits(root.max(0), &mut self.root, &base);
            self.root_met = root == value;
        }
        digits(lower.max(0), &mut self.lower, &base);
    }

    /// Holds the following groups to the optimum of this one.
    fn restrict(&mut self, costs: Vec<Vec<i64>>, optimum: i64) {
        for (allowed, costs) in self.allowed.iter_mut().zip(&costs) {
            allowed.retain(|&option| costs[option] <= optimum);
        }
        if optimum > 0 {
            self.rows.push((optimum, costs));
        }
        for tier in 0..ALL_TIERS {
            let least: i64 = (0..self.part.len()).map(|place| self.range(place, tier).0).sum();
            self.lower[tier] = self.lower[tier].max(least);
            if self.root_met {
                self.root[tier] = self.root[tier].max(least);
            }
        }
    }
}

/// Everything unserved, where that is allowed: a selection to start from.
fn unserved(program: &Program, part: &[usize]) -> Option<Vec<usize>> {
    part.iter()
        .map(|&item| {
            program.items[item]
                .iter()
                .position(|option| option.choice.is_none())
        })
        .collect()
}

fn locate(model: &Model, chosen: &[usize]) -> Vec<usize> {
    let of_item = |(item, &origin): (usize, &usize)| {
        (model.first[item]..model.first[item + 1]).find(|&option| model.origin[option] == origin)
    };
    // Tightening removes only options that fit nowhere, so a known selection is never hit.
    chosen.iter().enumerate().filter_map(of_item).collect()
}

fn total(tiers: &[i64; ALL_TIERS]) -> Total {
    let mut total = Total {
        unserved: tiers[0],
        tiers: [0; TIERS],
    };
    total.tiers.copy_from_slice(&tiers[1..]);
    total
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
