//! A words file: each row made into what it means, and rows that say different things of one word.

use quantity::Kind;

use super::Checker;
use crate::diagnostic::{Diagnostic, did_you_mean, one_of};
use crate::dialect::{About, Meaning, SettingWord, Word};
use crate::file::words::{WordRow, WordsFile};
use crate::source::{Located, Name, Place};
use crate::topic::{Counted, Topic, Whose};
use crate::words::{Reports, Told};

/// The rows of a file at `path`.
pub(crate) fn words(file: WordsFile, path: &str, checker: &mut Checker<'_>) -> Vec<Word> {
    if file.word.is_empty() && !checker.is_lost(file.place, "word") {
        checker.fault(
            Diagnostic::new(
                "missing-key",
                file.place,
                "a words file without a row",
                "no `[[word]]`",
            )
            .expected("at least one `[[word]]`"),
        );
    }
    let mut rows: Vec<(Word, Place)> = Vec::new();
    for row in file.word {
        let place = row.place;
        if let Some(word) = word(row, path, checker) {
            rows.push((word, place));
        }
    }
    for (at, (row, place)) in rows.iter().enumerate() {
        for (earlier, first) in &rows[..at] {
            if let Some(problem) = contradiction(earlier, row) {
                checker.fault(
                    Diagnostic::new("contradiction", *place, problem, "again here")
                        .other(*first, "first here")
                        .expected("each letter of a word, each label and each setting of a part once")
                        .help("remove one of the two rows".to_owned()),
                );
                break;
            }
        }
    }
    rows.into_iter().map(|(row, _)| row).collect()
}

/// What two rows of one file cannot both say.
fn contradiction(one: &Word, other: &Word) -> Option<String> {
    let name = other.name();
    match (&one.meaning, &other.meaning) {
        (Meaning::Setting(one), Meaning::Setting(other)) => {
            let used = |letter: char| {
                one.letters.contains(&letter) || one.picker() == Some(letter) || one.ignored.contains(&letter)
            };
            let twice = other
                .letters
                .iter()
                .find(|letter| one.word == other.word && used(**letter));
            if let Some(letter) = twice {
                return Some(format!("the letter {letter} of {name} has two meanings"));
            }
            let both = told(one).into_iter().find(|part| told(other).contains(part));
            both.filter(|_| one.topic == other.topic).map(|part| {
                let (topic, earlier) = (one.topic.id(), &one.word);
                format!("`{topic}` of {part} is told by {earlier} and by {name}")
            })
        }
        (Meaning::Report { label: one, .. }, Meaning::Report { label: other, .. }) => {
            (one == other).then(|| format!("the label `{name}` stands twice"))
        }
        (Meaning::Report { .. }, _) | (_, Meaning::Report { .. }) => None,
        _ => (one.name() == name).then(|| format!("{name} cannot be an action and hold something else")),
    }
}

/// The parts whose value a row tells.
fn told(row: &SettingWord) -> Vec<String> {
    match row.parts() {
        Some(parts) => parts.into_iter().map(str::to_owned).collect(),
        None => row.letters.iter().map(char::to_string).collect(),
    }
}

fn word(mut row: WordRow, path: &str, checker: &mut Checker<'_>) -> Option<Word> {
    let source = row.source.take();
    let note = row.note.take();
    let meaning = match (row.word.take(), row.label.take()) {
        (Some(word), None) => {
            let name = name_of_word(&word, checker);
            match row.action.take() {
                Some(action) => Meaning::Action {
                    word: name?,
                    does: action.value,
                    lengths: row.lengths.take().map(|lengths| lengths.value),
                },
                None => Meaning::Setting(setting(&mut row, &word, name, checker)?),
            }
        }
        (None, Some(label)) => report(&mut row, &label, checker)?,
        (Some(_), Some(label)) => {
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    label.place,
                    "a row is about a word or a label, not both",
                    "beside `word`",
                )
                .expected("`word`, or `label`"),
            );
            return None;
        }
        (None, None) => {
            if !checker.is_lost(row.place, "word") && !checker.is_lost(row.place, "label") {
                checker.fault(
                    Diagnostic::new(
                        "missing-key",
                        row.place,
                        "this row is about no word and no label",
                        "no `word`",
                    )
                    .expected(
                        "`word` with `letters` and `setting`, `word` with `action`, or `label` with `report`",
                    ),
                );
            }
            return None;
        }
    };
    let what = match &meaning {
        Meaning::Setting(_) => "a word that tells settings",
        Meaning::Action { .. } => "an action",
        Meaning::Report { .. } => "a label",
    };
    checker.leftover(row.leftover(), what);
    Some(Word {
        meaning,
        source: source.map_or_else(|| "own-statement".to_owned(), |source| source.value),
        note: note.map_or_else(String::new, |note| note.value),
        from: Some(path.to_owned()),
    })
}

