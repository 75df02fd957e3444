//! The plan of one board: the best assignment with its proof, the findings, the leads.

use assignment::{Closed, Limits, Proof, Solution, TIERS, Total};
use model::Swap;
use model::board::Board;
use model::machine::DeviceId;
use serde::Serialize;

use crate::decisions::accepted;
use crate::decisions::assign::{Programme, is_stopped, limits, programme, solve, unassigned, unpluggable};
use crate::decisions::clash;
use crate::decisions::open::{Other, held_against_others, judged};
use crate::decisions::untaken::untaken;
use crate::facts::harness::Part;
use crate::facts::protection::Protections;
use crate::facts::shopping::{Effort, Outlay, minutes, minutes_of, part_price};
use crate::facts::{Setup, Site, Way, WholeFacts};
use crate::rules::checks::{ACCEPTED, OLD_SETTINGS, check_named};
use crate::rules::judging::{ByHarm, Disposition, Finding, Handling, Judge, Verdict};

/// A board planned: how each device is connected, why nothing is better, and what the checks say.
#[derive(Clone, Debug)]
pub struct Plan<'a> {
    /// The swap.
    pub swap: &'a Swap,
    /// The board.
    pub board: &'a Board,
    /// How each device is connected, in the order of the devices.
    pub ways: Vec<Option<Way>>,
    /// Whether each wish is served, in the order of the wishes.
    pub served: Vec<bool>,
    /// What the assignment costs, and why nothing costs less.
    pub optimum: Optimum,
    /// The findings, in the order of the checks.
    pub findings: Vec<Finding>,
    /// The board at its machine.
    pub site: Site<'a>,
    /// How many settings the reader has to change; known once the settings were looked at.
    pub settings_to_change: Option<usize>,
    programme: Programme,
    solution: Solution,
    protections: Protections,
}

/// The objective of an assignment, in its lexicographic order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Objective {
    /// Needed devices without a port, by harm.
    pub unassigned: ByHarm,
    /// Value of the wishes that are not served.
    pub wishes_lost: i64,
    /// What the pairs leave to decide, by harm: cautions that the plan does not deal with.
    pub decide: ByHarm,
    /// Settings that change because of where devices go.
    pub settings: i64,
    /// Minutes of work on cables.
    pub minutes: i64,
    /// Price of the parts that the pairs need, in hundredths.
    pub price: i64,
    /// Millimetres of lead inside the case.
    pub millimetres: i64,
    /// How far devices and ports of one kind are from following each other in the order of the files; settles what is equal else.
    pub disorder: i64,
}

impl Objective {
    pub(crate) fn of_difference(total: Total) -> Self {
        Self::of(total)
    }
    fn of(total: Total) -> Self {
        const { assert!(TIERS >= 9) }
        let [
            wishes_lost,
            safety,
            hardware,
            function,
            settings,
            minutes,
            price,
            millimetres,
            disorder,
            ..,
        ] = total.tiers;
        Self {
            unassigned: unassigned(total.unassigned),
            wishes_lost,
            decide: ByHarm {
                safety,
                hardware,
                function,
            },
            settings,
            minutes,
            price,
            millimetres,
            disorder,
        }
    }
    /// The parts that differ from nothing, in words: "2 cautions, 4 min more".
    #[must_use]
    pub fn words(&self) -> String {
        let parts = [
            (
                self.unassigned.sum(),
                "needed device without port",
                "needed devices without port",
            ),
            (self.wishes_lost, "point of wishes", "points of wishes"),
            (self.decide.sum(), "action required", "actions required"),
            (self.settings, "changed setting", "changed settings"),
            (self.minutes, "minute of work", "minutes of work"),
            (self.millimetres, "mm of lead", "mm of lead"),
            (self.disorder, "step out of order", "steps out of order"),
        ];
        let mut words: Vec<String> = parts
            .into_iter()
            .filter(|(number, _, _)| *number != 0)
            .map(|(number, one, many)| format!("{number} {}", if number == 1 { one } else { many }))
            .collect();
        if self.price != 0 {
            let (sign, hundredths) = (if self.price < 0 { "-" } else { "" }, self.price.abs());
            words.push(format!(
                "{sign}{}.{:02} of price for parts",
                hundredths / 100,
                hundredths % 100
            ));
        }
        if words.is_empty() {
            "nothing".to_owned()
        } else {
            words.join(", ")
        }
    }
    /// A difference to another assignment as what it would cost and what it would save: "would cost 2 actions required more and save 11 mm of lead".
    #[must_use]
    pub fn difference(&self) -> String {
        let harms = |keep: fn(i64) -> i64, count: ByHarm| ByHarm {
            safety: keep(count.safety),
            hardware: keep(count.hardware),
            function: keep(count.function),
        };
        let part = |keep: fn(i64) -> i64| Self {
            unassigned: harms(keep, self.unassigned),
            wishes_lost: keep(self.wishes_lost),
            decide: harms(keep, self.decide),
            price: keep(self.price),
            settings: keep(self.settings),
            minutes: keep(self.minutes),
            millimetres: keep(self.millimetres),
            disorder: keep(self.disorder),
        };
        let (more, less) = (part(|number| number.max(0)), part(|number| (-number).max(0)));
        match (more == Self::default(), less == Self::default()) {
            (true, true) => "would cost the same".to_owned(),
            (false, true) => format!("would cost {} more", more.words()),
            (true, false) => format!("would save {}", less.words()),
            (false, false) => format!("would cost {} more and save {}", more.words(), less.words()),
        }
    }
}

