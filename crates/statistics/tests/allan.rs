//! Allan deviations against the test suite of NIST SP 1065.

use statistics::allan::{allan_deviation, modified_allan_deviation, overlapping_allan_deviation};

use crate::data::rows;
use crate::series::thousand;

/// All published digits.
#[test]
fn allan_deviations_are_those_of_the_test_suite() {
    let nine = [892.0, 809.0, 823.0, 798.0, 671.0, 644.0, 883.0, 903.0, 677.0];
    let thousand = thousand();
    let mut held = 0;
    for row in rows("nist-sp1065-adev.csv").1 {
        let values: &[f64] = if row[0] == "9-value" { &nine } else { &thousand };
        let factor: usize = row[2].parse().unwrap();
        let found = match row[1].as_str() {
            "adev" => allan_deviation(values, factor),
            "oadev" => overlapping_allan_deviation(values, factor),
            "mdev" => modified_allan_deviation(values, factor),
            _ => continue,
        };
        let published: f64 = row[3].parse().unwrap();
        let found = found.unwrap();
        assert!((found / published - 1.0).abs() < 5e-7, "{row:?}: {found}");
        held += 1;
    }
    assert_eq!(held, 15);
}
