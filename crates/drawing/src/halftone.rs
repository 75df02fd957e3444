//! A quantity on square cells of a plane, seen from above: shades whose lightness rises with it, and in each cell a dot that grows with it,
//! so that it is told without colours too.

use crate::geometry::{Area, Point};
use crate::metrics;
use crate::palette::SHADES;
use crate::plot::{Frame, ticks_width};
use crate::sheet::{Anchor, Head, Label, Layout, Sheet, heading, number};
use crate::ticks::Ticks;

/// A quantity on square cells, drawn to scale.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Halftone {
    /// Prefix, title, description.
    pub head: Head,
    /// Name and unit of the horizontal axis, such as `x, mm`.
    pub x: String,
    /// Name and unit of the vertical axis.
    pub y: String,
    /// Name and unit of the quantity.
    pub quantity: String,
    /// Left edge of the first column.
    pub left: f64,
    /// Lower edge of the first row.
    pub bottom: f64,
    /// Side of a cell.
    pub cell: f64,
    /// Values by row from the bottom, then by column from the left; 0 and what is not finite is left blank.
    pub rows: Vec<Vec<f64>>,
}

/// Draws the plane.
pub fn halftone(input: &Halftone, layout: Layout) -> String {
    let (sheet, size) = draw(input, layout);
    sheet.finish(&input.head, size, None)
}

/// Cells along a side that can be told apart; more are joined, the highest value counts.
const fn most_cells(layout: Layout) -> usize {
    match layout {
        Layout::Wide => 80,
        Layout::Narrow => 48,
    }
}

/// The largest dot as a share of its cell.
const LARGEST: f64 = 0.86;

/// The smallest one.
const SMALLEST: f64 = 0.14;

fn draw(input: &Halftone, layout: Layout) -> (Sheet, (f64, f64)) {
    let (width, tallest, edge) = match layout {
        Layout::Wide => (800.0, 560.0, 20.0),
        Layout::Narrow => (390.0, 420.0, 12.0),
    };
    let grid = Grid::of(input, most_cells(layout));
    let levels = Levels::of(&grid);
    let mut sheet = Sheet::default();
    let top = heading(&mut sheet, &input.head, edge, width - 2.0 * edge);
    let top = legend(
        &mut sheet,
        &input.quantity,
        &levels,
        edge,
        (width - 2.0 * edge).min(520.0),
        top,
    ) + 44.0;
    let frame = frame(&grid, layout, &Area::new(edge, top, width - 2.0 * edge, tallest));
    frame.draw(&mut sheet, &input.x, &input.y);
    cells(&mut sheet, &grid, &levels, &frame);
    (sheet, (width, frame.area.bottom + 46.0))
}

/// The cells as they are drawn.
struct Grid {
    left: f64,
    bottom: f64,
    cell: f64,
    rows: Vec<Vec<f64>>,
}

impl Grid {
    fn of(input: &Halftone, most: usize) -> Self {
        let columns = input.rows.iter().map(Vec::len).max().unwrap_or(0);
        let join = columns.max(input.rows.len()).div_ceil(most).max(1);
        let highest = |row: usize, column: usize| {
            let rows = input.rows.iter().skip(row * join).take(join);
            let values = rows.flat_map(|row| row.iter().skip(column * join).take(join));
            values
                .copied()
                .filter(|value| value.is_finite())
                .fold(0.0, f64::max)
        };
        let row = |row| {
            (0..columns.div_ceil(join))
                .map(|column| highest(row, column))
                .collect()
        };
        Self {
            left: input.left,
            bottom: input.bottom,
            cell: input.cell * join as f64,
            rows: (0..input.rows.len().div_ceil(join)).map(row).collect(),
        }
    }

    fn columns(&self) -> usize {
        self.rows.first().map_or(0, Vec::len)
    }
}

/// Bounds of the classes, from 0 on round numbers.
struct Levels(Vec<(f64, String)>);

impl Levels {
    fn of(grid: &Grid) -> Self {
        let highest = grid.rows.iter().flatten().copied().fold(0.0, f64::max);
        let mut wanted = SHADES;
        loop {
            let ticks = Ticks::over(0.0, highest, wanted).values();
            if ticks.len() <= SHADES + 1 || wanted <= 2 {
                return Self(ticks);
            }
            wanted -= 1;
        }
    }

    fn count(&self) -> usize {
        self.0.len().saturating_sub(1).max(1)
    }

    /// The class of a value; none where there is nothing.
    fn class(&self, value: f64) -> Option<usize> {
        let above = self.0.iter().filter(|(level, _)| value >= *level).count();
        (value > 0.0).then(|| above.saturating_sub(1).min(self.count() - 1))
    }

    fn shade(&self, class: usize) -> usize {
        if self.count() < 2 {
            SHADES / 2
        } else {
            class * (SHADES - 1) / (self.count() - 1)
        }
    }

    /// Diameter of the dot of a class as a share of its cell: equal steps.
    fn dot(&self, class: usize) -> f64 {
        let share = if self.count() < 2 {
            1.0
        } else {
            class as f64 / (self.count() - 1) as f64
        };
        SMALLEST + (LARGEST - SMALLEST) * share
    }
}

