//! The pictures of reports: series and marks as they stand, lines and letters by the drawing.

use drawing::{Along, Head, Layout, Mark, Plot, Series, Surface};

use super::Picture;
use crate::shown::Shown;

/// The pictures of all reports, in their order.
pub(super) fn pictures(shown: &Shown<'_>) -> Vec<Picture> {
    let all = shown
        .material
        .evidence
        .iter()
        .flat_map(|measured| measured.reports());
    let pictures = all.flat_map(|report| report.pictures.iter().map(move |picture| (report, picture)));
    pictures
        .enumerate()
        .map(|(at, (report, picture))| {
            let head = |prefix: String| super::head(shown, prefix, title(picture), description(report));
            Picture::of(&format!("evidence-{}", at + 1), head, |head: &Head, layout| {
                draw(picture, head.clone(), layout)
            })
        })
        .collect()
}

/// What a picture shows, for those who cannot see it.
pub(crate) fn description(report: &evidence::Report) -> String {
    format!("{}. {}", report.title, report.sentence)
}

/// Its heading.
pub(crate) fn title(picture: &evidence::Picture) -> &str {
    match picture {
        evidence::Picture::Plot(plot) => &plot.title,
        evidence::Picture::Grid(grid) => &grid.title,
    }
}

/// Draws a picture of a report.
pub(crate) fn draw(picture: &evidence::Picture, head: Head, layout: Layout) -> String {
    match picture {
        evidence::Picture::Plot(plot) => drawing::plot(&self::plot(plot, head), layout),
        evidence::Picture::Grid(grid) => drawing::surface(&surface(grid, head), layout),
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
