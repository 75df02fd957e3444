//! Boards side by side: the order, the Pareto front, and plans without words.

use crate::support::Case;
use plan::{ByHarm, Entry, Verdict, check_named, entry, plan, plan_briefly, rank};
use quantity::Price;

#[test]
fn a_plan_without_words_gives_the_same_figures() {
    let swap = Case::new().port("HEAT1", "current = '1 A'").load().swap;
    let board = &swap.candidates[0];
    let (full, brief) = (
        entry(&plan(&swap, board), 0),
        entry(&plan_briefly(&swap, board), 0),
    );
    assert!(full.cautions > 0, "the case must have something to count");
    let figures = |entry: &Entry| {
        (
            entry.blockers,
            entry.cautions,
            entry.wishes,
            entry.price,
            entry.settings,
            entry.minutes,
            entry.least_margin(),
        )
    };
    assert_eq!(figures(&full), figures(&brief));
}

/// What a made-up entry has: blockers, cautions, points of wishes, price.
type Figures = (ByHarm, ByHarm, i64, i64);

fn harm(safety: i64, hardware: i64, function: i64) -> ByHarm {
    ByHarm {
        safety,
        hardware,
        function,
    }
}

/// Made-up entries around one that is planned.
fn entries(figures: &[Figures]) -> Vec<Entry> {
    let swap = Case::new().load().swap;
    let base = entry(&plan(&swap, &swap.candidates[0]), 0);
    let made = figures
        .iter()
        .enumerate()
        .map(|(at, (blocked, decide, wishes, price))| Entry {
            board: format!("board {at}"),
            candidate: at,
            blockers: usize::try_from(blocked.sum()).unwrap(),
            blocked: *blocked,
            blocked_by: Vec::new(),
            cautions: usize::try_from(decide.sum()).unwrap(),
            decide: *decide,
            wishes: (*wishes, 100),
            price: Some(Price::new(price * 100, *b"EUR")),
            ..base.clone()
        });
    made.collect()
}

/// Each respect outweighs all that follow it: of every two neighbours the second is worse in the respect named, and better in all others.
#[test]
fn harm_then_wishes_then_decisions_then_price_decide() {
    let none = ByHarm::NONE;
    let worse_and_worse: [(&str, Figures); 7] = [
        ("the best", (none, harm(1, 9, 9), 90, 70)),
        ("more to decide that can hurt", (none, harm(2, 0, 0), 90, 10)),
        ("fewer wishes", (none, none, 80, 5)),
        ("a blocker for function", (harm(0, 0, 1), none, 100, 1)),
        ("a blocker for parts", (harm(0, 1, 0), none, 100, 1)),
        ("two blockers for parts", (harm(0, 2, 0), none, 100, 1)),
        ("a blocker for people and fire", (harm(1, 0, 0), none, 100, 1)),
    ];
    let mut figures: Vec<Figures> = worse_and_worse.iter().map(|(_, figures)| *figures).collect();
    figures.reverse();
    let ranked = rank(&entries(&figures));
    let order: Vec<usize> = ranked.entries.iter().map(|entry| entry.candidate).collect();
    assert_eq!(order, [6, 5, 4, 3, 2, 1, 0]);
    assert!(ranked.best().is_some_and(|best| best.candidate == 6));
    assert!(
        ranked.entries[1]
            .because
            .contains("1 more to decide for people and fire"),
        "{}",
        ranked.entries[1].because
    );
    assert!(
        ranked.entries[6].because.contains("1 for people and fire"),
        "{}",
        ranked.entries[6].because
    );
}

#[test]
fn nothing_is_best_where_everything_is_blocked() {
    let ranked = rank(&entries(&[
        (harm(0, 0, 1), ByHarm::NONE, 50, 10),
        (harm(0, 1, 0), ByHarm::NONE, 100, 5),
    ]));
    assert!(ranked.best().is_none());
}

