//! Names that look alike and are not the same.

use unicode_security::skeleton;

/// What names that look the same have in common: its letters brought to one form of each shape. A key for comparison, not for showing.
///
/// # Source
/// Unicode Technical Standard 39, section 4.
#[must_use]
pub fn shape(name: &str) -> String {
    skeleton(name).collect()
}

/// Whether two different names look the same to a reader: one of them has a letter of another alphabet, or an accent written otherwise.
/// Names of plain ASCII never do: `I1` and `l1` are for who names things.
#[must_use]
pub fn look_alike(one: &str, other: &str) -> bool {
    one != other && !(one.is_ascii() && other.is_ascii()) && shape(one) == shape(other)
}

/// The code points of a name that are not ASCII: "U+041D". Empty where all are.
#[must_use]
pub fn foreign(name: &str) -> String {
    let points = name.chars().filter(|c| !c.is_ascii());
    let points: Vec<String> = points.map(|c| format!("U+{:04X}", c as u32)).collect();
    points.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of the standard (section 4): Cyrillic `рахраl` with a Latin end beside Latin `paypal`; the others from its table of
    /// confusables, from memory.
    #[test]
    fn letters_of_another_alphabet_are_told() {
        assert!(look_alike("\u{440}\u{430}\u{443}\u{440}\u{430}l", "paypal"));
        assert!(look_alike("\u{41d}1", "H1"));
        assert!(look_alike("\u{395}", "E"));
        // One é is a letter, the other an e with an accent after it.
        assert!(look_alike("caf\u{e9}", "cafe\u{301}"));
    }

    #[test]
    fn what_differs_to_the_eye_or_is_the_same_is_not() {
        assert!(!look_alike("H1", "H1"));
        assert!(!look_alike("H1", "H2"));
        assert!(!look_alike("I1", "l1"));
        assert!(!look_alike("Lüfter", "Luefter"));
        assert!(!look_alike("\u{41d}1", "\u{41d}1"));
    }
}
