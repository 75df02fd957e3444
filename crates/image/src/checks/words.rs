//! Whether the texts of the image name the words that this swap sends: what is not built in is not named either.

use std::collections::BTreeSet;

use crate::case::Case;
use crate::report::Ask;
use crate::texts::named_words;
use crate::verdict::{Amount, Check, count, list};

const ID: &str = "words";
/// A word that the controller must know.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// The word, such as `M92`.
    pub word: String,
    /// What it is for.
    pub what: String,
}

pub(super) fn check(case: &Case<'_>, ask: &Ask<'_>) -> Option<Check> {
    if ask.wanted.is_empty() {
        return None;
    }
    let named = named_words(&case.content);
    let missing: Vec<&Wanted> = ask
        .wanted
        .iter()
        .filter(|wanted| !named.contains_key(&wanted.word))
        .collect();
    let all: BTreeSet<&str> = ask.wanted.iter().map(|wanted| wanted.word.as_str()).collect();
    let found = all.iter().filter(|word| named.contains_key(**word)).count();
    let check = if missing.is_empty() {
        let words = count(
            all.len() as u64,
            "word that this swap sends is",
            "words that this swap sends are",
        );
        Check::pass(ID, format!("All {words} named in its texts."))
    } else if found > 0 {
        let words: Vec<String> = missing
            .iter()
            .map(|wanted| format!("{} ({})", wanted.word, wanted.what))
            .collect();
        Check::open(
            ID,
            format!(
                "{found} of the {} words that this swap sends are named in its texts. Not named: {}.",
                all.len(),
                list(&words, 3)
            ),
            "whether those features are built in",
            "Compare the build sheet. After loading, ask for the settings and check these words.",
        )
    } else {
        Check::open(
            ID,
            format!(
                "Its texts name none of the {} words that this swap sends.",
                all.len()
            ),
            "which features are built in",
            "After loading, ask for the settings and compare them with the build sheet.",
        )
    };
    Some(
        check
            .value(Amount::Count(found as u64))
            .limit(Amount::Count(all.len() as u64)),
    )
}
