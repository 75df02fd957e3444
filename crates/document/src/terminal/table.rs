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
    let columns = [Column::text(""), Column::short(""), Column::short("")];
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
    rows: Vec<Vec<Vec<line::Piece>>>,
}

impl<'t> Grid<'t> {
    fn new(columns: &'t [Column]) -> Self {
        Self {
            columns,
            rows: Vec::new(),
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

    /// How wide columns are: as their cells, until the table is wider than the screen; then the last column of words that is wide enough
    /// gives way first, then the widest ones.
    fn widths(&self, width: usize) -> Vec<usize> {
        let whole = |cell: &Vec<line::Piece>| {
            let lines = line::wrapped(cell.clone(), usize::MAX);
            lines.iter().map(Line::width).max().unwrap_or(0)
        };
        let rows = || self.rows.iter().filter(|row| row.len() == self.columns.len());
        let mut widths: Vec<usize> = (0..self.columns.len())
            .map(|at| rows().map(|row| whole(&row[at])).max().unwrap_or(0))
            .collect();
        let gaps = GAP * self.columns.len().saturating_sub(1);
        let over = |widths: &[usize]| (widths.iter().sum::<usize>() + gaps).saturating_sub(width);
        let longest = |cell: &Vec<line::Piece>| line::longest_word(cell);
        let words: Vec<usize> = (0..self.columns.len())
            .map(|at| rows().map(|row| longest(&row[at])).max().unwrap_or(0))
            .collect();
        let gives = |at: usize, least: usize, widths: &[usize]| {
            self.columns[at].kind == Kind::Text && widths[at] > least.max(words[at])
        };
        let last = (0..widths.len()).rev().find(|at| gives(*at, LAST, &widths));
        if let Some(last) = last {
            widths[last] = widths[last]
                .saturating_sub(over(&widths))
                .max(LAST)
                .max(words[last]);
        }
        while over(&widths) > 0 {
            let others = (0..widths.len()).filter(|at| Some(*at) != last && gives(*at, LEAST, &widths));
            let widest = others.max_by_key(|at| widths[*at]);
            let Some(widest) = widest.or(last).filter(|at| gives(*at, LEAST, &widths)) else {
                break;
            };
            widths[widest] -= 1;
        }
        widths
    }
}
