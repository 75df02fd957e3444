//! Times a heat-up of 600 s at steps of 1 ms beside a general integrator doing the same.
//!
//! `cargo bench -p physics` prints both times, their ratio, and by how much the results differ. The peer is scipy's `solve_ivp`, in
//! Python; `benches/peer.py` says how to install it. Without it the peer's column stays empty. The peer is given the same steps, and once
//! more as few as it likes: a fair word on what the fine steps cost, which a controller in the loop needs and a bare heat-up does not.
#![allow(clippy::print_stdout, reason = "a bench prints its table")]

use physics::heat::{Body, HeatedPart, Heater, Run, State, TwoBodies};
use quantity::Number;
use quantity::si::{celsius, joule_per_kelvin, ohm, second, volt, watt_per_kelvin};

/// What is timed, in the table.
const WHAT: &str = "heat-up of 600 s, two bodies, copper track, steps of 1 ms";

fn main() {
    // `cargo test --benches` starts this too; without the flag of `cargo bench` there is nothing to do.
    if !std::env::args().any(|argument| argument == "--bench") {
        return;
    }
    let bed = HeatedPart {
        bodies: TwoBodies {
            heated: Body {
                capacity: joule_per_kelvin(400.0),
                loss: watt_per_kelvin(1.0),
            },
            other: Body {
                capacity: joule_per_kelvin(300.0),
                loss: watt_per_kelvin(1.2),
            },
            coupling: watt_per_kelvin(5.0),
        },
        heater: Heater::CopperTrack(ohm(2.88)),
        voltage: volt(24.0),
        air: celsius(25.0),
    };
    let run = Run {
        step: second(0.001),
        duration: second(600.0),
        keep: 1000,
    };
    let once = || {
        bed.heat_up(State::both(celsius(25.0)), None, run)
            .expect("a bed that loses heat")
    };
    let ours = peer::median_seconds(once);
    let end = once().last().expect("the end").state;
    println!(
        "600 s at 1 ms, two bodies, copper track: {:8.2} ms   goal 20 ms",
        ours * 1e3
    );
    let peers = match peer() {
        Ok(peers) => peers,
        Err(missing) => {
            peer::figure(WHAT, ours, "s", peer::Beside::Peer("scipy", 10.0), None);
            return println!("{missing}");
        }
    };
    for (name, seconds, heated, other) in peers {
        let other_side = format!("scipy {name}");
        peer::figure(
            WHAT,
            ours,
            "s",
            peer::Beside::Peer(&other_side, 10.0),
            Some(seconds),
        );
        let off = (heated - end.heated.base())
            .abs()
            .max((other - end.other.base()).abs());
        println!(
            "{name:<40} {:8.2} ms   {:8.1} times ours   differs by {:.6} K",
            seconds * 1e3,
            seconds / ours,
            off
        );
    }
}

/// Name, seconds, and the two temperatures in kelvin, of each way of the peer.
fn peer() -> Result<Vec<(String, f64, f64, f64)>, String> {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/peer.py");
    let text = peer::run::<&str>(script, &[])?;
    let rows = text
        .lines()
        .filter_map(|line| {
            let mut parts = line.split(';');
            let name = parts.next()?.to_owned();
            let mut number = || parts.next()?.parse::<f64>().ok();
            Some((name, number()?, number()?, number()?))
        })
        .collect();
    Ok(rows)
}
