//! Tables that become one card a row on a phone.

use maud::{Markup, html};

/// A column: its heading, and whether it holds numbers.
pub(super) struct Column<'h>(pub &'h str, pub bool);

/// A column of words.
pub(super) const fn words(heading: &str) -> Column<'_> {
    Column(heading, false)
}

/// A column of numbers.
pub(super) const fn numbers(heading: &str) -> Column<'_> {
    Column(heading, true)
}

/// A table whose first column names the row. Roles are written out since a card is no table to a browser.
pub(super) fn cards(
    caption: &str,
    columns: &[Column<'_>],
    rows: &[Vec<Markup>],
    foot: Option<Vec<Markup>>,
) -> Markup {
    // Between a phone and a desk a long word can make a table wider than the window: it then scrolls by itself.
    html! {
        div class="scroll" { table class="cards" role="table" {
            @if !caption.is_empty() { caption { (caption) } }
            thead role="rowgroup" {
                tr role="row" {
                    @for column in columns {
                        th scope="col" role="columnheader" class=[class(column)] { (column.0) }
                    }
                }
            }
            tbody role="rowgroup" {
                @for cells in rows { (row(columns, cells)) }
            }
            @if let Some(foot) = foot {
                tfoot role="rowgroup" { (row(columns, &foot)) }
            }
        } }
    }
}

fn row(columns: &[Column<'_>], cells: &[Markup]) -> Markup {
    html! {
        tr role="row" {
            @for (at, (column, cell)) in columns.iter().zip(cells).enumerate() {
                @if at == 0 {
                    th scope="row" role="rowheader" class=[class(column)] { (cell) }
                } @else {
                    td role="cell" data-label=(column.0) class=[class(column)] { (cell) }
                }
            }
        }
    }
}

fn class(column: &Column<'_>) -> Option<&'static str> {
    column.1.then_some("number")
}

/// A cell of text.
pub(super) fn text(text: impl AsRef<str>) -> Markup {
    html! { (text.as_ref()) }
}
