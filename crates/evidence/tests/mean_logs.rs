//! Few seeds of each kind of log in [`world`](crate::world); many of them run in `cargo xtask long`, whose table stands in the handbook.

use evidence::read::WhatIsKnown;
use evidence::read::log::read;
use evidence::temperature::{Ask, identify};
use quantity::si::{celsius, kelvin, second};
use quantity::{Number, Value};

use crate::world::{AFTER, Part, SCENES};

const SEEDS: u32 = 12;
/// Fewer of twelve intervals of 95 % hold in one of two thousand sets (binomial: 8 or fewer).
const FEWEST: u32 = 9;

fn holds<Q: Number + PartialOrd>(found: &Value<Q>, truth: f64) -> u32 {
    u32::from(found.low().base() <= truth && truth <= found.high().base())
}

#[test]
fn intervals_hold_where_the_control_is_faster_than_the_log() {
    let ask = Ask {
        name: String::new(),
        ambient: celsius(22.0),
        within: kelvin(1.0),
        pulses: None,
    };
    for scene in SCENES {
        let known = scene.known();
        let mut held = [0; 5];
        for seed in 1_000..1_000 + SEEDS {
            let log = read(scene.text(u64::from(seed)).as_bytes(), WhatIsKnown::default()).unwrap();
            let process = identify(&log, &log.channels[0], &ask).unwrap();
            held[0] += holds(&process.gain, known.gain);
            held[1] += holds(&process.rise_after(second(AFTER[2])), known.rises[2]);
            // A rod has no such parameters, nor a loop that is one of two lags.
            let Some([lag, second_lag, delay]) = known.times else {
                continue;
            };
            held[2] += holds(&process.lag, lag);
            held[3] += process.second_lag.map_or(0, |own| holds(&own, second_lag));
            held[4] += holds(&process.delay, delay);
        }
        let told = if matches!(scene.part, Part::Rod) { 2 } else { 5 };
        assert!(
            held[..told].iter().all(|held| *held >= FEWEST),
            "{}: {held:?}",
            scene.name
        );
    }
}
