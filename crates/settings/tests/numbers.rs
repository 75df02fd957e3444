//! Settings held against published numbers and worked examples.

use quantity::AnyValue;
use settings::{Fate, Settings, Topic};

use crate::support::{demo, demo_reported, demo_with, settings_on};

fn number(settings: &Settings, topic: Topic, of: &str) -> AnyValue {
    let setting = settings
        .find(topic, of)
        .unwrap_or_else(|| panic!("{topic:?} {of}"));
    setting
        .new
        .as_ref()
        .and_then(settings::SettingValue::any)
        .expect("a number")
}

/// Steps per length, common practice in every handbook and recomputed by algebra: belt of 2 mm on 20 teeth at 1/16 is 80 step/mm,
/// a screw of 8 mm lead 400.
#[test]
fn steps_per_length_follow_from_the_mechanics() {
    let swap = demo();
    let settings = settings_on(&swap, "Alder");
    for (axis, expected) in [("X", 80.0), ("Y", 80.0), ("Z", 400.0)] {
        let found = number(&settings, Topic::StepsPerLength, axis)
            .number_of("step/mm")
            .unwrap();
        assert!((found - expected).abs() < 1e-9, "{axis}: {found}");
    }
}

/// With 64 microsteps the mechanics give four times as much, and the tuned value of the extruder is carried along.
#[test]
fn other_microsteps_scale_what_was_tuned() {
    let swap = demo_with(
        "machine.toml",
        "old_microsteps = 16",
        "old_microsteps = 16\nmicrosteps = 64",
    );
    let settings = settings_on(&swap, "Alder");
    let steps = |axis| {
        number(&settings, Topic::StepsPerLength, axis)
            .number_of("step/mm")
            .unwrap()
    };
    assert!((steps("X") - 320.0).abs() < 1e-9);
    assert!((steps("E") - 4.0 * 417.5).abs() < 1e-9);
    assert_eq!(
        settings.find(Topic::StepsPerLength, "E").unwrap().fate,
        Fate::Recomputed
    );
}

/// A pulley of 16 teeth gives 100 step/mm where one of 20 gives 80: the captured value tells which it is.
#[test]
fn a_wrong_tooth_count_is_found_and_neither_value_believed() {
    let swap = demo_reported("M92 X100\n");
    let settings = settings_on(&swap, "Alder");
    let setting = settings.find(Topic::StepsPerLength, "X").unwrap();
    assert_eq!((setting.fate, setting.caution), (Fate::MeasureAgain, true));
    assert_eq!(
        (setting.new_text(), setting.old_text().as_deref()),
        (None, Some("100 step/mm"))
    );
    assert!(
        setting.reason.contains("a pulley of 16 teeth would explain it"),
        "{}",
        setting.reason
    );
    let swap = demo_reported("M92 X160\n");
    let settings = settings_on(&swap, "Alder");
    let reason = &settings.find(Topic::StepsPerLength, "X").unwrap().reason;
    assert!(
        reason.contains("32 old microsteps, or a motor of 400 steps"),
        "{reason}"
    );
}

/// Data sheets of translator drivers (gain 8, from memory): 0.8 V on 0.1 Ω is 1.000 A peak; so 1 A / √2 effective asks for 0.8 V.
#[test]
fn the_reference_voltage_follows_the_law_of_the_driver() {
    let mut swap = demo();
    let dogwood = swap
        .candidates
        .iter()
        .position(|board| board.name.value.starts_with("Dogwood"))
        .unwrap();
    for driver in &mut swap.candidates[dogwood].drivers {
        let from = swap.old.drivers[0].law;
        driver.law = from;
    }
    for device in &mut swap.machine.devices {
        if let model::machine::Detail::Motor(motor) = &mut device.detail {
            motor.run_current =
                quantity::Value::exact(quantity::si::ampere(core::f64::consts::FRAC_1_SQRT_2));
        }
    }
    let settings = settings_on(&swap, "Dogwood");
    let found = number(&settings, Topic::DriverReference, "MX")
        .number_of("V")
        .unwrap();
    assert!((found - 0.8).abs() < 1e-9, "{found}");
    let working = &settings.find(Topic::DriverReference, "MX").unwrap().working;
    assert_eq!(working[1].formula.id, "gain-current");
    // The tolerances of gain (3 %), resistor (1 %) and trimmer (half of 10 mV) at their corners, by hand.
    let (low, high) = (0.795 / (8.24 * 0.101), 0.805 / (7.76 * 0.099));
    assert!((working[1].result.low - low).abs() < 1e-9 && (working[1].result.high - high).abs() < 1e-9);
}

/// The glass bead's published table (100 kΩ, B25/50 3950 K): 6.674 kΩ at 100 °C, 575 Ω at 200 °C, 231 Ω at 250 °C; behind 4.7 kΩ
/// and 12 bits the codes are 2403.4, 446.5 and 191.9 (recomputed from the divider).
#[test]
fn the_thermometer_table_holds_the_published_rows() {
    let swap = demo();
    let settings = settings_on(&swap, "Alder");
    let table = &settings.tables[0];
    for (celsius, ohm, code) in [
        (100.0, 6674.0, 2403.4),
        (200.0, 575.0, 446.5),
        (250.0, 231.0, 191.9),
    ] {
        let row = table
            .rows
            .iter()
            .find(|row| (row.temperature.number_of("°C").unwrap() - celsius).abs() < 1e-6)
            .expect("the row");
        assert!((row.resistance.nominal - ohm).abs() < 1e-6 * ohm, "{celsius}");
        assert!(
            (row.code.unwrap() - code).abs() < 0.06,
            "{celsius}: {:?}",
            row.code
        );
    }
}

/// The same table by its own B between 25 and 100 °C is 4015.5 K; a law with 3950 reads it 1.6 K too hot at 100 °C.
#[test]
fn the_constant_is_that_of_the_published_table() {
    let swap = demo();
    let settings = settings_on(&swap, "Alder");
    let bed = number(&settings, Topic::ThermometerConstant, "bed").nominal;
    assert!((bed - 4015.5).abs() <= 0.6, "{bed}");
    let table = settings.find(Topic::ThermometerTable, "bed").unwrap();
    let error = table.working[0].result.nominal;
    assert!((error - 1.6).abs() < 0.05, "{error}");
}

/// Power goes with the square of the voltage: 40 W at 12 V are 160 W at 24 V, so the share is a quarter and a control starts at a quarter.
#[test]
fn a_heater_on_a_higher_rail_is_held_to_its_rating() {
    let mut swap = demo();
    for device in &mut swap.machine.devices {
        if let model::machine::Detail::Heater(heater) = &mut device.detail {
            heater.voltage.value = quantity::Value::exact(quantity::si::volt(12.0));
        }
    }
    let settings = settings_on(&swap, "Alder");
    let share = settings.find(Topic::HeaterShare, "hot end").unwrap();
    assert!(share.caution);
    assert!((number(&settings, Topic::HeaterShare, "hot end").nominal - 0.25).abs() < 0.011);
}
