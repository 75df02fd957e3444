//! The one shape of a result: verdict, sentence, figures with their intervals, tables, pictures, what could not be read.

use physics::Working;
use quantity::{AnyValue, Digits, show, show_bare};
use serde::ser::SerializeMap as _;
use serde::{Serialize, Serializer};

/// What a measurement says about the question that it was made for; ordered from settled to worst.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Shown to hold, at the stated confidence.
    Holds,
    /// Nothing was asked of it: a number to carry on with.
    Measured,
    /// The interval does not decide: more or better data are needed.
    NotShown,
    /// Shown not to hold.
    Fails,
}

impl Verdict {
    /// The words on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Holds => "holds",
            Verdict::Measured => "measured",
            Verdict::NotShown => "not shown",
            Verdict::Fails => "fails",
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

/// Something to do, or not worth doing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// The sentence.
    pub sentence: String,
    /// Whether it would help; `false` says what people often try in vain.
    pub helps: bool,
}

/// A table with a heading for each column.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Table {
    /// What it shows.
    pub title: String,
    /// Headings, with units.
    pub columns: Vec<String>,
    /// Rows.
    pub rows: Vec<Row>,
}

/// A row of a table.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// One text for each column.
    pub cells: Vec<String>,
    /// Whether it is the one to take.
    pub chosen: bool,
}

/// A picture as data.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Picture {
    /// Curves or points over two axes.
    Plot(Plot),
    /// A surface over a plane.
    Grid(Grid),
    /// Estimates with their intervals against a limit.
    Spans(Spans),
    /// One cell for each thing that was looked at.
    Cells(Cells),
}

impl Picture {
    /// What it shows.
    #[must_use]
    pub fn title(&self) -> &str {
        match self {
            Picture::Plot(plot) => &plot.title,
            Picture::Grid(grid) => &grid.title,
            Picture::Spans(spans) => &spans.title,
            Picture::Cells(cells) => &cells.title,
        }
    }
}

/// Estimates with their intervals over one axis.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Spans {
    /// What it shows.
    pub title: String,
    /// Name and unit of the axis.
    pub axis: String,
    /// The estimates.
    pub rows: Vec<Span>,
    /// The largest that is allowed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<Mark>,
}

/// One estimate with its interval.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Span {
    /// What was estimated.
    pub name: String,
    /// Lower end, estimate, upper end, in the unit of the axis.
    pub ends: [f64; 3],
    /// The same for people.
    pub text: String,
    /// What the limit says to it.
    pub verdict: Verdict,
}

/// Cells in groups.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Cells {
    /// What it shows.
    pub title: String,
    /// Groups from top to bottom.
    pub groups: Vec<CellGroup>,
    /// What kinds of cells mean.
    pub key: Vec<(Cell, String)>,
}

/// Cells under one heading.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct CellGroup {
    /// Name of the group, and what is to be seen in it.
    pub name: String,
    /// Its cells.
    pub cells: Vec<Cell>,
    /// Whether their places count, from 1.
    pub counted: bool,
    /// How many things one cell stands for.
    pub each: u32,
}

/// One thing that was looked at.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Cell {
    /// One or two letters, or a sign.
    pub text: String,
    /// Letters of a colour by IEC 60757, where it has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub colour: Option<&'static str>,
    /// Whether it is as it should be; nothing where that is not known.
    pub right: Option<bool>,
}

/// Curves or points over two axes.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Plot {
    /// What it shows.
    pub title: String,
    /// Name and unit of the horizontal axis.
    pub x: String,
    /// Name and unit of the vertical axis.
    pub y: String,
    /// What is drawn; long series are thinned before they come here, peaks kept.
    pub series: Vec<Series>,
    /// Lines across at a limit or a moment.
    pub marks: Vec<Mark>,
    /// Whether each axis is logarithmic: x, y.
    pub logarithmic: [bool; 2],
}

/// One curve or cloud of points.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Series {
    /// Name in the legend.
    pub name: String,
    /// Points x, y; those that are not finite break the line.
    pub points: Vec<[f64; 2]>,
    /// Points instead of a line.
    pub dots: bool,
}

/// A line across a plot.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mark {
    /// What it marks.
    pub name: String,
    /// Where, in the unit of its axis.
    pub at: f64,
    /// Whether the line is upright, at a place on the horizontal axis.
    pub upright: bool,
}

