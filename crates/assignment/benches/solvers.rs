//! Times the solver beside a general mixed-integer solver on the same invented instances.
//!
//! `cargo bench -p assignment` prints one line for each instance and the median ratio of each family. The peer is HiGHS, one
//! thread, zero gap, in Python; `benches/peer.py` says how to install it. Without it the peer's columns stay empty.
//!
//! Both sides are timed in processor time, without building their model from the instance, presolve included. Of the two ways in which the peer is
//! given the tiers, the quicker one counts.
#![allow(clippy::print_stdout, reason = "a bench prints its table")]

use assignment::{Choice, Limits, Problem, Resource, Solution, TIERS, Total, generate, solve, verify};
use std::fmt::Write;
use std::time::Instant;

struct Case {
    family: &'static str,
    name: String,
    problem: Problem,
}

fn main() {
    let mut cases = Vec::new();
    let mut add = |family: &'static str, seeds: u64, problem: &dyn Fn(u64) -> Problem| {
        for seed in 0..seeds {
            cases.push(Case {
                family,
                name: format!("{family}, seed {seed}"),
                problem: problem(seed),
            });
        }
    };
    add("machine 30 x 45", 12, &|seed| generate::machine(seed, 30, 45));
    add("starved 30 x 45", 12, &|seed| generate::starved(seed, 30, 45));
    add("tight 30 x 40", 16, &|seed| {
        generate::tight(seed, 30, 40, 10, 999)
    });
    add("ties 30 x 40", 6, &|seed| generate::tight(seed, 30, 40, 10, 3));
    add("machine 200 x 300", 12, &|seed| generate::machine(seed, 200, 300));
    let wanted = std::env::args()
        .skip(1)
        .find(|argument| !argument.starts_with('-'));
    cases.retain(|case| {
        wanted
            .as_ref()
            .is_none_or(|wanted| case.name.contains(wanted.as_str()))
    });

    let answers: Vec<(f64, Solution)> = cases.iter().map(|case| timed(&case.problem)).collect();
    let peers = peer(&cases, &answers);
    println!(
        "{:<28} {:>10} {:>8} {:>10} {:>8}  optimum",
        "instance", "ours, ms", "nodes", "peer, ms", "ratio"
    );
    let mut ratios: Vec<(&str, f64, &str)> = Vec::new();
    for (place, case) in cases.iter().enumerate() {
        let (ours, solution) = &answers[place];
        let nodes = match solution.proof {
            assignment::Proof::Optimal { nodes, .. } | assignment::Proof::Stopped { nodes, .. } => nodes,
        };
        let (peer, ratio, same) = match peers.get(place) {
            Some((seconds, optimum)) => {
                ratios.push((case.family, seconds / ours, &case.name));
                let same = if !solution.is_optimal() {
                    "ours stopped"
                } else if optimum.is_none() {
                    "peer stopped"
                } else if *optimum == Some(solution.cost) {
                    "same"
                } else {
                    "DIFFERENT"
                };
                (
                    format!("{:.2}", seconds * 1e3),
                    format!("{:.1}", seconds / ours),
                    same,
                )
            }
            None => (String::new(), String::new(), ""),
        };
        println!(
            "{:<28} {:>10.3} {nodes:>8} {peer:>10} {ratio:>8}  {same}",
            case.name,
            ours * 1e3
        );
    }
    let mut families: Vec<&str> = cases.iter().map(|case| case.family).collect();
    families.dedup();
    for family in families {
        let mut of_family: Vec<(f64, &str)> = ratios
            .iter()
            .filter(|entry| entry.0 == family)
            .map(|entry| (entry.1, entry.2))
            .collect();
        of_family.sort_by(|one, other| one.0.total_cmp(&other.0));
        if let (Some((least, worst)), Some((most, _))) = (of_family.first(), of_family.last()) {
            let median = (of_family[(of_family.len() - 1) / 2].0 + of_family[of_family.len() / 2].0) / 2.0;
            println!("{family}: peer / ours {least:.1} to {most:.1}, median {median:.1}");
            // The family as a whole, as if each instance took us a second.
            let peer = peer::Beside::Peer("HiGHS, one thread, zero gap", 1.0);
            let median_of = format!("{family}: median of its instances, ours as 1 s");
            peer::figure(&median_of, 1.0, "s", peer, Some(median));
            let worst_of = format!("{worst}: the worst of them");
            peer::figure(&worst_of, 1.0, "s", peer, Some(*least));
        }
    }
}

