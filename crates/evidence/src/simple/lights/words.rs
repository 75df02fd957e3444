//! Light strips told.

mod picture;

use quantity::Value;
use quantity::si::ratio;

use super::{Cause, Colour, FarEnd, LedTest, Light};
use crate::Refused;
use crate::report::{Advice, Figure, Picture, Report, Table, Trouble, Verdict};

pub(super) fn none_shines() -> Refused {
    Refused::new(
        "no light was told to shine",
        "tell each light red, green, blue and white in turn, and note what it shows",
    )
}

pub(super) fn beyond_the_strip(light: &Light, lights: u32) -> Refused {
    Refused::new(
        format!(
            "line {}: the strip has {lights} lights, not {}",
            light.line, light.place
        ),
        "count the lights, and write their number into the machine's file as `lights`",
    )
}

impl LedTest {
    /// As a report.
    #[must_use]
    pub fn report(&self) -> Report {
        Report {
            title: "Lights".into(),
            verdict: self.verdict(),
            sentence: self.sentence(),
            figures: self.figures(),
            advice: self.advice(),
            tables: self.table().into_iter().collect(),
            pictures: vec![Picture::Cells(self.picture())],
            troubles: self.troubles(),
            sources: vec!["addressable-light-sheet", "common-practice"],
        }
    }

    fn sentence(&self) -> String {
        let lights = self.lights;
        match self.cause {
            None => self.sentence_without_cause(),
            Some(Cause::Dark) => format!("None of the {lights} lights shows anything."),
            Some(Cause::From(place)) => format!(
                "Lights are right up to number {}, and wrong from number {place} on.",
                place - 1
            ),
            Some(Cause::Exchanged(a, b)) => format!(
                "{} and {} are interchanged on every light.",
                capital(a.word()),
                b.word()
            ),
            Some(Cause::Turned) => {
                "Red, green and blue stand for one another, alike on every light.".to_owned()
            }
            Some(Cause::Alone(place)) => {
                format!("Light {place} alone is wrong; those behind it are right.")
            }
            Some(Cause::WhiteFades(place)) => {
                format!("Single colours are right, but white is wrong from light {place} on.")
            }
        }
    }

    fn sentence_without_cause(&self) -> String {
        let lights = self.lights;
        match (self.verdict(), lights) {
            (Verdict::Open, _) => format!(
                "All {lights} lights that were tried showed what they were told; {} of the strip were not tried.",
                self.untried.len()
            ),
            (Verdict::Fail, _) => format!(
                "{} of {lights} lights showed something else, without a pattern.",
                self.wrong.len()
            ),
            (_, 1) => "The one light showed what it was told.".to_owned(),
            _ => format!("All {lights} lights showed what they were told."),
        }
    }

    fn figures(&self) -> Vec<Figure> {
        let count =
            |id, what: &str, count: usize| Figure::plain(id, what, Value::exact(ratio(count as f64))).bare();
        let mut figures = vec![
            count("lights", "lights tried", self.lights),
            count("wrong", "lights that showed something else", self.wrong.len()),
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
        figures
    }

    fn advice(&self) -> Vec<Advice> {
        let helps = |sentence: &str| Advice::helps(sentence);
        match self.cause {
            Some(Cause::Dark) => vec![helps(
                "Measure the supply at the strip, then look for the arrow of the data line: it enters at one end only. Power off before anything is plugged over.",
            )],
            Some(Cause::From(place)) => vec![
                Advice::helps(format!(
                    "Look at the joint before light {place}, and at that light itself: data go from light to light, and stop at the first that fails."
                )),
                Advice::in_vain(
                    "Changing the level of the data at the board: the lights before that place understand it.",
                ),
            ],
            Some(Cause::Alone(place)) => vec![
                Advice::helps(format!(
                    "Replace light {place}, or cut it out: it passes the data on and does not shine as told."
                )),
                Advice::in_vain(
                    "Looking at level and ground of the data: the lights behind it understand them.",
                ),
            ],
            Some(Cause::Exchanged(..) | Cause::Turned) => vec![
                helps("Set another order of the colours for this strip."),
                Advice::in_vain("Re-pinning: the order is in the data, not in the wires."),
            ],
            Some(Cause::WhiteFades(_)) => vec![feed(self.ask.far_end)],
            None => match self.verdict() {
                Verdict::Fail => vec![helps(
                    "Look at the level of the data and at the common ground: errors here and there are data that arrive badly.",
                )],
                Verdict::Open => vec![helps(
                    "Tell every light each colour: a strip sags and breaks at its far end first.",
                )],
                _ => Vec::new(),
            },
        }
    }

    fn table(&self) -> Option<Table> {
        let rows: Vec<Vec<String>> = self.runs().map(|run| self.row(run)).collect();
        (!rows.is_empty()).then(|| {
            Table::of(
                "Lights that showed something else",
                &["light", "told", "shown"],
                rows,
            )
        })
    }

    /// Neighbours with the same fault: places, what was told, what was shown.
    fn row(&self, run: &[u32]) -> Vec<String> {
        let words = |all: Vec<Colour>| {
            let words: Vec<&str> = all.iter().map(|colour| colour.word()).collect();
            let same = all.windows(2).all(|pair| pair[0] == pair[1]);
            if same {
                words[0].to_owned()
            } else {
                words.join(", ")
            }
        };
        let (told, shown) = self.faults(run[0]).into_iter().unzip();
        let places = match run {
            [only] => only.to_string(),
            [first, .., last] => format!("{first} to {last}"),
            [] => String::new(),
        };
        vec![places, words(told), words(shown)]
    }

    fn troubles(&self) -> Vec<Trouble> {
        let never: Vec<&str> = self.never_told().into_iter().map(Colour::word).collect();
        if never.is_empty() {
            return Vec::new();
        }
        vec![Trouble::of_all(format!(
            "never told: {}; an exchange of colours or a sagging supply may stay hidden",
            never.join(", ")
        ))]
    }
}

/// What to do about white that fades, by what the plan finds at the far end.
fn feed(far_end: Option<FarEnd>) -> Advice {
    let Some(end) = far_end else {
        return Advice::helps(
            "Feed the strip at its far end too, or dim it: the voltage along it falls too far when all three colours shine.",
        );
    };
    let (has, needs) = (Value::exact(end.has), Value::exact(end.needs));
    Advice::helps(if end.has >= end.needs {
        format!(
            "Measure the voltage at the last light while all is white: the plan finds {has} there at the worst, enough for the {needs} that it needs. What is lost beyond that is lost in a joint or a plug."
        )
    } else {
        format!(
            "Feed the strip at its far end too, or dim it: the plan finds as little as {has} at the last light at full white, and {needs} are needed."
        )
    })
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
