//! The settings of the demonstration swap: what becomes of each, and the build sheet.

use core::fmt::Write;

use settings::{Fate, Settings, Topic};

use crate::support::{demo, demo_reported, demo_with, settings_on, told};

fn table(settings: &Settings) -> String {
    let mut out = String::new();
    for setting in &settings.settings {
        let caution = if setting.caution { " !" } else { "" };
        let _ = writeln!(
            out,
            "{} | {}{caution} | {} | {}",
            setting.id,
            setting.fate.word(),
            setting.old_text().unwrap_or_default(),
            setting.new_text().unwrap_or_default()
        );
        let _ = writeln!(out, "    {}", setting.reason);
    }
    out
}

#[test]
fn the_board_that_suffices() {
    insta::assert_snapshot!(table(&settings_on(&demo(), "Alder")));
}

#[test]
fn the_board_with_room_for_everything() {
    insta::assert_snapshot!(table(&settings_on(&demo(), "Birch")));
}

#[test]
fn every_setting_has_one_identifier_a_reason_and_a_known_source() {
    let swap = demo();
    for board in &swap.candidates {
        let plan = plan::plan(&swap, board);
        let settings = settings::settings(&plan.setup());
        let mut ids: Vec<&str> = settings
            .settings
            .iter()
            .map(|setting| setting.id.as_str())
            .collect();
        ids.sort_unstable();
        let count = ids.len();
        ids.dedup();
        assert_eq!(ids.len(), count);
        for setting in &settings.settings {
            assert!(
                setting.reason.ends_with(['.', ')']),
                "{}: {}",
                setting.id,
                setting.reason
            );
            assert!(
                catalogue::built_in().sources().get(setting.source).is_some(),
                "{}",
                setting.source
            );
            assert!(
                setting.fate != Fate::Dropped || setting.new.is_none(),
                "{}",
                setting.id
            );
            assert!(
                setting.fate != Fate::Carried || setting.old.is_some() && setting.new.is_some(),
                "{}",
                setting.id
            );
        }
        assert!(serde_json::to_string(&settings).is_ok());
    }
}

#[test]
fn what_nobody_knows_the_use_of_is_carried() {
    let swap = demo_reported(&("M221 S96\nM92 U100\n".to_owned() + &told(Topic::LevellingEnd, "bed", 12.0)));
    let settings = settings_on(&swap, "Alder");
    let fate = |topic, of| settings.find(topic, of).map(|setting| setting.fate);
    assert_eq!(fate(Topic::LevellingEnd, "bed"), Some(Fate::Carried));
    assert_eq!(fate(Topic::Flow, "machine"), Some(Fate::MeasureAgain));
    assert!(
        settings.unknown.iter().any(|unknown| unknown.text == "M92 U100"),
        "the word knows no such axis: {:?}",
        settings.unknown
    );
}

/// Without anything captured the settings come from the machine file alone, and nothing panics.
#[test]
fn a_swap_without_capture_has_settings_too() {
    let swap = demo_with(
        "swap.toml",
        "old_settings = [\"captured/old-controller.gcode\"]",
        "old_settings = []",
    );
    let settings = settings_on(&swap, "Alder");
    assert_eq!(settings.find(Topic::StepsPerLength, "X").unwrap().fate, Fate::New);
    assert_eq!(settings.find(Topic::TopSpeed, "X").unwrap().fate, Fate::New);
    // A start from the model of the part, to be tuned.
    let gain = settings.find(Topic::ControlProportional, "hot end").unwrap();
    assert_eq!(
        (gain.fate, gain.old.is_none(), gain.new.is_some()),
        (Fate::MeasureAgain, true, true)
    );
    assert!(settings.unread.is_empty());
}

/// Too many microsteps for the processor: the speed that is left is computed.
#[test]
fn a_top_speed_beyond_the_processor_is_lowered() {
    let mut swap = demo_with(
        "machine.toml",
        "old_microsteps = 16",
        "old_microsteps = 16\nmicrosteps = 128",
    );
    let alder = swap
        .candidates
        .iter_mut()
        .find(|board| board.name.value.starts_with("Alder"))
        .unwrap();
    alder.processor.step_rate.value = quantity::Value::exact(quantity::si::hertz(50_000.0));
    let settings = settings_on(&swap, "Alder");
    // 80 % of 50 kHz at 640 step/mm is 62.5 mm/s.
    let speed = settings.find(Topic::TopSpeed, "X").unwrap();
    assert_eq!(
        (speed.fate, speed.new_text().as_deref()),
        (Fate::Recomputed, Some("62.5 mm/s"))
    );
}

/// The handbook's page names every topic.
#[test]
fn the_handbook_has_a_row_for_each_topic() {
    let page = include_str!("../../../docs/handbook/settings.md");
    let missing: Vec<&str> = Topic::ALL
        .iter()
        .map(|topic| topic.id())
        .filter(|id| !page.contains(&format!("`{id}`")))
        .collect();
    assert!(
        missing.is_empty(),
        "not in docs/handbook/settings.md: {missing:?}"
    );
}

/// Where no body is known: the fall of a healthy part (8 K), a dead time (2.5 s + 30 %), what stands out of steps and noise and the same share of
/// 5 min as of the way from 26 °C to 230 °C, each half as much again, to seconds and half kelvins that a person types in. By hand.
#[test]
fn a_part_without_a_body_is_watched_by_its_dead_time_and_noise() {
    let settings = settings_on(
        &demo_with("machine.toml", "heat_capacity = \"13 J/K ± 15 %\"\n", ""),
        "Alder",
    );
    let text = |topic| {
        settings
            .find(topic, "hot end")
            .and_then(settings::Setting::new_text)
    };
    assert_eq!(text(Topic::ProtectionFall).as_deref(), Some("12 K"));
    assert_eq!(text(Topic::ProtectionTime).as_deref(), Some("5 s"));
    assert_eq!(text(Topic::HeatUpRise).as_deref(), Some("2 K"));
    // (3.25 s + 300 s · 2 K / 204 K) · 1.5 = 9.3 s.
    assert_eq!(text(Topic::HeatUpTime).as_deref(), Some("10 s"));
}
