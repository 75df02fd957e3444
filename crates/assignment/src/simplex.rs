//! The linear relaxation by the dual simplex method on a dense tableau, in floating point.
//!
//! Nothing here is trusted: it looks for good multipliers and for a good place to branch. The proof uses only what
//! [`bound`](crate::bound) computes from the multipliers in integers.
//!
//! The tableau holds only part of the model: a few options of each item, and the rows that were broken so far. The start needs no
//! first phase: every item takes its cheapest option. That basis is dual feasible, and stays so: options taken away leave the
//! tableau, rows come with their slack in the basis, and an option that comes late at a negative reduced cost comes fully used
//! (at its upper bound, its column that of the complement), from where the dual method brings it down.

use crate::model::Model;
use crate::solution::Work;

/// Values closer to 0 than this count as feasible.
const FEASIBLE: f64 = 1e-7;
/// Smaller entries are no pivots.
const PIVOT: f64 = 1e-7;
/// Smaller entries are taken for rounding errors.
const NOISE: f64 = 1e-11;
/// Rows with so much room, in parts of their greatest demand, leave the tableau between nodes.
const LOOSE: f64 = 0.1;
/// So many of the worst rows are looked at before one is chosen to leave.
const LOOK_AT: usize = 6;
/// So many steps for each row, and some more, are enough but where ties make the method walk in circles.
const MOST_STEPS: usize = 3;
const SPARE_STEPS: usize = 100;
/// `place` of an option that has left the tableau.
const GONE: u32 = u32::MAX;
/// Marks a `place` as a row.
const BASIC: u32 = 1 << 31;

/// How a relaxation ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum End {
    Optimal,
    /// The value passed the cut-off.
    Cut,
    /// This row cannot be mended.
    Infeasible(usize),
    /// Too many steps; the multipliers are still good for a bound.
    Tired,
}

/// A little, different for each option: without it ties make the method walk in circles. Summed over some hundred items it stays
/// far below the unit to which bounds are rounded.
fn jitter(option: usize) -> f64 {
    let mixed = (option as u32).wrapping_mul(0x9e37_79b9) >> 16;
    1e-5 + f64::from(mixed) * (5e-5 / 65_536.0)
}

/// A tableau of fewer cells is put by as it is.
const LARGE: usize = 1 << 16;
/// Options of each item in the first tableau.
const START: usize = 6;
/// Room for columns added later.
const SPARE: usize = 16;

/// What the relaxation pays for an option.
fn price(model: &Model, option: usize) -> f64 {
    model.cost[option] as f64 + model.hint[option] + jitter(option)
}

/// `basic(row) + Σ cells[row][column] · nonbasic(column) = value(row)`.
#[derive(Clone, Debug, Default)]
pub(crate) struct Tableau {
    stride: usize,
    width: usize,
    cells: Vec<f64>,
    value: Vec<f64>,
    /// Reduced cost of each column, never below 0 but for rounding.
    cost: Vec<f64>,
    objective: f64,
    basic: Vec<u32>,
    nonbasic: Vec<u32>,
    /// Columns of options at their upper bound, held as complements.
    flipped: Vec<bool>,
    /// Row or column of each option, then of each row's slack.
    place: Vec<u32>,
    /// Options that must be 0.
    fixed: Vec<bool>,
}

/// A tableau that is put by.
#[derive(Debug, Default)]
pub(crate) struct Packed {
    /// Its cells are those that are not zero, where it is packed.
    tableau: Tableau,
    /// A bit for each cell of each row: whether it is zero. None where it is not packed.
    zeros: Vec<u64>,
}

