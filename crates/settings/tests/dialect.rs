//! The shared words are sound; words of a controller's own go before them.

use catalogue::built_in;
use model::{Dialect, Meaning, load_words};
use settings::Topic;

#[test]
fn the_shared_words_can_be_read_and_their_sources_are_known() {
    let dialect = Dialect::common();
    assert!(dialect.rows().len() > 50);
    for row in dialect.rows() {
        assert!(
            built_in().sources().get(&row.source).is_some(),
            "{}: {}",
            row.name(),
            row.source
        );
        assert_eq!(row.from, None);
    }
    for wanted in ["asks for all settings", "stores the settings"] {
        assert!(dialect.word_that(wanted).is_some(), "{wanted}");
    }
}

/// Words of programs are for who reads programs: each has its source, sets nothing, and is none of the shared ones.
#[test]
fn published_words_act_and_are_not_shared() {
    for row in Dialect::of_programs().rows() {
        assert_eq!(
            built_in().sources().get(&row.source).map(|own| own.key.as_str()),
            Some("nistir-6556")
        );
        assert!(matches!(row.meaning, Meaning::Action { .. }), "{}", row.name());
        assert!(Dialect::common().action(row.name()).is_none(), "{}", row.name());
    }
}

/// The list that three independent families share (common practice, no source): a word more would be one family's.
#[test]
fn no_other_word_is_shared() {
    let mut words: Vec<&str> = Dialect::common()
        .rows()
        .iter()
        .filter(|row| !matches!(row.meaning, Meaning::Report { .. }))
        .map(model::Word::name)
        .collect();
    words.dedup();
    words.sort_by_key(|word| (word.as_bytes()[0], word[1..].parse::<u32>().unwrap_or(0)));
    assert_eq!(
        words.join(" "),
        "G0 G1 G2 G3 G4 G20 G21 G28 G29 G90 G91 G92 M17 M18 M82 M83 M84 M92 M104 M105 M106 M107 M109 M110 M112 M114 M115 M117 M119 M140 \
         M190 M200 M201 M203 M221 M301 M303 M304 M350 M400 M500 M501 M502 M503 M906"
    );
}

/// Where families differ nothing is assumed.
#[test]
fn shared_words_assume_no_unit_that_differs() {
    let dialect = Dialect::common();
    let row = |topic, of| dialect.slot(topic, of).expect("a word").word;
    assert!(row(Topic::TopSpeed, "X").open().is_some() && row(Topic::MotorCurrent, "X").open().is_some());
    assert_eq!(row(Topic::ControlProportional, "hot end").full, None);
    assert!(dialect.slot(Topic::ThermometerPullUp, "bed").is_none());
}

#[test]
fn a_setting_has_one_place_in_the_dialect() {
    let dialect = Dialect::common();
    let slot = dialect.slot(Topic::ControlIntegral, "bed").expect("a place");
    assert_eq!(
        (slot.word.word.as_str(), slot.letter, slot.pick),
        ("M304", 'I', None)
    );
    assert!(dialect.slot(Topic::StepsPerLength, "U").is_none());
    assert!(dialect.slot(Topic::Direction, "X").is_none());
    for topic in Topic::ALL {
        assert_eq!(Topic::named(topic.id()), Some(*topic));
    }
}

/// Words in which the same number means the peak of the current.
#[test]
fn own_rows_go_before_shared_ones_letter_by_letter() {
    let text = r#"
        [[word]]
        word = "M906"
        letters = ["X"]
        setting = "motor-current"
        about = "letter"
        unit = "mA"
        current_definition = "peak"

        [[word]]
        word = "M201"
        letters = ["X", "Y"]
        setting = "top-speed"
        about = "letter"
        unit = "mm/min"

        [[word]]
        word = "M400"
        letters = ["S"]
        setting = "flow"
        about = "machine"
        unit = "%"
    "#;
    let mut dialect = Dialect::common().clone();
    let gave_way: Vec<String> = dialect
        .add(load_words("words/own.toml", text).expect("words"))
        .into_iter()
        .map(|gone| gone.what)
        .collect();
    // A current that is made certain contradicts nothing.
    assert_eq!(gave_way, ["M201 X Y", "M400"]);
    let report = settings::captured::read("M906 X1000 Y1000\nM201 X6000 Z100\nM400 S95", &dialect);
    // A sine of 1 A peak has 0.7071 A effective: peak over the square root of two.
    let base = |topic, of| report.last(topic, of).map(|value| value.value.nominal);
    assert!((base(Topic::MotorCurrent, "X").unwrap() - core::f64::consts::FRAC_1_SQRT_2).abs() < 1e-12);
    assert_eq!(base(Topic::MotorCurrent, "Y"), None);
    assert!((base(Topic::TopSpeed, "X").unwrap() - 0.1).abs() < 1e-12);
    assert!((base(Topic::Acceleration, "Z").unwrap() - 0.1).abs() < 1e-12);
    assert!((base(Topic::Flow, "machine").unwrap() - 0.95).abs() < 1e-12);
}
