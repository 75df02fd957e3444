//! Looks for a selection by repair: local search that starts from any selection, full rows or not, and mends it.
//!
//! One item moves at a time, always off a row that is overfull (the cost counts as one more row, whose capacity is the last cost
//! that would be better). Where no move helps, the overfull rows gain weight (the breakout method; Morris 1993, from memory), so that
//! the search leaves the hollow it sits in. It proves nothing and finds early what the tree would find late.

use crate::model::Model;

/// After a move an item rests for so many moves, and a few more by chance.
const REST: u64 = 4;

/// Part of a row's weight that counts as soon as it is overfull, however little.
const FIXED_PART: f64 = 0.2;

/// Without costs to guide, so many items are looked at where only the cost is too high.
const LOOK_AT: usize = 12;

/// A repair that can be continued.
#[derive(Clone, Debug, Default)]
pub(crate) struct Repair {
    /// Options of each item that may be used, items one after the other.
    options: Vec<usize>,
    first: Vec<usize>,
    chosen: Vec<usize>,
    /// Number of the move from which an item may move again.
    rests_until: Vec<u64>,
    load: Vec<i64>,
    weight: Vec<f64>,
    overfull: Vec<usize>,
    /// Place of each row in `overfull`.
    place: Vec<usize>,
    cost: i64,
    cost_weight: f64,
    moves: u64,
    random: u64,
}

impl Repair {
    /// Over the first `rows` rows of `model` and the options that `allowed` names; `start` of each item is where it begins.
    pub fn new(
        model: &Model,
        rows: usize,
        allowed: impl Fn(usize) -> bool,
        start: impl Fn(usize) -> Option<usize>,
    ) -> Option<Repair> {
        let mut repair = Repair {
            first: vec![0],
            rests_until: vec![0; model.items()],
            load: vec![0; rows],
            weight: vec![1.0; rows],
            place: vec![usize::MAX; rows],
            cost_weight: 1.0,
            random: 0x9e37_79b9_7f4a_7c15,
            ..Repair::default()
        };
        for item in 0..model.items() {
            let options = (model.first[item]..model.first[item + 1]).filter(|&option| allowed(option));
            repair.options.extend(options);
            let from = *repair.first.last()?;
            let begin = start(item).filter(|option| repair.options[from..].contains(option));
            let begin = begin.or_else(|| repair.options.get(from).copied())?;
            repair.first.push(repair.options.len());
            repair.chosen.push(begin);
            repair.cost += model.cost[begin];
            for &(row, amount) in own(model, begin, rows) {
                repair.load[row] += amount;
            }
        }
        for row in 0..rows {
            repair.note(model, row);
        }
        Some(repair)
    }

    /// Makes up to `moves` moves; hands back a selection that overfills nothing and costs less than `upper`, where one is met.
    pub fn run(&mut self, model: &Model, upper: i64, moves: u64) -> Option<Vec<usize>> {
        let scale = 1.0 / self.spread(model);
        let last = self.moves + moves;
        while self.moves < last {
            self.moves += 1;
            let dear = self.cost - (upper - 1);
            if self.overfull.is_empty() && dear <= 0 {
                return Some(self.chosen.clone());
            }
            let picks = self.overfull.len() + usize::from(dear > 0);
            let pick = self.below(picks);
            let mut best = (f64::INFINITY, usize::MAX);
            if pick < self.overfull.len() {
                let row = self.overfull[pick];
                for &(option, _) in model.entries_of(row) {
                    if self.chosen[model.item[option]] == option {
                        self.consider(model, model.item[option], dear, scale, &mut best);
                    }
                }
            } else {
                for _ in 0..LOOK_AT {
                    let item = self.below(model.items());
                    self.consider(model, item, dear, scale, &mut best);
                }
            }
            if best.1 == usize::MAX {
                continue;
            }
            if best.0 >= 0.0 {
                for &row in &self.overfull {
                    self.weight[row] += 1.0;
                }
                if dear > 0 {
                    self.cost_weight += 1.0;
                }
            }
            self.go(model, best.1);
        }
        None
    }

    /// Options of all items.
    pub fn size(&self) -> u64 {
        self.options.len() as u64
    }

    /// A usual difference in cost between options of one item.
    fn spread(&self, model: &Model) -> f64 {
        let of_item = |range: &[usize]| {
            let costs = self.options[range[0]..range[1]]
                .iter()
                .map(|&option| model.cost[option]);
            let (least, most) = costs.fold((i64::MAX, 0), |(least, most), cost| {
                (least.min(cost), most.max(cost))
            });
            most - least
        };
        let largest = self.first.windows(2).map(of_item).max();
        largest.unwrap_or(1).max(1) as f64
    }

