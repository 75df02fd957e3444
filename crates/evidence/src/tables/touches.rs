//! Touches of a bed: a row for each, or a grid of heights.

use physics::mechanics::Point;
use quantity::si::{Length, millimetre};
use quantity::{AnyValue, Kind, Number as _};

use super::Rows;
use super::columns::{Columns, label};
use super::plausible::Reach;
use crate::Refused;
use crate::height_map::Touch;
use crate::read::{Cell, Record, Records, name_and_unit};

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
        "write `y\\x` there for x along the first row and y down the first column, `x\\y` for the other way round",
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
    // Counts beside the heights, as some controllers print them: `0: +0.012`, or a column and a row of plain ones.
    let is_count = |text: &str| {
        let digits = text.trim_end_matches([':', ')', '.']);
        digits.len() < text.len() && !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit())
    };
    let counted = table
        .rows()
        .all(|row| row.cells.get(0).and_then(Cell::text).is_some_and(is_count));
    let counts = |numbers: &[f64]| {
        let is_next = |two: &[f64]| two[1] - two[0] == 1.0;
        numbers.len() >= FEWEST && [0.0, 1.0].contains(&numbers[0]) && numbers.windows(2).all(is_next)
    };
    let column: Vec<f64> = table
        .rows()
        .filter_map(|row| row.cells.get(0)?.number())
        .collect();
    let beside = usize::from(counted || column.len() == table.rows().len() && counts(&column));
    let row = table.rows().next()?;
    let row: Vec<f64> = row.cells.iter().skip(beside).filter_map(Cell::number).collect();
    let above = usize::from(row.len() + beside == width && counts(&row));
    let is_bare = table
        .rows()
        .all(|row| row.cells.iter().skip(beside).all(is_height));
    is_bare.then(|| (table.rows().len() - above, width - beside))
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
    heads: Vec<f64>,
    across: Across,
    reach: Reach,
}

/// What goes along the first row; the other one goes down the first column.
#[derive(Clone, Copy)]
enum Across {
    X,
    Y,
}

impl Grid {
    /// Nothing where the table is no grid; refused where it does not say what its sides are.
    fn of(table: &Records) -> Option<Result<Self, Refused>> {
        let (corner, heads) = table.columns.split_first()?;
        let x: Vec<f64> = heads
            .iter()
            .filter_map(|column| place(&column.name, column.unit.as_deref()))
            .collect();
        if corner.name.is_empty() || heads.len() < 2 || x.len() != heads.len() {
            return None;
        }
        let letters = corner.name.to_lowercase();
        let across = match (letters.find('x'), letters.find('y')) {
            (Some(x), Some(y)) if y < x => Across::X,
            // As the names stand to both sides of the stroke: what is left of it goes down.
            (Some(_), Some(_)) if letters.contains('\\') => Across::Y,
            (Some(_), Some(_)) => {
                return Some(Err(unclear_sides(format!(
                    "`{}` in the corner of the grid does not say which of its sides is which",
                    corner.name
                ))));
            }
            _ => {
                return Some(Err(unclear_sides(format!(
                    "`{}` in the corner of the grid does not say what its sides are",
                    corner.name
                ))));
            }
        };
        let grid = Self {
            heads: x,
            across,
            reach: Reach::of(Kind::Length),
        };
        if grid.heads.iter().any(|x| grid.length(*x).is_none()) {
            return Some(Err(Refused::new(
                grid.beyond("a place in the head of the grid"),
                "write places in millimetres along the first row",
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
            match self.beside(&row) {
                Ok(beside) => out.extend(self.row(beside, &row, &mut columns)),
                Err(what) => columns.tell(row.line, what + "; the row is left out"),
            }
        }
        columns.read(out)
    }

    /// The place of a row.
    fn beside(&self, row: &Record<'_>) -> Result<Length, String> {
        let name = match self.across {
            Across::X => "y",
            Across::Y => "x",
        };
        let number = match row.cells.get(0) {
            Some(Cell::Number(number)) => Some(number),
            Some(Cell::Text(text)) => {
                let (name, unit) = name_and_unit(text);
                place(&name, unit.as_deref())
            }
            _ => None,
        };
        let number = number.ok_or_else(|| format!("no {name} at the beginning of the row"))?;
        self.length(number)
            .ok_or_else(|| self.beyond(&format!("{name} at the beginning of the row")))
    }

    /// The touches of a row; places without height, and heights that cannot be, are told.
    fn row(&self, beside: Length, row: &Record<'_>, columns: &mut Columns<'_>) -> Vec<Touch> {
        let mut out = Vec::new();
        for (head, cell) in self.heads.iter().zip(row.cells.iter().skip(1)) {
            match cell.number().map(|number| self.length(number)) {
                Some(Some(height)) => out.push(Touch {
                    at: match self.across {
                        Across::X => Point::new(millimetre(*head), beside),
                        Across::Y => Point::new(beside, millimetre(*head)),
                    },
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

/// A place in the head of a column or row, mm: a finite number, perhaps behind its axis.
fn place(text: &str, unit: Option<&str>) -> Option<f64> {
    let text = text.trim();
    let bare = text.trim_start_matches(['x', 'y', 'X', 'Y']).trim_start();
    let bare = bare.strip_prefix(['=', ':']).map(str::trim_start);
    let number: f64 = bare.unwrap_or(text).replace(',', ".").parse().ok()?;
    let value = AnyValue::in_unit(Kind::Length, number, unit.unwrap_or("mm"))?;
    let number = if unit.is_none_or(|unit| unit == "mm") {
        number
    } else {
        value.nominal * 1e3
    };
    number.is_finite().then_some(number)
}
