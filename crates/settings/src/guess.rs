//! Captured lines whose meaning nobody told yet, and what they may hold: by their size beside the machine's file, and by their place.
//!
//! A guess is never used. It is printed as a row for `words/NAME.toml`, and the user who pastes it says that it is so.

use model::{Dialect, Topic, Whose};
use quantity::AnyValue;
use serde::Serialize;

use crate::captured::Spoken;
use crate::expected::Expected;
use crate::understood::Understood;

/// A word, or letters of it, that was captured and whose meaning is not known.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Unknown {
    /// The name of the board whose controller reported it.
    pub board: String,
    /// The file.
    pub path: String,
    /// The lines, from 1.
    pub lines: Vec<usize>,
    /// The first of them as it stands there.
    pub text: String,
    /// The word.
    pub word: String,
    /// The letters without a certain meaning, each with its numbers, line by line.
    pub letters: Vec<UnknownLetter>,
    /// Why they have none.
    pub why: String,
    /// What they may hold, the likeliest first for each letter; guesses, no more.
    pub guesses: Vec<Guess>,
    /// Rows for `words/NAME.toml` as the likeliest guesses have them; empty where there is none.
    pub row: String,
}

/// A letter of a captured word.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct UnknownLetter {
    /// The letter.
    pub letter: char,
    /// Its numbers.
    pub numbers: Vec<f64>,
}

/// What letters of a word may hold.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Guess {
    /// The letters.
    pub letters: Vec<char>,
    /// The setting.
    pub setting: Topic,
    /// The unit of the numbers; empty for plain numbers.
    pub unit: String,
    /// What speaks for it.
    pub because: Vec<String>,
    /// How much, to compare guesses of one letter.
    pub weight: f64,
}

/// Less than this is no guess.
const LEAST: f64 = 0.15;

/// Everything of a controller's reports that no row gives a certain meaning, word by word.
pub(crate) fn unknown(board: &str, understood: &Understood, expected: &Expected<'_>) -> Vec<Unknown> {
    let (reports, dialect) = (&understood.reports, &understood.dialect);
    let mut out: Vec<Unknown> = Vec::new();
    for report in reports {
        let strange = report
            .commands
            .iter()
            .filter(|spoken| !spoken.strange.is_empty() || spoken.open.is_some());
        let strange: Vec<&Spoken> = strange.collect();
        let mut words: Vec<&str> = strange.iter().map(|spoken| spoken.word.as_str()).collect();
        words.sort_unstable();
        words.dedup();
        // In the order of the report.
        words.sort_by_key(|word| strange.iter().position(|spoken| spoken.word == **word));
        for word in words {
            let lines: Vec<&Spoken> = strange
                .iter()
                .copied()
                .filter(|spoken| spoken.word == word)
                .collect();
            let again = out
                .iter()
                .any(|earlier| earlier.word == word && earlier.text == lines[0].text);
            if !again {
                out.push(one(board, &report.path, &lines, dialect, expected));
            }
        }
    }
    out
}

fn one(board: &str, path: &str, lines: &[&Spoken], dialect: &Dialect, expected: &Expected<'_>) -> Unknown {
    let first = lines[0];
    let known_word = first
        .letters
        .iter()
        .any(|letter| !first.strange.contains(&letter.letter));
    let mut letters: Vec<UnknownLetter> = Vec::new();
    for spoken in lines {
        for letter in &spoken.letters {
            if spoken.open.is_none() && !spoken.strange.contains(&letter.letter) {
                continue;
            }
            match letters.iter_mut().find(|known| known.letter == letter.letter) {
                Some(known) => known.numbers.push(letter.number),
                None => letters.push(UnknownLetter {
                    letter: letter.letter,
                    numbers: vec![letter.number],
                }),
            }
        }
    }
    let why = match &first.open {
        Some(open) => open.clone(),
        None if known_word => {
            let strange: Vec<String> = first.strange.iter().map(char::to_string).collect();
            format!("{} has no meaning with this word", strange.join(", "))
        }
        None => "no row tells what this word means".to_owned(),
    };
    let picker = picker(&letters, lines.len());
    let place = Place::of(first, picker);
    // Of a word that is known, and whose unit is not, the setting is known too.
    let known = dialect.setting_words().filter(|row| row.word == first.word);
    let known: Vec<Topic> = known
        .map(|row| row.topic)
        .filter(|_| first.open.is_some())
        .collect();
    let guesses = guesses(&letters, picker, &place, &known, expected);
    Unknown {
        board: board.to_owned(),
        path: path.to_owned(),
        lines: lines.iter().map(|spoken| spoken.line).collect(),
        text: first.text.clone(),
        word: first.word.clone(),
        row: rows(&first.word, &letters, picker, &place, &guesses),
        letters,
        why,
        guesses,
    }
}

