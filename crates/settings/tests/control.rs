//! Terms of the temperature control: the old ones held against the new board, and a start from the model of the part.

use settings::{Fate, Setting, SettingValue, Settings, Topic};

use model::Swap;

use crate::support::{CAPTURED, captured_line, demo, demo_edited, demo_reported, settings_on};

const MACHINE: &str = "machine.toml";
const TERMS: [Topic; 3] = [
    Topic::ControlProportional,
    Topic::ControlIntegral,
    Topic::ControlDerivative,
];
/// What full power counts as in the words of the demonstration's controllers.
fn full() -> f64 {
    let swap = demo();
    let slot = swap
        .controller(&swap.old)
        .dialect
        .slot(Topic::ControlProportional, "bed");
    slot.and_then(|slot| slot.word.full).expect("the words tell it")
}

/// The demonstration without the captured terms of the hot end, and with more changes.
fn without_terms(edits: &[(&str, &str, &str)]) -> Swap {
    let line = captured_line(Topic::ControlProportional, "hot end");
    let mut all = vec![(CAPTURED, line.as_str(), "")];
    all.extend(edits);
    demo_edited(&all)
}

fn terms(settings: &Settings, of: &str) -> [Setting; 3] {
    TERMS.map(|topic| settings.find(topic, of).expect("the term is there").clone())
}

fn number(setting: &Setting) -> f64 {
    match setting.new {
        Some(SettingValue::Number(number)) => number,
        ref other => panic!("{other:?}"),
    }
}

/// Skogestad 2003, SIMC for first order with dead time: `Kc = τ / (K · (τc + θ))`, `Tᵢ = min(τ, 4 · (τc + θ))`, with τc = θ or slower. The hot end
/// of the demonstration: K = P / G and τ = C / G of 13 J/K and 0.14 W/K (lumped body, heat-transfer-textbook), 48 W but for its lead.
#[test]
fn a_start_from_the_model_follows_the_published_rule() {
    let swap = without_terms(&[]);
    let settings = settings_on(&swap, "Alder");
    let own = terms(&settings, "hot end");
    assert!(own.iter().all(|term| term.fate == Fate::MeasureAgain), "{own:#?}");
    let [gain, integral, derivative] = own.each_ref().map(number);
    assert_eq!(derivative, 0.0, "PI");
    let (rise, lag) = (48.0 / 0.14, 13.0 / 0.14);
    let sum = lag / (rise * gain / full());
    // Twice the dead time at the least: 2.5 s of the part, half a period and half a pulse.
    assert!(sum > 2.0 * 2.5 && sum < 40.0, "{sum}");
    let integral_time = gain / integral;
    // Shorter where a healthy heat-up must show its rise near the setpoint, down to 2.8 times the dead time.
    let wanted = f64::min(lag, 4.0 * sum);
    assert!(
        integral_time <= wanted * 1.03 && integral_time >= 2.8 * 2.5,
        "{integral_time} {wanted}"
    );
    assert!(
        own[0].reason.contains("of full power for each kelvin"),
        "{}",
        own[0].reason
    );
    assert_eq!(own[0].source, "skogestad-2003");
}

/// 12 V before, 24 V now: four times the power, since power goes with the square of the voltage (IEC 80000-6), so a quarter of each term.
#[test]
fn old_terms_are_scaled_by_the_power() {
    let swap = demo_edited(&[
        (
            MACHINE,
            "power = \"400 W\"",
            "power = \"400 W\"\nold_voltage = \"12 V\"",
        ),
        (CAPTURED, "no more\n", "M304 P104 I1.6 D500\nno more\n"),
    ]);
    let own = terms(&settings_on(&swap, "Alder"), "bed");
    assert!(own.iter().all(|term| term.fate == Fate::MeasureAgain));
    for (term, old) in own.iter().zip([104.0, 1.6, 500.0]) {
        assert!((number(term) / (old / 4.0) - 1.0).abs() < 1e-4, "{}", term.reason);
    }
    assert!(own[0].reason.contains("400 % of the power"), "{}", own[0].reason);
}

/// Three times the gain of the demonstration's hot end swings at the liveliest corner: the model's terms stand in its place.
#[test]
fn old_terms_that_would_swing_give_way_to_the_model() {
    let lively = demo_reported("M301 P155.1 I10.35 D580.2\n");
    let none = without_terms(&[]);
    let (lively, none) = (settings_on(&lively, "Alder"), settings_on(&none, "Alder"));
    let (lively, none) = (terms(&lively, "hot end"), terms(&none, "hot end"));
    assert_eq!(lively.each_ref().map(number), none.each_ref().map(number));
    assert!(
        lively[0].reason.contains("would swing without end"),
        "{}",
        lively[0].reason
    );
    assert_eq!(lively[0].fate, Fate::MeasureAgain);
}

/// The start stands in the program and in the list of what is measured again, with what the old one was.
#[test]
fn the_start_is_told_in_the_program() {
    let swap = without_terms(&[]);
    let settings = settings_on(&swap, "Alder");
    let [gain, ..] = terms(&settings, "hot end");
    let program = settings::gcode(&settings);
    assert!(
        program.contains(&format!(
            "M301 P{} ",
            format!("{:.2}", number(&gain)).trim_end_matches('0')
        )),
        "{program}"
    );
}

/// A part of which the file tells no body has no model: what is known is carried as before.
#[test]
fn without_a_model_nothing_is_made_up() {
    let swap = without_terms(&[(MACHINE, "heat_capacity = \"13 J/K ± 15 %\"\n", "")]);
    let settings = settings_on(&swap, "Alder");
    let own = terms(&settings, "hot end");
    assert!(
        own.iter()
            .all(|term| term.fate == Fate::New && term.new.is_none())
    );
}

/// Half the number for full power makes half of each term, and nothing else of the control changes.
#[test]
fn old_terms_are_counted_anew_where_full_power_is_another_number() {
    let swap = demo();
    let words = String::from_utf8(crate::support::example("demo")["words/moor.toml"].clone()).expect("text");
    let from = format!("about = \"bed\"\nfull = {}", full());
    let to = format!("about = \"bed\"\nfull = {}", full() / 2.0);
    assert_eq!(words.matches(&from).count(), 3);
    let edits = [("words/moor.toml", from.as_str(), to.as_str()); 3];
    let anew = settings_on(&demo_edited(&edits), "Alder");
    let before = settings_on(&swap, "Alder");
    for (anew, before) in terms(&anew, "bed").iter().zip(terms(&before, "bed")) {
        assert_eq!(
            (before.fate, anew.fate),
            (Fate::Carried, Fate::Recomputed),
            "{}",
            anew.reason
        );
        assert!(
            (number(anew) / number(&before) - 0.5).abs() < 1e-4,
            "{}",
            anew.reason
        );
    }
}

/// Where nobody says what full power counts as, no number is carried from one controller's words to another's.
#[test]
fn terms_of_unknown_scale_are_measured_again() {
    let line = format!("about = \"bed\"\nfull = {}\n", full());
    let edits = [("words/moor.toml", line.as_str(), "about = \"bed\"\n"); 3];
    let settings = settings_on(&demo_edited(&edits), "Alder");
    for term in terms(&settings, "bed") {
        assert_eq!(
            (term.fate, term.new.as_ref()),
            (Fate::MeasureAgain, None),
            "{}",
            term.reason
        );
        assert!(
            term.reason.contains("What full power counts as"),
            "{}",
            term.reason
        );
    }
}
