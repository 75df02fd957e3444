//! One step: why, what can hurt, what to do, what to expect.

use physics::Working;
use quantity::{AnyValue, Digits, Quantity, Value, show};
use serde::Serialize;

/// The part of the bring-up that a step belongs to; phases follow each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    /// While the old controller still runs.
    OldController,
    /// Before anything is touched.
    Prepare,
    /// Unplugged, with a meter.
    Unpowered,
    /// Power on the board alone.
    BoardAlone,
    /// Power with sensors plugged in, nothing heats or moves.
    Senses,
    /// Motors at low current.
    Motion,
    /// Heaters, one by one, under watch.
    Heat,
    /// Tuning and measuring.
    Prove,
    /// Handing over.
    HandOver,
}

impl Phase {
    /// The heading on pages.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Phase::OldController => "While the old controller still runs",
            Phase::Prepare => "Prepare",
            Phase::Unpowered => "Measurements, de-energised",
            Phase::BoardAlone => "First power-on, board only",
            Phase::Senses => "Sensors and switches",
            Phase::Motion => "First motion",
            Phase::Heat => "First heat",
            Phase::Prove => "Tuning and verification",
            Phase::HandOver => "Hand over",
        }
    }
}

/// What a step puts at risk, and so what must be confirmed before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Needs {
    /// The machine is unplugged.
    Unplugged,
    /// The board has power.
    Power,
    /// A motor moves.
    Motion,
    /// A heater heats.
    Heat,
}

/// What is read.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reading {
    /// A number with its limits: anything from `low` to `high` is as expected.
    Between(AnyValue),
    /// At least this.
    AtLeast(AnyValue),
    /// At most this.
    AtMost(AnyValue),
    /// Something that is seen or heard.
    Seen(String),
}

/// An expected reading with its working.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Expected {
    /// What is measured or looked at: "between the two wires of H1".
    pub what: String,
    /// What is expected.
    pub reading: Reading,
    /// How the limits came about.
    pub working: Vec<Working>,
}

impl Expected {
    /// A number between limits.
    pub fn between<Q: Quantity>(what: impl Into<String>, value: Value<Q>) -> Self {
        Self {
            what: what.into(),
            reading: Reading::Between(value.into()),
            working: Vec::new(),
        }
    }
    /// A number of at least a value.
    pub fn at_least<Q: Quantity>(what: impl Into<String>, value: Value<Q>) -> Self {
        Self {
            what: what.into(),
            reading: Reading::AtLeast(value.into()),
            working: Vec::new(),
        }
    }
    /// A number of at most a value.
    pub fn at_most<Q: Quantity>(what: impl Into<String>, value: Value<Q>) -> Self {
        Self {
            what: what.into(),
            reading: Reading::AtMost(value.into()),
            working: Vec::new(),
        }
    }
    /// Something that is seen or heard.
    pub fn seen(what: impl Into<String>, words: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            reading: Reading::Seen(words.into()),
            working: Vec::new(),
        }
    }
    /// With one more working.
    #[must_use]
    pub fn working(mut self, working: Working) -> Self {
        self.working.push(working);
        self
    }
    /// The reading in words: "10.9 Ω to 13.6 Ω".
    #[must_use]
    pub fn words(&self) -> String {
        let end = |value: AnyValue| show(&value, Digits::new(3));
        match &self.reading {
            Reading::Between(value) => {
                let (low, high) = (end(value.at_low()), end(value.at_high()));
                if low == high {
                    low
                } else {
                    format!("{low} to {high}")
                }
            }
            Reading::AtLeast(value) => format!("at least {}", end(value.at_high())),
            Reading::AtMost(value) => format!("at most {}", end(value.at_low())),
            Reading::Seen(words) => words.clone(),
        }
    }
}

/// One step of the bring-up.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// Stable identifier: `resistance:H1`.
    pub id: String,
    /// Its phase.
    pub phase: Phase,
    /// What is done, in a few words.
    pub title: String,
    /// Why it is done.
    pub why: String,
    /// What can hurt in it; `None` where nothing beyond the cautions of the page.
    pub hazard: Option<String>,
    /// What it puts at risk.
    pub needs: Needs,
    /// What to do, one thing a sentence.
    pub actions: Vec<String>,
    /// What to expect.
    pub expected: Vec<Expected>,
    /// What to look for where it is otherwise.
    pub otherwise: Vec<String>,
    /// Tags of the leads it is about.
    pub tags: Vec<String>,
    /// Names of the ports it is about.
    pub ports: Vec<String>,
    /// Identifiers of the settings it proves.
    pub settings: Vec<String>,
    /// Identifiers of the steps that must be done before; each stands earlier in the list.
    pub after: Vec<String>,
    /// Key of the bibliography for the rule.
    pub source: &'static str,
}

impl Step {
    pub(crate) fn new(
        id: impl Into<String>,
        phase: Phase,
        needs: Needs,
        title: impl Into<String>,
        why: impl Into<String>,
    ) -> Self {
        Self {
            id: id.into(),
            phase,
            title: title.into(),
            why: why.into(),
            hazard: None,
            needs,
            actions: Vec::new(),
            expected: Vec::new(),
            otherwise: Vec::new(),
            tags: Vec::new(),
            ports: Vec::new(),
            settings: Vec::new(),
            after: Vec::new(),
            source: "common-practice",
        }
    }
    /// One more thing that can hurt; what was said before stays.
    pub(crate) fn hazard(mut self, words: &str) -> Self {
        self.hazard = Some(match self.hazard {
            Some(before) => format!("{before} {words}"),
            None => words.to_owned(),
        });
        self
    }
    pub(crate) fn act(mut self, words: impl Into<String>) -> Self {
        self.actions.push(words.into());
        self
    }
    pub(crate) fn expect(mut self, expected: Expected) -> Self {
        self.expected.push(expected);
        self
    }
    pub(crate) fn otherwise(mut self, words: impl Into<String>) -> Self {
        self.otherwise.push(words.into());
        self
    }
    pub(crate) fn tag(mut self, tag: &str) -> Self {
        self.tags.push(tag.to_owned());
        self
    }
    /// A connected device with its port.
    pub(crate) fn at(mut self, pair: &plan::Pair<'_>) -> Self {
        self.ports.push(pair.port_name().to_owned());
        self.tag(&pair.device().tag.value)
    }
    pub(crate) fn setting(mut self, id: impl Into<String>) -> Self {
        self.settings.push(id.into());
        self
    }
    pub(crate) fn after(mut self, id: impl Into<String>) -> Self {
        self.after.push(id.into());
        self
    }
    pub(crate) fn source(mut self, source: &'static str) -> Self {
        self.source = source;
        self
    }
    /// Whether the person must say yes before it, each time: heat and motion never start by themselves.
    #[must_use]
    pub fn needs_confirmation(&self) -> bool {
        self.needs >= Needs::Power
    }
}
