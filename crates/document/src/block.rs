//! The blocks that documents are made of.

use crate::{Citation, Mark, Text};

/// A document: a title and what follows it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Document {
    /// Its title.
    pub title: Text,
    /// A line below the title.
    pub lead: Text,
    /// What has to be known before anything else, as a badge.
    pub badge: Text,
    /// What stands before the first section.
    pub front: Vec<Block>,
    /// The sections.
    pub sections: Vec<Section>,
}

/// A heading with what belongs to it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Section {
    /// Where links lead; empty where none does.
    pub id: String,
    /// Its heading; its level follows from where the section stands.
    pub title: Text,
    /// What belongs to it.
    pub blocks: Vec<Block>,
    /// How it lies on paper.
    pub paper: Paper,
}

/// How a section lies on paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// Over the whole width.
    #[default]
    Whole,
    /// In two columns.
    Columns,
    /// In two columns, with pictures as they are on a phone.
    Pictures,
}

/// Something that is said.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A heading with what belongs to it.
    Section(Section),
    /// Sentences.
    Paragraph(Tone, Text),
    /// A verdict, and what it means.
    Verdict(Mark, String, Text),
    /// Items of the same kind.
    List(List),
    /// Rows under headings.
    Table(Table),
    /// Numbers with their names.
    Figures(Figures),
    /// A picture.
    Picture(Picture),
    /// How a number came about.
    Working(Working),
    /// What can hurt.
    Caution(Caution),
    /// Something to do, and what to read afterwards.
    Action(Action),
    /// Something with a verdict that stands for itself.
    Card(Card),
    /// Something that opens on demand.
    Fold(Fold),
    /// Lines as they stand in a file.
    Listing(String),
    /// Two columns where there is room, else one below the other.
    Beside(Vec<Block>, Vec<Block>),
    /// Lines to write on, each with what belongs there.
    Blanks(Vec<Text>),
    /// Entries for one look: on a terminal each of their lines takes one line, whatever it says.
    Brief(Vec<Brief>),
}

/// Entries for one look that belong together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Brief {
    /// What they share; may be empty.
    pub title: Text,
    /// The entries.
    pub entries: Vec<Entry>,
}

/// An entry for one look.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Entry {
    /// Whether it is marked as one that presses.
    pub presses: bool,
    /// Its lines.
    pub lines: Vec<Fitted>,
}

/// A line that is cut where there is no room for it. A number is never what is cut: a line goes on below instead.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fitted {
    /// What gives way; that it was cut is shown.
    pub head: Text,
    /// Parts behind it, each whole or not at all: as many as there is room for, the first always.
    pub also: Vec<Text>,
    /// What stays whole, behind it.
    pub tail: Text,
}

impl Fitted {
    /// A line whose end stays whole.
    #[must_use]
    pub fn new(head: impl Into<Text>, tail: impl Into<Text>) -> Self {
        Self {
            head: head.into(),
            also: Vec::new(),
            tail: tail.into(),
        }
    }
    /// A line that ends with as many parts as there is room for.
    #[must_use]
    pub fn with(head: impl Into<Text>, also: Vec<Text>) -> Self {
        Self {
            also,
            ..Self::new(head, "")
        }
    }
    /// All of it, with blanks between.
    #[must_use]
    pub fn whole(&self) -> Text {
        let also = self.also.iter().cloned();
        let also = also.reduce(|text, part| text.and("; ").join(part));
        let parts = [Some(self.head.clone()), also, Some(self.tail.clone())];
        let parts = parts.into_iter().flatten().filter(|part| !part.is_empty());
        parts
            .reduce(|text, part| text.and(" ").join(part))
            .unwrap_or_default()
    }
    /// How many lines of so many columns it takes on a terminal.
    #[must_use]
    pub fn lines_at(&self, width: usize) -> usize {
        crate::terminal::lines_of(self, width)
    }
}

impl Entry {
    /// What stands before it.
    #[must_use]
    pub fn mark(&self) -> &'static str {
        if self.presses { "! " } else { "- " }
    }
    /// All its lines as one text.
    #[must_use]
    pub fn whole(&self) -> Text {
        let lines = self.lines.iter().map(Fitted::whole);
        lines
            .reduce(|text, line| text.and(" ").join(line))
            .unwrap_or_default()
    }
}

/// How much a paragraph weighs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tone {
    /// As everything else.
    #[default]
    Plain,
    /// Beside the matter: where it is from, how to read it.
    Remark,
    /// Said where nothing opens on demand, as on paper.
    Paper,
}