impl Tableau {
    /// Of the options that `allowed` names, at least one of each item.
    pub fn new(model: &Model, allowed: impl Fn(usize) -> bool) -> Tableau {
        let options = model.cost.len();
        let mut tableau = Tableau {
            place: vec![GONE; options + model.capacity.len()],
            fixed: (0..options).map(|option| !allowed(option)).collect(),
            value: vec![1.0; model.items()],
            ..Tableau::default()
        };
        let mut starts = Vec::new();
        for item in 0..model.items() {
            let mut start: Vec<usize> = (model.first[item]..model.first[item + 1])
                .filter(|&option| allowed(option))
                .collect();
            start.sort_by(|&a, &b| price(model, a).total_cmp(&price(model, b)).then(a.cmp(&b)));
            start.truncate(START);
            tableau.place[start[0]] = BASIC | item as u32;
            tableau.basic.push(start[0] as u32);
            tableau.objective += price(model, start[0]);
            starts.push(start);
        }
        tableau.stride = starts.iter().map(|start| start.len() - 1).sum::<usize>() + SPARE;
        tableau.cells = vec![0.0; tableau.stride * model.items()];
        for (item, start) in starts.iter().enumerate() {
            for &option in &start[1..] {
                tableau.cells[item * tableau.stride + tableau.width] = 1.0;
                tableau.push_column(option, price(model, option) - price(model, start[0]), false);
            }
        }
        tableau
    }

    fn push_column(&mut self, variable: usize, cost: f64, flipped: bool) {
        self.place[variable] = self.width as u32;
        self.nonbasic.push(variable as u32);
        self.cost.push(cost);
        self.flipped.push(flipped);
        self.width += 1;
    }

    /// Makes room for what the model has more than the tableau.
    pub fn grow(&mut self, model: &Model) {
        self.place.resize(model.cost.len() + model.capacity.len(), GONE);
    }

    /// Adds the rows that are not in the tableau and that its solution breaks. False where there are none.
    pub fn add_broken_rows(&mut self, model: &Model) -> bool {
        let options = self.fixed.len();
        let mut load = vec![0.0; model.capacity.len()];
        let basic = self
            .basic
            .iter()
            .zip(&self.value)
            .map(|(&variable, &value)| (variable as usize, value));
        let raised = (0..self.width)
            .filter(|&c| self.flipped[c])
            .map(|c| (self.nonbasic[c] as usize, 1.0));
        for (option, value) in basic
            .chain(raised)
            .filter(|&(variable, value)| variable < options && value > NOISE)
        {
            for &(row, amount) in model.uses_of(option) {
                load[row] += amount as f64 * value;
            }
        }
        let mut any = false;
        for (row, &load) in load.iter().enumerate() {
            let over = (load - model.capacity[row] as f64) * model.scale[row];
            if over > FEASIBLE && self.place[options + row] == GONE {
                self.add_row(model, row);
                any = true;
            }
        }
        any
    }

    fn add_row(&mut self, model: &Model, row: usize) {
        let start = self.cells.len();
        self.cells.resize(start + self.stride, 0.0);
        let mut value = model.capacity[row] as f64 * model.scale[row];
        for &(option, amount) in model.entries_of(row) {
            let amount = amount as f64 * model.scale[row];
            let place = self.place[option];
            if place == GONE {
                continue;
            }
            if place & BASIC == 0 {
                let flipped = self.flipped[place as usize];
                self.cells[start + place as usize] += if flipped { -amount } else { amount };
                value -= if flipped { amount } else { 0.0 };
                continue;
            }
            let basic = (place & !BASIC) as usize;
            value -= amount * self.value[basic];
            let (before, new) = self.cells.split_at_mut(start);
            let old = &before[basic * self.stride..basic * self.stride + self.width];
            for (cell, old) in new.iter_mut().zip(old) {
                *cell -= amount * old;
            }
        }
        self.place[self.fixed.len() + row] = BASIC | self.basic.len() as u32;
        self.basic.push((self.fixed.len() + row) as u32);
        self.value.push(value);
    }

    /// Takes away the rows of the model that have room to spare: they come back where they are broken.
    pub fn drop_loose_rows(&mut self) {
        let options = self.fixed.len();
        let mut row = 0;
        while row < self.basic.len() {
            if (self.basic[row] as usize) < options || self.value[row] < LOOSE {
                row += 1;
                continue;
            }
            let last = self.basic.len() - 1;
            let end = last * self.stride;
            self.cells.copy_within(end..end + self.width, row * self.stride);
            self.cells.truncate(end);
            self.place[self.basic[last] as usize] = BASIC | row as u32;
            self.place[self.basic[row] as usize] = GONE;
            self.basic.swap_remove(row);
            self.value.swap_remove(row);
        }
    }

