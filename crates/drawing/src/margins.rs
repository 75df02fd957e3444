//! The margin chart: one row per check, how far each is from its limit.

use crate::geometry::{Area, Point};
use crate::metrics;
use crate::sheet::{Anchor, Head, Label, Layout, Sheet, Verdict, heading};

/// All checks with their margins.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Margins {
    /// Prefix, title, description.
    pub head: Head,
    /// Groups in the order in which they are drawn.
    pub groups: Vec<MarginGroup>,
}

/// Checks under one heading.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MarginGroup {
    /// Name of the group.
    pub heading: String,
    /// Its checks.
    pub rows: Vec<MarginRow>,
}

/// One check.
#[derive(Clone, Debug, PartialEq)]
pub struct MarginRow {
    /// What was checked.
    pub label: String,
    /// The value in the worst case, with its unit.
    pub value: String,
    /// The limit, with its unit and its sense, such as `≤ 15 A`.
    pub limit: String,
    /// Distance from the limit as a share of the limit: 0.25 passes with a quarter to spare, -0.1 breaks it by a
    /// tenth. `None` where there is nothing to measure.
    pub margin: Option<f64>,
    /// What is written in place of that share, such as `−0.3 K`.
    pub room: Option<String>,
    /// How bad it is.
    pub verdict: Verdict,
}

impl MarginRow {
    fn share(&self) -> String {
        self.room.clone().unwrap_or_else(|| percent(self.margin))
    }
}

/// Draws the margin chart.
///
/// The scale is a root scale, `sign(m) · √|m|`, cut at ±200 %: near the limit, where it matters, it is wide, and the
/// comfortable rows do not flatten the tight ones. A bar that is longer than the scale ends in an arrow.
pub fn margins(input: &Margins, layout: Layout) -> String {
    let (sheet, size) = draw(input, layout);
    sheet.finish(&input.head, size, None)
}

/// The margin at which the scale ends.
const END: f64 = 2.0;
const TICKS: [(f64, &str); 9] = [
    (-1.0, "−100 %"),
    (-0.5, "−50 %"),
    (-0.2, "−20 %"),
    (-0.05, "−5 %"),
    (0.0, "limit"),
    (0.05, "5 %"),
    (0.2, "20 %"),
    (0.5, "50 %"),
    (1.0, "100 %"),
];

/// Where things are in a layout.
struct Columns {
    width: f64,
    left: f64,
    label_left: f64,
    label_room: f64,
    axis: f64,
    reach: f64,
    value_right: f64,
    right: f64,
    text: f64,
    narrow: bool,
}

impl Columns {
    const fn of(layout: Layout) -> Self {
        match layout {
            Layout::Wide => Self {
                width: 1000.0,
                left: 20.0,
                label_left: 140.0,
                label_room: 220.0,
                axis: 552.0,
                reach: 180.0,
                value_right: 822.0,
                right: 980.0,
                text: 12.0,
                narrow: false,
            },
            Layout::Narrow => Self {
                width: 390.0,
                left: 12.0,
                label_left: 32.0,
                label_room: 346.0,
                axis: 195.0,
                reach: 176.0,
                value_right: 378.0,
                right: 378.0,
                text: 11.5,
                narrow: true,
            },
        }
    }

    /// Where a margin is on the scale.
    fn at(&self, margin: f64) -> f64 {
        let share = (margin.abs().min(END) / END).sqrt();
        self.axis + self.reach * if margin < 0.0 { -share } else { share }
    }

    const fn line_height(&self) -> f64 {
        self.text + 4.0
    }
}

fn draw(input: &Margins, layout: Layout) -> (Sheet, (f64, f64)) {
    let columns = Columns::of(layout);
    let mut sheet = Sheet::default();
    let top = heading(
        &mut sheet,
        &input.head,
        columns.left,
        columns.right - columns.left,
    );
    let body = scale_names(&mut sheet, &columns, top);
    let mut y = body;
    for group in &input.groups {
        y = group_rows(&mut sheet, &columns, group, y);
    }
    let end = y + 4.0;
    if !columns.narrow {
        sheet.behind(|back| grid(back, &columns, body, end));
    }
    let bottom = legend(&mut sheet, &columns, end);
    (sheet, (columns.width, bottom))
}

