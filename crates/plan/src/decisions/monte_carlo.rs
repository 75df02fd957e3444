//! Beside the worst case: the plan on machines that are drawn within the tolerances, and on machines where one value alone is off.
//!
//! A draw makes one machine, one board and one set of limits, each value somewhere within its tolerance, and runs every check of
//! the plan on it. A value that several checks read is drawn once, so the chance that *all* holds is that of the machine and not a
//! product of independent guesses. Values that the files give without tolerance stay as they are, and what the tables state as a band
//! (levels, classes of thermometers) stays at its worst.
//!
//! Draw number `k` of a seed is the same machine whoever draws it: the caller splits the draws among cores and adds the tallies.

use core::ops::{Add, Range};
use std::borrow::Cow;

use model::board::Board;
use model::{Place, Swap, Toleranced, Visitor};
use physics::control::Pid;
use physics::{Chance, Sampler, Spread};
use quantity::AnyValue;
use serde::Serialize;

use crate::decisions::clash;
use crate::decisions::plan::Plan;
use crate::facts::place::Seats;
use crate::facts::{Setup, Site, Way};
use crate::rules::checks::{PAIR_CHECKS, WHOLE_CHECKS, run_pair, run_whole};
use crate::rules::judging::{Judge, Outcome, Verdict};

/// A value that carries a tolerance: whose it is, what it is, where it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// Whose it is: a tag, an axis, a port, or nothing for the machine as a whole and the limits.
    pub owner: String,
    /// What it is, by its key in the file.
    pub key: &'static str,
    /// Where it was written; nothing for limits and what is assumed where a file is silent.
    pub place: Option<Place>,
    /// The value with its tolerance.
    pub value: AnyValue,
}

impl Input {
    /// "H1 heat loss", the way a sentence names it.
    #[must_use]
    pub fn name(&self) -> String {
        let words = self.key.replace(['_', '.', '-'], " ");
        if self.owner.is_empty() {
            words
        } else {
            format!("{} {words}", self.owner)
        }
    }
}

/// Values that get the usual tolerance where their file states none, by their keys.
const WITH_USUAL: [&str; 3] = ["pull_up", "resistance", "inductance"];
/// What a drawn one of these keeps of its tolerance, so that it is not taken for one that was stated without: the stated tolerance replaces the
/// usual one, in a draw as well.
const HAIR: f64 = 1e-12;

impl Input {
    /// The value where it lies in one machine.
    fn drawn(&self, base: f64) -> AnyValue {
        let hair = if WITH_USUAL.contains(&self.key) {
            base.abs() * HAIR
        } else {
            0.0
        };
        AnyValue {
            nominal: base,
            low: base - hair,
            high: base + hair,
            ..self.value
        }
    }
}

/// A plan made ready for drawing: copies of machine, board and limits, of which the values are changed in place.
#[derive(Clone, Debug)]
pub struct Draws {
    swap: Swap,
    board: Board,
    /// As at the worst corner: where a board sits is found once.
    seats: Seats,
    /// As designed for all tolerances: a drawn machine gets the same settings.
    told: Vec<Option<Pid>>,
    ways: Vec<Option<Way>>,
    inputs: Vec<Input>,
    /// For each input its number among all values that a visit shows.
    numbers: Vec<usize>,
    /// The units of running: one check of one pair, or one whole check.
    units: Vec<Unit>,
    /// The margin of each finding of the plan, at the worst corner.
    worst_margins: Vec<Option<f64>>,
    alone: Alone,
}

/// One check of one pair, or one whole check.
#[derive(Clone, Debug)]
struct Unit {
    /// What it says at the worst corner: one outcome for each of its findings.
    worst: Vec<Outcome>,
    /// Whether the plan holds its findings.
    there: bool,
    /// Whether a tolerance changes anything in it.
    varies: bool,
    /// Whether it holds what other crates found: no draw runs it.
    later: bool,
}

