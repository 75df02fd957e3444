//! The words of the invented controllers: numbers, letters, and what full power counts as.
//!
//! Words with numbers below 5000 are shared ones and stay. Each other word gets a number from 5000 to 9999, and its letters, unless they
//! are axes, others of the alphabet; a word that stands in several rows goes on standing in them. What full power counts as is one number
//! for the terms of controls and fans, the same for all controllers, so that an example does not hang on its conversion, and another
//! one for the drives in reports of each.

use std::collections::BTreeMap;

use toml_edit::{Array, DocumentMut, Item, Table, Value, value};

use super::boards::set;
use super::draw::Random;

/// The words files that are drawn, each with its seed.
pub const SEEDS: &[(&str, u64)] = &[
    ("examples/demo/words/tarn.toml", 7_401),
    ("examples/demo/words/moor.toml", 7_402),
    ("examples/second/words/fen.toml", 7_403),
    ("examples/third/words/mere.toml", 7_404),
];

/// The seed of what full power counts as in terms and speeds.
const FULL: u64 = 7_400;

/// Letters that no grammar, axis or line number takes.
const LETTERS: &str = "ABCDFHIJKLPQRSUVW";

/// The text of a words file with its own words drawn anew; comments and order stay.
pub fn drawn(text: &str, seed: u64) -> Result<String, String> {
    let mut words: DocumentMut = text.parse().map_err(|error| format!("{error}"))?;
    let mut random = Random::of(seed);
    let numbers = random.shuffled((5_000..10_000).collect::<Vec<u32>>());
    let of_drives = i64::try_from(random.between(140, 900)).unwrap_or(500);
    let of_terms = i64::try_from(Random::of(FULL).between(300, 900)).unwrap_or(500);
    let rows = words
        .get_mut("word")
        .and_then(Item::as_array_of_tables_mut)
        .ok_or("no words")?;
    let mut own: BTreeMap<String, Own> = BTreeMap::new();
    for row in rows.iter_mut() {
        let full = if row.contains_key("label") {
            of_drives
        } else {
            of_terms
        };
        if row.contains_key("full") {
            row["full"] = value(full);
        }
        let Some(word) = row.get("word").and_then(Item::as_str).map(str::to_owned) else {
            continue;
        };
        let number: u32 = word.get(1..).and_then(|number| number.parse().ok()).unwrap_or(0);
        if number < 5_000 {
            continue;
        }
        let next = own.len();
        let letters = LETTERS.chars().collect();
        let own = own.entry(word).or_insert_with(|| Own {
            name: format!("M{}", numbers[next]),
            letters: random.shuffled(letters),
            given: BTreeMap::new(),
        });
        set(row, "word", own.name.clone());
        letters_of(row, own);
    }
    Ok(words.to_string())
}

/// A word of a controller's own.
struct Own {
    name: String,
    letters: Vec<char>,
    given: BTreeMap<String, String>,
}

impl Own {
    fn letter(&mut self, old: &str) -> String {
        let next = self.letters[self.given.len() % self.letters.len()].to_string();
        self.given.entry(old.to_owned()).or_insert(next).clone()
    }
}

fn letters_of(row: &mut Table, own: &mut Own) {
    if row.get("about").and_then(Item::as_str) == Some("letter") {
        return;
    }
    if let Some(by) = row.get("picked_by").and_then(Item::as_str).map(str::to_owned) {
        let by = own.letter(&by);
        set(row, "picked_by", by);
    }
    let old: Vec<String> = row
        .get("letters")
        .and_then(Item::as_array)
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .map(str::to_owned)
        .collect();
    let new: Array = old.iter().map(|letter| own.letter(letter)).collect();
    row["letters"] = value(new);
}

#[cfg(test)]
mod tests {
    use super::*;

    const WORDS: &str = "# Words.\n[[word]]\nword = \"M92\"\nletters = [\"X\"]\n[[word]]\nword = \"M5001\"\nletters = [\"A\"]\npicked_by = \"B\"\n\
                         [[word]]\nword = \"M5001\"\nletters = [\"C\"]\npicked_by = \"B\"\nfull = 2\n\
                         [[word]]\nword = \"M5002\"\nletters = [\"X\", \"E\"]\nabout = \"letter\"\n";

    fn of(text: &str, key: &str) -> Vec<String> {
        let lines = text
            .lines()
            .filter_map(|line| line.strip_prefix(key)?.strip_prefix(" = "));
        lines.map(str::to_owned).collect()
    }

    #[test]
    fn shared_words_and_axes_stay_and_one_word_stays_one() {
        let text = drawn(WORDS, 9).expect("words");
        let (words, letters, pickers) = (of(&text, "word"), of(&text, "letters"), of(&text, "picked_by"));
        assert!(
            words[0] == "\"M92\"" && words[1] == words[2] && words[1] != words[3],
            "{words:?}"
        );
        assert!(
            letters[0] == "[\"X\"]" && letters[3] == "[\"X\", \"E\"]" && letters[1] != letters[2],
            "{letters:?}"
        );
        assert!(
            pickers[0] == pickers[1] && !letters[1].contains(&pickers[0]),
            "{pickers:?}"
        );
        assert!(text.starts_with("# Words."));
        assert_eq!(drawn(&text, 9), Ok(text.clone()));
    }
}
