//! Blocks as lines for a terminal of some width.
//!
//! What opens on demand is left out; who asks for it builds a document in which it is no fold. Pictures tell their file. Every word passes
//! [`visible`](crate::visible()), so that no name moves the cursor, sets a colour or turns the direction of writing.

mod line;
mod table;

use anstyle::{AnsiColor, Style};

use crate::{
    Action, Block, Brief, Card, Caution, Document, Figures, Fitted, Fold, List, Mark, Opens, Section, Span,
    Text, Tone, Working,
};
use line::{Line, Piece};

/// For headings.
const HEADING: Style = Style::new().bold();
/// For what is less important.
const FAINT: Style = Style::new().dimmed();
const PLAIN: Style = Style::new();

/// The renderer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Terminal {
    /// How many columns it has.
    pub width: usize,
    /// Whether styles are written, as ANSI escape sequences.
    pub colour: bool,
}

/// The style of a verdict; its word always stands beside it.
fn style_of(mark: Mark) -> Style {
    match mark {
        Mark::Stop => AnsiColor::Red.on_default().bold(),
        Mark::Caution => AnsiColor::Yellow.on_default(),
        Mark::Note => AnsiColor::Cyan.on_default(),
        Mark::Pass => AnsiColor::Green.on_default(),
    }
}

impl Terminal {
    /// A whole document.
    #[must_use]
    pub fn document(&self, document: &Document) -> String {
        let mut page = Page::new(self.width);
        page.text("", &document.title, HEADING);
        page.text("", &document.lead, PLAIN);
        page.text("", &document.badge, HEADING);
        page.close = false;
        page.all(&document.front);
        for section in &document.sections {
            page.section(section);
        }
        self.written(&page)
    }

    /// Blocks alone.
    #[must_use]
    pub fn blocks(&self, blocks: &[Block]) -> String {
        let mut page = Page::new(self.width);
        page.all(blocks);
        self.written(&page)
    }

    fn written(&self, page: &Page) -> String {
        let lines = page.lines.iter().map(|line| line.written(self.colour));
        lines.flat_map(|line| [line, "\n".to_owned()]).collect()
    }
}

/// Lines in the making.
struct Page {
    width: usize,
    lines: Vec<Line>,
    /// Whether what comes next stands close to what was before it.
    close: bool,
}

impl Page {
    fn new(width: usize) -> Self {
        Self {
            width: width.max(20),
            lines: Vec::new(),
            close: true,
        }
    }

    /// A blank line before what comes next, but below a heading.
    fn apart(&mut self) {
        if !core::mem::take(&mut self.close) && self.lines.last().is_some_and(|line| !line.is_empty()) {
            self.lines.push(Line::default());
        }
    }

    /// Wrapped text behind a mark; its other lines are set under the first.
    fn text(&mut self, mark: &str, text: &Text, style: Style) {
        if text.is_empty() {
            return;
        }
        self.pieces(mark, line::pieces(text, style));
    }

    fn pieces(&mut self, mark: &str, pieces: Vec<Piece>) {
        let indent = line::width(mark);
        let wrapped = line::wrapped(pieces, self.width.saturating_sub(indent));
        for (at, line) in wrapped.into_iter().enumerate() {
            let before = if at == 0 {
                mark.to_owned()
            } else {
                " ".repeat(indent)
            };
            self.lines.push(line.behind(&before));
        }
    }

