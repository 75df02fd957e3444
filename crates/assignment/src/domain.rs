//! Which options are left to each item, what is left of each row, and how to go back.

use crate::model::Model;

/// The state of a search: shrinks by [`remove`](Domain::remove) and [`take`](Domain::take), grows back by
/// [`undo`](Domain::undo).
#[derive(Clone, Debug)]
pub(crate) struct Domain {
    pub alive: Vec<bool>,
    /// Options left to each item.
    pub count: Vec<usize>,
    pub taken: Vec<Option<usize>>,
    residual: Vec<i64>,
    trail: Vec<Event>,
}

#[derive(Clone, Copy, Debug)]
enum Event {
    Removed(usize),
    Taken(usize),
}

impl Domain {
    pub fn new(model: &Model) -> Domain {
        Domain {
            alive: vec![true; model.cost.len()],
            count: (0..model.items())
                .map(|item| model.first[item + 1] - model.first[item])
                .collect(),
            taken: vec![None; model.items()],
            residual: model.capacity.clone(),
            trail: Vec::new(),
        }
    }

    pub fn options<'d>(&'d self, model: &Model, item: usize) -> impl Iterator<Item = usize> + use<'d> {
        (model.first[item]..model.first[item + 1]).filter(|&option| self.alive[option])
    }

    /// Takes notice of rows added to the model.
    pub fn add_rows(&mut self, model: &Model) {
        self.residual.clone_from(&model.capacity);
        for &(row, amount) in self
            .taken
            .iter()
            .flatten()
            .flat_map(|&option| model.uses_of(option))
        {
            self.residual[row] -= amount;
        }
    }

    /// A place to come back to.
    pub fn mark(&self) -> usize {
        self.trail.len()
    }

    /// Options removed since `mark`, in order.
    pub fn removed_since(&self, mark: usize) -> impl Iterator<Item = usize> + '_ {
        self.trail[mark..].iter().filter_map(|event| match event {
            Event::Removed(option) => Some(*option),
            Event::Taken(_) => None,
        })
    }

    pub fn undo(&mut self, model: &Model, mark: usize) {
        while self.trail.len() > mark {
            match self.trail.pop() {
                Some(Event::Removed(option)) => {
                    self.alive[option] = true;
                    self.count[model.item[option]] += 1;
                }
                Some(Event::Taken(option)) => {
                    self.taken[model.item[option]] = None;
                    for &(row, amount) in model.uses_of(option) {
                        self.residual[row] += amount;
                    }
                }
                None => break,
            }
        }
    }

    /// Takes an option away, and gives the item what is left where that is one. False where some item has nothing left.
    pub fn remove(&mut self, model: &Model, option: usize) -> bool {
        let item = model.item[option];
        self.alive[option] = false;
        self.count[item] -= 1;
        self.trail.push(Event::Removed(option));
        match self.count[item] {
            0 => false,
            1 if self.taken[item].is_none() => {
                let only = self.options(model, item).next();
                only.is_none_or(|only| self.take(model, only))
            }
            _ => true,
        }
    }

    /// Gives an option to its item, and removes what no longer fits beside it. False where some item has nothing left.
    pub fn take(&mut self, model: &Model, option: usize) -> bool {
        let item = model.item[option];
        self.taken[item] = Some(option);
        self.trail.push(Event::Taken(option));
        for &(row, amount) in model.uses_of(option) {
            self.residual[row] -= amount;
        }
        for other in model.first[item]..model.first[item + 1] {
            if other != option && self.alive[other] {
                self.remove(model, other);
            }
        }
        for &(row, _) in model.uses_of(option) {
            if self.residual[row] < 0 {
                return false;
            }
            for &(other, amount) in model.entries_of(row) {
                // Read anew each time: a removal may take further options and so need more of the row.
                let fits = amount <= self.residual[row];
                if !fits
                    && self.alive[other]
                    && self.taken[model.item[other]].is_none()
                    && !self.remove(model, other)
                {
                    return false;
                }
            }
            if self.residual[row] < 0 {
                return false;
            }
        }
        true
    }
}
