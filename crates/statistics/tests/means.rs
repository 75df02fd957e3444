//! The difference of two means against a published example, and the rate at which its interval holds the truth.

use statistics::{difference_of_means, mean, standard_deviation};

use crate::coverage::assert_covers;

/// NIST/SEMATECH e-Handbook, section 1.3.5.3 (miles per gallon of two makes): from means, deviations and numbers as printed there, T is
/// −12.946 and the degrees of freedom 136.875, whose quantile at 0.975 is 1.9774 (from memory; T follows from the printed figures).
#[test]
fn the_difference_of_two_means_is_that_of_the_handbook() {
    let found = difference_of_means([(30.481_01, 6.107_71, 79), (20.144_58, 6.414_7, 249)], 0.95);
    let half = (found.high - found.low) / 2.0;
    let t = found.value / half * 1.977_43;
    assert!((t + 12.946_27).abs() < 1e-3, "{found:?}");
}

/// Samples whose scatters differ: the interval of the difference of their means holds it as often as it says.
#[test]
fn the_interval_of_a_difference_of_means_holds_the_truth() {
    assert_covers(|noise| {
        let mut events = |count: usize, level: f64, spread: f64| {
            let all: Vec<f64> = (0..count).map(|_| level + noise.normal(spread)).collect();
            (mean(&all), standard_deviation(&all), count)
        };
        let found = difference_of_means([events(4, 2.0, 0.3), events(5, 3.0, 0.5)], 0.95);
        vec![("difference", found.holds(1.0))]
    });
}
