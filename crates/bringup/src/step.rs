//! One step: why, what can hurt, what to do, what to expect.

use physics::Working;
use quantity::{AnyValue, Digits, Kind, Quantity, TextError, Value, parse_reading, show};
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

/// How an end of a reading is shown.
const SHOWN: Digits = Digits::THREE;

/// Units that meters, rulers and thermometers show without a prefix.
const WHOLE: [&str; 12] = ["V", "A", "Ω", "W", "s", "min", "K", "°C", "mm", "mm/s", "g", "%"];

/// What meters show where no current flows.
const OPEN: [&str; 7] = ["ol", "o.l.", "o.l", "open", "overload", "infinite", "∞"];

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
    /// Something that is written down, whatever it is: later steps are held against it.
    Noted(String),
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
    /// Something that is written down: a number or words.
    pub fn noted(what: impl Into<String>, words: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            reading: Reading::Noted(words.into()),
            working: Vec::new(),
        }
    }
    /// With one more working.
    #[must_use]
    pub fn working(mut self, working: Working) -> Self {
        self.working.push(working);
        self
    }
    /// The lowest and the highest number that are as expected, as far as there is such an end; neither for what is seen.
    #[must_use]
    pub fn ends(&self) -> (Option<AnyValue>, Option<AnyValue>) {
        match &self.reading {
            Reading::Between(value) => (Some(value.at_low()), Some(value.at_high())),
            Reading::AtLeast(value) => (Some(value.at_high()), None),
            Reading::AtMost(value) => (None, Some(value.at_low())),
            Reading::Seen(_) | Reading::Noted(_) => (None, None),
        }
    }
    /// What was typed, as it is shown, and whether it is as expected, by the ends as they are shown. A number without unit has that of the ends,
    /// unless they are shown in thousandths or thousands: 0.3 beside 100 mΩ is more likely what a meter shows in ohms. What may be at most so
    /// large counts without its sign: −24 V is not dead. An open circuit may be typed as meters show it: OL, open, >20 MΩ. `None` for what is
    /// seen or noted.
    ///
    /// # Errors
    /// [`TextError`] where the text is no number of that kind, or leaves open on which side of a limit it lies.
    pub fn judge(&self, text: &str) -> Result<Option<(String, bool)>, TextError> {
        let (low, high) = self.ends();
        let Some(kind) = low.or(high).map(|end| end.kind) else {
            return Ok(None);
        };
        let text = text.trim();
        let ohms = kind == Kind::Resistance;
        if ohms && OPEN.contains(&text.to_lowercase().as_str()) {
            return Ok(Some(("open circuit".to_owned(), high.is_none())));
        }
        let (beyond, number) = match text.strip_prefix('>') {
            Some(rest) => (true, rest.trim()),
            None => (false, text),
        };
        let as_shown = |end: AnyValue| {
            let shown = show(&end, SHOWN);
            parse_reading(&shown, kind, None).unwrap_or(end)
        };
        let unit = |end: AnyValue| {
            let shown = show(&end, SHOWN);
            shown.split_once(' ').map(|(_, unit)| unit.to_owned())
        };
        // Where both ends have the same.
        let units: Vec<String> = [low, high].into_iter().flatten().filter_map(unit).collect();
        let bare = units
            .first()
            .filter(|first| WHOLE.contains(&first.as_str()) && units.iter().all(|unit| unit == *first));
        // As resistors are marked.
        let number = match number.char_indices().last() {
            Some((_, 'k' | 'M')) if ohms => format!("{number}Ω"),
            Some((at, 'R')) if ohms => format!("{}Ω", &number[..at]),
            _ => number.to_owned(),
        };
        let value = parse_reading(&number, kind, bare.map(String::as_str))?;
        let signed = kind == Kind::Temperature || !matches!(self.reading, Reading::AtMost(_));
        let read = if signed {
            value.nominal
        } else {
            value.nominal.abs()
        };
        let above = low.is_none_or(|low| read >= low.nominal.min(as_shown(low).nominal));
        let below = high.is_none_or(|high| read <= high.nominal.max(as_shown(high).nominal));
        if !beyond {
            return Ok(Some((value.to_string(), above && below)));
        }
        // Anything above it may be meant.
        if below && !(above && high.is_none()) {
            return Err(TextError {
                span: 0..text.len(),
                problem: "it may lie on either side of the limit".to_owned(),
                expected: "a reading in another range of the meter".to_owned(),
                help: None,
            });
        }
        Ok(Some((format!("> {value}"), below)))
    }
    /// The reading in words: "10.9 Ω to 13.6 Ω".
    #[must_use]
    pub fn words(&self) -> String {
        let end = |value: AnyValue| show(&value, SHOWN);
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
            Reading::Seen(words) | Reading::Noted(words) => words.clone(),
        }
    }
}

