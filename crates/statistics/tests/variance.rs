//! Analysis of variance against NIST's Statistical Reference Datasets (StRD). Certified values stand in the head of each file.

use statistics::one_way;

use crate::data::{agrees, certified, numbers};

/// The last column: how many digits of F two-pass sums can have in double precision, since the data are rounded on reading.
#[test]
fn analysis_of_variance() {
    let sets = [
        ("SiRstv", include_str!("data/nist-strd-anova-sirstv.csv"), 1e-9),
        ("SmLs01", include_str!("data/nist-strd-anova-smls01.csv"), 1e-9),
        ("SmLs04", include_str!("data/nist-strd-anova-smls04.csv"), 1e-8),
        ("SmLs07", include_str!("data/nist-strd-anova-smls07.csv"), 5e-3),
        ("AtmWtAg", include_str!("data/nist-strd-anova-atmwtag.csv"), 1e-7),
    ];
    for (name, text, within) in sets {
        let (rows, head) = numbers(text);
        let mut groups: Vec<Vec<f64>> = Vec::new();
        for row in &rows {
            let group = row[0] as usize;
            groups.resize(groups.len().max(group), Vec::new());
            groups[group - 1].push(row[1]);
        }
        let found = one_way(&groups).unwrap();
        agrees(found.f, certified(&head, "F"), within, name);
        let between = head.lines().find(|line| line.starts_with("# between")).unwrap();
        assert_eq!(found.between_freedom, certified(between, "df"), "{name}");
        agrees(found.between_sum, certified(between, "SS"), within, name);
    }
}