/// Seconds, the mean of many runs where they are short, and the answer.
fn timed(problem: &Problem) -> (f64, Solution) {
    let limits = Limits {
        nodes: 300_000,
        ..Limits::default()
    };
    let run = || {
        let start = processor_seconds();
        let solution = solve(problem, &limits);
        (processor_seconds() - start, solution)
    };
    let (mut seconds, solution) = run();
    // The system counts processor time in ticks of some milliseconds.
    if seconds < 0.1 {
        let start = processor_seconds();
        let mut runs = 0;
        while processor_seconds() - start < 0.2 {
            solve(problem, &limits);
            runs += 1;
        }
        seconds = (processor_seconds() - start) / f64::from(runs);
    }
    verify(problem, &solution).expect("the solution holds");
    (seconds, solution)
}

/// What this thread has spent on a processor, where the system tells (Linux); else the time of day. A busy machine then
/// does not disturb the comparison.
fn processor_seconds() -> f64 {
    static START: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split(' ').next()?.parse::<f64>().ok());
    nanoseconds.map_or_else(
        || START.get_or_init(Instant::now).elapsed().as_secs_f64(),
        |told| told * 1e-9,
    )
}

/// Seconds and optimum of the peer for each case; empty where it is not installed.
fn peer(cases: &[Case], answers: &[(f64, Solution)]) -> Vec<(f64, Option<Total>)> {
    let file = std::env::temp_dir().join(format!("assignment-bench-{}.json", std::process::id()));
    let texts: Vec<String> = cases
        .iter()
        .zip(answers)
        .map(|(case, answer)| json(case, answer.1.cost.unassigned == 0))
        .collect();
    if std::fs::write(&file, format!("[{}]", texts.join(","))).is_err() {
        return Vec::new();
    }
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/peer.py");
    let output = peer::run(script, &[&file]);
    let _ = std::fs::remove_file(&file);
    match output {
        Ok(text) => text.lines().filter_map(parse).collect(),
        Err(missing) => {
            println!("{missing}");
            Vec::new()
        }
    }
}

/// Where all required items can be served, the peer is told so: it gets no variable for leaving one unassigned.
fn json(case: &Case, all_served: bool) -> String {
    let problem = &case.problem;
    let (mut costs, mut items) = (Vec::new(), Vec::new());
    let mut variable = vec![0; problem.choice_count()];
    let mut push = |item: usize, total: Total| {
        let tiers: Vec<String> = total.tiers.iter().map(i64::to_string).collect();
        costs.push(format!("[{},{}]", total.unassigned, tiers.join(",")));
        items.push(item.to_string());
        items.len() - 1
    };
    for item in problem.items() {
        for &choice in problem.choices_of(item) {
            let total = Total {
                unassigned: 0,
                tiers: problem.cost_of(choice).0,
            };
            variable[choice.0] = push(item.0, total);
        }
        if !(all_served && problem.is_required(item)) {
            push(item.0, problem.unassigned_cost(item));
        }
    }
    let mut rows = vec![(Vec::new(), Vec::new()); problem.resource_count()];
    for choice in (0..problem.choice_count()).map(Choice) {
        for &(resource, amount) in problem.uses_of(choice) {
            rows[resource.0].0.push(variable[choice.0].to_string());
            rows[resource.0].1.push(amount.to_string());
        }
    }
    let mut text = String::new();
    let rows: Vec<String> = rows
        .iter()
        .enumerate()
        .map(|(row, (at, amount))| {
            format!(
                "[{},[{}],[{}]]",
                problem.capacity_of(Resource(row)),
                at.join(","),
                amount.join(",")
            )
        })
        .collect();
    let pair = |(a, b): &(Choice, Choice)| format!("[{},{}]", variable[a.0], variable[b.0]);
    let conflicts: Vec<String> = problem.conflicts().iter().map(pair).collect();
    let _ = write!(
        text,
        r#"{{"name":"{}","item":[{}],"costs":[{}],"rows":[{}],"conflicts":[{}]}}"#,
        case.name,
        items.join(","),
        costs.join(","),
        rows.join(","),
        conflicts.join(",")
    );
    text
}

/// Reads one line of the peer, `peer;seconds;tiers;seconds;tiers`, and keeps the quicker of its two ways that ended.
fn parse(line: &str) -> Option<(f64, Option<Total>)> {
    let fields: Vec<&str> = line.strip_prefix("peer;")?.split(';').collect();
    let way = |way: &[&str]| {
        let tiers: Vec<i64> = way[1].split(' ').filter_map(|word| word.parse().ok()).collect();
        let total = (tiers.len() == TIERS + 1).then(|| Total {
            unassigned: tiers[0],
            tiers: std::array::from_fn(|tier| tiers[tier + 1]),
        });
        Some((way[0].parse::<f64>().ok()?, total))
    };
    let ways: Vec<_> = fields.chunks_exact(2).filter_map(way).collect();
    ways.into_iter()
        .min_by(|a, b| a.1.is_none().cmp(&b.1.is_none()).then(a.0.total_cmp(&b.0)))
}
