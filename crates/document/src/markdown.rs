//! Blocks as Markdown (CommonMark, with the tables and boxes of GitHub Flavored Markdown).
//!
//! What opens on demand is left out, as on paper; pictures are links to their files, and inner links are mere words, since Markdown knows no
//! places. Every word passes `text`, which alone escapes.

mod text;

use crate::{
    Action, Block, Card, Caution, Cell, Document, Figures, Fold, Opens, Picture, Section, Table, Text, Tone,
    Working,
};
use text::{fenced, line};

/// A reading with a blank to write on.
fn reading(reading: &crate::Reading) -> Text {
    let expected = reading.what.clone().and(": ").strong(reading.expected.words());
    expected.and(", read: ").span(crate::Span::Blank)
}

/// A whole document.
#[must_use]
pub fn document(document: &Document) -> String {
    document_at(document, "")
}

/// A whole document that lies elsewhere than its pictures: `way` leads from its folder to where their names begin, such as `../`.
#[must_use]
pub fn document_at(document: &Document, way: &'static str) -> String {
    let mut page = Page(String::new(), way);
    page.heading(1, &document.title);
    page.paragraph(&document.lead);
    if !document.badge.is_empty() {
        page.paragraph(&Text::default().strong(document.badge.words()));
    }
    page.all(&document.front, 2);
    for section in &document.sections {
        page.section(section, 2);
    }
    page.finish()
}

/// Blocks that stand below a heading of a level, such as 2.
#[must_use]
pub fn blocks(blocks: &[Block], level: u8) -> String {
    let mut page = Page::default();
    page.all(blocks, level + 1);
    page.finish()
}