/// The letter that picks the part: small whole numbers, another one in each of several lines.
fn picker(letters: &[UnknownLetter], lines: usize) -> Option<char> {
    if lines < 2 || letters.len() < 2 {
        return None;
    }
    let counts = |letter: &&UnknownLetter| {
        let numbers = &letter.numbers;
        let mut seen: Vec<f64> = numbers.clone();
        seen.sort_by(f64::total_cmp);
        seen.dedup();
        numbers.len() == lines
            && seen.len() == lines
            && numbers
                .iter()
                .all(|number| number.fract() == 0.0 && (0.0..10.0).contains(number))
    };
    letters.iter().find(counts).map(|letter| letter.letter)
}

/// What is said near a word, piece by piece where there are as many pieces as letters.
struct Place {
    all: Vec<String>,
    pieces: Vec<Vec<String>>,
}

impl Place {
    fn of(spoken: &Spoken, picker: Option<char>) -> Self {
        let letters = spoken
            .letters
            .iter()
            .filter(|letter| Some(letter.letter) != picker)
            .count();
        let said = spoken
            .near
            .rsplit_once(':')
            .map_or(spoken.near.as_str(), |(_, said)| said);
        let pieces: Vec<Vec<String>> = said.split([',', ';', '/']).map(tokens).collect();
        Self {
            all: tokens(&spoken.near),
            pieces: if pieces.len() == letters {
                pieces
            } else {
                Vec::new()
            },
        }
    }
    /// The words about the letter of that number.
    fn about(&self, at: usize) -> &[String] {
        self.pieces.get(at).unwrap_or(&self.all)
    }
}

/// Words of three letters or more, small, without the s of a plural.
fn tokens(text: &str) -> Vec<String> {
    let lower = text.to_lowercase();
    let words = lower.split(|character: char| !character.is_alphabetic() && character != '-');
    let plain = |word: &str| word.strip_suffix('s').unwrap_or(word).to_owned();
    words.filter(|word| word.chars().count() > 2).map(plain).collect()
}

/// How a number may be what a setting is.
struct Fit {
    unit: &'static str,
    weight: f64,
    because: Option<String>,
}

fn guesses(
    letters: &[UnknownLetter],
    picker: Option<char>,
    place: &Place,
    known: &[Topic],
    expected: &Expected<'_>,
) -> Vec<Guess> {
    let axes: Vec<&str> = expected.axes().chain(["X", "Y", "Z", "E"]).collect();
    let held: Vec<&UnknownLetter> = letters
        .iter()
        .filter(|letter| Some(letter.letter) != picker)
        .collect();
    let all_axes = held
        .iter()
        .all(|letter| axes.contains(&letter.letter.to_string().as_str()));
    let can_be = |topic: &Topic| known.is_empty() || known.contains(topic);
    let mut out = Vec::new();
    if all_axes && !held.is_empty() {
        let topics = Topic::ALL.iter().copied().filter(can_be);
        let topics = topics.filter(|topic| topic.whose() == Whose::Axis);
        for topic in topics {
            out.extend(of_axes(topic, &held, place, expected));
        }
        out.sort_by(|one, other| other.weight.total_cmp(&one.weight));
    } else {
        out = one_by_one(&held, place, expected);
        out.retain(|guess| can_be(&guess.setting));
    }
    out.retain(|guess| guess.weight >= LEAST || known.contains(&guess.setting));
    // The likeliest of each letter, and two to think of beside it.
    let mut kept: Vec<Guess> = Vec::new();
    for guess in out {
        let before = kept
            .iter()
            .filter(|earlier| earlier.letters == guess.letters)
            .count();
        if before < 3 {
            kept.push(guess);
        }
    }
    kept
}