/// The objective with its proof.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Optimum {
    /// What the assignment costs.
    pub objective: Objective,
    /// Whether it is proved that nothing costs less.
    pub proved: bool,
    /// How it was proved, in a sentence.
    pub proof: String,
}

/// One of the next-best assignments.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alternative {
    /// How each device is connected.
    pub ways: Vec<Option<Way>>,
    /// What it costs more than the best, part by part; a part may be negative behind a positive one.
    pub more: Objective,
    /// The devices that are elsewhere than in the best.
    pub moved: Vec<DeviceId>,
}

/// Plans one board.
#[must_use]
pub fn plan<'a>(swap: &'a Swap, board: &'a Board) -> Plan<'a> {
    planned(swap, board, Judge::keeping())
}

/// Plans one board without words: its findings hold verdict, margin and parts only. For comparisons of very many boards,
/// where it takes less than half the time; [`crate::entry`] gives the same figures for it.
#[must_use]
pub fn plan_briefly<'a>(swap: &'a Swap, board: &'a Board) -> Plan<'a> {
    planned(swap, board, Judge::brief())
}

/// The best assignment. Where it shows limit switches that nothing needs any more, it is sought once more without them.
fn solved(site: &Site<'_>) -> (Programme, Solution) {
    let solved = |unplugged: &[DeviceId]| {
        let programme = programme(site, unplugged);
        let solution = solve(&programme.problem);
        (programme, solution)
    };
    let first = solved(&[]);
    let unplugged = unpluggable(site, &first.0.ways(&first.1));
    if unplugged.is_empty() || is_stopped() {
        return first;
    }
    solved(&unplugged)
}

fn planned<'a>(swap: &'a Swap, board: &'a Board, judge: Judge) -> Plan<'a> {
    let site = Site::of(swap, board);
    // What goes where is decided by what is likely: an end of an interval that nobody stated refuses no port.
    let (programme, solution) = match Other::likely(swap, board) {
        Some(likely) => solved(&Site::of(likely.swap(), likely.board(board))),
        None => solved(&site),
    };
    let ways = programme.ways(&solution);
    let protections = Protections::of(ways.len());
    let named = judge.is_whole();
    // Findings are told apart by their names where other answers are tried.
    let judge = if swap.origin.is_some() {
        Judge::keeping()
    } else {
        judge
    };
    let findings = judged(
        &Setup::new(&site, &ways)
            .explained_by(clash::REASONS)
            .keeping(&protections)
            .facts(),
        judge,
        None,
    );
    let findings = weighed(swap, board, &ways, findings, named);
    Plan {
        swap,
        board,
        served: programme.fulfilled(&solution),
        optimum: optimum(&solution),
        findings,
        ways,
        site,
        settings_to_change: None,
        programme,
        solution,
        protections,
    }
}