/// Heights over a plane.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Grid {
    /// What it shows.
    pub title: String,
    /// Name and unit of x and y.
    pub plane: String,
    /// Name and unit of the height.
    pub height: String,
    /// Places of the columns, rising.
    pub x: Vec<f64>,
    /// Places of the rows, rising.
    pub y: Vec<f64>,
    /// Heights by row, then column; NaN where none is known.
    pub z: Vec<Vec<f64>>,
    /// Places to name, such as screws: name, x, y.
    pub places: Vec<(String, f64, f64)>,
}

/// Something that could not be read or was left out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Trouble {
    /// The line, from 1; nothing where it is about the whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<u64>,
    /// What it is, what was expected and how to mend it.
    pub what: String,
    /// How many lines share it.
    pub count: u64,
}

/// Why a file says nothing about its question: what is wrong with it, and how to mend that.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Refused {
    /// What is wrong, a headline that stands alone, without full stop.
    pub problem: String,
    /// What was expected, or how to mend it.
    pub mend: String,
    /// Single lines that led to it.
    pub troubles: Vec<Trouble>,
}

impl Refused {
    /// A refusal of the whole.
    #[must_use]
    pub fn new(problem: impl Into<String>, mend: impl Into<String>) -> Self {
        Self {
            problem: problem.into(),
            mend: mend.into(),
            troubles: Vec::new(),
        }
    }
    /// The same with the lines that led to it.
    #[must_use]
    pub fn because_of(mut self, troubles: Vec<Trouble>) -> Self {
        self.troubles = troubles;
        self
    }
}

impl core::fmt::Display for Refused {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(formatter, "{}: {}", self.problem, self.mend)
    }
}

impl core::error::Error for Refused {}

/// What an analysis gives: reports, or the reason why there are none.
pub type Outcome = Result<Vec<Report>, Refused>;

impl Trouble {
    /// Something about one line, from 1.
    #[must_use]
    pub fn at(line: u64, what: impl Into<String>) -> Self {
        Self {
            line: Some(line),
            what: what.into(),
            count: 1,
        }
    }
    /// Something about the whole file.
    #[must_use]
    pub fn of_all(what: impl Into<String>) -> Self {
        Self {
            line: None,
            what: what.into(),
            count: 1,
        }
    }
}

impl core::fmt::Display for Trouble {
    fn fmt(&self, formatter: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match (self.line, self.count) {
            (Some(line), 0 | 1) => write!(formatter, "line {line}: {}", self.what),
            (Some(line), more) => write!(formatter, "line {line} and {} more: {}", more - 1, self.what),
            (None, _) => formatter.write_str(&self.what),
        }
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
        let show = if self.bare { show_bare } else { show };
        show(&self.value, Digits::default())
    }
    /// A number with its interval at the confidence of [`CONFIDENCE`](statistics::CONFIDENCE).
    #[must_use]
    pub fn with_interval(id: &'static str, what: impl Into<String>, value: impl Into<AnyValue>) -> Self {
        Self {
            confidence: Some(statistics::CONFIDENCE),
            ..Self::plain(id, what, value)
        }
    }
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

impl Table {
    /// A table of texts, none of its rows chosen.
    #[must_use]
    pub fn of(
        title: impl Into<String>,
        columns: &[&str],
        rows: impl IntoIterator<Item = Vec<String>>,
    ) -> Self {
        Self {
            title: title.into(),
            columns: columns.iter().map(|column| (*column).to_owned()).collect(),
            rows: rows
                .into_iter()
                .map(|cells| Row { cells, chosen: false })
                .collect(),
        }
    }
}

impl Verdict {
    /// Whether a value is at most a limit: held or broken by its whole interval, else not shown.
    #[must_use]
    pub fn at_most(low: f64, high: f64, limit: f64) -> Self {
        if high <= limit {
            Self::Holds
        } else if low > limit {
            Self::Fails
        } else {
            // Also where a bound is no number.
            Self::NotShown
        }
    }
}

/// Few points that look the same: of each stretch the lowest and the highest, in their order.
pub(crate) fn thinned(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    const MOST: usize = 800;
    if points.len() <= MOST {
        return points.to_vec();
    }
    let mut out = Vec::with_capacity(MOST + 2);
    for part in points.chunks(points.len().div_ceil(MOST / 2)) {
        let by = |one: &usize, other: &usize| part[*one][1].total_cmp(&part[*other][1]);
        let low = (0..part.len()).min_by(by).unwrap_or(0);
        let high = (0..part.len()).max_by(by).unwrap_or(0);
        let (first, second) = (low.min(high), low.max(high));
        out.push(part[first]);
        if first != second {
            out.push(part[second]);
        }
    }
    out
}
