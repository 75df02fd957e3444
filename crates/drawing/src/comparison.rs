//! Candidate boards side by side: what each costs, serves and risks, and which no other beats on every count.

use crate::geometry::{Area, Point};
use crate::metrics;
use crate::sheet::{Anchor, Head, Label, Layout, Sheet, closed, heading};

/// The candidates of a swap.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Comparison {
    /// Prefix, title, description.
    pub head: Head,
    /// Names of the counts that are compared, in the order of [`Candidate::counts`]; of all the lower the better.
    pub criteria: Vec<String>,
    /// One for each board.
    pub candidates: Vec<Candidate>,
}

/// One board.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Candidate {
    /// Its name.
    pub name: String,
    /// A position and a ready text for each criterion; no position where nothing is known.
    pub counts: Vec<Count>,
    /// Whether no other candidate is at least as good on all counts and better on one; nothing where that tells no board from another.
    pub on_front: Option<bool>,
    /// Whether it is the one chosen.
    pub chosen: bool,
    /// A line below the name, such as what beats it.
    pub note: String,
}

/// A number as it is drawn and as it is written.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Count {
    /// Position on the scale of its criterion.
    pub position: Option<f64>,
    /// The text, with unit.
    pub text: String,
}

/// Draws the candidates: columns of a table on a wide sheet, one card below the other on a narrow one.
///
/// Of every row the shorter bar is the better one. The best is bold and has a filled dot; boards on the Pareto front have a filled diamond
/// and the words.
pub fn comparison(input: &Comparison, layout: Layout) -> String {
    let (sheet, size) = match layout {
        Layout::Wide => columns(input),
        Layout::Narrow => cards(input),
    };
    sheet.finish(&input.head, size, None)
}

const ROW: f64 = 44.0;
const NAMES: f64 = 170.0;
const EDGE: f64 = 20.0;

fn columns(input: &Comparison) -> (Sheet, (f64, f64)) {
    let count = input.candidates.len().max(1) as f64;
    let column = ((1000.0 - 2.0 * EDGE - NAMES) / count).clamp(150.0, 240.0);
    let width = 2.0 * EDGE + NAMES + column * count;
    let mut sheet = Sheet::default();
    let top = heading(&mut sheet, &input.head, EDGE, width - 2.0 * EDGE) + 4.0;
    let heads: Vec<f64> = input
        .candidates
        .iter()
        .map(|c| head_height(c, column - 24.0))
        .collect();
    let rows_top = top + heads.iter().copied().fold(40.0, f64::max) + 8.0;
    let bottom = rows_top + input.criteria.len() as f64 * ROW + 6.0;
    for (r, criterion) in input.criteria.iter().enumerate() {
        let y = rows_top + r as f64 * ROW;
        sheet.line(Point::new(EDGE, y), Point::new(width - EDGE, y), "s-rule o", 0.8);
        let mut text_y = y + 19.0;
        for line in metrics::wrap(criterion, 12.0, false, NAMES - 12.0) {
            sheet.label(Label::new(line, EDGE, text_y, 12.0));
            text_y += 15.0;
        }
    }
    for (i, candidate) in input.candidates.iter().enumerate() {
        let area = Area {
            left: EDGE + NAMES + i as f64 * column + 4.0,
            top,
            right: EDGE + NAMES + (i + 1) as f64 * column - 4.0,
            bottom,
        };
        sheet.behind(|back| frame(back, candidate, &area));
        head_of(&mut sheet, candidate, area.left + 10.0, top, area.width() - 20.0);
        for r in 0..input.criteria.len() {
            cell(
                &mut sheet,
                input,
                (i, r),
                &Area::new(
                    area.left + 10.0,
                    rows_top + r as f64 * ROW,
                    area.width() - 20.0,
                    ROW,
                ),
            );
        }
    }
    let end = legend(&mut sheet, input, (EDGE, width - EDGE), bottom);
    (sheet, (width, end))
}

fn cards(input: &Comparison) -> (Sheet, (f64, f64)) {
    let (width, edge) = (390.0, 12.0);
    let mut sheet = Sheet::default();
    let mut y = heading(&mut sheet, &input.head, edge, width - 2.0 * edge);
    for (i, candidate) in input.candidates.iter().enumerate() {
        let top = y + 4.0;
        let rows_top = top + head_height(candidate, width - 2.0 * edge - 24.0) + 4.0;
        let row = 24.0;
        let area = Area {
            left: edge,
            top,
            right: width - edge,
            bottom: rows_top + input.criteria.len() as f64 * row + 8.0,
        };
        sheet.behind(|back| frame(back, candidate, &area));
        head_of(&mut sheet, candidate, area.left + 12.0, top, area.width() - 24.0);
        for (r, criterion) in input.criteria.iter().enumerate() {
            let line = rows_top + r as f64 * row;
            let name = metrics::cut(criterion, 12.0, false, 130.0);
            sheet.label(Label::new(name, area.left + 12.0, line + 16.0, 12.0).coloured("quiet"));
            cell(
                &mut sheet,
                input,
                (i, r),
                &Area::new(area.left + 150.0, line, area.width() - 162.0, row),
            );
        }
        y = area.bottom + 4.0;
    }
    let end = legend(&mut sheet, input, (edge, width - edge), y);
    (sheet, (width, end))
}