/// The findings with what hangs on facts that nobody stated, ways that were not taken for want of one among them.
fn weighed(
    swap: &Swap,
    board: &Board,
    ways: &[Option<Way>],
    findings: Vec<Finding>,
    named: bool,
) -> Vec<Finding> {
    let mut findings = held_against_others(swap, board, ways, findings, named);
    findings.extend(untaken(swap, board, ways));
    findings
}

/// Runs every check over an assignment.
#[must_use]
pub fn findings(facts: &WholeFacts<'_>) -> Vec<Finding> {
    judged(facts, Judge::keeping(), None)
}

fn settled(mut finding: Finding, there: impl Fn(&Handling) -> bool) -> Finding {
    // What hangs on a fact that nobody knows is dealt with by nothing but that fact.
    let open = matches!(finding.verdict, Verdict::Note | Verdict::Caution)
        && finding.open.is_none()
        && finding.disposition == Disposition::ToDecide;
    if !open {
        return finding;
    }
    let named = !finding.handled_by.is_empty();
    // A report that contradicts itself, or a fact that is not stated, is no limit of the machine: a person has to settle it.
    let of_machine = || {
        let by_person = finding.asks || finding.check == OLD_SETTINGS;
        !by_person && check_named(finding.check).is_some_and(|check| check.of_machine)
    };
    if named && finding.handled_by.iter().all(there) {
        finding.disposition = Disposition::Handled;
    } else if of_machine() {
        finding.disposition = Disposition::AsTheMachineIs;
    }
    finding
}

/// A gap up to the first part that is not 0: what stands behind it says nothing.
fn first_of(mut gap: Total) -> Total {
    let mut behind = gap.unassigned != 0;
    for tier in &mut gap.tiers {
        if behind {
            *tier = 0;
        }
        behind |= *tier != 0;
    }
    gap
}

fn optimum(solution: &Solution) -> Optimum {
    let objective = Objective::of(solution.cost);
    match solution.proof {
        Proof::Optimal { nodes, closed, .. } => Optimum {
            objective,
            proved: true,
            proof: match closed {
                Closed::AtRoot => "proved best: a lower bound on every assignment meets its cost".to_owned(),
                Closed::BySearch => {
                    format!("proved best: all other branches were bounded or searched ({nodes} nodes)")
                }
            },
        },
        Proof::Stopped { gap, nodes, .. } => Optimum {
            objective,
            proved: false,
            proof: format!(
                "not proved best: the search was stopped, up to {} might be saved ({nodes} nodes)",
                Objective::of(first_of(gap)).words()
            ),
        },
    }
}

