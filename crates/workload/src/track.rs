//! Pictures as they grow: what happened when, and where. Of bounded size, whatever the length of the print.

use quantity::Number as _;
use quantity::si::{Frequency, Length, Power, Time, VolumeRate};

/// Bins of a time line.
const BINS: usize = 1_024;

/// One stretch of the time line.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Bin {
    pub time: f64,
    /// Highest rate of steps over all motors, on the first board.
    pub rate: f64,
    pub volume: f64,
    pub heater_energy: f64,
    pub fan_energy: f64,
    pub moves: u64,
}

impl Bin {
    fn join(&mut self, other: &Self) {
        self.time += other.time;
        self.rate = self.rate.max(other.rate);
        self.volume += other.volume;
        self.heater_energy += other.heater_energy;
        self.fan_energy += other.fan_energy;
        self.moves += other.moves;
    }
}

/// What happened when. Where the bins are full, two become one.
#[derive(Clone, Debug)]
pub(crate) struct TimeLine {
    width: f64,
    bins: Vec<Bin>,
}

impl Default for TimeLine {
    fn default() -> Self {
        Self {
            width: 1.0,
            bins: Vec::with_capacity(BINS),
        }
    }
}

impl TimeLine {
    /// Adds what happened in a stretch that begins at a time.
    pub fn add(&mut self, begin: f64, stretch: &Bin) {
        while (begin + stretch.time) / self.width >= BINS as f64 {
            self.halve();
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 to BINS"
        )]
        let (first, last) = (
            (begin / self.width) as usize,
            ((begin + stretch.time) / self.width - 1e-9).max(0.0) as usize,
        );
        if self.bins.len() <= last {
            self.bins.resize(last + 1, Bin::default());
        }
        let count = last - first + 1;
        let share = 1.0 / count as f64;
        for (at, bin) in self.bins[first..=last].iter_mut().enumerate() {
            bin.join(&Bin {
                time: stretch.time * share,
                rate: stretch.rate,
                volume: stretch.volume * share,
                heater_energy: stretch.heater_energy * share,
                fan_energy: stretch.fan_energy * share,
                moves: if at == 0 { stretch.moves } else { 0 },
            });
        }
    }

    fn halve(&mut self) {
        self.width *= 2.0;
        self.bins = self
            .bins
            .chunks(2)
            .map(|pair| {
                let mut one = pair[0];
                if let Some(other) = pair.get(1) {
                    one.join(other);
                }
                one
            })
            .collect();
    }

    /// The moments of the line.
    pub fn told(&self) -> Vec<Moment> {
        let told = |(at, bin): (usize, &Bin)| {
            let mean = |sum: f64| if bin.time > 0.0 { sum / bin.time } else { 0.0 };
            Moment {
                begin: Time::from_base(at as f64 * self.width),
                step_rate: Frequency::from_base(bin.rate),
                flow: VolumeRate::from_base(mean(bin.volume)),
                heaters: Power::from_base(mean(bin.heater_energy)),
                fans: Power::from_base(mean(bin.fan_energy)),
            }
        };
        self.bins.iter().enumerate().map(told).collect()
    }
}

/// One stretch of a time line: it ends where the next begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Since the start.
    pub begin: Time,
    /// The highest rate of steps over all motors, on the first board.
    pub step_rate: Frequency,
    /// Flow of plastic, mean.
    pub flow: VolumeRate,
    /// Power of the heaters, mean, at nominal values.
    pub heaters: Power,
    /// Power of the fans, mean.
    pub fans: Power,
}

/// Cells along a side of the map.
const SIDE: usize = 128;

/// The way from above: the highest rate of steps in each cell. Where a place lies outside, cells double in size.
#[derive(Clone, Debug)]
pub(crate) struct Map {
    /// Side of a cell in metres; a power of two of the smallest.
    cell: f64,
    /// The lower left corner, in cells.
    corner: [f64; 2],
    rates: Vec<f32>,
    at: [f32; 2],
    empty: bool,
}

