//! Collects what checks find, or only counts it.
//!
//! The assignment asks each check about hundreds of pairs of device and port, but only needs to know how bad each is. A
//! check therefore hands over its verdict at once and the words and workings as a closure, which is called only when
//! somebody will read them. That makes a plan some ten times cheaper, at the price of closures in every check.

use std::collections::HashMap;

use quantity::{AnyValue, Quantity, Value};

use crate::facts::harness::{ActionKind, Part, work_of_part};
use crate::rules::judging::disposition::{Disposition, Handling};
use crate::rules::judging::finding::{Finding, Subject};
use crate::rules::judging::limit::{Limit, Side};
use crate::rules::judging::verdict::{ByHarm, Stake, Verdict};

/// The bare result of a check: what a draw of the tolerances is counted by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Outcome {
    pub verdict: Verdict,
    pub numbers: Option<(AnyValue, Limit)>,
}

/// What is kept of each result.
#[derive(Debug)]
enum Keep {
    /// Its count.
    Counts,
    /// Verdict and numbers, in the order of taking.
    Outcomes(Vec<Outcome>),
    /// Verdict, check, numbers and parts; words of blockers and cautions only.
    Brief(Vec<Finding>),
    /// All.
    Whole(Vec<Finding>),
}

/// Takes the results of checks.
#[derive(Debug)]
pub struct Judge {
    check: &'static str,
    stake: Stake,
    keep: Keep,
    cautions: ByHarm,
    to_decide: ByHarm,
    dealt: bool,
    blockers: u32,
    parts: Vec<Part>,
    first_blocker: Option<&'static str>,
}

impl Judge {
    /// A judge that keeps findings with words and workings.
    #[must_use]
    pub fn keeping() -> Self {
        Self {
            keep: Keep::Whole(Vec::new()),
            ..Self::counting()
        }
    }
    /// A judge that keeps the bare outcomes.
    pub(crate) fn outcomes() -> Self {
        Self {
            keep: Keep::Outcomes(Vec::new()),
            ..Self::counting()
        }
    }
    /// The outcomes so far, and none from here on; for a judge that keeps them.
    pub(crate) fn take_outcomes(&mut self, into: &mut Vec<Outcome>) {
        into.clear();
        if let Keep::Outcomes(outcomes) = &mut self.keep {
            core::mem::swap(outcomes, into);
        }
        self.parts.clear();
    }
    /// A judge that keeps blockers and cautions whole, and all else without words, subjects and workings: for comparisons of many boards,
    /// which read the verdicts, margins and parts of these only. Their identifier is that of the check.
    #[must_use]
    pub fn brief() -> Self {
        Self {
            keep: Keep::Brief(Vec::new()),
            ..Self::counting()
        }
    }
    /// Whether it keeps findings with words and workings.
    pub(crate) fn is_whole(&self) -> bool {
        matches!(self.keep, Keep::Whole(_))
    }
    /// A judge that only counts.
    #[must_use]
    pub fn counting() -> Self {
        Self {
            check: "",
            stake: Stake::default(),
            keep: Keep::Counts,
            cautions: ByHarm::NONE,
            to_decide: ByHarm::NONE,
            dealt: false,
            blockers: 0,
            parts: Vec::new(),
            first_blocker: None,
        }
    }
    /// The next results come from this check.
    pub(crate) fn turn_to(&mut self, check: &'static str, stake: Stake) {
        self.check = check;
        self.stake = stake;
    }
    /// What is at stake with the next results of this check, where it is not the same for all of them.
    pub(crate) fn at_stake(&mut self, stake: Stake) {
        self.stake = stake;
    }
    /// How many findings are kept with words so far.
    pub(crate) fn kept(&self) -> usize {
        match &self.keep {
            Keep::Whole(findings) | Keep::Brief(findings) => findings.len(),
            Keep::Counts | Keep::Outcomes(_) => 0,
        }
    }
    /// What was found since so many were kept is about a device at a port, where it does not say otherwise. Most checks of a pair find
    /// nothing, so the names are copied afterwards.
    pub(crate) fn about_pair(&mut self, since: usize, device: &str, port: &str) {
        let (Keep::Whole(findings) | Keep::Brief(findings)) = &mut self.keep else {
            return;
        };
        for finding in &mut findings[since..] {
            if finding.subject == Subject::default() && !finding.headline.is_empty() {
                finding.subject = Subject {
                    device: Some(device.to_owned()),
                    port: Some(port.to_owned()),
                    other: None,
                };
            }
        }
    }

