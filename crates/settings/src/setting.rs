//! One setting: what it was, what it shall be, and why.

use physics::Working;
use quantity::{AnyValue, Digits, Quantity, Value, show};
use serde::{Serialize, Serializer};

use crate::told::Untold;

use model::Topic;

/// What becomes of a setting.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fate {
    /// Taken over: nothing in the swap changes it.
    Carried,
    /// Computed anew from what the swap changes.
    Recomputed,
    /// To be measured or tuned again; its new value, where there is one, is a start.
    MeasureAgain,
    /// Not taken over.
    Dropped,
    /// Not known before.
    New,
}

impl Fate {
    /// All fates, in the order in which pages count them.
    pub const ALL: [Fate; 5] = [
        Fate::Carried,
        Fate::Recomputed,
        Fate::MeasureAgain,
        Fate::New,
        Fate::Dropped,
    ];

    /// The words on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Fate::Carried => "carried",
            Fate::Recomputed => "recomputed",
            Fate::MeasureAgain => "measure again",
            Fate::Dropped => "dropped",
            Fate::New => "new",
        }
    }
}

/// The value of a setting.
#[derive(Clone, Debug, PartialEq)]
pub enum SettingValue {
    /// A quantity.
    Quantity(AnyValue),
    /// A number without dimension.
    Number(f64),
    /// Words.
    Words(String),
}

impl SettingValue {
    /// An exact quantity.
    pub fn exact<Q: Quantity>(quantity: Q) -> Self {
        Self::Quantity(Value::exact(quantity).into())
    }
    /// Words.
    pub fn words(words: impl Into<String>) -> Self {
        Self::Words(words.into())
    }
    /// The value as a quantity of kind; a plain number is a ratio.
    #[must_use]
    pub fn any(&self) -> Option<AnyValue> {
        match self {
            Self::Quantity(value) => Some(*value),
            Self::Number(number) => Some(Value::exact(quantity::si::ratio(*number)).into()),
            Self::Words(_) => None,
        }
    }
}

impl core::fmt::Display for SettingValue {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Quantity(value) => formatter.write_str(&show(value, Digits::new(5))),
            Self::Number(number) => {
                // Six decimals hide the rounding of a division and nothing that is told.
                let text = format!("{number:.6}");
                formatter.write_str(text.trim_end_matches('0').trim_end_matches('.'))
            }
            Self::Words(words) => formatter.write_str(words),
        }
    }
}

/// As JSON: the text for people, and the quantity where it is one.
impl Serialize for SettingValue {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        #[derive(Serialize)]
        struct Written<'a> {
            text: String,
            #[serde(skip_serializing_if = "Option::is_none")]
            quantity: Option<&'a AnyValue>,
            #[serde(skip_serializing_if = "Option::is_none")]
            number: Option<f64>,
        }
        let (quantity, number) = match self {
            Self::Quantity(value) => (Some(value), None),
            Self::Number(number) => (None, Some(*number)),
            Self::Words(_) => (None, None),
        };
        Written {
            text: self.to_string(),
            quantity,
            number,
        }
        .serialize(serializer)
    }
}

/// A value that was, with where it is known from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Old {
    /// The value.
    pub value: SettingValue,
    /// "captured/old-controller.gcode:12" or "machine.toml:45".
    pub from: String,
}

/// How a new value gets into the controller.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum By {
    /// A running controller is told.
    Word {
        /// The word.
        word: String,
        /// The letter of the value.
        letter: char,
    },
    /// It is compiled or configured in.
    Build,
    /// A hand sets it: a trimmer, a jumper.
    Hand,
}

/// One named quantity that a controller is told.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Setting {
    /// Stable identifier: "steps-per-length:X".
    pub id: String,
    /// What it is about.
    pub topic: Topic,
    /// What it is about, in words: "steps per length".
    pub title: &'static str,
    /// Whose value it is: an axis, a heated part, a tag, `machine`.
    pub of: String,
    /// What becomes of it.
    pub fate: Fate,
    /// The old value, where it is known.
    pub old: Option<Old>,
    /// The new value; `None` where it is dropped or still has to be measured.
    pub new: Option<SettingValue>,
    /// Why, in sentences.
    pub reason: String,
    /// Whether the reason wants to be read: two sources differ, or a value may hurt.
    pub caution: bool,
    /// How the new value came about.
    pub working: Vec<Working>,
    /// Key of the bibliography for the rule.
    pub source: &'static str,
    /// How it gets into the controller.
    pub by: By,
    /// Why no running controller is told, for a number that one could be told.
    pub untold: Option<Untold>,
    /// The port that it belongs to.
    pub port: Option<String>,
    /// The processor pin of that port.
    pub pin: Option<String>,
}

impl Setting {
    /// Whether a new value is told to a running controller.
    #[must_use]
    pub fn is_told(&self) -> bool {
        matches!(self.by, By::Word { .. }) && self.new.is_some() && self.fate != Fate::Dropped
    }
    /// Leaves it open: nothing is told, for this reason.
    pub(crate) fn withhold(&mut self, reason: String) {
        self.new = None;
        self.working = Vec::new();
        self.fate = Fate::MeasureAgain;
        self.caution = true;
        self.by = match self.by {
            By::Hand => By::Hand,
            _ => By::Build,
        };
        self.untold = Some(Untold::Doubtful(reason.clone()));
        self.reason = reason;
    }
    /// The old value as text; nothing where it is not known.
    #[must_use]
    pub fn old_text(&self) -> Option<String> {
        self.old.as_ref().map(|old| old.value.to_string())
    }
    /// The new value as text; nothing where there is none.
    #[must_use]
    pub fn new_text(&self) -> Option<String> {
        self.new.as_ref().map(ToString::to_string)
    }
}
