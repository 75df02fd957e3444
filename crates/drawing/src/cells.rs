//! Cells in lines: one for each thing that was looked at, with a letter, and a shape for what is wrong.

use crate::geometry::{Area, Point};
use crate::metrics;
use crate::palette::wire_colours;
use crate::sheet::{Anchor, Head, Label, Layout, Sheet, closed, heading};

/// Things that were looked at, in groups.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cells {
    /// Prefix, title, description.
    pub head: Head,
    /// Groups from top to bottom.
    pub groups: Vec<CellGroup>,
    /// What kinds of cells mean.
    pub key: Vec<(Cell, String)>,
}

/// Cells under one heading.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CellGroup {
    /// Name of the group, and what is to be seen in it.
    pub name: String,
    /// Its cells in order.
    pub cells: Vec<Cell>,
    /// Whether the cells are counted beside their lines, from 1.
    pub counted: bool,
    /// How many things one cell stands for.
    pub each: u32,
}

/// One cell.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cell {
    /// One or two letters, or a sign.
    pub text: String,
    /// IEC 60757 letters of a colour, drawn as a stripe below the letters.
    pub shade: Option<String>,
    /// How it is marked.
    pub state: CellState,
}

/// How a cell is marked; each state has a shape of its own.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CellState {
    /// A thin frame.
    #[default]
    Right,
    /// A thick frame with a filled corner, bold letters.
    Wrong,
    /// A dashed frame.
    Open,
}

const WIDE: f64 = 28.0;
const HIGH: f64 = 24.0;
const GAP: f64 = 3.0;

/// Draws the cells.
pub fn cells(input: &Cells, layout: Layout) -> String {
    let (sheet, size) = draw(input, layout);
    sheet.finish(&input.head, size, None)
}

fn draw(input: &Cells, layout: Layout) -> (Sheet, (f64, f64)) {
    let (width, edge) = match layout {
        Layout::Wide => (800.0, 20.0),
        Layout::Narrow => (390.0, 12.0),
    };
    let room = width - 2.0 * edge;
    let mut sheet = Sheet::default();
    let mut y = heading(&mut sheet, &input.head, edge, room) + 4.0;
    y = key(&mut sheet, input, edge, room, y);
    for group in &input.groups {
        for line in metrics::wrap(&group.name, 12.0, true, room) {
            y += 16.0;
            sheet.label(Label::new(line, edge, y, 12.0).bold());
        }
        y = lines(&mut sheet, group, edge, room, y + 7.0) + 8.0;
    }
    (sheet, (width, y + 6.0))
}

/// The cells of a group in as many lines as they need; returns the y below.
fn lines(sheet: &mut Sheet, group: &CellGroup, edge: f64, room: f64, top: f64) -> f64 {
    let numbers = if group.counted {
        let last = group.cells.len() * group.each.max(1) as usize;
        metrics::width(&last.to_string(), 11.0, false) + 8.0
    } else {
        0.0
    };
    let fit = ((room - numbers + GAP) / (WIDE + GAP)).floor().max(1.0) as usize;
    // Lines of whole tens are counted easily.
    let fit = if fit >= 10 { fit / 10 * 10 } else { fit };
    let mut y = top;
    for (at, line) in group.cells.chunks(fit).enumerate() {
        if group.counted {
            let first = at * fit * group.each.max(1) as usize + 1;
            sheet.label(
                Label::new(first.to_string(), edge + numbers - 8.0, y + 16.0, 11.0)
                    .anchored(Anchor::End)
                    .coloured("quiet"),
            );
        }
        for (column, cell) in line.iter().enumerate() {
            one(sheet, cell, edge + numbers + column as f64 * (WIDE + GAP), y);
        }
        y += HIGH + GAP;
    }
    y
}

