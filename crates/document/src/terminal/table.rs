//! Aligned columns: no rules, two blanks between columns, cells wrapped where the table is too wide.

use anstyle::Style;

use super::line::{self, Line};
use super::{FAINT, HEADING, PLAIN, style_of};
use crate::{Cell, Column, Figures, Kind, Row, Table, Text};

/// Blanks between columns.
const GAP: usize = 2;
/// The last column of words is wrapped to no less than this while others can give way, and the others to no less than that.
const LAST: usize = 24;
const LEAST: usize = 12;
/// Below this a table whose sentences are squeezed stands row by row.
const NARROW: usize = 60;

/// The lines of a table.
pub(super) fn lines(table: &Table, width: usize) -> Vec<Line> {
    let mut out = Vec::new();
    if !table.caption.is_empty() {
        out.extend(line::wrapped(line::pieces(&table.caption, FAINT), width));
    }
    let headings: Vec<Text> = table
        .columns
        .iter()
        .map(|column| column.heading.clone())
        .collect();
    let mut grid = Grid::new(&table.columns);
    if headings.iter().any(|heading| !heading.is_empty()) {
        grid.row(&headings, FAINT, FAINT);
        grid.headings = 1;
    }
    for group in &table.groups {
        if !group.title.is_empty() {
            grid.title(&group.title);
        }
        for row in &group.rows {
            let first = row.mark.map_or(HEADING, style_of);
            grid.row(&texts(&row.cells), first, rest(row));
        }
    }
    if !table.foot.is_empty() {
        grid.row(&texts(&table.foot), HEADING, HEADING);
    }
    out.extend(grid.lines(width));
    out
}

fn texts(cells: &[Cell]) -> Vec<Text> {
    cells.iter().map(Cell::one).collect()
}

fn rest(row: &Row) -> Style {
    if row.stands_out { HEADING } else { PLAIN }
}

/// The lines of figures: name, value, confidence.
pub(super) fn figures(figures: &Figures, width: usize) -> Vec<Line> {
    let lines = figures_in(figures, width, Column::short(""));
    // A value is not broken but where it would run out of the terminal.
    if lines.iter().all(|line| line.width() <= width) {
        return lines;
    }
    figures_in(figures, width, Column::text(""))
}

fn figures_in(figures: &Figures, width: usize, value: Column) -> Vec<Line> {
    let columns = [Column::text(""), value, Column::short("")];
    let mut grid = Grid::new(&columns);
    for figure in &figures.items {
        let share = figure.confidence.map(crate::text::percent);
        let cells = [
            figure.name.clone(),
            figure.value.clone(),
            Text::of(share.unwrap_or_default()),
        ];
        grid.row(&cells, PLAIN, PLAIN);
    }
    grid.lines(width)
}

/// Rows of cells, of which each is a line until widths are known.
struct Grid<'t> {
    columns: &'t [Column],
    rows: Vec<Vec<Words>>,
    /// How many of the rows are headings.
    headings: usize,
}

/// A cell of a row, before it is broken.
type Words = Vec<line::Piece>;

impl<'t> Grid<'t> {
    fn new(columns: &'t [Column]) -> Self {
        Self {
            columns,
            rows: Vec::new(),
            headings: 0,
        }
    }

    /// One row, with the style of its first cell and that of the others.
    fn row(&mut self, cells: &[Text], first: Style, rest: Style) {
        let style = |at: usize| if at == 0 { first } else { rest };
        let cells = cells
            .iter()
            .enumerate()
            .map(|(at, cell)| line::pieces(cell, style(at)));
        let mut cells: Vec<_> = cells.collect();
        cells.resize_with(self.columns.len(), Vec::new);
        self.rows.push(cells);
    }

    /// A line over all columns.
    fn title(&mut self, title: &Text) {
        self.rows.push(vec![line::pieces(title, HEADING)]);
    }

    fn lines(&self, width: usize) -> Vec<Line> {
        let widths = self.widths(width);
        if self.is_cramped(&widths, width) {
            return self.stacked(width);
        }
        let mut out = Vec::new();
        for row in &self.rows {
            // A title has one cell whatever the columns are.
            if row.len() < self.columns.len() {
                out.extend(row.iter().flat_map(|title| line::wrapped(title.clone(), width)));
                continue;
            }
            let cells = row.iter().zip(&widths);
            let cells: Vec<Vec<Line>> = cells
                .map(|(cell, width)| line::wrapped(cell.clone(), *width))
                .collect();
            let high = cells.iter().map(Vec::len).max().unwrap_or(0);
            for at in 0..high {
                let (mut line, mut blanks) = (Line::default(), 0);
                for ((own, width), column) in cells.iter().zip(&widths).zip(self.columns) {
                    let part = own.get(at).cloned().unwrap_or_default();
                    let room = width.saturating_sub(part.width());
                    let before = if column.kind == Kind::Number { room } else { 0 };
                    if part.is_empty() {
                        blanks += width + GAP;
                    } else {
                        line = line.then(blanks + before, part);
                        blanks = room - before + GAP;
                    }
                }
                out.push(line);
            }
        }
        out
    }