/// `G` or `M` and a number without needless zeros.
fn name_of_word(word: &Name, checker: &mut Checker<'_>) -> Option<String> {
    let number = word.value.strip_prefix(['G', 'M']);
    let plain = |number: &str| {
        let parsed: Option<f64> = number.parse().ok();
        number.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.')
            && parsed.is_some_and(|parsed| format!("{parsed}") == number)
    };
    if number.is_some_and(plain) {
        return Some(word.value.clone());
    }
    checker.fault(
        Diagnostic::new(
            "bad-value",
            word.place,
            format!("`{}` is no word", word.value),
            "no word",
        )
        .expected("G or M and a number, without needless zeros, such as \"M92\"")
        .help("the letters that follow it stand in `letters`".to_owned()),
    );
    None
}

/// Capital letters, one in each text.
fn letters(names: &[Name], checker: &mut Checker<'_>) -> Vec<char> {
    let mut out = Vec::new();
    for name in names {
        let mut characters = name.value.chars();
        let letter = characters.next().filter(char::is_ascii_uppercase);
        match letter.filter(|_| characters.next().is_none()) {
            Some(letter) if out.contains(&letter) => checker.fault(
                Diagnostic::new(
                    "duplicate-name",
                    name.place,
                    format!("the letter `{letter}` stands twice"),
                    "again here",
                )
                .expected("each letter once"),
            ),
            Some(letter) => out.push(letter),
            None => checker.fault(
                Diagnostic::new(
                    "bad-value",
                    name.place,
                    format!("`{}` is no capital letter", name.value),
                    "no capital letter",
                )
                .expected("one capital letter, such as \"X\""),
            ),
        }
    }
    out
}

fn setting(
    row: &mut WordRow,
    word: &Name,
    name: Option<String>,
    checker: &mut Checker<'_>,
) -> Option<SettingWord> {
    const WHAT: &str = "a word that tells settings";
    let place = row.place;
    let topic = checker.need(row.setting.take(), "setting", place, WHAT);
    let written = core::mem::take(&mut row.letters);
    if written.is_empty() && !checker.is_lost(place, "letters") {
        checker.fault(
            Diagnostic::new(
                "missing-key",
                place,
                format!("`letters` is missing: {WHAT} needs it"),
                "`letters` is missing",
            )
            .expected("the letters whose numbers this row is about, such as [\"X\", \"Y\"]")
            .help(format!(
                "where {} holds no setting, say what it does: `action`",
                word.value
            )),
        );
    }
    let own = letters(&written, checker);
    let ignored = letters(&core::mem::take(&mut row.ignored), checker);
    let topic = topic?;
    if topic.value.counted() == Counted::Words {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                topic.place,
                format!("`{}` is words, which no number tells", topic.value),
                "no number tells it",
            )
            .expected("a setting that is a number"),
        );
        return None;
    }
    let about = about(row, &topic, &own, checker);
    let units = units(row, &topic, checker);
    let full = full(row, &topic, checker);
    let measure = row.current_definition.take();
    if let Some(measure) = &measure
        && topic.value != Topic::MotorCurrent
    {
        meaningless("current_definition", measure.place, topic.value, checker);
    }
    let digits = row.digits.take().and_then(|digits| {
        let few = u8::try_from(digits.value).ok().filter(|digits| *digits <= 6);
        if few.is_none() {
            checker.fault(
                Diagnostic::new("bad-value", digits.place, "too many decimals", "more than 6")
                    .expected("0 to 6"),
            );
        }
        few
    });
    let about = about?;
    let used = own.iter().chain(&ignored).copied();
    let clash = match &about {
        About::Picked { by, .. } => used.clone().find(|letter| letter == by),
        _ => own.iter().copied().find(|letter| ignored.contains(letter)),
    };
    if let Some(letter) = clash {
        checker.fault(
            Diagnostic::new(
                "contradiction",
                place,
                format!("the letter {letter} of {} has two meanings", word.value),
                "in this row",
            )
            .expected("each letter in one of `letters`, `picked_by` and `ignored`"),
        );
    }
    Some(SettingWord {
        word: name?,
        letters: own,
        topic: topic.value,
        about,
        units: units?,
        measure: measure.map(|measure| measure.value),
        running: row.told.take().is_none_or(|told| told.value == Told::Running),
        full,
        digits,
        ignored,
    })
}

