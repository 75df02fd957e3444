//! Reports as a bad line or another machine makes them: nothing that is impossible, or far from the files, passes in silence.

use std::collections::BTreeMap;

use model::Swap;
use plan::{Finding, Verdict};
use settings::captured::read;
use settings::{Settings, Topic, findings, gcode};

use crate::support::{demo, settings_on};

/// A captured number: the topic, the part, and the bytes of it in the text.
struct Number {
    topic: Topic,
    of: String,
    line: String,
    at: usize,
    text: String,
}

/// Every number of the report that holds a setting.
fn numbers(swap: &Swap) -> Vec<Number> {
    let text = &swap.old_settings[0].text;
    let mut dialect = swap.controller(&swap.old).dialect.clone();
    // The report names the unit between which controllers differ.
    for row in dialect
        .setting_words_mut()
        .filter(|row| row.topic == Topic::TopSpeed)
    {
        row.units = vec!["mm/s".to_owned()];
    }
    let report = read(text, &dialect);
    let lines: Vec<&str> = text.lines().collect();
    report
        .values
        .iter()
        .map(|value| {
            let line = lines[value.line - 1];
            let at = line.find(&format!(" {}", value.letter)).expect("the letter") + 2;
            let text: String = line[at..]
                .chars()
                .take_while(|character| matches!(character, '0'..='9' | '.' | '-'))
                .collect();
            Number {
                topic: value.topic,
                of: value.of.clone(),
                line: line.to_owned(),
                at,
                text,
            }
        })
        .collect()
}

