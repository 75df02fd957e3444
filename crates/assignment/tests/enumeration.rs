//! Small wild problems against plain enumeration of every selection.

use assignment::{
    Choice, Demands, Item, Limits, Problem, Reason, Regret, Size, Solution, Total, generate, next_best,
    regret, smallest_conflict, solve, verify,
};
use proptest::prelude::*;

/// Every selection that breaks no rule, by rising cost.
fn all(problem: &Problem) -> Vec<(Total, Vec<Option<Choice>>)> {
    let mut found = Vec::new();
    extend(problem, &mut Vec::new(), &mut found);
    found.sort();
    found
}

fn extend(
    problem: &Problem,
    chosen: &mut Vec<Option<Choice>>,
    found: &mut Vec<(Total, Vec<Option<Choice>>)>,
) {
    if !holds(problem, chosen) {
        return;
    }
    let item = chosen.len();
    if item == problem.items().len() {
        found.push((problem.total(chosen), chosen.clone()));
        return;
    }
    let choices = problem.choices_of(Item(item)).iter().map(|&choice| Some(choice));
    for choice in choices.chain([None]) {
        chosen.push(choice);
        extend(problem, chosen, found);
        chosen.pop();
    }
}

fn holds(problem: &Problem, chosen: &[Option<Choice>]) -> bool {
    let mut left: Vec<i64> = (0..problem.resource_count())
        .map(|r| problem.capacity_of(assignment::Resource(r)))
        .collect();
    for choice in chosen.iter().flatten() {
        for &(resource, amount) in problem.uses_of(*choice) {
            left[resource.0] -= amount;
        }
    }
    let has = |choice: &Choice| chosen.contains(&Some(*choice));
    let taken: Vec<Choice> = chosen.iter().flatten().copied().collect();
    let one_state = |&a: &Choice| !taken.iter().any(|&b| problem.differ_in_state(a, b));
    left.iter().all(|&left| left >= 0)
        && !problem.conflicts().iter().any(|(a, b)| has(a) && has(b))
        && taken.iter().all(one_state)
}

fn check(problem: &Problem, solution: &Solution, best: Total) {
    verify(problem, solution).unwrap();
    assert!(solution.is_optimal());
    assert_eq!(solution.cost, best);
}

/// Least number of required items that no selection serves together, by trying all sets.
fn smallest_clash(problem: &Problem, all: &[(Total, Vec<Option<Choice>>)]) -> Option<usize> {
    let required: Vec<Item> = problem
        .items()
        .filter(|&item| problem.is_required(item))
        .collect();
    let served: Vec<u32> = all
        .iter()
        .map(|(_, chosen)| mask(required.iter().map(|item| chosen[item.0].is_some())))
        .collect();
    let clashes = (0u32..1 << required.len()).filter(|set| !served.iter().any(|served| served & set == *set));
    clashes.map(|set| set.count_ones() as usize).min()
}

fn mask(bits: impl Iterator<Item = bool>) -> u32 {
    bits.enumerate().map(|(place, bit)| u32::from(bit) << place).sum()
}

fn can_serve(all: &[(Total, Vec<Option<Choice>>)], items: &[Item], forced: Option<Choice>) -> bool {
    all.iter().any(|(_, chosen)| {
        items.iter().all(|item| chosen[item.0].is_some()) && forced.is_none_or(|c| chosen.contains(&Some(c)))
    })
}

fn optimum_and_ranking(problem: &Problem) {
    let all = all(problem);
    check(problem, &solve(problem, &Limits::default()), all[0].0);

    let ranking = next_best(problem, 12, &Limits::default());
    assert!(ranking.proved);
    assert_eq!(ranking.solutions.len(), all.len().min(12));
    for (place, solution) in ranking.solutions.iter().enumerate() {
        check(problem, solution, all[place].0);
        assert!(
            !ranking.solutions[..place]
                .iter()
                .any(|other| other.chosen == solution.chosen)
        );
    }
    assert_eq!(&ranking.solutions[0], &solve(problem, &Limits::default()));
}

