//! The plain line plot: axes with ticks, series told apart by dashes and marks and named beside them, limit lines.

mod names;

use crate::geometry::{Area, Point};
use crate::metrics;
use crate::sheet::{Anchor, Head, Label, Layout, Sheet, closed, heading, open};
use crate::ticks::Ticks;

/// A plot of one or more series.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plot {
    /// Prefix, title, description.
    pub head: Head,
    /// Name and unit of the horizontal axis, such as `time, s`.
    pub x: String,
    /// Name and unit of the vertical axis.
    pub y: String,
    /// Areas behind the series, such as that of all tolerances.
    pub bands: Vec<Band>,
    /// What is drawn.
    pub series: Vec<Series>,
    /// Lines across the plot at a limit or a moment.
    pub marks: Vec<Mark>,
    /// Whether equal ways along an axis are equal ratios: x, y. What is not positive then breaks the line.
    pub logarithmic: [bool; 2],
}

/// One series.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Series {
    /// Name, written beside it.
    pub name: String,
    /// Points x, y; those that are not finite break the line.
    pub points: Vec<[f64; 2]>,
    /// Draws a mark at each point instead of a line.
    pub dots: bool,
}

/// An area between two curves.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Band {
    /// Name, written beside it.
    pub name: String,
    /// Points x, low, high in rising order of x; those that are not finite are left out.
    pub points: Vec<[f64; 3]>,
}

/// A line across the plot.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What it marks.
    pub name: String,
    /// Where.
    pub at: f64,
    /// Whether `at` is on the horizontal axis (an upright line) or on the vertical one (a level line).
    pub along: Along,
}

/// One of the two axes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Along {
    /// The horizontal one.
    #[default]
    X,
    /// The vertical one.
    Y,
}

/// Draws the plot.
pub fn plot(input: &Plot, layout: Layout) -> String {
    let (sheet, size) = draw(input, layout);
    sheet.finish(&input.head, size, None)
}

/// Colour and dashes of a series, by its place; six differ in both ways, then the dashes go on alone.
pub(crate) const STYLES: [(&str, &str); 6] = [
    ("motion", ""),
    ("power", "7 3"),
    ("sense", "2 3"),
    ("show", "9 3 2 3"),
    ("air", "12 4"),
    ("ink", "1 4"),
];

/// The frame of a plot and its two scales.
pub(crate) struct Frame {
    pub area: Area,
    /// Room above the axes, for names.
    pub head: f64,
    pub x: Ticks,
    pub y: Ticks,
}

impl Frame {
    pub fn point(&self, x: f64, y: f64) -> Point {
        let px = self.area.left + self.x.share(x) * self.area.width();
        Point::new(px, self.area.bottom - self.y.share(y) * self.area.height())
    }

    /// Axes, ticks, faint grid and names.
    pub fn draw(&self, sheet: &mut Sheet, x_name: &str, y_name: &str) {
        let a = &self.area;
        let mut last_right = f64::NEG_INFINITY;
        for (value, text) in self.x.values() {
            let x = self.point(value, self.y.low).x;
            sheet.line(Point::new(x, a.top), Point::new(x, a.bottom), "s-rule o", 0.6);
            sheet.line(
                Point::new(x, a.bottom),
                Point::new(x, a.bottom + 4.0),
                "s-ink",
                1.0,
            );
            let label = Label::new(text, x, a.bottom + 17.0, 11.0).anchored(Anchor::Middle);
            if label.bounds().left > last_right + 4.0 {
                last_right = label.bounds().right;
                sheet.label(label);
            }
        }
        for (value, text) in self.y.values() {
            let y = self.point(self.x.low, value).y;
            sheet.line(Point::new(a.left, y), Point::new(a.right, y), "s-rule o", 0.6);
            sheet.line(Point::new(a.left - 4.0, y), Point::new(a.left, y), "s-ink", 1.0);
            sheet.label(Label::new(text, a.left - 7.0, y + 4.0, 11.0).anchored(Anchor::End));
        }
        sheet.path(
            &open(&[
                Point::new(a.left, a.top),
                Point::new(a.left, a.bottom),
                Point::new(a.right, a.bottom),
            ]),
            "n s-ink",
            1.2,
        );
        let middle = (a.left + a.right) / 2.0;
        let x_label = metrics::cut(x_name, 12.0, false, a.width());
        sheet.label(Label::new(x_label, middle, a.bottom + 36.0, 12.0).anchored(Anchor::Middle));
        sheet.label(Label::new(
            y_name,
            self.names_left(),
            a.top - self.head - 14.0,
            12.0,
        ));
    }

