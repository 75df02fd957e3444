//! Heights over a plane: bands of colour whose lightness tells the height, contour lines with their numbers, a legend.

use std::collections::BTreeMap;

use maud::html;

use crate::geometry::{Area, Point};
use crate::metrics;
use crate::palette::SHADES;
use crate::plot::{Frame, range, ticks_width};
use crate::sheet::{Anchor, Head, Label, Layout, Sheet, heading, number, open};
use crate::ticks::Ticks;

/// Heights on a grid of places, drawn to scale: both axes have one unit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Surface {
    /// Prefix, title, description.
    pub head: Head,
    /// Name and unit of the horizontal axis, such as `x, mm`.
    pub x: String,
    /// Name and unit of the vertical axis.
    pub y: String,
    /// Name and unit of the heights.
    pub height: String,
    /// Places of the columns, rising.
    pub columns: Vec<f64>,
    /// Places of the rows, rising; upwards on the picture.
    pub rows: Vec<f64>,
    /// Heights by row, then column; what is not finite is left blank.
    pub heights: Vec<Vec<f64>>,
    /// Places with a name, such as screws.
    pub places: Vec<(String, f64, f64)>,
}

impl Surface {
    /// The height at a row and a column; NaN where there is none.
    fn height_at(&self, row: usize, column: usize) -> f64 {
        let of_row = self.heights.get(row).and_then(|heights| heights.get(column));
        of_row.copied().unwrap_or(f64::NAN)
    }
}

/// Draws the surface.
pub fn surface(input: &Surface, layout: Layout) -> String {
    let (sheet, size) = draw(input, layout);
    sheet.finish(&input.head, size, None)
}

/// Bands are drawn as runs of small cells; the contour lines above them hide the steps.
const CELLS: usize = 120;

fn draw(input: &Surface, layout: Layout) -> (Sheet, (f64, f64)) {
    let (width, tallest, edge) = match layout {
        Layout::Wide => (800.0, 560.0, 20.0),
        Layout::Narrow => (390.0, 420.0, 12.0),
    };
    let mut sheet = Sheet::default();
    let levels = Levels::of(input);
    let mut top = heading(&mut sheet, &input.head, edge, width - 2.0 * edge);
    let legend_width = width - 2.0 * edge;
    top = legend(&mut sheet, input, &levels, edge, legend_width.min(520.0), top) + 44.0;
    let frame = frame(input, layout, &Area::new(edge, top, width - 2.0 * edge, tallest));
    bands(&mut sheet, input, &levels, &frame);
    frame.draw(&mut sheet, &input.x, &input.y);
    contours(&mut sheet, input, &levels, &frame);
    names(&mut sheet, input, &frame);
    (sheet, (width, frame.area.bottom + 46.0))
}

/// The bounds of the bands, on round numbers.
struct Levels {
    ticks: Vec<(f64, String)>,
}

impl Levels {
    fn of(input: &Surface) -> Self {
        let (low, high) = range(input.heights.iter().flatten().copied());
        let mut wanted = SHADES;
        loop {
            let ticks = Ticks::over(low, high, wanted).values();
            if ticks.len() <= SHADES + 1 || wanted <= 2 {
                return Self { ticks };
            }
            wanted -= 1;
        }
    }

    /// Which band a height lies in, and its colour of the ramp: bands are spread over the whole ramp.
    fn shade(&self, height: f64) -> Option<usize> {
        if !height.is_finite() {
            return None;
        }
        let bands = self.ticks.len().saturating_sub(1).max(1);
        let above = self.ticks.iter().filter(|(level, _)| height >= *level).count();
        Some(shade_of(above.saturating_sub(1).min(bands - 1), bands))
    }
}

fn shade_of(band: usize, bands: usize) -> usize {
    if bands < 2 {
        SHADES / 2
    } else {
        band * (SHADES - 1) / (bands - 1)
    }
}

/// A bar of all bands with the numbers between them.
fn legend(sheet: &mut Sheet, input: &Surface, levels: &Levels, left: f64, width: f64, top: f64) -> f64 {
    sheet.label(Label::new(
        metrics::cut(&input.height, 12.0, false, width),
        left,
        top + 12.0,
        12.0,
    ));
    let bands = levels.ticks.len().saturating_sub(1).max(1);
    // Half of the outer numbers stands out at both ends.
    let room = levels
        .ticks
        .iter()
        .map(|(_, t)| metrics::width(t, 11.0, false))
        .fold(0.0, f64::max)
        / 2.0;
    let each = (width - 2.0 * room) / bands as f64;
    let bar = |band: usize| Area::new(left + room + each * band as f64, top + 20.0, each, 14.0);
    for band in 0..bands {
        sheet.rect(
            &bar(band),
            0.0,
            &format!("f-ramp{} s-ink", shade_of(band, bands)),
            0.6,
        );
    }
    let mut last_right = f64::NEG_INFINITY;
    for (at, (_, text)) in levels.ticks.iter().enumerate() {
        let x = left + room + each * at as f64;
        let label = Label::new(text.clone(), x, top + 47.0, 11.0).anchored(Anchor::Middle);
        if label.bounds().left > last_right + 4.0 {
            last_right = label.bounds().right;
            sheet.label(label);
        }
    }
    top + 50.0
}

