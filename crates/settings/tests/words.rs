//! Words of the old controller that its report makes certain, and words that nobody explained yet.

use settings::{Guess, Settings, Topic, Unknown};

use crate::support::{CAPTURED, captured_line, demo, demo_edited, demo_reported, settings_on};

/// The settings on Alder A4 where the old controller's line of speeds is another one.
fn with_speeds(line: &str) -> Settings {
    let old = captured_line(Topic::TopSpeed, "X");
    settings_on(&demo_edited(&[(CAPTURED, &old, line)]), "Alder")
}

fn speed(settings: &Settings, axis: &str) -> Option<String> {
    settings
        .find(Topic::TopSpeed, axis)
        .and_then(|setting| setting.old_text())
}

#[test]
fn a_remark_near_a_word_says_its_unit() {
    for (line, expected) in [
        ("M203 X180 Y150 Z10 E45 (mm/s)\n", "180 mm/s"),
        ("speeds [mm/min]\nM203 X10800 Y9000 Z600 E2700\n", "180 mm/s"),
        ("M203 X10800 Y9000 Z600 E2700 ; a minute\n", "180 mm/s"),
    ] {
        let settings = with_speeds(line);
        assert_eq!(speed(&settings, "X").as_deref(), Some(expected), "{line}");
        assert!(
            settings.decided[0].because.contains("says so near line"),
            "{:?}",
            settings.decided
        );
    }
}

#[test]
fn else_the_size_beside_the_machine_says_it() {
    let settings = with_speeds("M203 X10800 Y9000 Z600 E2700\n");
    assert_eq!(speed(&settings, "Z").as_deref(), Some("10 mm/s"));
    assert_eq!(settings.decided[0].meaning, "mm/min");
    assert!(
        settings.decided[0]
            .because
            .contains("180 mm/s of the machine file"),
        "{:?}",
        settings.decided
    );
    assert_eq!(
        speed(&with_speeds("M203 X200 Y200 Z15 E30\n"), "Y").as_deref(),
        Some("200 mm/s")
    );
}

/// Between two units a number may be either, and numbers that contradict each other say nothing.
#[test]
fn where_nothing_says_it_nothing_is_assumed() {
    for line in [
        "M203 X1400 Y1200 Z80 E350\n",
        "M203 X180 Y9000 Z10 E45\n",
        "M203 X180 Y150 Z10 E45 (mm/s or mm/min)\nM203 X1400\n",
    ] {
        let settings = with_speeds(line);
        assert_eq!(speed(&settings, "X"), None, "{line}");
        let unknown = settings
            .unknown
            .iter()
            .find(|unknown| unknown.word == "M203")
            .expect("it is listed");
        assert_eq!(unknown.why, "mm/s or mm/min is not known");
        assert!(
            unknown.row.contains("setting = \"top-speed\"") && unknown.row.contains("unit = "),
            "{}",
            unknown.row
        );
    }
}

/// A sine of 1 A peak has 0.7071 A effective: peak over the square root of two.
#[test]
fn currents_say_themselves_whether_they_are_peaks() {
    let old = |line: &str| {
        let settings = settings_on(&demo_reported(line), "Alder");
        let current = settings
            .find(Topic::MotorCurrent, "X")
            .and_then(|setting| setting.old_text());
        (current, settings)
    };
    // The machine file asks for 0.8 A and 0.9 A.
    let (current, settings) = old("M906 X1131 Y1273\n");
    assert_eq!(current.as_deref(), Some("799.74 mA"));
    assert!(
        settings.decided.iter().any(|decided| decided.meaning == "peak"),
        "{:?}",
        settings.decided
    );
    assert_eq!(old("M906 X800 Y900\n").0.as_deref(), Some("800 mA"));
    assert_eq!(old("M906 X800 Y900 (peak)\n").0.as_deref(), Some("565.69 mA"));
    let (current, settings) = old("M906 X950 Y600\n");
    assert_eq!(current, None);
    assert!(
        settings
            .unknown
            .iter()
            .any(|unknown| unknown.why == "rms or peak is not known")
    );
}

/// A value is judged for sense whatever told its unit.
#[test]
fn a_value_that_makes_no_sense_is_left_out_and_told() {
    let settings = with_speeds("M203 X180 Y150 Z10 E45 (mm/min)\n");
    assert_eq!(
        settings
            .find(Topic::TopSpeed, "X")
            .and_then(|setting| setting.new_text()),
        None
    );
    assert_eq!(settings.doubtful.len(), 4);
    let doubt = &settings.doubtful[0];
    assert_eq!(doubt.text, "M203 X180");
    assert!(
        doubt.reason.contains("it looks as if mm/min was taken for mm/s"),
        "{}",
        doubt.reason
    );
}

fn unknown(line: &str) -> Unknown {
    let settings = settings_on(&demo_reported(line), "Alder");
    let word = line.split(' ').next().expect("a word");
    settings
        .unknown
        .into_iter()
        .find(|unknown| unknown.word == word)
        .expect("it is listed")
}

fn likeliest(unknown: &Unknown) -> Vec<(String, Topic)> {
    let mut out: Vec<(String, Topic)> = Vec::new();
    for Guess { letters, setting, .. } in &unknown.guesses {
        let letters: String = letters.iter().collect();
        if out.iter().all(|(known, _)| *known != letters) {
            out.push((letters, *setting));
        }
    }
    out
}

