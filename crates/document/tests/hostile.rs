//! Text in is text out: whatever somebody wrote is read back by independent readers as the same words.

use document::html::Html;
use document::terminal::Terminal;
use document::{
    Action, Block, Card, Caution, Citation, Column, Document, Figure, Figures, Fold, Input, Mark, Opens,
    Place, Reading, Row, Section, Span, Table, Text, Working, markdown, visible,
};
use html5ever::tendril::TendrilSink as _;
use markup5ever_rcdom::{Handle, NodeData, RcDom};
use proptest::prelude::*;
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

/// The text of a page's body as a parser by the standard of WHATWG reads it, and the faults that it found.
pub fn text_of(page: &str) -> (String, Vec<String>) {
    let dom = html5ever::parse_document(RcDom::default(), html5ever::ParseOpts::default()).one(page);
    let mut text = String::new();
    collect(&dom.document, &mut text);
    let faults = dom.errors.borrow().iter().map(ToString::to_string).collect();
    (text, faults)
}

fn collect(node: &Handle, text: &mut String) {
    match &node.data {
        NodeData::Text { contents } => text.push_str(&contents.borrow()),
        NodeData::Element { name, .. } if ["style", "title"].contains(&&*name.local) => return,
        NodeData::Element { name, .. } => assert!(&*name.local != "script", "a script"),
        NodeData::Comment { contents } => panic!("a comment: {contents}"),
        _ => {}
    }
    for child in node.children.borrow().iter() {
        collect(child, text);
    }
}

/// Words as all readers give them: blanks drawn together.
fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What a reader of Markdown makes of a text: the words of each paragraph, heading, item and cell; panics at what no text may become.
fn read(markdown: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    for event in Parser::new_ext(
        markdown,
        Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH | Options::ENABLE_TASKLISTS,
    ) {
        match event {
            Event::Text(text) | Event::Code(text) => out.last_mut().unwrap().push_str(&text),
            Event::SoftBreak | Event::HardBreak => out.last_mut().unwrap().push(' '),
            Event::Start(Tag::Paragraph | Tag::Heading { .. } | Tag::Item | Tag::TableCell) => {
                out.push(String::new());
            }
            Event::Start(Tag::CodeBlock(_)) => out.push(String::new()),
            Event::Start(
                Tag::Strong
                | Tag::List(_)
                | Tag::BlockQuote(_)
                | Tag::Table(_)
                | Tag::TableHead
                | Tag::TableRow,
            ) => {}
            Event::End(TagEnd::Image | TagEnd::Link) => panic!("a link in {markdown:?}"),
            Event::End(_) | Event::TaskListMarker(_) => {}
            other => panic!("{other:?} in {markdown:?}"),
        }
    }
    out.into_iter()
        .map(|text| words(&text))
        .filter(|text| !text.is_empty())
        .collect()
}

/// Strings that are made of markup of all kinds.
fn hostile() -> impl Strategy<Value = String> {
    let parts = prop::sample::select(vec![
        "a",
        "B",
        "7",
        " ",
        "  ",
        "*",
        "**",
        "_",
        "__",
        "`",
        "``",
        "~~",
        "|",
        "\\",
        "\\|",
        "#",
        "-",
        "+",
        "=",
        "===",
        "1.",
        "2)",
        ">",
        "<",
        "<b>",
        "</p>",
        "<!--",
        "-->",
        "<script>",
        "&",
        "&amp;",
        "&#124;",
        "[x](y)",
        "![",
        "](",
        "[",
        "]",
        "http://x.y",
        "www.x.y",
        "a@b.c",
        ":",
        "!",
        "\"",
        "'",
        "\n",
        "\t",
        "\r\n",
        "\u{1b}[2J",
        "\u{202e}",
        "\u{200b}",
        "\u{feff}",
        "\0",
        "é",
        "Ω",
        "寬",
        "e\u{301}",
        "\u{a0}",
        "🙂",
        "$x$",
        "(",
        ")",
        ".",
        ",",
        "---",
        "```",
    ]);
    prop::collection::vec(parts, 1..10).prop_map(|parts| parts.concat())
}

