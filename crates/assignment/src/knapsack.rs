//! Rows for the relaxation that see a whole knapsack at once.
//!
//! The relaxation may split items over a row so that it is just full, where whole ones never fill it. Of all rules, keep one row and
//! that at most one option of each *group* is used (a port). What the relaxation uses of the row's options is then either a
//! mean of selections that keep these rules, or some weights `w` tell it apart: `Σ w · x ≤ z` holds for every selection and not
//! for the relaxation. A small linear programme finds out which, its columns made by dynamic programming over the row's
//! capacity (Boyd 1994; for assignments Avella, Boccia and Vasilyev 2010; both from memory). That is in floating point and proves
//! nothing: the weights are rounded, `z` is computed from them in integers, and every weight is then raised as far as `z` allows.

use crate::cover::Row;
use crate::model::Model;

/// A row with more options is left alone: such a row is not a port's or a rail's but one over nearly all items.
const WIDEST: usize = 512;

/// Capacities above this are rounded: amounts and capacity down, which only makes the row weaker.
const FINEST: i64 = 1_000;

/// Weights are rounded to parts of the largest; divisible by many small numbers, since weights mostly are small fractions.
const PARTS: f64 = 5_040.0;

/// Violations below this, where the largest weight is 1, are not worth a row.
const WORTH: f64 = 5e-3;

/// A row is taken early once it breaks so large a part of the most that any row could.
const ENOUGH: f64 = 0.8;

/// Columns of one small programme.
const MOST_COLUMNS: usize = 150;

/// Values closer to 0 than this count as 0.
const TINY: f64 = 1e-7;

/// The options of one row, of which at most one in each group is used.
#[derive(Clone, Debug)]
struct Block {
    capacity: usize,
    /// Members of group `g` are `members[group[g]..group[g + 1]]`.
    group: Vec<usize>,
    members: Vec<Member>,
}

#[derive(Clone, Copy, Debug)]
struct Member {
    option: usize,
    amount: usize,
}

/// All knapsacks of a model.
#[derive(Clone, Debug)]
pub(crate) struct Knapsacks(Vec<Block>);

impl Knapsacks {
    /// Of the first `rows` rows of `model`, over the options that `allowed` names.
    pub fn new(model: &Model, rows: usize, allowed: impl Fn(usize) -> bool) -> Knapsacks {
        let entries = |row: usize| -> Vec<(usize, i64)> {
            let entries = model.entries_of(row).iter();
            entries.copied().filter(|entry| allowed(entry.0)).collect()
        };
        // Which options exclude each other: those of the largest row of capacity 1, else those of one item.
        let mut group_of: Vec<usize> = model.item.iter().map(|&item| rows + item).collect();
        let mut largest = vec![0; model.cost.len()];
        for row in (0..rows).filter(|&row| model.capacity[row] == 1) {
            let entries = entries(row);
            for &(option, _) in &entries {
                if entries.len() > largest[option] {
                    largest[option] = entries.len();
                    group_of[option] = row;
                }
            }
        }
        let block = |row: usize| {
            let entries = entries(row);
            let even = entries.iter().all(|entry| entry.1 == entries[0].1);
            (!even && entries.len() <= WIDEST).then(|| Block::new(model.capacity[row], &entries, &group_of))
        };
        Knapsacks((0..rows).filter_map(block).collect())
    }

    /// For each knapsack a row that `value`, the use of each option in the relaxation, breaks.
    pub fn broken(&self, value: impl Fn(usize) -> f64) -> Vec<Row> {
        self.0.iter().filter_map(|block| block.broken(&value)).collect()
    }
}

impl Block {
    fn new(capacity: i64, entries: &[(usize, i64)], group_of: &[usize]) -> Block {
        let step = (capacity / FINEST).max(1);
        let mut sorted: Vec<(usize, usize, i64)> = entries
            .iter()
            .map(|&(option, amount)| (group_of[option], option, amount))
            .collect();
        sorted.sort_unstable();
        let mut block = Block {
            capacity: (capacity / step) as usize,
            group: vec![0],
            members: Vec::new(),
        };
        for group in sorted.chunk_by(|a, b| a.0 == b.0) {
            let members = group.iter().map(|&(_, option, amount)| Member {
                option,
                amount: (amount / step) as usize,
            });
            block.members.extend(members);
            block.group.push(block.members.len());
        }
        block
    }

