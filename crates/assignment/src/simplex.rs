//! The linear relaxation by the dual simplex method on a dense tableau, in floating point.
//!
//! Nothing here is trusted: it looks for good multipliers and for a good option to branch on. The proof uses only what
//! [`bound`](crate::bound) computes from the multipliers in integers.
//!
//! The start needs no first phase: every item takes its cheapest option, every other row its slack. That basis is dual feasible.
//! Options taken away later only leave the tableau, so it stays dual feasible down the tree.

use crate::model::Model;

/// Values closer to 0 than this count as feasible.
const FEASIBLE: f64 = 1e-7;
/// Smaller entries are no pivots.
const PIVOT: f64 = 1e-7;
/// Smaller entries are taken for rounding errors.
const NOISE: f64 = 1e-11;
/// So many of the worst rows are looked at before one is chosen to leave.
const LOOK_AT: usize = 6;
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

/// `basic(row) + Σ cells[row][column] · nonbasic(column) = value(row)`.
#[derive(Clone, Debug, Default)]
pub(crate) struct Tableau {
    stride: usize,
    /// Columns `..open` may enter the basis; `open..width` are slacks of equations, kept for their multipliers.
    open: usize,
    width: usize,
    cells: Vec<f64>,
    value: Vec<f64>,
    cost: Vec<f64>,
    pub objective: f64,
    basic: Vec<u32>,
    nonbasic: Vec<u32>,
    place: Vec<u32>,
    /// Variables that must be 0.
    fixed: Vec<bool>,
    options: usize,
    pub pivots: u64,
}

impl Tableau {
    pub fn new(model: &Model) -> Tableau {
        let (items, rows, options) = (model.items(), model.capacity.len(), model.cost.len());
        let stride = options - items;
        let mut tableau = Tableau {
            stride,
            open: options - items,
            width: options - items,
            cells: vec![0.0; stride * (items + rows)],
            value: vec![1.0; items],
            cost: Vec::with_capacity(stride),
            objective: 0.0,
            basic: Vec::with_capacity(items + rows),
            nonbasic: Vec::with_capacity(stride),
            place: vec![GONE; options + rows],
            fixed: vec![false; options + rows],
            options,
            pivots: 0,
        };
        tableau.value.extend(
            model
                .capacity
                .iter()
                .zip(&model.scale)
                .map(|(&b, &scale)| b as f64 * scale),
        );
        for item in 0..items {
            tableau.start_with_cheapest(model, item);
        }
        for row in 0..rows {
            tableau.place[options + row] = BASIC | (items + row) as u32;
            tableau.basic.push((options + row) as u32);
            tableau.fixed[options + row] = model.equal[row];
        }
        tableau
    }

    fn start_with_cheapest(&mut self, model: &Model, item: usize) {
        let options = model.first[item]..model.first[item + 1];
        let by_cost = |&a: &usize, &b: &usize| {
            model.cost[a]
                .cmp(&model.cost[b])
                .then(model.hint[a].total_cmp(&model.hint[b]))
                .then(a.cmp(&b))
        };
        let Some(cheapest) = options.clone().min_by(by_cost) else {
            return;
        };
        self.place[cheapest] = BASIC | item as u32;
        self.basic.push(cheapest as u32);
        self.objective += model.cost[cheapest] as f64;
        let items = model.items();
        for &(row, amount) in model.uses_of(cheapest) {
            self.value[items + row] -= amount as f64 * model.scale[row];
        }
        for option in options.filter(|&option| option != cheapest) {
            let column = self.nonbasic.len();
            self.place[option] = column as u32;
            self.nonbasic.push(option as u32);
            let hint = model.hint[option] - model.hint[cheapest] + jitter(option);
            self.cost
                .push((model.cost[option] - model.cost[cheapest]) as f64 + hint);
            self.cells[item * self.stride + column] = 1.0;
            for &(row, amount) in model.uses_of(option) {
                self.cells[(items + row) * self.stride + column] += amount as f64 * model.scale[row];
            }
            for &(row, amount) in model.uses_of(cheapest) {
                self.cells[(items + row) * self.stride + column] -= amount as f64 * model.scale[row];
            }
        }
    }

