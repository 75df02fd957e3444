//! Times 100,000 drawn machines beside numpy and scipy doing the same.
//!
//! Both sides draw eight values within their tolerances (normal, cut off at the bounds), work out the power of a heater, the voltage lost
//! along its lead and the error of its thermometer, and count how often each limit held and how often all did. `cargo bench -p physics`
//! prints the times, their ratios, and how far the shares differ. The peer is given its best way, whole arrays at once, and the way in
//! which a plan is drawn, one machine after another: there numbers of one check feed the next and no array fits. One thread on each
//! side. `benches/draws_peer.py` says how to install it; without it the peer's lines stay out. The draws of a whole plan are timed in
//! the crate `plan`: a peer for them would be the plan written a second time.
#![allow(clippy::print_stdout, reason = "a bench prints its table")]

use physics::electrics::{divider, heater_power, lead_drop, resistive_current};
use physics::sensing::{beta_resistance, beta_temperature};
use physics::{Sampler, Spread};
use quantity::si::{
    Ratio, ResistancePerLength, TemperatureInterval, ThermodynamicTemperature, metre, ohm, volt, watt,
};
use quantity::{Number, Value};

const DRAWS: u64 = 100_000;
/// Two shares of so many draws differ by no more than this, four times the standard deviation of their difference at a half.
const FAR: f64 = 4.0 * core::f64::consts::SQRT_2 * 0.5 / 316.0;

fn main() {
    // `cargo test --benches` starts this too; without the flag of `cargo bench` there is nothing to do.
    if !std::env::args().any(|argument| argument == "--bench") {
        return;
    }
    let ours = peer::median_seconds(shares);
    let own = shares();
    println!(
        "{DRAWS} draws of 8 values, 3 limits: {:8.2} ms   they hold in {:.1} %, {:.1} %, {:.1} %, all in {:.1} %",
        ours * 1e3,
        own[0] * 100.0,
        own[1] * 100.0,
        own[2] * 100.0,
        own[3] * 100.0
    );
    let peers = match peer() {
        Ok(peers) => peers,
        Err(missing) => return println!("{missing}"),
    };
    for (name, seconds, theirs) in peers {
        let off = own
            .iter()
            .zip(theirs)
            .map(|(a, b)| (a - b).abs())
            .fold(0.0, f64::max);
        let same = if off <= FAR { "same shares" } else { "DIFFERENT" };
        println!(
            "{name:<36} {:8.2} ms   {:6.1} times ours   {same}, off by {:.2} % of machines",
            seconds * 1e3,
            seconds / ours,
            off * 100.0
        );
    }
}

/// How often the heater gives 40.5 W, its lead loses at most 0.39 %, the thermometer is within 2 K, and all of it.
fn shares() -> [f64; 4] {
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
    for draw in 0..DRAWS {
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
    held.map(|held| held as f64 / DRAWS as f64)
}

/// Name, seconds and shares of each way of the peer.
fn peer() -> Result<Vec<(String, f64, Vec<f64>)>, String> {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/draws_peer.py");
    let text = peer::run(script, &[DRAWS.to_string()])?;
    let rows = text.lines().filter_map(|line| {
        let mut parts = line.split(';');
        let name = parts.next()?.to_owned();
        let seconds = parts.next()?.parse().ok()?;
        let shares: Vec<f64> = parts.filter_map(|share| share.parse().ok()).collect();
        (shares.len() == 4).then_some((name, seconds, shares))
    });
    Ok(rows.collect())
}