    /// The value of the relaxation, as far as it is solved.
    pub fn objective(&self) -> f64 {
        self.objective
    }

    pub fn has(&self, option: usize) -> bool {
        self.place[option] != GONE
    }

    /// Adds an option that was left out so far. False where rounding errors have spoiled the basis, so that it cannot be.
    #[must_use]
    pub fn add_option(&mut self, model: &Model, option: usize) -> bool {
        let item = model.item[option];
        // An item's options sum to 1, so one of them is always in a sound basis.
        let fellow = (model.first[item]..model.first[item + 1])
            .find(|&other| self.place[other] != GONE && self.place[other] & BASIC != 0);
        let Some(fellow) = fellow else { return false };
        let mut column = vec![0.0; self.basic.len()];
        column[(self.place[fellow] & !BASIC) as usize] = 1.0;
        let mut cost = price(model, option) - price(model, fellow);
        let more = model
            .uses_of(option)
            .iter()
            .map(|&(row, amount)| (row, amount as f64));
        let less = model
            .uses_of(fellow)
            .iter()
            .map(|&(row, amount)| (row, -(amount as f64)));
        for (row, amount) in more.chain(less) {
            let place = self.place[self.fixed.len() + row];
            let amount = amount * model.scale[row];
            if place == GONE {
                continue;
            }
            if place & BASIC != 0 {
                column[(place & !BASIC) as usize] += amount;
                continue;
            }
            cost += amount * self.cost[place as usize];
            for (cell, other) in column
                .iter_mut()
                .zip(self.cells[place as usize..].iter().step_by(self.stride))
            {
                *cell += amount * other;
            }
        }
        if self.width == self.stride {
            self.widen();
        }
        let flipped = cost < 0.0;
        for (row, &cell) in column.iter().enumerate() {
            self.cells[row * self.stride + self.width] = if flipped { -cell } else { cell };
            self.value[row] -= if flipped { cell } else { 0.0 };
        }
        self.objective += cost.min(0.0);
        self.push_column(option, cost.abs(), flipped);
        true
    }

    fn widen(&mut self) {
        let mut wider = Tableau::default();
        self.copy_to(&mut wider);
        *self = wider;
    }

    /// Takes an option away.
    pub fn remove(&mut self, option: usize) {
        self.fixed[option] = true;
        let place = self.place[option];
        if place & BASIC == 0 {
            self.drop_column(place as usize);
        }
    }

    /// The value of an option in the relaxation.
    pub fn value_of(&self, option: usize) -> f64 {
        let place = self.place[option];
        if place == GONE {
            0.0
        } else if place & BASIC != 0 {
            self.value[(place & !BASIC) as usize]
        } else {
            f64::from(u8::from(self.flipped[place as usize]))
        }
    }

    /// Steps until the relaxation is solved, or its value passes `cut`.
    pub fn solve(&mut self, cut: f64, work: &mut Work) -> End {
        let rows = self.basic.len();
        for _ in 0..MOST_STEPS * rows + SPARE_STEPS {
            if self.objective > cut {
                return End::Cut;
            }
            if !work.take(rows * self.width) {
                return End::Tired;
            }
            let mut worst = [(0.0, usize::MAX); LOOK_AT];
            for row in 0..rows {
                let off = self.infeasibility(row);
                if off > worst[LOOK_AT - 1].0 {
                    let place = worst
                        .iter()
                        .position(|entry| off > entry.0)
                        .unwrap_or(LOOK_AT - 1);
                    worst[place..].rotate_right(1);
                    worst[place] = (off, row);
                }
            }
            if worst[0].1 == usize::MAX {
                return End::Optimal;
            }
            let mut best = (-1.0, 0, 0);
            for &(off, row) in worst.iter().filter(|entry| entry.1 != usize::MAX) {
                let Some((column, ratio)) = self.ratio(row, self.value[row] < 0.0) else {
                    return End::Infeasible(row);
                };
                let gain = off * ratio;
                if gain > best.0 * (1.0 + 1e-9) + 1e-9 || best.0 < 0.0 {
                    best = (gain, row, column);
                }
            }
            self.pivot(best.1, best.2);
        }
        End::Tired
    }