impl Default for Map {
    fn default() -> Self {
        Self {
            cell: 5e-4,
            corner: [0.0; 2],
            rates: vec![0.0; SIDE * SIDE],
            at: [0.0; 2],
            empty: true,
        }
    }
}

impl Map {
    /// A piece to a place, at a rate.
    #[inline(always)]
    pub fn go(&mut self, x: f32, y: f32, rate: f64) {
        let from = core::mem::replace(&mut self.at, [x, y]);
        if rate <= 0.0 || from == self.at {
            return;
        }
        #[expect(clippy::cast_possible_truncation, reason = "for a picture")]
        let rate = rate as f32;
        let inverse = 1.0 / self.cell;
        let cell = |place: [f32; 2]| [0, 1].map(|axis| f64::from(place[axis]) * inverse - self.corner[axis]);
        let (one, other) = (cell(from), cell(self.at));
        let inside = |cell: &[f64; 2]| cell.iter().all(|at| (0.0..SIDE as f64).contains(at));
        if !(inside(&one) && inside(&other)) {
            return self.widen(from, rate);
        }
        // Mostly both ends lie in one cell, or in two beside each other.
        let longest = (other[0] - one[0]).abs().max((other[1] - one[1]).abs());
        if longest <= 1.0 {
            self.mark(one, rate);
            self.mark(other, rate);
            return;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most SIDE cells"
        )]
        let steps = longest.ceil() as usize;
        for at in 0..=steps {
            let share = at as f64 / steps as f64;
            self.mark(
                [0, 1].map(|axis| one[axis] + (other[axis] - one[axis]) * share),
                rate,
            );
        }
    }

    #[inline(always)]
    fn mark(&mut self, cell: [f64; 2], rate: f32) {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 to SIDE"
        )]
        let at = (cell[1] as usize & (SIDE - 1)) * SIDE + (cell[0] as usize & (SIDE - 1));
        self.rates[at] = self.rates[at].max(rate);
        self.empty = false;
    }

    #[cold]
    #[inline(never)]
    fn widen(&mut self, from: [f32; 2], rate: f32) {
        let to = self.at;
        if !from.iter().chain(&to).all(|place| place.is_finite()) {
            return;
        }
        let old = self.clone();
        let (low, high) = old.bounds(from, to);
        loop {
            self.corner = [0, 1].map(|axis| (low[axis] / self.cell).floor());
            let fits = (0..2).all(|axis| high[axis] / self.cell - self.corner[axis] < SIDE as f64 - 1.0);
            if fits {
                break;
            }
            self.cell *= 2.0;
        }
        self.rates.fill(0.0);
        for (at, rate) in old.rates.iter().enumerate().filter(|(_, rate)| **rate > 0.0) {
            let cell = [at % SIDE, at / SIDE];
            let middle = [0, 1].map(|axis| (old.corner[axis] + cell[axis] as f64 + 0.5) * old.cell);
            self.mark(
                [0, 1].map(|axis| middle[axis] / self.cell - self.corner[axis]),
                *rate,
            );
        }
        self.at = from;
        self.go(to[0], to[1], f64::from(rate));
    }

    /// What must be on the map: all that is, and two places more.
    fn bounds(&self, from: [f32; 2], to: [f32; 2]) -> ([f64; 2], [f64; 2]) {
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        let mut take = |place: [f64; 2]| {
            for axis in 0..2 {
                low[axis] = low[axis].min(place[axis]);
                high[axis] = high[axis].max(place[axis]);
            }
        };
        take(from.map(f64::from));
        take(to.map(f64::from));
        for (at, _) in self.rates.iter().enumerate().filter(|(_, rate)| **rate > 0.0) {
            let cell = [at % SIDE, at / SIDE];
            take([0, 1].map(|axis| (self.corner[axis] + cell[axis] as f64) * self.cell));
            take([0, 1].map(|axis| (self.corner[axis] + cell[axis] as f64 + 1.0) * self.cell));
        }
        (low, high)
    }

    /// The map without its empty margin.
    pub fn told(&self) -> Option<SeenFromAbove> {
        let used: Vec<[usize; 2]> = (0..SIDE * SIDE)
            .filter(|at| self.rates[*at] > 0.0)
            .map(|at| [at % SIDE, at / SIDE])
            .collect();
        let low = [0, 1].map(|axis| used.iter().map(|cell| cell[axis]).min());
        let high = [0, 1].map(|axis| used.iter().map(|cell| cell[axis]).max());
        let ([Some(left), Some(bottom)], [Some(right), Some(top)]) = (low, high) else {
            return None;
        };
        let row = |y: usize| {
            let cells = &self.rates[y * SIDE + left..=y * SIDE + right];
            cells
                .iter()
                .map(|rate| Frequency::from_base(f64::from(*rate)))
                .collect()
        };
        Some(SeenFromAbove {
            cell: Length::from_base(self.cell),
            left: Length::from_base((self.corner[0] + left as f64) * self.cell),
            bottom: Length::from_base((self.corner[1] + bottom as f64) * self.cell),
            rows: (bottom..=top).map(row).collect(),
        })
    }
}

