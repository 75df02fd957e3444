//! The program for a running controller: it reads back as what was meant, stays ASCII and short, and differences are found.

use settings::captured::read;
use settings::{By, Fate, Match, Settings, Untold, awaiting, build_sheet, gcode, read_back};

use crate::support::{demo, demo_edited, demo_with, settings_on};

#[test]
fn what_is_told_reads_back_the_same_on_every_loaded_candidate() {
    let swap = demo();
    for board in swap.candidates.iter().take(2) {
        let plan = plan::plan(&swap, board);
        let settings = settings::settings(&plan.setup());
        let program = gcode(&settings);
        let report = read(&program, &settings.dialect);
        assert!(report.unread.is_empty(), "{:?}", report.unread);
        assert!(report.remarks.is_empty(), "{:?}", report.remarks);
        let compared = read_back(&settings, &report);
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
    let settings = settings_on(&swap, "Alder");
    let slot = settings
        .dialect
        .slot(settings::Topic::PressureCompensation, "machine")
        .expect("a word");
    let pressure = format!("{} {}0.04", slot.word.word, slot.letter);
    let program = gcode(&settings)
        .replace("M92 X80 Y80", "M92 X80 Y80.32")
        .replace("M203 X180 Y150 Z10 E45\n", "")
        .replace("M503", &pressure);
    let compared = read_back(&settings, &read(&program, &settings.dialect));
    let result = |id: &str| compared.iter().find(|row| row.id == id).map(|row| row.result);
    assert_eq!(result("steps-per-length:X"), Some(Match::Same));
    assert_eq!(result("steps-per-length:Y"), Some(Match::Differs));
    assert_eq!(result("top-speed:E"), Some(Match::Missing));
    assert_eq!(result("pressure-compensation:machine"), Some(Match::NotMeant));
}

#[test]
fn dropped_settings_are_not_told() {
    let swap = demo();
    let settings = settings_on(&swap, "Alder");
    let report = read(&gcode(&settings), &settings.dialect);
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
    insta::assert_snapshot!(gcode(&settings));
}

/// The demonstration without its read-back, and with one more change of the report that was taken after loading.
fn loaded(from: &str, to: &str) -> Settings {
    let edits = [
        (
            "swap.toml",
            "file = \"evidence/read-back.txt\"",
            "file = \"evidence/none.txt\"",
        ),
        ("captured/alder-after-loading.gcode", from, to),
    ];
    settings_on(&demo_edited(&edits), "Alder")
}

/// A controller that was not seen to know a word is not told it.
#[test]
fn nothing_is_told_before_a_report_shows_it() {
    let swap = demo();
    let settings = settings_on(&swap, "Dogwood");
    assert!(settings.shown.reports.is_empty());
    assert!(settings.settings.iter().all(|setting| !setting.is_told()));
    let steps = settings
        .find(settings::Topic::StepsPerLength, "X")
        .expect("the setting");
    assert_eq!(
        (&steps.by, steps.untold.as_ref()),
        (&By::Build, Some(&Untold::NoReport("M92 X".into())))
    );
    let program = gcode(&settings);
    assert_eq!(
        program
            .lines()
            .filter(|line| !line.starts_with(';'))
            .collect::<Vec<_>>(),
        ["M503"]
    );
    assert!(program.contains("Nothing is told here"), "{program}");
    let sheet = build_sheet(&settings);
    assert!(
        sheet
            .rows
            .iter()
            .any(|row| row.id == "steps-per-length:X" && row.value.as_deref() == Some("80"))
    );
    let waits = "no report of this controller was captured: microsteps (X, Y, Z, E)";
    assert!(
        sheet
            .awaiting
            .iter()
            .any(|reason| reason.to_string().starts_with(waits)),
        "{:?}",
        sheet.awaiting
    );
}

/// Letter by letter, and part by part where a letter picks it.
#[test]
fn only_words_and_letters_that_a_report_shows_are_told() {
    let path = "captured/alder-after-loading.gcode";
    let report = String::from_utf8(crate::support::example("demo")[path].clone()).expect("text");
    let line = |word: &str| {
        report
            .lines()
            .find(|line| line.contains(word))
            .expect("a line")
            .to_owned()
    };
    let pull_up = settings_on(&demo(), "Alder");
    let pull_up = pull_up
        .dialect
        .slot(settings::Topic::ThermometerPullUp, "bed")
        .expect("a word");
    let (letter, number) = pull_up.pick.expect("a part");
    let bed = line(&format!("{} {letter}{number}", pull_up.word.word));
    let steps = line("M92 ");
    let without = steps.split(" E").next().expect("the other letters").to_owned();
    let settings = loaded(&steps, &without);
    let untold = |id: &str| settings.named(id).expect("the setting").untold.clone();
    assert_eq!(untold("steps-per-length:X"), None);
    assert_eq!(
        untold("steps-per-length:E"),
        Some(Untold::NotShown("M92 E".into()))
    );
    assert!(
        !gcode(&settings)
            .lines()
            .any(|line| line.starts_with("M92") && line.contains('E'))
    );
    let texts: Vec<String> = awaiting(&settings).iter().map(ToString::to_string).collect();
    assert_eq!(
        texts,
        ["no report of this controller shows their words: steps per length (E)"]
    );
    let settings = loaded(&format!("{bed}\n"), "");
    assert_eq!(
        settings.named("thermometer-pull-up:hot-end").expect("it").untold,
        None
    );
    assert!(matches!(
        settings.named("thermometer-pull-up:bed").expect("it").untold,
        Some(Untold::NotShown(_))
    ));
}

/// A report after telling shows words too.
#[test]
fn a_read_back_alone_shows_words() {
    let swap = demo_with(
        "swap.toml",
        "after_loading = [\"captured/alder-after-loading.gcode\"]\n",
        "",
    );
    let settings = settings_on(&swap, "Alder");
    assert_eq!(settings.shown.reports, ["evidence/read-back.txt"]);
    assert!(settings.named("steps-per-length:X").expect("it").is_told());
    // Its lines were lost.
    assert!(!settings.named("microsteps:X").expect("it").is_told());
}

/// Decimals are those of the report, and more where a number needs them.
#[test]
fn numbers_are_told_in_the_decimals_of_the_report() {
    let path = "captured/alder-after-loading.gcode";
    let report = String::from_utf8(crate::support::example("demo")[path].clone()).expect("text");
    let current = report
        .lines()
        .find(|line| line.contains("M906 "))
        .expect("a line");
    let program = |line: &str| gcode(&loaded(current, line));
    assert!(program("09> M906 X810 Y800 Z800 E800").contains("M906 X809 Y897 Z591 E547"));
    let fine = program("09> M906 X810.00 Y800 Z800 E800");
    assert!(fine.contains("M906 X809.37 Y896.88 Z590.62 E546.88"), "{fine}");
}

/// Whether a controller counts rms or peak is said near its numbers; where it is not, it is not told.
#[test]
fn a_current_that_may_be_rms_or_peak_is_not_told() {
    let told = |from: &str, to: &str| {
        let settings = loaded(from, to);
        (
            settings.named("motor-current:X").expect("it").untold.clone(),
            gcode(&settings),
        )
    };
    let (untold, _) = told("motor current, rms [mA]", "motor current [mA]");
    assert_eq!(
        untold,
        Some(Untold::Open("M906".into(), "rms or peak is not known".into()))
    );
    let (untold, program) = told("motor current, rms [mA]", "motor current, peak [mA]");
    assert_eq!(untold, None);
    // 809.375 mA · √2.
    assert!(program.contains("M906 X1145 "), "{program}");
}

/// What a word would tell in another unit than its controller's report names is told by no program.
#[test]
fn a_word_whose_unit_its_report_contradicts_tells_nothing() {
    let words = "words/moor.toml";
    let preheat = "unit = \"°C\"";
    let speed = "about = \"letter\"\nunit = \"mm/s\"";
    let ohm =
        "setting = \"thermometer-pull-up\"\npicked_by = \"U\"\npicks = [\"hot end\", \"bed\"]\nunit = \"Ω\"";
    for (from, to, word, topic) in [
        (preheat, "unit = \"K\"", "M7661", "warm-up-hot-end"),
        (
            speed,
            "about = \"letter\"\nunit = \"mm/min\"",
            "M7003",
            "corner-speed",
        ),
        (ohm, &ohm.replace('Ω', "kΩ"), "M7952", "thermometer-pull-up"),
    ] {
        let settings = settings_on(&demo_edited(&[(words, from, to)]), "Alder");
        let own = |setting: &&settings::Setting| setting.topic.id() == topic && setting.new.is_some();
        let mut found = 0;
        for setting in settings.settings.iter().filter(own) {
            found += 1;
            assert!(!setting.is_told(), "{}", setting.id);
            assert!(
                matches!(&setting.untold, Some(Untold::Open(_, why)) if why.contains("alder-after-loading.gcode:") && why.contains(words)),
                "{:?}",
                setting.untold
            );
        }
        assert!(found > 0, "{topic}");
        let doubt = settings
            .doubts
            .iter()
            .find(|doubt| doubt.of == word && doubt.topic.id() == topic);
        assert!(doubt.is_some(), "{word}: {:?}", settings.doubts);
    }
}
