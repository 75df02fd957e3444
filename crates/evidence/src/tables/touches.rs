//! Touches of a bed: a row for each, or a grid of heights.

use physics::mechanics::Point;
use quantity::si::{Length, millimetre};
use quantity::{Kind, Number as _};

use super::Rows;
use super::columns::{Columns, label};
use super::plausible::Reach;
use crate::Refused;
use crate::height_map::Touch;
use crate::read::{Cell, Record, Records};

/// `x`, `y`, `height` in millimetres, and under a head `visit` where the bed was touched several times. Or a grid: the first row holds x, the first
/// column y, with a corner cell that says so (`y\x` or anything with both letters).
///
/// # Errors
/// [`Refused`] for a column that is missing or has a unit of another kind; so for all readers here.
pub fn touches(table: &Records) -> Rows<Touch> {
    if let Some(grid) = Grid::of(table) {
        return grid?.touches(table);
    }
    if has_empty_corner(table) {
        return Err(unclear_sides(
            "the corner of the grid is empty: it does not say what its sides are".to_owned(),
        ));
    }
    if let Some((rows, columns)) = bare_heights(table) {
        return Err(Refused::new(
            format!("{rows} rows of {columns} heights, and no coordinates"),
            "state where the touches are: x in millimetres as a first row, y as a first column, `y\\x` in the corner",
        ));
    }
    let columns = Columns::of(table, &["x", "y", "height"])?;
    let x = columns.needed::<Length>(&["x"], 0, "mm")?;
    let y = columns.needed::<Length>(&["y"], 1, "mm")?;
    let z = columns.needed::<Length>(&["height", "z"], 2, "mm")?;
    let visit = columns.find(&["visit", "pass"], usize::MAX);
    let mut names: Vec<String> = Vec::new();
    columns.rows(|columns, row| {
        let (Some(x), Some(y), Some(height)) = (
            columns.value(row, &x),
            columns.value(row, &y),
            columns.value(row, &z),
        ) else {
            return None;
        };
        Some(Touch {
            at: Point::new(x, y),
            height,
            visit: label(row, visit).map(|name| place_of(name, &mut names)),
            line: row.line,
        })
    })
}

fn unclear_sides(problem: String) -> Refused {
    Refused::new(
        problem,
        "write `y\\x` there: x along the first row, y down the first column",
    )
}

/// Whether a table without a head begins with nothing, and numbers behind it.
fn has_empty_corner(table: &Records) -> bool {
    let first = table
        .rows()
        .next()
        .filter(|_| !table.has_head() && table.columns.len() > 2);
    let mut cells = first.iter().flat_map(|row| row.cells.iter());
    cells.next() == Some(Cell::Missing) && cells.all(|cell| cell.number().is_some())
}

/// Rows and columns of a matrix of heights alone, as a controller prints it: numbers throughout, all of them as small as heights of a bed are
/// and places on it are not, and no head that names places.
fn bare_heights(table: &Records) -> Option<(usize, usize)> {
    /// Further from 0 than this lies no bed that a probe could touch, mm; common practice, no source.
    const HIGHEST: f64 = 10.0;
    /// Fewer rows or columns are no matrix.
    const FEWEST: usize = 3;
    let width = table.columns.len();
    let named = |words: &[&str]| table.has_head() && table.column(words).is_some();
    if width < FEWEST || table.rows().len() < FEWEST || named(&["x"]) || named(&["y"]) {
        return None;
    }
    let is_height = |cell: Cell<'_>| match cell {
        Cell::Number(height) => height.abs() <= HIGHEST,
        Cell::Missing => true,
        Cell::Text(_) => false,
    };
    let is_bare = table.rows().all(|row| row.cells.iter().all(is_height));
    is_bare.then(|| (table.rows().len(), width))
}

/// The place of a name among those that were seen, in the order of their first.
fn place_of(name: String, names: &mut Vec<String>) -> u32 {
    let at = names.iter().position(|own| *own == name).unwrap_or_else(|| {
        names.push(name);
        names.len() - 1
    });
    at as u32
}

/// A table whose head holds numbers but for its first cell.
struct Grid {
    /// Places of the columns, mm.
    x: Vec<f64>,
    reach: Reach,
}

impl Grid {
    /// Nothing where the table is no grid; refused where it does not say what its sides are.
    fn of(table: &Records) -> Option<Result<Self, Refused>> {
        let (corner, heads) = table.columns.split_first()?;
        let x: Vec<f64> = heads.iter().filter_map(|column| place(&column.name)).collect();
        if corner.name.is_empty() || heads.len() < 2 || x.len() != heads.len() {
            return None;
        }
        let letters = corner.name.to_lowercase();
        if !(letters.contains('x') && letters.contains('y')) {
            return Some(Err(unclear_sides(format!(
                "`{}` in the corner of the grid does not say what its sides are",
                corner.name
            ))));
        }
        let grid = Self {
            x,
            reach: Reach::of(Kind::Length),
        };
        if grid.x.iter().any(|x| grid.length(*x).is_none()) {
            return Some(Err(Refused::new(
                grid.beyond("a place in the head of the grid"),
                "write x in millimetres along the first row",
            )));
        }
        Some(Ok(grid))
    }

    fn length(&self, millimetres: f64) -> Option<Length> {
        Some(millimetre(millimetres)).filter(|length| self.reach.holds(length.base()))
    }

    fn beyond(&self, what: &str) -> String {
        format!("{what} is beyond {}: look at its digits", self.reach.words())
    }

    fn touches(&self, table: &Records) -> Rows<Touch> {
        let mut columns = Columns::told(table, table.troubles.clone());
        let mut out = Vec::new();
        for row in table.rows() {
            match self.y(&row) {
                Ok(y) => out.extend(self.row(y, &row, &mut columns)),
                Err(what) => columns.tell(row.line, what + "; the row is left out"),
            }
        }
        Ok((out, columns.troubles))
    }

    fn y(&self, row: &Record<'_>) -> Result<Length, String> {
        let number = row.cells.get(0).and_then(Cell::number);
        let number = number.ok_or_else(|| "no y at the beginning of the row".to_owned())?;
        self.length(number)
            .ok_or_else(|| self.beyond("y at the beginning of the row"))
    }

    /// The touches of a row; places without height, and heights that cannot be, are told.
    fn row(&self, y: Length, row: &Record<'_>, columns: &mut Columns<'_>) -> Vec<Touch> {
        let mut out = Vec::new();
        for (x, cell) in self.x.iter().zip(row.cells.iter().skip(1)) {
            match cell.number().map(|number| self.length(number)) {
                Some(Some(height)) => out.push(Touch {
                    at: Point::new(millimetre(*x), y),
                    height,
                    visit: None,
                    line: row.line,
                }),
                Some(None) => columns.tell(row.line, self.beyond("a height") + "; the place is left out"),
                None => columns.tell(row.line, "a place without height"),
            }
        }
        out
    }
}

/// A finite number in the head of a column.
fn place(text: &str) -> Option<f64> {
    let number: f64 = text.trim().replace(',', ".").parse().ok()?;
    number.is_finite().then_some(number)
}
