//! Light strips: what each light was told and what it showed.

use quantity::Value;
use quantity::si::{ElectricPotential, ratio};

use crate::Refused;
use crate::report::{Advice, Cell, CellGroup, Cells, Figure, Picture, Report, Table, Trouble, Verdict};

/// What a light shows, by eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Colour {
    /// Red.
    Red,
    /// Green.
    Green,
    /// Blue.
    Blue,
    /// White: all three.
    White,
    /// Dark.
    Off,
    /// Anything else, a flicker too.
    Other,
}

impl Colour {
    /// All of them, in the order of pages and pictures.
    pub const ALL: [Self; 6] = [
        Colour::Red,
        Colour::Green,
        Colour::Blue,
        Colour::White,
        Colour::Off,
        Colour::Other,
    ];

    /// The word on pages and in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Colour::Red => "red",
            Colour::Green => "green",
            Colour::Blue => "blue",
            Colour::White => "white",
            Colour::Off => "off",
            Colour::Other => "other",
        }
    }
    /// Its letters by IEC 60757, or the sign of what is no colour.
    fn letters(self) -> &'static str {
        match self {
            Colour::Red => "RD",
            Colour::Green => "GN",
            Colour::Blue => "BU",
            Colour::White => "WH",
            Colour::Off => "–",
            Colour::Other => "?",
        }
    }
    fn cell(self, right: Option<bool>) -> Cell {
        Cell {
            text: self.letters().to_owned(),
            colour: (!matches!(self, Colour::Off | Colour::Other)).then(|| self.letters()),
            right,
        }
    }
    /// The colour of a word; nothing for a word that is none.
    #[must_use]
    pub fn of_word(word: &str) -> Option<Self> {
        let all = [
            Self::Red,
            Self::Green,
            Self::Blue,
            Self::White,
            Self::Off,
            Self::Other,
        ];
        all.into_iter()
            .find(|colour| colour.word().eq_ignore_ascii_case(word.trim()))
    }
}

/// One light told one colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Light {
    /// Its place on the strip, from 1.
    pub place: u32,
    /// What it was told.
    pub told: Colour,
    /// What it showed.
    pub shown: Colour,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What is known about the strip beside the test.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LightAsk {
    /// How many lights it has.
    pub lights: Option<u32>,
    /// What its last light has at full white.
    pub far_end: Option<FarEnd>,
}

/// The voltage at the last light at full white, at the worst corner, and the one from which it has its full colours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FarEnd {
    /// What it has.
    pub has: ElectricPotential,
    /// What it needs.
    pub needs: ElectricPotential,
}

/// What the strip shows.
#[derive(Clone, Debug, PartialEq)]
pub struct LightTest {
    /// Lights that were tried.
    pub lights: usize,
    /// Places that showed something else, rising.
    pub wrong: Vec<u32>,
    /// What the wrong ones have in common.
    pub cause: Option<Cause>,
    /// Places of the strip that were not tried, rising; none where its lights were not counted.
    pub untried: Vec<u32>,
    ask: LightAsk,
    tried: Vec<Light>,
}

/// What wrong lights have in common.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// No light shows anything.
    Dark,
    /// All are right up to this place, and wrong or dark from there on.
    From(u32),
    /// Two colours are exchanged on every light.
    Exchanged(Colour, Colour),
    /// White is not white towards the end of the strip, single colours are right: the supply of the strip sags.
    WhiteFades(u32),
}

/// Looks at a strip.
///
/// # Errors
/// [`Refused`] for no light, where only darkness was asked for, or for a place that the strip does not have.
pub fn light_test(tried: &[Light], ask: LightAsk) -> Result<LightTest, Refused> {
    if tried.iter().all(|l| l.told == Colour::Off) {
        return Err(Refused::new(
            "no light was told to shine",
            "tell each light red, green, blue and white in turn, and note what it shows",
        ));
    }
    if let Some(lights) = ask.lights
        && let Some(beyond) = tried.iter().find(|l| l.place > lights)
    {
        return Err(Refused::new(
            format!(
                "line {}: the strip has {lights} lights, not {}",
                beyond.line, beyond.place
            ),
            "count the lights, and write their number into the machine's file as `lights`",
        ));
    }
    let mut places: Vec<u32> = tried.iter().map(|l| l.place).collect();
    places.sort_unstable();
    places.dedup();
    let is_wrong = |l: &&Light| l.told != l.shown;
    let mut wrong: Vec<u32> = tried.iter().filter(is_wrong).map(|l| l.place).collect();
    wrong.sort_unstable();
    wrong.dedup();
    Ok(LightTest {
        lights: places.len(),
        cause: cause(tried, &places, &wrong),
        untried: (1..=ask.lights.unwrap_or(0))
            .filter(|place| !places.contains(place))
            .collect(),
        wrong,
        ask,
        tried: tried.to_vec(),
    })
}