fn meaningless(key: &'static str, place: Place, topic: Topic, checker: &mut Checker<'_>) {
    checker.leftover(vec![(key, place)], &format!("the setting `{}`", topic.id()));
}

/// Whose value the letters hold.
fn about(
    row: &mut WordRow,
    topic: &Located<Topic>,
    own: &[char],
    checker: &mut Checker<'_>,
) -> Option<About> {
    let place = row.place;
    let whose = topic.value.whose();
    let (about, by, picks) = (
        row.about.take(),
        row.picked_by.take(),
        core::mem::take(&mut row.picks),
    );
    let about = match (about, by, &picks[..]) {
        (Some(about), None, []) if about.value == "letter" => {
            if whose != Whose::Axis {
                not_of(&about, topic, whose, checker);
                return None;
            }
            About::Letter
        }
        (Some(about), None, []) => {
            if !whose.can_be(&about.value) {
                not_of(&about, topic, whose, checker);
                return None;
            }
            About::Part(about.value)
        }
        (None, Some(by), [_, ..]) => {
            let letter = letters(core::slice::from_ref(&by), checker);
            let wrong: Vec<&Name> = picks.iter().filter(|part| !whose.can_be(&part.value)).collect();
            for part in &wrong {
                not_of(part, topic, whose, checker);
            }
            checker.unique(&picks, "part");
            if !wrong.is_empty() {
                return None;
            }
            About::Picked {
                by: letter.first().copied()?,
                parts: picks.into_iter().map(|part| part.value).collect(),
            }
        }
        (None, None, []) => {
            let lost = ["about", "picked_by", "picks"];
            if !lost.iter().any(|key| checker.is_lost(place, key)) {
                checker.fault(
                    Diagnostic::new(
                        "missing-key",
                        place,
                        format!("`about` is missing: whose `{}` is it?", topic.value.id()),
                        "`about` is missing",
                    )
                    .expected(format!(
                        "`about` as {}, or `picked_by` with `picks`",
                        usual(whose)
                    )),
                );
            }
            return None;
        }
        _ => {
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    place,
                    "a row says in one way whose value it is",
                    "in several ways, or in half of one",
                )
                .expected("`about`, or `picked_by` with `picks`"),
            );
            return None;
        }
    };
    if own.len() > 1 && about != About::Letter {
        checker.fault(
            Diagnostic::new(
                "contradiction",
                place,
                "several letters for the value of one part",
                "several letters",
            )
            .expected("one letter; or `about = \"letter\"`, where each letter is an axis")
            .help("write a row of its own for each letter".to_owned()),
        );
    }
    Some(about)
}

fn usual(whose: Whose) -> String {
    match whose.usual() {
        [] => "the tag of a device".to_owned(),
        usual => one_of(usual.iter().copied()),
    }
}

fn not_of(part: &Name, topic: &Located<Topic>, whose: Whose, checker: &mut Checker<'_>) {
    checker.fault(
        Diagnostic::new(
            "bad-reference",
            part.place,
            format!("`{}` has no `{}`", part.value, topic.value.id()),
            "no part that has it",
        )
        .expected(usual(whose))
        .help(did_you_mean(&part.value, whose.usual().iter().copied())),
    );
}

