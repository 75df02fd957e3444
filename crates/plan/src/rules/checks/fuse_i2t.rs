//! What a fuse lets through in a short circuit before it opens, against what the wires bear: time against time.

use physics::electrics::{self, FuseClass};
use physics::{named, work};
use quantity::si::{Area, ElectricCurrent, Ratio, Time};
use quantity::{Number, Value, si};

use crate::facts::guard::{Front, overload};
use crate::facts::rails::{Outside, fed_from_outside};
use crate::facts::{PairFacts, WholeFacts, wires};
use crate::rules::checks::lead_fuse::no_fuse;
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};
use crate::rules::workings::with_overload;

pub(crate) const ID: &str = "fuse-i2t";

/// For how long the law of the short circuit holds; what flows for longer is an overload, and has a rule of its own.
const SHORT_S: f64 = 5.0;

/// The leads of heaters, with the fuse of the board or the one that the plan adds in front of them.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for pair in facts.pairs() {
        if !pair.device().is_direct_heater() {
            continue;
        }
        let front = facts.guard(pair).map(|guard| guard.front(pair));
        let Some((front, current)) = front.zip(fault(facts, pair)) else {
            continue;
        };
        let cable = Cable { pair, current };
        match front {
            Front::Limit => {}
            Front::NoneFits => judge.say(Verdict::Caution, || cable.without_fuse()),
            Front::Fitted(fuse, smaller) => cable.judge(
                &Fuse {
                    rating: fuse,
                    name: "the fuse of the board",
                    smaller,
                },
                judge,
            ),
            Front::Added(fuse) => cable.judge(
                &Fuse {
                    rating: fuse,
                    name: "the blade fuse of the plan",
                    smaller: None,
                },
                judge,
            ),
        }
    }
}

/// The lead of a heater, and what a short circuit at its end draws.
struct Cable<'f, 'a> {
    pair: &'f PairFacts<'a>,
    current: Value<ElectricCurrent>,
}

struct Fuse {
    rating: ElectricCurrent,
    name: &'static str,
    /// A smaller one that still holds the load.
    smaller: Option<ElectricCurrent>,
}

/// A current of a short circuit, and by when the fuse has opened.
#[derive(Clone, Copy)]
struct Corner {
    current: ElectricCurrent,
    /// Whether the fuse is only so slow for what is less than this current.
    below: bool,
    opens: Time,
}

impl Cable<'_, '_> {
    fn judge(&self, fuse: &Fuse, judge: &mut Judge) {
        // The fuse opens later at a lower current, and the wire bears it longer: each step of the standard is a corner of its own.
        let corners = corners(self.current, fuse.rating);
        if let Some(never) = corners.iter().find(|corner| !corner.opens.base().is_finite()) {
            judge.say(Verdict::Caution, || self.never(fuse, never.current));
            return;
        }
        let (short, long): (Vec<&Corner>, Vec<&Corner>) =
            corners.iter().partition(|corner| corner.opens.base() <= SHORT_S);
        let share = |corner: &Corner| corner.opens.base() / self.bears(corner).base();
        let worst = short
            .into_iter()
            .max_by(|one, other| share(one).total_cmp(&share(other)));
        let slowest = long.into_iter().max_by(|one, other| {
            let key = |corner: &Corner| (corner.opens.base(), corner.current.base());
            key(one)
                .partial_cmp(&key(other))
                .unwrap_or(core::cmp::Ordering::Equal)
        });
        let overload = slowest.zip(self.overload(fuse));
        match (worst, overload) {
            // The one that is nearer to its limit.
            (Some(worst), Some((_, overload))) if share(worst) >= overload.high().base() => {
                self.short(fuse, worst, judge);
            }
            (_, Some((slowest, overload))) => {
                judge.at_most(overload, Value::exact(si::ratio(1.0)), Verdict::Caution, || {
                    self.long(fuse, slowest)
                });
            }
            (Some(worst), None) => self.short(fuse, worst, judge),
            (None, None) => {}
        }
    }

    fn area(&self) -> Area {
        self.pair.wire().area()
    }

    fn bears(&self, corner: &Corner) -> Time {
        electrics::withstand_time(self.area(), corner.current)
    }

    /// What the fuse lets pass for long, against what the wires bear.
    fn overload(&self, fuse: &Fuse) -> Option<Value<Ratio>> {
        let bears = wires::bears(&self.pair.swap.catalogue, self.pair.wire())?;
        Some(overload(
            Value::exact(FuseClass::Blade.opening_multiple()),
            Value::exact(fuse.rating),
            bears,
        ))
    }

