//! Solves one part of a programme tier by tier.
//!
//! Consecutive tiers are packed into one scalar cost, small enough that floating point can still search on it, and tried at once:
//! mostly the relaxation closes. Where it does not close soon, the tiers are taken one by one, since a bound on one tier
//! can be rounded up to a whole number and a packed one cannot. A solved group becomes a row, "costs no more than its
//! optimum", of the next one. So no weight is ever large enough to drown a later tier.

use crate::matching::{self, Relaxed};
use crate::model::{Model, RawOption};
use crate::problem::{TIERS, Total};
use crate::program::{ALL_TIERS, Program, ProgramOption};
use crate::search::{self, Budget, Known, Outcome};
use std::ops::Range;

/// The scalar cost of packed tiers stays below this, unless one tier alone is larger.
const PACKED: i128 = 1 << 36;

/// Nodes spent on packed tiers before they are taken one by one.
const PATIENCE: u64 = 20;

/// Nodes spent on serving every required item before those left unassigned are counted.
const HOPE: u64 = 8;

/// A part with more options is first taken as an assignment problem.
const LARGE: usize = 4_000;

/// What is known about one part.
pub(crate) struct PartOutcome {
    /// Option of each item of the part; `None` where none exists or none was found in time.
    pub chosen: Option<Vec<usize>>,
    pub root: Total,
    /// Equals the cost of `chosen` where the search ran to its end.
    pub lower: Total,
}

/// The cheapest selection for the items of `part`.
///
/// First it is tried to serve every required item, which most problems allow. Where that finds nothing soon, the required
/// items left unassigned are counted as a tier of their own.
pub(crate) fn solve_part(program: &Program, part: &[usize], budget: &mut Budget<'_>) -> PartOutcome {
    let size: usize = part.iter().map(|&item| program.items[item].len()).sum();
    let relaxed = (size > LARGE)
        .then(|| matching::relaxed(program, part, budget))
        .flatten();
    if let Some(relaxed) = relaxed.as_ref().filter(|relaxed| relaxed.is_optimal) {
        return PartOutcome {
            chosen: relaxed.chosen.clone(),
            root: total(&relaxed.lower),
            lower: total(&relaxed.lower),
        };
    }
    let mut stage = Stage::new(program, part, true);
    stage.begin(relaxed.as_ref());
    if stage.all_served {
        stage.run(1, budget);
        if stage.chosen.is_some() {
            return stage.outcome(relaxed.as_ref());
        }
        let floor = i64::from(stage.impossible);
        stage = Stage::new(program, part, false);
        stage.begin(relaxed.as_ref());
        stage.floor = floor;
    }
    stage.run(0, budget);
    stage.outcome(relaxed.as_ref())
}

/// Consecutive tiers as one scalar: tier `t` of an option counts `(cost − least of the item) / divisor[t] · weight[t]`.
struct Group {
    tiers: Range<usize>,
    divisor: Vec<i64>,
    weight: Vec<i64>,
    /// More than one tier that differs, so that taking them one by one is another way.
    packed: bool,
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
    /// So far the bounds before branching met the optima.
    root_met: bool,
    /// Required items must be served.
    all_served: bool,
    /// The first group is known to cost at least this.
    floor: i64,
    /// Proved: no selection.
    impossible: bool,
    /// The last group ended with an optimum.
    solved: bool,
}

