//! Drawing from a seed.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng as _, SeedableRng as _};

/// A generator (PCG-64). What it draws is worked out here from its 64 bits, so that no release of a library changes a file.
pub struct Random(Pcg64);

impl Random {
    pub fn of(seed: u64) -> Self {
        Self(Pcg64::seed_from_u64(seed))
    }

    /// A number from 0 to below `end`; that the first ones are likelier by 1 in 10¹⁷ does not matter here.
    pub fn below(&mut self, end: usize) -> usize {
        let drawn = self.0.next_u64() % (end as u64);
        usize::try_from(drawn).unwrap_or(0)
    }

    /// A number between two, both included.
    pub fn between(&mut self, low: usize, high: usize) -> usize {
        low + self.below(high + 1 - low)
    }

    /// All items in another order.
    pub fn shuffled<T>(&mut self, mut items: Vec<T>) -> Vec<T> {
        for at in (1..items.len()).rev() {
            let other = self.below(at + 1);
            items.swap(at, other);
        }
        items
    }
}