/// One scale for both axes, as large as fits.
fn frame(input: &Surface, layout: Layout, within: &Area) -> Frame {
    let places = |of: fn(&(String, f64, f64)) -> f64| input.places.iter().map(of);
    let (x_low, x_high) = range(input.columns.iter().copied().chain(places(|p| p.1)));
    let (y_low, y_high) = range(input.rows.iter().copied().chain(places(|p| p.2)));
    let x = Ticks::over(x_low, x_high, if layout == Layout::Wide { 8 } else { 4 });
    let y = Ticks::over(y_low, y_high, if layout == Layout::Wide { 8 } else { 5 });
    let left = within.left + ticks_width(&y) + 8.0;
    let right = within.right - ticks_width(&x) / 2.0;
    let (wide, high) = (x.high - x.low, y.high - y.low);
    let scale = ((right - left) / wide).min(within.height() / high);
    Frame {
        area: Area::new(left, within.top, wide * scale, high * scale),
        x,
        y,
        head: 0.0,
    }
}

/// The height between the places, by straight interpolation in both directions.
fn height_at(input: &Surface, x: f64, y: f64) -> f64 {
    let cell = |places: &[f64], value: f64| {
        let after = places
            .partition_point(|p| *p <= value)
            .clamp(1, places.len().max(2) - 1);
        let (low, high) = (places[after - 1], places[after]);
        (after - 1, ((value - low) / (high - low)).clamp(0.0, 1.0))
    };
    if input.columns.len() < 2 || input.rows.len() < 2 {
        return f64::NAN;
    }
    let ((column, u), (row, v)) = (cell(&input.columns, x), cell(&input.rows, y));
    let at = |r: usize, c: usize| input.height_at(r, c);
    let lower = (1.0 - u) * at(row, column) + u * at(row, column + 1);
    let upper = (1.0 - u) * at(row + 1, column) + u * at(row + 1, column + 1);
    (1.0 - v) * lower + v * upper
}

/// One path a colour, of runs along the rows.
fn bands(sheet: &mut Sheet, input: &Surface, levels: &Levels, frame: &Frame) {
    let ((left, right), (lower, upper)) = (
        range(input.columns.iter().copied()),
        range(input.rows.iter().copied()),
    );
    let mut paths = vec![String::new(); SHADES];
    let place = |low: f64, high: f64, k: f64| low + (high - low) * k / CELLS as f64;
    for row in 0..CELLS {
        let y = place(lower, upper, row as f64 + 0.5);
        let shades: Vec<Option<usize>> = (0..CELLS)
            .map(|column| levels.shade(height_at(input, place(left, right, column as f64 + 0.5), y)))
            .collect();
        let (from_y, to_y) = (
            place(lower, upper, row as f64),
            place(lower, upper, row as f64 + 1.0),
        );
        let mut start = 0;
        while start < CELLS {
            let run = shades[start..]
                .iter()
                .take_while(|s| **s == shades[start])
                .count();
            if let Some(shade) = shades[start] {
                let a = frame.point(place(left, right, start as f64), to_y);
                let b = frame.point(place(left, right, (start + run) as f64), from_y);
                // A little taller and wider than the cell: no seam of paper shows between two runs.
                paths[shade].push_str(&format!(
                    "M{} {}h{}v{}h-{}z",
                    number(a.x),
                    number(a.y),
                    number(b.x - a.x + 0.3),
                    number(b.y - a.y + 0.3),
                    number(b.x - a.x + 0.3)
                ));
            }
            start += run;
        }
    }
    for (shade, path) in paths.iter().enumerate().filter(|(_, path)| !path.is_empty()) {
        sheet.shape(html! { path d=(path) class=(format!("f-ramp{shade}")) {} });
    }
}

