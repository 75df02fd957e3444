//! Light strips: what each light was told and what it showed.

mod words;

use quantity::si::ElectricPotential;

use crate::{Refused, Verdict};

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
    /// The colour of a word; nothing for a word that is none.
    #[must_use]
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
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
pub struct LedTest {
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
    /// All three colours stand for one another on every light, alike.
    Turned,
    /// This light alone is wrong, those behind it are right: it passes the data on.
    Alone(u32),
    /// White is not white towards the end of the strip, single colours are right: the supply of the strip sags.
    WhiteFades(u32),
}

/// Looks at a strip.
///
/// # Errors
/// [`Refused`] for no light, where only darkness was asked for, or for a place that the strip does not have.
pub fn light_test(tried: &[Light], ask: LightAsk) -> Result<LedTest, Refused> {
    if tried.iter().all(|l| l.told == Colour::Off) {
        return Err(words::none_shines());
    }
    if let Some(lights) = ask.lights
        && let Some(beyond) = tried.iter().find(|l| l.place > lights)
    {
        return Err(words::beyond_the_strip(beyond, lights));
    }
    let mut places: Vec<u32> = tried.iter().map(|l| l.place).collect();
    places.sort_unstable();
    places.dedup();
    let is_wrong = |l: &&Light| l.told != l.shown;
    let mut wrong: Vec<u32> = tried.iter().filter(is_wrong).map(|l| l.place).collect();
    wrong.sort_unstable();
    wrong.dedup();
    Ok(LedTest {
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
    if let Some((a, b)) = exchanged(tried) {
        return Some(Cause::Exchanged(a, b));
    }
    if is_turned(tried) {
        return Some(Cause::Turned);
    }
    if let [only] = wrong
        && places.last() != Some(only)
        && places.len() > 2
        && tried
            .iter()
            .filter(|l| l.place == *only && l.told != Colour::Off)
            .all(|l| l.shown != l.told)
    {
        return Some(Cause::Alone(*only));
    }
    let mut wrong_ones = tried.iter().filter(|l| l.told != l.shown);
    let only_white = wrong_ones.all(|l| l.told == Colour::White);
    let single = tried
        .iter()
        .any(|l| l.told == l.shown && SINGLE.contains(&l.told) && l.place >= first);
    let to_the_end = places.iter().filter(|p| **p >= first).all(|p| wrong.contains(p));
    if !to_the_end {
        return None;
    }
    if only_white && single {
        Some(Cause::WhiteFades(first))
    } else {
        (places.first() != Some(&first)).then_some(Cause::From(first))
    }
}

/// The colours of one shine alone.
const SINGLE: [Colour; 3] = [Colour::Red, Colour::Green, Colour::Blue];

/// Two colours that every light takes for each other.
fn exchanged(tried: &[Light]) -> Option<(Colour, Colour)> {
    let pairs = [(0, 1), (0, 2), (1, 2)].map(|(a, b)| (SINGLE[a], SINGLE[b]));
    pairs.into_iter().find(|(a, b)| {
        let swap = |c: Colour| match c {
            c if c == *a => *b,
            c if c == *b => *a,
            c => c,
        };
        let told = tried.iter().any(|l| l.told == *a || l.told == *b);
        told && tried.iter().all(|l| l.shown == swap(l.told))
    })
}

/// Whether every light takes red, green and blue for one another in a ring.
fn is_turned(tried: &[Light]) -> bool {
    [1, 2].into_iter().any(|by| {
        let turned = |own: Colour| {
            let at = SINGLE.iter().position(|one| *one == own);
            at.map_or(own, |at| SINGLE[(at + by) % 3])
        };
        let told = SINGLE.iter().all(|own| tried.iter().any(|l| l.told == *own));
        told && tried.iter().all(|l| l.shown == turned(l.told))
    })
}

impl LedTest {
    /// Whether every light showed what it was told.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        match (self.wrong.is_empty(), self.untried.is_empty()) {
            (false, _) => Verdict::Fail,
            (true, false) => Verdict::Open,
            (true, true) => Verdict::Pass,
        }
    }

    /// Wrong lights, neighbours with the same fault in one run.
    fn runs(&self) -> impl Iterator<Item = &[u32]> {
        let alike = |one: &u32, next: &u32| *next == one + 1 && self.faults(*one) == self.faults(*next);
        self.wrong.chunk_by(alike)
    }

    /// What a light was told and what it showed instead.
    fn faults(&self, place: u32) -> Vec<(Colour, Colour)> {
        let own = self
            .tried
            .iter()
            .filter(|l| l.place == place && l.told != l.shown);
        own.map(|l| (l.told, l.shown)).collect()
    }

    /// Colours that no light was told.
    fn never_told(&self) -> Vec<Colour> {
        let all = [Colour::Red, Colour::Green, Colour::Blue, Colour::White];
        all.into_iter()
            .filter(|colour| self.tried.iter().all(|l| l.told != *colour))
            .collect()
    }
}
