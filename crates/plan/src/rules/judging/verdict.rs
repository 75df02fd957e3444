//! How bad a finding is, and what is at stake.

use serde::Serialize;

/// How bad a finding is; ordered from harmless to worst.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Holds at the worst corner of the tolerances.
    Pass,
    /// Worth knowing; nothing to do, or nothing that can hurt.
    Note,
    /// Can be lived with or mended; has to be looked at.
    Caution,
    /// Must not be built like this.
    Blocker,
}

impl Verdict {
    /// All verdicts, the worst first, as pages list them.
    pub const WORST_FIRST: [Verdict; 4] = [Verdict::Blocker, Verdict::Caution, Verdict::Note, Verdict::Pass];

    /// The word on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Pass => "pass",
            Verdict::Note => "note",
            Verdict::Caution => "action required",
            Verdict::Blocker => "blocker",
        }
    }
}

/// What can come to harm where a check is not heeded; ordered from the least to the worst.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stake {
    /// The machine does not do what it should.
    #[default]
    Function,
    /// Electronics or mechanics break.
    Hardware,
    /// People are hurt, or something burns.
    Safety,
}

impl Stake {
    /// The words on pages.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Stake::Function => "function",
            Stake::Hardware => "parts",
            Stake::Safety => "people and fire",
        }
    }
}

/// So many of each stake; compared worst harm first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct ByHarm {
    /// Where people can be hurt, or something burns.
    pub safety: i64,
    /// Where electronics or mechanics break.
    pub hardware: i64,
    /// Where the machine does not do what it should.
    pub function: i64,
}

impl ByHarm {
    /// None at all.
    pub const NONE: ByHarm = ByHarm {
        safety: 0,
        hardware: 0,
        function: 0,
    };
    /// One more of a stake.
    pub fn add(&mut self, stake: Stake) {
        match stake {
            Stake::Safety => self.safety += 1,
            Stake::Hardware => self.hardware += 1,
            Stake::Function => self.function += 1,
        }
    }
    /// How many there are together.
    #[must_use]
    pub fn sum(self) -> i64 {
        self.safety + self.hardware + self.function
    }
}

impl FromIterator<Stake> for ByHarm {
    fn from_iter<T: IntoIterator<Item = Stake>>(stakes: T) -> Self {
        let mut count = Self::NONE;
        stakes.into_iter().for_each(|stake| count.add(stake));
        count
    }
}