    fn names_left(&self) -> f64 {
        (self.area.left - self.ticks_width() - 8.0).max(6.0)
    }

    fn ticks_width(&self) -> f64 {
        ticks_width(&self.y)
    }
}

pub(crate) fn ticks_width(ticks: &Ticks) -> f64 {
    ticks
        .values()
        .iter()
        .map(|(_, t)| metrics::width(t, 11.0, false))
        .fold(0.0, f64::max)
}

/// Widens a range by values; non-finite ones do not count.
pub(crate) fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let (low, high) = values
        .filter(|v| v.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(v), high.max(v))
        });
    if low <= high { (low, high) } else { (0.0, 1.0) }
}

/// The mark of a series at a point: each of six has a shape of its own.
pub(crate) fn dot(sheet: &mut Sheet, place: usize, at: Point, class: &str) {
    let shape = |corners: &[(f64, f64)]| {
        closed(
            &corners
                .iter()
                .map(|(x, y)| Point::new(at.x + x, at.y + y))
                .collect::<Vec<_>>(),
        )
    };
    match place % 6 {
        0 => sheet.circle(at, 3.2, class, 1.4),
        1 => sheet.path(
            &shape(&[(0.0, -4.4), (4.4, 0.0), (0.0, 4.4), (-4.4, 0.0)]),
            class,
            1.4,
        ),
        2 => sheet.path(&shape(&[(0.0, -4.2), (4.0, 3.2), (-4.0, 3.2)]), class, 1.4),
        3 => sheet.rect(&Area::around(at, 6.2, 6.2), 0.0, class, 1.4),
        4 => sheet.path(&shape(&[(0.0, 4.2), (4.0, -3.2), (-4.0, -3.2)]), class, 1.4),
        _ => sheet.path(
            &shape(&[(-4.0, -1.0), (4.0, -1.0), (4.0, 1.0), (-4.0, 1.0)]),
            class,
            1.4,
        ),
    }
}

/// The same without what a logarithmic axis cannot show.
fn shown(input: &Plot) -> std::borrow::Cow<'_, Plot> {
    use std::borrow::Cow;
    if !input.logarithmic.contains(&true) {
        return Cow::Borrowed(input);
    }
    let mut out = input.clone();
    let [x, y] = out.logarithmic;
    for series in &mut out.series {
        for point in &mut series.points {
            if x && point[0] <= 0.0 || y && point[1] <= 0.0 {
                *point = [f64::NAN; 2];
            }
        }
    }
    out.marks.retain(|mark| {
        let logarithmic = if mark.along == Along::X { x } else { y };
        !logarithmic || mark.at > 0.0
    });
    Cow::Owned(out)
}

fn draw(input: &Plot, layout: Layout) -> (Sheet, (f64, f64)) {
    let input = &*shown(input);
    let (width, height) = match layout {
        Layout::Wide => (800.0, 300.0),
        Layout::Narrow => (390.0, 230.0),
    };
    let edge = if layout == Layout::Wide { 20.0 } else { 12.0 };
    let mut sheet = Sheet::default();
    let top = heading(&mut sheet, &input.head, edge, width - 2.0 * edge) + 26.0;
    let (frame, marks, names) = named(input, layout, &Area::new(edge, top, width - 2.0 * edge, height));
    for band in &input.bands {
        band_shape(&mut sheet, &frame, band);
    }
    frame.draw(&mut sheet, &input.x, &input.y);
    for mark in &input.marks {
        mark_line(&mut sheet, &frame, mark);
    }
    for (i, series) in input.series.iter().enumerate() {
        series_shape(&mut sheet, &frame, series, i);
    }
    for label in marks {
        sheet.label(label);
    }
    for name in names {
        name.draw(&mut sheet);
    }
    (sheet, (width, frame.area.bottom + 46.0))
}

