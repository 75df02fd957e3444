//! The lower bound, in integers: whatever multipliers are put on the rows, what comes out is a true bound.
//!
//! For multipliers `y ≥ 0` (any sign where the row is an equation): every selection costs at least `Σᵢ min over j of (cⱼ + Σᵣ yᵣ·aⱼᵣ) − Σᵣ yᵣ·bᵣ`, since the rows add
//! at most 0. The multipliers come from the relaxation in floating point; the bound is computed from them rounded, in `i128`, so no
//! rounding error can make it wrong, only weaker.

use crate::domain::Domain;
use crate::model::Model;

/// Multipliers and reduced costs are integers in units of 2⁻⁴⁰ of a cost.
pub(crate) const SCALE: u32 = 40;

/// No multiplier times a capacity or an amount leaves `i128`.
const LARGEST_TERM: f64 = 1e30;

/// Reduced costs under certain multipliers, and the bound they give.
#[derive(Clone, Debug, Default)]
pub(crate) struct Reduced {
    pub cost: Vec<i128>,
    /// `Σᵣ yᵣ·bᵣ`, scaled.
    pub constant: i128,
}

impl Reduced {
    pub fn new(model: &Model, multipliers: &[f64]) -> Reduced {
        let rounded: Vec<i128> = multipliers
            .iter()
            .enumerate()
            .map(|(row, &multiplier)| {
                let most = model.capacity[row].max(1) as f64;
                let scaled = multiplier.max(0.0) * (1u64 << SCALE) as f64;
                // Entries of a row are at most its capacity, so this also bounds multiplier times amount.
                if scaled * most < LARGEST_TERM {
                    scaled as i128
                } else {
                    (LARGEST_TERM / most) as i128
                }
            })
            .collect();
        let reduced = |option: usize| {
            let rows: i128 = model
                .uses_of(option)
                .iter()
                .map(|&(row, a)| rounded[row] * i128::from(a))
                .sum();
            (i128::from(model.cost[option]) << SCALE) + rows
        };
        let cost = (0..model.cost.len()).map(reduced).collect();
        let constant = rounded
            .iter()
            .zip(&model.capacity)
            .map(|(y, &b)| y * i128::from(b))
            .sum();
        Reduced { cost, constant }
    }

    /// The least reduced cost among the options left to an item.
    pub fn least(&self, model: &Model, domain: &Domain, item: usize) -> i128 {
        domain
            .options(model, item)
            .map(|option| self.cost[option])
            .min()
            .unwrap_or(0)
    }

    /// No selection from the options left costs less; scaled.
    pub fn bound(&self, model: &Model, domain: &Domain) -> i128 {
        (0..model.items())
            .map(|item| self.least(model, domain, item))
            .sum::<i128>()
            - self.constant
    }
}

/// Rounds a scaled bound up to the next whole cost: costs are integers.
pub(crate) fn whole(scaled: i128) -> i64 {
    let up = (scaled + (1 << SCALE) - 1) >> SCALE;
    up.clamp(i128::from(i64::MIN), i128::from(i64::MAX)) as i64
}
