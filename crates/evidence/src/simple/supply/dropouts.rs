//! Dropouts: the voltage falls below what the loads bear, and comes back.

use quantity::Number as _;
use quantity::si::{ElectricPotential, Time};

use super::{SupplyAsk, Voltage};

/// A stretch of readings below the limit between two that are not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dropout {
    /// The first reading in it.
    pub at: Time,
    /// The lowest one.
    pub lowest: ElectricPotential,
    /// From its first to its last reading: it lasted at least so long. Nothing for a single one.
    pub least: Time,
    /// From the reading before it to the one behind it: it lasted at most so long.
    pub most: Time,
    /// Whether the current fell with the voltage; nothing where it was not measured on both sides.
    pub current_fell: Option<bool>,
}

/// The dropouts of a log, in their order. A voltage that is low for most of the log did not drop out of anything.
pub(super) fn dropouts(readings: &[Voltage], ask: &SupplyAsk) -> Vec<Dropout> {
    let is_low = |own: &Voltage| own.voltage.base() * (1.0 + ask.meter.base()) < ask.lowest.base();
    if 2 * readings.iter().filter(|own| is_low(own)).count() > readings.len() {
        return Vec::new();
    }
    let mut out = Vec::new();
    // None reaches over a clock that starts anew.
    for piece in readings.chunk_by(|one, next| one.time <= next.time) {
        let mut from = 0;
        for run in piece.chunk_by(|one, next| is_low(one) == is_low(next)) {
            let to = from + run.len();
            let around = from
                .checked_sub(1)
                .and_then(|before| Some((piece[before], *piece.get(to)?)));
            if let Some((before, after)) = around.filter(|_| is_low(&run[0])) {
                out.push(of(run, before, after));
            }
            from = to;
        }
    }
    out
}

fn of(run: &[Voltage], before: Voltage, after: Voltage) -> Dropout {
    let lowest = run.iter().skip(1).fold(
        run[0],
        |low, own| if own.voltage < low.voltage { *own } else { low },
    );
    let current_fell = lowest
        .current
        .zip(before.current)
        .map(|(own, before)| own < before);
    Dropout {
        at: run[0].time,
        lowest: lowest.voltage,
        least: run[run.len() - 1].time - run[0].time,
        most: after.time - before.time,
        current_fell,
    }
}