    /// Whether columns side by side run out of a narrow screen, or leave no room for sentences.
    fn is_cramped(&self, widths: &[usize], width: usize) -> bool {
        let all = widths.iter().sum::<usize>() + GAP * widths.len().saturating_sub(1);
        if self.columns.len() < 3 {
            return false;
        }
        let broken = |at: usize| {
            let mut rows = self.rows.iter().filter_map(|row| row.get(at));
            rows.any(|cell| line::whole(cell) > widths[at])
        };
        let mut squeezed = (0..widths.len())
            .filter(|at| self.columns[*at].kind == Kind::Text && widths[*at] < LAST)
            .filter(|at| broken(*at));
        all > width || width < NARROW && squeezed.next().is_some()
    }

    /// One row below the other: the first cell, then what is short on one line and each sentence on its own, behind their headings.
    fn stacked(&self, width: usize) -> Vec<Line> {
        let mut out = Vec::new();
        let headings = self.rows.first().filter(|_| self.headings > 0);
        let named = |at: usize, cell: &Words| -> Words {
            let heading = headings.map_or_else(Words::new, |row| row[at].clone());
            line::beside(heading, ":", cell.clone())
        };
        for row in self.rows.iter().skip(self.headings) {
            if row.len() < self.columns.len() {
                out.extend(row.iter().flat_map(|title| line::wrapped(title.clone(), width)));
                continue;
            }
            let mut cells = row.iter().enumerate();
            out.extend(
                cells
                    .next()
                    .into_iter()
                    .flat_map(|(_, first)| line::wrapped(first.clone(), width)),
            );
            let (mut short, mut long) = (Words::new(), Vec::new());
            for (at, cell) in cells.filter(|(_, cell)| !cell.is_empty()) {
                if self.columns[at].kind == Kind::Text {
                    long.push(named(at, cell));
                    continue;
                }
                short = line::beside(short, ";", named(at, cell));
            }
            for words in std::iter::once(short)
                .chain(long)
                .filter(|words| !words.is_empty())
            {
                let lines = line::wrapped(words, width.saturating_sub(GAP));
                out.extend(lines.into_iter().map(|line| line.behind(&" ".repeat(GAP))));
            }
        }
        out
    }

    /// How wide columns are: as their cells, until the table is wider than the screen. Then headings above short cells are broken first,
    /// then the last column of words gives way, then the widest ones.
    fn widths(&self, width: usize) -> Vec<usize> {
        let columns = 0..self.columns.len();
        let rows = || self.rows.iter().filter(|row| row.len() == self.columns.len());
        let widest = |at: usize, of: &dyn Fn(&[line::Piece]) -> usize, skip: usize| {
            rows().skip(skip).map(|row| of(&row[at])).max().unwrap_or(0)
        };
        let mut widths: Vec<usize> = columns.clone().map(|at| widest(at, &line::whole, 0)).collect();
        let is_text = |at: usize| self.columns[at].kind == Kind::Text;
        let words = columns.clone().map(|at| widest(at, &line::longest_word, 0));
        let least = words.enumerate().map(|(at, word)| {
            // What is short is not broken, but its heading may be.
            let others = if is_text(at) {
                LEAST
            } else {
                widest(at, &line::whole, self.headings)
            };
            word.max(others)
        });
        let least: Vec<usize> = least.collect();
        let last = columns
            .clone()
            .rev()
            .find(|at| is_text(*at) && widths[*at] > LAST);
        let gaps = GAP * self.columns.len().saturating_sub(1);
        while widths.iter().sum::<usize>() + gaps > width {
            let gives = |at: &usize| widths[*at] > least[*at];
            let widest_of = |text: bool| {
                columns
                    .clone()
                    .filter(|at| is_text(*at) == text)
                    .filter(gives)
                    .max_by_key(|at| widths[*at])
            };
            let tall = last.filter(|at| widths[*at] > LAST && gives(at));
            let Some(at) = widest_of(false).or(tall).or_else(|| widest_of(true)) else {
                break;
            };
            widths[at] -= 1;
        }
        widths
    }
}
