//! `words/NAME.toml` as written: words of a controller beyond those that controllers commonly share.

use crate::read::record;
use crate::source::{Located, Name};
use crate::topic::Topic;
use crate::words::{CurrentDefinition, Lengths, Reports, Told};

record! {
    /// Words of a controller beyond those that controllers commonly share; a row here goes before a shared one.
    pub struct WordsFile("words file") {
        /// The rows.
        word: Vec<WordRow>,
    }
}

record! {
    /// A row: what a word or a label of a controller means.
    pub struct WordRow("word") {
        /// The word: a capital letter and a number, such as "M92".
        word: Option<Name>,
        /// In place of a word: what stands before the colon of a number in a report, such as "T".
        label: Option<Name>,
        /// The letters of the word that this row is about; each holds one value.
        letters: Vec<Name>,
        /// What the numbers behind the letters set.
        setting: Option<Located<Topic>>,
        /// Whose value it is: `letter` for the axis of that letter, else a part such as `hot end`, `bed`, `machine`.
        about: Option<Name>,
        /// The letter whose whole number picks the part, in place of `about`.
        picked_by: Option<Name>,
        /// The parts that it picks, from number 0.
        picks: Vec<Name>,
        /// The unit of the number; none for plain numbers.
        unit: Option<Name>,
        /// In place of `unit`, where controllers differ: the units between which a report has to decide.
        units: Vec<Name>,
        /// How a motor current is meant; where nothing is said, a report has to decide.
        current_definition: Option<Located<CurrentDefinition>>,
        /// Whether a running controller takes it; `running` where nothing is said.
        told: Option<Located<Told>>,
        /// What full power, or full speed of a fan, counts as in this number.
        full: Option<Located<u32>>,
        /// Decimals in which it is told; those of the controller's own report where nothing is said.
        digits: Option<Located<u32>>,
        /// Letters of the word that hold no setting of ours, and need not be told of.
        ignored: Vec<Name>,
        /// In place of a setting: what the word asks or does.
        action: Option<Name>,
        /// The unit of all lengths that follow this action.
        lengths: Option<Located<Lengths>>,
        /// What the number behind a label is.
        report: Option<Located<Reports>>,
        /// Where the row comes from, a key of the bibliography; your own statement where nothing is said.
        source: Option<Name>,
        /// What else to know.
        note: Option<Name>,
    }
}