fn contours(sheet: &mut Sheet, input: &Surface, levels: &Levels, frame: &Frame) {
    for (at, (level, text)) in levels.ticks.iter().enumerate() {
        for line in lines_at(input, *level) {
            let points: Vec<Point> = line.iter().map(|[x, y]| frame.point(*x, *y)).collect();
            let stroke = if at % 5 == 0 { 1.4 } else { 0.9 };
            sheet.path(&open(&points), "n s-ink r", stroke);
            let length: f64 = points
                .windows(2)
                .map(|w| (w[1].x - w[0].x).hypot(w[1].y - w[0].y))
                .sum();
            if length < 70.0 {
                continue;
            }
            // The number where it is free, looked for from the middle of the line outwards.
            let n = points.len();
            let tries = (0..n).map(|k| {
                if k % 2 == 0 {
                    n / 2 + k / 2
                } else {
                    n / 2 - k.div_ceil(2)
                }
            });
            let label = tries
                .filter_map(|k| points.get(k))
                .map(|p| {
                    Label::new(text.clone(), p.x, p.y + 4.0, 11.0)
                        .anchored(Anchor::Middle)
                        .seamed()
                })
                .find(|label| {
                    let bounds = label.bounds();
                    frame.area.contains(&bounds)
                        && !sheet
                            .labels
                            .iter()
                            .any(|o| o.bounds().grown(3.0).overlaps(&bounds))
                });
            if let Some(label) = label {
                sheet.label(label);
            }
        }
    }
}

/// An edge of the grid: its lower left place, and whether it goes up.
type Edge = (usize, usize, bool);

/// The lines of one level by marching squares: where the middle of a saddle is above, its high corners are joined.
fn lines_at(input: &Surface, level: f64) -> Vec<Vec<[f64; 2]>> {
    let (columns, rows) = (input.columns.len(), input.rows.len());
    let mut joins: BTreeMap<Edge, Vec<Edge>> = BTreeMap::new();
    let at = |c: usize, r: usize| input.height_at(r, c);
    for r in 0..rows.saturating_sub(1) {
        for c in 0..columns.saturating_sub(1) {
            let corners = [at(c, r), at(c + 1, r), at(c + 1, r + 1), at(c, r + 1)];
            if corners.iter().any(|z| !z.is_finite()) {
                continue;
            }
            let edges: [Edge; 4] = [(c, r, false), (c + 1, r, true), (c, r + 1, false), (c, r, true)];
            let above = corners.map(|z| z >= level);
            let crossed: Vec<usize> = (0..4).filter(|k| above[*k] != above[(k + 1) % 4]).collect();
            let mut join = |a: usize, b: usize| {
                joins.entry(edges[a]).or_default().push(edges[b]);
                joins.entry(edges[b]).or_default().push(edges[a]);
            };
            match crossed[..] {
                [a, b] => join(a, b),
                [_, _, _, _] => {
                    let middle = corners.iter().sum::<f64>() / 4.0 >= level;
                    // Cut off the corners that differ from the middle.
                    if above[0] == middle {
                        join(0, 1);
                        join(2, 3);
                    } else {
                        join(3, 0);
                        join(1, 2);
                    }
                }
                _ => {}
            }
        }
    }
    let place = |(c, r, up): Edge| {
        let (from, to) = (at(c, r), if up { at(c, r + 1) } else { at(c + 1, r) });
        let share = if from == to {
            0.5
        } else {
            ((level - from) / (to - from)).clamp(0.0, 1.0)
        };
        let between = |places: &[f64], k: usize| places[k] + share * (places[k + 1] - places[k]);
        if up {
            [input.columns[c], between(&input.rows, r)]
        } else {
            [between(&input.columns, c), input.rows[r]]
        }
    };
    let mut lines = Vec::new();
    // Open lines begin at an edge with one neighbour; what is left then are rings.
    for open_ends in [true, false] {
        while let Some(start) = joins
            .iter()
            .find(|(_, next)| {
                if open_ends {
                    next.len() == 1
                } else {
                    !next.is_empty()
                }
            })
            .map(|(edge, _)| *edge)
        {
            let mut line = vec![place(start)];
            let mut edge = start;
            while let Some(next) = joins.get_mut(&edge).and_then(Vec::pop) {
                if let Some(back) = joins.get_mut(&next)
                    && let Some(at) = back.iter().position(|own| *own == edge)
                {
                    back.remove(at);
                }
                line.push(place(next));
                edge = next;
            }
            joins.retain(|_, next| !next.is_empty());
            lines.push(line);
        }
    }
    lines
}

