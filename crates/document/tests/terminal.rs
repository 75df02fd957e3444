//! The terminal.

use document::terminal::Terminal;
use document::{Block, Cell, Column, Mark, Row, Table, Text};
use unicode_width::UnicodeWidthStr as _;

use crate::everything;

const PLAIN: Terminal = Terminal {
    width: 60,
    colour: false,
};

#[test]
fn lines_of_every_block() {
    insta::assert_snapshot!(PLAIN.document(&everything::document()));
}

#[test]
fn styles_change_no_word() {
    let document = everything::document();
    let coloured = Terminal {
        colour: true,
        ..PLAIN
    }
    .document(&document);
    let escapes = regex::Regex::new("\u{1b}\\[[0-9;]*m").unwrap();
    assert!(escapes.is_match(&coloured));
    let lines = |text: &str| {
        text.lines()
            .map(|line| line.trim_end().to_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(
        lines(&escapes.replace_all(&coloured, "")),
        lines(&PLAIN.document(&document))
    );
    for line in coloured.lines() {
        let last = escapes.find_iter(line).last().map(|found| found.as_str());
        assert!(
            last.is_none_or(|last| last == "\u{1b}[0m"),
            "a style is left on: {line:?}"
        );
    }
}

#[test]
fn lines_are_wrapped_by_the_width_of_characters() {
    let narrow = Terminal {
        width: 20,
        colour: false,
    };
    let text = narrow.blocks(&[Block::say(Text::of(
        "寬 字 寬字 寬字 寬字 字寬 e\u{301}e\u{301}e\u{301} aaaa",
    ))]);
    assert_eq!(text, "寬 字 寬字 寬字 寬字\n字寬 e\u{301}e\u{301}e\u{301} aaaa\n");
    let list = narrow.blocks(&[Block::ordered(["one two three four five six"])]);
    assert_eq!(list, "1. one two three\n   four five six\n");
}

#[test]
fn values_keep_their_unit() {
    let value = Text::of("it is at most about ")
        .quantity(everything::kelvin(4.0, 5.0, 6.0), document::Origin::Tolerance);
    let narrow = Terminal {
        width: 24,
        colour: false,
    };
    assert_eq!(
        narrow.blocks(&[Block::say(value)]),
        "it is at most about\n5 K (4 .. 6 K)\n"
    );
}

#[test]
fn columns_are_aligned_and_wide_ones_wrapped() {
    let row = |tag: &str, count: &str, words: &str| Row::of([tag, count, words]);
    let table = Table::new(
        [Column::short("Tag"), Column::number("Count"), Column::text("Do")],
        [
            row("A", "7", "one word after the other until the line is full").marked(Mark::Stop),
            row("BB", "12.5", ""),
            Row::of([Cell::from("C"), Cell::default(), Cell::list(["one", "two"])]),
        ],
    );
    let narrow = Terminal {
        width: 40,
        colour: false,
    };
    insta::assert_snapshot!(narrow.blocks(&[table.into()]), @r"
    Tag  Count  Do
    A        7  one word after the other
                until the line is full
    BB    12.5
    C           one; two
    ");
}

#[test]
fn a_table_that_a_narrow_terminal_squeezes_stands_row_by_row() {
    let table = Table::new(
        [
            Column::short("Tag"),
            Column::number("Count"),
            Column::text("Device"),
            Column::text("Do"),
        ],
        [
            Row::of(["A", "7", "fan", "one word after the other until the line is full"]),
            Row::of(["BB", "12.5", "heater of the bed", ""]),
        ],
    );
    let narrow = Terminal {
        width: 36,
        colour: false,
    };
    insta::assert_snapshot!(narrow.blocks(&[table.into()]), @r"
    A
      Count: 7
      Device: fan
      Do: one word after the other until
      the line is full
    BB
      Count: 12.5
      Device: heater of the bed
    ");
}

#[test]
fn no_line_is_wider_than_the_terminal_where_words_can_be_broken() {
    let document = everything::document();
    for width in [50, 60, 80, 120] {
        let text = Terminal { width, colour: false }.document(&document);
        for line in text.lines() {
            assert!(line.width() <= width, "{} > {width}: {line}", line.width());
        }
    }
}