/// A line of pieces of all looks.
fn hostile_text() -> impl Strategy<Value = Text> {
    prop::collection::vec((0..6_u8, hostile()), 1..5).prop_map(|pieces| {
        pieces
            .into_iter()
            .fold(Text::default(), |text, (look, words)| match look {
                0 => text.strong(words),
                1 => text.code(words),
                2 => text.quiet(words),
                3 => text.link(Some("x"), words),
                4 => text.verdict(Mark::Note, words),
                _ => text.and(words),
            })
    })
}

/// A document in which a text stands wherever a text can stand, and how often it stands there in Markdown.
fn with(text: &Text) -> Document {
    let own = || text.clone();
    Document {
        title: own(),
        lead: own(),
        badge: Text::default(),
        front: vec![Block::Caution(Caution {
            title: own(),
            lines: vec![own(), own()],
        })],
        sections: vec![
            Section::new(
                own(),
                vec![
                    Block::say(own()),
                    Block::list([own(), own()]),
                    Block::ordered([own(), own()]),
                    Block::Table(Table::new(
                        [Column::text(own()), Column::number(own())],
                        [Row::of([own(), own()])],
                    )),
                    Block::Fold(Fold {
                        id: String::new(),
                        verdict: None,
                        title: own(),
                        aside: Text::default(),
                        opens: Opens::Entry,
                        blocks: Vec::new(),
                    }),
                ],
            )
            .at("one"),
        ],
    }
}

/// Blocks of several parts, of which each is the same words: names and identifiers, too.
fn parts(words: &str) -> Vec<Block> {
    let (name, text) = (|| words.to_owned(), || Text::of(words));
    let working = Working {
        title: name(),
        law: name(),
        numbers: name(),
        result: name(),
        inputs: vec![Input {
            symbol: name(),
            value: name(),
            meaning: name(),
        }],
        corners: name(),
        source: Citation::new(words, words, words),
    };
    let reading = Reading {
        what: text(),
        expected: text(),
        workings: vec![working.clone()],
    };
    let inner = Section::new(text(), vec![Block::Blanks(vec![text()])]).at(words);
    vec![
        Block::Card(Card {
            id: name(),
            name: name(),
            mark: Mark::Stop,
            word: name(),
            about: text(),
            title: text(),
            blocks: vec![Block::Working(working), inner.into()],
        }),
        Block::Action(Action {
            id: name(),
            name: name(),
            number: 1,
            title: text(),
            needs: name(),
            why: text(),
            hazard: text(),
            todo: vec![text()],
            close_up: None,
            places: vec![Place {
                id: name(),
                name: name(),
                what: text(),
                at: text(),
                todo: vec![text()],
                readings: vec![reading.clone()],
            }],
            minutes: 3,
            readings: vec![reading],
            otherwise: text(),
            see: Text::default(),
        }),
        Block::figures([(text(), text())]),
        Block::Verdict(Mark::Note, name(), text()),
        Block::Fold(Fold {
            id: name(),
            verdict: Some((Mark::Note, name())),
            aside: text(),
            ..Fold::new(Opens::Group, text(), vec![Block::Listing(name())])
        }),
        Block::say(Text::default().link(Some(words), words)),
    ]
}

fn seen(text: &Text) -> String {
    words(
        &text
            .spans()
            .iter()
            .map(|span| visible(&span.words()).into_owned())
            .collect::<String>(),
    )
}

