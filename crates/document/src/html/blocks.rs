//! Blocks as HTML, each kind in a function of its own.

use std::borrow::Cow;

use maud::{Markup, PreEscaped, html};

use super::Html;
use super::text::{Words, shape, text, verdict};
use crate::{
    Action, Block, Card, Caution, Cell, Column, Figures, Fold, Group, Kind, List, Mark, Opens, Phone,
    Picture, Place, Reading, Row, Section, Table, Text, Tone, Working, visible,
};

impl Html<'_> {
    /// Blocks among which headings have a level. Cards that follow each other stand side by side where there is room.
    pub(super) fn all(&self, blocks: &[Block], level: u8) -> Markup {
        let is_card = |block: &Block| matches!(block, Block::Card(_));
        let runs = blocks.chunk_by(|one, other| is_card(one) == is_card(other));
        html! {
            @for run in runs {
                @if is_card(&run[0]) {
                    div class="points" { @for block in run { (self.block(block, level)) } }
                } @else {
                    @for block in run { (self.block(block, level)) }
                }
            }
        }
    }

    fn block(&self, block: &Block, level: u8) -> Markup {
        match block {
            Block::Section(section) => self.subsection(section, level),
            Block::Paragraph(tone, text) => paragraph(*tone, text),
            Block::Verdict(mark, word, means) => html! { p { (verdict(*mark, word)) " " (text(means)) } },
            Block::List(list) => self::list(list),
            Block::Table(table) => self.table(table),
            Block::Figures(figures) => self::figures(figures),
            Block::Picture(picture) => self.picture(picture),
            Block::Working(working) => self::working(working),
            Block::Caution(caution) => self::caution(caution, level),
            Block::Action(action) => self.action(action, level),
            Block::Card(card) => self.card(card, level),
            Block::Fold(fold) => self.fold(fold, level),
            Block::Listing(lines) => listing(lines),
            Block::Beside(left, right) => html! {
                div class="beside" { div { (self.all(left, level)) } div { (self.all(right, level)) } }
            },
            Block::Blanks(lines) => {
                html! { div class="sign" { @for line in lines { div { (text(line)) } } } }
            }
            Block::Brief(groups) => html! {
                @for group in groups {
                    @if !group.title.is_empty() { p { strong { (text(&group.title)) } } }
                    ul class="prose" {
                        @for entry in &group.entries {
                            li { @if entry.presses { strong { (entry.mark()) } } (text(&entry.whole())) }
                        }
                    }
                }
            },
        }
    }

    fn subsection(&self, section: &Section, level: u8) -> Markup {
        html! { (heading(level, &section.id, &text(&section.title))) (self.all(&section.blocks, level + 1)) }
    }

    fn table(&self, table: &Table) -> Markup {
        let class = match table.phone {
            Phone::Cards => Some("cards"),
            Phone::Scroll => None,
            Phone::Fits => Some("narrow-table"),
        };
        // Between a phone and a desk a long word can make a table wider than the window: it then scrolls by itself. A card is no table
        // to a browser, so roles are written out.
        let roles = table.phone == Phone::Cards;
        let role = |role: &'static str| roles.then_some(role);
        let columns = &table.columns;
        html! {
            div class="scroll" tabindex=[(table.phone == Phone::Scroll).then_some("0")] { table class=[class] role=[role("table")] {
                @if !table.caption.is_empty() { caption { (text(&table.caption)) } }
                thead role=[role("rowgroup")] { tr role=[role("row")] {
                    @for column in columns {
                        th scope="col" role=[role("columnheader")] class=[kind(column)] { (text(&column.heading)) }
                    }
                } }
                @for group in &table.groups { (self.group(group, columns, roles)) }
                @if !table.foot.is_empty() {
                    tfoot role=[role("rowgroup")] { (self.row(&table.foot, &Row::default(), columns, roles)) }
                }
            } }
        }
    }

    fn group(&self, group: &Group, columns: &[Column], roles: bool) -> Markup {
        let titled = !group.title.is_empty();
        html! {
            tbody role=[roles.then_some("rowgroup")] class=[titled.then_some("group")] {
                @if titled {
                    tr { th class="of" scope="rowgroup" colspan=(columns.len()) { (text(&group.title)) } }
                }
                @for row in &group.rows { (self.row(&row.cells, row, columns, roles)) }
            }
        }
    }

    fn row(&self, cells: &[Cell], of: &Row, columns: &[Column], roles: bool) -> Markup {
        let role = |role: &'static str| roles.then_some(role);
        let last = columns.len().min(cells.len()).saturating_sub(1);
        let behind = |at: usize| {
            html! { @if at == last && !of.behind.is_empty() { (self.details("block", &html! { "How this came about" }, "", &of.behind, 6)) } }
        };
        html! {
            tr id=[place(&of.id)] role=[role("row")] class=[of.stands_out.then_some("stands-out")] {
                @for (at, (column, cell)) in columns.iter().zip(cells).enumerate() {
                    @if at == 0 {
                        th scope="row" role=[role("rowheader")] class=[kind(column)] {
                            @if let Some(mark) = of.mark { (shape(mark)) }
                            (self::cell(cell)) (behind(at))
                        }
                    } @else {
                        @let label = roles.then(|| visible(&column.heading.words()).into_owned());
                        td role=[role("cell")] data-label=[label] class=[kind(column)] { (self::cell(cell)) (behind(at)) }
                    }
                }
            }
        }
    }

    fn picture(&self, picture: &Picture) -> Markup {
        let class = if picture.broad { "picture broad" } else { "picture" };
        html! {
            @if let Some(drawing) = (self.drawings)(&picture.name) {
                figure class=(class) {
                    div class="wide" { (PreEscaped(drawing.wide)) }
                    div class="narrow" { (PreEscaped(drawing.narrow)) }
                }
            }
        }
    }

    fn action(&self, action: &Action, level: u8) -> Markup {
        html! {
            article class="step" id=[place(&action.id)] {
                (heading(level, "", &html! {
                    span class="box" aria-hidden="true" {} (action.number) ". " (text(&action.title))
                }))
                p class="small" { span class="needs" { (Words(&action.state())) } " " span class="quiet" { (text(&action.why)) } }
                @if !action.hazard.is_empty() { p { (verdict(Mark::Caution, "caution")) " " (text(&action.hazard)) } }
                ol class="prose" { @for line in &action.todo { li { (text(line)) } } }
                @if let Some(picture) = &action.close_up { div class="close-up" { (self.picture(picture)) } }
                @if !action.places.is_empty() {
                    table class="readings places" {
                        thead { tr { th scope="col" { "Place" } th scope="col" { "Do" } th scope="col" { "Expected" } th scope="col" { "Read" } } }
                        tbody { @for place in &action.places { (self.place(place)) } }
                    }
                }
                @if !action.readings.is_empty() {
                    table class="readings" {
                        thead { tr { th scope="col" { "Reading" } th scope="col" { "Expected" } th scope="col" { "Read" } } }
                        tbody { @for reading in &action.readings { (self.reading(reading)) } }
                    }
                }
                @if !action.otherwise.is_empty() { p class="small" { strong { "Otherwise: " } (text(&action.otherwise)) } }
                @if !action.see.is_empty() { p class="small no-print" { (text(&action.see)) } }
            }
        }
    }

    /// One place of an action: a box, and a blank for each of its readings.
    fn place(&self, place: &Place) -> Markup {
        let workings = place.readings.iter().flat_map(|reading| &reading.workings);
        let workings: Vec<Block> = workings.cloned().map(Block::Working).collect();
        html! {
            tr id=[self::place(&place.id)] {
                td {
                    span class="box" aria-hidden="true" {} strong { (text(&place.what)) }
                    @if !place.at.is_empty() { " " span class="quiet" { "at " (text(&place.at)) } }
                }
                td { @for (at, todo) in place.todo.iter().enumerate() { @if at > 0 { "; " } (text(todo)) } }
                td {
                    @for reading in &place.readings {
                        div { (text(&reading.what)) ": " strong { (text(&reading.expected)) } }
                    }
                    @if !workings.is_empty() {
                        (self.details("block no-print", &html! { "How the limits came about" }, "", &workings, 6))
                    }
                }
                td { @for _ in &place.readings { span class="write" {} } }
            }
        }
    }

    fn reading(&self, reading: &Reading) -> Markup {
        let workings: Vec<Block> = reading.workings.iter().cloned().map(Block::Working).collect();
        html! {
            tr {
                td {
                    (text(&reading.what))
                    @if !workings.is_empty() {
                        (self.details("block no-print", &html! { "How the limits came about" }, "", &workings, 6))
                    }
                }
                td { strong { (text(&reading.expected)) } }
                td { span class="write" {} }
            }
        }
    }

    fn card(&self, card: &Card, level: u8) -> Markup {
        html! {
            article class=(format!("point is-{}", card.mark.name())) id=[place(&card.id)] {
                p { (verdict(card.mark, &card.word)) " " span class="quiet" { (text(&card.about)) } }
                (heading(level, "", &text(&card.title)))
                (self.all(&card.blocks, level + 1))
            }
        }
    }

    fn fold(&self, fold: &Fold, level: u8) -> Markup {
        match fold.opens {
            Opens::Group => html! {
                details class="check" {
                    summary {
                        span class="title" { (mark(fold)) (text(&fold.title)) }
                        @if !fold.aside.is_empty() { span { (text(&fold.aside)) } }
                    }
                    div id=[place(&fold.id)] { (self.all(&fold.blocks, level)) }
                }
            },
            Opens::Entry | Opens::SaidEntry => html! {
                details class=(format!("row is-{}", fold.verdict.as_ref().map_or("note", |(mark, _)| mark.name()))) {
                    summary {
                        (mark(fold))
                        span class="headline" { (text(&fold.title)) }
                        @if !fold.aside.is_empty() { span class="room" { (text(&fold.aside)) } }
                    }
                    div class="inside" id=[place(&fold.id)] { (self.all(&fold.blocks, level)) }
                }
            },
            Opens::Needed => self.details("open", &text(&fold.title), &fold.id, &fold.blocks, level),
            Opens::Demand => self.details("block", &text(&fold.title), &fold.id, &fold.blocks, level),
        }
    }

    /// The anchor is inside, so that a link opens it without a script.
    fn details(&self, class: &str, title: &Markup, id: &str, blocks: &[Block], level: u8) -> Markup {
        html! {
            details class=(class) {
                summary { span class="headline" { (title) } }
                div class="inside" id=[place(id)] { (self.all(blocks, level)) }
            }
        }
    }
}