fn frame(sheet: &mut Sheet, candidate: &Candidate, area: &Area) {
    let (class, stroke) = if candidate.chosen {
        ("f-sheet s-ink", 2.2)
    } else {
        ("f-sheet s-rule", 0.8)
    };
    sheet.rect(area, 5.0, class, stroke);
}

fn head_height(candidate: &Candidate, room: f64) -> f64 {
    let names = metrics::wrap(&candidate.name, 14.0, true, room).len() as f64;
    let notes = metrics::wrap(&candidate.note, 11.0, false, room).len() as f64;
    28.0 + names * 18.0 + notes * 14.0
}

fn head_of(sheet: &mut Sheet, candidate: &Candidate, left: f64, top: f64, room: f64) {
    let mut y = top + 6.0;
    for line in metrics::wrap(&candidate.name, 14.0, true, room) {
        y += 18.0;
        sheet.label(Label::new(line, left, y - 3.0, 14.0).bold());
    }
    y += 12.0;
    let mut words = Vec::new();
    let mut words_left = left;
    if let Some(on_front) = candidate.on_front {
        front_mark(sheet, Point::new(left + 5.0, y - 4.0), on_front);
        words_left += 16.0;
        words.push(if on_front { "on the front" } else { "beaten" });
    }
    if candidate.chosen {
        words.push("chosen");
    }
    sheet.label(Label::new(words.join(" · "), words_left, y, 11.0).bold());
    for line in metrics::wrap(&candidate.note, 11.0, false, room) {
        y += 14.0;
        sheet.label(Label::new(line, left, y, 11.0).coloured("quiet"));
    }
}

/// A filled diamond on the front, a hollow circle off it.
fn front_mark(sheet: &mut Sheet, at: Point, on_front: bool) {
    if !on_front {
        sheet.circle(at, 4.0, "f-paper s-quiet", 1.4);
        return;
    }
    let corners = [(0.0, -5.5), (5.5, 0.0), (0.0, 5.5), (-5.5, 0.0)];
    sheet.path(
        &closed(&corners.map(|(x, y)| Point::new(at.x + x, at.y + y))),
        "f-motion",
        0.0,
    );
}

/// The text of one count above a bar; bold and dotted if no candidate has a better one.
fn cell(sheet: &mut Sheet, input: &Comparison, (i, r): (usize, usize), area: &Area) {
    let Some(count) = input.candidates[i].counts.get(r) else {
        return;
    };
    let best = count.position.is_some() && count.position == best_of(input, r);
    let text = metrics::cut(&count.text, 12.5, best, area.width() - 14.0);
    let mut label = Label::new(text, area.left, area.top + 17.0, 12.5);
    if best {
        label = label.bold();
        let dot = Point::new(label.bounds().right + 8.0, area.top + 13.0);
        sheet.circle(dot, 3.0, "f-motion", 0.0);
    }
    sheet.label(label);
    let Some((low, high)) = span(input, r) else { return };
    let Some(position) = count.position else { return };
    let y = area.top + 21.0 + (area.height() - 24.0) / 2.0;
    if area.height() < 30.0 {
        return;
    }
    let at = |v: f64| area.left + (v - low) / (high - low) * area.width();
    sheet.line(Point::new(area.left, y), Point::new(area.right, y), "s-rule", 0.8);
    if low < 0.0 {
        sheet.line(
            Point::new(at(0.0), y - 6.0),
            Point::new(at(0.0), y + 6.0),
            "s-ink",
            1.2,
        );
    }
    let (from, to) = (at(0.0_f64.clamp(low, high)), at(position));
    sheet.rect(
        &Area {
            left: from.min(to),
            right: from.max(to).max(from.min(to) + 1.0),
            top: y - 2.5,
            bottom: y + 2.5,
        },
        0.0,
        "f-motion",
        0.0,
    );
}

fn positions(input: &Comparison, r: usize) -> impl Iterator<Item = f64> + '_ {
    input
        .candidates
        .iter()
        .filter_map(move |c| c.counts.get(r)?.position)
        .filter(|p| p.is_finite())
}

fn best_of(input: &Comparison, r: usize) -> Option<f64> {
    positions(input, r).reduce(f64::min)
}

/// From nought, or from the lowest if that is below, to the highest.
fn span(input: &Comparison, r: usize) -> Option<(f64, f64)> {
    let (low, high) = positions(input, r).fold((0.0_f64, 0.0_f64), |(l, h), p| (l.min(p), h.max(p)));
    (high > low).then_some((low, high))
}