    /// A row that `value` breaks, where there is one.
    fn broken(&self, value: &impl Fn(usize) -> f64) -> Option<Row> {
        let mut part = Block {
            capacity: self.capacity,
            group: vec![0],
            members: Vec::new(),
        };
        let mut places = Vec::new();
        let mut used = Vec::new();
        let (mut load, mut split) = (0, false);
        for range in self.group.windows(2) {
            let mut most = 0;
            for place in range[0]..range[1] {
                let share = value(self.members[place].option);
                if share > TINY {
                    part.members.push(self.members[place]);
                    places.push(place);
                    used.push(share);
                    most = most.max(self.members[place].amount);
                    split |= share < 1.0 - TINY;
                }
            }
            load += most;
            part.group.push(part.members.len());
        }
        if !split || load <= self.capacity {
            return None;
        }
        let weights = part.separate(&used)?;
        let mut whole = vec![0; self.members.len()];
        for (place, weight) in places.into_iter().zip(weights) {
            whole[place] = (weight * PARTS).round() as i64;
        }
        let limit = self.most(&whole, None)[self.capacity];
        self.lift(&mut whole, limit, value);
        let members = self.members.iter().zip(&whole).filter(|(_, weight)| **weight > 0);
        let mut row: Vec<(usize, i64)> = members.map(|(member, &weight)| (member.option, weight)).collect();
        row.sort_unstable();
        (limit > 0).then_some((row, limit))
    }

    /// Raises every weight as far as no selection passes `limit`, group by group, those most used first.
    fn lift(&self, whole: &mut [i64], limit: i64, value: &impl Fn(usize) -> f64) {
        let share = |group: usize| -> f64 {
            let members = &self.members[self.group[group]..self.group[group + 1]];
            members.iter().map(|member| value(member.option)).sum()
        };
        let mut order: Vec<(usize, f64)> = (0..self.group.len() - 1)
            .map(|group| (group, share(group)))
            .collect();
        order.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        for (group, _) in order {
            let others = self.most(whole, Some(group));
            for place in self.group[group]..self.group[group + 1] {
                whole[place] = limit - others[self.capacity - self.members[place].amount];
            }
        }
    }

    /// The most that the weights of a selection sum to, for each capacity up to the whole; without one group.
    fn most(&self, whole: &[i64], without: Option<usize>) -> Vec<i64> {
        let mut most = vec![0i64; self.capacity + 1];
        let mut before = most.clone();
        for (group, range) in self.group.windows(2).enumerate() {
            if Some(group) == without {
                continue;
            }
            before.clone_from(&most);
            for place in range[0]..range[1] {
                let weight = whole[place];
                if weight > 0 {
                    for (to, from) in most[self.members[place].amount..].iter_mut().zip(&before) {
                        *to = (*to).max(from + weight);
                    }
                }
            }
        }
        most
    }

    /// The selection with the largest sum of weights, and that sum.
    fn best(&self, weights: &[f64], table: &mut Vec<f32>) -> (Vec<usize>, f64) {
        let width = self.capacity + 1;
        let groups = self.group.len() - 1;
        table.clear();
        table.resize(width * (groups + 1), 0.0);
        for group in 0..groups {
            let (before, after) = table.split_at_mut(width * (group + 1));
            let before = &before[width * group..];
            let after = &mut after[..width];
            after.copy_from_slice(before);
            for place in self.group[group]..self.group[group + 1] {
                let weight = weights[place] as f32;
                if weight > 0.0 {
                    for (to, from) in after[self.members[place].amount..].iter_mut().zip(before) {
                        let with = from + weight;
                        *to = if with > *to { with } else { *to };
                    }
                }
            }
        }
        let mut left = self.capacity;
        let mut taken = Vec::new();
        for group in (0..groups).rev() {
            let now = table[width * (group + 1) + left];
            if now <= table[width * group + left] {
                continue;
            }
            let found = (self.group[group]..self.group[group + 1]).find(|&place| {
                let amount = self.members[place].amount;
                let weight = weights[place] as f32;
                weight > 0.0 && amount <= left && table[width * group + left - amount] + weight >= now
            });
            if let Some(place) = found {
                taken.push(place);
                left -= self.members[place].amount;
            }
        }
        let sum = taken.iter().map(|&place| weights[place]).sum();
        (taken, sum)
    }

