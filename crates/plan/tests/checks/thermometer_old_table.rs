//! `thermometer-old-table`: what a kept pull-up does, against rows of a published table.

use crate::support::Case;
use plan::Verdict;

/// Glass thermistor (glass-ntc-tables): 392 Ω at 220 °C, 575 Ω at 200 °C. A pull-up smaller by 392/575 with the old table reads 220 °C as 200 °C.
#[test]
fn a_smaller_pull_up_reads_too_cold() {
    let finding = Case::new()
        .device("T1", "working_temperature = '220 °C'")
        .port("TH1", &format!("pull_up = '{} Ω'", 4700.0 * 392.0 / 575.0))
        .pair("thermometer-old-table", "T1", "TH1");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(finding.headline.contains("too cold"), "{}", finding.headline);
    let value = finding.value.expect("kelvin");
    assert!((value.nominal - 20.0).abs() < 1e-6, "{value}");
    let remedy = finding.remedy.expect("what to do");
    assert!(remedy.ends_with("before any heat"), "{remedy}");
}

/// The other way round: 100 °C (6674 Ω) reads as 115 °C (4311 Ω) with a pull-up that is larger by their ratio.
#[test]
fn a_larger_pull_up_reads_too_hot() {
    let finding = Case::new()
        .port("TH2", &format!("pull_up = '{} Ω'", 4700.0 * 6674.0 / 4311.0))
        .pair("thermometer-old-table", "T2", "TH2");
    assert_eq!(finding.verdict, Verdict::Caution);
    assert!(finding.headline.contains("too hot"), "{}", finding.headline);
    let value = finding.value.expect("kelvin");
    assert!((value.nominal - 15.0).abs() < 1e-6, "{value}");
}

#[test]
fn in_and_out_at_two_kelvin() {
    // At 250 °C one per cent of the pull-up is 0.58 K.
    let with = |percent: f64| {
        let pull_up = 4700.0 * (1.0 - percent / 100.0);
        let case = Case::new().port("TH1", &format!("pull_up = '{pull_up} Ω ± 0.01 %'"));
        case.pair("thermometer-old-table", "T1", "TH1")
    };
    assert_eq!(with(0.0).verdict, Verdict::Pass);
    assert_eq!(with(3.3).verdict, Verdict::Pass);
    assert_eq!(with(3.5).verdict, Verdict::Caution);
    // Where no tolerance is stated the usual one counts: 3 % and 1 % are too much together.
    let usual = Case::new().port("TH1", &format!("pull_up = '{} Ω'", 4700.0 * 0.97));
    assert_eq!(
        usual.pair("thermometer-old-table", "T1", "TH1").verdict,
        Verdict::Caution
    );
}

#[test]
fn bits_and_reference_do_not_matter() {
    // 5 V and 10 bits before, 3.3 V and 12 bits now.
    let finding = Case::new().pair("thermometer-old-table", "T1", "TH1");
    assert_eq!(finding.verdict, Verdict::Pass);
    assert!(finding.value.expect("kelvin").nominal.abs() < 1e-9);
}

#[test]
fn an_amplifier_is_turned_back_through_the_old_circuit() {
    let case = Case::new()
        .device("T1", "sensor = 'Pt100'")
        .port("TH1", "circuit = 'platinum amplifier'")
        .port("TH1", "pull_up = '4.7 kΩ'")
        .port("TH1", "amplification = '10'");
    // 10 · 194.10 / 4894.1 = 0.3966 of full scale at 250 °C: the old divider had that with 3089 Ω, beyond any platinum.
    let finding = case.pair("thermometer-old-table", "T1", "TH1");
    assert_eq!(finding.verdict, Verdict::Caution, "{}", finding.headline);
}

/// Which circuit it hung on is not known: the old table may be off by anything, and the settings deal with it.
#[test]
fn without_its_old_port_it_says_so() {
    let case = Case::new().without_line("machine.toml", "[[device]]\ntag = \"T1\"", "old_port");
    let found = case.load().pairs("thermometer-old-table", "T1", "TH1");
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].verdict, Verdict::Caution);
    assert!(
        found[0].headline.contains("`old_port` is not stated"),
        "{}",
        found[0].headline
    );
}
