//! The program for a running controller: it reads back as what was meant, stays ASCII and short, and differences are found.

use settings::captured::read;
use settings::{Dialect, Fate, Match, gcode, read_back};

use crate::support::{demo, settings_on};

#[test]
fn what_is_told_reads_back_the_same_on_every_candidate() {
    let swap = demo();
    let dialect = Dialect::common();
    for board in &swap.candidates {
        let plan = plan::plan(&swap, board);
        let settings = settings::settings(&plan.setup(), dialect);
        let program = gcode(&settings, dialect);
        let report = read(&program, dialect);
        assert!(report.unread.is_empty(), "{:?}", report.unread);
        assert!(report.remarks.is_empty(), "{:?}", report.remarks);
        let compared = read_back(&settings, &report, dialect);
        let told = settings
            .settings
            .iter()
            .filter(|setting| setting.is_told())
            .count();
        assert!(
            told > 30 && compared.len() == told,
            "{told} told, {} compared",
            compared.len()
        );
        for row in &compared {
            assert_eq!(row.result, Match::Same, "{}: {row:?}", board.name);
        }
        assert!(program.is_ascii());
        assert!(program.lines().all(|line| line.len() <= 96), "no line is cut");
    }
}

#[test]
fn what_a_controller_did_not_take_is_found() {
    let swap = demo();
    let dialect = Dialect::common();
    let settings = settings_on(&swap, "Alder");
    let program = gcode(&settings, dialect)
        .replace("M92 X80 Y80", "M92 X80 Y80.32")
        .replace("M203 X180 Y150 Z10 E45\n", "")
        .replace("M503", "M900 K0.04");
    let compared = read_back(&settings, &read(&program, dialect), dialect);
    let result = |id: &str| compared.iter().find(|row| row.id == id).map(|row| row.result);
    assert_eq!(result("steps-per-length:X"), Some(Match::Same));
    assert_eq!(result("steps-per-length:Y"), Some(Match::Differs));
    assert_eq!(result("top-speed:E"), Some(Match::Missing));
    assert_eq!(result("pressure-compensation:machine"), Some(Match::NotMeant));
}

#[test]
fn dropped_settings_are_not_told() {
    let swap = demo();
    let dialect = Dialect::common();
    let settings = settings_on(&swap, "Alder");
    let report = read(&gcode(&settings, dialect), dialect);
    for setting in settings
        .settings
        .iter()
        .filter(|setting| setting.fate == Fate::Dropped)
    {
        assert_eq!(report.last(setting.topic, &setting.of), None, "{}", setting.id);
    }
}

#[test]
fn the_program_of_the_demonstration() {
    let swap = demo();
    let settings = settings_on(&swap, "Alder");
    insta::assert_snapshot!(gcode(&settings, Dialect::common()));
}
