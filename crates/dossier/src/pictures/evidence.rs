//! The pictures of reports: series and marks as they stand, lines and letters by the drawing.

use drawing::{
    Along, Cell, CellGroup, CellState, Cells, Head, Layout, Mark, Plot, Series, SpanRow, Spans, Surface,
    Verdict,
};

use super::Picture;
use crate::evidence::Measured;
use crate::shown::Shown;

/// The pictures of all reports, in their order.
pub(super) fn pictures(shown: &Shown<'_>) -> Vec<Picture> {
    let all = shown.material.evidence;
    crate::evidence::pictured(all)
        .zip(names(all))
        .map(|((report, picture), name)| {
            let head = |prefix: String| super::head(shown, prefix, picture.title(), description(report));
            Picture::of(
                name.trim_end_matches(".svg"),
                picture.title(),
                head,
                |head: &Head, layout| draw(picture, head.clone(), layout),
            )
        })
        .collect()
}

/// The files of the pictures of all reports, in their order.
pub(crate) fn names(all: &[Measured]) -> Vec<String> {
    let names = super::named_after(crate::evidence::pictured(all).map(|(_, picture)| picture.title()));
    names.into_iter().map(|name| format!("measured-{name}")).collect()
}

/// What a picture shows, for those who cannot see it.
pub(crate) fn description(report: &evidence::Report) -> String {
    format!("{}. {}", report.title, report.sentence)
}

/// Draws a picture of a report.
pub(crate) fn draw(picture: &evidence::Picture, head: Head, layout: Layout) -> String {
    match picture {
        evidence::Picture::Plot(plot) => drawing::plot(&self::plot(plot, head), layout),
        evidence::Picture::Grid(grid) => drawing::surface(&surface(grid, head), layout),
        evidence::Picture::Spans(spans) => drawing::spans(&self::spans(spans, head), layout),
        evidence::Picture::Cells(cells) => drawing::cells(&self::cells(cells, head), layout),
    }
}

fn plot(plot: &evidence::Plot, head: Head) -> Plot {
    Plot {
        head,
        x: plot.x.clone(),
        y: plot.y.clone(),
        bands: Vec::new(),
        series: plot.series.iter().map(series).collect(),
        marks: plot.marks.iter().map(mark).collect(),
        logarithmic: plot.logarithmic,
    }
}

fn series(series: &evidence::Series) -> Series {
    Series {
        name: series.name.clone(),
        points: series.points.clone(),
        dots: series.dots,
    }
}

fn mark(mark: &evidence::Mark) -> Mark {
    Mark {
        name: mark.name.clone(),
        at: mark.at,
        along: if mark.upright { Along::X } else { Along::Y },
    }
}

fn spans(spans: &evidence::Spans, head: Head) -> Spans {
    let row = |span: &evidence::Span| SpanRow {
        label: span.name.clone(),
        low: span.ends[0],
        value: span.ends[1],
        high: span.ends[2],
        text: span.text.clone(),
        verdict: match span.verdict {
            evidence::Verdict::Pass => Verdict::Pass,
            evidence::Verdict::Result => Verdict::Note,
            evidence::Verdict::Open => Verdict::Caution,
            evidence::Verdict::Fail => Verdict::Blocker,
        },
    };
    Spans {
        head,
        axis: spans.axis.clone(),
        rows: spans.rows.iter().map(row).collect(),
        limit: spans.limit.as_ref().map(|limit| (limit.at, limit.name.clone())),
    }
}

fn cells(cells: &evidence::Cells, head: Head) -> Cells {
    let cell = |cell: &evidence::Cell| Cell {
        text: cell.text.clone(),
        shade: cell.colour.map(str::to_owned),
        state: match cell.right {
            Some(true) => CellState::Right,
            Some(false) => CellState::Wrong,
            None => CellState::Open,
        },
    };
    let group = |group: &evidence::CellGroup| CellGroup {
        name: group.name.clone(),
        cells: group.cells.iter().map(cell).collect(),
        counted: group.counted,
        each: group.each,
    };
    Cells {
        head,
        groups: cells.groups.iter().map(group).collect(),
        key: cells
            .key
            .iter()
            .map(|(own, meaning)| (cell(own), meaning.clone()))
            .collect(),
    }
}

fn surface(grid: &evidence::Grid, head: Head) -> Surface {
    let (x, y) = grid.plane.split_once(" and ").unwrap_or(("x", "y"));
    // "x and y, mm": the unit belongs to both.
    let unit = y.split_once(", ").map_or("", |(_, unit)| unit);
    Surface {
        head,
        x: if unit.is_empty() {
            x.to_owned()
        } else {
            format!("{x}, {unit}")
        },
        y: y.to_owned(),
        height: grid.height.clone(),
        columns: grid.x.clone(),
        rows: grid.y.clone(),
        heights: grid.z.clone(),
        places: grid.places.clone(),
    }
}