    fn short(&self, fuse: &Fuse, worst: &Corner, judge: &mut Judge) {
        let bears = self.bears(worst);
        let (opens, limit) = (Value::exact(worst.opens), Value::exact(bears));
        judge.at_most(opens, limit, Verdict::Caution, || {
            let headline = format!(
                "{} {} of {} opens within {}. The wires of {} ({}) withstand that for {}",
                worst.words(),
                fuse.name,
                Value::exact(fuse.rating),
                brief(worst.opens),
                self.pair.device_name(),
                self.pair.wire(),
                brief(bears)
            );
            let inputs = (
                named(
                    "A",
                    format!("copper of {}", self.pair.wire()),
                    Value::exact(self.area()),
                ),
                named(
                    "I",
                    "current of the short circuit at which the fuse is slowest for the wire",
                    Value::exact(worst.current),
                ),
            );
            let worked = work(&electrics::WITHSTAND_TIME, "t", inputs, |(area, current)| {
                electrics::withstand_time(area, current)
            });
            let helps = |smaller: &ElectricCurrent| {
                let corners = corners(self.current, *smaller);
                corners.iter().all(|corner| corner.opens <= self.bears(corner))
            };
            let remedy = match fuse.smaller.filter(helps) {
                Some(smaller) => format!(
                    "put a blade fuse of {}, which still carries the load, into its plus wire, or use thicker wires",
                    Value::exact(smaller)
                ),
                None => "use thicker wires: no smaller fuse carries the load and opens sooner".to_owned(),
            };
            self.finding(headline).working(worked.working).remedy(remedy)
        });
    }

    fn long(&self, fuse: &Fuse, slowest: &Corner) -> Finding {
        let wire = self.pair.wire();
        let headline = format!(
            "{} {} of {} may take {} to open. It protects the wires of {} ({wire}) from such an overload",
            slowest.words(),
            fuse.name,
            Value::exact(fuse.rating),
            brief(slowest.opens),
            self.pair.device_name(),
        );
        let finding = self
            .finding(headline)
            .remedy("use thicker wires, or a supply whose short-circuit current opens the fuse at once");
        let Some(bears) = wires::bears(&self.pair.swap.catalogue, wire) else {
            return finding;
        };
        with_overload(
            finding,
            (
                Value::exact(FuseClass::Blade.opening_multiple()),
                "multiple at which the fuse is sure to open".to_owned(),
            ),
            Value::exact(fuse.rating),
            (bears, wire),
        )
    }

    fn never(&self, fuse: &Fuse, current: ElectricCurrent) -> Finding {
        let headline = format!(
            "a short circuit in {} may draw only {}, at which {} of {} need not open. The supply has to switch off",
            self.pair.device_name(),
            brief(current),
            fuse.name,
            Value::exact(fuse.rating)
        );
        let mut finding = self.finding(headline).remedy(
            "test the current limit of the supply on its own first. Or choose a supply that delivers twice the rating of the fuse",
        );
        finding.source = "iso-8820-3";
        finding
    }

    fn without_fuse(&self) -> Finding {
        let wire = self.pair.wire();
        let headline = format!(
            "no fuse opens in a short circuit in {}. None that carries the load suits its wires ({wire}): they may carry {} until the supply switches off",
            self.pair.device_name(),
            brief(self.current.high())
        );
        self.finding(headline).remedy(no_fuse(self.pair))
    }

    fn finding(&self, headline: String) -> Finding {
        Finding::new(headline, "iec-60364-4-43")
            .about(Subject::device(self.pair.device().tag.value.clone()))
            .at(self.pair.device().cable.wire.place)
    }
}

impl Corner {
    fn words(&self) -> String {
        let just_below = if self.below { "just below" } else { "at" };
        format!("{just_below} {}", brief(self.current))
    }
}

/// The current of a short circuit at the far end of the lead: what the supply gives before it limits, or what the wires let through.
fn fault(facts: &WholeFacts<'_>, pair: &PairFacts<'_>) -> Option<Value<ElectricCurrent>> {
    let own = pair
        .way
        .rail
        .and_then(|rail| fed_from_outside(pair.swap, pair.board, rail));
    let supply = match own {
        // Of an unknown one no current is known: `lead-fuse` and `completeness` ask for it.
        Some(Outside::Unknown) => return None,
        Some(Outside::Supply(_, supply)) => supply,
        None => facts.swap.machine.supplies().next()?.1,
    };
    let limited = supply.power.value / supply.voltage.value * facts.limits().supply_fault_share.value;
    let cable = &pair.device().cable;
    let per_length = wires::per_length(&pair.swap.catalogue, pair.wire());
    let source = facts.limits().supply_source_resistance.value;
    let voltage = supply.voltage.value;
    let through =
        |voltage: si::ElectricPotential,
         source: si::ElectricalResistance,
         per: si::ResistancePerLength,
         length: si::Length| { voltage / (source + si::ohm(2.0 * per.base() * length.base())) };
    let length = cable.length.value;
    Some(Value::corners(|end| {
        limited.at(end).smaller(through(
            voltage.at(end),
            source.at(end.other()),
            per_length.at(end.other()),
            length.at(end.other()),
        ))
    }))
}

/// Both ends of the current, and just below each step of the standard in between, where the fuse is slowest for its current.
fn corners(fault: Value<ElectricCurrent>, fuse: ElectricCurrent) -> Vec<Corner> {
    let corner = |current: ElectricCurrent, below: bool| {
        let opens = electrics::opening_time(FuseClass::Blade, current / fuse)
            .ok()
            .and_then(|time| time.opens);
        Corner {
            current,
            below,
            opens: opens.unwrap_or(Time::from_base(f64::INFINITY)),
        }
    };
    let mut out = vec![corner(fault.low(), false), corner(fault.high(), false)];
    for multiple in FuseClass::Blade.multiples() {
        let below = fuse * (multiple.base() * (1.0 - 1e-9));
        if fault.contains(below) {
            out.push(corner(below, true));
        }
    }
    out
}
