//! A switch or switching sensor: what it sends, and what feeds it.

use crate::check::Checker;
use crate::diagnostic::Diagnostic;
use crate::file::machine::DeviceFile;
use crate::machine::Sensor;
use crate::words::Output;

pub(super) fn sensor(file: &mut DeviceFile, what: &str, checker: &mut Checker<'_>) -> Option<Sensor> {
    let place = file.place;
    let output = checker.need(file.output.take(), "output", place, what);
    let (mut voltage, mut current, mut level) = (file.voltage.take(), file.current.take(), file.level.take());
    let output = output?;
    if output.value == Output::Pnp {
        voltage = Some(checker.need(voltage, "voltage", place, "a PNP output")?);
    }
    if voltage.is_some() {
        current = Some(checker.need(current, "current", place, "a sensor with a supply")?);
    }
    if let (Some(current), None) = (&current, &voltage)
        && !checker.is_lost(place, "voltage")
    {
        let problem = "a current without a supply voltage";
        checker.fault(
            Diagnostic::new("contradiction", current.place, problem, "no `voltage`")
                .expected("both or neither"),
        );
        return None;
    }
    if output.value == Output::PushPull {
        level = Some(checker.need(level, "level", place, "a push-pull output")?);
    }
    Some(Sensor {
        output,
        voltage,
        current,
        level,
        max_input_voltage: None,
        stall_current: None,
    })
}
