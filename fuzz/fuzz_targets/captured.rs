//! Any text as what a controller reported: every line is told of, and every number is a number.
#![no_main]

use libfuzzer_sys::fuzz_target;
use settings::Dialect;
use settings::captured::read;

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let report = read(&text, Dialect::common());
    let lines = text.split('\n').count();
    let told = (report.values.iter().map(|value| value.line))
        .chain(report.readings.iter().map(|reading| reading.line))
        .chain(report.actions.iter().map(|action| action.line))
        .chain(report.commands.iter().map(|command| command.line))
        .chain(report.remarks.iter().map(|remark| remark.line))
        .chain(report.unread.iter().map(|unread| unread.line));
    assert!(told.clone().all(|line| (1..=lines).contains(&line)));
    for value in &report.values {
        assert!(value.number.is_finite() && value.value.nominal.is_finite(), "{value:?}");
        assert!(value.value.low <= value.value.nominal && value.value.nominal <= value.value.high);
    }
    assert!(report.readings.iter().all(|reading| reading.number.is_finite()));
    // A line that holds more than blanks and comments leaves something.
    for (at, line) in text.split('\n').enumerate() {
        let starts = line.trim_start().starts_with(|c: char| c.is_alphanumeric());
        assert!(!starts || told.clone().any(|told| told == at + 1), "line {}: {line:?}", at + 1);
    }
    assert_eq!(report, read(&text, Dialect::common()), "not the same twice");
});
