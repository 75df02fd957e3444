//! Times 100,000 drawn machines beside numpy and scipy doing the same.
//!
//! Both sides draw eight values within their tolerances (normal, cut off at the bounds), work out the power of a heater, the voltage lost
//! along its lead and the error of its thermometer, and count how often each limit held and how often all did. `cargo bench -p physics`
//! prints the times, their ratios, and how far the shares differ. Ours run on one core and on all, as `boardswap tolerance` does. The peer
//! is given three ways: whole arrays at once, which is its best and fits where no number of one check feeds the next; values drawn as
//! arrays and worked out one machine after another; and each machine drawn and worked out by itself, from its own number, which is
//! the work of ours. The last runs on fewer draws and is scaled up. `benches/draws_peer.py` says how to install the peer; without it
//! its lines stay out. The draws of a whole plan are timed in the crate `plan`: a peer for them would be the plan written a second time.
#![allow(clippy::print_stdout, reason = "a bench prints its table")]

use core::ops::Range;

use physics::electrics::{divider, heater_power, lead_drop, resistive_current};
use physics::sensing::{beta_resistance, beta_temperature};
use physics::{Sampler, Spread};
use quantity::si::{
    Ratio, ResistancePerLength, TemperatureInterval, ThermodynamicTemperature, metre, ohm, volt, watt,
};
use quantity::{Number, Value};

const DRAWS: u64 = 100_000;

/// What is timed, in the table.
const WHAT: &str = "100,000 draws of 8 values against 3 limits, one core";

fn main() {
    // `cargo test --benches` starts this too; without the flag of `cargo bench` there is nothing to do.
    if !std::env::args().any(|argument| argument == "--bench") {
        return;
    }
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let own = shares(1);
    assert!(own == shares(cores), "the same machines on however many cores");
    println!(
        "{DRAWS} draws of 8 values, 3 limits: they hold in {:.1} %, {:.1} %, {:.1} %, all in {:.1} %",
        own[0] * 100.0,
        own[1] * 100.0,
        own[2] * 100.0,
        own[3] * 100.0
    );
    let [one, all] = [1, cores].map(|cores| peer::median_seconds(|| shares(cores)));
    println!(
        "ours {:41.2} ms on one core, {:.2} ms on {cores}",
        one * 1e3,
        all * 1e3
    );
    let peers = match peer() {
        Ok(peers) => peers,
        Err(missing) => {
            peer::figure(WHAT, one, "s", peer::Beside::Peer("numpy", 1.0), None);
            return println!("{missing}");
        }
    };
    for Way {
        name,
        draws,
        seconds,
        shares,
    } in peers
    {
        peer::figure(WHAT, one, "s", peer::Beside::Peer(&name, 1.0), Some(seconds));
        let off = own
            .iter()
            .zip(shares)
            .map(|(a, b)| (a - b).abs())
            .fold(0.0, f64::max);
        // Four times the standard deviation of the difference of two shares at a half.
        let far = 4.0 * 0.5 * (1.0 / DRAWS as f64 + 1.0 / draws).sqrt();
        let same = if off <= far { "same shares" } else { "DIFFERENT" };
        println!(
            "{name:<36} {:9.2} ms   {:6.1} times ours on one core, {:6.1} on {cores}   {same}, off by {:.2} % of machines",
            seconds * 1e3,
            seconds / one,
            seconds / all,
            off * 100.0
        );
    }
}

/// How often the heater gives 40.5 W, its lead loses at most 0.39 %, the thermometer is within 2 K, and all of it; the draws split
/// among so many threads.
fn shares(threads: usize) -> [f64; 4] {
    let part = DRAWS.div_ceil(threads as u64);
    let counts: Vec<[u64; 4]> = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..threads as u64)
            .map(|thread| scope.spawn(move || held(thread * part..DRAWS.min((thread + 1) * part))))
            .collect();
        threads.into_iter().map(|thread| thread.join().unwrap()).collect()
    });
    core::array::from_fn(|limit| {
        let held: u64 = counts.iter().map(|count| count[limit]).sum();
        held as f64 / DRAWS as f64
    })
}

/// In how many of these draws each limit held, and all.
fn held(draws: Range<u64>) -> [u64; 4] {
    let kelvin = ThermodynamicTemperature::from_base;
    let supply = Value::between(volt(23.52), volt(24.0), volt(24.48));
    let heater = Value::between(ohm(13.2), ohm(14.4), ohm(15.0));
    let length = Value::between(metre(0.72), metre(0.75), metre(0.80));
    let per_length = {
        let wire = ResistancePerLength::from_base;
        Value::between(wire(0.0332), wire(0.0333), wire(0.0385))
    };
    let copper = Value::between(kelvin(293.15), kelvin(313.15), kelvin(333.15));
    let at_25 = Value::between(ohm(99e3), ohm(100e3), ohm(101e3));
    let beta = {
        let interval = TemperatureInterval::from_base;
        Value::between(interval(3910.5), interval(3950.0), interval(3989.5))
    };
    let pull_up = Value::between(ohm(4653.0), ohm(4700.0), ohm(4747.0));
    let (aim, reference) = (kelvin(503.15), kelvin(298.15));
    let reach = Ratio::from_base(0.0039);
    let mut held = [0_u64; 4];
    for draw in draws {
        let mut sampler = Sampler::new(1, draw);
        let spread = Spread::Normal;
        let u = sampler.value(supply, spread);
        let r = sampler.value(heater, spread);
        let (l, per, warm) = (
            sampler.value(length, spread),
            sampler.value(per_length, spread),
            sampler.value(copper, spread),
        );
        let (r25, b, rp) = (
            sampler.value(at_25, spread),
            sampler.value(beta, spread),
            sampler.value(pull_up, spread),
        );
        let power = heater_power(u, r);
        let lost =
            lead_drop(l, per, warm, resistive_current(u, r)).expect("copper within the linear law") / u;
        let thermistor = beta_resistance(r25, reference, b, aim);
        let share = divider(volt(1.0), rp, thermistor).base();
        let seen = pull_up.nominal() * (share / (1.0 - share));
        let told = beta_temperature(at_25.nominal(), reference, beta.nominal(), seen);
        let now = [
            power >= watt(40.5),
            lost <= reach,
            (told.base() - aim.base()).abs() <= 2.0,
        ];
        for (held, holds) in held.iter_mut().zip(now) {
            *held += u64::from(holds);
        }
        held[3] += u64::from(now.iter().all(|holds| *holds));
    }
    held
}

/// One way of the peer.
struct Way {
    name: String,
    /// How many machines it drew.
    draws: f64,
    /// Seconds that as many draws as ours take.
    seconds: f64,
    shares: Vec<f64>,
}

fn peer() -> Result<Vec<Way>, String> {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/draws_peer.py");
    let text = peer::run(script, &[DRAWS.to_string()])?;
    let rows = text.lines().filter_map(|line| {
        let mut parts = line.split(';');
        let name = parts.next()?.to_owned();
        let draws: f64 = parts.next()?.parse().ok()?;
        let seconds = parts.next()?.parse::<f64>().ok()? * DRAWS as f64 / draws;
        let shares: Vec<f64> = parts.filter_map(|share| share.parse().ok()).collect();
        (shares.len() == 4).then_some(Way {
            name,
            draws,
            seconds,
            shares,
        })
    });
    Ok(rows.collect())
}