    /// A result without a number.
    pub fn say(&mut self, verdict: Verdict, finding: impl FnOnce() -> Finding) {
        self.take(verdict, Vec::new(), None, finding);
    }

    /// Whether the plan deals with the next result where it is a caution, as its words say ([`Finding::handled_by`]): it then leaves nothing to
    /// decide, and costs the assignment its work and its parts alone.
    pub(crate) fn dealt(&mut self, by_plan: bool) -> &mut Self {
        self.dealt = by_plan;
        self
    }

    /// A result that would be a blocker but for a part that the plan adds: it becomes a caution that names the part.
    ///
    /// Its margin is left open, since the part changes it. In front of the assignment it costs its work and its part alone, unless that is a
    /// switch module or a converter beside the board.
    pub fn mended(&mut self, part: Part, finding: impl FnOnce() -> Finding) {
        // A circuit of its own beside the board is more than work on a cable: somebody has to want it.
        let beside = matches!(
            work_of_part(&part.name, self.check),
            ActionKind::ExternalSwitch | ActionKind::OwnSupply
        );
        self.dealt(!beside).with_part(part, finding);
    }

    /// As [`Judge::mended`], where the part alone does not mend it: a person has something to change besides.
    pub(crate) fn partly_mended(&mut self, part: Part, finding: impl FnOnce() -> Finding) {
        self.with_part(part, || finding().and_more());
    }

    fn with_part(&mut self, part: Part, finding: impl FnOnce() -> Finding) {
        self.take(Verdict::Caution, vec![part], None, || Finding {
            margin: None,
            ..finding()
        });
    }

    /// A value that must not be above a limit: a pass, or `broken` where it is at the worst corner.
    pub fn at_most<Q: Quantity>(
        &mut self,
        value: Value<Q>,
        bound: Value<Q>,
        broken: Verdict,
        finding: impl FnOnce() -> Finding,
    ) {
        self.limited(value, bound, Side::AtMost, broken, finding);
    }

    /// A value that must not be below a limit: a pass, or `broken` where it is at the worst corner.
    pub fn at_least<Q: Quantity>(
        &mut self,
        value: Value<Q>,
        bound: Value<Q>,
        broken: Verdict,
        finding: impl FnOnce() -> Finding,
    ) {
        self.limited(value, bound, Side::AtLeast, broken, finding);
    }

    /// A value with two limits: a caution above the first, a blocker above the second.
    pub fn graded<Q: Quantity>(
        &mut self,
        value: Value<Q>,
        caution: Value<Q>,
        blocker: Value<Q>,
        finding: impl FnOnce() -> Finding,
    ) {
        if value.high() <= blocker.low() {
            self.at_most(value, caution, Verdict::Caution, finding);
        } else {
            self.at_most(value, blocker, Verdict::Blocker, finding);
        }
    }

    /// A value with two limits: a caution below the first, a blocker below the second.
    pub fn graded_from_below<Q: Quantity>(
        &mut self,
        value: Value<Q>,
        caution: Value<Q>,
        blocker: Value<Q>,
        finding: impl FnOnce() -> Finding,
    ) {
        if value.low() >= blocker.high() {
            self.at_least(value, caution, Verdict::Caution, finding);
        } else {
            self.at_least(value, blocker, Verdict::Blocker, finding);
        }
    }

    fn limited<Q: Quantity>(
        &mut self,
        value: Value<Q>,
        bound: Value<Q>,
        side: Side,
        broken: Verdict,
        finding: impl FnOnce() -> Finding,
    ) {
        let limit = Limit {
            side,
            bound: AnyValue::from(bound),
        };
        let value = AnyValue::from(value);
        // A value that is no number holds nothing.
        let holds = limit.holds(&value);
        let verdict = if holds { Verdict::Pass } else { broken };
        self.take(verdict, Vec::new(), Some((value, limit)), finding);
    }