/// One setting for all letters of a word, each letter an axis.
fn of_axes(topic: Topic, held: &[&UnknownLetter], place: &Place, expected: &Expected<'_>) -> Option<Guess> {
    let (words, said) = said(topic, &place.all);
    let mut best: Option<Guess> = None;
    for unit in units(topic)? {
        let (mut weight, mut because, mut counted) = (0.0, Vec::new(), 0.0);
        for letter in held {
            // An axis that the machine's file does not name says nothing.
            let Some(fit) = fit(
                topic,
                &letter.letter.to_string(),
                letter.numbers[0],
                unit,
                expected,
            ) else {
                continue;
            };
            weight += fit.weight;
            counted += 1.0;
            if because.is_empty() {
                let near = fit.because.filter(|_| fit.weight > 0.3);
                because
                    .extend(near.map(|because| format!("{}{} {because}", letter.letter, letter.numbers[0])));
            }
        }
        if counted == 0.0 {
            continue;
        }
        because.extend(said.clone());
        let weight = weight / counted + words;
        if best.as_ref().is_none_or(|best| weight > best.weight) {
            best = Some(Guess {
                letters: held.iter().map(|letter| letter.letter).collect(),
                setting: topic,
                unit: (*unit).to_owned(),
                because,
                weight,
            });
        }
    }
    best
}

/// A setting for each letter by itself; no setting twice, the surest first.
fn one_by_one(held: &[&UnknownLetter], place: &Place, expected: &Expected<'_>) -> Vec<Guess> {
    let mut all: Vec<Guess> = Vec::new();
    for (at, letter) in held.iter().enumerate() {
        let about = place.about(at);
        for topic in Topic::ALL
            .iter()
            .copied()
            .filter(|topic| topic.whose() != Whose::Axis)
        {
            let (words, said) = said(topic, about);
            let zone = zone_said(&place.all);
            let fits = units(topic)
                .into_iter()
                .flatten()
                .filter_map(|unit| fit(topic, zone, letter.numbers[0], unit, expected));
            let Some(fit) = fits.max_by(|one, other| one.weight.total_cmp(&other.weight)) else {
                continue;
            };
            let mut because: Vec<String> = fit
                .because
                .filter(|_| fit.weight > 0.1)
                .map(|because| format!("{}{} {because}", letter.letter, letter.numbers[0]))
                .into_iter()
                .collect();
            because.extend(said);
            // The three terms of a control come in their order, mostly by their letters.
            let own = usual_letter(topic) == Some(letter.letter);
            all.push(Guess {
                letters: vec![letter.letter],
                setting: topic,
                unit: fit.unit.to_owned(),
                because,
                weight: fit.weight + words + if own { 0.35 } else { 0.0 },
            });
        }
    }
    all.sort_by(|one, other| other.weight.total_cmp(&one.weight));
    let mut first: Vec<Guess> = Vec::new();
    let mut rest: Vec<Guess> = Vec::new();
    for guess in all {
        let taken = first
            .iter()
            .any(|earlier| earlier.letters == guess.letters || earlier.setting == guess.setting);
        if taken {
            rest.push(guess);
        } else {
            first.push(guess);
        }
    }
    // In the order of the letters, the chosen one before what else it may be.
    let mut out = Vec::new();
    for letter in held {
        let own = |guess: &&Guess| guess.letters == [letter.letter];
        out.extend(first.iter().filter(own).cloned());
        out.extend(rest.iter().filter(own).take(2).cloned());
    }
    out
}

