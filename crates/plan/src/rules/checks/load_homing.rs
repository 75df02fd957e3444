//! Whether an axis can find its end by the load that its driver measures, at the homing speed.

use model::WishKind;
use model::machine::{Detail, DeviceId};
use physics::{motion, named, work};
use quantity::Value;

use crate::facts::torque::stall::{self, StallSignal};
use crate::facts::{PairFacts, WholeFacts, axes, needs};
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "load-homing";

/// Asked only where it is wished. Not working is a note where the wish is lost anyway, a caution where figures are missing.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(motor) = axes::motor(&pair.device().detail) else {
        return;
    };
    let wish = pair
        .swap
        .wishes
        .iter()
        .find(|wish| wish.kind == WishKind::StallDetectionHoming && wish.devices.contains(&pair.id));
    let (Some(wish), Some(driver)) = (wish, pair.driver()) else {
        return;
    };
    let axis = &pair.swap.machine.axis(motor.axis).name;
    if !driver.stall_detection {
        let has_switch =
            pair.swap.machine.devices.iter().any(
                |device| matches!(device.detail, Detail::LimitSwitch { axis, .. } if axis == motor.axis),
            );
        judge.say(Verdict::Note, || {
            let rest = if has_switch {
                "keeps its limit switch"
            } else {
                "has no limit switch"
            };
            let headline = format!(
                "the driver of {} does not measure the load, and {axis} {rest}",
                pair.port_name()
            );
            Finding::new(headline, "common-practice")
                .at(wish.place)
                .remedy(if has_switch {
                    "leave the switch where it is"
                } else {
                    "fit a limit switch, or use a driver that measures the load"
                })
        });
        return;
    }
    let Some(signal) = stall::stall_signal(pair) else {
        judge.say(Verdict::Caution, || {
            let headline = format!(
                "whether {axis} can home by stall detection is open. Its homing speed or the holding torque of {} is not stated",
                pair.device_name()
            );
            Finding::new(headline, "common-practice")
                .at(wish.place)
                .remedy("add them to the machine's file. Use a limit switch until stall detection has stopped twenty times out of twenty")
        });
        return;
    };
    let words = || words(pair, &signal, axis.value.as_str());
    judge.at_least(signal.back_emf, signal.floor, Verdict::Note, || {
        words().remedy(format!(
            "home {axis} faster than {}, or by a limit switch",
            least_speed(pair, &signal)
        ))
    });
    let fastest = pair.limits().stall_speed_high.value;
    if signal.speed.high() > fastest.nominal() {
        judge.at_most(signal.speed, Value::exact(fastest.nominal()), Verdict::Note, || {
            let headline = format!(
                "{axis} homes at {}, too fast for stall detection. The current no longer reaches its set value",
                brief(signal.speed.high())
            );
            Finding::new(headline, "common-practice").at(wish.place).remedy("lower the homing speed of this axis")
        });
    }
}

/// The homing speed at which the back-EMF reaches the floor at the worst corner.
fn least_speed(pair: &PairFacts<'_>, signal: &StallSignal) -> String {
    let motor = axes::motor(&pair.device().detail);
    let speed = motor.and_then(|motor| pair.swap.machine.axis(motor.axis).homing_speed);
    speed.map_or_else(String::new, |speed| {
        brief(speed.nominal() * (signal.floor.high() / signal.back_emf.low()))
    })
}

fn words(pair: &PairFacts<'_>, signal: &StallSignal, axis: &str) -> Finding {
    let headline = format!(
        "at the homing speed of {axis} {} generates {} of back-EMF. The driver of {} needs {}",
        pair.device_name(),
        brief(signal.back_emf.low()),
        pair.port_name(),
        brief(signal.floor.high())
    );
    let floor = pair
        .driver()
        .and_then(|driver| driver.min_back_emf)
        .map_or(pair.port().place, |floor| floor.place);
    let finding = Finding::new(headline, "electric-machines-textbook").at(floor);
    let Some(motor) = axes::motor(&pair.device().detail) else {
        return finding;
    };
    let Some(holding) = motor.holding_torque else {
        return finding;
    };
    let inputs = (
        named("Mₕ", "holding torque", holding.value),
        named("Iᵣ", "rated current", motor.current.value),
        named("ω", "speed of the shaft while homing", signal.speed),
    );
    let emf = work(&motion::BACK_EMF, "E", inputs, |(holding, rated, speed)| {
        motion::back_emf(holding, rated, speed)
    });
    let inputs = (
        named("E", "back-EMF", emf.value),
        named("E₀", "floor of the driver", signal.floor),
    );
    let share = work(&motion::SIGNAL_SHARE, "s", inputs, |(emf, floor)| {
        motion::signal_share(emf, floor)
    });
    finding.working(emf.working).working(share.working)
}

/// Whether the axis of a motor can find its end by measuring the load, on the driver of this way.
///
/// The driver must measure it, and the back-EMF at the homing speed must stand out. Where a figure for that is not stated, the check
/// `load-homing` says so, and the driver's word is taken.
#[must_use]
pub fn load_homing_works(pair: &PairFacts<'_>) -> bool {
    pair.driver().is_some_and(|driver| driver.stall_detection)
        && stall::stall_signal(pair).is_none_or(|signal| signal.back_emf.low() >= signal.floor.high())
}

/// Whether the figures show that an axis homes by load at its homing speed: where they are missing, a limit switch stays plugged in until it has
/// been tried.
#[must_use]
pub fn load_homing_shown(pair: &PairFacts<'_>) -> bool {
    let fastest = pair.limits().stall_speed_high.value.nominal();
    let shown =
        |signal: StallSignal| signal.back_emf.low() >= signal.floor.high() && signal.speed.high() <= fastest;
    pair.driver().is_some_and(|driver| driver.stall_detection) && stall::stall_signal(pair).is_some_and(shown)
}

/// Whether a limit switch that is not connected is left unplugged, since its axis homes by load.
#[must_use]
pub fn unplugged(facts: &WholeFacts<'_>, id: DeviceId) -> bool {
    let Some(axis) = needs::may_unplug(facts.swap, id) else {
        return false;
    };
    let mut motors = facts.swap.machine.motors_of(axis);
    facts.ways[id.0].is_none() && motors.all(|motor| facts.pair(motor).is_some_and(load_homing_shown))
}