/// Blocks of lines, each with a blank line behind it; and the way to the pictures.
#[derive(Default)]
struct Page(String, &'static str);

impl Page {
    fn finish(self) -> String {
        format!("{}\n", self.0.trim_end())
    }

    fn put(&mut self, lines: &str) {
        if !lines.is_empty() {
            self.0.push_str(lines);
            self.0.push_str("\n\n");
        }
    }

    fn paragraph(&mut self, text: &Text) {
        self.put(&line(text));
    }

    /// A heading; below the sixth level Markdown has none.
    fn heading(&mut self, level: u8, text: &Text) {
        let words = text::heading(text);
        if !words.is_empty() {
            self.put(&format!("{} {words}", "#".repeat(level.min(6).into())));
        }
    }

    /// Lines behind a mark, which is that of a list or of a quotation.
    fn items<'t>(&mut self, mark: impl Fn(usize) -> String, items: impl IntoIterator<Item = &'t Text>) {
        let items = items.into_iter().enumerate();
        let lines: Vec<String> = items
            .map(|(at, item)| format!("{}{}", mark(at), line(item)))
            .collect();
        self.put(&lines.join("\n"));
    }

    fn list<'t>(&mut self, items: impl IntoIterator<Item = &'t Text>) {
        self.items(|_| "- ".to_owned(), items);
    }

    fn numbered<'t>(&mut self, items: impl IntoIterator<Item = &'t Text>) {
        self.items(|at| format!("{}. ", at + 1), items);
    }

    fn all(&mut self, blocks: &[Block], level: u8) {
        let entry = |block: &Block| matches!(block, Block::Fold(fold) if fold.opens.is_entry());
        for run in blocks.chunk_by(|one, other| entry(one) && entry(other)) {
            if entry(&run[0]) {
                let lines: Vec<Text> = run.iter().filter_map(entry_line).collect();
                self.list(&lines);
                continue;
            }
            self.block(&run[0], level);
        }
    }

    fn block(&mut self, block: &Block, level: u8) {
        match block {
            Block::Section(section) => self.section(section, level),
            Block::Paragraph(_, text) => self.paragraph(text),
            Block::Verdict(_, word, text) => self.paragraph(&said(word, text)),
            Block::List(list) if list.ordered => self.numbered(&list.items),
            Block::List(list) => self.list(&list.items),
            Block::Table(table) => self.table(table),
            Block::Figures(figures) => self.figures(figures),
            Block::Picture(picture) => self.picture(picture),
            Block::Working(working) => self.working(working),
            Block::Caution(caution) => self.caution(caution, level),
            Block::Action(action) => self.action(action, level),
            Block::Card(card) => self.card(card, level),
            Block::Fold(fold) => self.fold(fold, level),
            Block::Listing(lines) => {
                let lines: Vec<String> = writing::lines(lines).collect();
                self.put(&fenced(&lines));
            }
            Block::Beside(left, right) => {
                self.all(left, level);
                self.all(right, level);
            }
            Block::Blanks(lines) => {
                let lines: Vec<Text> = lines
                    .iter()
                    .map(|line| line.clone().and(": ").span(crate::Span::Blank))
                    .collect();
                self.list(&lines);
            }
            Block::Brief(groups) => {
                for group in groups {
                    self.paragraph(&group.title);
                    let entries = group.entries.iter().map(|entry| match entry.presses {
                        true => Text::default().strong(entry.mark()).join(entry.whole()),
                        false => entry.whole(),
                    });
                    self.list(&entries.collect::<Vec<_>>());
                }
            }
        }
    }

    fn section(&mut self, section: &Section, level: u8) {
        self.heading(level, &section.title);
        self.all(&section.blocks, level + 1);
    }

    fn table(&mut self, table: &Table) {
        if !table.caption.is_empty() {
            let ends = table.caption.words().ends_with(['.', ':']);
            self.paragraph(&table.caption.clone().and(if ends { "" } else { ":" }));
        }
        let columns = table.columns.len();
        let mut lines = vec![row(table.columns.iter().map(|column| column.heading.clone()))];
        let rule = |column: &crate::Column| match column.kind {
            crate::Kind::Number => " ---: |",
            crate::Kind::Text | crate::Kind::Short => " --- |",
        };
        lines.push(format!("|{}", table.columns.iter().map(rule).collect::<String>()));
        for group in &table.groups {
            if !group.title.is_empty() {
                let title = Text::default().strong(group.title.words());
                lines.push(row(
                    std::iter::once(title).chain(vec![Text::default(); columns.saturating_sub(1)])
                ));
            }
            lines.extend(group.rows.iter().map(|own| row(own.cells.iter().map(Cell::one))));
        }
        if !table.foot.is_empty() {
            let strong = |cell: &Cell| Text::default().strong(cell.one().words());
            lines.push(row(table.foot.iter().map(strong)));
        }
        self.put(&lines.join("\n"));
    }

    fn figures(&mut self, figures: &Figures) {
        let lines = figures.items.iter().map(|figure| {
            let share = figure
                .confidence
                .map(|share| format!(" ({})", crate::text::percent(share)));
            let said = figure.name.clone().and(": ").join(figure.value.clone());
            said.and(share.unwrap_or_default())
        });
        self.list(&lines.collect::<Vec<_>>());
    }

    fn picture(&mut self, picture: &Picture) {
        if picture.is_file {
            let title = line(&Text::of(&picture.title));
            self.put(&format!(
                "![{title}]({})",
                text::target(&format!("{}{}", self.1, picture.name))
            ));
        }
    }

    fn working(&mut self, working: &Working) {
        if !working.title.is_empty() {
            self.paragraph(&Text::of(format!("{}:", working.title)));
        }
        let lines = [&working.law, &working.numbers, &working.result];
        let lines: Vec<String> = lines.into_iter().flat_map(|line| writing::lines(line)).collect();
        self.put(&fenced(&lines));
        let corners =
            Some(format!("The result is {}. ", working.corners)).filter(|_| !working.corners.is_empty());
        self.paragraph(&Text::of(corners.unwrap_or_default()).and(working.source.sentence("Formula")));
    }

    fn caution(&mut self, caution: &Caution, level: u8) {
        self.heading(level, &caution.title);
        match caution.lines.as_slice() {
            [only] => self.items(|_| "> ".to_owned(), [only]),
            lines => self.list(lines),
        }
    }

    fn action(&mut self, action: &Action, level: u8) {
        let title = Text::of(format!("{}. ", action.number)).join(action.title.clone());
        self.heading(level, &title);
        self.paragraph(&said(&action.state(), &action.why));
        if !action.hazard.is_empty() {
            self.paragraph(&said("caution", &action.hazard));
        }
        self.numbered(&action.todo);
        let places = action.places.iter().map(|place| {
            let mut said = Text::default().strong(place.what.words());
            if !place.at.is_empty() {
                said = said.and(" at ").join(place.at.clone());
            }
            for todo in &place.todo {
                said = said.and("; ").join(todo.clone());
            }
            for reading in &place.readings {
                said = said.and("; ").join(self::reading(reading));
            }
            said
        });
        self.items(|_| "- [ ] ".to_owned(), &places.collect::<Vec<_>>());
        let readings = action.readings.iter().map(reading);
        self.items(|_| "- [ ] ".to_owned(), &readings.collect::<Vec<_>>());
        if !action.otherwise.is_empty() {
            self.paragraph(&Text::of("Otherwise: ").join(action.otherwise.clone()));
        }
    }

    fn card(&mut self, card: &Card, level: u8) {
        self.heading(
            level,
            &Text::of(format!("{}: ", capital(&card.word))).join(card.title.clone()),
        );
        self.paragraph(&card.about);
        self.all(&card.blocks, level + 1);
    }

    fn fold(&mut self, fold: &Fold, level: u8) {
        match fold.opens {
            Opens::Group => {
                let aside = Some(Text::of(": ").join(fold.aside.clone())).filter(|_| !fold.aside.is_empty());
                let title = Text::default().strong(fold.title.words());
                self.paragraph(&title.join(aside.unwrap_or_default()));
                self.all(&fold.blocks, level);
            }
            Opens::Needed => self.all(&fold.blocks, level),
            Opens::Entry | Opens::SaidEntry => self.list(entry_line(&Block::Fold(fold.clone())).iter()),
            Opens::Demand => {}
        }
    }
}

/// The line that stands for an entry.
fn entry_line(block: &Block) -> Option<Text> {
    let Block::Fold(fold) = block else { return None };
    let mut text = Text::default();
    if let Some((_, word)) = &fold.verdict {
        text = text.strong(format!("{word}:")).and(" ");
    }
    text = text.join(fold.title.clone());
    if !fold.aside.is_empty() {
        text = text.and(" (").join(fold.aside.clone()).and(")");
    }
    let said = fold.blocks.iter().filter_map(|block| match block {
        Block::Paragraph(Tone::Plain, said) if fold.opens == Opens::SaidEntry => Some(said),
        _ => None,
    });
    let ends = |text: &Text| text.words().ends_with('.');
    Some(said.fold(text, |text, said| {
        let between = if ends(&text) { " " } else { ". " };
        text.and(between).join(said.clone())
    }))
}

fn row(cells: impl IntoIterator<Item = Text>) -> String {
    let cells: Vec<String> = cells.into_iter().map(|cell| text::cell(&cell)).collect();
    format!("| {} |", cells.join(" | "))
}

/// "**Holds:** what it means".
fn said(word: &str, text: &Text) -> Text {
    Text::default()
        .strong(format!("{}:", capital(word)))
        .and(" ")
        .join(text.clone())
}

fn capital(words: &str) -> String {
    let mut rest = words.chars();
    let first = rest.next().into_iter().flat_map(char::to_uppercase);
    first.chain(rest).collect()
}