/// One row of a step: the same work at one of several places. It has an identifier, readings and settings of its own, so that it can be
/// recorded, and fall due again, without the others.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Part {
    /// Stable identifier: `resistance:H1`.
    pub id: String,
    /// The place, as sentences name it: "hot-end heater (H1)".
    pub what: String,
    /// What is done here and not at the other places.
    pub actions: Vec<String>,
    /// What to expect here.
    pub expected: Vec<Expected>,
    /// Tags of the cables it is about.
    pub tags: Vec<String>,
    /// Names of the ports it is about.
    pub ports: Vec<String>,
    /// Identifiers of the settings it verifies.
    pub settings: Vec<String>,
    /// Identifiers of the steps or parts that must be done before.
    pub after: Vec<String>,
}

/// What a step and each of its parts are told one by one.
macro_rules! told {
    ($place:ident) => {
        impl $place {
            pub(crate) fn act(mut self, words: impl Into<String>) -> Self {
                self.actions.push(words.into());
                self
            }
            pub(crate) fn expect(mut self, expected: Expected) -> Self {
                self.expected.push(expected);
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
        }
    };
}

told!(Step);
told!(Part);

impl Part {
    pub(crate) fn new(id: impl Into<String>, what: impl Into<String>) -> Self {
        Self {
            id: id.into(),
            what: what.into(),
            actions: Vec::new(),
            expected: Vec::new(),
            tags: Vec::new(),
            ports: Vec::new(),
            settings: Vec::new(),
            after: Vec::new(),
        }
    }
    /// A connected device: its name, tag and port.
    pub(crate) fn of(family: &str, pair: &plan::Pair<'_>) -> Self {
        let tag = &pair.device().tag.value;
        Self::new(format!("{family}:{tag}"), pair.device_name()).at(pair)
    }
    /// What a connected heater heats: behind a relay its load.
    pub(crate) fn heated(family: &str, pair: &plan::Pair<'_>) -> Self {
        let tag = &pair.device().tag.value;
        Self::new(format!("{family}:{tag}"), plan::heated_name(pair.device())).at(pair)
    }
}

/// How much there is to do.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Totals {
    /// Steps.
    pub steps: usize,
    /// Things to do: each action of a step once, each row of its table once.
    pub actions: usize,
    /// How often the power is switched off.
    pub switch_offs: u32,
    /// Minutes at the machine.
    pub minutes: u32,
}

impl Totals {
    /// What these steps add up to.
    #[must_use]
    pub fn of(steps: &[Step]) -> Self {
        steps.iter().fold(Self::default(), |sum, step| Self {
            steps: sum.steps + 1,
            actions: sum.actions + step.actions.len() + step.parts.len(),
            switch_offs: sum.switch_offs + step.switch_offs(),
            minutes: sum.minutes + step.minutes,
        })
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
    /// What to do, one thing a sentence; where there are parts, at each of them.
    pub actions: Vec<String>,
    /// The places at which it is done, in their order; empty where it is done once.
    pub parts: Vec<Part>,
    /// About how long it takes a practised person, waiting included. Common practice, no source.
    pub minutes: u32,
    /// What to expect of the step as a whole.
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
            parts: Vec::new(),
            minutes: 0,
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
    /// One more place at which it is done; its tags, ports, settings and what comes before it count for the step.
    pub(crate) fn part(mut self, part: Part) -> Self {
        let add = |to: &mut Vec<String>, from: &[String]| {
            for own in from {
                if !to.contains(own) {
                    to.push(own.clone());
                }
            }
        };
        add(&mut self.tags, &part.tags);
        add(&mut self.ports, &part.ports);
        add(&mut self.settings, &part.settings);
        add(&mut self.after, &part.after);
        self.parts.push(part);
        self
    }
    /// All parts at once.
    pub(crate) fn parts(self, parts: impl IntoIterator<Item = Part>) -> Self {
        parts.into_iter().fold(self, Self::part)
    }
    /// How long it takes: once, and for each part.
    pub(crate) fn takes(mut self, once: u32, each: u32) -> Self {
        self.minutes = once + each * u32::try_from(self.parts.len()).unwrap_or(u32::MAX / 1000);
        self
    }
    /// How often the power is switched off in it.
    #[must_use]
    pub fn switch_offs(&self) -> u32 {
        let in_words = |words: &[String]| -> usize {
            let count = |words: &String| words.to_lowercase().matches("switch off").count();
            words.iter().map(count).sum()
        };
        let own: usize = self.parts.iter().map(|part| in_words(&part.actions)).sum();
        u32::try_from(in_words(&self.actions) + own).unwrap_or(u32::MAX)
    }
    pub(crate) fn otherwise(mut self, words: impl Into<String>) -> Self {
        self.otherwise.push(words.into());
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
