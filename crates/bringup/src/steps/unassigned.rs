//! Devices that the plan leaves off the board: which steps fall away with them.

use model::DeviceKind;

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

/// What is not tried because the device is not connected.
fn lost(kind: DeviceKind) -> &'static str {
    match kind {
        DeviceKind::Heater => "measuring, first heat and tuning of this heater",
        DeviceKind::Thermometer => "comparison and fault trial of this sensor; its heater stays off too",
        DeviceKind::Motor => "coils, current, direction and homing of this motor",
        DeviceKind::Fan => "running this fan",
        DeviceKind::LimitSwitch => "working this switch by hand, and homing by it",
        DeviceKind::BedProbe => "trial of the probe, and homing or height map by it",
        DeviceKind::FilamentSwitch => "working this switch by hand",
        DeviceKind::LightStrip => "lighting this strip",
        DeviceKind::Panel => "trial of this panel",
        DeviceKind::Supply => "measuring this supply",
        _ => "all steps of this device",
    }
}

pub(crate) fn steps(job: &mut Job<'_>) {
    let machine = &job.setup.swap.machine;
    let facts = job.setup.facts();
    let left: Vec<(String, &'static str)> = machine
        .device_ids()
        // A switch whose axis homes by stall detection is dealt with in its wiring row.
        .filter(|(id, _)| job.plan.ways[id.0].is_none() && !plan::unplugged(&facts, *id))
        // The plugs of a device stay off together.
        .filter(|(id, device)| {
            device
                .plug()
                .is_none_or(|_| job.plan.ways[machine.owner(*id).0].is_some())
        })
        .map(|(_, device)| {
            let falls = if device.plug().is_some() {
                "reading the speed of this fan"
            } else {
                lost(device.kind())
            };
            (plan::name_of(device), falls)
        })
        .collect();
    if left.is_empty() {
        return;
    }
    let mut step = Step::new(
        "left-off",
        Phase::Prepare,
        Needs::Unplugged,
        "Put aside what stays off this board",
        "What is not connected is not tried: these steps fall away. Stale once another port is found for one of them.",
    );
    for (name, falls) in &left {
        step = step.act(format!(
            "{name}: insulate its plug and tie it back. Falls away: {falls}."
        ));
    }
    job.push(
        step.expect(Expected::seen(
            "plugs that stay off",
            format!("{} insulated and tied back", left.len()),
        ))
        .takes(5, 0)
        .after("harness"),
    );
}
