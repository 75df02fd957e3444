//! The lower bound, in integers: whatever multipliers are put on the rows, what comes out is a true bound.
//!
//! For multipliers `y ≥ 0`: every selection costs at least `Σᵢ min over j of (cⱼ + Σᵣ yᵣ·aⱼᵣ) − Σᵣ yᵣ·bᵣ`, since the rows add
//! at most 0. The multipliers are looked for in floating point; the bound is computed from them rounded, in `i128`, so no
//! rounding error can make it wrong, only weaker.

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
}

/// Rounds a scaled bound up to the next whole cost: costs are integers.
pub(crate) fn whole(scaled: i128) -> i64 {
    let up = (scaled + (1 << SCALE) - 1) >> SCALE;
    up.clamp(i128::from(i64::MIN), i128::from(i64::MAX)) as i64
}

/// Looks for good multipliers by subgradient steps (Fisher 1981). `upper` is the cost to beat.
pub(crate) fn subgradient(model: &Model, upper: f64, steps: usize) -> Vec<f64> {
    let rows = model.capacity.len();
    let mut multipliers = vec![0.0; rows];
    let mut best = (f64::NEG_INFINITY, multipliers.clone());
    let mut agility = 1.5;
    let mut since = 0;
    for _ in 0..steps {
        let mut slope: Vec<f64> = model.capacity.iter().map(|&b| -(b as f64)).collect();
        let mut value: f64 = multipliers.iter().zip(&slope).map(|(y, b)| y * b).sum();
        for item in 0..model.items() {
            let mut least = (f64::INFINITY, 0);
            for option in model.first[item]..model.first[item + 1] {
                let rows: f64 = model
                    .uses_of(option)
                    .iter()
                    .map(|&(row, a)| multipliers[row] * a as f64)
                    .sum();
                let reduced = model.cost[option] as f64 + rows;
                if reduced < least.0 {
                    least = (reduced, option);
                }
            }
            value += least.0;
            for &(row, amount) in model.uses_of(least.1) {
                slope[row] += amount as f64;
            }
        }
        if value > best.0 {
            best = (value, multipliers.clone());
            since = 0;
        } else {
            since += 1;
            if since >= 8 {
                agility *= 0.7;
                since = 0;
            }
        }
        let scale: Vec<f64> = model.capacity.iter().map(|&b| 1.0 / (b.max(1) as f64)).collect();
        let norm: f64 = (0..rows)
            .filter(|&row| slope[row] > 0.0 || multipliers[row] > 0.0)
            .map(|row| (slope[row] * scale[row]).powi(2))
            .sum();
        let gap = upper - value;
        if norm <= 0.0 || gap <= 0.0 || agility < 1e-3 {
            break;
        }
        for row in 0..rows {
            let step = agility * gap / norm * slope[row] * scale[row] * scale[row];
            multipliers[row] = f64::max(0.0, multipliers[row] + step);
        }
    }
    best.1
}