fn one(sheet: &mut Sheet, cell: &Cell, left: f64, top: f64) {
    let area = Area::new(left, top, WIDE, HIGH);
    let (class, stroke) = match cell.state {
        CellState::Right => ("n s-rule", 1.0),
        CellState::Wrong => ("n s-blocker", 2.2),
        CellState::Open => ("n s-quiet d", 1.2),
    };
    let shades = cell.shade.as_deref().map(wire_colours).unwrap_or_default();
    let inner = Area::new(left + 3.0, area.bottom - 6.0, WIDE - 6.0, 3.5);
    let share = inner.width() / shades.len().max(1) as f64;
    for (at, shade) in shades.iter().enumerate() {
        let part = Area::new(inner.left + at as f64 * share, inner.top, share, inner.height());
        sheet.filled(&part, shade);
    }
    if !shades.is_empty() {
        sheet.rect(&inner, 0.0, "n s-casing", 0.5);
    }
    sheet.rect(&area, 2.0, class, stroke);
    if cell.state == CellState::Wrong {
        let corner = [
            Point::new(area.right - 8.0, area.top),
            Point::new(area.right, area.top),
            Point::new(area.right, area.top + 8.0),
        ];
        sheet.path(&closed(&corner), "f-blocker", 0.0);
    }
    let middle = if shades.is_empty() { 16.0 } else { 14.0 };
    let text = Label::new(cell.text.as_str(), left + WIDE / 2.0, top + middle, 11.0).anchored(Anchor::Middle);
    sheet.label(if cell.state == CellState::Wrong {
        text.bold()
    } else {
        text
    });
}

/// What the cells mean, side by side and below each other; returns the y below.
fn key(sheet: &mut Sheet, input: &Cells, edge: f64, room: f64, top: f64) -> f64 {
    let (mut x, mut y) = (edge, top);
    for (cell, meaning) in &input.key {
        let text = metrics::cut(meaning, 11.0, false, room - WIDE - 6.0);
        let wide = WIDE + 6.0 + metrics::width(&text, 11.0, false) + 16.0;
        if x > edge && x + wide - 16.0 > edge + room {
            (x, y) = (edge, y + HIGH + 5.0);
        }
        one(sheet, cell, x, y);
        sheet.label(Label::new(text, x + WIDE + 6.0, y + 16.0, 11.0));
        x += wide;
    }
    if input.key.is_empty() { y } else { y + HIGH + 4.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::assert_legible;

    fn input(count: usize) -> Cells {
        let cell = |at: usize| Cell {
            text: ["RD", "WH", "–", "?"][at % 4].into(),
            shade: [Some("RD"), Some("WH"), None, None][at % 4].map(str::to_owned),
            state: [CellState::Right, CellState::Wrong, CellState::Open][at % 3],
        };
        Cells {
            head: Head {
                prefix: "c".into(),
                title: "Lights of an invented strip".into(),
                description: "Invented.".into(),
            },
            groups: (0..3)
                .map(|group| CellGroup {
                    name: format!("group {group}, and what there is to be seen in it at length and more"),
                    cells: (0..count).map(cell).collect(),
                    counted: group != 1,
                    each: 1,
                })
                .collect(),
            key: (0..4)
                .map(|at| (cell(at), "what such a cell means".to_owned()))
                .collect(),
        }
    }

    #[test]
    fn texts_stay_apart() {
        for count in [1, 24, 150] {
            for layout in [Layout::Wide, Layout::Narrow] {
                let (sheet, size) = draw(&input(count), layout);
                assert_legible(&sheet, size);
            }
        }
    }

    /// A state is told without its colour: frame, corner and weight differ.
    #[test]
    fn each_state_has_a_shape() {
        let drawn = |state: CellState| {
            let mut input = input(0);
            input.key.clear();
            input.groups.truncate(1);
            input.groups[0].cells = vec![Cell {
                text: "RD".into(),
                shade: None,
                state,
            }];
            let svg = cells(&input, Layout::Wide);
            let tree = roxmltree::Document::parse(&svg).unwrap();
            // What is left of a picture where all colours are one.
            let shapes = tree
                .descendants()
                .filter(|n| n.has_tag_name("rect") || n.has_tag_name("path"));
            shapes
                .map(|n| {
                    let dashed = n
                        .attribute("class")
                        .is_some_and(|c| c.split(' ').any(|c| c == "d"));
                    format!(
                        "{} {:?} {dashed}",
                        n.tag_name().name(),
                        n.attribute("stroke-width")
                    )
                })
                .collect::<Vec<_>>()
        };
        let [right, wrong, open] = [CellState::Right, CellState::Wrong, CellState::Open].map(drawn);
        assert!(right != wrong && right != open && wrong != open);
    }
}
