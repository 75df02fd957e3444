//! Published tables of thermometers, turned into rows and curves.

use physics::sensing::RtTable;
use quantity::si::{ElectricalResistance, ThermodynamicTemperature, celsius, ohm};

use crate::driver::{Row, lines};

const PLATINUM: &str = include_str!("data/iec60751.csv");
const THERMISTORS: &str = include_str!("data/ntc-rt-tables.csv");
const COLUMNS: [&str; 6] = [
    "t_c",
    "a100k_b3950",
    "a100k_b4200",
    "b10k_b3950_300c",
    "c50k6_r100_3300_300c",
    "b50k_b3950_300c",
];

/// One row for each temperature of the platinum table: as printed to two decimals, and back from four decimals.
pub fn rows() -> Vec<Row> {
    let mut rows = Vec::new();
    for (line, text) in lines(PLATINUM) {
        let fields: Vec<&str> = text.split(',').collect();
        let [degrees, exact, printed, _slope] = fields.try_into().expect("four fields");
        let row = |formula: &str, given: String, expect: String, within: &str, sure: &str| Row {
            file: "iec60751.csv",
            line,
            formula: formula.to_owned(),
            given,
            expect,
            within: within.to_owned(),
            source: "iec-60751".to_owned(),
            sure: sure.to_owned(),
        };
        let there = format!("R₀ = 100 Ω, ϑ = {degrees} °C");
        rows.push(row(
            "platinum-resistance",
            there,
            format!("{printed} Ω"),
            "5.001 mΩ",
            "L R",
        ));
        let back = format!("R₀ = 100 Ω, R = {exact} Ω");
        rows.push(row(
            "platinum-temperature",
            back,
            format!("{degrees} °C"),
            "0.0002 K",
            "R",
        ));
    }
    rows
}

/// The points of one published thermistor, coldest first.
pub fn thermistor(column: &str) -> Vec<(ThermodynamicTemperature, ElectricalResistance)> {
    let index = COLUMNS
        .iter()
        .position(|name| *name == column)
        .unwrap_or_else(|| panic!("no column {column}"));
    let point = |(_, line): (usize, &str)| {
        let fields: Vec<&str> = line.split(',').collect();
        let resistance: f64 = fields[index].parse().ok()?;
        Some((celsius(fields[0].parse().ok()?), ohm(resistance)))
    };
    lines(THERMISTORS).filter_map(point).collect()
}

pub fn thermistor_table(column: &str) -> RtTable {
    RtTable::new(&thermistor(column)).expect("a published table")
}

const RULES: &str = include_str!("data/pid-rules-fopdt.csv");
const EXAMPLES: &str = include_str!("data/pid-simc-examples.csv");

/// Rows of the two control tables: settings by each rule, and the margins that they give.
pub fn control_rows() -> Vec<Row> {
    let mut rows = Vec::new();
    for (line, text) in lines(RULES) {
        let fields: Vec<&str> = text.split(',').collect();
        let [rule, kc, ti, td, ms, gm, pm] = fields.try_into().expect("seven fields");
        let (formula, source, terms) = rule_of(rule);
        let closed = if rule == "simc_pi_tauc_3theta" {
            "6 s"
        } else {
            "2 s"
        };
        let given = format!("rule = {formula}, terms = {terms}, K = 2 K, τ = 10 s, θ = 2 s, τc = {closed}");
        let mut add = |formula: &str, of: &str, number: &str, unit: &str, within: &str, source: &str| {
            if !number.is_empty() && number != "0" {
                rows.push(Row {
                    file: "pid-rules-fopdt.csv",
                    line,
                    formula: formula.to_owned(),
                    given: format!("{given}, of = {of}"),
                    expect: format!("{number} {unit}").trim().to_owned(),
                    within: within.to_owned(),
                    source: source.to_owned(),
                    sure: if formula.ends_with("margin") || formula.ends_with("peak") {
                        "R"
                    } else {
                        "L R"
                    }
                    .to_owned(),
                });
            }
        };
        add(formula, "Kc", kc, "1/K", "0.01 %", source);
        add(formula, "Ti", ti, "s", "0.12 %", source);
        add(formula, "Td", td, "s", "0.01 %", source);
        add("sensitivity-peak", "", ms, "", "0.0051", "python-control");
        add("gain-margin", "", gm, "", "0.0051", "python-control");
        add("phase-margin", "", pm, "°", "0.051 °", "python-control");
    }
    for (line, text) in lines(EXAMPLES) {
        let fields: Vec<&str> = text.split(',').collect();
        let [example, _process, terms, k, theta, tau1, tau2, kc, taui, taud, ms] =
            fields.try_into().expect("eleven fields");
        let terms = if terms == "PI" { "series PI" } else { "series PID" };
        let model = format!("K = {k} K, τ = {tau1} s, τ₂ = {tau2} s, θ = {theta} s, τc = {theta} s");
        let mut add = |formula: &str, given: String, number: &str, unit: &str, within: &str| {
            rows.push(Row {
                file: "pid-simc-examples.csv",
                line,
                formula: formula.to_owned(),
                given,
                expect: format!("{number} {unit}").trim().to_owned(),
                within: within.to_owned(),
                source: "skogestad-2003".to_owned(),
                sure: "M R".to_owned(),
            });
        };
        let given = |of: &str| format!("rule = simc, terms = {terms}, {model}, of = {of}");
        add("simc", given("Kc"), kc, "1/K", "0.05 %");
        add("simc", given("Ti"), taui, "s", "0.02 %");
        if taud != "0" {
            add("simc", given("Td"), taud, "s", "0.02 %");
        }
        add(
            "sensitivity-peak",
            format!("example = {example}, {}", given("")),
            ms,
            "",
            "0.0051",
        );
        // The examples with a positive lead are shortened by another rule first, which is not ours.
        if example != "E3" {
            let order = if terms == "series PI" { "1" } else { "2" };
            let of = |of: &str| format!("example = {example}, order = {order}, of = {of}");
            add("half-rule", of("θ"), theta, "s", "0.001 %");
            add("half-rule", of("τ"), tau1, "s", "0.001 %");
            if order == "2" {
                add("half-rule", of("τ₂"), tau2, "s", "0.001 %");
            }
        }
    }
    rows
}

/// Formula, source and terms of a rule of the table.
fn rule_of(rule: &str) -> (&'static str, &'static str, &'static str) {
    let terms = match rule {
        rule if rule.ends_with("_pid") => "PID",
        rule if rule.ends_with("_p") => "P",
        _ => "PI",
    };
    let (formula, source) = match rule.split('_').next().expect("a name") {
        "ziegler" if rule.contains("reaction") => ("ziegler-nichols-reaction", "ziegler-nichols-1942"),
        "ziegler" => ("ziegler-nichols-ultimate", "ziegler-nichols-1942"),
        "tyreus" => ("tyreus-luyben", "tyreus-luyben-1992"),
        "cohen" => ("cohen-coon", "cohen-coon-1953"),
        "amigo" => ("amigo", "astrom-hagglund-2006"),
        "simc" => ("simc", "skogestad-2003"),
        other => panic!("no rule {other}"),
    };
    (formula, source, terms)
}