/// Items of the same kind.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct List {
    /// Whether their order counts.
    pub ordered: bool,
    /// The items.
    pub items: Vec<Text>,
}

/// Rows under headings. The first column names the row.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// What it shows.
    pub caption: Text,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows.
    pub groups: Vec<Group>,
    /// A last row that sums up.
    pub foot: Vec<Cell>,
    /// What becomes of it on a narrow screen.
    pub phone: Phone,
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its heading.
    pub heading: Text,
    /// What it holds.
    pub kind: Kind,
}

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Words, broken where the line ends.
    Text,
    /// A word or a value, never broken.
    Short,
    /// Numbers, one under the other.
    Number,
}

/// What becomes of a table on a narrow screen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Phone {
    /// One card a row, the heading of each cell in front of it.
    #[default]
    Cards,
    /// It scrolls sideways in a box of its own.
    Scroll,
    /// It is narrow anyway, and no wider than it must be.
    Fits,
}

/// Rows that belong together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Group {
    /// What they share; empty where there is one group.
    pub title: Text,
    /// The rows.
    pub rows: Vec<Row>,
}

/// A row of a table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Row {
    /// Where links lead; empty where none does.
    pub id: String,
    /// One for each column.
    pub cells: Vec<Cell>,
    /// A verdict over the row; its word stands in a cell or in the heading.
    pub mark: Option<Mark>,
    /// Whether it stands out: the one to take, or one that changed. A cell says so in words.
    pub stands_out: bool,
    /// What opens on demand below its last cell.
    pub behind: Vec<Block>,
}

/// A cell of a table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cell {
    /// What it says; several texts are a list.
    pub texts: Vec<Text>,
    /// A second line for a rendering that has room.
    pub below: Text,
}

/// Numbers with their names.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figures {
    /// The numbers.
    pub items: Vec<Figure>,
    /// Whether they are what a document tells at a glance.
    pub glance: bool,
}

/// A number with its name.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// What it is.
    pub name: Text,
    /// The value.
    pub value: Text,
    /// The confidence of its interval as a share, such as 0.95; nothing where the bounds are limits.
    pub confidence: Option<f64>,
}

/// A picture, by name: the caller of the page has the drawing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Picture {
    /// The name of its drawing.
    pub name: String,
    /// What it shows.
    pub title: String,
    /// Whether it lies beside the document as a file of that name.
    pub is_file: bool,
    /// Whether it wants a page of its own on paper, across.
    pub broad: bool,
}

/// How a number came about.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Working {
    /// What the formula gives.
    pub title: String,
    /// The formula in symbols.
    pub law: String,
    /// The formula with numbers.
    pub numbers: String,
    /// The result with its interval.
    pub result: String,
    /// The inputs.
    pub inputs: Vec<Input>,
    /// Where the result is lowest and highest; empty where nothing moves it.
    pub corners: String,
    /// Where the formula is from.
    pub source: Citation,
}

/// An input of a working.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Input {
    /// Its symbol in the formula.
    pub symbol: String,
    /// Its value with tolerance.
    pub value: String,
    /// What it is.
    pub meaning: String,
}

/// What can hurt.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Caution {
    /// A heading; may be empty.
    pub title: Text,
    /// Each a hazard with what to do about it.
    pub lines: Vec<Text>,
}

/// Something to do, with a box to tick, and the readings to expect.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Action {
    /// Where links lead.
    pub id: String,
    /// Its name in files and commands.
    pub name: String,
    /// Its place in the order.
    pub number: usize,
    /// What is done.
    pub title: Text,
    /// What state it needs, in a word.
    pub needs: String,
    /// Why it is done.
    pub why: Text,
    /// What can hurt while it is done; may be empty.
    pub hazard: Text,
    /// What is shown of it close up, where there is room for one action at a time.
    pub close_up: Option<Picture>,
    /// What to do, in this order.
    pub todo: Vec<Text>,
    /// The places at which it is done, each with a box of its own; empty where it is done once.
    pub places: Vec<Place>,
    /// About how many minutes it takes; 0 where that is not told.
    pub minutes: u32,
    /// What to read afterwards.
    pub readings: Vec<Reading>,
    /// What to look for where a reading is another; may be empty.
    pub otherwise: Text,
    /// Where more of it stands, for a rendering whose links lead somewhere; may be empty.
    pub see: Text,
}