fn cause(tried: &[Light], places: &[u32], wrong: &[u32]) -> Option<Cause> {
    let first = *wrong.first()?;
    if tried.iter().all(|l| l.shown == Colour::Off) {
        return Some(Cause::Dark);
    }
    let colours = [Colour::Red, Colour::Green, Colour::Blue];
    let exchanged = |a: Colour, b: Colour| {
        let swap = |c: Colour| {
            if c == a {
                b
            } else if c == b {
                a
            } else {
                c
            }
        };
        let told = |c: Colour| tried.iter().any(|l| l.told == c);
        (told(a) || told(b)) && tried.iter().all(|l| l.shown == swap(l.told))
    };
    for (at, a) in colours.into_iter().enumerate() {
        for b in colours.into_iter().skip(at + 1) {
            if exchanged(a, b) {
                return Some(Cause::Exchanged(a, b));
            }
        }
    }
    let only_white = tried
        .iter()
        .filter(|l| l.told != l.shown)
        .all(|l| l.told == Colour::White);
    let single = tried
        .iter()
        .any(|l| l.told == l.shown && colours.contains(&l.told) && l.place >= first);
    let to_the_end = places.iter().filter(|p| **p >= first).all(|p| wrong.contains(p));
    match (to_the_end && places.first() != Some(&first), only_white && single) {
        (_, true) if to_the_end => Some(Cause::WhiteFades(first)),
        (true, _) => Some(Cause::From(first)),
        _ => None,
    }
}

impl LightTest {
    /// Wrong lights, neighbours with the same fault in one row: places, what was told, what was shown.
    fn rows(&self) -> Vec<Vec<String>> {
        let faults = |place: u32| -> Vec<(&str, &str)> {
            let own = self
                .tried
                .iter()
                .filter(|l| l.place == place && l.told != l.shown);
            own.map(|l| (l.told.word(), l.shown.word())).collect()
        };
        let alike = |one: &u32, next: &u32| *next == one + 1 && faults(*one) == faults(*next);
        let words = |all: Vec<&str>| {
            let same = all.windows(2).all(|pair| pair[0] == pair[1]);
            if same { all[0].to_owned() } else { all.join(", ") }
        };
        let runs = self.wrong.chunk_by(alike);
        runs.map(|run| {
            let (told, shown) = faults(run[0]).into_iter().unzip();
            let places = match run {
                [only] => only.to_string(),
                [first, .., last] => format!("{first} to {last}"),
                [] => String::new(),
            };
            vec![places, words(told), words(shown)]
        })
        .collect()
    }