impl Draws {
    /// Takes the copies.
    #[must_use]
    pub fn of(plan: &Plan<'_>) -> Self {
        let mut swap = plan.swap.clone();
        // The others would only be visited in vain.
        swap.candidates = Vec::new();
        let mut draws = Self {
            swap,
            board: plan.board.clone(),
            seats: plan.site.seats.clone().into_owned(),
            told: Setup::new(&plan.site, &plan.ways).facts().told(),
            ways: plan.ways.clone(),
            inputs: Vec::new(),
            numbers: Vec::new(),
            units: Vec::new(),
            worst_margins: plan.findings.iter().map(|finding| finding.margin).collect(),
            alone: Alone::default(),
        };
        let mut units = Vec::new();
        let mut findings = plan.findings.iter();
        draws.run(
            |_| true,
            |_, check, outcomes| {
                // A plan whose findings were sifted is drawn without the checks that are no longer in it.
                let own = findings.as_slice().get(..outcomes.len());
                let there = own.is_some_and(|own| own.iter().all(|finding| finding.check == check));
                if there {
                    findings = findings.as_slice()[outcomes.len()..].iter();
                }
                units.push(Unit {
                    worst: if there { outcomes.to_vec() } else { Vec::new() },
                    there,
                    varies: false,
                    later: false,
                });
            },
        );
        let later = findings.map(|finding| Outcome {
            verdict: finding.verdict,
            numbers: None,
        });
        units.push(Unit {
            worst: later.collect(),
            there: true,
            varies: false,
            later: true,
        });
        draws.units = units;
        let mut finder = Finder::default();
        draws.visit(&mut finder);
        (draws.inputs, draws.numbers) = finder.found.into_iter().unzip();
        draws.alone = draws.each_alone();
        draws
    }

    /// What each tolerance does by itself.
    #[must_use]
    pub fn alone(&self) -> &Alone {
        &self.alone
    }

    /// The margin of a finding of the plan on the one machine that each tolerance by itself points to: every value that moves the margin at the
    /// end at which it is less. `None` where it has no margin, or another limit counts there.
    ///
    /// Where the margin at the worst corner is much less than this, no machine comes near it: values that depend on each other were put at
    /// ends that exclude each other.
    #[must_use]
    pub fn at_its_worst(&mut self, finding: usize) -> Option<f64> {
        let mut values: Vec<AnyValue> = self
            .inputs
            .iter()
            .map(|input| input.drawn(input.value.nominal))
            .collect();
        for effect in &self.alone.effects[finding] {
            let input = &self.inputs[effect.input];
            let end = match (effect.low, effect.high) {
                (Some(low), Some(high)) if low > high => input.value.high,
                (None, Some(_)) => input.value.high,
                _ => input.value.low,
            };
            values[effect.input] = input.drawn(end);
        }
        self.set(&values);
        let outcomes = self.outcomes();
        self.margins(&outcomes)[finding]
    }

    /// Leaves out all checks but those that gave these findings, by their places in the plan: the tally of the others is then
    /// what they say at the worst corner.
    #[must_use]
    pub fn only(mut self, findings: &[usize]) -> Self {
        let mut first = 0;
        for unit in &mut self.units {
            let own = first..first + unit.worst.len();
            unit.varies &= findings.iter().any(|finding| own.contains(finding));
            first = own.end;
        }
        self
    }

    /// Runs also the checks that no tolerance was seen to change: the same result, later. For tests of just that.
    #[must_use]
    pub fn with_all(mut self) -> Self {
        for unit in &mut self.units {
            unit.varies = unit.there;
        }
        self
    }

    /// Every value with a tolerance, in the order of drawing.
    #[must_use]
    pub fn inputs(&self) -> &[Input] {
        &self.inputs
    }

    /// Runs the plan on the machines of these numbers.
    #[must_use]
    pub fn tally(&mut self, spread: Spread, seed: u64, numbers: Range<u64>) -> Tally {
        let mut tally = Tally::empty(&self.worst_margins);
        let mut values: Vec<AnyValue> = self.inputs.iter().map(|input| input.value).collect();
        let draws = numbers.end.saturating_sub(numbers.start);
        for number in numbers {
            let mut sampler = Sampler::new(seed, number);
            for (value, input) in values.iter_mut().zip(&self.inputs) {
                *value = input.drawn(sampler.any(&input.value, spread));
            }
            self.set(&values);
            self.count_into(&mut tally);
        }
        self.add_constant(draws, &mut tally);
        tally
    }

    /// Counts the units that no tolerance changes: they say in each draw what they say at the worst corner.
    fn add_constant(&self, draws: u64, tally: &mut Tally) {
        let mut worst = Verdict::Pass;
        let mut at = Cursor::default();
        for (number, unit) in self.units.iter().enumerate().filter(|(_, unit)| !unit.varies) {
            for (kept, outcome) in tally.findings[at.of(number, &self.units)]
                .iter_mut()
                .zip(&unit.worst)
            {
                kept.take(draws, outcome.verdict, margin(outcome));
            }
            worst = worst.max(worst_of(&unit.worst));
        }
        if worst >= Verdict::Blocker {
            tally.without_blocker.held = 0;
        }
        if worst >= Verdict::Caution {
            tally.without_caution.held = 0;
        }
    }

