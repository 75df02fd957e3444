//! The tornado chart: which input moves a result most.

use crate::geometry::{Area, Point};
use crate::metrics;
use crate::plot::range;
use crate::sheet::{Anchor, Head, Label, Layout, Sheet, heading};
use crate::ticks::Ticks;

/// A result and what each input does to it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tornado {
    /// Prefix, title, description.
    pub head: Head,
    /// Name and unit of the result.
    pub axis: String,
    /// The result with all inputs at their nominal values.
    pub base: f64,
    /// A limit of the result: where, and its name.
    pub limit: Option<(f64, String)>,
    /// The inputs; drawn with the widest on top.
    pub rows: Vec<TornadoRow>,
}

/// One input.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TornadoRow {
    /// Name of the input.
    pub label: String,
    /// The result with the input at its low end.
    pub low: f64,
    /// The result with the input at its high end.
    pub high: f64,
    /// The low end of the input, with unit.
    pub low_text: String,
    /// The high end of the input, with unit.
    pub high_text: String,
}

/// Draws the tornado chart. The bar of the low end is hatched by its outline only, that of the high end is filled.
pub fn tornado(input: &Tornado, layout: Layout) -> String {
    let (sheet, size) = draw(input, layout);
    sheet.finish(&input.head, size, None)
}

struct Scale {
    ticks: Ticks,
    left: f64,
    right: f64,
}

impl Scale {
    fn at(&self, value: f64) -> f64 {
        self.left + self.ticks.share(value) * (self.right - self.left)
    }
}

fn draw(input: &Tornado, layout: Layout) -> (Sheet, (f64, f64)) {
    let (width, edge, names) = match layout {
        Layout::Wide => (800.0, 20.0, 210.0),
        Layout::Narrow => (390.0, 12.0, 0.0),
    };
    let mut sheet = Sheet::default();
    let top = heading(&mut sheet, &input.head, edge, width - 2.0 * edge);
    let values = input.rows.iter().flat_map(|r| [r.low, r.high]);
    let (low, high) = range(values.chain([input.base]).chain(input.limit.iter().map(|l| l.0)));
    let ticks = Ticks::over(low, high, if layout == Layout::Wide { 6 } else { 4 });
    // Room at both ends for the texts of the widest bar.
    let ends = input.rows.iter().flat_map(|r| [&r.low_text, &r.high_text]);
    let room = ends
        .map(|t| metrics::width(t, 11.0, false))
        .fold(20.0, f64::max)
        .min(80.0)
        + 8.0;
    let scale = Scale {
        ticks,
        left: edge + names + room,
        right: width - edge - room,
    };
    let body = key(&mut sheet, edge, width - edge, top) + 8.0;
    let mut y = body;
    for row in sorted(&input.rows) {
        y = bar_row(&mut sheet, &scale, input.base, row, y, (edge, names));
    }
    axis(&mut sheet, &scale, input, body, y + 4.0);
    (sheet, (width, y + 56.0))
}

fn sorted(rows: &[TornadoRow]) -> Vec<&TornadoRow> {
    let mut rows: Vec<&TornadoRow> = rows.iter().collect();
    rows.sort_by(|a, b| (b.high - b.low).abs().total_cmp(&(a.high - a.low).abs()));
    rows
}

fn key(sheet: &mut Sheet, left: f64, right: f64, top: f64) -> f64 {
    let y = top + 12.0;
    let mut x = left;
    for (class, name) in [
        ("n s-motion", "input at its low end"),
        ("f-motion s-motion", "input at its high end"),
    ] {
        let label = Label::new(name, x + 22.0, y, 11.0);
        let end = label.bounds().right;
        sheet.rect(&Area::new(x, y - 9.0, 16.0, 9.0), 0.0, class, 1.4);
        sheet.label(label);
        x = (end + 18.0).min(right);
    }
    y + 6.0
}