/// The way of the nozzle from above, in square cells.
#[derive(Clone, Debug, PartialEq)]
pub struct SeenFromAbove {
    /// Side of a cell.
    pub cell: Length,
    /// Left edge of the first column.
    pub left: Length,
    /// Lower edge of the first row.
    pub bottom: Length,
    /// For each row from the bottom, and each cell from the left, the highest rate of steps over all motors; 0 where nothing passed.
    pub rows: Vec<Vec<Frequency>>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_square_is_a_ring_of_cells() {
        let mut map = Map::default();
        for (x, y) in [(0.0, 0.0), (0.1, 0.0), (0.1, 0.2), (0.0, 0.2), (0.0, 0.0)] {
            map.go(x, y, 5.0);
        }
        let seen = map.told().unwrap();
        let (wide, high) = (seen.rows[0].len() as f64, seen.rows.len() as f64);
        assert!((wide * seen.cell.base() - 0.1).abs() <= 2.0 * seen.cell.base());
        assert!((high * seen.cell.base() - 0.2).abs() <= 2.0 * seen.cell.base());
        for row in &seen.rows {
            assert!(row.first().unwrap().base() > 0.0 && row.last().unwrap().base() > 0.0);
        }
        assert_eq!(seen.rows[seen.rows.len() / 2][seen.rows[0].len() / 2].base(), 0.0);
    }

    proptest! {
        /// However the bins are joined, nothing is lost.
        #[test]
        fn sums_of_a_time_line_stay(stretches in proptest::collection::vec((0.5_f64..5000.0, 0.0_f64..1.0), 1..300)) {
            let mut line = TimeLine::default();
            let mut now = 0.0;
            for (time, volume) in &stretches {
                line.add(now, &Bin { time: *time, volume: *volume, rate: *volume, ..Bin::default() });
                now += time;
            }
            let sum = |of: fn(&Bin) -> f64| line.bins.iter().map(of).sum::<f64>();
            prop_assert!((sum(|bin| bin.time) / now - 1.0).abs() < 1e-9);
            let volume: f64 = stretches.iter().map(|stretch| stretch.1).sum();
            prop_assert!((sum(|bin| bin.volume) - volume).abs() < 1e-9);
            prop_assert!(line.bins.len() <= BINS);
        }

        #[test]
        fn every_place_is_on_the_map(places in proptest::collection::vec((-200.0_f32..200.0, -200.0_f32..200.0), 2..40)) {
            let mut map = Map::default();
            for (x, y) in &places {
                map.go(*x, *y, 1.0);
            }
            let seen = map.told().unwrap();
            for (x, y) in &places {
                let right = seen.left.base() + seen.cell.base() * seen.rows[0].len() as f64;
                let slack = seen.cell.base();
                prop_assert!(f64::from(*x) >= seen.left.base() - slack && f64::from(*x) <= right + slack);
                let top = seen.bottom.base() + seen.cell.base() * seen.rows.len() as f64;
                prop_assert!(f64::from(*y) >= seen.bottom.base() - slack && f64::from(*y) <= top + slack);
            }
        }
    }
}