    fn count_into(&self, tally: &mut Tally) {
        let mut worst = Verdict::Pass;
        let mut at = Cursor::default();
        self.run(
            |unit| self.units[unit].varies,
            |unit, _, outcomes| {
                let kept = &mut tally.findings[at.of(unit, &self.units)];
                let worst_here = worst_of(outcomes);
                worst = worst.max(worst_here);
                if outcomes.len() == kept.len() {
                    for (kept, outcome) in kept.iter_mut().zip(outcomes) {
                        kept.take(1, outcome.verdict, margin(outcome));
                    }
                } else {
                    // The check said more or less than at the worst corner: which finding is which is not known, so
                    // the worst stands for all.
                    for kept in kept {
                        kept.take(1, worst_here, None);
                    }
                }
            },
        );
        tally.take(1, worst);
    }

    /// Every input in turn at its lower and its upper bound, and all the others nominal; marks the units that this changes.
    fn each_alone(&mut self) -> Alone {
        let mut values: Vec<AnyValue> = self
            .inputs
            .iter()
            .map(|input| input.drawn(input.value.nominal))
            .collect();
        self.set(&values);
        let nominal = self.outcomes();
        for (unit, nominal) in self.units.iter_mut().zip(&nominal) {
            unit.varies = unit.worst != *nominal;
        }
        let middle = self.margins(&nominal);
        let mut effects: Vec<Vec<Effect>> = vec![Vec::new(); middle.len()];
        for input in 0..self.inputs.len() {
            let bounds = self.inputs[input].value;
            let [low, high] = [bounds.low, bounds.high].map(|end| {
                values[input] = self.inputs[input].drawn(end);
                self.set(&values);
                let outcomes = self.outcomes();
                for (at, unit) in self.units.iter_mut().enumerate() {
                    unit.varies |= outcomes[at] != nominal[at];
                }
                self.margins(&outcomes)
            });
            values[input] = self.inputs[input].drawn(bounds.nominal);
            for (finding, effects) in effects.iter_mut().enumerate() {
                let (middle, low, high) = (middle[finding], low[finding], high[finding]);
                if middle.is_some() && (low != middle || high != middle) {
                    effects.push(Effect { input, low, high });
                }
            }
        }
        for (effects, nominal) in effects.iter_mut().zip(&middle) {
            let nominal = nominal.unwrap_or(0.0);
            effects.sort_by(|a, b| {
                b.cost(nominal)
                    .total_cmp(&a.cost(nominal))
                    .then(a.input.cmp(&b.input))
            });
        }
        Alone {
            nominal: middle,
            effects,
        }
    }

    /// What each unit says on the machine as it is set.
    fn outcomes(&self) -> Vec<Vec<Outcome>> {
        let own = |unit: &Unit| {
            if unit.later {
                unit.worst.clone()
            } else {
                Vec::new()
            }
        };
        let mut all: Vec<Vec<Outcome>> = self.units.iter().map(own).collect();
        self.run(
            |unit| self.units[unit].there,
            |unit, _, outcomes| all[unit] = outcomes.to_vec(),
        );
        all
    }

    /// The margin of each finding of the plan; `None` where a unit says more or less than at the worst corner, or something else.
    fn margins(&self, outcomes: &[Vec<Outcome>]) -> Vec<Option<f64>> {
        let mut margins = Vec::with_capacity(self.worst_margins.len());
        for (unit, outcomes) in self.units.iter().zip(outcomes) {
            if outcomes.len() == unit.worst.len() {
                let pairs = outcomes.iter().zip(&unit.worst);
                margins.extend(
                    pairs.map(|(outcome, worst)| same_limit(outcome, worst).then(|| margin(outcome))?),
                );
            } else {
                margins.extend(unit.worst.iter().map(|_| None));
            }
        }
        margins
    }