    /// Weights between 0 and 1 under which `used` weighs more than any selection; `None` where it is a mean of selections.
    ///
    /// The programme: least `Σ v` with `Σ λₛ · s + v ≥ used`, `Σ λ ≤ 1`, over selections `s`. Its multipliers are the weights.
    fn separate(&self, used: &[f64]) -> Option<Vec<f64>> {
        let size = used.len();
        let mut programme = Programme::new(used);
        let mut table = Vec::new();
        let mut best = (WORTH, None);
        for _ in 0..MOST_COLUMNS {
            programme.settle();
            let least = programme.objective();
            if least < WORTH {
                return None;
            }
            let multipliers = programme.multipliers();
            let weights: Vec<f64> = multipliers[..size]
                .iter()
                .map(|&weight| weight.clamp(0.0, 1.0))
                .collect();
            let (taken, most) = self.best(&weights, &mut table);
            let over = used
                .iter()
                .zip(&weights)
                .map(|(used, weight)| used * weight)
                .sum::<f64>()
                - most;
            if over > best.0 {
                best = (over, Some(weights));
            }
            if over >= ENOUGH * least || most <= -multipliers[size] + TINY {
                break;
            }
            let mut column = vec![0.0; size + 1];
            column[size] = 1.0;
            for place in taken {
                column[place] = 1.0;
            }
            if !programme.enter(&column, 0.0) {
                break;
            }
        }
        best.1
    }
}

/// The small programme, by the primal simplex method on the inverse of its basis.
struct Programme {
    /// Rows: one for each member, and the sum of shares.
    size: usize,
    inverse: Vec<f64>,
    value: Vec<f64>,
    cost: Vec<f64>,
}

impl Programme {
    fn new(used: &[f64]) -> Programme {
        let size = used.len() + 1;
        let mut inverse = vec![0.0; size * size];
        for row in 0..size {
            inverse[row * size + row] = 1.0;
        }
        let mut value = used.to_vec();
        value.push(1.0);
        let mut cost = vec![1.0; size];
        cost[size - 1] = 0.0;
        Programme {
            size,
            inverse,
            value,
            cost,
        }
    }

    fn objective(&self) -> f64 {
        self.cost
            .iter()
            .zip(&self.value)
            .map(|(cost, value)| cost * value)
            .sum()
    }

    fn multipliers(&self) -> Vec<f64> {
        let mut multipliers = vec![0.0; self.size];
        for (row, &cost) in self.cost.iter().enumerate().filter(|entry| *entry.1 != 0.0) {
            let inverse = &self.inverse[row * self.size..(row + 1) * self.size];
            for (multiplier, inverse) in multipliers.iter_mut().zip(inverse) {
                *multiplier += cost * inverse;
            }
        }
        multipliers
    }

    /// Lets the slacks enter until every multiplier is in its range.
    fn settle(&mut self) {
        for _ in 0..4 * self.size {
            let multipliers = self.multipliers();
            // How far a multiplier is out of range, its row, and the entry and cost of the slack that mends it.
            let mut worst = (TINY, 0, 0.0, 0.0);
            for (row, &multiplier) in multipliers[..self.size - 1].iter().enumerate() {
                if -multiplier > worst.0 {
                    worst = (-multiplier, row, -1.0, 0.0);
                }
                if multiplier - 1.0 > worst.0 {
                    worst = (multiplier - 1.0, row, 1.0, 1.0);
                }
            }
            if multipliers[self.size - 1] > worst.0 {
                worst = (multipliers[self.size - 1], self.size - 1, 1.0, 0.0);
            }
            let mut column = vec![0.0; self.size];
            column[worst.1] = worst.2;
            if worst.0 <= TINY || !self.enter(&column, worst.3) {
                break;
            }
        }
    }

