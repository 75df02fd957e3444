//! A document that has every block, with words that markup could be made of.

use document::{
    Action, Block, Brief, Card, Caution, Cell, Citation, Column, Document, Entry, Figure, Figures, Fitted,
    Fold, Group, Input, Mark, Opens, Origin, Paper, Phone, Picture, Place, Reading, Row, Section, Span,
    Swatch, Table, Text, Tone, Working,
};
use quantity::{AnyValue, Kind};

/// A temperature difference with an interval.
pub fn kelvin(low: f64, nominal: f64, high: f64) -> AnyValue {
    AnyValue {
        kind: Kind::TemperatureDifference,
        nominal,
        low,
        high,
    }
}

fn working() -> Working {
    Working {
        title: "Power of a resistor".to_owned(),
        law: "P = U² / R".to_owned(),
        numbers: "P = (24 V)² / 12 Ω".to_owned(),
        result: "P = 48 W (42 .. 54 W)".to_owned(),
        inputs: vec![
            Input {
                symbol: "U".to_owned(),
                value: "24 V (23 .. 25 V)".to_owned(),
                meaning: "voltage".to_owned(),
            },
            Input {
                symbol: "R".to_owned(),
                value: "12 Ω".to_owned(),
                meaning: "resistance".to_owned(),
            },
        ],
        corners: "lowest at U = 23 V; highest at U = 25 V".to_owned(),
        source: Citation::new("A textbook.", "chapter 1", "From memory."),
    }
}

fn every_span() -> Text {
    Text::of("plain, ")
        .strong("strong")
        .and(", ")
        .quiet("quiet")
        .and(", ")
        .code("co`de")
        .and(", ")
        .tag("A1")
        .and(", ")
        .link(Some("numbers"), "a link")
        .and(", ")
        .link(None::<&str>, "no link")
        .and(", ")
        .verdict(Mark::Pass, "pass")
        .and(", ")
        .quantity(kelvin(39.71, 39.75, 39.796), Origin::Tolerance)
        .and(", ")
        .span(Span::Swatch(Swatch {
            first: [255, 0, 0],
            second: Some([0, 0, 0]),
        }))
        .and("RDBK, ")
        .span(Span::Blank)
        .and(" <b>&amp;*_[x](y)|#1\u{202e}")
}

fn table() -> Table {
    let rows = [
        Row::of([
            Cell::from(Text::default().tag("A1")),
            Cell::from("3").below("four-way plug"),
            Cell::list(["put it over", "pull at it"]),
        ])
        .marked(Mark::Caution),
        Row {
            stands_out: true,
            behind: vec![Block::remark("what stands behind the row")],
            ..Row::of([
                "a|b",
                "12.5",
                "a long sentence about the second row that has to be broken somewhere on a narrow terminal, and once more",
            ])
        },
    ];
    let mut table = Table::new(
        [Column::short("Tag"), Column::number("Count"), Column::text("Do")],
        rows,
    )
    .caption("Leads of the <machine>");
    table.foot = vec![Cell::from("Sum"), Cell::from("15.5"), Cell::default()];
    table
}

fn grouped() -> Table {
    let group = |title: &str, pin: &str| Group {
        title: Text::of(title),
        rows: vec![Row::of(["red", pin])],
    };
    Table {
        groups: vec![group("A1: from X to Y", "1"), group("A2: from Y to X", "2")],
        phone: Phone::Scroll,
        ..Table::new([Column::text("Wire"), Column::text("Pin")], [])
    }
}

fn action() -> Action {
    Action {
        id: "step-measure".to_owned(),
        name: "measure:A1".to_owned(),
        number: 1,
        title: Text::of("Measure A1"),
        needs: "unplugged".to_owned(),
        why: Text::of("A short destroys its switch."),
        hazard: Text::of("Hot parts burn."),
        todo: vec![Text::of("Set the meter to ohms."), Text::of("Touch both pins.")],
        close_up: None,
        places: vec![Place {
            id: "step-coil".to_owned(),
            name: "coil:A1".to_owned(),
            what: Text::of("motor A (A1)"),
            at: Text::of("MOT1"),
            todo: vec![Text::of("coil A: wires 1 and 3")],
            readings: vec![Reading {
                what: Text::of("Each coil"),
                expected: Text::of("2 Ω to 3 Ω"),
                workings: vec![working()],
            }],
        }],
        minutes: 4,
        readings: vec![Reading {
            what: Text::of("Resistance"),
            expected: Text::of("11 Ω to 13 Ω"),
            workings: vec![working()],
        }],
        otherwise: Text::of("Look for a broken wire."),
        see: Text::default(),
    }
}