/// The axes with as little room above them as the names of all that is drawn need.
fn named<'a>(input: &'a Plot, layout: Layout, within: &Area) -> (Frame, Vec<Label>, Vec<names::Name<'a>>) {
    let own = frame(input, layout, within);
    let marks = mark_names(input, &own);
    let most = 2 * (input.series.len() + input.bands.len()) + 2;
    let with = |rows: usize| {
        let head = rows as f64 * names::LINE;
        let area = Area {
            top: own.area.top + head,
            bottom: own.area.bottom + head,
            ..own.area
        };
        let frame = Frame {
            area,
            head,
            x: own.x.clone(),
            y: own.y.clone(),
        };
        let lowered = marks.iter().cloned().map(|mut label| {
            label.at.y += head;
            label
        });
        let lowered: Vec<Label> = lowered.collect();
        let names = names::places(input, &frame, &lowered, rows == most)?;
        Some((frame, lowered, names))
    };
    // In the end each name has rows of its own above everything.
    (0..=most)
        .find_map(with)
        .unwrap_or_else(|| (own, marks, Vec::new()))
}

fn frame(input: &Plot, layout: Layout, within: &Area) -> Frame {
    let values = |axis: usize| {
        let points = input
            .series
            .iter()
            .flat_map(|s| s.points.iter().map(move |p| p[axis]));
        let bands = input.bands.iter().flat_map(|band| &band.points);
        let bands = bands.flat_map(move |p| if axis == 0 { [p[0]; 2] } else { [p[1], p[2]] });
        points.chain(bands).collect::<Vec<_>>()
    };
    // A limit that bounds all there is would lie on the axis, or on its edge, and hardly be seen.
    let roomy = |axis: usize, along: Along| {
        let (low, high) = range(values(axis).into_iter());
        let room = if input.logarithmic[axis] {
            0.0
        } else {
            0.04 * (high - low)
        };
        let marks = input
            .marks
            .iter()
            .filter(|m| m.along == along && m.at.is_finite());
        marks.fold((low, high), |(low, high), mark| {
            let below = if mark.at <= low { mark.at - room } else { low };
            let above = if mark.at >= high { mark.at + room } else { high };
            (below.min(low), above.max(high))
        })
    };
    let (x_low, x_high) = roomy(0, Along::X);
    let (y_low, y_high) = roomy(1, Along::Y);
    let wide = layout == Layout::Wide;
    let ticks = |logarithmic: bool, low, high, wanted| {
        if logarithmic {
            Ticks::decades(low, high, wanted)
        } else {
            Ticks::over(low, high, wanted)
        }
    };
    let y = ticks(input.logarithmic[1], y_low, y_high, if wide { 6 } else { 5 });
    let x = ticks(input.logarithmic[0], x_low, x_high, if wide { 8 } else { 4 });
    let left = within.left + ticks_width(&y) + 8.0;
    // Half of the last tick's text sticks out to the right.
    let right = within.right - ticks_width(&x) / 2.0;
    Frame {
        area: Area {
            left,
            right,
            ..*within
        },
        head: 0.0,
        x,
        y,
    }
}

fn stroke(sheet: &mut Sheet, d: &str, place: usize) {
    let (colour, dashes) = STYLES[place % STYLES.len()];
    sheet.dashed(d, &format!("n s-{colour} r"), 1.8, dashes);
}

fn mark_line(sheet: &mut Sheet, frame: &Frame, mark: &Mark) {
    let a = frame.area;
    let (from, to) = match mark.along {
        Along::X => {
            let x = frame.point(mark.at, frame.y.low).x;
            (Point::new(x, a.top), Point::new(x, a.bottom))
        }
        Along::Y => {
            let y = frame.point(frame.x.low, mark.at).y;
            (Point::new(a.left, y), Point::new(a.right, y))
        }
    };
    sheet.line(from, to, "s-caution d", 1.4);
}

