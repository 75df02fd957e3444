//! How long a plan takes: one board warm, and a comparison of a thousand generated ones.
//!
//! Prints times beside their goals; `cargo bench -p plan -- plan` (or `draws`, `boards`) runs one part alone, as a profiler wants it. The
//! solver itself is timed against its peer in the crate `assignment`.

#![allow(clippy::print_stdout, reason = "a benchmark prints its figures")]

use std::time::Instant;

use model::Swap;
use model::board::Board;
use quantity::{Number, Price, Range};

fn main() {
    // `cargo test --benches` starts this too; without the flag of `cargo bench` there is nothing to do.
    if !std::env::args().any(|argument| argument == "--bench") {
        return;
    }
    let named: Vec<String> = std::env::args()
        .skip(1)
        .filter(|word| !word.starts_with("--"))
        .collect();
    let wanted = |part: &str| named.is_empty() || named.iter().any(|name| name == part);
    let swap = demo();
    if wanted("plan") {
        plans(&swap);
    }
    if wanted("draws") {
        draws(&swap);
    }
    if wanted("boards") {
        boards(&swap);
    }
}

/// Each board of the demo, warm.
fn plans(swap: &Swap) {
    for board in &swap.candidates {
        let times = timed(200, || plan::plan(swap, board).findings.len());
        let plan = plan::plan(swap, board);
        let bound = peer::Beside::Limit("a bound of 1.2 ms", 1.0);
        let what = format!("plan of {} (20 devices, 7 preferences)", board.name.value);
        peer::figure(&what, times.0, "s", bound, Some(1.2e-3));
        println!(
            "plan of {:12} {:6.3} ms (least {:6.3})   goal 1.2 ms   {} findings, {}",
            board.name.value,
            times.0 * 1e3,
            times.1 * 1e3,
            plan.findings.len(),
            plan.optimum.proof
        );
    }
}

/// Ten, a hundred and a thousand boards compared, on all cores.
fn boards(swap: &Swap) {
    let times = [10, 100, 1000].map(|count| (f64::from(count), compared(swap, count as usize)));
    peer::growth("comparison of boards", "boards", &times);
    let bound = peer::Beside::Limit("a bound of 1 s", 1.0);
    peer::figure(
        "comparison of 1,000 boards, all cores",
        times[2].1,
        "s",
        bound,
        Some(1.0),
    );
}

/// So many boards compared: seconds.
fn compared(swap: &Swap, count: usize) -> f64 {
    let boards = generated(swap, count);
    let start = Instant::now();
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let entries: Vec<plan::Entry> = std::thread::scope(|scope| {
        let threads: Vec<_> = boards
            .chunks(boards.len().div_ceil(cores))
            .enumerate()
            .map(|(part, boards)| {
                scope.spawn(move || {
                    let first = part * boards.len();
                    let entry = |(at, board): (usize, &Board)| {
                        plan::entry(&plan::plan_briefly(swap, board), first + at)
                    };
                    boards.iter().enumerate().map(entry).collect::<Vec<_>>()
                })
            })
            .collect();
        threads
            .into_iter()
            .flat_map(|thread| thread.join().unwrap())
            .collect()
    });
    let comparison = plan::rank(&entries);
    let seconds = start.elapsed().as_secs_f64();
    println!(
        "comparison of {} boards on {cores} cores {:6.3} s   goal 1 s   {} without a blocker, {} on the Pareto front",
        boards.len(),
        seconds,
        comparison
            .entries
            .iter()
            .filter(|entry| entry.blockers == 0)
            .count(),
        comparison.entries.iter().filter(|entry| entry.pareto).count()
    );
    seconds
}

/// 100,000 machines drawn within the tolerances, on all cores: every check, and those alone that the worst corner leaves open.
fn draws(swap: &Swap) {
    const DRAWS: [u64; 3] = [1_000, 10_000, 100_000];
    let plan = plan::plan(swap, &swap.candidates[0]);
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get) as u64;
    let ready = plan::Draws::of(&plan);
    let open = ready.clone().only(&plan.uncertain());
    for (what, ready) in [
        ("every check", ready),
        ("what the worst corner leaves open", open),
    ] {
        let times = DRAWS.map(|draws| {
            let start = Instant::now();
            let tally = std::thread::scope(|scope| {
                let threads: Vec<_> = (0..cores)
                    .map(|part| {
                        let mut own = ready.clone();
                        let numbers = draws * part / cores..draws * (part + 1) / cores;
                        scope.spawn(move || own.tally(physics::Spread::Normal, 1, numbers))
                    })
                    .collect();
                let tallies = threads.into_iter().map(|thread| thread.join().unwrap());
                tallies.reduce(|a, b| a + b).unwrap()
            });
            let seconds = start.elapsed().as_secs_f64();
            println!(
                "{draws} draws of {} values on {cores} cores, {what} {seconds:6.3} s   goal 5 s   no blocker in {:.2} %",
                ready.inputs().len(),
                tally.without_blocker.share().base() * 100.0
            );
            (draws as f64, seconds)
        });
        peer::growth(&format!("machines drawn, {what}"), "draws", &times);
        let bound = peer::Beside::Limit("a bound of 5 s", 1.0);
        let what = format!("100,000 machines drawn, all cores, {what}");
        peer::figure(&what, times[2].1, "s", bound, Some(5.0));
    }
}

/// Median and least time of a run in seconds.
fn timed(runs: usize, mut run: impl FnMut() -> usize) -> (f64, f64) {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            std::hint::black_box(run());
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    (times[runs / 2], times[0])
}

fn demo() -> Swap {
    model::load(&samples::example("demo")).unwrap()
}

/// Boards made from the candidates of the demo: some ports missing, input and prices changed, by a fixed sequence.
fn generated(swap: &Swap, count: usize) -> Vec<Board> {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    let mut next = move |below: u64| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state % below
    };
    (0..count)
        .map(|at| {
            let mut board = swap.candidates[at % swap.candidates.len()].clone();
            board.name.value = format!("{} {at}", board.name.value);
            let keep: Vec<bool> = board.ports.iter().map(|_| next(16) != 0).collect();
            // A port that is taken away keeps its place, so that numbers stay: it becomes a card slot's neighbour without use.
            for (port, keep) in board.ports.iter_mut().zip(keep) {
                if !keep && port.excludes.is_empty() {
                    port.kind = model::board::PortKind::SupplyInput;
                }
            }
            let high = board.input.voltage.high() * (0.8 + 0.05 * next(8) as f64);
            board.input.voltage.value = Range::new(board.input.voltage.low(), high);
            if let Some(price) = &mut board.price {
                price.value = Price::new(
                    price.value.hundredths() + i64::try_from(next(3000)).unwrap(),
                    *b"EUR",
                );
            }
            board
        })
        .collect()
}
