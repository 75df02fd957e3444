//! The filament switch: whether its word agrees with what was there, time after time.

mod words;

use quantity::si::{Length, Ratio};
use statistics::{CONFIDENCE, Estimate, proportion_interval, trials_for};

use crate::{Refused, Verdict};

/// One look at the switch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Filament {
    /// Whether filament was there.
    pub there: bool,
    /// Whether the switch said so.
    pub reported: bool,
    /// How much filament had run on when the switch spoke, where it was measured.
    pub remaining_filament: Option<Length>,
    /// Its line in the file, from 1; 0 where there is none.
    pub line: u64,
}

/// What the looks say.
#[derive(Clone, Debug, PartialEq)]
pub struct FilamentTest {
    /// Share of looks at filament that the switch did not report: the printer would stop for nothing.
    pub false_alarms: Estimate,
    /// Share of looks without filament that the switch took for filament: the printer would print air.
    pub missed: Estimate,
    /// Whether the switch says the opposite every time.
    pub inverted: bool,
    /// What the switch says every time, with and without filament.
    pub stuck: Option<bool>,
    /// The longest run-on that was measured.
    pub longest: Option<Length>,
    allowed: Ratio,
    allowed_run_on: Option<Length>,
    looks: Vec<Filament>,
}

/// Looks at a test with and without filament. `allowed` is the largest share of wrong words of either kind; `allowed_run_on` the
/// filament between the switch and the place where printing must have stopped.
///
/// # Errors
/// [`Refused`] where one of the two states was never tried, or the allowed share is not between 0 and 1.
pub fn filament_test(
    looks: &[Filament],
    allowed: Ratio,
    allowed_run_on: Option<Length>,
) -> Result<FilamentTest, Refused> {
    let with: Vec<&Filament> = looks.iter().filter(|l| l.there).collect();
    let without: Vec<&Filament> = looks.iter().filter(|l| !l.there).collect();
    if with.is_empty() || without.is_empty() {
        return Err(words::one_state());
    }
    if !(allowed.value > 0.0 && allowed.value < 1.0) {
        return Err(words::no_share());
    }
    let wrong = |of: &[&Filament]| of.iter().filter(|l| l.reported != l.there).count() as u64;
    let share = |of: &[&Filament]| proportion_interval(wrong(of), of.len() as u64, CONFIDENCE);
    let longest = looks
        .iter()
        .filter_map(|l| l.remaining_filament)
        .fold(None, |most: Option<Length>, l| Some(most.map_or(l, |m| m.max(l))));
    Ok(FilamentTest {
        false_alarms: share(&with),
        missed: share(&without),
        inverted: looks.iter().all(|l| l.reported != l.there),
        stuck: [true, false]
            .into_iter()
            .find(|said| looks.iter().all(|l| l.reported == *said)),
        longest,
        allowed,
        allowed_run_on,
        looks: looks.to_vec(),
    })
}

impl FilamentTest {
    /// Whether the switch can be trusted.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let limit = self.allowed.value;
        let word = |e: Estimate| Verdict::at_most(e.low, e.high, limit);
        let remaining_filament = match (self.longest, self.allowed_run_on) {
            (Some(longest), Some(allowed)) if longest > allowed => Verdict::Fail,
            _ => Verdict::Pass,
        };
        word(self.false_alarms)
            .max(word(self.missed))
            .max(remaining_filament)
    }

    /// Looks at which the switch was wrong.
    fn wrong(&self) -> impl Iterator<Item = &Filament> {
        self.looks.iter().filter(|l| l.reported != l.there)
    }

    /// How many looks had filament there, or none, at which the switch said there was some, or none.
    fn count(&self, there: bool, reported: bool) -> usize {
        let looks = self.looks.iter();
        looks
            .filter(|l| l.there == there && l.reported == reported)
            .count()
    }

    /// How many more looks in each state would show the allowed share, if none is wrong.
    fn still_needed(&self) -> Option<u64> {
        let in_state = |there: bool| (self.count(there, true) + self.count(there, false)) as u64;
        let all = trials_for(self.allowed.value, 0, 0.5 + CONFIDENCE / 2.0)?;
        Some(all.saturating_sub(in_state(true).min(in_state(false))))
    }
}
