//! What a file notes of how the machine was set while it was measured: a column beside the readings, or a remark such as
//! `# current: 800 mA` or `# homing of X at 40 mm/s`.
//!
//! Only what names itself is taken: a word for the setting or `at` before the number, and a unit that is of its kind behind it.

use quantity::{AnyValue, Kind};

use super::table::{Cell, Table};

/// A setting that a file may note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Setting {
    /// Current of a motor.
    Current,
    /// Speed of an axis.
    Speed,
    /// Steps per length of an axis.
    Steps,
    /// Flow of the extruder.
    Flow,
    /// Voltage of the supply.
    Supply,
}

/// A setting with the words that name it and the unit of a number without one.
struct Named {
    setting: Setting,
    kind: Kind,
    words: &'static [&'static str],
    unit: &'static str,
    /// Whether its unit alone tells it behind `at`.
    by_unit: bool,
}

const NAMED: [Named; 5] = [
    Named {
        setting: Setting::Current,
        kind: Kind::Current,
        words: &["current"],
        unit: "mA",
        by_unit: true,
    },
    Named {
        setting: Setting::Speed,
        kind: Kind::Velocity,
        words: &["speed", "feedrate"],
        unit: "mm/s",
        by_unit: true,
    },
    Named {
        setting: Setting::Steps,
        kind: Kind::StepDensity,
        words: &["steps", "step"],
        unit: "step/mm",
        by_unit: true,
    },
    Named {
        setting: Setting::Flow,
        kind: Kind::Ratio,
        words: &["flow"],
        unit: "%",
        by_unit: false,
    },
    Named {
        setting: Setting::Supply,
        kind: Kind::Voltage,
        words: &["supply", "voltage"],
        unit: "V",
        by_unit: true,
    },
];

/// One value that a file notes.
#[derive(Clone, Debug, PartialEq)]
pub struct Noted {
    /// Of which setting.
    pub setting: Setting,
    /// The axis of its row, where the table has a column of them.
    pub axis: Option<String>,
    /// The value.
    pub value: AnyValue,
    /// The line where it stands first, from 1.
    pub line: u64,
}

/// Every different value of these settings that a file notes, in the order of the file: remarks, then columns.
#[must_use]
pub fn noted(bytes: &[u8], table: &Table, settings: &[Setting]) -> Vec<Noted> {
    let wanted = || NAMED.iter().filter(|named| settings.contains(&named.setting));
    let mut out: Vec<Noted> = Vec::new();
    let mut take = |own: Noted| {
        let same = |other: &Noted| {
            (other.setting, &other.axis, other.value.nominal) == (own.setting, &own.axis, own.value.nominal)
        };
        if !out.iter().any(same) {
            out.push(own);
        }
    };
    let text = super::turned(bytes);
    for (line, remark) in (1..).zip(text.split(|byte| *byte == b'\n')) {
        if remark.trim_ascii_start().first() != Some(&b'#') {
            continue;
        }
        let words = String::from_utf8_lossy(remark).to_lowercase();
        for named in wanted() {
            if let Some(value) = of_remark(&words, named) {
                take(Noted {
                    setting: named.setting,
                    axis: None,
                    value,
                    line,
                });
            }
        }
    }
    let axes = table.column(&["axis"]);
    for named in wanted() {
        let Some(at) = table.has_head().then(|| table.column(named.words)).flatten() else {
            continue;
        };
        let unit = table.columns[at].unit.as_deref().unwrap_or(named.unit);
        for row in table.rows() {
            let number = row.cells.get(at).and_then(Cell::number);
            // A share is written either way.
            let plain = table.columns[at].unit.is_none() && named.kind == Kind::Ratio;
            let value = number.and_then(|number| match plain && number <= 3.0 {
                true => AnyValue::in_unit(named.kind, number * 100.0, unit),
                false => AnyValue::in_unit(named.kind, number, unit),
            });
            if let Some(value) = value.filter(|value| value.nominal.is_finite()) {
                take(Noted {
                    setting: named.setting,
                    axis: axes.and_then(|at| Some(row.cells.get(at)?.text()?.trim().to_owned())),
                    value,
                    line: row.line,
                });
            }
        }
    }
    out
}

