//! Statistics held against NIST's Statistical Reference Datasets (StRD). The certified values stand in the head of each file.

use evidence::statistics::{fit, one_way};

/// The numbers of a file, one row a line, and the lines of its head.
fn read(text: &str) -> (Vec<Vec<f64>>, String) {
    let head: Vec<&str> = text.lines().filter(|line| line.starts_with('#')).collect();
    let rows = text
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_digit() || "-.".contains(c)))
        .map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect())
        .collect();
    (rows, head.join("\n"))
}

/// The number behind a label of the head, such as `F`.
fn certified(head: &str, label: &str) -> f64 {
    let at = head
        .rfind(&format!("{label} "))
        .unwrap_or_else(|| panic!("no {label}"));
    let text = head[at + label.len() + 1..]
        .split([' ', ';', ',', '\n'])
        .next()
        .unwrap();
    text.parse().unwrap_or_else(|_| panic!("{label}: {text}"))
}

fn agrees(found: f64, certified: f64, within: f64, what: &str) {
    assert!(
        (found / certified - 1.0).abs() < within,
        "{what}: {found} for {certified}"
    );
}

fn linear(text: &str, columns: impl Fn(&[f64]) -> Vec<f64>, digits: f64) {
    let (rows, head) = read(text);
    let x: Vec<Vec<f64>> = rows.iter().map(|row| columns(&row[1..])).collect();
    let y: Vec<f64> = rows.iter().map(|row| row[0]).collect();
    let found = fit(&x, &y).unwrap();
    for (j, b) in found.coefficients.iter().enumerate() {
        agrees(*b, certified(&head, &format!("B{j}")), digits, &format!("B{j}"));
        let mut unit = vec![0.0; found.coefficients.len()];
        unit[j] = 1.0;
        let label = format!("B{j} {} sd", spelled(&head, &format!("B{j}")));
        agrees(
            found.error_of(&unit),
            certified(&head, &label),
            digits,
            &format!("sd of B{j}"),
        );
    }
    agrees(
        found.deviation,
        certified(&head, "residual sd"),
        digits,
        "residual sd",
    );
}

/// A certified value as it is spelled, for finding what stands behind it.
fn spelled<'a>(head: &'a str, label: &str) -> &'a str {
    let at = head.rfind(&format!("{label} ")).unwrap() + label.len() + 1;
    head[at..].split([' ', ';', ',', '\n']).next().unwrap()
}

#[test]
fn norris() {
    linear(
        include_str!("data/nist-strd-norris.csv"),
        |x| vec![1.0, x[0]],
        1e-10,
    );
}

#[test]
fn pontius() {
    linear(
        include_str!("data/nist-strd-pontius.csv"),
        |x| vec![1.0, x[0], x[0] * x[0]],
        1e-9,
    );
}

#[test]
fn longley() {
    let columns = |x: &[f64]| core::iter::once(1.0).chain(x.iter().copied()).collect();
    linear(include_str!("data/nist-strd-longley.csv"), columns, 1e-8);
}

/// Columns that depend on each other but for the last digits of a double (condition number 1.8e15): reflections leave
/// seven digits of the coefficients.
#[test]
fn filip() {
    let (rows, head) = read(include_str!("data/nist-strd-filip.csv"));
    let powers = |x: f64| (0..=10).map(|k| x.powi(k)).collect();
    let x: Vec<Vec<f64>> = rows.iter().map(|row| powers(row[1])).collect();
    let y: Vec<f64> = rows.iter().map(|row| row[0]).collect();
    let found = fit(&x, &y).unwrap();
    let (coefficients, _) = head.split_once("# sd").unwrap();
    for (j, b) in found.coefficients.iter().enumerate() {
        let label = format!("B{j}");
        agrees(*b, certified(coefficients, &label), 1e-7, &label);
    }
    agrees(
        found.deviation,
        certified(&head, "residual sd"),
        1e-7,
        "residual sd",
    );
}

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
        let (rows, head) = read(text);
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
