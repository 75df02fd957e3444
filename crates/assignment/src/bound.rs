//! The lower bound, in integers: whatever multipliers are put on the rows, what comes out is a true bound.
//!
//! For multipliers `y ≥ 0`: every selection costs at least
//! `Σᵢ min over j of (cⱼ + Σᵣ yᵣ·aⱼᵣ) − Σᵣ yᵣ·bᵣ`, since the rows add at most 0. The multipliers come from the relaxation in floating
//! point; the bound is computed from them rounded, in integers, so no rounding error can make it wrong, only weaker.

use crate::domain::Domain;
use crate::model::Model;

/// Reduced costs under certain multipliers, in units of `2^-bits` of a cost.
#[derive(Clone, Debug, Default)]
pub(crate) struct Reduced {
    pub cost: Vec<i64>,
    /// The least of each item.
    pub least: Vec<i64>,
    /// `Σᵣ yᵣ·bᵣ`.
    constant: i64,
    bits: u32,
    /// The most that `bits` may be.
    finest: u32,
    rounded: Vec<i64>,
}

impl Reduced {
    /// Room for the reduced costs of `model`. No sum of them can leave `i64`: the unit is chosen by the costs and by
    /// the multipliers, which [`set`](Reduced::set) clamps where that is not enough.
    pub fn new(model: &Model) -> Reduced {
        let dearest = model.cost.iter().max().copied().unwrap_or(0).max(1) as u64;
        let most = dearest.saturating_mul(model.items().max(1) as u64);
        let finest = (most.leading_zeros() as i64 - 5).clamp(0, 30) as u32;
        let rounded = vec![0; model.capacity.len()];
        Reduced {
            cost: vec![0; model.cost.len()],
            least: vec![0; model.items()],
            constant: 0,
            bits: finest,
            finest,
            rounded,
        }
    }

    /// Takes new multipliers, and computes what belongs to the options left.
    pub fn set(&mut self, model: &Model, domain: &Domain, multipliers: &[f64]) {
        let terms = model.capacity.len() + model.items() * model.widest + 1;
        let largest = (1i64 << 60) as f64 / terms as f64;
        // Large multipliers, as where the relaxation has no solution, are rounded more coarsely.
        let rows = multipliers.iter().zip(&model.capacity);
        let weightiest = rows
            .map(|(&multiplier, &capacity)| multiplier * capacity as f64)
            .fold(1.0, f64::max);
        self.bits = self.finest;
        while self.bits > 0 && weightiest * (1i64 << self.bits) as f64 > largest {
            self.bits -= 1;
        }
        self.constant = 0;
        for (row, &multiplier) in multipliers.iter().enumerate() {
            let capacity = model.capacity[row];
            // Amounts of a row are at most its capacity, so this also bounds multiplier times amount.
            let limit = largest / capacity.max(1) as f64;
            let scaled = (multiplier.max(0.0) * (1i64 << self.bits) as f64).min(limit);
            self.rounded[row] = scaled as i64;
            self.constant += self.rounded[row] * capacity;
        }
        for item in 0..model.items() {
            let mut least = i64::MAX;
            for option in model.first[item]..model.first[item + 1] {
                if domain.alive[option] {
                    let uses = model.uses_of(option).iter();
                    let rows: i64 = uses.map(|&(row, amount)| self.rounded[row] * amount).sum();
                    self.cost[option] = (model.cost[option] << self.bits) + rows;
                    least = least.min(self.cost[option]);
                }
            }
            self.least[item] = least;
        }
    }

    /// No selection from the options left costs less; in this unit.
    pub fn bound(&self) -> i64 {
        self.least.iter().sum::<i64>() - self.constant
    }

    /// A bound rounded up to the next whole cost: costs are integers.
    pub fn whole(&self, bound: i64) -> i64 {
        (bound >> self.bits) + i64::from(bound & ((1 << self.bits) - 1) != 0)
    }

    /// Differences below this are not worth an option more in the relaxation: a small part of a whole cost.
    pub fn trifle(&self) -> i64 {
        (1 << self.bits) >> 13
    }

    /// A bound in whole costs and parts of them.
    pub fn in_costs(&self, bound: i64) -> f64 {
        bound as f64 / (1i64 << self.bits) as f64
    }

    /// A whole cost in this unit.
    pub fn scaled(&self, cost: i64) -> i64 {
        cost << self.bits
    }
}
