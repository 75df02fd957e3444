//! The next best question: of the facts that nobody stated, that one which settles most for each minute of finding it out.
//!
//! What a question is worth is tried, not guessed: for the most promising ones each plausible answer is put in, every board is planned anew,
//! and what is open before and after is counted (the value of information, with equal chances for the answers). The others keep
//! their order by what hangs on them.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicUsize, Ordering};

use catalogue::Question;
use model::{Answer, Assumed, Supposed, Swap};

use crate::decisions::assign::is_stopped;
use crate::decisions::comparison::{Entry, entry, rank};
use crate::decisions::plan::{Plan, plan_briefly};
use crate::rules::judging::{Finding, Stake, Verdict};

/// So many questions are tried: those on which most hangs.
const TRIED: usize = 6;
/// So many answers of each.
const ANSWERS: usize = 3;
/// What another board in the first place is worth, beside the weights of findings.
const FIRST: f64 = 100.0;
/// What another order behind the first place is worth.
const ORDER: f64 = 20.0;
/// The share of what hangs on a fact that counts beside what its answers changed: two facts together may settle what neither does alone.
const HANGING: f64 = 0.05;
/// Minutes for switching off, unplugging and waiting until capacitors are empty, in the work of touching a machine (common practice, no source).
const UNPLUGGING: u32 = 2;

/// A fact that nobody stated, with how it is found out and what that settles.
#[derive(Clone, Debug)]
pub struct Ask<'a> {
    /// The fact.
    pub fact: &'a Assumed,
    /// How it is found out.
    pub question: &'static Question,
    /// The open findings that it settles, those first where most is at stake; of several boards those of each.
    pub settles: Vec<&'a Finding>,
    /// What that is worth for each minute.
    pub worth: f64,
    /// Its plausible answers and what each leaves of these findings; none where it was not tried.
    pub answers: Vec<Meaning>,
}

/// What an answer would mean.
#[derive(Clone, Debug, PartialEq)]
pub struct Meaning {
    /// The answer, as TOML writes it.
    pub answer: String,
    /// Of the findings that it settles: these hold then.
    pub hold: usize,
    /// These are blockers or have to be decided, for certain.
    pub fail: usize,
    /// These stay open for another fact.
    pub open: usize,
    /// By how much less is open then, weighed; with what a change of the ranking is worth.
    gain: f64,
}

/// What settling a finding is worth: blockers before all, people and fire before parts, parts before function.
fn weight(finding: &Finding) -> f64 {
    match (finding.verdict, finding.stake) {
        (Verdict::Blocker, Stake::Safety) => 100.0,
        (Verdict::Blocker, Stake::Hardware) => 70.0,
        (Verdict::Blocker, Stake::Function) => 50.0,
        (_, Stake::Safety) => 5.0,
        (_, Stake::Hardware) => 2.0,
        (_, Stake::Function) => 0.5,
    }
}

/// The minutes that a question takes, with what its hazard asks for.
fn cost(question: &Question) -> f64 {
    let hazard = if question.state == "unplugged" {
        UNPLUGGING
    } else {
        0
    };
    f64::from((question.minutes + hazard).max(1))
}

/// The facts behind what is open on some planned boards, by what hangs on each for each minute; the order of the files settles what is equal.
#[must_use]
pub fn ask<'a>(swap: &'a Swap, plans: &'a [Plan<'_>]) -> Vec<Ask<'a>> {
    let mut settled: BTreeMap<&str, Vec<&Finding>> = BTreeMap::new();
    for finding in plans.iter().flat_map(|plan| &plan.findings) {
        if let Some(ask) = finding.open.as_ref().and_then(|open| open.ask.as_deref()) {
            settled.entry(ask).or_default().push(finding);
        }
    }
    let mut out: Vec<Ask<'a>> = Vec::new();
    for fact in &swap.assumed {
        let Some(question) = catalogue::question(fact.of, fact.key) else {
            continue;
        };
        // A fact that stands twice, in a row with several names, is asked for once.
        let Some(mut settles) = settled.remove(fact.id().as_str()) else {
            continue;
        };
        settles.sort_by(|one, other| other.stake.cmp(&one.stake).then(other.verdict.cmp(&one.verdict)));
        let hanging: f64 = settles.iter().map(|finding| weight(finding)).sum();
        out.push(Ask {
            fact,
            question,
            settles,
            worth: HANGING * hanging / cost(question),
            answers: Vec::new(),
        });
    }
    best_first(&mut out);
    out
}

fn best_first(asks: &mut [Ask<'_>]) {
    asks.sort_by(|one, other| other.worth.total_cmp(&one.worth));
}

/// The same with the most promising questions tried: each plausible answer through a plan of every board. Uses all cores.
#[must_use]
pub fn ask_by_trying<'a>(swap: &'a Swap, plans: &'a [Plan<'_>]) -> Vec<Ask<'a>> {
    let mut asks = ask(swap, plans);
    let count = TRIED.min(asks.len());
    if count > 0 {
        let before = State::of(plans);
        let jobs: Vec<(usize, String)> = asks[..count]
            .iter()
            .enumerate()
            .flat_map(|(at, ask)| {
                let mut answers = ask.fact.answers();
                answers.truncate(ANSWERS);
                answers.into_iter().map(move |answer| (at, answer))
            })
            .collect();
        let meanings = tried(swap, plans, &before, &asks, &jobs);
        for (at, meaning) in meanings {
            asks[at].answers.push(meaning);
        }
        for ask in &mut asks[..count] {
            let gains = ask.answers.iter().map(|meaning| meaning.gain);
            #[expect(clippy::cast_precision_loss, reason = "a handful")]
            let mean = gains.sum::<f64>() / ask.answers.len().max(1) as f64;
            ask.worth += mean.max(0.0) / cost(ask.question);
        }
        best_first(&mut asks);
    }
    asks
}

