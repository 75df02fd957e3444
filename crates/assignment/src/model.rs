//! One part of the programme with one scalar cost: what the search works on. Flat arrays, rows made as tight as the
//! items allow.

/// Every item takes exactly one of its options, no row is overfull, the sum of the costs is least.
#[derive(Clone, Debug, Default)]
pub(crate) struct Model {
    /// Options of item `i` are `first[i]..first[i + 1]`.
    pub first: Vec<usize>,
    pub item: Vec<usize>,
    pub cost: Vec<i64>,
    /// What to prefer among equal costs; sums to less than a twentieth over all items, and no bound counts it.
    pub hint: Vec<f64>,
    /// Where an option came from; the caller's number.
    pub origin: Vec<usize>,
    /// Uses of option `j` are `uses[start[j]..start[j + 1]]`, as (row, amount > 0).
    pub start: Vec<usize>,
    pub uses: Vec<(usize, i64)>,
    pub capacity: Vec<i64>,
    /// For the relaxation: one over the largest amount in the row.
    pub scale: Vec<f64>,
    /// Entries of row `r` are `entries[row_start[r]..row_start[r + 1]]`, as (option, amount).
    pub row_start: Vec<usize>,
    pub entries: Vec<(usize, i64)>,
    /// Most rows used by one option.
    pub widest: usize,
}

/// One option before the rows were tightened.
#[derive(Clone, Debug)]
pub(crate) struct RawOption {
    pub cost: i64,
    pub hint: f64,
    pub origin: usize,
    pub uses: Vec<(usize, i64)>,
}

impl Model {
    /// `None` where some item is left without an option.
    pub fn new(mut items: Vec<Vec<RawOption>>, mut capacities: Vec<i64>) -> Option<Model> {
        loop {
            let mut changed = false;
            for options in &mut items {
                take_least(options, &mut capacities);
            }
            for options in &mut items {
                let before = options.len();
                options.retain(|option| option.uses.iter().all(|&(row, amount)| amount <= capacities[row]));
                changed |= options.len() != before;
                if options.is_empty() {
                    return None;
                }
            }
            if !changed {
                break;
            }
        }
        if capacities.iter().any(|&capacity| capacity < 0) {
            return None;
        }
        Some(Model::flatten(items, &capacities))
    }

    pub fn items(&self) -> usize {
        self.first.len() - 1
    }

    pub fn uses_of(&self, option: usize) -> &[(usize, i64)] {
        &self.uses[self.start[option]..self.start[option + 1]]
    }

    pub fn entries_of(&self, row: usize) -> &[(usize, i64)] {
        &self.entries[self.row_start[row]..self.row_start[row + 1]]
    }

    /// Adds rows that no selection breaks: options with amounts, and a capacity.
    pub fn add_rows(&mut self, rows: &[(Vec<(usize, i64)>, i64)]) {
        let first = self.capacity.len();
        let mut more = vec![Vec::new(); self.cost.len()];
        for (index, (options, capacity)) in rows.iter().enumerate() {
            self.capacity.push(*capacity);
            for &(option, amount) in options {
                more[option].push((first + index, amount));
            }
        }
        let mut uses = Vec::new();
        for (option, more) in more.into_iter().enumerate() {
            let start = uses.len();
            uses.extend_from_slice(self.uses_of(option));
            uses.extend(more);
            self.start[option] = start;
        }
        if let Some(end) = self.start.last_mut() {
            *end = uses.len();
        }
        self.uses = uses;
        self.transpose();
    }

    /// The cost of a selection; `None` where it overfills a row.
    pub fn value(&self, selection: &[usize]) -> Option<i64> {
        let mut residual = self.capacity.clone();
        for &(row, amount) in selection.iter().flat_map(|&option| self.uses_of(option)) {
            residual[row] -= amount;
        }
        let holds = residual.iter().all(|&left| left >= 0);
        holds.then(|| selection.iter().map(|&option| self.cost[option]).sum())
    }

    /// Keeps the rows that could be overfull, divided by their greatest common divisor, and lays everything flat.
    fn flatten(items: Vec<Vec<RawOption>>, capacities: &[i64]) -> Model {
        let mut most = vec![0i128; capacities.len()];
        let mut divisor = vec![0i64; capacities.len()];
        let mut largest = vec![0i64; capacities.len()];
        for options in &items {
            for &(row, amount) in options.iter().flat_map(|option| &option.uses) {
                largest[row] = largest[row].max(amount);
                divisor[row] = gcd(divisor[row], amount);
            }
            for &(row, _) in options.iter().flat_map(|option| &option.uses) {
                most[row] += i128::from(std::mem::take(&mut largest[row]));
            }
        }
        let mut model = Model {
            first: vec![0],
            start: vec![0],
            ..Model::default()
        };
        let mut renamed = vec![usize::MAX; capacities.len()];
        for (row, &capacity) in capacities.iter().enumerate() {
            if most[row] > i128::from(capacity) {
                renamed[row] = model.capacity.len();
                model.capacity.push(capacity / divisor[row]);
            }
        }
        for (item, options) in items.into_iter().enumerate() {
            for option in options {
                let kept = option.uses.iter().filter(|(row, _)| renamed[*row] != usize::MAX);
                model
                    .uses
                    .extend(kept.map(|&(row, amount)| (renamed[row], amount / divisor[row])));
                model.start.push(model.uses.len());
                model.item.push(item);
                model.cost.push(option.cost);
                model.hint.push(option.hint);
                model.origin.push(option.origin);
            }
            model.first.push(model.cost.len());
        }
        model.transpose();
        model
    }

    fn transpose(&mut self) {
        let mut count = vec![0usize; self.capacity.len() + 1];
        for &(row, _) in &self.uses {
            count[row + 1] += 1;
        }
        for row in 1..count.len() {
            count[row] += count[row - 1];
        }
        self.row_start.clone_from(&count);
        self.widest = self
            .start
            .windows(2)
            .map(|pair| pair[1] - pair[0])
            .max()
            .unwrap_or(0);
        self.scale = vec![0.0; self.capacity.len()];
        for &(row, amount) in &self.uses {
            self.scale[row] = f64::max(self.scale[row], amount as f64);
        }
        for scale in &mut self.scale {
            *scale = 1.0 / *scale;
        }
        self.entries = vec![(0, 0); self.uses.len()];
        for option in 0..self.cost.len() {
            for &(row, amount) in &self.uses[self.start[option]..self.start[option + 1]] {
                self.entries[count[row]] = (option, amount);
                count[row] += 1;
            }
        }
    }
}

/// What every option of an item takes, the item takes: subtracted from the options and from the capacity.
fn take_least(options: &mut [RawOption], capacities: &mut [i64]) {
    let Some(shortest) = options.iter().min_by_key(|option| option.uses.len()) else {
        return;
    };
    for (row, _) in shortest.uses.clone() {
        let amount = |option: &RawOption| {
            option
                .uses
                .iter()
                .find(|(other, _)| *other == row)
                .map_or(0, |u| u.1)
        };
        let least = options.iter().map(amount).min().unwrap_or(0);
        if least == 0 {
            continue;
        }
        capacities[row] -= least;
        for option in options.iter_mut() {
            for entry in option.uses.iter_mut().filter(|(other, _)| *other == row) {
                entry.1 -= least;
            }
            option.uses.retain(|&(_, amount)| amount > 0);
        }
    }
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