fn card() -> Card {
    Card {
        id: "finding-heat".to_owned(),
        name: "heat:A1".to_owned(),
        mark: Mark::Stop,
        word: "blocker".to_owned(),
        about: Text::of("Heat · at stake: people"),
        title: Text::of("A1 gets too hot"),
        blocks: vec![
            Block::figures([
                (
                    Text::of("Value"),
                    Text::default().quantity(kelvin(1.187, 1.71, 2.233), Origin::Tolerance),
                ),
                (Text::of("Limit"), Text::of("at most 2 K")),
            ]),
            Block::say(
                Text::default()
                    .strong("Do: ")
                    .and_marked("state it as `cut_out`."),
            ),
            Block::Fold(Fold {
                id: String::new(),
                verdict: None,
                title: Text::of("How this came about"),
                aside: Text::default(),
                opens: Opens::Needed,
                blocks: vec![
                    Block::Working(working()),
                    Block::remark(working().source.sentence("Limit")),
                ],
            }),
        ],
    }
}

fn entry(mark: Mark, title: &str) -> Block {
    Block::Fold(Fold {
        id: format!("finding-{title}"),
        verdict: Some((mark, mark.name().to_owned())),
        title: Text::of(title),
        aside: Text::of("+12 %"),
        opens: Opens::Entry,
        blocks: vec![Block::Working(working())],
    })
}

fn folds() -> Vec<Block> {
    vec![
        Block::Fold(Fold {
            id: "group".to_owned(),
            verdict: Some((Mark::Note, "note".to_owned())),
            title: Text::of("Currents"),
            aside: Text::of("1 note, 1 pass"),
            opens: Opens::Group,
            blocks: vec![entry(Mark::Note, "one"), entry(Mark::Pass, "other")],
        }),
        Block::Fold(Fold {
            id: String::new(),
            verdict: None,
            title: Text::of("The lines"),
            aside: Text::default(),
            opens: Opens::Demand,
            blocks: vec![Block::Listing("M1\n```\n\u{1b}[2J".to_owned())],
        }),
    ]
}

/// The document.
pub fn document() -> Document {
    let picture = Picture {
        name: "wiring.svg".to_owned(),
        title: "Wiring [of] all".to_owned(),
        is_file: true,
        broad: true,
    };
    let figures = Figures {
        items: vec![Figure {
            name: Text::of("band"),
            value: Text::default().quantity(kelvin(39.71, 39.75, 39.796), Origin::Measured),
            confidence: Some(0.95),
        }],
        glance: false,
    };
    let glance = Figures {
        items: vec![Figure {
            name: Text::of("To settle"),
            value: Text::default().verdict(Mark::Stop, "1 blocker"),
            confidence: None,
        }],
        glance: true,
    };
    Document {
        title: Text::of("Every block"),
        lead: Text::of("old out, new in"),
        badge: Text::of("Invented"),
        front: vec![
            Block::Figures(glance),
            Block::Caution(Caution {
                title: Text::of("Before you begin"),
                lines: vec![Text::of("Unplug it."), Text::of("Wait.")],
            }),
        ],
        sections: vec![
            Section::new(
                "Words",
                vec![
                    Block::say(every_span()),
                    Block::remark("beside the matter"),
                    Block::Paragraph(Tone::Paper, Text::of("on paper")),
                    Block::Verdict(Mark::Note, "measured".to_owned(), Text::of("It holds.")),
                    Block::list(["- one", "2. two"]),
                    Block::ordered(["first", "second"]),
                    Block::Beside(vec![Block::say("left")], vec![Block::say("right")]),
                    Block::Section(Section::new("Below", vec![Block::say("deeper")]).at("below")),
                    Block::Blanks(vec![Text::of("done by")]),
                    Block::Brief(vec![Brief {
                        title: Text::of("At one look"),
                        entries: vec![
                            Entry {
                                presses: true,
                                lines: vec![
                                    Fitted::new(
                                        "What is longer than the line is cut where the line ends, and says so",
                                        "−12 K",
                                    ),
                                    Fitted::new("Do: read", Text::default().code("the-end")),
                                ],
                            },
                            Entry {
                                presses: false,
                                lines: vec![Fitted::new("short", "")],
                            },
                        ],
                    }]),
                ],
            )
            .at("words"),
            Section::new(
                "Numbers",
                vec![
                    Block::Figures(figures),
                    Block::Table(table()),
                    Block::Table(grouped()),
                    Block::Table(
                        Table::new(
                            [Column::number("°C"), Column::number("Ω")],
                            [Row::of(["25", "100"])],
                        )
                        .phone(Phone::Fits),
                    ),
                    Block::Picture(picture),
                    Block::Listing("G1 X1 ; <&>\n\tG1 `Y2`".to_owned()),
                ],
            )
            .at("numbers")
            .on(Paper::Columns),
            Section::new(
                "Acts",
                vec![
                    Block::Caution(Caution {
                        lines: vec![Text::of("One hazard.")],
                        ..Caution::default()
                    }),
                    Block::Action(action()),
                    Block::Card(card()),
                ]
                .into_iter()
                .chain(folds())
                .collect(),
            )
            .at("acts")
            .on(Paper::Pictures),
        ],
    }
}
