//! A motor: its axis, its currents, its winding.

use quantity::{Value, si};

use crate::check::Checker;
use crate::diagnostic::Diagnostic;
use crate::file::machine::DeviceFile;
use crate::machine::{AxisId, Detail, Motor};
use crate::source::Located;

/// Full steps for one turn of a motor that states none.
pub(super) const FULL_STEPS: u32 = 200;

pub(super) fn motor(
    file: &mut DeviceFile,
    axis: Option<AxisId>,
    what: &str,
    checker: &mut Checker<'_>,
) -> Option<Detail> {
    let current = checker.need(file.current.take(), "current", file.place, what);
    let steps_per_turn = match file.steps_per_turn.take() {
        None => FULL_STEPS,
        Some(steps) if (4..=2000).contains(&steps.value) => steps.value,
        Some(steps) => {
            let problem = format!("no motor has {} full steps per turn", steps.value);
            checker.fault(
                Diagnostic::new("bad-value", steps.place, problem, "out of range")
                    .expected("4 to 2000, mostly 200 or 400"),
            );
            return None;
        }
    };
    let run_current = file.run_current.take();
    let (resistance, inductance, holding_torque, rotor_inertia) = (
        file.resistance.take(),
        file.inductance.take(),
        file.holding_torque.take(),
        file.rotor_inertia.take(),
    );
    let current: Located<Value<si::ElectricCurrent>> = current?;
    Some(Detail::Motor(Motor {
        axis: axis?,
        run_current: run_current.map_or(Value::exact(current.nominal() * 0.85), |run| run.value),
        current,
        resistance,
        inductance,
        holding_torque,
        rotor_inertia,
        steps_per_turn,
    }))
}
