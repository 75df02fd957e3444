//! Pictures of a report as data: who draws them decides on lines and letters.

use serde::Serialize;

use super::Verdict;

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

impl Plot {
    /// Curves over two axes, each of which is told by its name and unit.
    #[must_use]
    pub fn new(title: impl Into<String>, [x, y]: [&str; 2], series: Vec<Series>) -> Self {
        Self {
            title: title.into(),
            x: x.to_owned(),
            y: y.to_owned(),
            series,
            ..Self::default()
        }
    }

    /// The same with lines across.
    #[must_use]
    pub fn marked(mut self, marks: impl IntoIterator<Item = Mark>) -> Self {
        self.marks.extend(marks);
        self
    }
}

impl Series {
    /// A curve.
    #[must_use]
    pub fn line(name: impl Into<String>, points: impl IntoIterator<Item = [f64; 2]>) -> Self {
        Self {
            name: name.into(),
            points: points.into_iter().collect(),
            dots: false,
        }
    }

    /// A cloud of points.
    #[must_use]
    pub fn dots(name: impl Into<String>, points: impl IntoIterator<Item = [f64; 2]>) -> Self {
        Self {
            dots: true,
            ..Self::line(name, points)
        }
    }
}

impl Mark {
    /// A line at a height.
    #[must_use]
    pub fn across(name: impl Into<String>, at: f64) -> Self {
        Self {
            name: name.into(),
            at,
            upright: false,
        }
    }

    /// A line at a place on the horizontal axis.
    #[must_use]
    pub fn upright(name: impl Into<String>, at: f64) -> Self {
        Self {
            upright: true,
            ..Self::across(name, at)
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