/// The names of the lines across the plot, beside them.
fn mark_names(input: &Plot, frame: &Frame) -> Vec<Label> {
    let a = frame.area;
    let mut out: Vec<Label> = Vec::new();
    for mark in &input.marks {
        let name = metrics::cut(&mark.name, 11.0, false, a.width() * 0.6);
        let places: Vec<Label> = match mark.along {
            Along::X => {
                let x = frame.point(mark.at, frame.y.low).x;
                let beside = |y, right: bool| {
                    let (dx, anchor) = if right {
                        (4.0, Anchor::Start)
                    } else {
                        (-4.0, Anchor::End)
                    };
                    Label::new(name.clone(), x + dx, y, 11.0).anchored(anchor)
                };
                (0..12)
                    .flat_map(|k| [true, false].map(|r| beside(a.top + 12.0 + 15.0 * f64::from(k), r)))
                    .collect()
            }
            Along::Y => {
                let y = frame.point(frame.x.low, mark.at).y;
                let at = |x, up: bool, anchor| {
                    Label::new(name.clone(), x, if up { y - 4.0 } else { y + 13.0 }, 11.0).anchored(anchor)
                };
                vec![
                    at(a.right, true, Anchor::End),
                    at(a.right, false, Anchor::End),
                    at(a.left + 6.0, true, Anchor::Start),
                    at(a.left + 6.0, false, Anchor::Start),
                    at(a.middle().x, true, Anchor::Middle),
                    at(a.middle().x, false, Anchor::Middle),
                    at(a.left + a.width() * 0.28, true, Anchor::Middle),
                    at(a.left + a.width() * 0.28, false, Anchor::Middle),
                ]
            }
        };
        let free =
            |l: &Label| a.contains(&l.bounds()) && !out.iter().any(|o| o.bounds().overlaps(&l.bounds()));
        // The seam around the words must not hide a reading, if there is any other place.
        let free: Vec<Label> = places.into_iter().filter(free).collect();
        let best = free
            .iter()
            .find(|l| !covers(input, frame, &l.bounds().grown(5.0)))
            .or_else(|| free.first());
        out.extend(best.map(|label| label.clone().coloured("caution").seamed()));
    }
    out
}

/// Whether a series runs through a box: looked at in eighths of each of its segments.
fn covers(input: &Plot, frame: &Frame, area: &Area) -> bool {
    let within = |x: f64, y: f64| {
        let p = frame.point(x, y);
        area.contains(&Area::around(p, 0.0, 0.0))
    };
    input.series.iter().any(|s| {
        // A line of few points has long pieces.
        let steps = u32::try_from(2048 / s.points.len().max(1))
            .unwrap_or(8)
            .clamp(8, 256);
        let on_segment = |w: &[[f64; 2]]| {
            (0..steps).map(|k| f64::from(k) / f64::from(steps)).any(|t| {
                within(
                    w[0][0] + t * (w[1][0] - w[0][0]),
                    w[0][1] + t * (w[1][1] - w[0][1]),
                )
            })
        };
        s.points.iter().any(|p| within(p[0], p[1])) || (!s.dots && s.points.windows(2).any(on_segment))
    })
}

fn series_shape(sheet: &mut Sheet, frame: &Frame, series: &Series, place: usize) {
    if series.dots {
        let class = format!("f-paper s-{}", STYLES[place % STYLES.len()].0);
        for p in series.points.iter().filter(|p| p.iter().all(|v| v.is_finite())) {
            dot(sheet, place, frame.point(p[0], p[1]), &class);
        }
        return;
    }
    let mut d = String::new();
    for run in series.points.split(|p| p.iter().any(|v| !v.is_finite())) {
        let run: Vec<Point> = run.iter().map(|p| frame.point(p[0], p[1])).collect();
        d.push_str(&open(&thinned(&run)));
    }
    if !d.is_empty() {
        stroke(sheet, &d, place);
    }
}

fn band_shape(sheet: &mut Sheet, frame: &Frame, band: &Band) {
    let finite: Vec<&[f64; 3]> = band
        .points
        .iter()
        .filter(|p| p.iter().all(|v| v.is_finite()))
        .collect();
    if finite.len() < 2 {
        return;
    }
    let low = finite.iter().map(|p| frame.point(p[0], p[1]));
    let high = finite.iter().rev().map(|p| frame.point(p[0], p[2]));
    let around: Vec<Point> = low.chain(high).collect();
    sheet.path(&closed(&around), "f-plate s-rule", 0.8);
}