    /// How far a row's basic variable lies outside its range; 0 where inside.
    fn infeasibility(&self, row: usize) -> f64 {
        let value = self.value[row];
        if value < -FEASIBLE {
            -value
        } else if value > FEASIBLE && self.must_be_zero(self.basic[row]) {
            value
        } else {
            0.0
        }
    }

    fn must_be_zero(&self, variable: u32) -> bool {
        self.fixed.get(variable as usize).is_some_and(|&fixed| fixed)
    }

    /// The column that enters where the row's variable must rise (or fall), and what one unit of that costs.
    fn ratio(&self, row: usize, rise: bool) -> Option<(usize, f64)> {
        let cells = &self.cells[row * self.stride..row * self.stride + self.width];
        let sign = if rise { -1.0 } else { 1.0 };
        let mut best: Option<(usize, f64)> = None;
        let mut size = 0.0;
        for (column, (&cell, &cost)) in cells.iter().zip(&self.cost).enumerate() {
            let cell = cell * sign;
            if cell <= PIVOT {
                continue;
            }
            let ratio = f64::max(cost, 0.0) / cell;
            let better = match best {
                None => true,
                Some((_, least)) => {
                    ratio < least - 1e-9 * (1.0 + least) || (ratio <= least + 1e-12 && cell > size)
                }
            };
            if better {
                best = Some((column, ratio));
                size = cell;
            }
        }
        best
    }

    fn pivot(&mut self, row: usize, column: usize) {
        let (stride, width) = (self.stride, self.width);
        let (before, rest) = self.cells.split_at_mut(row * stride);
        let (pivot_row, after) = rest.split_at_mut(stride);
        let pivot_row = &mut pivot_row[..width];
        let inverse = 1.0 / pivot_row[column];
        for cell in pivot_row.iter_mut() {
            *cell = if cell.abs() < NOISE { 0.0 } else { *cell * inverse };
        }
        pivot_row[column] = inverse;
        self.value[row] *= inverse;
        let value = self.value[row];
        let others = before
            .chunks_exact_mut(stride)
            .zip(0..)
            .chain(after.chunks_exact_mut(stride).zip(row + 1..));
        for (other, index) in others {
            let other = &mut other[..width];
            let factor = other[column];
            if factor == 0.0 {
                continue;
            }
            other[column] = 0.0;
            if factor.abs() < NOISE {
                continue;
            }
            for (cell, &pivot) in other.iter_mut().zip(pivot_row.iter()) {
                *cell -= factor * pivot;
            }
            self.value[index] -= factor * value;
        }
        let factor = self.cost[column];
        self.cost[column] = 0.0;
        for (cost, &pivot) in self.cost[..width].iter_mut().zip(pivot_row.iter()) {
            *cost -= factor * pivot;
        }
        self.objective += factor * value;
        if std::mem::take(&mut self.flipped[column]) {
            // The option itself enters, not its complement.
            self.value[row] = 1.0 - value;
            for cell in &mut self.cells[row * stride..row * stride + width] {
                *cell = -*cell;
            }
        }
        let (leaving, entering) = (self.basic[row], self.nonbasic[column]);
        self.basic[row] = entering;
        self.nonbasic[column] = leaving;
        self.place[entering as usize] = BASIC | row as u32;
        self.place[leaving as usize] = column as u32;
        if self.must_be_zero(leaving) {
            self.drop_column(column);
        }
    }