fn price_of_every_choice(problem: &Problem) {
    let all = all(problem);
    let best = solve(problem, &Limits::default());
    for choice in (0..problem.choice_count()).map(Choice) {
        let forced = all.iter().find(|(_, chosen)| chosen.contains(&Some(choice)));
        match (regret(problem, &best, choice, &Limits::default()), forced) {
            (Regret::Costs { with, more }, Some((least, _))) => {
                check(problem, &with, *least);
                assert_eq!(more, *least - best.cost);
                assert!(more >= Total::default());
                assert_eq!(more.unassigned, 0);
            }
            (Regret::Displaces { with, more, because }, Some((least, _))) => {
                check(problem, &with, *least);
                assert!(more.unassigned > 0);
                check_reason(problem, &all, choice, &because);
            }
            (
                Regret::Impossible {
                    because:
                        Reason::TooMuch {
                            resource,
                            amount,
                            capacity,
                        },
                },
                None,
            ) => {
                assert!(problem.uses_of(choice).contains(&(resource, amount)));
                assert!(amount > capacity);
            }
            (other, _) => panic!("{other:?}"),
        }
    }
}

fn smallest_clash_of_demands(problem: &Problem) {
    let all = all(problem);
    match (
        smallest_conflict(problem, &Limits::default()),
        smallest_clash(problem, &all),
    ) {
        (Demands::Hold, None) => {}
        (Demands::Clash(conflict), Some(size)) => {
            assert_eq!(conflict.size, Size::Smallest);
            assert_eq!(conflict.items.len(), size);
            assert!(!can_serve(&all, &conflict.items, None));
        }
        (found, size) => panic!("{found:?} but enumeration says {size:?}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn wild_problems(seed in any::<u64>()) {
        optimum_and_ranking(&generate::wild(seed, 6));
        price_of_every_choice(&generate::wild(seed, 6));
        smallest_clash_of_demands(&generate::wild(seed, 7));
    }

    #[test]
    fn ports_that_share_jumpers(seed in any::<u64>()) {
        let problem = generate::moded(seed, 6, false);
        optimum_and_ranking(&problem);
        price_of_every_choice(&problem);
        smallest_clash_of_demands(&problem);
    }

    /// A mode says the same as a conflict for each pair of its choices.
    #[test]
    fn a_mode_is_all_its_pairs(seed in any::<u64>()) {
        let best = |paired: bool| solve(&generate::moded(seed, 12, paired), &Limits::default());
        let (modes, pairs) = (best(false), best(true));
        prop_assert!(modes.is_optimal() && pairs.is_optimal());
        prop_assert_eq!(modes.cost, pairs.cost);
    }
}

fn check_reason(problem: &Problem, all: &[(Total, Vec<Option<Choice>>)], choice: Choice, because: &Reason) {
    let conflict = |a: Choice, b: Choice| {
        problem.conflicts().contains(&(a.min(b), a.max(b))) || problem.differ_in_state(a, b)
    };
    match because {
        Reason::Full { resource, needed_by } => {
            assert!(!can_serve(all, needed_by, Some(choice)));
            assert!(can_serve(all, needed_by, None));
            let uses = |choice: &Choice| problem.uses_of(*choice).iter().any(|(r, _)| r == resource);
            assert!(uses(&choice));
        }
        Reason::Excludes { item, choices } => {
            assert!(!can_serve(all, &[*item], Some(choice)));
            assert!(
                choices
                    .iter()
                    .all(|&other| problem.item_of(other) == *item && conflict(choice, other))
            );
        }
        Reason::Together(found) => {
            assert_eq!(found.size, Size::Smallest);
            assert!(!can_serve(all, &found.items, Some(choice)));
            assert!(can_serve(all, &found.items, None));
            for left_out in 0..found.items.len() {
                let mut fewer = found.items.clone();
                fewer.remove(left_out);
                assert!(can_serve(all, &fewer, Some(choice)));
            }
        }
        other => panic!("{other:?}"),
    }
}
