//! Published instances: OR-Library (J. E. Beasley, Journal of the Operational Research Society 41 (1990) 1069-1072).
//! Files, optima and how sure each is: `tests/data/or-library/README.md`.

use assignment::{Builder, Cost, Limits, Problem, solve, verify};

fn numbers(text: &str) -> impl Iterator<Item = i64> + '_ {
    text.split_ascii_whitespace().map(|word| word.parse().unwrap())
}

/// Generalised assignment: `m` agents with capacities, each of `n` jobs to exactly one of them.
struct Generalised {
    costs: Vec<Vec<i64>>,
    amounts: Vec<Vec<i64>>,
    capacities: Vec<i64>,
}

fn generalised(text: &str) -> Vec<Generalised> {
    let mut numbers = numbers(text);
    let mut next = || numbers.next().unwrap();
    (0..next())
        .map(|_| {
            let (agents, jobs) = (next(), next());
            let mut table = || (0..agents).map(|_| (0..jobs).map(|_| next()).collect()).collect();
            let (costs, amounts) = (table(), table());
            Generalised {
                costs,
                amounts,
                capacities: (0..agents).map(|_| next()).collect(),
            }
        })
        .collect()
}

impl Generalised {
    fn problem(&self, cost: impl Fn(i64) -> i64) -> Problem {
        let mut builder = Builder::new();
        let agents: Vec<_> = self
            .capacities
            .iter()
            .map(|&capacity| builder.resource(capacity))
            .collect();
        for job in 0..self.costs[0].len() {
            let item = builder.required();
            for (agent, &resource) in agents.iter().enumerate() {
                let cost = Cost::of(&[cost(self.costs[agent][job])]);
                builder.choice(item, cost, &[(resource, self.amounts[agent][job])]);
            }
        }
        builder.build().unwrap()
    }
}

fn optimum(problem: &Problem) -> i64 {
    let solution = solve(problem, &Limits::default());
    verify(problem, &solution).unwrap();
    assert!(solution.is_optimal());
    assert_eq!(solution.cost.unassigned, 0);
    solution.cost.tiers[0]
}

fn check(text: &str, maximised: [i64; 5], minimised: [i64; 5]) {
    for (index, instance) in generalised(text).iter().enumerate() {
        let dearest = *instance.costs.iter().flatten().max().unwrap();
        let jobs = instance.costs[0].len() as i64;
        let least = optimum(&instance.problem(|cost| dearest - cost));
        assert_eq!(
            jobs * dearest - least,
            maximised[index],
            "maximised, problem {index}"
        );
        assert_eq!(
            optimum(&instance.problem(|cost| cost)),
            minimised[index],
            "minimised, problem {index}"
        );
    }
}

/// Maximised: the library's own list. Minimised: recomputed with a general solver at zero gap, not published.
#[test]
fn generalised_assignment() {
    let data = |name: &str| {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/or-library/");
        std::fs::read_to_string(format!("{folder}{name}")).unwrap()
    };
    check(
        &data("gap1.txt"),
        [336, 327, 339, 341, 326],
        [261, 269, 256, 274, 251],
    );
    check(
        &data("gap2.txt"),
        [434, 436, 420, 419, 428],
        [277, 269, 260, 269, 267],
    );
    check(
        &data("gap3.txt"),
        [580, 564, 573, 570, 564],
        [438, 415, 446, 430, 411],
    );
}

/// Linear assignment, 100 × 100: 305, from memory of the library's list and recomputed.
#[test]
fn linear_assignment() {
    let text = include_str!("data/or-library/assign100.txt");
    let mut numbers = numbers(text);
    let size = numbers.next().unwrap() as usize;
    let mut builder = Builder::new();
    let columns: Vec<_> = (0..size).map(|_| builder.resource(1)).collect();
    for _ in 0..size {
        let item = builder.required();
        for &column in &columns {
            builder.choice(item, Cost::of(&[numbers.next().unwrap()]), &[(column, 1)]);
        }
    }
    assert_eq!(optimum(&builder.build().unwrap()), 305);
}