/// One of several places at which an action is done.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Place {
    /// Where links lead.
    pub id: String,
    /// Its name in files and commands.
    pub name: String,
    /// What it is: "hot-end heater (H1)".
    pub what: Text,
    /// Where it is: the port as printed on the board; may be empty.
    pub at: Text,
    /// What is done here and not at the other places.
    pub todo: Vec<Text>,
    /// What to read here.
    pub readings: Vec<Reading>,
}

/// A reading to take.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reading {
    /// What is read.
    pub what: Text,
    /// What to expect.
    pub expected: Text,
    /// How the limits came about.
    pub workings: Vec<Working>,
}

/// Something with a verdict that stands for itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    /// Where links lead.
    pub id: String,
    /// Its name in files and commands.
    pub name: String,
    /// How the verdict is marked.
    pub mark: Mark,
    /// The verdict.
    pub word: String,
    /// What it is about.
    pub about: Text,
    /// What was found.
    pub title: Text,
    /// What follows from it.
    pub blocks: Vec<Block>,
}

/// Something that opens on demand.
#[derive(Clone, Debug, PartialEq)]
pub struct Fold {
    /// Where links lead: into it, so that a link opens it; empty where none does.
    pub id: String,
    /// A verdict in front of it: its mark and word.
    pub verdict: Option<(Mark, String)>,
    /// What can be read while it is shut.
    pub title: Text,
    /// What can be read as well, at its other end.
    pub aside: Text,
    /// When it is open.
    pub opens: Opens,
    /// What is inside.
    pub blocks: Vec<Block>,
}

impl Opens {
    /// Whether it is one of a list.
    #[must_use]
    pub fn is_entry(self) -> bool {
        matches!(self, Self::Entry | Self::SaidEntry)
    }
}

/// When a fold is open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Opens {
    /// A group of others: always, where nothing can be clicked.
    Group,
    /// One of a list: on demand, and on paper unless its verdict is a pass; elsewhere its line stands for it.
    Entry,
    /// As [`Self::Entry`]; elsewhere what is said inside follows its line.
    SaidEntry,
    /// What has to be read to decide: on demand, and wherever nothing can be clicked.
    Needed,
    /// On demand alone.
    Demand,
}

impl Section {
    /// A section to which nothing leads.
    #[must_use]
    pub fn new(title: impl Into<Text>, blocks: Vec<Block>) -> Self {
        Self {
            title: title.into(),
            blocks,
            ..Self::default()
        }
    }
    /// The same with a place for links.
    #[must_use]
    pub fn at(self, id: impl Into<String>) -> Self {
        Self {
            id: id.into(),
            ..self
        }
    }
    /// The same, lying otherwise on paper.
    #[must_use]
    pub fn on(self, paper: Paper) -> Self {
        Self { paper, ..self }
    }
}

impl Block {
    /// A paragraph.
    #[must_use]
    pub fn say(text: impl Into<Text>) -> Self {
        Self::Paragraph(Tone::Plain, text.into())
    }
    /// A remark.
    #[must_use]
    pub fn remark(text: impl Into<Text>) -> Self {
        Self::Paragraph(Tone::Remark, text.into())
    }
    /// A list whose order does not count.
    #[must_use]
    pub fn list<T: Into<Text>>(items: impl IntoIterator<Item = T>) -> Self {
        Self::List(List {
            ordered: false,
            items: items.into_iter().map(Into::into).collect(),
        })
    }
    /// A list whose order counts.
    #[must_use]
    pub fn ordered<T: Into<Text>>(items: impl IntoIterator<Item = T>) -> Self {
        Self::List(List {
            ordered: true,
            items: items.into_iter().map(Into::into).collect(),
        })
    }
    /// Numbers with their names.
    #[must_use]
    pub fn figures(items: impl IntoIterator<Item = (Text, Text)>) -> Self {
        let items = items.into_iter().map(|(name, value)| Figure {
            name,
            value,
            confidence: None,
        });
        Self::Figures(Figures {
            items: items.collect(),
            glance: false,
        })
    }
}

impl Action {
    /// The state it needs and how long it takes: "under power, 5 min".
    #[must_use]
    pub fn state(&self) -> String {
        match self.minutes {
            0 => self.needs.clone(),
            minutes => format!("{}, {minutes} min", self.needs),
        }
    }
}

