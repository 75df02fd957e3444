//! Crossed belts: which way the carriage goes tells which motor is turned and whether two are exchanged.

use model::machine::{AxisId, Detail};
use plan::kinematics;

use crate::job::Job;
use crate::step::{Expected, Needs, Phase, Step};

/// The steps that this one stands in front of.
pub(crate) const ID: &str = "crossed-belts";

/// One wrong motor of crossed belts moves the carriage along the other axis, so that turning a direction by what is seen mends the wrong one.
///
/// With a = x + y and b = x − y each of the eight ways to connect two motors shows another pair of moves.
pub(crate) fn steps(job: &mut Job<'_>) {
    let machine = &job.setup.swap.machine;
    let axes: Vec<AxisId> = (0..machine.axes.len())
        .map(AxisId)
        .filter(|id| kinematics::crosses(machine.kinematics, machine.axis(*id)))
        .collect();
    let [x, y] = axes[..] else { return };
    let motor = |axis: AxisId| {
        job.setup
            .pairs()
            .find(|pair| matches!(&pair.device().detail, Detail::Motor(motor) if motor.axis == axis))
    };
    let (Some(first), Some(second)) = (motor(x), motor(y)) else {
        return;
    };
    let (x, y) = (&machine.axis(x).name.value, &machine.axis(y).name.value);
    let (a, b) = (&first.device().tag.value, &second.device().tag.value);
    let share = job.setup.limits().bringup_first_current_share.value;
    let exchange = format!("switch off, exchange the plugs of {a} and {b}");
    let mut step = Step::new(
        ID,
        Phase::Motion,
        Needs::Motion,
        format!("Find out how {a} and {b} move {x} and {y} together"),
        format!(
            "Both belts move both axes: one wrong motor moves the other axis. This proves directions and places of {a} and {b}; stale once a plug of them is moved."
        ),
    )
    .hazard("Moving parts: fingers, hair and tools away. Keep a hand at the switch. Never plug or unplug a motor under power.")
    .act("Push the carriage to the middle by hand, power off, slowly. Then power on.")
    .act(format!(
        "Set {share} of the working current for both. Tell {x} +10 mm and note where the carriage goes; then {y} +10 mm. Find both in the rows below before anything is changed."
    ))
    .expect(Expected::seen(format!("{x} +10 mm"), format!("carriage moves +{x}")))
    .expect(Expected::seen(format!("{y} +10 mm"), format!("carriage moves +{y}")))
    .takes(10, 0)
    .at(&first)
    .at(&second);
    let rows = [
        (format!("+{x}"), format!("−{y}"), exchange.clone()),
        (
            format!("−{x}"),
            format!("−{y}"),
            format!("invert the directions of {a} and {b}"),
        ),
        (
            format!("−{x}"),
            format!("+{y}"),
            format!("{exchange}. Then invert both directions"),
        ),
        (
            format!("−{y}"),
            format!("−{x}"),
            format!("invert the direction of {a}"),
        ),
        (
            format!("−{y}"),
            format!("+{x}"),
            format!("{exchange}. Then invert the direction of {a}"),
        ),
        (
            format!("+{y}"),
            format!("+{x}"),
            format!("invert the direction of {b}"),
        ),
        (
            format!("+{y}"),
            format!("−{x}"),
            format!("{exchange}. Then invert the direction of {b}"),
        ),
    ];
    for (first, second, act) in rows {
        step = step.otherwise(format!("{x} moves {first} and {y} moves {second}: {act}"));
    }
    step = step.otherwise("a diagonal: one motor does not turn; check its plug, its coils and its current");
    for tag in [a, b] {
        step = job
            .following(step, &format!("current:{tag}"))
            .setting(format!("direction:{tag}"));
    }
    let step = job.power_gate(step);
    job.push(step);
}