/// The units between which a report decides; an empty one for plain numbers.
fn units(row: &mut WordRow, topic: &Located<Topic>, checker: &mut Checker<'_>) -> Option<Vec<String>> {
    let (unit, units) = (row.unit.take(), core::mem::take(&mut row.units));
    let Counted::In(kind) = topic.value.counted() else {
        for unit in unit.iter().chain(&units) {
            meaningless("unit", unit.place, topic.value, checker);
        }
        return Some(vec![String::new()]);
    };
    let written = match (unit, &units[..]) {
        (Some(unit), []) => vec![unit],
        (None, [_, ..]) => units,
        (Some(unit), _) => {
            checker.fault(
                Diagnostic::new(
                    "contradiction",
                    unit.place,
                    "`unit` and `units` stand in one row",
                    "beside `units`",
                )
                .expected("`unit` where it is known, `units` where a report has to decide"),
            );
            return None;
        }
        (None, []) => {
            if !checker.is_lost(row.place, "unit") && !checker.is_lost(row.place, "units") {
                checker.fault(
                    Diagnostic::new(
                        "missing-key",
                        row.place,
                        format!("`unit` is missing: in what is `{}` counted?", topic.value.id()),
                        "`unit` is missing",
                    )
                    .expected(format!("a unit of {}: {}", kind.name(), kind.examples())),
                );
            }
            return None;
        }
    };
    let faults = checker.faults.len();
    for unit in &written {
        check_unit(unit, kind, checker);
    }
    (checker.faults.len() == faults).then(|| written.into_iter().map(|unit| unit.value).collect())
}

fn check_unit(unit: &Name, kind: Kind, checker: &mut Checker<'_>) {
    if quantity::AnyValue::in_unit(kind, 1.0, &unit.value).is_none() {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                unit.place,
                format!("`{}` is no unit of {}", unit.value, kind.name()),
                "not such a unit",
            )
            .expected(kind.examples()),
        );
    }
}

fn full(row: &mut WordRow, topic: &Located<Topic>, checker: &mut Checker<'_>) -> Option<f64> {
    let full = row.full.take()?;
    if !topic.value.is_control_term() && topic.value != Topic::WarmUpFan {
        meaningless("full", full.place, topic.value, checker);
    }
    above_zero(&full, checker)
}

fn above_zero(full: &Located<u32>, checker: &mut Checker<'_>) -> Option<f64> {
    if full.value == 0 {
        checker.fault(
            Diagnostic::new("bad-value", full.place, "full power counts as nothing", "zero")
                .expected("1 or more, such as 1, 100 or 1000"),
        );
        return None;
    }
    Some(f64::from(full.value))
}

fn report(row: &mut WordRow, label: &Name, checker: &mut Checker<'_>) -> Option<Meaning> {
    const WHAT: &str = "a label";
    if label.value.contains([':', ' ', '\t', '/']) {
        checker.fault(
            Diagnostic::new(
                "bad-value",
                label.place,
                format!("`{}` is no label", label.value),
                "not one piece",
            )
            .expected("what stands before the colon, without blank, colon or stroke, such as \"T\""),
        );
    }
    let place = row.place;
    let what = checker.need(row.report.take(), "report", place, WHAT);
    let about = checker.need(row.about.take(), "about", place, WHAT);
    let (what, about) = (what?.value, about?.value);
    let unit = row.unit.take();
    let kind = match what {
        Reports::Temperature => Some(Kind::Temperature),
        Reports::Position => Some(Kind::Length),
        Reports::Drive => None,
    };
    match (kind, &unit) {
        (None, Some(unit)) => checker.leftover(
            vec![("unit", unit.place)],
            "a drive: `full` says what it counts as",
        ),
        (None, None) => {}
        (Some(kind), Some(unit)) => check_unit(unit, kind, checker),
        (Some(_), None) => {
            checker.need(None::<Name>, "unit", place, WHAT);
        }
    }
    let full = row.full.take().filter(|full| {
        if what != Reports::Drive {
            checker.leftover(vec![("full", full.place)], &format!("a {what}"));
        }
        what == Reports::Drive
    });
    let full = full.and_then(|full| above_zero(&full, checker));
    Some(Meaning::Report {
        label: label.value.clone(),
        what,
        about,
        unit: unit.map_or_else(String::new, |unit| unit.value),
        full,
    })
}