    fn take(
        &mut self,
        verdict: Verdict,
        parts: Vec<Part>,
        numbers: Option<(AnyValue, Limit)>,
        finding: impl FnOnce() -> Finding,
    ) {
        let dealt = core::mem::take(&mut self.dealt);
        match verdict {
            Verdict::Blocker => {
                self.blockers += 1;
                self.first_blocker.get_or_insert(self.check);
            }
            Verdict::Caution => {
                self.cautions.add(self.stake);
                if !dealt {
                    self.to_decide.add(self.stake);
                }
            }
            Verdict::Note | Verdict::Pass => {}
        }
        self.parts.extend(parts.iter().cloned());
        let worded = matches!(self.keep, Keep::Whole(_)) || verdict >= Verdict::Caution;
        let (findings, mut finding) = match &mut self.keep {
            Keep::Counts => return,
            Keep::Outcomes(outcomes) => {
                outcomes.push(Outcome { verdict, numbers });
                return;
            }
            Keep::Brief(findings) if !worded => (findings, Finding::new("", "")),
            Keep::Brief(findings) | Keep::Whole(findings) => (findings, finding()),
        };
        if let Some((value, limit)) = numbers {
            finding.margin = limit.margin(&value);
            finding.value = Some(value);
            finding.limit = Some(limit);
        }
        if let (true, Some(value), Some(limit)) =
            (worded && finding.working.is_empty(), finding.value, finding.limit)
        {
            finding.working.push(limit.room(&value));
        }
        finding.verdict = verdict;
        if verdict == Verdict::Pass {
            finding.remedy = None;
        }
        finding.check = self.check;
        finding.stake = self.stake;
        finding.parts = parts;
        // Whether the plan deals with it is not known before all of the plan was looked at.
        let open = verdict >= Verdict::Caution || !finding.handled_by.is_empty();
        finding.disposition = if open && verdict > Verdict::Pass {
            Disposition::ToDecide
        } else {
            finding.handled_by.clear();
            Disposition::NothingToDo
        };
        findings.push(finding);
    }

    /// How many cautions were taken, by what is at stake.
    #[must_use]
    pub fn cautions(&self) -> ByHarm {
        self.cautions
    }
    /// How many of them the plan does not deal with.
    #[must_use]
    pub fn to_decide(&self) -> ByHarm {
        self.to_decide
    }
    /// How many blockers were taken.
    #[must_use]
    pub fn blockers(&self) -> u32 {
        self.blockers
    }
    /// The check that gave the first blocker.
    #[must_use]
    pub fn first_blocker(&self) -> Option<&'static str> {
        self.first_blocker
    }
    /// The parts that mend blockers.
    #[must_use]
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }
    /// The findings; empty for a judge that only counts. Identifiers that stand twice are numbered from the second on.
    #[must_use]
    pub fn into_findings(self) -> Vec<Finding> {
        let mut findings = match self.keep {
            Keep::Counts | Keep::Outcomes(_) => return Vec::new(),
            Keep::Brief(findings) | Keep::Whole(findings) => findings,
        };
        for finding in &mut findings {
            finding.id = finding.subject.identifier(finding.check);
            name_parts(finding);
        }
        let mut seen: HashMap<&str, u32> = HashMap::with_capacity(findings.len());
        let times: Vec<u32> = findings
            .iter()
            .map(|finding| {
                let count = seen.entry(&finding.id).or_default();
                *count += 1;
                *count
            })
            .collect();
        for (finding, count) in findings.iter_mut().zip(times) {
            if count > 1 {
                finding.id = format!("{}~{count}", finding.id);
            }
        }
        findings
    }
}

