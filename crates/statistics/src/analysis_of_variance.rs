//! Analysis of variance, one way.

use crate::mean;
use crate::quantiles::fisher_tail;

/// A one-way analysis of variance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OneWay {
    /// Degrees of freedom between groups.
    pub between_freedom: f64,
    /// Sum of squares between groups.
    pub between_sum: f64,
    /// Degrees of freedom within groups.
    pub within_freedom: f64,
    /// Sum of squares within groups.
    pub within_sum: f64,
    /// Mean square between over mean square within.
    pub f: f64,
    /// How likely a larger F is where the groups have one mean.
    pub chance: f64,
}

impl OneWay {
    /// The standard deviation within groups.
    #[must_use]
    pub fn within(&self) -> f64 {
        (self.within_sum / self.within_freedom).sqrt()
    }
}

/// One-way analysis of variance of groups of any size; nothing for fewer than two groups or no freedom within them.
///
/// # Source
/// NIST/SEMATECH e-Handbook of Statistical Methods, 7.4.3 (from memory); held against NIST StRD.
#[must_use]
pub fn one_way(groups: &[Vec<f64>]) -> Option<OneWay> {
    let groups: Vec<&Vec<f64>> = groups.iter().filter(|g| !g.is_empty()).collect();
    let count: usize = groups.iter().map(|g| g.len()).sum();
    if groups.len() < 2 || count <= groups.len() {
        return None;
    }
    // Deviations from a first mean keep the digits of data that are large beside their differences.
    let first = groups[0][0];
    let all: Vec<f64> = groups.iter().flat_map(|g| g.iter().map(|v| v - first)).collect();
    let grand = mean(&all);
    let (mut between_sum, mut within_sum) = (0.0, 0.0);
    for group in &groups {
        let shifted: Vec<f64> = group.iter().map(|v| v - first).collect();
        let middle = mean(&shifted);
        between_sum += group.len() as f64 * (middle - grand).powi(2);
        within_sum += shifted.iter().map(|v| (v - middle).powi(2)).sum::<f64>();
    }
    let (between_freedom, within_freedom) = ((groups.len() - 1) as f64, (count - groups.len()) as f64);
    let f = (between_sum / between_freedom) / (within_sum / within_freedom);
    Some(OneWay {
        between_freedom,
        between_sum,
        within_freedom,
        within_sum,
        f,
        chance: fisher_tail(f, between_freedom, within_freedom),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_few_values_give_nothing() {
        assert_eq!(one_way(&[vec![1.0, 2.0]]), None);
        assert_eq!(one_way(&[vec![1.0], vec![2.0], vec![]]), None);
    }
}
