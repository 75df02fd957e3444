//! Near misses: the known name that a wrong one was probably meant to be.

/// The candidate nearest to `wanted`, or `None` where none is near: at most 3 edits, and fewer for short names.
///
/// An edit is a character inserted, removed, changed or exchanged with its neighbour. Capitals and
/// blanks count nothing. The bound grows with one edit a three characters, so that no wild guess is offered.
#[must_use]
pub fn nearest<'a>(wanted: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = plain(wanted);
    let bound = (wanted.len() / 3).min(3);
    candidates
        .into_iter()
        .map(|candidate| (edits(&wanted, &plain(candidate)), candidate))
        .filter(|(distance, _)| *distance <= bound)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// The characters that count: small letters, no blanks, one spelling of ohm and micro.
fn plain(name: &str) -> Vec<char> {
    name.to_lowercase()
        .replace("ohm", "ω")
        .replace('μ', "µ")
        .chars()
        .filter(|character| !character.is_whitespace())
        .collect()
}

/// Edit distance with exchange of neighbours (optimal string alignment), by rows.
fn edits(left: &[char], right: &[char]) -> usize {
    let mut before_last: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=right.len()).collect();
    for (row, &a) in left.iter().enumerate() {
        let mut current = vec![row + 1; right.len() + 1];
        for (column, &b) in right.iter().enumerate() {
            let mut best = (last[column] + usize::from(a != b))
                .min(last[column + 1] + 1)
                .min(current[column] + 1);
            let exchanged = row > 0 && column > 0 && left[row - 1] == b && right[column - 1] == a;
            if exchanged {
                best = best.min(before_last[column - 1] + 1);
            }
            current[column + 1] = best;
        }
        before_last = core::mem::replace(&mut last, current);
    }
    last[right.len()]
}

#[cfg(test)]
mod tests {
    use super::{edits, nearest};

    fn check(left: &str, right: &str, expected: usize) {
        let chars = |text: &str| text.chars().collect::<Vec<_>>();
        assert_eq!(edits(&chars(left), &chars(right)), expected, "{left} {right}");
        assert_eq!(edits(&chars(right), &chars(left)), expected, "{right} {left}");
    }

    /// kitten/sitting is the worked example of Wagner and Fischer's algorithm in every textbook; from memory.
    #[test]
    fn edits_are_counted() {
        check("", "", 0);
        check("", "abc", 3);
        check("kitten", "sitting", 3);
        check("swiched", "switched", 1);
        check("crimp", "cirmp", 1);
    }

    #[test]
    fn only_near_names_are_offered() {
        let names = [
            "crimp 2.5 mm",
            "crimp 2.0 mm",
            "screw terminal 5.0 mm",
            "open wire",
        ];
        assert_eq!(nearest("Crimp 2.5mm", names), Some("crimp 2.5 mm"));
        assert_eq!(
            nearest("scrw terminl 5.0 mm", names),
            Some("screw terminal 5.0 mm")
        );
        assert_eq!(nearest("solder", names), None);
        assert_eq!(nearest("", names), None);
        assert_eq!(nearest("xy", ["xz"]), None, "half of a name is not near");
    }
}