/// A part that mends a finding about a device is fitted in the row of its cable.
fn name_parts(finding: &mut Finding) {
    let Some(tag) = finding.subject.device.as_ref().filter(|_| !finding.takes_more) else {
        return;
    };
    let rows = finding.parts.iter().map(|part| Handling::Wiring {
        tag: tag.clone(),
        work: work_of_part(&part.name, finding.check),
        part: Some(part.name.clone()),
    });
    let rows: Vec<Handling> = rows.collect();
    finding.handled_by.extend(rows);
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::si::volt;

    #[test]
    fn counting_never_asks_for_words() {
        let mut judge = Judge::counting();
        judge.at_most(
            Value::exact(volt(5.0)),
            Value::exact(volt(3.3)),
            Verdict::Blocker,
            || unreachable!(),
        );
        judge.say(Verdict::Caution, || unreachable!());
        assert_eq!((judge.blockers(), judge.cautions().sum()), (1, 1));
        assert!(judge.into_findings().is_empty());
    }

    #[test]
    fn the_worse_of_two_limits_decides() {
        let limit = |number: f64| Value::exact(volt(number));
        let verdict = |low: f64, high: f64| {
            let mut judge = Judge::keeping();
            let value = Value::between(volt(low), volt(low), volt(high));
            judge.graded(value, limit(3.0), limit(5.0), || {
                Finding::new("a voltage", "common-practice")
            });
            let finding = judge.into_findings().remove(0);
            (finding.verdict, finding.limit.map(|limit| limit.bound.nominal))
        };
        assert_eq!(verdict(1.0, 3.0), (Verdict::Pass, Some(3.0)));
        assert_eq!(verdict(1.0, 3.1), (Verdict::Caution, Some(3.0)));
        assert_eq!(verdict(1.0, 5.1), (Verdict::Blocker, Some(5.0)));
        assert_eq!(verdict(f64::NAN, f64::NAN).0, Verdict::Blocker);
    }

    /// What is left to decide before the plan was looked at: cautions and blockers, and whatever the plan claims to deal with; never a pass.
    #[test]
    fn a_caution_is_left_to_decide_and_a_pass_is_not() {
        let disposed = |verdict: Verdict, handled: bool| {
            let mut judge = Judge::keeping();
            judge.say(verdict, || {
                let finding = Finding::new("a fan", "common-practice").remedy("another fan");
                let row = Handling::step("ambient", "F1");
                if handled { finding.handled_by(row) } else { finding }
            });
            let finding = judge.into_findings().remove(0);
            (finding.disposition, finding.handled_by.len())
        };
        for verdict in [Verdict::Caution, Verdict::Blocker] {
            assert_eq!(disposed(verdict, false), (Disposition::ToDecide, 0));
            assert_eq!(disposed(verdict, true), (Disposition::ToDecide, 1));
        }
        assert_eq!(disposed(Verdict::Note, true), (Disposition::ToDecide, 1));
        assert_eq!(disposed(Verdict::Note, false), (Disposition::NothingToDo, 0));
        assert_eq!(disposed(Verdict::Pass, true), (Disposition::NothingToDo, 0));
    }

    #[test]
    fn the_worst_corner_decides() {
        let mut judge = Judge::keeping();
        judge.turn_to("example", Stake::Function);
        let words = || Finding::new("the fan", "common-practice").remedy("another fan");
        judge.at_most(
            Value::relative(volt(10.0), 0.1),
            Value::exact(volt(10.5)),
            Verdict::Caution,
            words,
        );
        judge.at_most(
            Value::relative(volt(10.0), 0.1),
            Value::exact(volt(11.5)),
            Verdict::Caution,
            words,
        );
        judge.about_pair(0, "F1", "FAN1");
        let findings = judge.into_findings();
        assert_eq!(findings[0].verdict, Verdict::Caution);
        assert_eq!(findings[0].id, "example:F1-FAN1");
        assert_eq!(findings[1].verdict, Verdict::Pass);
        assert_eq!(findings[1].id, "example:F1-FAN1~2");
        assert_eq!(findings[1].remedy, None);
        assert!(
            findings[0]
                .margin
                .is_some_and(|margin| (margin + 0.5 / 10.5).abs() < 1e-12)
        );
    }
}
