//! One result of one check: what was found, how bad it is, and how the number came about.

use model::machine::Device;
use model::{Place, Wish};
use physics::Working;
use quantity::si::TemperatureInterval;
use quantity::{AnyValue, Digits, Kind, Quantity, Value, show};
use serde::Serialize;

use crate::facts::harness::Part;
use crate::rules::judging::disposition::{Disposition, Handling};
use crate::rules::judging::limit::{Limit, Side};
use crate::rules::judging::remedy::Remedy;
use crate::rules::judging::verdict::{Stake, Verdict};

/// What a finding is about, by the names that stand on tags, boards and in files. Empty parts do not apply.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Subject {
    /// Tag of the device.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub device: Option<String>,
    /// Name of the port.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub port: Option<String>,
    /// Anything else: a rail, an axis, a driver, a hole, a wish.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub other: Option<String>,
}

impl Subject {
    /// About the board or machine as a whole.
    #[must_use]
    pub fn whole() -> Self {
        Self::default()
    }
    /// About something by its name: a rail, an axis, a driver.
    #[must_use]
    pub fn named(other: impl Into<String>) -> Self {
        Self {
            other: Some(other.into()),
            ..Self::default()
        }
    }
    /// About a device.
    #[must_use]
    pub fn device(tag: impl Into<String>) -> Self {
        Self {
            device: Some(tag.into()),
            ..Self::default()
        }
    }
    /// About one aspect of a device.
    #[must_use]
    pub fn aspect(device: &Device, what: impl Into<String>) -> Self {
        Self {
            other: Some(what.into()),
            ..Self::device(device.tag.value.clone())
        }
    }
    /// About a wish.
    #[must_use]
    pub fn wish(wish: &Wish) -> Self {
        Self::named(wish.name.value.clone())
    }
    /// The identifier of what a check finds about this: the check, and the names that tell its subjects apart.
    pub(crate) fn identifier(&self, check: &str) -> String {
        let names = [&self.device, &self.port, &self.other];
        let length: usize = names
            .iter()
            .map(|name| name.as_ref().map_or(0, |name| 1 + name.len()))
            .sum();
        let mut text = String::with_capacity(check.len() + length);
        text.push_str(check);
        let mut before = ':';
        for name in names.into_iter().flatten() {
            text.push(before);
            for (at, part) in name.split(' ').enumerate() {
                if at > 0 {
                    text.push('-');
                }
                text.push_str(part);
            }
            before = '-';
        }
        text
    }
}

/// A quantity for a headline: three digits, no tolerance.
pub(crate) fn brief<Q: Quantity>(quantity: Q) -> String {
    show(&AnyValue::from(Value::exact(quantity)), Digits::new(3))
}

/// What became of an entry `[[accepted]]` about a finding.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Acceptance {
    /// Who accepted it.
    pub by: String,
    /// Why.
    pub reason: String,
    /// Why it does not count, in a clause; `None` where it does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
}

/// That a finding is neither pass nor fail before a fact is known that nobody stated. It ranks by the worst that it may turn out to be.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Open {
    /// The fact: "`wire` of H1"; `None` where it was not looked for.
    pub fact: Option<String>,
    /// The name by which it is asked for: "H1.wire".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ask: Option<String>,
    /// The table that lacks it.
    #[serde(skip)]
    pub place: Option<Place>,
}

/// One result of one check.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// Stable identifier: the check, and its subject where it has one: `port-current:F1-FAN1`.
    pub id: String,
    /// The identifier of the check.
    pub check: &'static str,
    /// What can come to harm where it is not heeded.
    pub stake: Stake,
    /// How bad it is.
    pub verdict: Verdict,
    /// A sentence that stands alone, for the person at the bench; no full stop.
    pub headline: String,
    /// What it is about.
    pub subject: Subject,
    /// The value that was judged, where there is one.
    pub value: Option<AnyValue>,
    /// The limit it was held against.
    pub limit: Option<Limit>,
    /// What is left to the limit at the worst corner, as a share of the limit.
    pub margin: Option<f64>,
    /// How the numbers came about, in the order of reading.
    pub working: Vec<Working>,
    /// Key of the bibliography for the limit or rule.
    pub source: &'static str,
    /// What to do about it; `None` where nothing needs doing.
    pub remedy: Option<Remedy>,
    /// What has to be added so that the plan holds; the finding is then no blocker but a caution.
    pub parts: Vec<Part>,
    /// What is left to do about it.
    pub disposition: Disposition,
    /// Where the plan deals with it, where it claims to: all of these together.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub handled_by: Vec<Handling>,
    /// Who accepted it and why, or why an acceptance does not count.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub acceptance: Option<Acceptance>,
    /// The fact that would settle it, where it hangs on what nobody stated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub open: Option<Open>,
    /// Whether it hangs on a value that nobody stated, whatever that turns out to be.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub assumed: bool,
    /// Whether it asks for a fact of the machine: then it is no limit of the machine, since a person can settle it.
    #[serde(skip)]
    pub asks: bool,
    /// Whether its parts alone do not mend it.
    #[serde(skip)]
    pub takes_more: bool,
    /// The word in the user's files that it hangs on.
    #[serde(skip)]
    pub place: Option<Place>,
}