/// A bar of all classes with the numbers between them, and each with its dot.
fn legend(sheet: &mut Sheet, name: &str, levels: &Levels, left: f64, width: f64, top: f64) -> f64 {
    sheet.label(Label::new(
        metrics::cut(name, 12.0, false, width),
        left,
        top + 12.0,
        12.0,
    ));
    let texts = levels.0.iter().map(|(_, text)| metrics::width(text, 11.0, false));
    // Half of the outer numbers stands out at both ends.
    let room = texts.fold(0.0, f64::max) / 2.0;
    let each = (width - 2.0 * room) / levels.count() as f64;
    for class in 0..levels.count() {
        let area = Area::new(left + room + each * class as f64, top + 20.0, each, 16.0);
        sheet.rect(&area, 0.0, &format!("f-ramp{} s-ink", levels.shade(class)), 0.6);
        sheet.circle(area.middle(), levels.dot(class) * 7.0, "f-ink", 0.0);
    }
    let mut last_right = f64::NEG_INFINITY;
    for (at, (_, text)) in levels.0.iter().enumerate() {
        let x = left + room + each * at as f64;
        let label = Label::new(text.clone(), x, top + 49.0, 11.0).anchored(Anchor::Middle);
        if label.bounds().left > last_right + 4.0 {
            last_right = label.bounds().right;
            sheet.label(label);
        }
    }
    top + 52.0
}

/// One scale for both axes, as large as fits.
fn frame(grid: &Grid, layout: Layout, within: &Area) -> Frame {
    let side = |cells: usize| grid.cell * cells.max(1) as f64;
    let wanted = |wide, narrow| if layout == Layout::Wide { wide } else { narrow };
    let x = Ticks::over(grid.left, grid.left + side(grid.columns()), wanted(8, 4));
    let y = Ticks::over(grid.bottom, grid.bottom + side(grid.rows.len()), wanted(8, 5));
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

/// One path of runs for each shade, and one of dots for each class.
fn cells(sheet: &mut Sheet, grid: &Grid, levels: &Levels, frame: &Frame) {
    let mut shades = vec![String::new(); levels.count()];
    let mut dots = vec![String::new(); levels.count()];
    let at =
        |column: f64, row: f64| frame.point(grid.left + grid.cell * column, grid.bottom + grid.cell * row);
    let side = at(1.0, 0.0).x - at(0.0, 0.0).x;
    for (row, values) in grid.rows.iter().enumerate() {
        let classes: Vec<Option<usize>> = values.iter().map(|value| levels.class(*value)).collect();
        let mut start = 0;
        while start < classes.len() {
            let run = classes[start..]
                .iter()
                .take_while(|class| **class == classes[start])
                .count();
            if let Some(class) = classes[start] {
                let Point { x, y } = at(start as f64, row as f64 + 1.0);
                // A little taller and wider than the cells: no seam of paper shows between two runs.
                let (wide, high) = (number(side * run as f64 + 0.3), number(side + 0.3));
                shades[class].push_str(&format!("M{} {}h{wide}v{high}h-{wide}z", number(x), number(y)));
                for column in start..start + run {
                    let Point { x, y } = at(column as f64 + 0.5, row as f64 + 0.5);
                    dots[class].push_str(&format!("M{x:.1} {y:.1}h0"));
                }
            }
            start += run;
        }
    }
    for (class, path) in shades.iter().enumerate().filter(|(_, path)| !path.is_empty()) {
        sheet.path(path, &format!("f-ramp{}", levels.shade(class)), 0.0);
    }
    for (class, path) in dots.iter().enumerate().filter(|(_, path)| !path.is_empty()) {
        // A line of no length with round ends is a dot.
        sheet.path(path, "n s-ink r", levels.dot(class) * side);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::assert_legible;

    fn ring(side: usize) -> Halftone {
        let middle = side as f64 / 2.0;
        let value = |row: usize, column: usize| {
            let away = (row as f64 - middle).hypot(column as f64 - middle);
            if (middle * 0.5..middle * 0.9).contains(&away) {
                away * 1000.0
            } else {
                0.0
            }
        };
        Halftone {
            head: Head {
                prefix: "h".into(),
                title: "Step rate of an invented print".into(),
                description: "Invented.".into(),
            },
            x: "x, mm".into(),
            y: "y, mm".into(),
            quantity: "step rate over all motors, kHz".into(),
            left: 20.0,
            bottom: 30.0,
            cell: 2.0,
            rows: (0..side)
                .map(|row| (0..side).map(|column| value(row, column)).collect())
                .collect(),
        }
    }

    #[test]
    fn texts_stay_apart() {
        for layout in [Layout::Wide, Layout::Narrow] {
            for side in [1, 20, 128] {
                let (sheet, size) = draw(&ring(side), layout);
                assert_legible(&sheet, size);
            }
        }
    }

    /// A higher class has a lighter or equal shade, and always a larger dot.
    #[test]
    fn the_quantity_is_told_without_colours() {
        let levels = Levels::of(&Grid::of(&ring(64), 80));
        assert!(levels.count() >= 4);
        for class in 1..levels.count() {
            assert!(levels.dot(class) > levels.dot(class - 1));
            assert!(levels.shade(class) >= levels.shade(class - 1));
        }
        assert_eq!(levels.class(0.0), None);
        assert_eq!(levels.class(1e-9), Some(0));
    }

    /// Joined cells keep the highest value, and the picture covers the same ground.
    #[test]
    fn joining_keeps_the_highest_value() {
        let input = ring(128);
        let grid = Grid::of(&input, 48);
        let highest = |rows: &[Vec<f64>]| rows.iter().flatten().copied().fold(0.0, f64::max);
        assert_eq!(highest(&grid.rows), highest(&input.rows));
        assert!(grid.columns() <= 48 && (grid.cell * grid.columns() as f64) >= 2.0 * 128.0);
    }

    #[test]
    fn nothing_is_a_picture_too() {
        for rows in [
            Vec::new(),
            vec![Vec::new()],
            vec![vec![0.0; 3]; 2],
            vec![vec![f64::NAN]],
        ] {
            let input = Halftone { rows, ..ring(1) };
            assert!(halftone(&input, Layout::Wide).starts_with("<svg"));
        }
    }
}