/// Names of the ticks above the rows, as many as fit; returns the y below.
fn scale_names(sheet: &mut Sheet, columns: &Columns, top: f64) -> f64 {
    let size = if columns.narrow { 11.0 } else { columns.text - 1.0 };
    let mut y = top + size;
    if !columns.narrow {
        let above = |text: &str, x, anchor| Label::new(text, x, y, size).anchored(anchor).coloured("quiet");
        sheet.label(above("← breaks the limit", columns.axis - 8.0, Anchor::End));
        sheet.label(above("keeps it →", columns.axis + 8.0, Anchor::Start));
        sheet.label(above("value", columns.value_right, Anchor::End));
        sheet.label(above("limit", columns.value_right + 12.0, Anchor::Start));
        sheet.label(above("margin", columns.right, Anchor::End));
        y += size + 4.0;
    }
    for (margin, name) in TICKS {
        // The small margins lie close together: a phone has no room for their names.
        if columns.narrow && margin != 0.0 && margin.abs() < 0.2 {
            continue;
        }
        let label = Label::new(name, columns.at(margin), y, size)
            .anchored(Anchor::Middle)
            .coloured("quiet");
        let taken = sheet.labels.iter().any(|l| l.bounds().overlaps(&label.bounds()));
        if !taken {
            sheet.label(label);
        }
    }
    y + 6.0
}

fn grid(sheet: &mut Sheet, columns: &Columns, top: f64, bottom: f64) {
    for (margin, _) in TICKS {
        let x = columns.at(margin);
        if margin == 0.0 {
            sheet.line(Point::new(x, top), Point::new(x, bottom), "s-ink", 1.5);
        } else {
            sheet.line(Point::new(x, top), Point::new(x, bottom), "s-rule o", 0.8);
        }
    }
}

fn group_rows(sheet: &mut Sheet, columns: &Columns, group: &MarginGroup, top: f64) -> f64 {
    let mut y = top;
    if !group.heading.is_empty() {
        let band = Area::new(
            columns.left - 6.0,
            y + 4.0,
            columns.right - columns.left + 12.0,
            20.0,
        );
        sheet.behind(|back| back.rect(&band, 3.0, "f-band", 0.0));
        sheet.label(Label::new(&group.heading, columns.left, y + 18.5, columns.text + 0.5).bold());
        y += 28.0;
    }
    for row in &group.rows {
        y = if columns.narrow {
            narrow_row(sheet, columns, row, y)
        } else {
            wide_row(sheet, columns, row, y)
        };
    }
    y + 4.0
}

fn wide_row(sheet: &mut Sheet, columns: &Columns, row: &MarginRow, top: f64) -> f64 {
    let lines = metrics::wrap(&row.label, columns.text, false, columns.label_room);
    let values = metrics::wrap(
        &row.value,
        columns.text,
        true,
        columns.value_right - columns.axis - columns.reach - 4.0,
    );
    let limit_left = columns.value_right + 12.0;
    let limits = metrics::wrap(&row.limit, columns.text, false, columns.right - 70.0 - limit_left);
    let count = lines.len().max(values.len()).max(limits.len()).max(1);
    let height = count as f64 * columns.line_height() + 4.0;
    let middle = top + height / 2.0;
    sheet.verdict(row.verdict, Point::new(columns.left + 8.0, middle));
    sheet.label(
        Label::new(
            row.verdict.word(),
            columns.left + 22.0,
            middle + 4.0,
            columns.text,
        )
        .bold()
        .coloured(colour(row.verdict)),
    );
    stack(sheet, columns, &lines, middle, |text, y| {
        Label::new(text, columns.label_left, y, columns.text)
    });
    stack(sheet, columns, &values, middle, |text, y| {
        Label::new(text, columns.value_right, y, columns.text)
            .bold()
            .anchored(Anchor::End)
    });
    stack(sheet, columns, &limits, middle, |text, y| {
        Label::new(text, limit_left, y, columns.text).coloured("quiet")
    });
    bar(sheet, columns, row, middle);
    let share = Label::new(row.share(), columns.right, middle + 4.0, columns.text);
    sheet.label(share.anchored(Anchor::End));
    top + height
}