/// Each row is what a line may hold by its size beside the machine's file alone.
#[test]
fn a_line_without_a_meaning_is_guessed_by_its_size() {
    for (line, expected) in [
        ("M5010 X80 Y80 Z400 E417\n", vec![("XYZE", Topic::StepsPerLength)]),
        ("M5010 X200 Y160 Z9 E40\n", vec![("XYZE", Topic::TopSpeed)]),
        (
            "M5010 X1200 Y1000 Z120 E2500\n",
            vec![("XYZE", Topic::Acceleration)],
        ),
        ("M5010 X7 Y7\n", vec![("XY", Topic::CornerSpeed)]),
        ("M5010 X230 Y230 Z240\n", vec![("XYZ", Topic::Travel)]),
        ("M5010 X16 Y16 Z16 E16\n", vec![("XYZE", Topic::Microsteps)]),
        (
            "M5010 A100000 B3950 C4700\n",
            vec![
                ("A", Topic::ThermometerResistance),
                ("B", Topic::ThermometerConstant),
                ("C", Topic::ThermometerPullUp),
            ],
        ),
        ("M5010 S1.75\n", vec![("S", Topic::FilamentDiameter)]),
        ("M5010 R250000\n", vec![("R", Topic::SerialRate)]),
        (
            "M5010 P22 I1.4 D80\n",
            vec![
                ("P", Topic::ControlProportional),
                ("I", Topic::ControlIntegral),
                ("D", Topic::ControlDerivative),
            ],
        ),
    ] {
        let found = unknown(line);
        let expected: Vec<(String, Topic)> = expected
            .into_iter()
            .map(|(letters, topic)| (letters.to_owned(), topic))
            .collect();
        assert_eq!(likeliest(&found), expected, "{line} {:#?}", found.guesses);
    }
}

/// What stands near a line moves its guess, piece by piece where there is one for each letter.
#[test]
fn what_is_said_near_a_line_moves_its_guess() {
    let found = unknown("M5011 A1100 B2600 C1300 (acceleration: travelling, of filament alone, printing)\n");
    assert_eq!(
        likeliest(&found),
        [
            ("A".to_owned(), Topic::TravelAcceleration),
            ("B".to_owned(), Topic::RetractAcceleration),
            ("C".to_owned(), Topic::PrintAcceleration),
        ],
        "{:#?}",
        found.guesses
    );
    assert_eq!(
        likeliest(&unknown("M5011 X0 Y0 Z-0.2 (shift of zero)\n")),
        [("XYZ".to_owned(), Topic::ZeroShift)]
    );
    assert_eq!(
        likeliest(&unknown("M5011 X0 Y-30 Z-1.2 (probe)\n")),
        [("XYZ".to_owned(), Topic::ProbeOffset)]
    );
}

/// The letter whose number is another one in each line picks the part; the rows can be pasted, and are then read.
#[test]
fn the_printed_rows_can_be_pasted() {
    let lines = "M5012 P0 A208 B57\nM5012 P1 A240 B90\n";
    let found = unknown(lines);
    assert_eq!(
        likeliest(&found),
        [
            ("A".to_owned(), Topic::WarmUpHotEnd),
            ("B".to_owned(), Topic::WarmUpBed)
        ]
    );
    assert!(
        found
            .row
            .contains("picked_by = \"P\"\npicks = [\"preset 0\", \"preset 1\"]"),
        "{}",
        found.row
    );
    for line in [
        lines,
        "M5010 X200 Y160 Z9 E40\n",
        "M5010 A100000 B3950 C4700\n",
        "M5010 X800 Y900 Z600 E550\n",
        "M5010 P22 I1.4 D80\n",
    ] {
        let row = unknown(line).row;
        let own = model::load_words("words/pasted.toml", &row)
            .unwrap_or_else(|faults| panic!("{row}{:?}", faults.faults));
        let mut dialect = demo().controllers[0].dialect.clone();
        dialect.add(own);
        let report = settings::captured::read(line, &dialect);
        assert!(
            report.unread.is_empty() && report.commands.iter().all(|command| command.strange.is_empty()),
            "{row}"
        );
        assert!(!report.values.is_empty(), "{row}");
    }
}

/// A number that is near nothing gets no row.
#[test]
fn what_is_near_nothing_is_listed_without_a_guess() {
    let found = unknown("M5013 W77777777\n");
    assert_eq!((found.guesses.len(), found.row.as_str()), (0, ""));
    assert_eq!(found.why, "no row tells what this word means");
}

/// A letter more than a known word has is listed, and the others are read.
#[test]
fn a_letter_without_a_meaning_is_listed() {
    let found = unknown("M350 X16 B16\n");
    assert_eq!(found.why, "B has no meaning with this word");
    assert_eq!(
        found
            .letters
            .iter()
            .map(|letter| letter.letter)
            .collect::<Vec<_>>(),
        ['B']
    );
}

/// What the demonstration teaches: a word that no row explains, and the row that does.
#[test]
fn the_demonstration_has_a_word_to_explain() {
    let settings = settings_on(&demo(), "Alder");
    let [unknown] = &settings.unknown[..] else {
        panic!("{:#?}", settings.unknown)
    };
    assert_eq!(
        (unknown.board.as_str(), unknown.guesses[0].setting),
        ("Hazel H4", Topic::PressureCompensation)
    );
    assert!(settings.find(Topic::PressureCompensation, "machine").is_none());
    let words = format!("{}\n# ---- Probe", unknown.row);
    let explained = settings_on(
        &demo_edited(&[("words/tarn.toml", "# ---- Probe", &words)]),
        "Alder",
    );
    assert!(explained.unknown.is_empty());
    let pressure = explained
        .find(Topic::PressureCompensation, "machine")
        .expect("the setting");
    assert_eq!(pressure.old_text().as_deref(), Some("0.064"));
}
