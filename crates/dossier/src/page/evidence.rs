//! What was measured: for each report verdict, sentence, figures with intervals, pictures, tables, what was left out.

use ::evidence::{Report, Table, Verdict};
use maud::{Markup, html};

use super::marks::{verdict_with, with_code};
use super::table::{Column, cards, words};
use super::working::working;
use super::{Pictures, picture};
use crate::evidence::Measured;
use crate::pictures::Picture;
use crate::shown::Shown;
use crate::words::{capital, plural};

pub(super) fn evidence(shown: &Shown<'_>, pictures: &Pictures) -> Markup {
    let mut drawn = pictures.evidence.iter();
    let all = shown.material.evidence.iter();
    let parts: Vec<Markup> = all
        .map(|measured| self::measured(shown, measured, &mut drawn))
        .collect();
    html! {
        p class="small quiet" {
            "Intervals are at the stated confidence. A measurement says how the machine was when it was made; \
             it does not make the machine safe."
        }
        @for part in parts { (part) }
    }
}

fn measured<'p>(
    shown: &Shown<'_>,
    measured: &Measured,
    drawn: &mut impl Iterator<Item = &'p Picture>,
) -> Markup {
    let from = html! {
        p class="small quiet" {
            (capital(measured.kind.word())) " in " code { (measured.file) }
            @if let Some(board) = &measured.board { ", measured on " (board) }
            "."
        }
    };
    match &measured.outcome {
        Ok(reports) => {
            let reports: Vec<Markup> = reports
                .iter()
                .map(|report| {
                    let own: Vec<&Picture> = drawn.take(report.pictures.len()).collect();
                    self::report(shown, report, &own, &from)
                })
                .collect();
            html! { @for report in reports { (report) } }
        }
        Err(refused) => html! {
            h3 { (capital(measured.kind.word())) }
            p { (verdict_with(plan::Verdict::Caution, "refused")) " " (with_code(&capital(&refused.problem))) ". " (with_code(&capital(&refused.mend))) "." }
            (troubles(&refused.troubles))
            (from)
        },
    }
}

fn report(shown: &Shown<'_>, report: &Report, pictures: &[&Picture], from: &Markup) -> Markup {
    html! {
        h3 { (report.title) }
        p { (verdict_with(as_finding(report.verdict), report.verdict.word())) " " (with_code(&report.sentence)) }
        @if !report.figures.is_empty() {
            dl class="numbers" {
                @for figure in &report.figures {
                    div {
                        dt { (with_code(&capital(&figure.what))) }
                        dd { (figure.shown()) @if let Some(share) = figure.confidence { " " span class="quiet" { "(" (percent(share)) ")" } } }
                    }
                }
            }
        }
        @if !report.advice.is_empty() {
            ul class="prose" {
                @for advice in &report.advice {
                    li { strong { (if advice.helps { "Helps: " } else { "Does not help: " }) } (with_code(&advice.sentence)) }
                }
            }
        }
        @for own in pictures { (picture(own, "")) }
        @for own in &report.tables { (table(own)) }
        @if report.figures.iter().any(|figure| figure.working.is_some()) {
            details class="block" {
                summary { span class="headline" { "How this came about" } }
                div class="inside" {
                    @for own in report.figures.iter().filter_map(|figure| figure.working.as_ref()) { (working(shown, own)) }
                }
            }
        }
        (troubles(&report.troubles))
        (from)
        @if !report.sources.is_empty() {
            p class="small quiet" {
                "Methods from: "
                @for (at, key) in report.sources.iter().enumerate() {
                    @if at > 0 { "; " }
                    (shown.citation(key).trim_end_matches('.'))
                }
                "."
            }
        }
    }
}

/// Columns that fit beside each other on a phone.
const ON_A_PHONE: usize = 4;

fn table(table: &Table) -> Markup {
    let first =
        |row: &::evidence::Row, cell: &str| html! { (with_code(cell)) @if row.chosen { " (take this)" } };
    let cells = |row: &::evidence::Row| -> Vec<Markup> {
        let cells = row.cells.iter().enumerate();
        cells
            .map(|(at, cell)| {
                if at == 0 {
                    first(row, cell)
                } else {
                    with_code(cell)
                }
            })
            .collect()
    };
    let rows: Vec<Vec<Markup>> = table.rows.iter().map(cells).collect();
    if table.columns.len() > ON_A_PHONE {
        let columns: Vec<Column<'_>> = table.columns.iter().map(|heading| words(heading)).collect();
        return cards(&table.title, &columns, &rows, None);
    }
    html! {
        div class="scroll" { table {
            caption { (table.title) }
            thead { tr {
                @for column in &table.columns { th scope="col" { (column) } }
            } }
            tbody {
                @for row in &rows {
                    tr {
                        @for (at, cell) in row.iter().enumerate() {
                            @if at == 0 { th scope="row" { (cell) } } @else { td { (cell) } }
                        }
                    }
                }
            }
        } }
    }
}

fn troubles(troubles: &[::evidence::Trouble]) -> Markup {
    let lines: u64 = troubles.iter().map(|trouble| trouble.count).sum();
    html! {
        @if !troubles.is_empty() {
            details class="block" {
                summary { span class="headline" { (plural(lines, "remark on the file", "remarks on the file")) } }
                div class="inside" { ul { @for trouble in troubles { li { (with_code(&trouble.to_string())) } } } }
            }
        }
    }
}

fn percent(share: f64) -> String {
    format!("{} %", (share * 1000.0).round() / 10.0)
}

/// Marks and colours are those of the findings.
fn as_finding(verdict: Verdict) -> plan::Verdict {
    match verdict {
        Verdict::Holds => plan::Verdict::Pass,
        Verdict::Measured => plan::Verdict::Note,
        Verdict::NotShown => plan::Verdict::Caution,
        Verdict::Fails => plan::Verdict::Blocker,
    }
}
