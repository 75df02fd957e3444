//! A number of a report with the bounds of its interval.

use physics::Working;
use quantity::{AnyValue, Digits, show_half, show_half_bare, show_interval, show_interval_bare};
use serde::ser::SerializeMap as _;
use serde::{Serialize, Serializer};
use statistics::CONFIDENCE;

/// A measurement has at most so many significant digits; its interval mostly leaves it fewer.
const MEASURED: u8 = 9;

/// One number of a report.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// A short name in kebab case, stable: tests and other programs find it by this.
    pub id: &'static str,
    /// What it is, in the words of the reader.
    pub what: String,
    /// Estimate (nominal) with the bounds of its interval.
    pub value: AnyValue,
    /// Whether it is a count or a place on a scale without unit, and no share: 1 is then not 100 %.
    pub bare: bool,
    /// Confidence of the interval as a share, such as 0.95; nothing where the bounds are limits or there is no interval.
    pub confidence: Option<f64>,
    /// How it came about, where one formula gives it.
    pub working: Option<Working>,
}

/// As JSON: the text of its value is the one that people are shown.
impl Serialize for Figure {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        struct Written<'f>(&'f Figure);
        impl Serialize for Written<'_> {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                self.0.value.serialize_as(&self.0.shown(), serializer)
            }
        }
        let mut out = serializer.serialize_map(None)?;
        out.serialize_entry("id", self.id)?;
        out.serialize_entry("what", &self.what)?;
        out.serialize_entry("value", &Written(self))?;
        if self.bare {
            out.serialize_entry("bare", &true)?;
        }
        if let Some(confidence) = self.confidence {
            out.serialize_entry("confidence", &confidence)?;
        }
        if let Some(working) = &self.working {
            out.serialize_entry("working", working)?;
        }
        out.end()
    }
}

impl Figure {
    /// A number without an interval.
    #[must_use]
    pub fn plain(id: &'static str, what: impl Into<String>, value: impl Into<AnyValue>) -> Self {
        Self {
            id,
            what: what.into(),
            value: value.into(),
            bare: false,
            confidence: None,
            working: None,
        }
    }
    /// The same as a count or a place on a scale without unit.
    #[must_use]
    pub fn bare(mut self) -> Self {
        self.bare = true;
        self
    }
    /// The value with the bounds of its interval, for people.
    #[must_use]
    pub fn shown(&self) -> String {
        let show = if self.bare {
            show_interval_bare
        } else {
            show_interval
        };
        show(&self.value, Digits::new(MEASURED))
    }
    /// The value with the larger half of its interval, for one look.
    #[must_use]
    pub fn at_a_glance(&self) -> String {
        let digits = Digits::new(MEASURED);
        match (self.confidence, self.bare) {
            // Bounds that are limits are no uncertainty of what lies between them.
            (None, true) => show_interval_bare(&self.value, digits),
            (None, false) => show_interval(&self.value, digits),
            (Some(_), true) => show_half_bare(&self.value, digits),
            (Some(_), false) => show_half(&self.value, digits),
        }
    }
    /// What it is in as few words as tell it, for one look; the words of [`Self::what`] where these are few.
    #[must_use]
    pub fn brief(&self) -> &str {
        match self.id {
            "farthest" => "99 % within",
            "width" if self.what.contains("band") => "99 % band",
            "width" => "width over set",
            "deviation" | "width-deviation" => "SD",
            "tilt-over-bed" => "tilt",
            "rise-right" => "left to right",
            "rise-back" => "front to back",
            "offset-uncertainty" => "offset good to",
            "threshold" => "threshold",
            "room" => "margin",
            "false-trigger-edge" => "false triggers at",
            "feed" => "fed of commanded",
            "travel" => "travelled",
            "scale" => "length over drawn",
            "steps" => "steps",
            "compensation" => "compensation",
            "false-alarms" => "false alarms",
            "missed" => "missed",
            "run-on" => "longest run-on",
            "lights" => "LEDs",
            "wrong" => "wrong",
            "far-end" => "last LED at worst",
            "lowest" => "lowest",
            "highest" => "highest",
            "middle" => "median",
            "end-at-hottest" => "end in hottest air",
            "end" => "in air of log",
            "rise" => "rise",
            "gain" => "rise at full power",
            "lag" => "time constant",
            "second-lag" => "second time constant",
            "delay" => "dead time",
            "alarm" => "fault at",
            _ => &self.what,
        }
    }
    /// A number with its interval at the confidence of [`CONFIDENCE`].
    #[must_use]
    pub fn with_interval(id: &'static str, what: impl Into<String>, value: impl Into<AnyValue>) -> Self {
        Self {
            confidence: Some(CONFIDENCE),
            ..Self::plain(id, what, value)
        }
    }
}