impl Fold {
    /// A fold to which nothing leads, without a verdict.
    #[must_use]
    pub fn new(opens: Opens, title: impl Into<Text>, blocks: Vec<Block>) -> Self {
        Self {
            id: String::new(),
            verdict: None,
            title: title.into(),
            aside: Text::default(),
            opens,
            blocks,
        }
    }
}

impl From<Fold> for Block {
    fn from(fold: Fold) -> Self {
        Self::Fold(fold)
    }
}

impl From<Section> for Block {
    fn from(section: Section) -> Self {
        Self::Section(section)
    }
}

impl From<Table> for Block {
    fn from(table: Table) -> Self {
        Self::Table(table)
    }
}

impl From<Picture> for Block {
    fn from(picture: Picture) -> Self {
        Self::Picture(picture)
    }
}

impl From<Working> for Block {
    fn from(working: Working) -> Self {
        Self::Working(working)
    }
}

impl Column {
    /// A column of words.
    #[must_use]
    pub fn text(heading: impl Into<Text>) -> Self {
        Self::new(heading, Kind::Text)
    }
    /// A column of short words or values.
    #[must_use]
    pub fn short(heading: impl Into<Text>) -> Self {
        Self::new(heading, Kind::Short)
    }
    /// A column of numbers.
    #[must_use]
    pub fn number(heading: impl Into<Text>) -> Self {
        Self::new(heading, Kind::Number)
    }
    fn new(heading: impl Into<Text>, kind: Kind) -> Self {
        Self {
            heading: heading.into(),
            kind,
        }
    }
}

impl Table {
    /// A table of one group.
    #[must_use]
    pub fn new(columns: impl Into<Vec<Column>>, rows: impl IntoIterator<Item = Row>) -> Self {
        Self {
            columns: columns.into(),
            groups: vec![Group {
                title: Text::default(),
                rows: rows.into_iter().collect(),
            }],
            ..Self::default()
        }
    }
    /// The same with a caption.
    #[must_use]
    pub fn caption(self, caption: impl Into<Text>) -> Self {
        Self {
            caption: caption.into(),
            ..self
        }
    }
    /// The same, becoming something else on a phone.
    #[must_use]
    pub fn phone(self, phone: Phone) -> Self {
        Self { phone, ..self }
    }
    /// The same without some of its columns: those with these headings are kept.
    #[must_use]
    pub fn only(mut self, headings: &[&str]) -> Self {
        let keep: Vec<bool> = self
            .columns
            .iter()
            .map(|column| headings.contains(&column.heading.words().as_str()))
            .collect();
        fn sift<T>(of: &mut Vec<T>, keep: &[bool]) {
            let mut keep = keep.iter();
            of.retain(|_| keep.next().copied().unwrap_or(true));
        }
        sift(&mut self.columns, &keep);
        sift(&mut self.foot, &keep);
        for group in &mut self.groups {
            group.rows.iter_mut().for_each(|row| sift(&mut row.cells, &keep));
        }
        self
    }
}

impl Row {
    /// A row of cells.
    #[must_use]
    pub fn of<C: Into<Cell>>(cells: impl IntoIterator<Item = C>) -> Self {
        Self {
            cells: cells.into_iter().map(Into::into).collect(),
            ..Self::default()
        }
    }
    /// The same with a verdict.
    #[must_use]
    pub fn marked(self, mark: Mark) -> Self {
        Self {
            mark: Some(mark),
            ..self
        }
    }
}

impl Cell {
    /// Several texts: a list.
    #[must_use]
    pub fn list<T: Into<Text>>(texts: impl IntoIterator<Item = T>) -> Self {
        Self {
            texts: texts.into_iter().map(Into::into).collect(),
            below: Text::default(),
        }
    }
    /// The same with a second line.
    #[must_use]
    pub fn below(self, below: impl Into<Text>) -> Self {
        Self {
            below: below.into(),
            ..self
        }
    }
    /// What it says as one text: sentences one after the other, other texts as a list.
    #[must_use]
    pub fn one(&self) -> Text {
        let mut texts = self.texts.iter().cloned();
        let first = texts.next().unwrap_or_default();
        texts.fold(first, |all, text| {
            let between = if all.words().ends_with('.') { " " } else { "; " };
            all.and(between).join(text)
        })
    }
}

impl<T: Into<Text>> From<T> for Cell {
    fn from(text: T) -> Self {
        let text = text.into();
        Self {
            texts: if text.is_empty() { Vec::new() } else { vec![text] },
            below: Text::default(),
        }
    }
}