    fn all(&mut self, blocks: &[Block]) {
        let mut before: Option<&Block> = None;
        for block in blocks {
            let own_space = matches!(block, Block::Section(_) | Block::Paragraph(Tone::Paper, _));
            if !own_space && !(before.is_some_and(|before| is_close(before, block))) {
                self.apart();
            }
            self.block(block);
            if !matches!(block, Block::Paragraph(Tone::Paper, _)) {
                before = Some(block);
            }
        }
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Section(section) => self.section(section),
            Block::Paragraph(Tone::Plain, text) => self.text("", text, PLAIN),
            Block::Paragraph(Tone::Remark, text) => self.text("", text, FAINT),
            // There is no room to write on a terminal either.
            Block::Paragraph(Tone::Paper, _) | Block::Blanks(_) => {}
            Block::Verdict(mark, word, text) => {
                let said = Text::of(format!("{word}: ")).join(text.clone());
                self.text("", &said, style_of(*mark));
            }
            Block::List(list) => self.list(list),
            Block::Table(table) => self.lines.extend(table::lines(table, self.width)),
            Block::Figures(figures) => self.figures(figures),
            Block::Picture(picture) => {
                if picture.is_file {
                    self.text(
                        "  ",
                        &Text::of(&picture.name).quiet(format!("  {}", picture.title)),
                        PLAIN,
                    );
                }
            }
            Block::Working(working) => self.working(working),
            Block::Caution(caution) => self.caution(caution),
            Block::Action(action) => self.action(action),
            Block::Card(card) => self.card(card),
            Block::Fold(fold) => self.fold(fold),
            Block::Listing(lines) => {
                let lines = writing::lines(lines);
                self.lines
                    .extend(lines.map(|line| Line::plain(&format!("  {line}"))));
            }
            Block::Beside(left, right) => {
                self.all(left);
                self.all(right);
            }
            Block::Brief(groups) => groups.iter().for_each(|group| self.brief(group)),
        }
    }

    /// No line is wrapped, so that a screen has as many lines as there are.
    fn brief(&mut self, group: &Brief) {
        if !group.title.is_empty() {
            let title = line::pieces(&group.title, HEADING);
            self.lines.extend(line::fitted(title, Vec::new(), self.width));
        }
        for entry in &group.entries {
            let style = if entry.presses {
                style_of(Mark::Caution)
            } else {
                PLAIN
            };
            for (at, fitted) in entry.lines.iter().enumerate() {
                let before = if at == 0 { entry.mark() } else { "  " };
                let style = if at == 0 { style } else { PLAIN };
                let room = self.width - line::width(before);
                for (row, line) in fitted_lines(fitted, style, room).into_iter().enumerate() {
                    self.lines.push(line.behind(if row == 0 { before } else { "  " }));
                }
            }
        }
    }

    fn section(&mut self, section: &Section) {
        self.apart();
        self.text("", &section.title, HEADING);
        self.close = true;
        self.all(&section.blocks);
        self.close = false;
    }

    fn list(&mut self, list: &List) {
        for (at, item) in list.items.iter().enumerate() {
            let mark = if list.ordered {
                format!("{}. ", at + 1)
            } else {
                "- ".to_owned()
            };
            self.text(&mark, item, PLAIN);
        }
    }

    fn figures(&mut self, figures: &Figures) {
        let lines = table::figures(figures, self.width - 2);
        self.lines.extend(lines.into_iter().map(|line| line.behind("  ")));
    }

    fn working(&mut self, working: &Working) {
        let mut say = |mark: &str, words: &str| self.text(mark, &Text::of(words), PLAIN);
        say("  ", &working.law);
        let symbols = working
            .inputs
            .iter()
            .map(|input| line::width(&input.symbol))
            .max();
        let values = working.inputs.iter().map(|input| line::width(&input.value)).max();
        for input in &working.inputs {
            let mark = format!(
                "    {}  {}  ",
                line::padded(&input.symbol, symbols.unwrap_or(0)),
                line::padded(&input.value, values.unwrap_or(0))
            );
            say(&mark, &input.meaning);
        }
        say("  ", &working.numbers);
        say("  ", &working.result);
        say("  ", &working.corners);
        say("  ", &format!("source: {}", working.source));
    }

    fn caution(&mut self, caution: &Caution) {
        self.text("", &caution.title, HEADING);
        for line in &caution.lines {
            self.text("! ", line, style_of(Mark::Caution));
        }
    }

    fn action(&mut self, action: &Action) {
        let heading = Text::of(format!("{}. ", action.number)).join(action.title.clone());
        let mut pieces = line::pieces(&heading, HEADING);
        let state = format!(" [{}] {}", action.state(), action.name);
        pieces.extend(line::pieces(&Text::of(state), FAINT));
        self.pieces("", pieces);
        self.text("   ", &action.why, FAINT);
        self.text("   ! ", &action.hazard, style_of(Mark::Caution));
        for line in &action.todo {
            self.text("   - ", line, PLAIN);
        }
        for place in &action.places {
            let mut said = place.what.clone();
            if !place.at.is_empty() {
                said = said.and(" at ").join(place.at.clone());
            }
            for todo in &place.todo {
                said = said.and("; ").join(todo.clone());
            }
            self.text("   * ", &said, PLAIN);
            self.readings("     = ", &place.readings);
        }
        self.readings("   = ", &action.readings);
        if !action.otherwise.is_empty() {
            let said = Text::of("Otherwise: ").join(action.otherwise.clone());
            self.text("   ? ", &said, FAINT);
        }
    }

    fn readings(&mut self, indent: &str, readings: &[crate::Reading]) {
        for reading in readings {
            let said = reading.what.clone().and(": ").join(reading.expected.clone());
            self.text(indent, &said, PLAIN);
        }
    }

    fn card(&mut self, card: &Card) {
        let mut pieces = line::pieces(&Text::of(&card.word), style_of(card.mark));
        pieces.extend(line::pieces(&Text::of(format!(" {}", card.name)), HEADING));
        if !card.about.is_empty() {
            let about = Text::of(" (").join(card.about.clone()).and(")");
            pieces.extend(line::pieces(&about, FAINT));
        }
        self.pieces("", pieces);
        self.text("", &card.title, PLAIN);
        self.close = true;
        self.all(&card.blocks);
    }

    fn fold(&mut self, fold: &Fold) {
        match fold.opens {
            Opens::Group | Opens::Entry | Opens::SaidEntry => {
                let verdict = fold.verdict.as_ref().filter(|_| fold.opens.is_entry());
                let mut said = Text::default();
                if let Some((mark, word)) = verdict {
                    said = said.verdict(*mark, word).and(": ");
                }
                said = said.join(fold.title.clone());
                if !fold.aside.is_empty() {
                    said = said.quiet(" (").join(fold.aside.clone()).quiet(")");
                }
                let style = if fold.opens == Opens::Group {
                    HEADING
                } else {
                    PLAIN
                };
                self.text("", &said, style);
                if fold.opens == Opens::Group {
                    self.close = true;
                    self.all(&fold.blocks);
                }
            }
            Opens::Needed => self.all(&fold.blocks),
            Opens::Demand => {}
        }
    }
}

