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

pub(crate) fn did_you_mean<'a>(
    written: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<String> {
    let candidates: Vec<&str> = candidates.into_iter().collect();
    if let Some(same) = candidates
        .iter()
        .find(|other| writing::look_alike(written, other))
    {
        let letters = writing::foreign(&format!("{written}{same}"));
        return Some(format!(
            "it looks like `{same}`, but one of the two has {letters}: type it anew"
        ));
    }
    catalogue::nearest(written, candidates).map(|candidate| format!("did you mean `{candidate}`?"))
}

/// At most so many characters of a text: a message must stay readable whatever a file holds.
pub(crate) fn cut(text: &str, most: usize) -> String {
    match text.char_indices().nth(most) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// "`a`", "`a` or `b`", "one of `a`, `b` or `c`".
pub(crate) fn one_of<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let words: Vec<&str> = words.into_iter().collect();
    let all = listed(words.iter().copied());
    if words.len() > 2 {
        format!("one of {all}")
    } else {
        all
    }
}

/// "a port", "an axis".
pub(crate) fn with_article(word: &str) -> String {
    let article = if word.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    };
    format!("{article} {word}")
}

/// "`a`, `b` or `c`", for messages that list what would be allowed; long lists are cut.
pub(crate) fn listed<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let words: Vec<String> = words
        .into_iter()
        .map(|word| format!("`{}`", cut(word, 40)))
        .collect();
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