    /// The strip, once for each colour it was told: a cell for each light with what it showed.
    fn picture(&self) -> Cells {
        let last = self.tried.iter().map(|light| light.place).max().unwrap_or(0);
        let lights = self.ask.lights.unwrap_or(last);
        // A long strip has its neighbours in one cell: what is wrong among them shows.
        let each = lights.div_ceil(MOST_CELLS).max(1);
        let mut groups = Vec::new();
        for told in Colour::ALL {
            let own: Vec<&Light> = self.tried.iter().filter(|light| light.told == told).collect();
            if own.is_empty() {
                continue;
            }
            let mut shown: Vec<Option<&Light>> = vec![None; lights.div_ceil(each) as usize];
            for light in &own {
                let cell = &mut shown[((light.place - 1) / each) as usize];
                if cell.is_none_or(|known| known.shown == told) {
                    *cell = Some(light);
                }
            }
            let none = Cell::default();
            let cells = shown.iter().map(|light| {
                light.map_or_else(
                    || none.clone(),
                    |light| light.shown.cell(Some(light.shown == told)),
                )
            });
            groups.push(CellGroup {
                name: told_in_words(told, &own),
                cells: cells.collect(),
                counted: true,
                each,
            });
        }
        let shown = |colour: Colour| self.tried.iter().any(|light| light.shown == colour);
        let meaning = |colour: Colour| match colour {
            Colour::Other => "another colour, a flicker".to_owned(),
            Colour::Off => "dark".to_owned(),
            colour => colour.word().to_owned(),
        };
        let mut key: Vec<(Cell, String)> = Colour::ALL
            .into_iter()
            .filter(|colour| shown(*colour))
            .map(|colour| (colour.cell(Some(true)), meaning(colour)))
            .collect();
        let sample = |right: Option<bool>| Cell {
            right,
            ..Cell::default()
        };
        if !self.wrong.is_empty() {
            key.push((sample(Some(false)), "not what it was told".into()));
        }
        if groups
            .iter()
            .any(|group| group.cells.iter().any(|cell| cell.right.is_none()))
        {
            key.push((sample(None), "not tried".into()));
        }
        Cells {
            title: if each == 1 {
                "What each light showed".into()
            } else {
                format!("What the lights showed, {each} to a cell, a wrong one first")
            },
            groups,
            key,
        }
    }

    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        let verdict = match (self.wrong.is_empty(), self.untried.is_empty()) {
            (false, _) => Verdict::Fails,
            (true, false) => Verdict::NotShown,
            (true, true) => Verdict::Holds,
        };
        let sentence = match self.cause {
            None if verdict == Verdict::NotShown => format!(
                "All {} lights that were tried showed what they were told; {} of the strip were not tried.",
                self.lights,
                self.untried.len()
            ),
            None if self.wrong.is_empty() => match self.lights {
                1 => "The one light showed what it was told.".to_owned(),
                lights => format!("All {lights} lights showed what they were told."),
            },
            None => format!(
                "{} of {} lights showed something else, without a pattern.",
                self.wrong.len(),
                self.lights
            ),
            Some(Cause::Dark) => format!("None of the {} lights shows anything.", self.lights),
            Some(Cause::From(place)) => format!(
                "Lights are right up to number {}, and wrong from number {place} on.",
                place - 1
            ),
            Some(Cause::Exchanged(a, b)) => format!(
                "{} and {} are exchanged on every light.",
                capital(a.word()),
                b.word()
            ),
            Some(Cause::WhiteFades(place)) => {
                format!("Single colours are right, but white is wrong from light {place} on.")
            }
        };
        let mut advice = Vec::new();
        match self.cause {
            Some(Cause::Dark) => {
                advice.push(Advice::helps("Measure the supply at the strip, then look for the arrow of the data line: it enters at one end only. Power off before anything is plugged over."));
            }
            Some(Cause::From(place)) => {
                advice.push(Advice::helps(format!("Look at the joint before light {place}, and at that light itself: data go from light to light, and stop at the first that fails.")));
                advice.push(Advice::in_vain("Changing the level of the data at the board: the lights before that place understand it."));
            }
            Some(Cause::Exchanged(..)) => {
                advice.push(Advice::helps("Set another order of the colours for this strip."));
                advice.push(Advice::in_vain(
                    "Re-pinning: the order is in the data, not in the wires.",
                ));
            }
            Some(Cause::WhiteFades(_)) => {
                advice.push(match self.ask.far_end {
                    Some(end) if end.has >= end.needs => Advice::helps(format!(
                        "Measure the voltage at the last light while all is white: the plan finds {} there at the worst, enough for the {} that it needs. What is lost beyond that is lost in a joint or a plug.",
                        Value::exact(end.has),
                        Value::exact(end.needs)
                    )),
                    Some(end) => Advice::helps(format!(
                        "Feed the strip at its far end too, or dim it: the plan finds as little as {} at the last light at full white, and {} are needed.",
                        Value::exact(end.has),
                        Value::exact(end.needs)
                    )),
                    None => Advice::helps("Feed the strip at its far end too, or dim it: the voltage along it falls too far when all three colours shine."),
                });
            }
            None if !self.wrong.is_empty() => {
                advice.push(Advice::helps("Look at the level of the data and at the common ground: errors here and there are data that arrive badly."));
            }
            None if verdict == Verdict::NotShown => {
                advice.push(Advice::helps(
                    "Tell every light each colour: a strip sags and breaks at its far end first.",
                ));
            }
            None => {}
        }
        let rows = self.rows();
        let tables = if self.wrong.is_empty() {
            Vec::new()
        } else {
            vec![Table::of(
                "Lights that showed something else",
                &["light", "told", "shown"],
                rows,
            )]
        };
        let mut figures = vec![
            Figure::plain("lights", "lights tried", Value::exact(ratio(self.lights as f64))).bare(),
            Figure::plain(
                "wrong",
                "lights that showed something else",
                Value::exact(ratio(self.wrong.len() as f64)),
            )
            .bare(),
        ];
        if let Some(end) = self.ask.far_end {
            figures.push(Figure::plain(
                "far-end",
                "voltage at the last light at full white, by the plan, at the worst",
                Value::exact(end.has),
            ));
            figures.push(Figure::plain(
                "far-end-needed",
                "from which it has its full colours",
                Value::exact(end.needs),
            ));
        }
        let told: Vec<Colour> = self.tried.iter().map(|l| l.told).collect();
        let untried: Vec<&str> = [Colour::Red, Colour::Green, Colour::Blue, Colour::White]
            .into_iter()
            .filter(|c| !told.contains(c))
            .map(Colour::word)
            .collect();
        let troubles = if untried.is_empty() {
            Vec::new()
        } else {
            vec![Trouble::of_all(format!(
                "never told: {}; an exchange of colours or a sagging supply may stay hidden",
                untried.join(", ")
            ))]
        };
        Report {
            title: "Lights".into(),
            verdict,
            sentence,
            figures,
            advice,
            tables,
            pictures: vec![Picture::Cells(self.picture())],
            troubles,
            sources: vec!["addressable-light-sheet", "common-practice"],
        }
    }
}

/// More cells than this make no picture.
const MOST_CELLS: u32 = 120;

/// What the lights did with one colour: "told white: 3 of 8 wrong, the first is number 6".
fn told_in_words(told: Colour, own: &[&Light]) -> String {
    let wrong: Vec<u32> = own
        .iter()
        .filter(|light| light.shown != told)
        .map(|light| light.place)
        .collect();
    let word = told.word();
    match wrong.iter().min() {
        None if own.len() == 1 => format!("told {word}: right"),
        None => format!("told {word}: all {} right", own.len()),
        Some(first) if wrong.len() == 1 => format!("told {word}: 1 of {} wrong, number {first}", own.len()),
        Some(first) => format!(
            "told {word}: {} of {} wrong, the first is number {first}",
            wrong.len(),
            own.len()
        ),
    }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