/// The lines of one that is fitted into a width.
fn fitted_lines(fitted: &Fitted, style: Style, width: usize) -> Vec<Line> {
    let head = line::pieces(&fitted.head, style);
    let tail = line::pieces(&fitted.tail, FAINT);
    if fitted.also.is_empty() {
        return line::fitted(head, tail, width);
    }
    let also = fitted.also.iter().map(|part| line::pieces(part, PLAIN));
    line::with_parts(head, also.collect(), width)
}

/// How many lines that are.
pub(crate) fn lines_of(fitted: &Fitted, width: usize) -> usize {
    fitted_lines(fitted, PLAIN, width).len()
}

/// Whether a block stands close below another: what is beside the matter, and one of a list below another.
fn is_close(before: &Block, block: &Block) -> bool {
    let entry = |block: &Block| matches!(block, Block::Fold(fold) if fold.opens.is_entry());
    let line = |block: &Block| {
        matches!(
            block,
            Block::Paragraph(..) | Block::Verdict(..) | Block::Picture(_)
        )
    };
    let figures = |block: &Block| matches!(block, Block::Figures(_) | Block::Brief(_));
    let shut = matches!(block, Block::Fold(fold) if fold.opens == Opens::Demand);
    shut || matches!(block, Block::Blanks(_))
        || (entry(before) && entry(block))
        || (line(before) && line(block))
        || (figures(before) && line(block))
}

impl Span {
    /// How a piece of a line is set off on a terminal, and what is written around it.
    fn on_terminal(&self, style: Style) -> (Style, &'static str) {
        match self {
            Span::Strong(_) | Span::Tag(_) => (style.bold(), ""),
            Span::Quiet(_) => (style.dimmed(), ""),
            Span::Code(_) => (style, "`"),
            Span::Verdict(mark, _) => (style_of(*mark), ""),
            _ => (style, ""),
        }
    }
}