impl Finding {
    /// Whether it is neither blocker nor caution and, where it has a limit, holds that at the worst corner: then it holds on every machine
    /// within the tolerances. A note may tell of a limit that only the worst corner breaks.
    #[must_use]
    pub fn is_certain(&self) -> bool {
        self.verdict < Verdict::Caution && self.margin.is_none_or(|margin| margin >= 0.0)
    }
    /// The word of its verdict on pages.
    #[must_use]
    pub fn word(&self) -> &'static str {
        if self.open.is_some() {
            "open"
        } else {
            self.verdict.word()
        }
    }
    /// Whether something is left to do that the plan does not deal with.
    #[must_use]
    pub fn is_open(&self) -> bool {
        matches!(
            self.disposition,
            Disposition::ToDecide | Disposition::AsTheMachineIs | Disposition::Accepted
        )
    }
    /// The end of its value that counts against its limit, without tolerance.
    #[must_use]
    pub fn worst(&self) -> Option<AnyValue> {
        let (value, limit) = (self.value?, self.limit?);
        Some(match limit.side {
            Side::AtMost => value.at_high(),
            Side::AtLeast => value.at_low(),
        })
    }
    /// A margin of this finding in kelvins, where its limit is a temperature.
    #[must_use]
    pub fn kelvins(&self, margin: f64) -> Option<TemperatureInterval> {
        self.limit?.kelvins(margin)
    }
    /// How its margin comes about at the worst corner: "(9.6 A − 7.857 A) / 9.6 A"; for a temperature "250 °C − 175 °C", which needs
    /// no share. `None` where the margin is not one of a value to a limit.
    #[must_use]
    pub fn margin_sum(&self) -> Option<String> {
        let (value, limit) = (self.value?, self.limit?);
        self.margin?;
        let text = |number: f64| {
            let exact = AnyValue {
                kind: value.kind,
                nominal: number,
                low: number,
                high: number,
            };
            show(&exact, Digits::new(4))
        };
        let corner = limit.corner(&value);
        if value.kind == Kind::Temperature {
            let celsius = |base: f64| {
                let exact = AnyValue {
                    nominal: base,
                    low: base,
                    high: base,
                    ..value
                };
                show(&exact, Digits::new(4))
            };
            return Some(format!("{} − {}", celsius(corner.more), celsius(corner.less)));
        }
        Some(format!(
            "({} − {}) / {}",
            text(corner.more),
            text(corner.less),
            text(limit.whole(&corner))
        ))
    }
    /// A finding without numbers; [`crate::Judge`] fills in check and identifier.
    #[must_use]
    pub fn new(headline: impl Into<String>, source: &'static str) -> Self {
        Self {
            id: String::new(),
            check: "",
            stake: Stake::default(),
            verdict: Verdict::Pass,
            headline: headline.into(),
            subject: Subject::default(),
            value: None,
            limit: None,
            margin: None,
            working: Vec::new(),
            source,
            remedy: None,
            parts: Vec::new(),
            disposition: Disposition::default(),
            handled_by: Vec::new(),
            acceptance: None,
            open: None,
            assumed: false,
            asks: false,
            takes_more: false,
            place: None,
        }
    }
    /// With what to do about it.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<Remedy>) -> Self {
        self.remedy = Some(remedy.into());
        self
    }
    /// With a place of the plan that deals with it; where it names several, it takes all of them.
    #[must_use]
    pub fn handled_by(mut self, place: Handling) -> Self {
        self.handled_by.push(place);
        self
    }
    /// Its part is not all that it takes: a person has something to change besides.
    #[must_use]
    pub fn and_more(mut self) -> Self {
        self.takes_more = true;
        self
    }
    /// It asks for a fact of the machine.
    #[must_use]
    pub fn asking(mut self) -> Self {
        self.asks = true;
        self
    }
    /// With one more working.
    #[must_use]
    pub fn working(mut self, working: Working) -> Self {
        self.working.push(working);
        self
    }
    /// With more workings.
    #[must_use]
    pub fn workings(mut self, workings: impl IntoIterator<Item = Working>) -> Self {
        self.working.extend(workings);
        self
    }
    /// With the value that was judged and the limit it was held against; [`crate::Judge::at_most`] and its like do this by themselves.
    #[must_use]
    pub fn against<Q: Quantity>(mut self, value: Value<Q>, side: Side, bound: Value<Q>) -> Self {
        let (value, limit) = (
            AnyValue::from(value),
            Limit {
                side,
                bound: AnyValue::from(bound),
            },
        );
        self.margin = limit.margin(&value);
        self.value = Some(value);
        self.limit = Some(limit);
        self
    }
    /// With the word in the user's files that it hangs on.
    #[must_use]
    pub fn at(mut self, place: Place) -> Self {
        self.place = Some(place);
        self
    }
    /// About something else than the pair that is judged.
    #[must_use]
    pub fn about(mut self, subject: Subject) -> Self {
        self.subject = subject;
        self
    }
}

/// A key of the bibliography for a row of the catalogue: its own where that is shipped, else that of a user's statement.
pub(crate) fn shipped_source(key: &str) -> &'static str {
    catalogue::built_in()
        .sources()
        .get(key)
        .map_or("own-statement", |source| &source.key)
}