/// The value in `current: 800 mA`, `current of X = 0.8 A`, `at 800 mA`; small letters.
fn of_remark(remark: &str, named: &Named) -> Option<AnyValue> {
    let mut words = remark
        .split(|c: char| c.is_whitespace() || "#:=@,;()".contains(c))
        .filter(|word| !word.is_empty())
        .peekable();
    let by_at = remark.replace('@', " at ");
    let of_unit = |number: &str, unit: &str| {
        let number: f64 = number.parse().ok()?;
        AnyValue::in_unit(named.kind, number, &as_written(unit)?)
    };
    // `800ma` is one word, `800 ma` two.
    let number_and_unit = |one: &str, next: Option<&str>| {
        let split = one
            .find(|c: char| !(c.is_ascii_digit() || c == '.'))
            .unwrap_or(one.len());
        let (number, unit) = one.split_at(split);
        if number.is_empty() {
            return None;
        }
        if unit.is_empty() {
            next.and_then(|unit| of_unit(number, unit))
        } else {
            of_unit(number, unit)
        }
    };
    let mut is_named = false;
    while let Some(word) = words.next() {
        if named.words.contains(&word) {
            is_named = true;
        } else if is_named && let Some(value) = number_and_unit(word, words.peek().copied()) {
            return Some(value);
        }
    }
    if !named.by_unit {
        return None;
    }
    let mut words = by_at
        .split(|c: char| c.is_whitespace() || "#:=,;()".contains(c))
        .filter(|word| !word.is_empty())
        .peekable();
    let mut is_behind = false;
    while let Some(word) = words.next() {
        // `at 800 mA and 40 mm/s`: what stands behind `at` counts up to a word that is neither number nor unit.
        if is_behind && let Some(value) = number_and_unit(word, words.peek().copied()) {
            return Some(value);
        }
        is_behind = word == "at"
            || is_behind
                && (word == "and"
                    || as_written(word).is_some()
                    || word.starts_with(|c: char| c.is_ascii_digit()));
    }
    None
}

/// A unit in small letters as it is usually written; nothing where it is none that a setting has.
fn as_written(unit: &str) -> Option<String> {
    let unit = unit.trim_end_matches('.');
    Some(
        match unit {
            "ma" => "mA",
            "a" => "A",
            "v" => "V",
            "mv" => "mV",
            "mm/s" => "mm/s",
            "%" => "%",
            "step/mm" | "steps/mm" => "step/mm",
            _ => return None,
        }
        .to_owned(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Setting; 5] = [
        Setting::Current,
        Setting::Speed,
        Setting::Steps,
        Setting::Flow,
        Setting::Supply,
    ];

    fn found(text: &str) -> Vec<(Setting, Option<String>, f64, u64)> {
        let table = super::super::table(text.as_bytes()).unwrap();
        let rounded = |value: f64| (value * 1e9).round() / 1e9;
        noted(text.as_bytes(), &table, &ALL)
            .into_iter()
            .map(|own| (own.setting, own.axis, rounded(own.value.nominal), own.line))
            .collect()
    }

    #[test]
    fn remarks_and_columns_are_taken_by_their_words_and_units() {
        let text =
            "# Homing of X at 40 mm/s and 600 mA, invented\n# steps: 405 steps/mm; supply = 12 V\na,b\n1,2\n";
        assert_eq!(
            found(text),
            [
                (Setting::Current, None, 0.6, 1),
                (Setting::Speed, None, 0.04, 1),
                (Setting::Steps, None, 405_000.0, 2),
                (Setting::Supply, None, 12.0, 2),
            ]
        );
        let text = "axis,threshold,current (A),flow\nX,1,0.6,1.0\nX,2,0.6,95\nY,2,0.7,1\n";
        let x = |value, line| (Setting::Current, Some("X".to_owned()), value, line);
        assert_eq!(
            found(text)[..2],
            [x(0.6, 2), (Setting::Current, Some("Y".to_owned()), 0.7, 4)]
        );
        assert_eq!(
            found(text)[2..].iter().map(|own| own.2).collect::<Vec<_>>(),
            [1.0, 0.95, 1.0]
        );
    }

    #[test]
    fn what_does_not_name_itself_is_not_taken() {
        for text in [
            "# a meter of 2 A, fuse 10 A\nx,y\n1,2\n",
            "# measured at 23 °C, at the third try of 40\nx,y\n1,2\n",
            "# currently 40 mm/s is enough\nx,y\n1,2\n",
            "# flow\nx,y\n1,2\n",
        ] {
            assert_eq!(found(text), [], "{text}");
        }
    }
}
