//! Estimates with their intervals over one axis, and the limit that they are held against.

use crate::geometry::{Area, Point};
use crate::metrics;
use crate::plot::range;
use crate::sheet::{Anchor, Head, Label, Layout, Sheet, Verdict, heading};
use crate::ticks::Ticks;

/// Estimates side by side.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Spans {
    /// Prefix, title, description.
    pub head: Head,
    /// Name and unit of the axis.
    pub axis: String,
    /// The estimates from top to bottom.
    pub rows: Vec<SpanRow>,
    /// The largest that is allowed: where, and its name.
    pub limit: Option<(f64, String)>,
}

/// One estimate.
#[derive(Clone, Debug, PartialEq)]
pub struct SpanRow {
    /// What was estimated.
    pub label: String,
    /// The estimate.
    pub value: f64,
    /// The lower end of its interval.
    pub low: f64,
    /// The upper end of its interval.
    pub high: f64,
    /// Estimate and interval as text, with unit.
    pub text: String,
    /// What the limit says to it.
    pub verdict: Verdict,
}

/// Draws the estimates: a dot on a bar with closed ends, the limit as a dashed line.
pub fn spans(input: &Spans, layout: Layout) -> String {
    let (sheet, size) = draw(input, layout);
    sheet.finish(&input.head, size, None)
}

fn draw(input: &Spans, layout: Layout) -> (Sheet, (f64, f64)) {
    let (width, edge, names, wanted) = match layout {
        Layout::Wide => (800.0, 20.0, 250.0, 6),
        Layout::Narrow => (390.0, 12.0, 0.0, 4),
    };
    let mut sheet = Sheet::default();
    let top = heading(&mut sheet, &input.head, edge, width - 2.0 * edge);
    let ends = input.rows.iter().flat_map(|row| [row.low, row.value, row.high]);
    let limit = input.limit.iter().map(|limit| limit.0);
    let (low, high) = range(ends.chain(limit).chain([0.0]));
    let ticks = Ticks::over(low, high, wanted);
    let (left, right) = (edge + names + 14.0, width - edge - 14.0);
    let at = |value: f64| left + ticks.share(value).clamp(0.0, 1.0) * (right - left);
    // The name of the limit stands above the rows, at its line.
    let mut y = top + 4.0;
    let body = y + 20.0;
    if let Some((limit, name)) = &input.limit {
        let x = at(*limit);
        let name = metrics::cut(name, 11.0, false, right - left);
        let half = metrics::width(&name, 11.0, false) / 2.0;
        let x = x.clamp(left + half, (right - half).max(left + half));
        sheet.label(Label::new(name, x, y + 12.0, 11.0).anchored(Anchor::Middle));
        y = body;
    }
    for row in &input.rows {
        let room = if names > 0.0 {
            names - 24.0
        } else {
            width - 2.0 * edge - 24.0
        };
        let mut line = y + 14.0;
        sheet.verdict(row.verdict, Point::new(edge + 8.0, line - 4.0));
        for (size, bold, text) in [(12.0, true, &row.label), (11.0, false, &row.text)] {
            for words in metrics::wrap(text, size, bold, room) {
                let label = Label::new(words, edge + 24.0, line, size);
                // On a phone the line of the limit runs through the words.
                let label = if names > 0.0 { label } else { label.seamed() };
                sheet.label(if bold { label.bold() } else { label });
                line += 15.0;
            }
        }
        let (middle, bottom) = if names > 0.0 {
            ((y + line - 8.0) / 2.0, line)
        } else {
            (line + 1.0, line + 16.0)
        };
        span(&mut sheet, row, middle, &at);
        y = bottom + 6.0;
    }
    axis(&mut sheet, input, &ticks, &at, (left, right), (body, y + 2.0));
    if names > 0.0 {
        sheet.behind(|back| back.line(Point::new(edge, body), Point::new(right, body), "s-rule o", 0.6));
    }
    (sheet, (width, y + 54.0))
}

fn span(sheet: &mut Sheet, row: &SpanRow, middle: f64, at: &dyn Fn(f64) -> f64) {
    let (low, high) = (at(row.low), at(row.high));
    sheet.rect(
        &Area::new(low, middle - 3.0, (high - low).max(0.5), 6.0),
        0.0,
        "f-motion",
        0.0,
    );
    for x in [low, high] {
        sheet.line(
            Point::new(x, middle - 8.0),
            Point::new(x, middle + 8.0),
            "s-motion",
            2.0,
        );
    }
    sheet.circle(Point::new(at(row.value), middle), 5.0, "f-paper s-ink", 2.0);
}

fn axis(
    sheet: &mut Sheet,
    input: &Spans,
    ticks: &Ticks,
    at: &dyn Fn(f64) -> f64,
    (left, right): (f64, f64),
    (top, bottom): (f64, f64),
) {
    for (value, text) in ticks.values() {
        let x = at(value);
        sheet.behind(|back| back.line(Point::new(x, top), Point::new(x, bottom), "s-rule o", 0.6));
        sheet.line(Point::new(x, bottom), Point::new(x, bottom + 4.0), "s-ink", 1.0);
        sheet.label(Label::new(text, x, bottom + 17.0, 11.0).anchored(Anchor::Middle));
    }
    sheet.line(Point::new(left, bottom), Point::new(right, bottom), "s-ink", 1.2);
    if let Some((limit, _)) = &input.limit {
        let x = at(*limit);
        sheet.line(
            Point::new(x, top - 3.0),
            Point::new(x, bottom),
            "s-blocker d",
            1.8,
        );
    }
    let name = metrics::cut(&input.axis, 12.0, false, right - left + 14.0);
    sheet.label(Label::new(name, (left + right) / 2.0, bottom + 36.0, 12.0).anchored(Anchor::Middle));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::assert_legible;

    #[test]
    fn texts_stay_apart() {
        let row = |value: f64, high: f64, verdict| SpanRow {
            label: "no filament, switch says there is, and some more words".into(),
            value,
            low: 0.0,
            high,
            text: "0 % (0 % .. 12.3 %)".into(),
            verdict,
        };
        for at in [0.1, 5.0, 40.0, 100.0] {
            let input = Spans {
                head: Head {
                    prefix: "s".into(),
                    title: "Wrong words of the switch".into(),
                    description: "Invented.".into(),
                },
                axis: "share of looks, %".into(),
                rows: vec![row(0.0, 12.3, Verdict::Note), row(30.0, 41.0, Verdict::Blocker)],
                limit: Some((at, "allowed: 5 % or less".into())),
            };
            for layout in [Layout::Wide, Layout::Narrow] {
                let (sheet, size) = draw(&input, layout);
                assert_legible(&sheet, size);
            }
        }
    }
}
