//! Candidates by price and wishes served, with the stepped line of the Pareto front.

use crate::comparison::{front, name_places};
use crate::geometry::{Area, Point};
use crate::metrics;
use crate::plot::{Frame, range, ticks_width};
use crate::sheet::{Head, Label, Layout, Sheet, closed, heading, open};
use crate::ticks::Ticks;

/// Points by two counts: further left and further up is better.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scatter {
    /// Prefix, title, description.
    pub head: Head,
    /// Name and unit of the horizontal axis, such as `price with parts, EUR`; less is better.
    pub x: String,
    /// Name of the vertical axis, such as `wishes served`; more is better.
    pub y: String,
    /// The candidates.
    pub points: Vec<ScatterPoint>,
}

/// One candidate.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ScatterPoint {
    /// Its name.
    pub name: String,
    /// Where it is, horizontally.
    pub x: f64,
    /// Where it is, vertically.
    pub y: f64,
    /// Whether it has a blocker; such a point is crossed out and takes no part in the front.
    pub blocked: bool,
}

/// Draws the scatter plot.
pub fn scatter(input: &Scatter, layout: Layout) -> String {
    let (sheet, size) = draw(input, layout);
    sheet.finish(&input.head, size, None)
}

fn draw(input: &Scatter, layout: Layout) -> (Sheet, (f64, f64)) {
    let (width, height, edge) = match layout {
        Layout::Wide => (800.0, 320.0, 20.0),
        Layout::Narrow => (390.0, 260.0, 12.0),
    };
    let mut sheet = Sheet::default();
    let mut top = heading(&mut sheet, &input.head, edge, width - 2.0 * edge);
    top = legend(&mut sheet, edge, width - edge, top) + 36.0;
    let frame = frame(input, layout, &Area::new(edge, top, width - 2.0 * edge, height));
    frame.draw(&mut sheet, &input.x, &input.y);
    let open_points: Vec<(f64, f64)> = input
        .points
        .iter()
        .filter(|p| !p.blocked)
        .map(|p| (p.x, p.y))
        .collect();
    let kept = front(&open_points);
    front_line(&mut sheet, &frame, &kept);
    for p in &input.points {
        mark(
            &mut sheet,
            frame.point(p.x, p.y),
            p.blocked,
            kept.contains(&(p.x, p.y)) && !p.blocked,
        );
    }
    for p in &input.points {
        name(&mut sheet, input, &frame, p);
    }
    (sheet, (width, top + height + 46.0))
}

fn frame(input: &Scatter, layout: Layout, within: &Area) -> Frame {
    let (x_low, x_high) = range(input.points.iter().map(|p| p.x));
    let (y_low, y_high) = range(input.points.iter().map(|p| p.y).chain([0.0]));
    let y = Ticks::over(y_low, y_high, 5);
    let x = Ticks::over(x_low, x_high, if layout == Layout::Wide { 8 } else { 4 });
    let left = within.left + ticks_width(&y) + 8.0;
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

fn legend(sheet: &mut Sheet, left: f64, right: f64, top: f64) -> f64 {
    let (mut x, mut y) = (left, top + 12.0);
    let kinds = [
        ("on the Pareto front", false, true),
        ("beaten", false, false),
        ("has a blocker", true, false),
    ];
    for (text, blocked, on_front) in kinds {
        let needed = 16.0 + metrics::width(text, 11.0, false);
        if x > left && x + needed > right {
            x = left;
            y += 17.0;
        }
        mark(sheet, Point::new(x + 6.0, y - 4.0), blocked, on_front);
        sheet.label(Label::new(text, x + 16.0, y, 11.0));
        x += needed + 18.0;
    }
    y
}

/// From the best at the lowest price to the best at any price, in steps: what a budget buys.
fn front_line(sheet: &mut Sheet, frame: &Frame, kept: &[(f64, f64)]) {
    let Some(first) = kept.first() else { return };
    let mut points = vec![Point::new(frame.point(first.0, first.1).x, frame.area.bottom)];
    for p in kept {
        let at = frame.point(p.0, p.1);
        if let Some(last) = points.last().copied().filter(|_| points.len() > 1) {
            points.push(Point::new(at.x, last.y));
        }
        points.push(at);
    }
    if let Some(last) = points.last().copied() {
        points.push(Point::new(frame.area.right, last.y));
    }
    sheet.dashed(&open(&points), "n s-motion r", 1.6, "7 3");
}

fn mark(sheet: &mut Sheet, at: Point, blocked: bool, on_front: bool) {
    let corner = |x: f64, y: f64| Point::new(at.x + x, at.y + y);
    if blocked {
        sheet.line(corner(-4.5, -4.5), corner(4.5, 4.5), "s-blocker r", 2.0);
        sheet.line(corner(-4.5, 4.5), corner(4.5, -4.5), "s-blocker r", 2.0);
    } else if on_front {
        let diamond = [
            corner(0.0, -6.5),
            corner(6.5, 0.0),
            corner(0.0, 6.5),
            corner(-6.5, 0.0),
        ];
        sheet.path(&closed(&diamond), "f-motion s-paper", 1.0);
    } else {
        sheet.circle(at, 4.5, "f-paper s-quiet", 1.5);
    }
}

/// The name at the first place that covers neither another name nor a point.
fn name(sheet: &mut Sheet, input: &Scatter, frame: &Frame, point: &ScatterPoint) {
    let text = metrics::cut(&point.name, 12.0, false, frame.area.width() * 0.6);
    let free = |l: &Label| {
        let b = l.bounds();
        let covers = input
            .points
            .iter()
            .any(|p| b.overlaps(&Area::around(frame.point(p.x, p.y), 12.0, 12.0)));
        let within =
            b.left > frame.area.left && b.right < frame.area.right + 10.0 && b.bottom < frame.area.bottom;
        within && !covers && !sheet.labels.iter().any(|o| o.bounds().overlaps(&b))
    };
    let place = name_places(&text, frame.point(point.x, point.y), 12.0)
        .into_iter()
        .find(free);
    if let Some(label) = place {
        sheet.label(label.seamed());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::assert_legible;

    #[test]
    fn texts_stay_apart_and_all_are_there() {
        let point = |i: u32| ScatterPoint {
            name: format!("Invented {i}"),
            x: 30.0 + f64::from(i * 37 % 50),
            y: f64::from(i * 5 % 7),
            blocked: i % 4 == 3,
        };
        let input = Scatter {
            head: Head {
                prefix: "s".into(),
                title: "Price and wishes".into(),
                description: "Invented.".into(),
            },
            x: "price with parts, EUR".into(),
            y: "wishes served".into(),
            points: (0..9).map(point).collect(),
        };
        for layout in [Layout::Wide, Layout::Narrow] {
            let (sheet, size) = draw(&input, layout);
            assert_legible(&sheet, size);
            for p in &input.points {
                assert!(sheet.labels.iter().any(|l| l.text == p.name), "{}", p.name);
            }
        }
    }
}