/// The identifier of a place, where it has one.
fn place(id: &str) -> Option<Cow<'_, str>> {
    (!id.is_empty()).then(|| visible(id))
}

fn mark(fold: &Fold) -> Markup {
    html! { @if let Some((mark, _)) = &fold.verdict { (shape(*mark)) } }
}

/// A heading; below the sixth level HTML has none.
fn heading(level: u8, id: &str, content: &Markup) -> Markup {
    let id = place(id);
    html! {
        @match level {
            0..=2 => { h2 id=[id] { (content) } }
            3 => { h3 id=[id] { (content) } }
            4 => { h4 id=[id] { (content) } }
            5 => { h5 id=[id] { (content) } }
            _ => { h6 id=[id] { (content) } }
        }
    }
}

fn paragraph(tone: Tone, words: &Text) -> Markup {
    let class = match tone {
        Tone::Plain => None,
        Tone::Remark => Some("small quiet"),
        Tone::Paper => Some("small quiet only-print"),
    };
    html! { p class=[class] { (text(words)) } }
}

fn list(list: &List) -> Markup {
    let items = html! { @for item in &list.items { li { (text(item)) } } };
    html! {
        @if list.ordered { ol class="prose" { (items) } } @else { ul class="prose" { (items) } }
    }
}

fn kind(column: &Column) -> Option<&'static str> {
    match column.kind {
        Kind::Text => None,
        Kind::Short => Some("keep"),
        Kind::Number => Some("number"),
    }
}