    /// Runs the units that are wanted, and hands over the number and the check of each with its outcomes.
    fn run(&self, wanted: impl Fn(usize) -> bool, mut take: impl FnMut(usize, &'static str, &[Outcome])) {
        let site = Site::seated(&self.swap, &self.board, Cow::Borrowed(&self.seats)).told(&self.told);
        let facts = Setup::new(&site, &self.ways).explained_by(clash::REASONS).facts();
        let mut judge = Judge::outcomes();
        let mut outcomes = Vec::new();
        let mut unit = 0;
        for check in PAIR_CHECKS {
            for pair in facts.pairs() {
                if wanted(unit) {
                    run_pair(check, pair, &mut judge);
                    judge.take_outcomes(&mut outcomes);
                    take(unit, check.id, &outcomes);
                }
                unit += 1;
            }
        }
        for check in WHOLE_CHECKS {
            if wanted(unit) {
                run_whole(check, &facts, &mut judge);
                judge.take_outcomes(&mut outcomes);
                take(unit, check.id, &outcomes);
            }
            unit += 1;
        }
    }

    fn visit(&mut self, visitor: &mut dyn Visitor) {
        for (name, part) in [
            ("room", &mut self.swap.ambient as &mut dyn Toleranced),
            ("machine", &mut self.swap.machine),
        ] {
            visitor.enter(name);
            part.visit(name, None, visitor);
            visitor.leave();
        }
        self.swap.old.visit("old board", None, &mut Believed { visitor });
        self.board.visit("board", None, visitor);
        let catalogue = self.swap.catalogue.to_mut();
        catalogue.vary_limits(&mut |key, value| visitor.value(key, None, value));
    }

    /// Puts other values in place of the inputs, in their order.
    fn set(&mut self, values: &[AnyValue]) {
        let numbers = core::mem::take(&mut self.numbers);
        self.visit(&mut Setter {
            numbers: &numbers,
            values,
            seen: 0,
        });
        self.numbers = numbers;
    }
}

fn worst_of(outcomes: &[Outcome]) -> Verdict {
    outcomes
        .iter()
        .map(|outcome| outcome.verdict)
        .max()
        .unwrap_or(Verdict::Pass)
}

/// Finds the findings of a unit; units are asked for in rising order.
#[derive(Default)]
struct Cursor {
    unit: usize,
    first: usize,
}

impl Cursor {
    fn of(&mut self, unit: usize, units: &[Unit]) -> Range<usize> {
        let passed: usize = units[self.unit..unit].iter().map(|unit| unit.worst.len()).sum();
        self.first += passed;
        self.unit = unit;
        self.first..self.first + units[unit].worst.len()
    }
}

/// Whether two outcomes of one check hold a value of the same kind against the same side.
fn same_limit(a: &Outcome, b: &Outcome) -> bool {
    let sort = |outcome: &Outcome| outcome.numbers.map(|(_, limit)| (limit.side, limit.bound.kind));
    sort(a) == sort(b)
}

fn margin(outcome: &Outcome) -> Option<f64> {
    let (value, limit) = outcome.numbers?;
    limit.margin(&value)
}

/// Collects the values that have a tolerance.
#[derive(Default)]
struct Finder {
    owners: Vec<String>,
    seen: usize,
    found: Vec<(Input, usize)>,
}

impl Visitor for Finder {
    fn enter(&mut self, name: &str) {
        self.owners.push(name.to_owned());
    }
    fn leave(&mut self) {
        self.owners.pop();
    }
    fn value(&mut self, key: &'static str, place: Option<Place>, value: AnyValue) -> Option<AnyValue> {
        if value.low < value.high {
            let input = Input {
                owner: self.owners.last().cloned().unwrap_or_default(),
                key,
                place,
                value,
            };
            self.found.push((input, self.seen));
        }
        self.seen += 1;
        None
    }
}

/// Leaves out what the old controller believes of its thermometers: its tables are made for nominal values, whatever its board is.
struct Believed<'v> {
    visitor: &'v mut dyn Visitor,
}

impl Visitor for Believed<'_> {
    fn enter(&mut self, name: &str) {
        self.visitor.enter(name);
    }
    fn leave(&mut self) {
        self.visitor.leave();
    }
    fn value(&mut self, key: &'static str, place: Option<Place>, value: AnyValue) -> Option<AnyValue> {
        match key {
            "pull_up" | "reference" | "amplification" => None,
            _ => self.visitor.value(key, place, value),
        }
    }
}

/// Puts values in, found again by their number among all.
struct Setter<'a> {
    numbers: &'a [usize],
    values: &'a [AnyValue],
    seen: usize,
}

impl Visitor for Setter<'_> {
    fn value(&mut self, _: &'static str, _: Option<Place>, _: AnyValue) -> Option<AnyValue> {
        let number = self.seen;
        self.seen += 1;
        if self.numbers.first() != Some(&number) {
            return None;
        }
        self.numbers = &self.numbers[1..];
        let (first, rest) = self.values.split_first()?;
        self.values = rest;
        Some(*first)
    }
}

/// What the draws gave, finding by finding, in the order of the plan's findings. Tallies of different draws add up.
#[derive(Clone, Debug, PartialEq)]
pub struct Tally {
    /// How often nothing was a blocker.
    pub without_blocker: Chance,
    /// How often nothing was a blocker or a caution.
    pub without_caution: Chance,
    /// The findings.
    pub findings: Vec<Kept>,
}