fn narrow_row(sheet: &mut Sheet, columns: &Columns, row: &MarginRow, top: f64) -> f64 {
    let step = columns.line_height();
    let mut y = top + step;
    for line in metrics::wrap(&row.label, columns.text, false, columns.label_room) {
        sheet.label(Label::new(line, columns.label_left, y, columns.text));
        y += step;
    }
    sheet.verdict(row.verdict, Point::new(columns.left + 8.0, top + step - 4.0));
    let word = Label::new(row.verdict.word(), columns.label_left, y, columns.text).bold();
    let share = row.share();
    let numbers: Vec<&str> = [&row.value, &row.limit, &share]
        .into_iter()
        .map(|s| s.trim())
        .filter(|s| !s.is_empty())
        .collect();
    let left = word.bounds().right + 8.0;
    sheet.label(word.coloured(colour(row.verdict)));
    for line in metrics::wrap(&numbers.join(" · "), columns.text, false, columns.right - left) {
        sheet.label(Label::new(line, columns.right, y, columns.text).anchored(Anchor::End));
        y += step;
    }
    if row.margin.is_some() {
        // Only beside the bar: a line all the way down would run through the words.
        grid(sheet, columns, y - 10.0, y + 5.0);
        bar(sheet, columns, row, y - 2.5);
        y += 8.0;
    }
    y + 2.0
}

/// Lines of a cell, stacked around the middle of the row.
fn stack(
    sheet: &mut Sheet,
    columns: &Columns,
    lines: &[String],
    middle: f64,
    label: impl Fn(&str, f64) -> Label,
) {
    let step = columns.line_height();
    let first = middle - (lines.len() as f64 - 1.0) * step / 2.0 + 4.0;
    for (i, line) in lines.iter().enumerate() {
        sheet.label(label(line, first + i as f64 * step));
    }
}

fn bar(sheet: &mut Sheet, columns: &Columns, row: &MarginRow, middle: f64) {
    let Some(margin) = row.margin else { return };
    let end = columns.at(margin);
    let (left, right) = if margin < 0.0 {
        (end, columns.axis)
    } else {
        (columns.axis, end)
    };
    let half = 5.0;
    let class = format!("f-{}", colour(row.verdict));
    if margin.abs() <= END {
        // A margin of nothing still shows as a stroke on the limit line.
        let (left, right) = if right - left < 2.0 {
            (columns.axis - 1.5, columns.axis + 1.5)
        } else {
            (left, right)
        };
        sheet.rect(
            &Area::new(left, middle - half, right - left, 2.0 * half),
            0.0,
            &class,
            0.0,
        );
        return;
    }
    let sign = margin.signum();
    let shoulder = end - sign * 8.0;
    let shape = [
        Point::new(columns.axis, middle - half),
        Point::new(shoulder, middle - half),
        Point::new(end, middle),
        Point::new(shoulder, middle + half),
        Point::new(columns.axis, middle + half),
    ];
    sheet.path(&crate::sheet::closed(&shape), &class, 0.0);
}

fn legend(sheet: &mut Sheet, columns: &Columns, top: f64) -> f64 {
    let text = "Margin: distance from the limit as a share of the limit, in the worst case. The scale is a root scale, \
                wide near the limit, and ends at 200 %; an arrow goes beyond.";
    let mut y = top + 18.0;
    for line in metrics::wrap(text, 11.0, false, columns.right - columns.left) {
        sheet.label(Label::new(line, columns.left, y, 11.0).coloured("quiet"));
        y += 14.0;
    }
    y
}