    /// Takes a column into the basis. False where that is not possible.
    fn enter(&mut self, column: &[f64], cost: f64) -> bool {
        let size = self.size;
        let mut direction = vec![0.0; size];
        for (direction, inverse) in direction.iter_mut().zip(self.inverse.chunks_exact(size)) {
            *direction = inverse
                .iter()
                .zip(column)
                .map(|(inverse, entry)| inverse * entry)
                .sum();
        }
        let mut leaves: Option<(f64, usize)> = None;
        for (row, &slope) in direction.iter().enumerate() {
            if slope > TINY {
                let ratio = self.value[row].max(0.0) / slope;
                let better = leaves.is_none_or(|(least, other)| {
                    ratio < least - 1e-12 || ratio <= least + 1e-12 && slope > direction[other]
                });
                if better {
                    leaves = Some((ratio, row));
                }
            }
        }
        let Some((ratio, leaves)) = leaves else {
            return false;
        };
        for (value, slope) in self.value.iter_mut().zip(&direction) {
            *value -= ratio * slope;
        }
        self.value[leaves] = ratio;
        self.cost[leaves] = cost;
        let pivot = 1.0 / direction[leaves];
        for cell in &mut self.inverse[leaves * size..(leaves + 1) * size] {
            *cell *= pivot;
        }
        let pivot_row = self.inverse[leaves * size..(leaves + 1) * size].to_vec();
        for (row, cells) in self.inverse.chunks_exact_mut(size).enumerate() {
            let factor = direction[row];
            if row != leaves && factor != 0.0 {
                for (cell, pivot) in cells.iter_mut().zip(&pivot_row) {
                    *cell -= factor * pivot;
                }
            }
        }
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::generate::Draw;
    use crate::model::RawOption;

    /// Seven items, each in two or three of five ports, all ports on one row.
    fn model(draw: &mut Draw) -> Model {
        let items = (0..7).map(|_| {
            let amount = draw.between(2, 9);
            let ports = draw.between(2, 3);
            let mut options: Vec<RawOption> = (0..ports)
                .map(|origin| RawOption {
                    cost: 0,
                    hint: 0.0,
                    origin: origin as usize,
                    uses: vec![(0, amount), (1 + draw.below(5) as usize, 1)],
                })
                .collect();
            options.push(RawOption {
                cost: 1,
                hint: 0.0,
                origin: 9,
                uses: Vec::new(),
            });
            options
        });
        let items: Vec<Vec<RawOption>> = items.collect();
        Model::new(items, vec![draw.between(10, 20), 1, 1, 1, 1, 1]).unwrap()
    }

    fn selections(model: &Model) -> Vec<Vec<usize>> {
        (0..model.items()).fold(vec![Vec::new()], |partial, item| {
            let options = model.first[item]..model.first[item + 1];
            let extend = |chosen: &Vec<usize>| {
                options
                    .clone()
                    .map(|option| [&chosen[..], &[option]].concat())
                    .collect::<Vec<_>>()
            };
            partial.iter().flat_map(extend).collect()
        })
    }

    #[test]
    fn rows_hold_for_every_selection_and_break_the_relaxation() {
        let mut found = 0;
        for seed in 0..60 {
            let mut draw = Draw::new(seed);
            let model = model(&mut draw);
            let knapsacks = Knapsacks::new(&model, model.capacity.len(), |_| true);
            let share: Vec<f64> = model.cost.iter().map(|_| draw.below(3) as f64 / 2.0).collect();
            let rows = knapsacks.broken(|option| share[option]);
            let whole = selections(&model);
            for (entries, limit) in &rows {
                found += 1;
                let used: f64 = entries
                    .iter()
                    .map(|&(option, weight)| weight as f64 * share[option])
                    .sum();
                assert!(used > *limit as f64);
                for chosen in whole.iter().filter(|chosen| model.value(chosen).is_some()) {
                    let weight =
                        |option: &usize| entries.iter().find(|entry| entry.0 == *option).map_or(0, |e| e.1);
                    assert!(chosen.iter().map(weight).sum::<i64>() <= *limit);
                }
            }
        }
        assert!(found > 20, "{found} rows");
    }

    #[test]
    fn a_mean_of_selections_breaks_nothing() {
        for seed in 0..60 {
            let mut draw = Draw::new(seed);
            let model = model(&mut draw);
            let knapsacks = Knapsacks::new(&model, model.capacity.len(), |_| true);
            let whole: Vec<Vec<usize>> = selections(&model)
                .into_iter()
                .filter(|chosen| model.value(chosen).is_some())
                .collect();
            let mut share = vec![0.0; model.cost.len()];
            for _ in 0..4 {
                for &option in &whole[draw.below(whole.len() as i64) as usize] {
                    share[option] += 0.25;
                }
            }
            assert!(knapsacks.broken(|option| share[option]).is_empty());
        }
    }
}