fn legend(sheet: &mut Sheet, input: &Comparison, (left, right): (f64, f64), top: f64) -> f64 {
    let mut y = top + 18.0;
    let mut say = |sheet: &mut Sheet, left: f64, text: &str| {
        for line in metrics::wrap(text, 11.0, false, right - left) {
            sheet.label(Label::new(line, left, y, 11.0).coloured("quiet"));
            y += 14.0;
        }
    };
    say(
        sheet,
        left,
        "The shorter bar is the better one, in every row. Bold with a dot: best of its row.",
    );
    if input
        .candidates
        .iter()
        .any(|candidate| candidate.on_front.is_some())
    {
        front_mark(sheet, Point::new(left + 6.0, top + 28.0), true);
        let text =
            "On the Pareto front: no other candidate is at least as good on every count and better on one.";
        say(sheet, left + 18.0, text);
    }
    y
}

/// The front of `points` for the scatter plot: lower x and higher y are better. Returned from left to right.
pub(crate) fn front(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut sorted: Vec<(f64, f64)> = points
        .iter()
        .copied()
        .filter(|p| p.0.is_finite() && p.1.is_finite())
        .collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0).then(b.1.total_cmp(&a.1)));
    let mut kept: Vec<(f64, f64)> = Vec::new();
    for p in sorted {
        if kept.last().is_none_or(|last| p.1 > last.1) {
            kept.push(p);
        }
    }
    kept
}

/// Names on a picture of points: right of it, left, above, below.
pub(crate) fn name_places(text: &str, at: Point, size: f64) -> Vec<Label> {
    let label = |x, y, anchor| Label::new(text, x, y, size).anchored(anchor);
    // Above and to the left of a point there is no line of the front.
    let mut places = vec![
        label(at.x + 6.0, at.y - 9.0, Anchor::Start),
        label(at.x - 6.0, at.y - 9.0, Anchor::End),
    ];
    for far in [0.0, 13.0, 26.0, 39.0] {
        places.push(label(at.x + 10.0, at.y + 4.0 + far, Anchor::Start));
        places.push(label(at.x + 10.0, at.y + 4.0 - far, Anchor::Start));
        places.push(label(at.x - 10.0, at.y + 4.0 + far, Anchor::End));
        places.push(label(at.x - 10.0, at.y + 4.0 - far, Anchor::End));
        places.push(label(at.x, at.y - 10.0 - far, Anchor::Middle));
        places.push(label(at.x, at.y + 19.0 + far, Anchor::Middle));
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::assert_legible;
    use proptest::prelude::*;

    fn input(candidates: usize) -> Comparison {
        let names = [
            "blockers",
            "cautions",
            "wishes served",
            "worst margin",
            "price with parts",
        ];
        let count = |v: f64| Count {
            position: Some(v),
            text: format!("{v:.1} units"),
        };
        Comparison {
            head: Head {
                prefix: "c".into(),
                title: "Candidates, invented".into(),
                description: "Invented.".into(),
            },
            criteria: names.map(str::to_owned).to_vec(),
            candidates: (0..candidates)
                .map(|i| Candidate {
                    name: format!("Invented board number {i}"),
                    counts: (0..5)
                        .map(|r| count(f64::from(((i * 7 + r * 3) % 5) as u32) - 1.0))
                        .collect(),
                    on_front: (candidates > 1).then_some(i % 2 == 0),
                    chosen: i == 1,
                    note: if i % 3 == 0 {
                        "beaten by another board on every count".into()
                    } else {
                        String::new()
                    },
                })
                .collect(),
        }
    }

    #[test]
    fn texts_stay_apart() {
        for n in [0, 1, 3, 8] {
            for (sheet, size) in [columns(&input(n)), cards(&input(n))] {
                assert_legible(&sheet, size);
            }
        }
    }

    #[test]
    fn the_best_is_the_lowest() {
        let mut c = input(3);
        for (i, v) in [4.0, 2.0, 9.0].into_iter().enumerate() {
            c.candidates[i].counts[0].position = Some(v);
        }
        assert_eq!(best_of(&c, 0), Some(2.0));
    }

    proptest! {
        /// The front by its definition: nobody at least as good in both and better in one.
        #[test]
        fn the_front_is_what_nobody_beats(points in prop::collection::vec((0_u8..20, 0_u8..20), 0..25)) {
            let points: Vec<(f64, f64)> = points.into_iter().map(|(x, y)| (f64::from(x), f64::from(y))).collect();
            let kept = front(&points);
            for p in &points {
                let beaten = points.iter().any(|q| q.0 <= p.0 && q.1 >= p.1 && q != p);
                prop_assert_eq!(kept.contains(p), !beaten);
            }
        }
    }
}