fn bar_row(
    sheet: &mut Sheet,
    scale: &Scale,
    base: f64,
    row: &TornadoRow,
    top: f64,
    place: (f64, f64),
) -> f64 {
    let (edge, names) = place;
    let beside = names > 0.0;
    let room = if beside { names - 8.0 } else { scale.right - edge };
    let lines = metrics::wrap(&row.label, 12.0, false, room);
    let text_height = lines.len() as f64 * 15.0;
    let (bar_top, bottom) = if beside {
        (
            top + (text_height.max(18.0) - 14.0) / 2.0,
            top + text_height.max(18.0),
        )
    } else {
        (top + text_height + 3.0, top + text_height + 19.0)
    };
    for (i, line) in lines.into_iter().enumerate() {
        sheet.label(Label::new(line, edge, top + 12.0 + i as f64 * 15.0, 12.0));
    }
    let zero = scale.at(base);
    for (value, class) in [(row.low, "f-paper s-motion"), (row.high, "f-motion s-motion")] {
        let x = scale.at(value);
        sheet.rect(
            &Area::new(x.min(zero), bar_top, (x - zero).abs(), 14.0),
            0.0,
            class,
            1.4,
        );
    }
    end_texts(sheet, scale, row, bar_top + 11.0, zero);
    bottom + 8.0
}

/// The ends of the input beside the ends of the bar; both on one side if both ends push the same way.
fn end_texts(sheet: &mut Sheet, scale: &Scale, row: &TornadoRow, y: f64, zero: f64) {
    let (low, high) = (scale.at(row.low), scale.at(row.high));
    let (left, right) = if low <= high {
        (&row.low_text, &row.high_text)
    } else {
        (&row.high_text, &row.low_text)
    };
    let left_at = low.min(high).min(zero) - 5.0;
    let right_at = low.max(high).max(zero) + 5.0;
    sheet.label(
        Label::new(metrics::cut(left, 11.0, false, 80.0), left_at, y, 11.0)
            .anchored(Anchor::End)
            .coloured("quiet")
            .seamed(),
    );
    sheet.label(
        Label::new(metrics::cut(right, 11.0, false, 80.0), right_at, y, 11.0)
            .coloured("quiet")
            .seamed(),
    );
}

fn axis(sheet: &mut Sheet, scale: &Scale, input: &Tornado, top: f64, bottom: f64) {
    sheet.line(
        Point::new(scale.left, bottom),
        Point::new(scale.right, bottom),
        "s-ink",
        1.2,
    );
    for (value, text) in scale.ticks.values() {
        let x = scale.at(value);
        sheet.behind(|back| back.line(Point::new(x, top), Point::new(x, bottom), "s-rule o", 0.6));
        sheet.line(Point::new(x, bottom), Point::new(x, bottom + 4.0), "s-ink", 1.0);
        sheet.label(Label::new(text, x, bottom + 17.0, 11.0).anchored(Anchor::Middle));
    }
    let x = scale.at(input.base);
    sheet.line(Point::new(x, top - 4.0), Point::new(x, bottom), "s-ink", 1.6);
    if let Some((at, _)) = &input.limit {
        let x = scale.at(*at);
        sheet.line(
            Point::new(x, top - 4.0),
            Point::new(x, bottom),
            "s-blocker d",
            1.6,
        );
    }
    let limit = input
        .limit
        .as_ref()
        .map(|(_, name)| format!("; dashed: {name}"))
        .unwrap_or_default();
    let room = scale.right - scale.left + 100.0;
    let name = metrics::cut(&format!("{}{limit}", input.axis), 12.0, false, room);
    let middle = (scale.left + scale.right) / 2.0;
    sheet.label(Label::new(name, middle, bottom + 36.0, 12.0).anchored(Anchor::Middle));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::assert_legible;

    fn input() -> Tornado {
        let row = |label: &str, low, high| TornadoRow {
            label: label.into(),
            low,
            high,
            low_text: "−10 %".into(),
            high_text: "+10 %".into(),
        };
        Tornado {
            head: Head {
                prefix: "t".into(),
                title: "Junction temperature".into(),
                description: "Invented.".into(),
            },
            axis: "junction, °C".into(),
            base: 92.0,
            limit: Some((125.0, "limit".into())),
            rows: vec![
                row("air in the case", 84.0, 100.0),
                row("motor current", 70.0, 121.0),
                row("thermal resistance of the board with its heat sink", 97.0, 88.0),
                row("both ways up", 94.0, 99.0),
            ],
        }
    }

    #[test]
    fn the_widest_is_on_top() {
        let input = input();
        let order: Vec<_> = sorted(&input.rows).iter().map(|r| r.label.as_str()).collect();
        assert_eq!(order[0], "motor current");
        assert_eq!(order[3], "both ways up");
    }

    #[test]
    fn texts_stay_apart() {
        for layout in [Layout::Wide, Layout::Narrow] {
            let (sheet, size) = draw(&input(), layout);
            assert_legible(&sheet, size);
        }
    }
}