/// A cross and the name of each named place.
fn names(sheet: &mut Sheet, input: &Surface, frame: &Frame) {
    for (name, x, y) in &input.places {
        let at = frame.point(*x, *y);
        let arm = |dx: f64, dy: f64| Point::new(at.x + dx, at.y + dy);
        sheet.circle(at, 6.0, "f-paper s-ink", 1.2);
        sheet.line(arm(-3.5, 0.0), arm(3.5, 0.0), "s-ink", 1.4);
        sheet.line(arm(0.0, -3.5), arm(0.0, 3.5), "s-ink", 1.4);
        let text = metrics::cut(name, 11.0, false, frame.area.width() * 0.4);
        let places = [
            Label::new(text.clone(), at.x + 10.0, at.y + 4.0, 11.0),
            Label::new(text.clone(), at.x - 10.0, at.y + 4.0, 11.0).anchored(Anchor::End),
            Label::new(text.clone(), at.x, at.y - 10.0, 11.0).anchored(Anchor::Middle),
            Label::new(text.clone(), at.x, at.y + 20.0, 11.0).anchored(Anchor::Middle),
            Label::new(text.clone(), at.x + 10.0, at.y - 12.0, 11.0),
            Label::new(text, at.x - 10.0, at.y - 12.0, 11.0).anchored(Anchor::End),
        ];
        let free = |l: &Label| {
            let bounds = l.bounds();
            let other = |p: &(String, f64, f64)| {
                let at = frame.point(p.1, p.2);
                bounds.overlaps(&Area::around(at, 14.0, 14.0))
            };
            frame.area.contains(&bounds)
                && !sheet.labels.iter().any(|o| o.bounds().overlaps(&bounds))
                && !input.places.iter().any(other)
        };
        if let Some(label) = places.into_iter().find(free) {
            sheet.label(label.bold().seamed());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::assert_legible;

    fn bowl(side: usize) -> Surface {
        let places: Vec<f64> = (0..side)
            .map(|k| 10.0 + 200.0 * k as f64 / (side - 1) as f64)
            .collect();
        let height =
            |x: f64, y: f64| 1e-5 * ((x - 110.0).powi(2) + (y - 110.0).powi(2)) + 0.0008 * (x - 110.0);
        Surface {
            head: Head {
                prefix: "u".into(),
                title: "Height of an invented bed".into(),
                description: "Invented.".into(),
            },
            x: "x, mm".into(),
            y: "y, mm".into(),
            height: "height, mm".into(),
            heights: places
                .iter()
                .map(|y| places.iter().map(|x| height(*x, *y)).collect())
                .collect(),
            columns: places.clone(),
            rows: places,
            places: vec![
                ("front left".into(), 20.0, 20.0),
                ("back right".into(), 200.0, 200.0),
            ],
        }
    }

    #[test]
    fn texts_stay_apart_and_places_are_named() {
        for layout in [Layout::Wide, Layout::Narrow] {
            let input = bowl(17);
            let (sheet, size) = draw(&input, layout);
            assert_legible(&sheet, size);
            for (name, _, _) in &input.places {
                assert!(sheet.labels.iter().any(|l| l.text == *name), "{name}");
            }
        }
    }

    /// The contour of a cone is a circle: every point of it lies at that radius, and the line is closed.
    #[test]
    fn contours_lie_where_the_height_is() {
        let mut input = bowl(41);
        let (columns, rows) = (input.columns.clone(), input.rows.clone());
        let radius = |x: f64, y: f64| (x - 110.0).hypot(y - 110.0);
        input.heights = rows
            .iter()
            .map(|y| columns.iter().map(|x| radius(*x, *y)).collect())
            .collect();
        let lines = lines_at(&input, 60.0);
        assert_eq!(lines.len(), 1);
        for [x, y] in &lines[0] {
            assert!((radius(*x, *y) - 60.0).abs() < 0.2);
        }
        assert_eq!(lines[0].first(), lines[0].last());
        // A slope has one open line from edge to edge.
        input.heights = rows.iter().map(|_| columns.clone()).collect();
        let lines = lines_at(&input, 100.5);
        assert_eq!(lines.len(), 1);
        assert!(lines[0].iter().all(|[x, _]| (x - 100.5).abs() < 1e-9) && lines[0].len() == 41);
    }

    #[test]
    fn what_is_not_there_stays_blank() {
        let mut input = bowl(9);
        input.heights[4][4] = f64::NAN;
        let (sheet, size) = draw(&input, Layout::Wide);
        assert_legible(&sheet, size);
        for broken in [
            Surface::default(),
            Surface {
                columns: vec![1.0],
                rows: vec![1.0],
                heights: vec![vec![1.0]],
                ..Surface::default()
            },
        ] {
            assert!(surface(&broken, Layout::Narrow).starts_with("<svg"));
        }
        let mut flat = bowl(5);
        flat.heights = vec![vec![0.1; 5]; 5];
        assert!(surface(&flat, Layout::Wide).contains("f-ramp"));
    }
}
