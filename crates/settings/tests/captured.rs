//! The reader of captured text: the demonstration's file, lines that override each other, and texts that nobody would write.

use proptest::prelude::*;
use settings::captured::{Report, read};
use settings::{Dialect, Topic};

use crate::support::demo;

fn of(text: &str) -> Report {
    read(text, Dialect::common())
}

/// Each line of the text that is neither blank nor a comment stands in exactly one list, or in that of unread lines.
fn nothing_is_lost(text: &str, report: &Report) {
    let mut lines: Vec<usize> = Vec::new();
    lines.extend(report.values.iter().map(|value| value.line));
    lines.extend(report.readings.iter().map(|reading| reading.line));
    lines.extend(report.actions.iter().map(|action| action.line));
    lines.extend(report.commands.iter().map(|command| command.line));
    lines.extend(report.remarks.iter().map(|remark| remark.line));
    lines.extend(report.unread.iter().map(|unread| unread.line));
    for (at, line) in text.split('\n').enumerate() {
        let plain = line.split(['\r', ';']).any(|part| {
            let part = part.trim();
            !part.is_empty() && !part.contains(['(', ')'])
        });
        let before_comment = line.split(';').next().unwrap_or("").trim();
        if plain && !before_comment.is_empty() && !line.contains(['(', ')']) {
            assert!(lines.contains(&(at + 1)), "line {} is lost: {line:?}", at + 1);
        }
    }
}

#[test]
fn the_captured_file_of_the_demonstration() {
    let swap = demo();
    let text = &swap.old_settings[0].text;
    let report = read(text, &swap.controller(&swap.old).dialect);
    nothing_is_lost(text, &report);
    let value = |topic, of: &str| report.last(topic, of).map(|value| value.number);
    assert_eq!(value(Topic::StepsPerLength, "Y"), Some(80.32));
    assert_eq!(value(Topic::ControlIntegral, "bed"), Some(57.2));
    assert_eq!(value(Topic::ThermometerConstant, "hot end"), Some(4036.0));
    assert_eq!(value(Topic::WarmUpBed, "preset 1"), Some(92.0));
    assert_eq!(value(Topic::ZeroShift, "Z"), Some(-0.35));
    let unread: Vec<String> = report
        .unread
        .iter()
        .map(|unread| format!("{}: {}: {}", unread.line, unread.text, unread.reason))
        .collect();
    insta::assert_snapshot!(unread.join("\n"), @r"
    22: M9: `M9` is no word of this controller that is known, and has no values
    23: 2 X80.00 Y8: values without the word that they belong to
    24: pr#be M5384 X-?? Y: X has no number that can be read
    33: B:22.2 /0 T:20?.7 /210 B@: `T:` has no number that can be read
    ");
}

#[test]
fn later_lines_override_earlier_ones_and_both_are_kept() {
    let report = of("M92 X80 Y80\nM92 X100");
    let values: Vec<(f64, usize, bool)> = report
        .values
        .iter()
        .map(|value| (value.number, value.line, value.overridden))
        .collect();
    assert_eq!(values, [(80.0, 1, true), (80.0, 1, false), (100.0, 2, false)]);
    assert_eq!(
        report.last(Topic::StepsPerLength, "X").map(|value| value.number),
        Some(100.0)
    );
}

/// Words of a controller of its own, with a part that a letter picks.
fn own() -> Dialect {
    let text = r#"
        [[word]]
        word = "M5001"
        letters = ["R"]
        setting = "thermometer-resistance"
        picked_by = "P"
        picks = ["hot end", "bed"]
        unit = "Ω"

        [[word]]
        word = "M5001"
        letters = ["B"]
        setting = "thermometer-constant"
        picked_by = "P"
        picks = ["hot end", "bed"]
        unit = "K"
        ignored = ["Q"]
    "#;
    let mut dialect = Dialect::common().clone();
    dialect.add(model::load_words("words/own.toml", text).expect("words"));
    dialect
}

#[test]
fn letters_without_a_meaning_are_kept_and_the_others_are_read() {
    let report = read(
        "M92 X80 J0.02\nM5001 R100000 B3950\nM5001 P7 R1\nM5001 P1 B3950 Q3",
        &own(),
    );
    assert_eq!(report.values.len(), 2);
    let reasons: Vec<&str> = report
        .unread
        .iter()
        .map(|unread| unread.reason.as_str())
        .collect();
    assert_eq!(
        reasons,
        [
            "P is missing, which tells whose value it is",
            "P is missing, which tells whose value it is",
            "P7 is nothing that this controller's words know",
        ]
    );
    let strange: Vec<&[char]> = report
        .commands
        .iter()
        .map(|command| &command.strange[..])
        .collect();
    assert_eq!(strange, [&['J'][..], &[], &[], &[]]);
}

#[test]
fn a_word_without_a_meaning_is_kept_with_its_letters_and_decimals() {
    let report = of("highest pressure\nM5002 A0.40 B7 ; of the filament\nM5003");
    let [command] = &report.commands[..] else {
        panic!("{:?}", report.commands)
    };
    assert_eq!(
        (command.word.as_str(), command.line, &command.strange[..]),
        ("M5002", 2, &['A', 'B'][..])
    );
    assert_eq!(command.near, "of the filament highest pressure");
    assert_eq!(report.decimals("M5002"), Some(2));
    assert_eq!(
        report.unread.len(),
        1,
        "a word alone says nothing: {:?}",
        report.unread
    );
}

/// Families of controllers count speeds by the second or by the minute, and currents as rms or peak: a row that does not say it makes no value.
#[test]
fn what_is_not_certain_makes_no_value() {
    let report = of("M203 X180\nM906 X800");
    assert!(report.values.is_empty() && report.unread.is_empty());
    let open: Vec<Option<&str>> = report
        .commands
        .iter()
        .map(|command| command.open.as_deref())
        .collect();
    assert_eq!(
        open,
        [
            Some("mm/s or mm/min is not known"),
            Some("rms or peak is not known")
        ]
    );
}

#[test]
fn inches_are_turned_into_millimetres() {
    // 1 in = 25.4 mm exactly (ISO 31-1; from memory).
    let report = of("G20\nM92 X2032\nM201 X10\nM301 P20\nG21\nM201 Y10");
    let base = |topic, of: &str| report.last(topic, of).map(|value| value.value.nominal);
    let near =
        |got: Option<f64>, expected: f64| assert!((got.unwrap() / expected - 1.0).abs() < 1e-12, "{got:?}");
    near(base(Topic::StepsPerLength, "X"), 80_000.0);
    near(base(Topic::Acceleration, "X"), 0.254);
    near(base(Topic::Acceleration, "Y"), 0.010);
    near(base(Topic::ControlProportional, "hot end"), 20.0);
}

#[test]
fn line_ends_of_all_kinds_keep_their_numbers() {
    let report = of("start\r\nM92 X80\r\n\r\nM92 X-\r\n");
    assert_eq!(report.values[0].line, 2);
    assert_eq!(report.unread[0].line, 4);
    let report = of("T:20 \rT:21 \rT:22");
    assert_eq!(report.readings.len(), 3);
}

/// A seeded generator (xorshift, Marsaglia 2003), so that a failure can be run again.
struct Seeded(u64);

impl Seeded {
    fn next(&mut self, below: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % u64::try_from(below.max(1)).unwrap()).unwrap()
    }
}

