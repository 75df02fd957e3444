//! Times the solver on invented instances.

#![allow(clippy::print_stdout, reason = "a bench prints its table")]

fn main() {
    for seed in 0..4 {
        let problem = assignment::generate::machine(seed, 30, 45);
        let start = std::time::Instant::now();
        let limits = assignment::Limits { nodes: 2_000_000 };
        let solution = assignment::solve(&problem, &limits);
        let spent = start.elapsed();
        println!(
            "machine {seed}: {spent:?} {:?} {:?}",
            solution.cost, solution.proof
        );
    }
}