/// Whether nothing that could still be found out changes the choice: no blocker is open on any board, and the board in the first place stays
/// there with all other answers. What is left then decides wiring, protection and settings.
#[must_use]
pub fn is_decided(swap: &Swap, plans: &[Plan<'_>]) -> bool {
    let findings = plans.iter().flat_map(|plan| &plan.findings);
    let mut open = findings.filter(|finding| finding.open.is_some());
    if open.any(|finding| finding.verdict == Verdict::Blocker) {
        return false;
    }
    let Some(kept) = &swap.origin else {
        return true;
    };
    let first = |plans: &[Plan<'_>]| State::of(plans).order.into_iter().next();
    let own = first(plans);
    let ends = [Answer::Low, Answer::Likely, Answer::High];
    ends.into_iter().all(|machine| {
        ends.into_iter().all(|boards| {
            let supposed = Supposed {
                machine,
                boards,
                only: None,
            };
            kept.supposing(&supposed).is_none_or(|other| {
                let told: Vec<Plan<'_>> = other
                    .candidates
                    .iter()
                    .map(|board| plan_briefly(&other, board))
                    .collect();
                told.len() != plans.len() || first(&told) == own
            })
        })
    })
}

/// What each answer means, in the order of the jobs; an answer that contradicts the files is left out.
fn tried(
    swap: &Swap,
    plans: &[Plan<'_>],
    before: &State,
    asks: &[Ask<'_>],
    jobs: &[(usize, String)],
) -> Vec<(usize, Meaning)> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let next = AtomicUsize::new(0);
    let work = || {
        let mut out = Vec::new();
        while let Some((at, answer)) = jobs.get(next.fetch_add(1, Ordering::Relaxed)) {
            if is_stopped() {
                break;
            }
            if let Some(meaning) = meaning(swap, plans, before, &asks[*at], answer) {
                out.push((*at, meaning));
            }
        }
        out
    };
    let mut all: Vec<(usize, Meaning)> = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..cores.min(jobs.len())).map(|_| scope.spawn(work)).collect();
        threads
            .into_iter()
            // A panic in a plan is a mistake of ours: let it go on as it came.
            .flat_map(|thread| {
                thread
                    .join()
                    .unwrap_or_else(|panic| std::panic::resume_unwind(panic))
            })
            .collect()
    });
    let order = |own: &(usize, Meaning)| {
        jobs.iter()
            .position(|(at, answer)| *at == own.0 && *answer == own.1.answer)
    };
    all.sort_by_key(order);
    all
}

/// The ranking, and the weight of what is open.
struct State {
    order: Vec<String>,
    open: f64,
}

impl State {
    fn of(plans: &[Plan<'_>]) -> Self {
        let entries: Vec<Entry> = plans
            .iter()
            .enumerate()
            .map(|(at, plan)| entry(plan, at))
            .collect();
        let findings = plans.iter().flat_map(|plan| &plan.findings);
        Self {
            order: rank(&entries)
                .entries
                .into_iter()
                .map(|entry| entry.board)
                .collect(),
            open: findings
                .filter(|finding| finding.open.is_some())
                .map(weight)
                .sum(),
        }
    }
}

fn meaning(swap: &Swap, plans: &[Plan<'_>], before: &State, ask: &Ask<'_>, answer: &str) -> Option<Meaning> {
    let other = swap.origin.as_ref()?.telling(ask.fact, answer)?;
    let boards = plans.iter().filter_map(|plan| {
        let board = other
            .candidates
            .iter()
            .find(|board| board.name == plan.board.name)?;
        Some(plan_briefly(&other, board))
    });
    let told: Vec<Plan<'_>> = boards.collect();
    if told.len() != plans.len() {
        return None;
    }
    let settles: BTreeSet<&str> = ask.settles.iter().map(|finding| finding.id.as_str()).collect();
    let mut out = Meaning {
        answer: answer.to_owned(),
        hold: 0,
        fail: 0,
        open: 0,
        gain: 0.0,
    };
    for (own, told) in plans.iter().zip(&told) {
        let hanging = own
            .findings
            .iter()
            .filter(|finding| finding.open.is_some() && settles.contains(finding.id.as_str()));
        for finding in hanging {
            match told.findings.iter().find(|other| other.id == finding.id) {
                Some(other) if other.open.is_some() => out.open += 1,
                Some(other) if other.verdict >= Verdict::Caution => out.fail += 1,
                _ => out.hold += 1,
            }
        }
    }
    let after = State::of(&told);
    out.gain = before.open - after.open;
    if before.order.first() != after.order.first() {
        out.gain += FIRST;
    } else if before.order != after.order {
        out.gain += ORDER;
    }
    Some(out)
}