    /// Remembers the best move of `item`, with what it changes in the weighted excess.
    fn consider(&mut self, model: &Model, item: usize, dear: i64, scale: f64, best: &mut (f64, usize)) {
        if self.rests_until[item] > self.moves {
            return;
        }
        let from = self.chosen[item];
        let rows = self.load.len();
        let mut gain = 0.0;
        for &(row, amount) in own(model, from, rows) {
            gain += self.excess(model, row, 0) - self.excess(model, row, -amount);
            self.load[row] -= amount;
        }
        for &to in &self.options[self.first[item]..self.first[item + 1]] {
            if to == from {
                continue;
            }
            let after = dear + model.cost[to] - model.cost[from];
            let mut change = self.cost_weight * scale * (after.max(0) - dear.max(0)) as f64 - gain;
            for &(row, amount) in own(model, to, rows) {
                change += self.excess(model, row, amount) - self.excess(model, row, 0);
                if change >= best.0 {
                    break;
                }
            }
            if change < best.0 {
                *best = (change, to);
            }
        }
        for &(row, amount) in own(model, from, rows) {
            self.load[row] += amount;
        }
    }

    /// What a row's excess weighs with `more` on it.
    fn excess(&self, model: &Model, row: usize, more: i64) -> f64 {
        let over = self.load[row] + more - model.capacity[row];
        if over <= 0 {
            0.0
        } else {
            self.weight[row] * (FIXED_PART + over as f64 * model.scale[row])
        }
    }

    fn go(&mut self, model: &Model, to: usize) {
        let item = model.item[to];
        let from = std::mem::replace(&mut self.chosen[item], to);
        self.cost += model.cost[to] - model.cost[from];
        self.rests_until[item] = self.moves + REST + self.below(4) as u64;
        let rows = self.load.len();
        for &(row, amount) in own(model, from, rows) {
            self.load[row] -= amount;
            self.note(model, row);
        }
        for &(row, amount) in own(model, to, rows) {
            self.load[row] += amount;
            self.note(model, row);
        }
    }

    /// Keeps the list of overfull rows.
    fn note(&mut self, model: &Model, row: usize) {
        let over = self.load[row] > model.capacity[row];
        let place = self.place[row];
        if over && place == usize::MAX {
            self.place[row] = self.overfull.len();
            self.overfull.push(row);
        } else if !over && place != usize::MAX {
            self.overfull.swap_remove(place);
            if let Some(&moved) = self.overfull.get(place) {
                self.place[moved] = place;
            }
            self.place[row] = usize::MAX;
        }
    }

    /// A number in `0..below`, the same sequence each time.
    fn below(&mut self, below: usize) -> usize {
        self.random ^= self.random << 13;
        self.random ^= self.random >> 7;
        self.random ^= self.random << 17;
        (((self.random >> 32) * below as u64) >> 32) as usize
    }
}

/// Uses of an option among the first `rows` rows; rows added later only follow from these.
fn own(model: &Model, option: usize, rows: usize) -> impl Iterator<Item = &(usize, i64)> {
    model
        .uses_of(option)
        .iter()
        .take_while(move |entry| entry.0 < rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::RawOption;

    /// Five items in five places; item `i` costs nothing only in place `(i + 2) mod 5`.
    fn ring() -> Model {
        let items = (0..5).map(|item| {
            let option = |place: usize| RawOption {
                cost: i64::from(place != (item + 2) % 5),
                hint: 0.0,
                origin: place,
                uses: vec![(place, 1)],
            };
            (0..5).map(option).collect()
        });
        Model::new(items.collect(), vec![1; 5]).unwrap()
    }

    #[test]
    fn mends_what_is_overfull_and_what_is_dear() {
        let model = ring();
        // All five in one place.
        let start = |item: usize| Some(model.first[item]);
        let mut repair = Repair::new(&model, model.capacity.len(), |_| true, start).unwrap();
        let any = repair.run(&model, 6, 1_000).unwrap();
        assert!(model.value(&any).unwrap() <= 5);
        let best = repair.run(&model, 1, 10_000).unwrap();
        assert_eq!(model.value(&best), Some(0));
        assert_eq!(repair.run(&model, 0, 1_000), None);
    }

    #[test]
    fn uses_only_what_is_allowed() {
        let model = ring();
        // Place 0 is closed to all: five items do not fit in four places.
        let allowed = |option: usize| model.origin[option] != 0;
        let mut repair = Repair::new(&model, model.capacity.len(), allowed, |_| None).unwrap();
        assert_eq!(repair.run(&model, 6, 1_000), None);
        assert!(Repair::new(&model, model.capacity.len(), |_| false, |_| None).is_none());
    }
}
