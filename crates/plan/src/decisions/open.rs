//! What hangs on values that nobody stated: the same checks with other answers, and the one fact that would settle each finding.
//!
//! A check judges the worst corner of an interval, so that what holds for a usual interval holds within it. Beside that the checks run
//! with the other answers that the trade gives: the worst of all verdicts counts, and where they differ the finding is open. A pass that
//! people or fire depend on is never left to what is usual: it is open too.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use model::board::Board;
use model::{Answer, Assumed, Kept, Supposed, Swap};

use crate::decisions::assign::is_stopped;
use crate::decisions::clash;
use crate::facts::{Setup, Site, Way, WholeFacts};
use crate::rules::checks::{PAIR_CHECKS, WHOLE_CHECKS, run_pair, run_whole};
use crate::rules::judging::{Disposition, Finding, Judge, Open, Remedy, Stake, Verdict};

/// A swap with other answers, and the board in it.
pub(crate) struct Other {
    swap: Arc<Swap>,
    at: Option<usize>,
}

impl Other {
    pub fn of(kept: &Kept, swap: &Swap, board: &Board, supposed: &Supposed) -> Option<Self> {
        let other = kept.supposing(supposed)?;
        let same = other.machine.devices.len() == swap.machine.devices.len()
            && other.candidates.len() == swap.candidates.len();
        let at = swap.candidates.iter().position(|own| own.name == board.name);
        same.then_some(Self { swap: other, at })
    }
    /// The swap with the likeliest answer for what nobody stated; `None` where all is stated.
    pub fn likely(swap: &Swap, board: &Board) -> Option<Self> {
        let likely = Supposed {
            machine: Answer::Likely,
            boards: Answer::Likely,
            only: None,
        };
        Self::of(swap.origin.as_ref()?, swap, board, &likely)
    }
    pub fn swap(&self) -> &Swap {
        &self.swap
    }
    /// The board; one that is no candidate is as it was.
    pub fn board<'b>(&'b self, own: &'b Board) -> &'b Board {
        self.at.map_or(own, |at| &self.swap.candidates[at])
    }
    /// What the checks of these names say of an assignment; all of them where no names are given.
    fn findings(&self, own: &Board, ways: &[Option<Way>], checks: Option<&BTreeSet<&str>>) -> Vec<Finding> {
        let board = self.board(own);
        if board.ports.len() != own.ports.len() || board.rails.len() != own.rails.len() {
            return Vec::new();
        }
        let site = Site::of(&self.swap, board);
        // A port whose rail nobody stated has another one here, and so has the way that goes there.
        let ways: Vec<Option<Way>> = ways.iter().map(|way| Some(on_its_rail((*way)?, board))).collect();
        judged(
            &Setup::new(&site, &ways).explained_by(clash::REASONS).facts(),
            Judge::keeping(),
            checks,
        )
    }
}

/// A way on a rail that its port has.
fn on_its_rail(way: Way, board: &Board) -> Way {
    let rails = board.rails_of(board.port(way.port));
    match way.rail {
        Some(rail) if !rails.contains(&rail) => Way {
            rail: rails.first().copied().or(way.rail),
            ..way
        },
        _ => way,
    }
}

/// Runs the checks of these names over an assignment; all of them where no names are given.
pub(crate) fn judged(
    facts: &WholeFacts<'_>,
    mut judge: Judge,
    checks: Option<&BTreeSet<&str>>,
) -> Vec<Finding> {
    let wanted = |id: &str| checks.is_none_or(|checks| checks.contains(id));
    for check in PAIR_CHECKS.iter().filter(|check| wanted(check.id)) {
        for pair in facts.pairs() {
            run_pair(check, pair, &mut judge);
        }
    }
    for check in WHOLE_CHECKS.iter().filter(|check| wanted(check.id)) {
        run_whole(check, facts, &mut judge);
    }
    judge.into_findings()
}

/// What is assumed of the machine, the swap, the old board, and of this board among the candidates.
#[must_use]
pub fn assumed_for<'s>(swap: &'s Swap, board: &Board) -> Vec<&'s Assumed> {
    let others = swap.candidates.iter().filter(|other| other.name != board.name);
    let others: Vec<_> = others.map(|other| other.place.file).collect();
    let assumed = swap.assumed.iter();
    let mut found: Vec<&Assumed> = assumed.filter(|own| !others.contains(&own.place.file)).collect();
    // The old board is asked for last.
    let order = |own: &&Assumed| {
        let of_old = own.place.file == swap.old.place.file || own.owner.first() == Some(&swap.old.name.value);
        (own.place.file != board.place.file, of_old)
    };
    found.sort_by_key(order);
    found
}

