//! Which devices the machine cannot do without, whatever their cables say of the old board.

use model::board::Port;
use model::machine::{Axis, AxisId, Detail, Device, DeviceId, Drive, Machine};
use model::{Cooled, Kinematics, Swap, WishKind};
use quantity::Value;
use quantity::si::ElectricCurrent;

use crate::facts::pair::old_port;
use crate::facts::{kinematics, loads};

/// Whether the machine needs a device: it was on the old board, or it is of a kind without which heat or motion runs unwatched or not at all.
///
/// Heaters and their sensors, motors, supply, the fan of the hot end, limit switches, and a bed probe where nothing else senses Z are needed
/// although no `old_port` is stated, unless a preference asks to connect them. Everything else without an old port is new, and optional.
#[must_use]
pub fn is_needed(swap: &Swap, id: DeviceId) -> bool {
    let device = swap.machine.device(id);
    if let Some(plug) = device.plug() {
        return if plug.spare {
            !device.is_new()
        } else {
            is_needed(swap, plug.of)
        };
    }
    let mut plugs = swap.machine.plugs_of(id).map(|plug| swap.machine.device(plug));
    if plugs.any(|plug| !plug.is_new() && plug.plug().is_none_or(|plug| !plug.spare)) {
        return true;
    }
    let asked = |wish: &model::Wish| wish.kind == WishKind::Connect && wish.devices.contains(&id);
    if swap.wishes.iter().any(asked) {
        return false;
    }
    match &device.detail {
        Detail::Heater(_)
        | Detail::Thermometer(_)
        | Detail::Motor(_)
        | Detail::Supply(_)
        | Detail::LimitSwitch { .. } => true,
        Detail::Fan(fan) => fan.cools == Cooled::HeatSink,
        Detail::BedProbe(_) => homes_by_probe(&swap.machine),
        Detail::FilamentSwitch(_)
        | Detail::LightStrip(_)
        | Detail::Panel(_)
        | Detail::Tachometer(_)
        | Detail::Plug(_) => false,
    }
}

/// The axis of a limit switch that need not be plugged in where the axis homes by stall detection: a wish asks for it of each of its motors, and
/// none asks for the switch. Two carriages keep theirs.
#[must_use]
pub fn may_unplug(swap: &Swap, id: DeviceId) -> Option<AxisId> {
    let Detail::LimitSwitch { axis, .. } = &swap.machine.device(id).detail else {
        return None;
    };
    let by_load = |motor: DeviceId| {
        let mut wishes = swap.wishes.iter();
        wishes.any(|wish| wish.kind == WishKind::StallDetectionHoming && wish.devices.contains(&motor))
    };
    let mut motors = swap.machine.motors_of(*axis).peekable();
    let all = motors.peek().is_some() && motors.all(by_load);
    let asked = swap.wishes.iter().any(|wish| wish.devices.contains(&id));
    (all && !asked && !kinematics::carries_each(&swap.machine, swap.machine.axis(*axis))).then_some(*axis)
}

/// Whether a bed probe is all that senses the home position of an axis.
fn homes_by_probe(machine: &Machine) -> bool {
    let mut axes = machine.axes.iter().enumerate();
    axes.any(|(at, axis)| {
        is_probed(machine, axis) && has_end(machine, axis) && !has_switch(machine, AxisId(at))
    })
}

/// Whether a limit switch is described for an axis.
#[must_use]
pub fn has_switch(machine: &Machine, axis: AxisId) -> bool {
    machine
        .devices
        .iter()
        .any(|device| matches!(&device.detail, Detail::LimitSwitch { axis: ended, .. } if *ended == axis))
}

/// Whether a bed probe senses the home position: of a lead screw, and of Z where it is one axis of its own.
#[must_use]
pub fn is_probed(machine: &Machine, axis: &Axis) -> bool {
    let lifts = axis.name.value.eq_ignore_ascii_case("Z") && machine.kinematics != Kinematics::Delta;
    lifts || matches!(axis.drive, Drive::Screw { .. })
}

/// Whether an axis has ends: filament has none, nor has the belt of a belt bed, which is Z.
#[must_use]
pub fn has_end(machine: &Machine, axis: &Axis) -> bool {
    let endless = machine.kinematics == Kinematics::BeltBed && axis.name.value.eq_ignore_ascii_case("Z");
    !endless && !matches!(axis.drive, Drive::Extruder { .. })
}

/// The old port of a heater, a fan, lights or a panel, with the current that it gave and the larger one that is stated of the device; `None` where
/// they agree.
#[must_use]
pub fn more_than_before<'a>(
    swap: &'a Swap,
    device: &Device,
) -> Option<(&'a Port, Value<ElectricCurrent>, Value<ElectricCurrent>)> {
    let heater = match &device.detail {
        Detail::Heater(heater) => Some(heater),
        Detail::Fan(_) | Detail::LightStrip(_) | Detail::Panel(_) => None,
        _ => return None,
    };
    let port = old_port(swap, device)?;
    let given = port.current?.value;
    let track = heater.map_or(swap.ambient.temperature.value, |heater| {
        heater.working_temperature.value
    });
    let taken = loads::current(&device.detail, loads::rated_voltage(&device.detail), track)?;
    (taken.low() > given.high()).then_some((port, given, taken))
}