impl<'a> Plan<'a> {
    /// A plan that was made without words, with them: the assignment stays, the checks run once more.
    #[must_use]
    pub fn worded(mut self) -> Self {
        let findings = findings(&self.facts());
        self.findings = weighed(self.swap, self.board, &self.ways, findings, true);
        self
    }
    /// With findings of checks that belong to other crates ([`crate::LATER_CHECKS`]), behind its own: no draw runs them.
    #[must_use]
    pub fn also(mut self, findings: Vec<Finding>) -> Self {
        self.findings.extend(findings);
        for finding in &mut self.findings {
            if finding.verdict >= Verdict::Caution && finding.disposition == Disposition::NothingToDo {
                finding.disposition = Disposition::ToDecide;
            }
        }
        self
    }
    /// With what is left to do about each finding, once somebody looked whether each place of the plan that it names is there.
    ///
    /// A blocker stays to be decided whatever it names: it must not be built.
    #[must_use]
    pub fn settled(mut self, there: impl Fn(&Handling) -> bool) -> Self {
        let findings = std::mem::take(&mut self.findings);
        self.findings = findings
            .into_iter()
            .map(|finding| settled(finding, &there))
            .filter(|finding| finding.check != ACCEPTED)
            .collect();
        let mut candidates = self.swap.candidates.iter();
        let own = candidates.position(|board| board.name.value == self.board.name.value);
        accepted::apply(self.swap, own, &mut self.findings);
        self
    }
    /// The findings of which something is left to decide: blockers, then cautions; of each those first that can hurt somebody.
    #[must_use]
    pub fn to_decide(&self) -> Vec<&Finding> {
        self.disposed(Disposition::ToDecide)
    }
    /// The findings of one disposition, in the order of [`Plan::open_points`], then the notes.
    #[must_use]
    pub fn disposed(&self, disposition: Disposition) -> Vec<&Finding> {
        let all = Verdict::WORST_FIRST
            .into_iter()
            .flat_map(|verdict| self.with(verdict));
        all.filter(|finding| finding.disposition == disposition).collect()
    }
    /// What it takes to settle a finding: the parts that it names; the fact that it asks for; else what its check usually takes.
    #[must_use]
    pub fn effort(&self, finding: &Finding) -> Option<Effort> {
        let swap = self.swap;
        let of_parts = |parts: &[Part]| {
            let each = |part: &Part| Some(part_price(swap, &part.name)?.times(part.count));
            let mut prices = parts.iter().map(each);
            let price = match prices.next() {
                None => Outlay::Nothing,
                Some(first) => first
                    .and_then(|first| prices.try_fold(first, |sum, price| sum.checked_add(price?)))
                    .map_or(Outlay::NotKnown, Outlay::Price),
            };
            let minutes = parts.iter().map(|part| minutes_of(swap, part)).sum();
            Effort { price, minutes }
        };
        if !finding.parts.is_empty() {
            return Some(of_parts(&finding.parts));
        }
        if let Some(fact) = finding.open.as_ref().and_then(|open| open.ask.as_deref()) {
            let mut facts = swap.assumed.iter();
            let fact = facts.find(|own| own.id() == fact)?;
            let question = catalogue::question(fact.of, fact.key)?;
            return Some(Effort {
                price: Outlay::Nothing,
                minutes: question.minutes.into(),
            });
        }
        let row = swap.catalogue.remedies().of(&finding.id)?;
        let parts: Vec<Part> = row.parts.iter().map(|name| Part::one(name)).collect();
        let own = of_parts(&parts);
        let minutes = own.minutes + minutes(row.effort);
        Some(if row.priced {
            Effort { minutes, ..own }
        } else {
            Effort {
                price: Outlay::NotKnown,
                minutes,
            }
        })
    }
    /// The assignment on its board.
    #[must_use]
    pub fn setup(&self) -> Setup<'_> {
        let setup = Setup::new(&self.site, &self.ways).explained_by(clash::REASONS);
        setup.keeping(&self.protections)
    }
    /// What follows from the assignment; what is asked for is derived once, and kept as long as this is.
    #[must_use]
    pub fn facts(&self) -> WholeFacts<'_> {
        self.setup().facts()
    }
    /// What blocks, counted in the words that every page and command uses.
    #[must_use]
    pub fn blocking(&self) -> String {
        let all = self.with(Verdict::Blocker);
        let open = all.iter().filter(|finding| finding.open.is_some()).count();
        blocking(all.len(), open)
    }
    /// The number of findings with a verdict.
    #[must_use]
    pub fn count(&self, verdict: Verdict) -> usize {
        self.findings
            .iter()
            .filter(|finding| finding.verdict == verdict)
            .count()
    }
    /// The number of findings that a fact would settle that nobody stated.
    #[must_use]
    pub fn open(&self) -> usize {
        self.findings
            .iter()
            .filter(|finding| finding.open.is_some())
            .count()
    }
    /// The number of findings with a verdict, by what is at stake.
    #[must_use]
    pub fn by_harm(&self, verdict: Verdict) -> ByHarm {
        let of_verdict = self.findings.iter().filter(|finding| finding.verdict == verdict);
        of_verdict.map(|finding| finding.stake).collect()
    }
    /// The findings with a verdict, those first where most is at stake; of one stake those first that lie furthest beyond their limit; else
    /// in the order of the checks.
    #[must_use]
    pub fn with(&self, verdict: Verdict) -> Vec<&Finding> {
        let of_verdict = |finding: &&Finding| finding.verdict == verdict;
        let mut found: Vec<&Finding> = self.findings.iter().filter(of_verdict).collect();
        let beyond = |finding: &Finding| finding.margin.unwrap_or(0.0).min(0.0);
        found.sort_by(|one, other| {
            let by_stake = other.stake.cmp(&one.stake);
            by_stake.then(beyond(one).total_cmp(&beyond(other)))
        });
        found
    }
    /// What has to be settled first: blockers, then cautions; of each those first that can hurt somebody.
    #[must_use]
    pub fn open_points(&self) -> Vec<&Finding> {
        [Verdict::Blocker, Verdict::Caution]
            .into_iter()
            .flat_map(|verdict| self.with(verdict))
            .collect()
    }
    /// The place of one of its own findings in [`Plan::findings`], by address: two findings of one check about one subject have one
    /// identifier.
    #[must_use]
    pub fn place_of(&self, finding: &Finding) -> Option<usize> {
        self.findings.iter().position(|own| std::ptr::eq(own, finding))
    }
    /// The places of the findings that do not hold on every machine within the tolerances.
    #[must_use]
    pub fn uncertain(&self) -> Vec<usize> {
        (0..self.findings.len())
            .filter(|at| !self.findings[*at].is_certain())
            .collect()
    }
    /// Those of [`Plan::uncertain`] that have a limit: the worst corner breaks it.
    #[must_use]
    pub fn broken(&self) -> Vec<usize> {
        let mut places = self.uncertain();
        places.retain(|at| self.findings[*at].limit.is_some());
        places
    }
    /// The finding with that identifier.
    #[must_use]
    pub fn finding(&self, id: &str) -> Option<&Finding> {
        self.findings.iter().find(|finding| finding.id == id)
    }
    /// Value of the wishes that are served.
    #[must_use]
    pub fn wishes_served(&self) -> i64 {
        let wishes = self.swap.wishes.iter().zip(&self.served);
        wishes
            .filter(|(_, served)| **served)
            .map(|(wish, _)| i64::from(wish.weight.value))
            .sum()
    }
    /// The next-best assignments, best first, that put at least one device elsewhere.
    #[must_use]
    pub fn alternatives(&self, count: usize) -> Vec<Alternative> {
        // Wishes are items too: solutions that differ only in a wish given up for nothing are no other wiring.
        let ranking = assignment::next_best(
            &self.programme.problem,
            count * 3 + 1,
            &Limits {
                nodes: 200_000,
                ..limits()
            },
        );
        let mut out: Vec<Alternative> = Vec::new();
        for solution in &ranking.solutions {
            let ways = self.programme.ways(solution);
            if ways == self.ways || out.iter().any(|earlier| earlier.ways == ways) {
                continue;
            }
            let moved = (0..ways.len())
                .filter(|at| ways[*at] != self.ways[*at])
                .map(DeviceId)
                .collect();
            out.push(Alternative {
                more: Objective::of(solution.cost - self.solution.cost),
                ways,
                moved,
            });
            if out.len() == count {
                break;
            }
        }
        out
    }
    /// The programme that was solved, for the reasons behind it.
    #[must_use]
    pub fn programme(&self) -> &Programme {
        &self.programme
    }
    /// The solution of the programme.
    #[must_use]
    pub fn solution(&self) -> &Solution {
        &self.solution
    }
}

/// "2 blockers, 3 open that block until a fact is known": what blocks, of which so many are open.
#[must_use]
pub fn blocking(all: usize, open: usize) -> String {
    let stated = all.saturating_sub(open);
    let s = if stated == 1 { "" } else { "s" };
    let blockers = format!("{stated} blocker{s}");
    match (stated, open) {
        (_, 0) => blockers,
        (0, open) => format!("{open} open that block until a fact is known"),
        (_, open) => format!("{blockers}, {open} open that block until a fact is known"),
    }
}

#[cfg(test)]
mod tests {
    use super::{ByHarm, Objective};

    #[test]
    fn a_difference_says_what_it_costs_and_what_it_saves() {
        let of = |function, millimetres| Objective {
            decide: ByHarm {
                function,
                ..ByHarm::NONE
            },
            millimetres,
            ..Objective::default()
        };
        assert_eq!(of(0, 0).difference(), "would cost the same");
        assert_eq!(of(2, 0).difference(), "would cost 2 actions required more");
        assert_eq!(of(0, -11).difference(), "would save 11 mm of lead");
        assert_eq!(
            of(1, -11).difference(),
            "would cost 1 action required more and save 11 mm of lead"
        );
    }
}
