//! Markdown.

use document::{Block, Column, Picture, Row, Section, Table, Text, markdown};

use crate::everything;

#[test]
fn a_text_of_every_block() {
    insta::assert_snapshot!(markdown::document(&everything::document()));
}

#[test]
fn code_is_not_escaped_but_fenced_by_enough_backticks() {
    let written = |text: Text| markdown::blocks(&[Block::say(text)], 1).trim_end().to_owned();
    assert_eq!(
        written(Text::marked("state it as `cut_out`")),
        "state it as `cut_out`"
    );
    assert_eq!(written(Text::default().code("a`b")), "``a`b``");
    assert_eq!(written(Text::default().code("`")), "`` ` ``");
    assert_eq!(written(Text::of("cut_out")), "cut\\_out");
    assert_eq!(written(Text::of("1. a")), "1\\. a");
    assert_eq!(written(Text::of("- a")), "\\- a");
    assert_eq!(
        written(Text::of("see https://x.y and www.x.y, a@b.c")),
        "see https\\://x.y and www\\.x.y, a\\@b.c"
    );
    assert_eq!(written(Text::of("    no code")), "no code");
    assert_eq!(written(Text::default().strong("Do: ").and("it")), "**Do:** it");
}

#[test]
fn headings_follow_their_section() {
    let inner = Section::new("Inner", vec![Block::say("x")]);
    let outer = Section::new("Outer # 1", vec![inner.into()]);
    assert_eq!(
        markdown::blocks(&[outer.into()], 1),
        "## Outer \\# 1\n\n### Inner\n\nx\n"
    );
}

#[test]
fn targets_of_links_stay_targets() {
    let picture = |name: &str| {
        let picture = Picture {
            name: name.to_owned(),
            title: "t".to_owned(),
            is_file: true,
            broad: false,
        };
        markdown::blocks(&[picture.into()], 1)
    };
    assert_eq!(picture("a-1.svg"), "![t](a-1.svg)\n");
    assert_eq!(picture("a (1) >.svg"), "![t](<a (1) \\>.svg>)\n");
}

#[test]
fn cells_stay_in_their_column() {
    let table = Table::new(
        [Column::text("a|b"), Column::number("n")],
        [Row::of([Text::default().code("x|y"), Text::of("1|2\n3")])],
    );
    assert_eq!(
        markdown::blocks(&[table.into()], 1),
        "| a\\|b | n |\n| --- | ---: |\n| x\\|y | 1\\|2 3 |\n"
    );
}
