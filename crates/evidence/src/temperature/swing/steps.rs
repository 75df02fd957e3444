//! The step of the thermometer input, seen in a log: readings lie on levels.

use statistics::median_high;

/// Levels that readings lie on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Levels {
    /// From level to level, K.
    pub(crate) step: f64,
    /// How many levels were seen.
    pub count: usize,
    /// Whether the step is that of the digits in which the log is written, so that the input may be finer.
    pub of_the_digits: bool,
}

/// Readings nearer than this are one level: the log is kept in single precision, K.
const SAME: f64 = 3e-4;

/// Finds the levels; nothing where readings are too fine, or too few levels were seen.
pub(super) fn levels(values: &[f64]) -> Option<Levels> {
    let mut sorted: Vec<f64> = values.iter().copied().filter(|value| value.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let mut seen: Vec<f64> = Vec::new();
    for value in &sorted {
        if seen.last().is_none_or(|last| value - last > SAME) {
            seen.push(*value);
        }
    }
    // Where most values are seen once, there are no levels.
    if seen.len() < 2 || seen.len() * 3 > sorted.len() {
        return None;
    }
    let gaps: Vec<f64> = seen.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let smallest = gaps.iter().copied().fold(f64::INFINITY, f64::min);
    // A level or two may not have been visited: gaps are whole numbers of steps, near enough.
    let median = median_high(&mut gaps.clone());
    let guess = if smallest > 0.6 * median { median } else { smallest };
    let steps: f64 = gaps.iter().map(|gap| (gap / guess).round().max(1.0)).sum();
    let step = (seen[seen.len() - 1] - seen[0]) / steps;
    let digits = digits(&seen);
    Some(Levels {
        step,
        count: seen.len(),
        of_the_digits: digits.is_some_and(|digits| step < 1.6 * digits),
    })
}

/// The last decimal place of the readings: 1, 0.1, 0.01 K.
fn digits(seen: &[f64]) -> Option<f64> {
    [1.0, 0.1, 0.01].into_iter().find(|place| {
        let on =
            |value: &f64| (value / place - (value / place).round()).abs() * place < 0.05 * place.min(0.01);
        seen.iter().all(on)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_are_found_where_there_are_some() {
        let on = |step: f64| -> Vec<f64> {
            (0..500)
                .map(|at| 210.0 + step * f64::from((at * 7) % 5 - 2) + step / 3.0)
                .collect()
        };
        let found = levels(&on(0.142)).unwrap();
        assert!(
            (found.step - 0.142).abs() < 1e-6 && !found.of_the_digits && found.count == 5,
            "{found:?}"
        );
        let found = levels(&[21.5, 21.6, 21.5, 21.7, 21.6, 21.5, 21.6, 21.7, 21.6]).unwrap();
        assert!((found.step - 0.1).abs() < 1e-6 && found.of_the_digits);
        let fine: Vec<f64> = (0..500).map(|at| f64::from(at).sin()).collect();
        assert_eq!(levels(&fine), None);
        assert_eq!(levels(&[1.0; 50]), None);
    }

    #[test]
    fn a_level_that_was_never_visited_does_not_widen_the_step() {
        let values: Vec<f64> = [0.0, 1.0, 2.0, 4.0, 5.0]
            .iter()
            .flat_map(|level| [level * 0.3; 20])
            .collect();
        assert!((levels(&values).unwrap().step - 0.3).abs() < 1e-9);
    }
}
