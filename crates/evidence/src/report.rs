//! The one shape of a result: verdict, sentence, figures with their intervals, tables, pictures, what could not be read.

mod figure;
mod picture;
mod table;
mod trouble;

use serde::Serialize;

pub use figure::Figure;
pub use picture::{Cell, CellGroup, Cells, Grid, Mark, Picture, Plot, Series, Span, Spans};
pub use table::{Row, Table};
pub use trouble::{Refused, Trouble};

pub(crate) use picture::thinned;

/// What a measurement says about the question that it was made for; ordered from settled to worst.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Shown to hold, at the stated confidence.
    Pass,
    /// Nothing was asked of it: a number to carry on with.
    Result,
    /// The interval does not decide: more or better data are needed.
    Open,
    /// Shown not to hold.
    Fail,
}

impl Verdict {
    /// The words on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Pass => "pass",
            Verdict::Result => "result",
            Verdict::Open => "open",
            Verdict::Fail => "fail",
        }
    }

    /// Whether a value is at most a limit: held or broken by its whole interval, else open.
    #[must_use]
    pub fn at_most(low: f64, high: f64, limit: f64) -> Self {
        if high <= limit {
            Self::Pass
        } else if low > limit {
            Self::Fail
        } else {
            // Also where a bound is no number.
            Self::Open
        }
    }
}

/// All that is told about one measurement.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    /// What was measured, as a heading: "Temperature of the hot end".
    pub title: String,
    /// The verdict over all.
    pub verdict: Verdict,
    /// What it means, in one sentence that stands alone.
    pub sentence: String,
    /// Numbers with their intervals, the most important first.
    pub figures: Vec<Figure>,
    /// What to do about it, the most useful first; also what would not help.
    pub advice: Vec<Advice>,
    /// Tables, such as proposals side by side.
    pub tables: Vec<Table>,
    /// Pictures as data.
    pub pictures: Vec<Picture>,
    /// What could not be read or was left out, each with its line; never silently dropped.
    pub troubles: Vec<Trouble>,
    /// Keys of the bibliography for the methods used.
    pub sources: Vec<&'static str>,
}

impl Report {
    /// The same, where rows were lost that might have said otherwise: then nothing is shown to hold.
    #[must_use]
    pub fn heeding_lost_rows(mut self) -> Self {
        let lost = trouble::lost(&self.troubles);
        if lost == 0 || self.verdict != Verdict::Pass {
            return self;
        }
        self.verdict = Verdict::Open;
        let rows = if lost == 1 {
            "1 row"
        } else {
            &format!("{lost} rows")
        };
        self.sentence = format!(
            "Not settled, since {rows} could not be read. Of the others: {}",
            self.sentence
        );
        let sentence = "Mend the rows that are listed here, or measure them again.";
        self.advice.insert(0, Advice::helps(sentence));
        self
    }
}

/// Something to do, or not worth doing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// The sentence.
    pub sentence: String,
    /// Whether it would help; `false` says what people often try in vain.
    pub helps: bool,
}

impl Advice {
    /// Something that would help.
    #[must_use]
    pub fn helps(sentence: impl Into<String>) -> Self {
        Self {
            sentence: sentence.into(),
            helps: true,
        }
    }
    /// Something that people try in vain.
    #[must_use]
    pub fn in_vain(sentence: impl Into<String>) -> Self {
        Self {
            sentence: sentence.into(),
            helps: false,
        }
    }
}

/// What an analysis gives: reports, or the reason why there are none.
pub type Outcome = Result<Vec<Report>, Refused>;