    /// Out of the tableau: the last column takes its place.
    fn drop_column(&mut self, column: usize) {
        if self.flipped[column] {
            for (row, value) in self.value.iter_mut().enumerate() {
                *value -= self.cells[row * self.stride + column];
            }
            self.objective += self.cost[column];
        }
        self.width -= 1;
        for row in 0..self.basic.len() {
            self.cells[row * self.stride + column] = self.cells[row * self.stride + self.width];
        }
        self.place[self.nonbasic[column] as usize] = GONE;
        self.cost.swap_remove(column);
        self.nonbasic.swap_remove(column);
        self.flipped.swap_remove(column);
        if let Some(&moved) = self.nonbasic.get(column) {
            self.place[moved as usize] = column as u32;
        }
    }

    /// The multipliers of the model's rows. After [`End::Infeasible`]: far enough along the ray to pass `cut`.
    pub fn multipliers(&self, model: &Model, end: End, cut: f64, out: &mut Vec<f64>) {
        let ray = match end {
            End::Infeasible(row) => {
                let far = (1.001 * (cut - self.objective).max(0.0) + 1.0) / self.infeasibility(row);
                Some((row, if self.value[row] < 0.0 { far } else { -far }))
            }
            _ => None,
        };
        out.clear();
        for row in 0..model.capacity.len() {
            let place = self.place[self.fixed.len() + row];
            let mut multiplier = if place & BASIC == 0 {
                self.cost[place as usize]
            } else {
                0.0
            };
            if let Some((broken, step)) = ray {
                if place & BASIC == 0 {
                    multiplier += step * self.cells[broken * self.stride + place as usize];
                } else if place != GONE && (place & !BASIC) as usize == broken {
                    multiplier += step;
                }
            }
            out.push(multiplier * model.scale[row]);
        }
    }

    /// Copies what is still in use over `target`, whose memory is used again.
    pub fn copy_to(&self, target: &mut Tableau) {
        target.cells.clear();
        for row in self.cells.chunks_exact(self.stride) {
            target.cells.extend_from_slice(&row[..self.width]);
            target.cells.extend_from_slice(&[0.0; SPARE]);
        }
        self.copy_rest_to(target);
    }

    fn copy_rest_to(&self, target: &mut Tableau) {
        target.stride = self.width + SPARE;
        target.width = self.width;
        target.value.clone_from(&self.value);
        target.cost.clone_from(&self.cost);
        target.objective = self.objective;
        target.basic.clone_from(&self.basic);
        target.nonbasic.clone_from(&self.nonbasic);
        target.flipped.clone_from(&self.flipped);
        target.place.clone_from(&self.place);
        target.fixed.clone_from(&self.fixed);
    }

    /// As [`Self::copy_to`], without the zeros where the tableau is large: most of its cells are zeros, and a deep search puts by very many.
    pub fn pack_to(&self, target: &mut Packed) {
        if self.cells.len() < LARGE {
            target.zeros.clear();
            return self.copy_to(&mut target.tableau);
        }
        let Packed { tableau, zeros } = target;
        // The rest as it is: what is copied of an empty one.
        tableau.cells.clear();
        zeros.clear();
        let mut cells = 0;
        for row in self.cells.chunks_exact(self.stride) {
            for some in row[..self.width].chunks(64) {
                let mut is_zero = 0_u64;
                for (bit, cell) in some.iter().enumerate() {
                    // The sign of a zero is kept.
                    is_zero |= u64::from(cell.to_bits() == 0) << bit;
                }
                zeros.push(is_zero);
                cells += some.len() - is_zero.count_ones() as usize;
            }
        }
        tableau.cells.reserve_exact(cells);
        for row in self.cells.chunks_exact(self.stride) {
            let used = row[..self.width].iter().filter(|cell| cell.to_bits() != 0);
            tableau.cells.extend(used);
        }
        self.copy_rest_to(tableau);
    }

