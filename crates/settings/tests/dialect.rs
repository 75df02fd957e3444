//! The shipped dialect is sound; a faulty one is refused with every fault.

use catalogue::{Row, built_in};
use settings::{Dialect, Topic};

#[test]
fn the_shipped_dialect_can_be_read_and_its_sources_are_known() {
    let dialect = Dialect::common();
    assert!(dialect.rows().len() > 60);
    for row in dialect.rows() {
        assert!(
            built_in().sources().get(row.source()).is_some(),
            "{}: {}",
            row.key(),
            row.source()
        );
    }
    for wanted in ["asks for all settings", "stores the settings"] {
        assert!(dialect.word_that(wanted).is_some(), "{wanted}");
    }
}

#[test]
fn a_setting_has_one_place_in_the_dialect() {
    let dialect = Dialect::common();
    let slot = dialect.slot(Topic::ThermometerPullUp, "bed").expect("a place");
    assert_eq!(
        (slot.word.word.as_str(), slot.letter, slot.pick),
        ("M305", 'R', Some(('P', 1)))
    );
    assert!(dialect.slot(Topic::StepsPerLength, "U").is_none());
    assert!(dialect.slot(Topic::Direction, "X").is_none());
    for topic in Topic::ALL {
        assert_eq!(Topic::named(topic.id()), Some(*topic));
    }
}

#[test]
fn every_fault_of_a_dialect_is_reported() {
    let text = r#"
        [[word]]
        word = "M92"
        letters = ["X"]
        setting = "steps-per-lenght"
        about = "letter"
        unit = "step/mm"
        told = "running"
        digits = 2

        [[word]]
        word = "M092"
        action = "nothing"

        [[word]]
        word = "M203"
        letters = ["X"]
        setting = "top-speed"
        about = "letter"
        unit = "V"
        told = "running"
        digits = 2

        [[word]]
        word = "M204"
        letters = ["P", "R"]
        setting = "print-acceleration"
        about = "machine"
        unit = "mm/s²"
        told = "running"
        digits = 2

        [[word]]
        lable = "T"
    "#;
    let faults = Dialect::read(text).expect_err("faults");
    let messages: Vec<String> = faults.into_iter().map(|fault| fault.message).collect();
    insta::assert_snapshot!(messages.join("\n"));
}

/// A dialect in which the same word means the peak of the current.
#[test]
fn another_dialect_is_another_file() {
    let text = r#"
        [[word]]
        word = "M906"
        letters = ["X"]
        setting = "motor-current"
        about = "letter"
        unit = "mA"
        measure = "peak"
        told = "running"
        digits = 0
    "#;
    let dialect = Dialect::read(text).expect("a dialect");
    let report = settings::captured::read("M906 X1000", &dialect);
    // A sine of 1 A peak has 0.7071 A effective: peak over the square root of two.
    let effective = report
        .last(Topic::MotorCurrent, "X")
        .expect("a value")
        .value
        .nominal;
    assert!((effective - core::f64::consts::FRAC_1_SQRT_2).abs() < 1e-12);
}