impl Tally {
    fn take(&mut self, draws: u64, worst: Verdict) {
        self.without_blocker.draws += draws;
        self.without_blocker.held += if worst < Verdict::Blocker { draws } else { 0 };
        self.without_caution.draws += draws;
        self.without_caution.held += if worst < Verdict::Caution { draws } else { 0 };
    }

    fn empty(worst_margins: &[Option<f64>]) -> Self {
        let kept = |worst: &Option<f64>| Kept {
            chance: Chance::default(),
            worst: *worst,
            least: f64::INFINITY,
            margins: vec![0; if worst.is_some() { BINS } else { 0 }],
        };
        Self {
            without_blocker: Chance::default(),
            without_caution: Chance::default(),
            findings: worst_margins.iter().map(kept).collect(),
        }
    }
}

impl Add for Tally {
    type Output = Self;
    fn add(mut self, other: Self) -> Self {
        self.without_blocker = self.without_blocker + other.without_blocker;
        self.without_caution = self.without_caution + other.without_caution;
        for (own, other) in self.findings.iter_mut().zip(other.findings) {
            own.chance = own.chance + other.chance;
            own.least = own.least.min(other.least);
            for (own, other) in own.margins.iter_mut().zip(other.margins) {
                *own += other;
            }
        }
        self
    }
}

/// Margins are counted in steps of one per cent of the bound; beyond both ends only how many there are is known.
const BINS: usize = 402;
const LOWEST: f64 = Kept::LOWEST;
const STEPS: f64 = 100.0;

/// How one finding fared over the draws.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// How often it was neither blocker nor caution and held its limit, where it has one.
    pub chance: Chance,
    worst: Option<f64>,
    least: f64,
    margins: Vec<u64>,
}

impl Kept {
    /// The lowest margin that is told apart; what lies below counts as this.
    pub const LOWEST: f64 = -2.0;

    fn take(&mut self, draws: u64, verdict: Verdict, margin: Option<f64>) {
        self.chance.draws += draws;
        // A note may tell of a limit that does not hold.
        let held = verdict < Verdict::Caution && margin.is_none_or(|margin| margin >= 0.0);
        self.chance.held += if held { draws } else { 0 };
        if let (Some(margin), false) = (margin, self.margins.is_empty()) {
            self.least = self.least.min(margin);
            let bin = ((margin - LOWEST) * STEPS).floor().clamp(-1.0, (BINS - 2) as f64);
            self.margins[(bin + 1.0) as usize] += draws;
        }
    }
    /// The least margin of all draws; `None` where there was none.
    #[must_use]
    pub fn least(&self) -> Option<f64> {
        self.least.is_finite().then_some(self.least)
    }
    /// The margin that a share of the draws stays below, to one per cent of the bound, and not below that of the worst corner; `None`
    /// without margins. The ends of what is counted are -200 % and 200 %.
    #[must_use]
    pub fn margin_at(&self, share: f64) -> Option<f64> {
        let all: u64 = self.margins.iter().sum();
        if all == 0 {
            return None;
        }
        let wanted = (share.clamp(0.0, 1.0) * all as f64).ceil().max(1.0) as u64;
        let mut below = 0;
        let bin = self.margins.iter().position(|count| {
            below += count;
            below >= wanted
        })?;
        // The middle of the bin; the outermost two have none.
        let margin = (LOWEST + (bin as f64 - 0.5) / STEPS).clamp(LOWEST, -LOWEST);
        Some(self.worst.map_or(margin, |worst| margin.max(worst)))
    }
}

/// What one tolerance does by itself to the margin of a finding.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Effect {
    /// The input, by its place in [`Draws::inputs`].
    pub input: usize,
    /// The margin with the input at its lower bound; `None` where another limit counts then.
    pub low: Option<f64>,
    /// The margin with the input at its upper bound; `None` where another limit counts then.
    pub high: Option<f64>,
}

impl Effect {
    /// How much of the margin that all nominal values leave the tolerance takes at its worse end; not below zero.
    #[must_use]
    pub fn cost(&self, nominal: f64) -> f64 {
        let worse = [self.low, self.high]
            .into_iter()
            .flatten()
            .fold(nominal, f64::min);
        nominal - worse
    }
}

/// Each finding with every tolerance by itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Alone {
    /// The margin of each finding where all values are nominal; `None` where it has none, or says something else then.
    pub nominal: Vec<Option<f64>>,
    /// For each finding the inputs that move its margin, the costliest first.
    pub effects: Vec<Vec<Effect>>,
}