/// What a terminal, a typist or another unit makes of a number.
fn mutations(text: &str) -> Vec<(&'static str, String)> {
    let number: f64 = text.parse().expect("a number");
    let plain = |number: f64| {
        let text = format!("{number:.6}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    let mut out = vec![
        ("× 10", plain(number * 10.0)),
        ("÷ 10", plain(number / 10.0)),
        ("× 100", plain(number * 100.0)),
        ("sign", plain(-number)),
        ("zero", "0".to_owned()),
        ("× 60", plain(number * 60.0)),
        ("inches", plain(number / 25.4)),
    ];
    for at in 0..text.len() {
        if text.as_bytes()[at].is_ascii_digit() {
            let (before, digit, after) = (&text[..at], &text[at..=at], &text[at + 1..]);
            out.push(("digit lost", format!("{before}{after}")));
            out.push(("digit doubled", format!("{before}{digit}{digit}{after}")));
        }
    }
    out.retain(|(_, text)| text.bytes().any(|byte| byte.is_ascii_digit()));
    out
}

fn mutated(base: &Swap, number: &Number, text: &str) -> Swap {
    let (before, after) = (
        &number.line[..number.at],
        &number.line[number.at + number.text.len()..],
    );
    let mut swap = base.clone();
    let report = &mut swap.old_settings[0].text;
    *report = report.replace(&number.line, &format!("{before}{text}{after}"));
    swap
}

fn of_report(all: &[Finding], topic: Topic) -> Option<&Finding> {
    let named = format!(":{}", topic.id());
    all.iter().find(|finding| finding.id.contains(&named))
}

/// What may pass in silence, since nobody can tell it from a right value: the setting, what passes, and why.
const PLAUSIBLE: &[(Topic, &str)] = &[
    (
        Topic::CornerSpeed,
        "beside no figure of the files any change of speed within the usual shares may be right",
    ),
    (
        Topic::ControlProportional,
        "tunings differ by more than a changed second digit",
    ),
    (
        Topic::ControlIntegral,
        "tunings differ by more than a changed second digit",
    ),
    (
        Topic::ControlDerivative,
        "tunings differ by more than a digit, and a control may have no derivative",
    ),
    (
        Topic::WarmUpHotEnd,
        "zero is off; another temperature within the limits is another filament",
    ),
    (
        Topic::WarmUpBed,
        "zero is off; another temperature within the limits is another filament",
    ),
    (
        Topic::WarmUpFan,
        "zero is off; any share of full speed may be meant",
    ),
    (
        Topic::FilamentDiameter,
        "zero is off; a diameter within what is sold",
    ),
    (
        Topic::ZeroShift,
        "a millimetre more or less is a matter of the switch",
    ),
    (
        Topic::RetractAcceleration,
        "between a quarter and the whole of what the axis does",
    ),
    (
        Topic::PrintAcceleration,
        "between a quarter of the least axis and the whole of the best",
    ),
    (
        Topic::TravelAcceleration,
        "between a quarter of the least axis and the whole of the best",
    ),
];

#[test]
fn no_mutation_of_a_captured_number_passes_in_silence_unless_it_is_plausible() {
    let swap = demo();
    let base = settings_on(&swap, "Alder");
    assert_eq!(findings(&base), [], "the unedited report contradicts nothing");
    let mut table: BTreeMap<&str, (usize, usize, usize, Vec<String>)> = BTreeMap::new();
    let mut wrong = Vec::new();
    for number in numbers(&swap) {
        let right: f64 = number.text.parse().expect("a number");
        for (how, text) in mutations(&number.text) {
            let value: f64 = text.parse().expect("a number");
            let row = table.entry(number.topic.id()).or_default();
            let swap = mutated(&swap, &number, &text);
            let settings = settings_on(&swap, "Alder");
            let all = findings(&settings);
            // Rounding and needless zeros change nothing that counts.
            if (value - right).abs() <= 5e-3 * right.abs() {
                if let Some(finding) = all.first() {
                    wrong.push(format!(
                        "{} {} → {text}: alarms at {}",
                        number.topic.id(),
                        number.text,
                        finding.headline
                    ));
                }
                continue;
            }
            row.0 += 1;
            match of_report(&all, number.topic).or_else(|| all.first()) {
                Some(finding) if finding.verdict == Verdict::Blocker => row.1 += 1,
                Some(_) => row.2 += 1,
                None => {
                    row.3
                        .push(format!("{} {} → {text} ({how})", number.of, number.text));
                    if !PLAUSIBLE.iter().any(|(topic, _)| *topic == number.topic) {
                        wrong.push(format!(
                            "{} {}: {} → {text} ({how}) passes",
                            number.topic.id(),
                            number.of,
                            number.text
                        ));
                    }
                }
            }
            told_nowhere(&settings, number.topic, &number.of);
        }
    }
    let rows: Vec<String> = table
        .iter()
        .map(|(topic, (all, blocker, caution, silent))| {
            format!(
                "{topic}: {all} mutations, {blocker} blockers, {caution} cautions, {} plausible: {}",
                silent.len(),
                silent.join("; ")
            )
        })
        .collect();
    insta::assert_snapshot!(rows.join("\n"));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What was left out stands in no line of the program but in a remark, and says why.
fn told_nowhere(settings: &Settings, topic: Topic, of: &str) {
    let left_out = settings
        .doubts
        .iter()
        .any(|doubt| doubt.left_out && doubt.topic == topic && doubt.of == of);
    if !left_out {
        return;
    }
    let setting = settings.find(topic, of).expect("it stands in the list");
    let old = setting.old.as_ref().expect("with what was reported");
    assert_ne!(setting.new.as_ref(), Some(&old.value), "{}", setting.id);
    assert!(setting.caution, "{}", setting.id);
    let program = gcode(settings);
    assert!(!program.contains("inf") && !program.contains("NaN"), "{program}");
    if setting.new.is_none() {
        assert!(program.contains("NOT TOLD"), "{program}");
        assert!(!setting.is_told());
    }
}

/// A report with one edit: the finding, its verdict, whether the value is left out, and what its words hold.
struct Edit {
    from: &'static str,
    to: &'static str,
    id: &'static str,
    verdict: Verdict,
    left_out: bool,
    says: &'static [&'static str],
}

#[test]
fn contradictions_name_both_places_and_what_they_look_like() {
    let edits = [
        // A unit of another kind.
        Edit {
            from: "M203 X180.0 Y150.0 Z10.0 E45.0",
            to: "M203 X10800 Y9000 Z600 E2700",
            id: "old-settings:top-speed-X",
            verdict: Verdict::Blocker,
            left_out: true,
            says: &["captured/old-controller.gcode:", "machine.toml:", "mm/min"],
        },
        Edit {
            from: "D1.75",
            to: "D0.175",
            id: "old-settings:filament-diameter-machine",
            verdict: Verdict::Caution,
            left_out: true,
            says: &["captured/old-controller.gcode:", "1.71 mm"],
        },
        // Another pull-up than that of the board's file; what the sensor showed then means nothing.
        Edit {
            from: "M6040 Q0 I100000.0 A4036.0 D4700.0",
            to: "M6040 Q0 I100000.0 A4036.0 D1000.0",
            id: "old-settings:thermometer-pull-up-hot-end",
            verdict: Verdict::Blocker,
            left_out: true,
            says: &["captured/old-controller.gcode:", "boards/hazel-h4.toml:"],
        },
        Edit {
            from: "M7670 V1 H234.0",
            to: "M7670 V1 H2340",
            id: "old-settings:warm-up-hot-end-preset-1",
            verdict: Verdict::Blocker,
            left_out: true,
            says: &["captured/old-controller.gcode:"],
        },
        // Above what the files let a part have.
        Edit {
            from: "M7670 V1 H234.0 A92.0",
            to: "M7670 V1 H234.0 A140.0",
            id: "old-settings:warm-up-bed-preset-1",
            verdict: Verdict::Blocker,
            left_out: true,
            says: &["captured/old-controller.gcode:", "machine.toml:", "120 °C"],
        },
        // Not as the file says, and not far enough to be a lost digit.
        Edit {
            from: "M203 X180.0",
            to: "M203 X200.0",
            id: "old-settings:top-speed-X",
            verdict: Verdict::Caution,
            left_out: false,
            says: &["captured/old-controller.gcode:", "machine.toml:"],
        },
        // Two lines that contradict each other.
        Edit {
            from: "no more\n",
            to: "M92 X80.3\nM9609 Q800.0\nno more\n",
            id: "old-settings:print-acceleration-machine",
            verdict: Verdict::Caution,
            left_out: false,
            says: &["captured/old-controller.gcode:", "1000 mm/s²", "800 mm/s²"],
        },
        // A lost line, and a lost letter.
        Edit {
            from: "M201 X1500 Y1000 Z100 E3000 (maximum acceleration [mm/s2])\n",
            to: "",
            id: "old-settings:acceleration-X--Y--Z--E",
            verdict: Verdict::Caution,
            left_out: false,
            says: &["missing", "captured/old-controller.gcode", "M201"],
        },
        Edit {
            from: "M304 P390.60 I57.20 D666.70",
            to: "M304 P390.60 I57.20",
            id: "old-settings:control-derivative-bed",
            verdict: Verdict::Caution,
            left_out: false,
            says: &["missing", "M304"],
        },
        Edit {
            from: "Q0.064",
            to: "Q0.064",
            id: "",
            verdict: Verdict::Pass,
            left_out: false,
            says: &[],
        },
    ];
    let base = demo();
    assert_eq!(findings(&settings_on(&base, "Alder")), []);
    for edit in edits {
        let mut swap = base.clone();
        assert!(swap.old_settings[0].text.contains(edit.from), "{}", edit.from);
        swap.old_settings[0].text = swap.old_settings[0].text.replace(edit.from, edit.to);
        let settings = settings_on(&swap, "Alder");
        let all = findings(&settings);
        let Some(finding) = all.iter().find(|finding| finding.id == edit.id) else {
            assert!(edit.id.is_empty() && all.is_empty(), "{}: {all:#?}", edit.id);
            continue;
        };
        assert_eq!(finding.verdict, edit.verdict, "{}", finding.headline);
        assert_eq!(
            finding.headline.contains("is left out"),
            edit.left_out,
            "{}",
            finding.headline
        );
        for says in edit.says {
            assert!(finding.headline.contains(says), "{says}: {}", finding.headline);
        }
        assert!(plan::check_named(finding.check).is_some() && finding.remedy.is_some());
    }
}

/// Two reports: nobody says which is of today where the files are silent.
#[test]
fn two_reports_that_differ_are_told() {
    let mut swap = demo();
    let mut second = swap.old_settings[0].clone();
    second.path = "captured/second.gcode".to_owned();
    second.text = second.text.replace("M200 D1.75", "M200 D2.85");
    swap.old_settings.push(second);
    let settings = settings_on(&swap, "Alder");
    let all = findings(&settings);
    let [finding] = &all[..] else { panic!("{all:#?}") };
    assert!(
        finding.headline.contains("captured/second.gcode:")
            && finding.headline.contains("captured/old-controller.gcode:"),
        "{}",
        finding.headline
    );
    let setting = settings
        .find(Topic::FilamentDiameter, "machine")
        .expect("it is listed");
    assert!(!setting.is_told() && setting.new.is_none());
}

/// Other rounding, needless zeros, other order and case are the same report.
#[test]
fn harmless_changes_alarm_nobody() {
    let base = demo();
    for (from, to) in [
        ("X80.000 Y80.320 Z400.000 E417.500", "X80 Y80.32 Z400 E417.5"),
        ("X180.0 Y150.0 Z10.0 E45.0", "X180 Y150.00 Z10.000 E45"),
        (
            "M92 X80.000 Y80.320 Z400.000 E417.500",
            "m92 e417.5 z400 y80.3 x80.00",
        ),
        ("P51.700 I3.450 D193.400", "P51.7 I3.45 D193"),
        ("V0 H208.0 A57.0 P672.0", "V0 H208 A57 P672"),
        ("I100000.0 A4036.0 D4700.0", "I100000 A4036 D4700"),
        ("no more\n", "M200 D1.750\nno more\n"),
    ] {
        let mut swap = base.clone();
        assert!(swap.old_settings[0].text.contains(from), "{from}");
        swap.old_settings[0].text = swap.old_settings[0].text.replace(from, to);
        assert_eq!(findings(&settings_on(&swap, "Alder")), [], "{to}");
    }
}