#[test]
fn the_front_holds_what_nothing_beats_in_every_respect() {
    let ranked = rank(&entries(&[
        (harm(0, 0, 0), harm(0, 0, 1), 90, 80),
        (harm(0, 0, 0), harm(0, 0, 1), 90, 70),
        (harm(0, 0, 0), harm(0, 0, 2), 95, 75),
        (harm(0, 0, 1), harm(0, 0, 0), 100, 10),
    ]));
    let front: Vec<usize> = ranked
        .entries
        .iter()
        .filter(|entry| entry.pareto)
        .map(|entry| entry.candidate)
        .collect();
    assert_eq!(front, [2, 1, 3]);
}

/// No other board changes how far a heater reaches: such a limit does not tell boards apart.
#[test]
fn the_tightest_limits_leave_out_those_of_the_machine() {
    let swap = Case::new().load().swap;
    let plan = plan(&swap, &swap.candidates[0]);
    let of_machine =
        |id: &str| check_named(id.split(':').next().unwrap()).is_some_and(|check| check.of_machine);
    assert!(
        plan.findings
            .iter()
            .any(|finding| of_machine(&finding.id) && finding.margin.is_some())
    );
    let entry = entry(&plan, 0);
    assert!(entry.tightest.iter().all(|tight| !of_machine(&tight.finding)));
    let mut titles: Vec<&str> = entry.tightest.iter().map(|tight| tight.title).collect();
    titles.dedup();
    assert_eq!(titles.len(), entry.tightest.len(), "one for a check");
}

/// What can hurt stands before what can break, and that before what only does not work.
#[test]
fn what_can_hurt_is_settled_first() {
    let swap = Case::new().port("HEAT1", "current = '1 A'").load().swap;
    let plan = plan(&swap, &swap.candidates[0]);
    let points = plan.open_points();
    let ranks_of = |point: &plan::Finding| (point.verdict, point.stake);
    let ranks: Vec<_> = points.iter().map(|point| ranks_of(point)).collect();
    assert!(ranks.is_sorted_by(|a, b| a >= b), "{ranks:?}");
    for pair in points.windows(2) {
        let beyond = |at: usize| pair[at].margin.unwrap_or(0.0).min(0.0);
        let same = ranks_of(pair[0]) == ranks_of(pair[1]);
        assert!(
            !same || beyond(0) <= beyond(1),
            "{} before {}",
            pair[0].id,
            pair[1].id
        );
    }
    let stakes: std::collections::BTreeSet<_> = ranks.iter().map(|rank| rank.1).collect();
    assert!(
        stakes.len() > 1,
        "the case must have more than one stake: {ranks:?}"
    );
    assert_eq!(
        points.len(),
        plan.count(Verdict::Blocker) + plan.count(Verdict::Caution)
    );
}

/// What breaks its limit is counted already: the tightest of the rest tells how close a board is to the next trouble.
#[test]
fn the_least_margin_is_that_of_a_limit_that_holds() {
    let swap = Case::new().load().swap;
    let plan = plan(&swap, &swap.candidates[0]);
    let entry = entry(&plan, 0);
    for tight in &entry.tightest {
        let finding = plan.finding(&tight.finding).unwrap();
        assert_eq!(finding.margin, Some(tight.margin));
        assert!(tight.margin >= 0.0, "{}", tight.margin);
    }
    let margins: Vec<f64> = entry.tightest.iter().map(|tight| tight.margin).collect();
    assert!(margins.is_sorted(), "{margins:?}");
    assert_eq!(margins.len(), 3);
    let broken = plan.findings.iter().filter_map(|finding| finding.margin);
    assert!(
        broken.into_iter().any(|margin| margin < 0.0),
        "the case must break a limit"
    );
}

/// The next best wirings put something elsewhere, are all different, and come in the order of what they cost more.
#[test]
fn each_alternative_is_another_wiring() {
    let swap = crate::support::example("demo");
    let plan = plan(&swap, &swap.candidates[0]);
    let found = plan.alternatives(4);
    assert_eq!(found.len(), 4);
    for (at, one) in found.iter().enumerate() {
        assert!(!one.moved.is_empty() && one.ways != plan.ways);
        assert!(
            found[..at]
                .iter()
                .all(|earlier| earlier.ways != one.ways && earlier.more <= one.more)
        );
    }
}