const fn colour(verdict: Verdict) -> &'static str {
    verdict.colour()
}

/// `+5 %`, `−12 %`, `+0.4 %`; nothing where there is no margin.
fn percent(margin: Option<f64>) -> String {
    let Some(margin) = margin else {
        return String::new();
    };
    let sign = if margin < 0.0 { "−" } else { "+" };
    let share = margin.abs() * 100.0;
    if share > 999.0 {
        return format!("> {sign}999 %");
    }
    // A violation of 0.04 % must not read as 0.0 %.
    match share {
        s if s >= 9.95 => format!("{sign}{s:.0} %"),
        s if s >= 0.095 || s == 0.0 => format!("{sign}{s:.1} %"),
        s if s >= 0.0095 => format!("{sign}{s:.2} %"),
        _ => format!("{sign}<0.01 %"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::assert_legible;

    fn row(label: &str, margin: Option<f64>, verdict: Verdict) -> MarginRow {
        MarginRow {
            room: None,
            label: label.into(),
            value: "14.2 A".into(),
            limit: "≤ 15 A".into(),
            margin,
            verdict,
        }
    }

    fn chart(rows: Vec<MarginRow>) -> Margins {
        let head = Head {
            prefix: "m".into(),
            title: "Margins".into(),
            description: "Invented.".into(),
        };
        Margins {
            head,
            groups: vec![MarginGroup {
                heading: "Electrics".into(),
                rows,
            }],
        }
    }

    #[test]
    fn the_scale_is_symmetric_monotonous_and_ends() {
        let columns = Columns::of(Layout::Wide);
        let x = [-9.0, -2.0, -0.5, -0.01, 0.0, 0.01, 0.5, 2.0, 9.0].map(|m| columns.at(m) - columns.axis);
        assert!(x.windows(2).all(|w| w[0] <= w[1]));
        for i in 0..x.len() {
            assert!((x[i] + x[x.len() - 1 - i]).abs() < 1e-9);
        }
        assert_eq!(x[8], columns.reach);
        assert!((x[6] - columns.reach / 2.0).abs() < 1e-9, "√(0.5/2) = 1/2");
    }

    #[test]
    fn percentages_never_hide_a_violation() {
        let cases = [
            (0.25, "+25 %"),
            (-0.1234, "−12 %"),
            (0.004, "+0.4 %"),
            (0.0, "+0.0 %"),
            (-0.0004, "−0.04 %"),
            (-0.000_004, "−<0.01 %"),
            (55.0, "> +999 %"),
        ];
        for (margin, text) in cases {
            assert_eq!(percent(Some(margin)), text);
        }
        assert_eq!(percent(None), "");
    }

    #[test]
    fn seventy_rows_stay_legible_in_both_layouts() {
        let verdicts = [Verdict::Blocker, Verdict::Caution, Verdict::Note, Verdict::Pass];
        let rows: Vec<MarginRow> = (0..70)
            .map(|i| {
                let label = format!(
                    "check {i} of the supply at heat-up{}",
                    " and then some more words".repeat(i % 4)
                );
                row(
                    &label,
                    (i % 9 != 0).then(|| f64::from(i as i32 - 30) / 12.0),
                    verdicts[i % 4],
                )
            })
            .collect();
        for layout in [Layout::Wide, Layout::Narrow] {
            let (sheet, size) = draw(&chart(rows.clone()), layout);
            assert_legible(&sheet, size);
        }
    }

    #[test]
    fn verdicts_are_written_out() {
        let svg = margins(
            &chart(vec![row("input", Some(-0.1), Verdict::Blocker)]),
            Layout::Wide,
        );
        let tree = roxmltree::Document::parse(&svg).unwrap();
        assert!(tree.descendants().any(|n| n.text() == Some("blocker")));
    }
}
