//! The strip drawn: once for each colour it was told, a cell for each light with what it showed.

use crate::report::{Cell, CellGroup, Cells};
use crate::simple::{Colour, LedTest, Light};

/// More cells than this make no picture.
const MOST_CELLS: u32 = 120;

impl LedTest {
    pub(super) fn picture(&self) -> Cells {
        let last = self.tried.iter().map(|light| light.place).max().unwrap_or(0);
        let lights = self.ask.lights.unwrap_or(last);
        // A long strip has its neighbours in one cell: what is wrong among them shows.
        let each = lights.div_ceil(MOST_CELLS).max(1);
        let told = Colour::ALL
            .into_iter()
            .filter(|told| self.tried.iter().any(|light| light.told == *told));
        let groups: Vec<CellGroup> = told.map(|told| self.group(told, lights, each)).collect();
        Cells {
            title: if each == 1 {
                "What each light showed".into()
            } else {
                format!("What the lights showed, {each} to a cell, a wrong one first")
            },
            key: self.key(&groups),
            groups,
        }
    }

    /// The strip when it was told one colour.
    fn group(&self, told: Colour, lights: u32, each: u32) -> CellGroup {
        let own: Vec<&Light> = self.tried.iter().filter(|light| light.told == told).collect();
        let mut shown: Vec<Option<&Light>> = vec![None; lights.div_ceil(each) as usize];
        for light in &own {
            let cell = &mut shown[((light.place - 1) / each) as usize];
            if cell.is_none_or(|known| known.shown == told) {
                *cell = Some(light);
            }
        }
        let cell = |light: &Light| light.shown.cell(Some(light.shown == told));
        CellGroup {
            name: told_in_words(told, &own),
            cells: shown
                .iter()
                .map(|light| light.map_or_else(Cell::default, cell))
                .collect(),
            counted: true,
            each,
        }
    }

    /// What the cells mean that are there.
    fn key(&self, groups: &[CellGroup]) -> Vec<(Cell, String)> {
        let shown = |colour: &Colour| self.tried.iter().any(|light| light.shown == *colour);
        let meaning = |colour: Colour| match colour {
            Colour::Other => "another colour, a flicker".to_owned(),
            Colour::Off => "dark".to_owned(),
            colour => colour.word().to_owned(),
        };
        let seen = Colour::ALL.into_iter().filter(shown);
        let mut key: Vec<(Cell, String)> = seen
            .map(|colour| (colour.cell(Some(true)), meaning(colour)))
            .collect();
        let sample = |right: Option<bool>| Cell {
            right,
            ..Cell::default()
        };
        if !self.wrong.is_empty() {
            key.push((sample(Some(false)), "not what it was told".into()));
        }
        let mut cells = groups.iter().flat_map(|group| &group.cells);
        if cells.any(|cell| cell.right.is_none()) {
            key.push((sample(None), "not tried".into()));
        }
        key
    }
}

impl Colour {
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
}

/// What the lights did with one colour: "told white: 3 of 8 wrong, the first is number 6".
fn told_in_words(told: Colour, own: &[&Light]) -> String {
    let wrong = own.iter().filter(|light| light.shown != told);
    let wrong: Vec<u32> = wrong.map(|light| light.place).collect();
    let (word, all) = (told.word(), own.len());
    match wrong.iter().min() {
        None if all == 1 => format!("told {word}: right"),
        None => format!("told {word}: all {all} right"),
        Some(first) if wrong.len() == 1 => format!("told {word}: 1 of {all} wrong, number {first}"),
        Some(first) => format!(
            "told {word}: {} of {all} wrong, the first is number {first}",
            wrong.len()
        ),
    }
}
