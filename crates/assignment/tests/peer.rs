//! Larger problems against a general mixed-integer solver (microlp, a general-purpose library), tier by tier.

use assignment::{Item, Limits, Problem, Resource, TIERS, Total, generate, solve, verify};
use microlp::{ComparisonOp, OptimizationDirection, Variable};

/// The lexicographic optimum as the peer finds it: one solve for each tier, the tiers before held at their optimum.
fn peer(problem: &Problem) -> Total {
    let mut optima: Vec<f64> = Vec::new();
    for _ in 0..=TIERS {
        optima.push(peer_tier(problem, &optima));
    }
    let whole = |value: &f64| value.round() as i64;
    Total {
        unassigned: whole(&optima[0]),
        tiers: std::array::from_fn(|tier| whole(&optima[tier + 1])),
    }
}

fn peer_tier(problem: &Problem, optima: &[f64]) -> f64 {
    let mut model = microlp::Problem::new(OptimizationDirection::Minimize);
    let cost = |total: Total, tier: usize| match tier {
        0 => total.unassigned as f64,
        _ => total.tiers[tier - 1] as f64,
    };
    let mut totals: Vec<(Variable, Total)> = Vec::new();
    let mut of_choice = vec![None; problem.choice_count()];
    for item in problem.items() {
        let mut row = Vec::new();
        let served = problem
            .choices_of(item)
            .iter()
            .map(|&choice| (Some(choice), problem.cost_of(choice)));
        let served = served.map(|(choice, cost)| {
            (
                choice,
                Total {
                    unassigned: 0,
                    tiers: cost.0,
                },
            )
        });
        for (choice, total) in served.chain([(None, problem.unassigned_cost(Item(item.0)))]) {
            let variable = model.add_binary_var(cost(total, optima.len()));
            if let Some(choice) = choice {
                of_choice[choice.0] = Some(variable);
            }
            totals.push((variable, total));
            row.push((variable, 1.0));
        }
        model.add_constraint(&row, ComparisonOp::Eq, 1.0);
    }
    for resource in (0..problem.resource_count()).map(Resource) {
        let amount = |choice: assignment::Choice| {
            problem
                .uses_of(choice)
                .iter()
                .find(|entry| entry.0 == resource)
                .map(|entry| entry.1 as f64)
        };
        let row: Vec<(Variable, f64)> = (0..problem.choice_count())
            .filter_map(|choice| Some((of_choice[choice]?, amount(assignment::Choice(choice))?)))
            .collect();
        if !row.is_empty() {
            model.add_constraint(&row, ComparisonOp::Le, problem.capacity_of(resource) as f64);
        }
    }
    for (a, b) in problem.conflicts() {
        if let (Some(a), Some(b)) = (of_choice[a.0], of_choice[b.0]) {
            model.add_constraint([(a, 1.0), (b, 1.0)], ComparisonOp::Le, 1.0);
        }
    }
    for (tier, optimum) in optima.iter().enumerate() {
        let row: Vec<(Variable, f64)> = totals.iter().map(|&(v, total)| (v, cost(total, tier))).collect();
        if row.iter().any(|entry| entry.1 != 0.0) {
            model.add_constraint(&row, ComparisonOp::Le, optimum.round());
        }
    }
    let outcome = model.solve().expect("the peer solves it");
    outcome.solution().expect("to its end").objective()
}

fn check(problem: &Problem) {
    let solution = solve(problem, &Limits::default());
    verify(problem, &solution).unwrap();
    assert!(solution.is_optimal());
    assert_eq!(solution.cost, peer(problem));
}

#[test]
fn machines() {
    for seed in 0..12 {
        check(&generate::machine(seed, 14, 22));
    }
}

#[test]
fn tight_budgets() {
    for seed in 0..6 {
        check(&generate::tight(seed, 12, 16, 4, 99));
    }
}

/// 200 devices at 300 ports. Not published: recomputed with HiGHS 1.16 (a general mixed-integer solver, zero gap, one thread), the sixth
/// tier as the least under the fifth as it stands here; the tiers before are 0. The limit of nodes stands for the strength of the
/// bound: without rows that see whole knapsacks the first of these was not proved in a hundred thousand.
#[test]
fn large_machines() {
    for (seed, tiers) in [(2, [44, 3818]), (3, [20, 3625]), (4, [40, 3948])] {
        let problem = generate::machine(seed, 200, 300);
        let solution = solve(
            &problem,
            &Limits {
                nodes: 2_000,
                ..Limits::default()
            },
        );
        verify(&problem, &solution).unwrap();
        assert!(solution.is_optimal());
        assert_eq!(solution.cost.unassigned, 0);
        assert_eq!(solution.cost.tiers, [0, 0, 0, 0, tiers[0], tiers[1], 0, 0, 0, 0]);
    }
}

/// The first tier of this one asks much of the relaxation: rounding errors spoil its basis. That must not keep it from ending, and what it
/// ends with must hold.
#[test]
fn spoiled_basis() {
    let problem = generate::machine(32, 200, 300);
    let solution = solve(
        &problem,
        &Limits {
            nodes: 300,
            ..Limits::default()
        },
    );
    verify(&problem, &solution).unwrap();
    assert_eq!(solution.cost.unassigned, 0);
}