/// Letters that the trade's textbooks give the terms of a control.
fn usual_letter(topic: Topic) -> Option<char> {
    match topic {
        Topic::ControlProportional => Some('P'),
        Topic::ControlIntegral => Some('I'),
        Topic::ControlDerivative => Some('D'),
        _ => None,
    }
}

/// How many words of a setting's title are said near it, as a weight, and how that is put.
fn said(topic: Topic, near: &[String]) -> (f64, Option<String>) {
    let of_title = tokens(topic.title());
    let own = of_title.iter().filter(|word| {
        !["the", "with", "that", "which", "from", "for", "when", "must"].contains(&word.as_str())
    });
    let found: Vec<&str> = own
        .filter(|word| near.contains(word))
        .map(String::as_str)
        .collect();
    let weight = match found.len() {
        0 => 0.0,
        1 => 0.35,
        2 => 0.6,
        _ => 0.75,
    };
    let put = (!found.is_empty()).then(|| format!("\"{}\" is said near it", found.join(" ")));
    (weight, put)
}

fn zone_said(near: &[String]) -> &'static str {
    if near.iter().any(|word| word == "bed") {
        "bed"
    } else {
        "hot end"
    }
}

/// Units in which a setting may come; none for settings that are words.
fn units(topic: Topic) -> Option<&'static [&'static str]> {
    use model::Counted::{In, Number, Words};
    use quantity::Kind;
    match topic.counted() {
        Words => None,
        Number => Some(&[""]),
        In(kind) => match kind {
            Kind::StepDensity => Some(&["step/mm"]),
            Kind::Velocity => Some(&["mm/s", "mm/min"]),
            Kind::Acceleration => Some(&["mm/s²"]),
            Kind::Length => Some(&["mm"]),
            Kind::Current => Some(&["mA", "A"]),
            Kind::Temperature => Some(&["°C"]),
            Kind::TemperatureDifference => Some(&["K"]),
            Kind::Resistance => Some(&["Ω"]),
            Kind::Voltage => Some(&["V", "mV"]),
            Kind::Time => Some(&["s", "ms"]),
            Kind::Ratio => Some(&["%"]),
            _ => None,
        },
    }
}

/// How well a number in a unit is what a setting is; `None` where it cannot be.
fn fit(topic: Topic, of: &str, number: f64, unit: &'static str, expected: &Expected<'_>) -> Option<Fit> {
    let kind = match topic.counted() {
        model::Counted::In(kind) => kind,
        _ => quantity::Kind::Ratio,
    };
    let value = AnyValue::in_unit(kind, number, unit)?;
    let made = |weight, because| {
        Some(Fit {
            unit,
            weight,
            because,
        })
    };
    if let Some(asked) = expected.of(topic, of) {
        let ratio = value.nominal / asked.nominal;
        if ratio.is_nan() || ratio <= 0.0 {
            return None;
        }
        // 1 where it is the same, a third of it at three times as much, next to nothing at ten times.
        let off = ratio.ln() / 3_f64.ln();
        let shown = quantity::show(&asked, quantity::Digits::new(3));
        return made(
            (-off * off).exp(),
            Some(format!("is near the {shown} of the machine file")),
        );
    }
    let within = |low: f64, high: f64, weight: f64, what: &str| {
        (low..=high).contains(&number).then(|| Fit {
            unit,
            weight,
            because: Some(format!("is {what}")),
        })
    };
    match topic {
        Topic::WarmUpHotEnd => within(150.0, 320.0, 0.4, "as hot as a hot end"),
        Topic::WarmUpBed => within(30.0, 130.0, 0.35, "as warm as a bed"),
        Topic::WarmUpFan => within(0.0, 10_000.0, 0.05, "a speed of a fan"),
        Topic::FilamentDiameter => [1.75, 2.85]
            .iter()
            .find(|usual| (number / **usual - 1.0).abs() < 0.05)
            .and_then(|usual| made(0.7, Some(format!("is near {usual} mm, a usual filament")))),
        Topic::Flow => within(80.0, 120.0, 0.25, "near 100 %"),
        Topic::PressureCompensation => within(0.0, 2.0, 0.15, "as small as a compensation of pressure"),
        Topic::LevellingEnd => within(0.5, 30.0, 0.1, "a height above the bed"),
        Topic::LevellingMesh => within(0.0, 1.0, 0.05, "on or off").filter(|_| number.fract() == 0.0),
        Topic::ControlProportional | Topic::ControlIntegral | Topic::ControlDerivative => {
            within(0.0, 1e6, 0.05, "a number that is not negative")
        }
        Topic::ZeroShift => within(-30.0, 30.0, 0.15, "a small distance"),
        Topic::ProbeOffset => within(
            -80.0,
            80.0,
            if number < 0.0 { 0.25 } else { 0.15 },
            "a distance between nozzle and probe",
        )
        .filter(|_| of != "E"),
        Topic::HighestTemperature => within(100.0, 350.0, 0.1, "a temperature"),
        Topic::SerialRate => {
            const RATES: [f64; 10] = [
                9_600.0, 19_200.0, 38_400.0, 57_600.0, 115_200.0, 230_400.0, 250_000.0, 460_800.0, 500_000.0,
                921_600.0,
            ];
            RATES.contains(&number).then(|| Fit {
                unit,
                weight: 0.8,
                because: Some("is a usual rate of a serial line".to_owned()),
            })
        }
        _ => None,
    }
}