impl<'p> Stage<'p> {
    fn new(program: &'p Program, part: &'p [usize], all_served: bool) -> Stage<'p> {
        let counted = |item: usize, option: usize| program.items[item][option].tiers[0] > 0;
        let can_be_served = |item: usize| (0..program.items[item].len()).any(|option| !counted(item, option));
        let all_served = all_served && part.iter().all(|&item| can_be_served(item));
        let allowed = |&item: &usize| -> Vec<usize> {
            (0..program.items[item].len())
                .filter(|&option| !(all_served && counted(item, option)))
                .collect()
        };
        let allowed: Vec<Vec<usize>> = part.iter().map(allowed).collect();
        let mut stage = Stage {
            program,
            part,
            chosen: greedy(program, part, &allowed),
            allowed,
            rows: Vec::new(),
            root: [0; ALL_TIERS],
            lower: [0; ALL_TIERS],
            root_met: true,
            all_served,
            floor: 0,
            impossible: false,
            solved: false,
        };
        stage.root = std::array::from_fn(|tier| stage.least(tier));
        stage.lower = stage.root;
        stage
    }

    /// Solves the groups of tiers from `tier` on, as far as the budget goes.
    fn run(&mut self, mut tier: usize, budget: &mut Budget<'_>) {
        while tier < ALL_TIERS && !budget.stopped {
            let mut group = self.group(tier, PACKED);
            self.solve(&group, budget);
            if !self.solved && group.packed && self.chosen.is_some() && !budget.stopped {
                group = self.group(tier, 1);
                self.solve(&group, budget);
            }
            if !self.solved {
                break;
            }
            tier = group.tiers.end;
        }
    }

    /// Begins with the selection of the assignment problem, where it is allowed and cheaper.
    fn begin(&mut self, relaxed: Option<&Relaxed>) {
        let Some(chosen) = relaxed.and_then(|relaxed| relaxed.chosen.as_ref()) else {
            return;
        };
        let mut places = self.allowed.iter().zip(chosen);
        let is_allowed = places.all(|(allowed, option)| allowed.contains(option));
        let cheaper = self
            .chosen
            .as_ref()
            .is_none_or(|own| self.cost(chosen) < self.cost(own));
        if is_allowed && cheaper {
            self.chosen = Some(chosen.clone());
        }
    }

    /// All tiers of a selection.
    fn cost(&self, chosen: &[usize]) -> [i64; ALL_TIERS] {
        std::array::from_fn(|tier| {
            let each = chosen.iter().enumerate();
            each.map(|(place, &option)| self.tier_cost(place, option, tier))
                .sum()
        })
    }

    /// What is known now; the bound is that of the search or of the assignment problem, whichever is higher.
    fn outcome(self, relaxed: Option<&Relaxed>) -> PartOutcome {
        let known = relaxed.map_or([i64::MIN; ALL_TIERS], |relaxed| relaxed.lower);
        PartOutcome {
            root: total(&self.root.max(known)),
            lower: total(&self.lower.max(known)),
            chosen: self.chosen,
        }
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

    /// The sum of the least costs of all items.
    fn least(&self, tier: usize) -> i64 {
        (0..self.part.len()).map(|place| self.range(place, tier).0).sum()
    }

    /// Largest sum of a tier above the least, in steps of the greatest common divisor.
    fn spread(&self, tier: usize) -> (i128, i64) {
        let (mut spread, mut divisor) = (0, 0);
        for place in 0..self.part.len() {
            let (least, most) = self.range(place, tier);
            spread += most - least;
            if most > least {
                for &option in &self.allowed[place] {
                    divisor = gcd(divisor, self.tier_cost(place, option, tier) - least);
                }
            }
        }
        let divisor = divisor.max(1);
        (i128::from(spread / divisor), divisor)
    }

    /// Packs tiers from `first` on, at least one that differs. The count of unassigned required items stays alone: it is mostly
    /// closed without search.
    fn group(&self, first: usize, largest: i128) -> Group {
        let mut group = Group {
            tiers: first..first,
            divisor: Vec::new(),
            weight: Vec::new(),
            packed: false,
        };
        let mut radices = Vec::new();
        let mut product: i128 = 1;
        for tier in first..ALL_TIERS {
            let (spread, divisor) = self.spread(tier);
            let radix = spread + 1;
            if product > 1 && radix > 1 && product * radix > largest {
                break;
            }
            group.packed |= product > 1 && radix > 1;
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

    /// Solves one group, or gives up after a while where there is another way.
    fn solve(&mut self, group: &Group, budget: &mut Budget<'_>) {
        self.solved = false;
        let costs = self.scalars(group);
        let hints = self.hints(group);
        let Some(mut model) = self.model(&costs, &hints) else {
            self.impossible = true;
            self.chosen = None;
            return;
        };
        let known = Known {
            selection: self.chosen.as_ref().map(|chosen| locate(&model, chosen)),
            floor: std::mem::take(&mut self.floor),
            patience: if group.packed { PATIENCE } else { u64::MAX },
            hope: if self.all_served { HOPE } else { u64::MAX },
        };
        let outcome = search::minimise(&mut model, known, budget);
        let ended = outcome.lower >= outcome.value;
        let Some(best) = &outcome.best else {
            self.impossible = ended;
            return;
        };
        self.solved = ended;
        self.chosen = Some(best.iter().map(|&option| model.origin[option]).collect());
        self.settle(group, &outcome, budget.stopped);
        if ended {
            self.restrict(costs, outcome.value);
        }
    }

    /// What the tiers after a group prefer, in all less than a twentieth of the group's unit.
    fn hints(&self, group: &Group) -> Vec<Vec<f64>> {
        let later = self.group(group.tiers.end, PACKED);
        let scalars = self.scalars(&later);
        let most = |costs: &Vec<i64>| costs.iter().max().copied().unwrap_or(0);
        let unit = 0.04 / scalars.iter().map(most).sum::<i64>().max(1) as f64;
        scalars
            .iter()
            .map(|costs| costs.iter().map(|&cost| cost as f64 * unit).collect())
            .collect()
    }

    fn model(&self, costs: &[Vec<i64>], hints: &[Vec<f64>]) -> Option<Model> {
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
                    hint: hints[place][option],
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

    /// Writes the bounds of the group's tiers down; later tiers keep the sum of the least costs. Packed tiers that were given up
    /// bound only all of them together, so that is kept only where nothing more will be done.
    fn settle(&mut self, group: &Group, outcome: &Outcome, stopped: bool) {
        let base: Vec<i64> = group.tiers.clone().map(|tier| self.least(tier)).collect();
        let digits = |mut scalar: i64, into: &mut [i64; ALL_TIERS]| {
            for (index, tier) in group.tiers.clone().enumerate() {
                let digit = scalar / group.weight[index];
                scalar -= digit * group.weight[index];
                into[tier] = base[index] + digit * group.divisor[index];
            }
        };
        if self.root_met {
            digits(outcome.root.max(0), &mut self.root);
            self.root_met = outcome.root == outcome.value;
        }
        if self.solved || stopped {
            digits(outcome.lower.max(0), &mut self.lower);
        }
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
            let least = self.least(tier);
            self.lower[tier] = self.lower[tier].max(least);
            if self.root_met {
                self.root[tier] = self.root[tier].max(least);
            }
        }
    }
}

/// A selection to start from: the items with the fewest options first, each with its cheapest option that still fits. The first item that
/// depends on a mode chooses its state.
fn greedy(program: &Program, part: &[usize], allowed: &[Vec<usize>]) -> Option<Vec<usize>> {
    let mut order: Vec<usize> = (0..part.len()).collect();
    order.sort_by_key(|&place| (part[place] >= program.first_mode, allowed[place].len(), place));
    let mut left = program.capacities.clone();
    let mut chosen: Vec<Option<usize>> = vec![None; part.len()];
    let place_of = |item: usize| part.binary_search(&item).ok();
    for place in order {
        if chosen[place].is_some() {
            continue;
        }
        let options = &program.items[part[place]];
        let has_room = |option: &ProgramOption| option.uses.iter().all(|&(row, amount)| amount <= left[row]);
        // A state that is not chosen yet must have room too; one that is, has left room for nothing else.
        let is_open = |&(mode, state): &(usize, usize)| {
            place_of(mode).is_none_or(|mode| {
                chosen[mode].is_some()
                    || allowed[mode].contains(&state) && has_room(&program.items[part[mode]][state])
            })
        };
        let fits =
            |option: &&usize| has_room(&options[**option]) && options[**option].states.iter().all(is_open);
        let cheapest = allowed[place]
            .iter()
            .filter(fits)
            .min_by_key(|&&option| (options[option].tiers, option));
        let option = *cheapest?;
        let states = options[option].states.iter();
        let modes = states.filter_map(|&(mode, state)| Some((place_of(mode)?, state)));
        for (place, option) in modes.chain([(place, option)]).collect::<Vec<_>>() {
            if chosen[place].is_none() {
                chosen[place] = Some(option);
                for &(row, amount) in &program.items[part[place]][option].uses {
                    left[row] -= amount;
                }
            }
        }
    }
    chosen.into_iter().collect()
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
        unassigned: tiers[0],
        tiers: [0; TIERS],
    };
    total.tiers.copy_from_slice(&tiers[1..]);
    total
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