/// Bytes of the demonstration's file are lost, doubled, exchanged and replaced, as terminals do; nothing may panic or vanish.
#[test]
fn mutated_reports_are_read_or_listed() {
    let original = demo().old_settings[0].text.clone().into_bytes();
    let mut seeded = Seeded(0x5EED_0001);
    for _ in 0..2_000 {
        let mut bytes = original.clone();
        for _ in 0..=seeded.next(12) {
            let at = seeded.next(bytes.len());
            match seeded.next(5) {
                0 => {
                    bytes.remove(at);
                }
                1 => bytes.insert(at, bytes[at]),
                2 => bytes[at] = u8::try_from(seeded.next(256)).unwrap(),
                3 => {
                    let other = seeded.next(bytes.len());
                    bytes.swap(at, other);
                }
                _ => {
                    let end = (at + seeded.next(40)).min(bytes.len());
                    bytes.drain(at..end);
                }
            }
            if bytes.is_empty() {
                bytes.push(b' ');
            }
        }
        let text = String::from_utf8_lossy(&bytes);
        let report = of(&text);
        nothing_is_lost(&text, &report);
        assert!(report.values.iter().all(|value| value.value.nominal.is_finite()));
    }
}

proptest! {
    #[test]
    fn any_text_is_read_without_panic(text in "(?s).{0,400}") {
        let report = of(&text);
        nothing_is_lost(&text, &report);
    }

    #[test]
    fn texts_of_the_letters_of_the_trade_are_read_without_panic(text in "[GMNTXYZE0-9.*:;() /+\\-\n\r>?é]{0,200}") {
        let report = of(&text);
        nothing_is_lost(&text, &report);
    }

    /// Whatever is told in the grammar comes back.
    #[test]
    fn what_is_written_is_read(
        steps in proptest::collection::vec(1.0_f64..5_000.0, 4),
        blanks in proptest::collection::vec(0_usize..3, 8),
        small in any::<bool>(),
    ) {
        let mut line = "says: M92".to_owned();
        for (at, letter) in ["X", "Y", "Z", "E"].into_iter().enumerate() {
            line.push_str(&format!(
                "{}{letter}{}{:.2}",
                " ".repeat(blanks[2 * at]),
                " ".repeat(blanks[2 * at + 1]),
                steps[at]
            ));
        }
        let line = if small { line.to_lowercase() } else { line };
        let report = of(&line);
        prop_assert!(report.unread.is_empty(), "{:?}", report.unread);
        for (at, letter) in ["X", "Y", "Z", "E"].into_iter().enumerate() {
            let found = report.last(Topic::StepsPerLength, letter).expect("the axis").number;
            prop_assert!((found - steps[at]).abs() <= 0.005 + 1e-9);
        }
    }
}
