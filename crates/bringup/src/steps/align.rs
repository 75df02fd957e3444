//! Independent motors of one lead-screw axis: brought level before anything is measured with them.

use model::machine::{AxisId, Detail, Drive};

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

/// One step for each axis whose screws have drivers of their own. Returns the identifiers.
pub(crate) fn steps(job: &mut Job<'_>) -> Vec<String> {
    let machine = &job.setup.swap.machine;
    let mut out = Vec::new();
    for (at, axis) in machine.axes.iter().enumerate() {
        let motors: Vec<_> = job
            .setup
            .pairs()
            .filter(|pair| matches!(&pair.device().detail, Detail::Motor(motor) if motor.axis == AxisId(at)))
            .collect();
        let drivers = motors.iter().filter(|pair| !pair.way.second).count();
        let name = &axis.name.value;
        if !matches!(axis.drive, Drive::Screw { .. }) || drivers < 2 || !job.has(&format!("home:{name}")) {
            continue;
        }
        let id = format!("align:{name}");
        let mut step = Step::new(
            &*id,
            Phase::Prove,
            Needs::Motion,
            format!("Bring the {drivers} screws of {name} level"),
            format!(
                "Each motor has a driver of its own and may have stopped at another height. A height map would hide the tilt. Stale after {name} was moved by hand with the motors off."
            ),
        )
        .hazard("Moving parts; the nozzle comes near the bed.")
        .act(format!(
            "Where the controller measures at each screw by itself, let it align {name} until two runs agree. Otherwise measure from the frame to the gantry or bed at each screw. Turn the screws with the motors off."
        ))
        .expect(Expected::seen(
            "height at each screw",
            "alike to 0.1 mm, before and after homing twice",
        ))
        .otherwise("one side runs away: two motor plugs are interchanged; switch off and move them back")
        .otherwise("it tilts again after each start: home, then align, in the start of every print")
        .takes(15, 0)
        .after(format!("home:{name}"));
        for pair in &motors {
            step = step.at(pair);
        }
        for id in job.all("probe:") {
            step = step.after(id);
        }
        job.push(step);
        out.push(id);
    }
    out
}