fn cell(cell: &Cell) -> Markup {
    html! {
        @match cell.texts.as_slice() {
            [] => {}
            [only] => { (text(only)) }
            texts => { ul { @for own in texts { li { (text(own)) } } } }
        }
        @if !cell.below.is_empty() { br; span class="small quiet" { (text(&cell.below)) } }
    }
}

fn figures(figures: &Figures) -> Markup {
    let class = if figures.glance { "facts" } else { "numbers" };
    html! {
        dl class=(class) {
            @for figure in &figures.items {
                div {
                    dt { (text(&figure.name)) }
                    dd {
                        (text(&figure.value))
                        @if let Some(share) = figure.confidence { " " span class="quiet" { "(" (crate::text::percent(share)) ")" } }
                    }
                }
            }
        }
    }
}

/// One formula with its numbers. A page may hold hundreds of these: the style sheet knows formula, numbers and source by their place, and the
/// scope of their headings is the one that is implied.
fn working(working: &Working) -> Markup {
    html! {
        figure class="working" {
            figcaption { (Words(&working.title)) }
            span { (Words(&working.law)) }
            span { (Words(&working.numbers)) }
            span { strong { (Words(&working.result)) } }
            @if !working.inputs.is_empty() {
                table {
                    thead { tr { th { "Symbol" } th { "Value" } th { "Meaning" } } }
                    tbody {
                        @for input in &working.inputs {
                            tr { th { (Words(&input.symbol)) } td { (Words(&input.value)) } td { (Words(&input.meaning)) } }
                        }
                    }
                }
            }
            @if !working.corners.is_empty() { p { "The result is " (Words(&working.corners)) "." } }
            p { (Words(&working.source.sentence("Formula"))) }
        }
    }
}

fn caution(caution: &Caution, level: u8) -> Markup {
    html! {
        div class="warning" role="note" {
            @if !caution.title.is_empty() { (heading(level, "", &text(&caution.title))) }
            @match caution.lines.as_slice() {
                [only] => { p { (text(only)) } }
                lines => { ul class="wide-list" { @for line in lines { li { (text(line)) } } } }
            }
        }
    }
}

fn listing(lines: &str) -> Markup {
    html! { pre tabindex="0" { @for line in writing::lines(lines) { (line) "\n" } } }
}