/// The findings with what other answers say; `named` where the fact is looked for that would settle each.
pub(crate) fn held_against_others(
    swap: &Swap,
    board: &Board,
    ways: &[Option<Way>],
    mut findings: Vec<Finding>,
    named: bool,
) -> Vec<Finding> {
    let Some(kept) = &swap.origin else {
        return findings;
    };
    let assumed = assumed_for(swap, board);
    if assumed.is_empty() {
        return findings;
    }
    let ends = [Answer::Low, Answer::High];
    let supposed = ends.into_iter().flat_map(|machine| {
        ends.map(|boards| Supposed {
            machine,
            boards,
            only: None,
        })
    });
    let others: Vec<BTreeMap<String, Finding>> = supposed
        .filter_map(|supposed| Other::of(kept, swap, board, &supposed))
        .map(|other| by_id(other.findings(board, ways, None)))
        .filter(|found| !found.is_empty())
        .collect();
    for finding in &mut findings {
        weigh(finding, &others);
    }
    findings.extend(new_ones(&findings, &others));
    if named {
        name(kept, swap, (board, ways), &assumed, &mut findings);
    }
    findings
}

fn by_id(findings: Vec<Finding>) -> BTreeMap<String, Finding> {
    let named = findings.into_iter().map(|finding| (finding.id.clone(), finding));
    named.collect()
}

/// Whether two findings of one name say different things.
fn differ(one: &Finding, other: &Finding) -> bool {
    one.verdict != other.verdict
        || one.value != other.value
        || one.limit != other.limit
        || one.value.is_none() && one.headline != other.headline
}

fn weigh(finding: &mut Finding, others: &[BTreeMap<String, Finding>]) {
    let (mut worst, mut best) = (None::<&Finding>, finding.verdict);
    let mut hangs = false;
    for other in others {
        let Some(other) = other.get(&finding.id) else {
            hangs = true;
            best = Verdict::Pass;
            continue;
        };
        hangs |= differ(finding, other);
        best = best.min(other.verdict);
        if other.verdict > worst.map_or(finding.verdict, |worst| worst.verdict) {
            worst = Some(other);
        }
    }
    if !hangs {
        return;
    }
    if let Some(worst) = worst {
        *finding = worst.clone();
    }
    finding.assumed = true;
    let trusted = finding.stake == Stake::Safety
        && (finding.verdict == Verdict::Pass || finding.verdict == Verdict::Note && finding.limit.is_some());
    if trusted {
        finding.verdict = Verdict::Blocker;
    }
    if finding.verdict >= Verdict::Caution && (trusted || best < finding.verdict) {
        open(finding);
    }
}

fn open(finding: &mut Finding) {
    finding.open = Some(Open::default());
    finding.disposition = Disposition::ToDecide;
}

/// What only other answers give: the worst of each.
fn new_ones(findings: &[Finding], others: &[BTreeMap<String, Finding>]) -> Vec<Finding> {
    let known: BTreeSet<&str> = findings.iter().map(|finding| finding.id.as_str()).collect();
    let mut new: BTreeMap<&str, &Finding> = BTreeMap::new();
    for finding in others.iter().flat_map(BTreeMap::values) {
        if finding.verdict < Verdict::Caution || known.contains(finding.id.as_str()) {
            continue;
        }
        let own = new.entry(&finding.id).or_insert(finding);
        if finding.verdict > own.verdict {
            *own = finding;
        }
    }
    let opened = new.into_values().map(|finding| {
        let mut finding = finding.clone();
        finding.assumed = true;
        open(&mut finding);
        finding
    });
    opened.collect()
}

/// What a kind of fact does to one finding.
#[derive(Clone, Copy, Default, PartialEq, PartialOrd)]
struct Effect {
    /// Whether the verdict changes with it.
    turns: bool,
    /// By how much its value or limit moves, as a share.
    moves: f64,
}

/// What a kind of fact, by its table and key, does to one finding.
type OfKind<'k> = ((&'k str, &'k str), Effect);

