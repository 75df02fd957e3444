//! One structured diagnostic; renderings are made elsewhere.

use crate::source::Place;

/// One fault of a file of the user.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// A stable identifier in kebab case, such as `unknown-key`.
    pub code: &'static str,
    /// A headline that stands alone, without full stop.
    pub headline: String,
    /// Where the fault is.
    pub place: Place,
    /// What is wrong at that place, a few words.
    pub label: String,
    /// What was expected there.
    pub expected: Option<String>,
    /// How to mend it.
    pub help: Option<String>,
    /// Other places that matter, each with a few words.
    pub others: Vec<(Place, String)>,
}

impl Diagnostic {
    pub(crate) fn new(
        code: &'static str,
        place: Place,
        headline: impl Into<String>,
        label: impl Into<String>,
    ) -> Self {
        Self {
            code,
            headline: headline.into(),
            place,
            label: label.into(),
            expected: None,
            help: None,
            others: Vec::new(),
        }
    }
    pub(crate) fn expected(mut self, expected: impl Into<String>) -> Self {
        self.expected = Some(expected.into());
        self
    }
    pub(crate) fn help(mut self, help: impl Into<Option<String>>) -> Self {
        self.help = help.into();
        self
    }
    pub(crate) fn other(mut self, place: Place, label: impl Into<String>) -> Self {
        self.others.push((place, label.into()));
        self
    }
}

/// The candidate that `written` was probably meant to be: at most three edits away, and fewer than half its length.
#[must_use]
pub fn nearest<'a>(written: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let lower = written.to_lowercase();
    let limit = 3.min(written.chars().count().div_ceil(2));
    candidates
        .into_iter()
        .map(|candidate| (edits(&lower, &candidate.to_lowercase()), candidate))
        .filter(|(distance, _)| *distance <= limit)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

pub(crate) fn did_you_mean<'a>(
    written: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<String> {
    nearest(written, candidates).map(|candidate| format!("did you mean `{candidate}`?"))
}

/// Levenshtein distance; neighbours exchanged count as one edit.
fn edits(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().take(60).collect(), b.chars().take(60).collect());
    let mut before_last: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let mut best = (last[j] + 1)
                .min(row[j - 1] + 1)
                .min(last[j - 1] + usize::from(a[i - 1] != b[j - 1]));
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(before_last[j - 2] + 1);
            }
            row.push(best);
        }
        before_last = core::mem::replace(&mut last, row);
    }
    last[b.len()]
}

/// "`a`, `b` and `c`", for messages that list what would be allowed; long lists are cut.
pub(crate) fn listed<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let words: Vec<String> = words.into_iter().map(|word| format!("`{word}`")).collect();
    match words.len() {
        0 => "nothing".to_owned(),
        1 => words[0].clone(),
        2..=14 => format!(
            "{} or {}",
            words[..words.len() - 1].join(", "),
            words[words.len() - 1]
        ),
        more => format!("{} or one of {} others", words[..10].join(", "), more - 10),
    }
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn near_misses_are_proposed_and_wild_guesses_are_not() {
        let words = ["switched output", "heater output", "motor output"];
        assert_eq!(nearest("swiched output", words), Some("switched output"));
        assert_eq!(nearest("haeter output", words), Some("heater output"));
        assert_eq!(nearest("display", words), None);
        assert_eq!(nearest("x", ["y"]), Some("y"));
    }
}