proptest! {
    #[test]
    fn markdown_is_read_back_as_the_same_words(text in hostile_text()) {
        let expected = seen(&text);
        let markdown = markdown::document(&with(&text));
        let found = read(&markdown);
        for one in &found {
            prop_assert_eq!(one, &expected, "in {}", markdown);
        }
        prop_assert_eq!(found.len(), if expected.is_empty() { 0 } else { 16 }, "{}", markdown);
    }

    #[test]
    fn a_page_is_read_back_as_the_same_words(text in hostile_text()) {
        let html = Html { drawings: &|_| None };
        let page = html.blocks(&[Block::say(text.clone())], 2);
        let whole = html.page(&with(&text));
        let (_, faults) = text_of(&whole);
        prop_assert!(faults.is_empty(), "{:?} in {}", faults, whole.split("</style>").last().unwrap_or(""));
        let (found, _) = text_of(&format!("<!DOCTYPE html><body>{page}"));
        prop_assert_eq!(words(&found), seen(&text));
    }

    /// No name moves the cursor, sets a colour, hides or reorders what stands beside it, or begins a line of its own.
    #[test]
    fn a_terminal_shows_the_same_words_and_nothing_acts(text in hostile_text(), width in 20..100_usize) {
        let terminal = Terminal { width, colour: false };
        let shown = terminal.blocks(&[Block::say(text.clone())]);
        let without = |text: &str| words(&text.replace('`', ""));
        prop_assert_eq!(without(&shown), without(&seen(&text)));
        let whole = terminal.document(&with(&text));
        let acts = |c: char| c != '\n' && visible(c.encode_utf8(&mut [0; 4])) != c.to_string();
        prop_assert!(!whole.contains(acts), "{whole:?}");
    }

    #[test]
    fn parts_of_blocks_are_words_too(words in hostile()) {
        let document = Document {
            sections: vec![Section::new("all", parts(&words)).at(words.as_str())],
            ..Document::default()
        };
        // Panics at what no text may become.
        read(&markdown::document(&document));
        let (_, faults) = text_of(&Html { drawings: &|_| None }.page(&document));
        // Here an identifier is used more than once, and a name may be empty: no concern of a renderer.
        prop_assert!(faults.is_empty(), "{faults:?}");
        let shown = Terminal { width: 60, colour: false }.document(&document);
        let acts = |c: char| c != '\n' && visible(c.encode_utf8(&mut [0; 4])) != c.to_string();
        prop_assert!(!shown.contains(acts), "{shown:?}");
    }

    #[test]
    fn listings_are_read_back_line_by_line(lines in prop::collection::vec(hostile(), 1..4)) {
        let text = lines.join("\n");
        let lines = || text.lines().map(|line| words(&visible(line)));
        let expected = lines().filter(|line| !line.is_empty()).collect::<Vec<_>>().join(" ");
        let markdown = markdown::blocks(&[Block::Listing(text.clone())], 1);
        prop_assert_eq!(read(&markdown).join(" "), &*expected);
        let page = Html { drawings: &|_| None }.blocks(&[Block::Listing(text.clone())], 2);
        prop_assert_eq!(words(&text_of(&format!("<!DOCTYPE html>{page}")).0), expected);
    }
}

/// Where a text stands in blocks of several parts, and beside other texts.
#[test]
fn parts_of_blocks_do_not_run_into_each_other() {
    let evil = "*a* `b` <c> |d| [e](f)";
    let text = || Text::of(evil);
    let blocks = [
        Block::Card(Card {
            id: "x".to_owned(),
            name: evil.to_owned(),
            mark: Mark::Stop,
            word: "blocker".to_owned(),
            about: text(),
            title: text(),
            blocks: Vec::new(),
        }),
        Block::Action(Action {
            title: text(),
            needs: "power".to_owned(),
            why: text(),
            hazard: text(),
            todo: vec![text()],
            readings: vec![Reading {
                what: text(),
                expected: text(),
                workings: Vec::new(),
            }],
            otherwise: text(),
            see: Text::default(),
            ..Action::default()
        }),
        Block::Figures(Figures {
            items: vec![Figure {
                name: text(),
                value: text(),
                confidence: Some(0.95),
            }],
            glance: false,
        }),
        Block::say(Text::default().strong("Do: ").join(text()).span(Span::Blank)),
    ];
    let found = read(&markdown::blocks(&blocks, 1));
    let expected = [
        format!("Blocker: {evil}"),
        evil.to_owned(),
        format!("0. {evil}"),
        format!("Power: {evil}"),
        format!("Caution: {evil}"),
        evil.to_owned(),
        format!("{evil}: {evil}, read: ______"),
        format!("Otherwise: {evil}"),
        format!("{evil}: {evil} (95 %)"),
        format!("Do: {evil}______"),
    ];
    assert_eq!(found, expected);
}