/// Looks for the fact behind each open finding: each kind of fact alone takes its other answers.
fn name(
    kept: &Kept,
    swap: &Swap,
    (board, ways): (&Board, &[Option<Way>]),
    assumed: &[&Assumed],
    findings: &mut [Finding],
) {
    let open = findings.iter().filter(|finding| finding.open.is_some());
    let checks: Vec<String> = open.map(|finding| finding.check.to_owned()).collect();
    let checks: BTreeSet<&str> = checks.iter().map(String::as_str).collect();
    if checks.is_empty() {
        return;
    }
    let base = Other::of(kept, swap, board, &Supposed::default());
    let base = base.map_or_else(BTreeMap::new, |base| {
        by_id(base.findings(board, ways, Some(&checks)))
    });
    let kinds: BTreeSet<(&str, &str)> = assumed.iter().map(|own| (own.of, own.key)).collect();
    let mut effects: BTreeMap<String, Vec<OfKind<'_>>> = BTreeMap::new();
    for kind in kinds {
        // Whoever stopped the search waits: the fact is then one of what the finding is about.
        if is_stopped() {
            break;
        }
        for end in [Answer::Low, Answer::High] {
            let supposed = Supposed {
                machine: end,
                boards: end,
                only: Some(kind),
            };
            let Some(other) = Other::of(kept, swap, board, &supposed) else {
                continue;
            };
            let other = by_id(other.findings(board, ways, Some(&checks)));
            for finding in findings.iter().filter(|finding| finding.open.is_some()) {
                let effect = effect(base.get(&finding.id), other.get(&finding.id));
                if effect > Effect::default() {
                    let known = effects.entry(finding.id.clone()).or_default();
                    known.push((kind, effect));
                }
            }
        }
    }
    for finding in findings.iter_mut().filter(|finding| finding.open.is_some()) {
        let mut kinds = effects.remove(&finding.id).unwrap_or_default();
        // What turns the verdict goes first; of that, what belongs to the thing itself; then what moves its number most.
        let own = |kind: (&str, &str)| {
            let mut of_kind = assumed.iter().filter(|own| (own.of, own.key) == kind);
            of_kind.any(|own| concerns(finding, own))
        };
        kinds.sort_by(|(one_kind, one), (other_kind, other)| {
            let of = |kind, effect: &Effect| (effect.turns, own(kind));
            let order = of(*other_kind, other).cmp(&of(*one_kind, one));
            order.then(other.moves.total_cmp(&one.moves))
        });
        let kinds = kinds.into_iter().map(|(kind, _)| kind);
        let fact = kinds
            .flat_map(|kind| about(finding, assumed, kind))
            .next()
            .or_else(|| assumed.iter().find(|own| concerns(finding, own)).copied())
            .or_else(|| assumed.first().copied());
        if let Some(fact) = fact {
            settle(finding, fact);
        }
    }
}

/// The facts of a kind that a finding may hang on: those of what it is about, else all of them.
fn about<'a>(finding: &Finding, assumed: &[&'a Assumed], kind: (&str, &str)) -> Option<&'a Assumed> {
    let of_kind = || assumed.iter().filter(|own| (own.of, own.key) == kind);
    let own = of_kind().find(|own| concerns(finding, own));
    own.or_else(|| of_kind().next()).copied()
}

/// Whether a finding is about the owner of a fact.
fn concerns(finding: &Finding, fact: &Assumed) -> bool {
    let subject = &finding.subject;
    let names = [&subject.device, &subject.port, &subject.other];
    let mut names = names.into_iter().flatten();
    names.any(|name| fact.owner.iter().any(|owner| owner == name))
}

pub(crate) fn settle(finding: &mut Finding, fact: &Assumed) {
    let what = fact.words();
    let taken = fact.taken.replace('"', "");
    let state = format!("find out {what} and state it; {taken} is assumed");
    finding.remedy = Some(match finding.remedy.take() {
        Some(remedy) => Remedy::later(move || format!("{state}. Else {remedy}")),
        None => state.into(),
    });
    finding.open = Some(Open {
        fact: Some(what),
        ask: Some(fact.id()),
        place: Some(fact.place),
    });
}

fn effect(one: Option<&Finding>, other: Option<&Finding>) -> Effect {
    let (Some(one), Some(other)) = (one, other) else {
        return Effect {
            turns: one.is_some() != other.is_some(),
            moves: 0.0,
        };
    };
    let numbers = |finding: &Finding| {
        let value = finding.value.map(|value| [value.low, value.high]);
        let bound = finding.limit.map(|limit| [limit.bound.low, limit.bound.high]);
        [value, bound]
            .into_iter()
            .flatten()
            .flatten()
            .collect::<Vec<f64>>()
    };
    let (one_numbers, other_numbers) = (numbers(one), numbers(other));
    let pairs = one_numbers.iter().zip(&other_numbers);
    let moved = pairs.map(|(one, other)| ((one - other) / one.abs().max(other.abs()).max(1e-30)).abs());
    let words = one.value.is_none() && one.headline != other.headline;
    Effect {
        turns: one.verdict != other.verdict,
        moves: moved.fold(if words { 1.0 } else { 0.0 }, f64::max),
    }
}