/// The rows to paste: for each letter, or all together, what is likeliest.
fn rows(
    word: &str,
    letters: &[UnknownLetter],
    picker: Option<char>,
    place: &Place,
    guesses: &[Guess],
) -> String {
    let mut done: Vec<char> = Vec::new();
    let mut out: Vec<String> = Vec::new();
    for guess in guesses {
        if guess.letters.iter().any(|letter| done.contains(letter)) {
            continue;
        }
        done.extend(&guess.letters);
        let list: Vec<String> = guess
            .letters
            .iter()
            .map(|letter| format!("\"{letter}\""))
            .collect();
        let mut row = format!(
            "[[word]]\nword = \"{word}\"\nletters = [{}]\nsetting = \"{}\"\n",
            list.join(", "),
            guess.setting.id()
        );
        let parts = picker.and_then(|picker| {
            Some((
                picker,
                letters
                    .iter()
                    .find(|letter| letter.letter == picker)?
                    .numbers
                    .clone(),
            ))
        });
        row += &match (guess.setting.whose(), parts) {
            (Whose::Axis, _) => "about = \"letter\"\n".to_owned(),
            (whose @ (Whose::Zone | Whose::Preset), Some((picker, numbers))) => {
                let last = numbers.iter().fold(0.0_f64, |most, number| most.max(*number));
                let parts = (0..=9_u8)
                    .take_while(|at| f64::from(*at) <= last)
                    .map(|at| match whose {
                        Whose::Preset => format!("\"preset {at}\""),
                        _ => format!(
                            "\"{}\"",
                            ["hot end", "bed", "chamber"].get(usize::from(at)).unwrap_or(&"?")
                        ),
                    });
                format!(
                    "picked_by = \"{picker}\"\npicks = [{}]\n",
                    parts.collect::<Vec<_>>().join(", ")
                )
            }
            (Whose::Zone, None) => format!("about = \"{}\"\n", zone_said(&place.all)),
            (Whose::Preset, None) => "about = \"preset 0\"\n".to_owned(),
            (Whose::Bed, _) => "about = \"bed\"\n".to_owned(),
            (Whose::Machine | Whose::Device, _) => "about = \"machine\"\n".to_owned(),
        };
        if !guess.unit.is_empty() {
            row += &format!("unit = \"{}\"\n", guess.unit);
        }
        if guess.setting == Topic::MotorCurrent {
            row += "current_definition = \"rms\" # or \"peak\"\n";
        }
        if guess.setting.is_control_term() {
            row += "# full = 100 # what full power counts as in this number\n";
        }
        out.push(row);
    }
    out.join("\n")
}
