//! `thermometer-resolution`: against published tables, and at both limits.

use crate::support::Case;
use plan::Verdict;

fn at(working: &str) -> Case {
    Case::new().device("T1", &format!("working_temperature = '{working}'"))
}

/// Rows of a glass thermistor (glass-ntc-tables), ohm at °C: the code difference of two rows over their distance is what one code stands for.
#[test]
fn steps_follow_the_published_table() {
    for (rows, working) in [
        ([(95.0, 7768.0), (105.0, 5752.0)], "100 °C"),
        ([(145.0, 1938.0), (155.0, 1520.0)], "150 °C"),
        ([(205.0, 522.0), (215.0, 431.0)], "210 °C"),
        ([(235.0, 299.0), (245.0, 252.0)], "240 °C"),
    ] {
        let code = |(_, ohm): (f64, f64)| 4096.0 * ohm / (ohm + 4700.0);
        let published = (rows[1].0 - rows[0].0) / (code(rows[0]) - code(rows[1]));
        let finding = at(working).pair("thermometer-resolution", "T1", "TH1");
        let ours = finding.value.expect("kelvin for a step").nominal;
        // Ohms are rounded in the table: at 240 °C half an ohm is 1 % of the difference.
        assert!(
            (ours / published - 1.0).abs() < 0.04,
            "{working}: {ours} K against {published} K"
        );
    }
}

/// IEC 60751: 100 °C 138.51 Ω with 0.3793 Ω/K, 200 °C 175.86 Ω with 0.3677 Ω/K; ten times that for 1 kΩ.
#[test]
fn steps_follow_the_slope_of_platinum() {
    for (ohm, slope, working) in [(1385.1, 3.793, "100 °C"), (1758.6, 3.677, "200 °C")] {
        let published = (ohm + 4700.0_f64).powi(2) / (4096.0 * 4700.0 * slope);
        let case = at(working).device("T1", "sensor = 'Pt1000'");
        let ours = case
            .pair("thermometer-resolution", "T1", "TH1")
            .value
            .expect("kelvin for a step")
            .nominal;
        assert!(
            (ours / published - 1.0).abs() < 3e-4,
            "{working}: {ours} K against {published} K"
        );
    }
}

#[test]
fn in_and_out_at_the_caution() {
    // Without an old port nothing excuses a coarse step.
    let new = at("240 °C").cable_without("T1", "old_port");
    let check = |pull_up: &str| {
        let case = new.clone().port("TH1", &format!("pull_up = '{pull_up}'"));
        case.pair("thermometer-resolution", "T1", "TH1")
    };
    let value = check("4.7 kΩ").value.expect("a value").high;
    assert!((0.25..0.3).contains(&value), "{value}");
    assert_eq!(check("4.7 kΩ").verdict, Verdict::Pass);
    assert_eq!(check("5.6 kΩ").verdict, Verdict::Caution);
    // The worst corner of the pull-up decides.
    let edge = 4700.0 * 0.3 / value;
    assert_eq!(check(&format!("{} Ω", edge * 0.98)).verdict, Verdict::Pass);
    assert_eq!(
        check(&format!("{} Ω ± 5 %", edge * 0.98)).verdict,
        Verdict::Caution
    );
}

#[test]
fn what_was_no_finer_before_is_a_note() {
    let finding = at("250 °C").pair("thermometer-resolution", "T1", "TH1");
    assert_eq!(finding.verdict, Verdict::Note, "{}", finding.headline);
}

#[test]
fn far_too_coarse_is_refused_or_amplified() {
    // 8 bits: sixteen times as coarse.
    let coarse = at("250 °C").port("TH1", "adc_bits = 8");
    let finding = coarse.pair("thermometer-resolution", "T1", "TH1");
    assert_eq!(finding.verdict, Verdict::Blocker);
    assert!((finding.value.expect("a value").nominal / 0.3172 - 16.0).abs() < 0.01);
    // 100 Ω on 4.7 kΩ: more than 3 K a code, whatever was there before was finer.
    let platinum = at("200 °C")
        .device("T1", "sensor = 'Pt100'")
        .old_port("TH1", "adc_bits = 16");
    let finding = platinum.pair("thermometer-resolution", "T1", "TH1");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert_eq!(finding.parts[0].name, "thermometer amplifier");
    let amplified = platinum
        .port("TH1", "circuit = 'platinum amplifier'")
        .port("TH1", "amplification = '20'");
    assert_eq!(
        amplified.pair("thermometer-resolution", "T1", "TH1").verdict,
        Verdict::Pass
    );
}