    /// Adds the rows that the model has more than the tableau; their slacks start in the basis.
    pub fn add_rows(&mut self, model: &Model) {
        let known = self.place.len() - self.options;
        for row in known..model.capacity.len() {
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
                    self.cells[start + place as usize] += amount;
                    continue;
                }
                let basic = (place & !BASIC) as usize;
                value -= amount * self.value[basic];
                for column in 0..self.width {
                    self.cells[start + column] -= amount * self.cells[basic * self.stride + column];
                }
            }
            self.place.push(BASIC | self.basic.len() as u32);
            self.basic.push((self.options + row) as u32);
            self.fixed.push(false);
            self.value.push(value);
        }
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
        if place != GONE && place & BASIC != 0 {
            self.value[(place & !BASIC) as usize]
        } else {
            0.0
        }
    }

    /// Steps until the relaxation is solved, or its value passes `cut`.
    pub fn solve(&mut self, cut: f64) -> End {
        let rows = self.basic.len();
        for _ in 0..20 * (rows + 20) {
            if self.objective > cut {
                return End::Cut;
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
        } else if value > FEASIBLE && self.fixed[self.basic[row] as usize] {
            value
        } else {
            0.0
        }
    }

    /// The column that enters where the row's variable must rise (or fall), and what one unit of that costs.
    fn ratio(&self, row: usize, rise: bool) -> Option<(usize, f64)> {
        let cells = &self.cells[row * self.stride..row * self.stride + self.open];
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
        self.pivots += 1;
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
        let (leaving, entering) = (self.basic[row], self.nonbasic[column]);
        self.basic[row] = entering;
        self.nonbasic[column] = leaving;
        self.place[entering as usize] = BASIC | row as u32;
        self.place[leaving as usize] = column as u32;
        if self.fixed[leaving as usize] {
            if (leaving as usize) < self.options {
                self.drop_column(column);
            } else {
                self.lock_column(column);
            }
        }
    }

    fn swap_columns(&mut self, a: usize, b: usize) {
        if a == b {
            return;
        }
        for row in 0..self.basic.len() {
            self.cells.swap(row * self.stride + a, row * self.stride + b);
        }
        self.cost.swap(a, b);
        self.nonbasic.swap(a, b);
        self.place[self.nonbasic[a] as usize] = a as u32;
        self.place[self.nonbasic[b] as usize] = b as u32;
    }

    /// Out of the tableau.
    fn drop_column(&mut self, column: usize) {
        let variable = self.nonbasic[column] as usize;
        self.lock_column(column);
        let last = self.width - 1;
        self.swap_columns(self.open, last);
        self.width = last;
        self.place[variable] = GONE;
    }

    /// Out of the columns that may enter.
    fn lock_column(&mut self, column: usize) {
        self.open -= 1;
        self.swap_columns(column, self.open);
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
            let place = self.place[self.options + row];
            let mut multiplier = if place & BASIC == 0 {
                self.cost[place as usize]
            } else {
                0.0
            };
            if let Some((broken, step)) = ray {
                if place & BASIC == 0 {
                    multiplier += step * self.cells[broken * self.stride + place as usize];
                } else if (place & !BASIC) as usize == broken {
                    multiplier += step;
                }
            }
            out.push(multiplier * model.scale[row]);
        }
    }

    /// Copies what is still in use over `target`, whose memory is used again.
    pub fn copy_to(&self, target: &mut Tableau) {
        target.stride = self.width;
        target.open = self.open;
        target.width = self.width;
        target.cells.clear();
        for row in self.cells.chunks_exact(self.stride.max(1)) {
            target.cells.extend_from_slice(&row[..self.width]);
        }
        target.value.clone_from(&self.value);
        target.cost.clear();
        target.cost.extend_from_slice(&self.cost[..self.width]);
        target.objective = self.objective;
        target.basic.clone_from(&self.basic);
        target.nonbasic.clear();
        target.nonbasic.extend_from_slice(&self.nonbasic[..self.width]);
        target.place.clone_from(&self.place);
        target.fixed.clone_from(&self.fixed);
        target.options = self.options;
        target.pivots = self.pivots;
    }

    /// The least the objective rises where a set of options of one item, partly used, must go to 0, and where it must go to 1.
    pub fn penalties(&self, options: &[usize]) -> (f64, f64) {
        // The set's share falls by `slope[column]` for each unit of a column.
        let mut slope = vec![0.0; self.open];
        let mut share = 0.0;
        for &option in options {
            let place = self.place[option];
            if place & BASIC == 0 {
                slope[place as usize] -= 1.0;
            } else if place != GONE {
                let row = (place & !BASIC) as usize;
                share += self.value[row];
                let cells = &self.cells[row * self.stride..row * self.stride + self.open];
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