    /// Takes up what [`Self::pack_to`] put by; its own memory takes its place there.
    pub fn unpack(&mut self, from: &mut Packed) {
        if from.zeros.is_empty() {
            return std::mem::swap(self, &mut from.tableau);
        }
        from.tableau.copy_rest_to(self);
        self.cells.clear();
        self.cells.reserve(self.stride * self.value.len());
        let (mut zeros, mut cells) = (from.zeros.iter(), from.tableau.cells.iter());
        for _ in 0..self.value.len() {
            let mut left = self.width;
            while left > 0 {
                let some = left.min(64);
                left -= some;
                let is_zero = zeros.next().copied().unwrap_or(u64::MAX);
                for bit in 0..some {
                    let zero = is_zero >> bit & 1 == 1;
                    let cell = if zero { None } else { cells.next() };
                    self.cells.push(cell.copied().unwrap_or(0.0));
                }
            }
            self.cells.extend_from_slice(&[0.0; SPARE]);
        }
    }

    /// The least the objective rises where a set of options of one item, partly used, must go to 0, and where it must go to 1.
    pub fn penalties(&self, options: &[usize]) -> (f64, f64) {
        // The set's share falls by `slope[column]` for each unit of a column.
        let mut slope = vec![0.0; self.width];
        let mut share = 0.0;
        for &option in options {
            let place = self.place[option];
            if place & BASIC == 0 {
                let flipped = self.flipped[place as usize];
                slope[place as usize] += if flipped { 1.0 } else { -1.0 };
                share += f64::from(u8::from(flipped));
            } else if place != GONE {
                let row = (place & !BASIC) as usize;
                share += self.value[row];
                let cells = &self.cells[row * self.stride..row * self.stride + self.width];
                for (slope, cell) in slope.iter_mut().zip(cells) {
                    *slope += cell;
                }
            }
        }
        let (mut fall, mut rise) = (f64::INFINITY, f64::INFINITY);
        for (&slope, &cost) in slope.iter().zip(&self.cost) {
            let cost = f64::max(cost, 0.0);
            if slope > PIVOT {
                fall = fall.min(cost / slope);
            } else if slope < -PIVOT {
                rise = rise.min(cost / -slope);
            }
        }
        (share * fall, (1.0 - share) * rise)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::generate::Draw;

    /// A tableau of that size, most of its cells zero, some of them below it.
    fn drawn(seed: u64, rows: usize, width: usize) -> Tableau {
        let mut draw = Draw::new(seed);
        let stride = width + usize::try_from(draw.below(20)).unwrap();
        let mut cell = || match draw.below(6) {
            0 => draw.between(-9, 9) as f64 / 7.0,
            1 => -0.0,
            _ => 0.0,
        };
        Tableau {
            stride,
            width,
            cells: (0..rows * stride).map(|_| cell()).collect(),
            value: (0..rows).map(|_| cell()).collect(),
            cost: (0..width).map(|_| cell()).collect(),
            objective: cell(),
            basic: (0..rows as u32).collect(),
            nonbasic: (0..width as u32).collect(),
            flipped: vec![seed.is_multiple_of(2); width],
            place: vec![GONE; 3],
            fixed: vec![true; 3],
        }
    }

    /// What is put by without its zeros comes back as a plain copy has it, bit by bit, whatever memory is used again.
    #[test]
    fn a_packed_tableau_comes_back_as_it_was() {
        let mut packed = Packed::default();
        let mut back = drawn(99, 7, 3);
        for (seed, (rows, width)) in [(300, 300), (20, 5), (257, 256), (1, 70_000), (260, 391), (3, 64)]
            .into_iter()
            .enumerate()
        {
            let tableau = drawn(seed as u64, rows, width);
            let mut copy = Tableau::default();
            tableau.copy_to(&mut copy);
            tableau.pack_to(&mut packed);
            assert_eq!(packed.zeros.is_empty(), tableau.cells.len() < LARGE);
            back.unpack(&mut packed);
            let bits = |tableau: &Tableau| {
                tableau
                    .cells
                    .iter()
                    .map(|cell| cell.to_bits())
                    .collect::<Vec<_>>()
            };
            assert!(bits(&back) == bits(&copy), "{rows} x {width}");
            assert_eq!(format!("{back:?}"), format!("{copy:?}"));
        }
    }
}