/// At most four points for each pixel column, first, lowest, highest and last: a long log looks the same and stays small.
fn thinned(points: &[Point]) -> Vec<Point> {
    if points.len() < 800 {
        return points.to_vec();
    }
    let mut kept = Vec::new();
    for column in points.chunk_by(|a, b| a.x.floor() == b.x.floor()) {
        let by = |i: &usize, j: &usize| column[*i].y.total_cmp(&column[*j].y);
        let low = (0..column.len()).min_by(by).unwrap_or(0);
        let high = (0..column.len()).max_by(by).unwrap_or(0);
        let mut places = vec![0, low, high, column.len() - 1];
        places.sort_unstable();
        places.dedup();
        kept.extend(places.into_iter().map(|i| column[i]));
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::assert_legible;

    /// A limit below or above everything keeps off the edges, where the axis hides it.
    #[test]
    fn a_limit_does_not_lie_on_an_edge() {
        for at in [20.0, 0.0, 300.0] {
            let mut plot = heat_up();
            plot.marks.truncate(1);
            plot.marks[0].at = at;
            let y = frame(&plot, Layout::Wide, &Area::new(0.0, 0.0, 600.0, 300.0)).y;
            assert!(y.low < at && at < y.high, "{at}: {} .. {}", y.low, y.high);
        }
    }

    fn heat_up() -> Plot {
        let series = |name: &str, gain: f64, dots| Series {
            name: name.into(),
            points: (0..60)
                .map(|t| {
                    [
                        f64::from(t) * 5.0,
                        20.0 + gain * (1.0 - (-f64::from(t) / 15.0).exp()),
                    ]
                })
                .collect(),
            dots,
        };
        Plot {
            head: Head {
                prefix: "p".into(),
                title: "Heat-up, invented".into(),
                description: "Two curves.".into(),
            },
            x: "time, s".into(),
            y: "temperature, °C".into(),
            bands: Vec::new(),
            series: vec![
                series("measured", 200.0, false),
                series("predicted, slow corner", 180.0, false),
                series("readings", 190.0, true),
            ],
            marks: vec![
                Mark {
                    name: "target".into(),
                    at: 210.0,
                    along: Along::Y,
                },
                Mark {
                    name: "protection trips".into(),
                    at: 120.0,
                    along: Along::X,
                },
            ],
            logarithmic: [false; 2],
        }
    }

    /// Whatever is drawn, each name stands beside what it names or at the end of a leader, and no two texts meet.
    #[test]
    fn every_name_has_its_place() {
        use proptest::prelude::*;
        let curve = (0_u8..6, -3.0..3.0_f64, 1_usize..40, any::<bool>(), 1_usize..7);
        let curves = proptest::collection::vec(curve, 1..7);
        let marks = proptest::collection::vec((0.0..1.0_f64, any::<bool>()), 0..4);
        proptest!(|(curves in curves, marks in marks, bands in 0_usize..3)| {
            let series = curves.iter().enumerate().map(|(at, (form, gain, count, dots, words))| Series {
                name: format!("{at}: {}", ["measured", "of all", "predicted", "with", "slow"].repeat(2)[..*words].join(" ")),
                points: (0..*count).map(|i| {
                    let x = i as f64 / *count as f64;
                    let y = match form {
                        0 => gain * x,
                        1 => (6.0 * x).sin(),
                        2 => 1.0 - (-4.0 * x).exp(),
                        3 => 0.5,
                        4 => f64::from(i as u32 % 2),
                        _ => (gain * x).exp(),
                    };
                    [x, y]
                }).collect(),
                dots: *dots,
            });
            let plot = Plot {
                y: "quantity, unit".into(),
                series: series.collect(),
                marks: marks.iter().map(|(at, x)| Mark {
                    name: "limit".into(),
                    at: *at,
                    along: if *x { Along::X } else { Along::Y },
                }).collect(),
                bands: (0..bands).map(|at| Band {
                    name: format!("band {at}"),
                    points: (0..9).map(|i| [f64::from(i) / 9.0, -1.0 - at as f64, 1.0]).collect(),
                }).collect(),
                ..Plot::default()
            };
            for layout in [Layout::Wide, Layout::Narrow] {
                let (sheet, size) = draw(&plot, layout);
                assert_legible(&sheet, size);
                let words: String = sheet.labels.iter().flat_map(|label| [&label.text[..], " "]).collect();
                for name in plot.series.iter().map(|own| &own.name).chain(plot.bands.iter().map(|own| &own.name)) {
                    prop_assert!(words.contains(&name[..]), "{name} in {words}");
                }
            }
        });
    }

    #[test]
    fn texts_stay_apart() {
        for layout in [Layout::Wide, Layout::Narrow] {
            let (sheet, size) = draw(&heat_up(), layout);
            assert_legible(&sheet, size);
        }
    }

    #[test]
    fn values_are_drawn_where_the_ticks_say() {
        let input = heat_up();
        let frame = frame(&input, Layout::Wide, &Area::new(0.0, 0.0, 800.0, 300.0));
        for (value, _) in frame.y.values() {
            let share = (frame.area.bottom - frame.point(0.0, value).y) / frame.area.height();
            assert!((share - (value - frame.y.low) / (frame.y.high - frame.y.low)).abs() < 1e-12);
        }
        let first = frame.point(0.0, 20.0);
        let mut sheet = Sheet::default();
        series_shape(&mut sheet, &frame, &input.series[0], 0);
        let svg = sheet.finish(&input.head, (800.0, 300.0), None);
        assert!(svg.contains(&open(&[first])));
    }

    #[test]
    fn logarithmic_axes_leave_out_what_is_not_positive() {
        let mut input = heat_up();
        input.logarithmic = [true, true];
        input.series.truncate(1);
        for layout in [Layout::Wide, Layout::Narrow] {
            let (sheet, size) = draw(&input, layout);
            assert_legible(&sheet, size);
        }
        let svg = plot(&input, Layout::Wide);
        assert!(!svg.contains("NaN") && svg.contains(">100<"));
        assert!(
            svg.contains(".f-paper{fill:"),
            "a plot of bare lines has its paper"
        );
    }

    #[test]
    fn a_band_is_named_and_widens_the_axes() {
        let mut input = heat_up();
        let lone = frame(&input, Layout::Wide, &Area::new(0.0, 0.0, 800.0, 300.0));
        input.bands.push(Band {
            name: "all tolerances".into(),
            points: vec![[0.0, 10.0, 30.0], [f64::NAN; 3], [300.0, 150.0, 400.0]],
        });
        for layout in [Layout::Wide, Layout::Narrow] {
            let (sheet, size) = draw(&input, layout);
            assert_legible(&sheet, size);
        }
        let wider = frame(&input, Layout::Wide, &Area::new(0.0, 0.0, 800.0, 300.0));
        assert!(lone.y.high < 400.0 && wider.y.high >= 400.0);
        let svg = plot(&input, Layout::Wide);
        assert!(svg.contains(">all tolerances<") && !svg.contains("NaN"));
        let mut sheet = Sheet::default();
        band_shape(&mut sheet, &wider, &input.bands[0]);
        let around = [(0.0, 10.0), (300.0, 150.0), (300.0, 400.0), (0.0, 30.0)];
        let around = around.map(|(x, y)| wider.point(x, y));
        let drawn = sheet.finish(&input.head, (800.0, 300.0), None);
        assert!(drawn.contains(&closed(&around)));
    }

    #[test]
    fn a_gap_breaks_the_line_and_nothing_gives_an_empty_frame() {
        let mut input = heat_up();
        input.series.truncate(1);
        input.series[0].points[30][1] = f64::NAN;
        let svg = plot(&input, Layout::Wide);
        let tree = roxmltree::Document::parse(&svg).unwrap();
        let line = tree
            .descendants()
            .filter_map(|n| n.attribute("d"))
            .max_by_key(|d| d.len())
            .unwrap();
        assert_eq!(line.matches('M').count(), 2);
        assert!(!svg.contains("NaN"));
        let empty = plot(&Plot::default(), Layout::Narrow);
        assert!(roxmltree::Document::parse(&empty).is_ok() && !empty.contains("inf"));
    }

    #[test]
    fn a_long_log_keeps_its_peaks() {
        let mut points: Vec<Point> = (0..100_000)
            .map(|i| Point::new(f64::from(i) / 200.0, 50.0))
            .collect();
        points[70_123].y = 3.0;
        let thin = thinned(&points);
        assert!(thin.len() < 2_100, "{}", thin.len());
        assert!(thin.contains(&points[70_123]) && thin.last() == points.last());
    }
}
