//! How a heated part answers to its heater, and a setting of the control that holds at the liveliest corner of its tolerances and overshoots
//! at none.

use model::Element;
use physics::control::{Pid, pi_gain_margin};
use physics::{heat, named, work};
use quantity::Number;
use quantity::si::{Ratio, TemperatureCoefficient, TemperatureInterval};

use crate::facts::WholeFacts;
use crate::facts::control::Model;
use crate::facts::heating::Heating;
use crate::facts::protection::Protection;
use crate::rules::checks::attainable_temperature::about;
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "temperature-control";

/// A proposal that keeps its gain margin, and under which no healthy heat-up overshoots by more than is allowed, passes. Where dead time and power
/// are so large that a calm enough setting still overshoots, it is a caution.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for heating in facts.heated() {
        let Some((model, pid)) = facts.control(heating).zip(facts.proposed(heating)) else {
            continue;
        };
        let limits = heating.pair.limits();
        let held = Held {
            margin: pi_gain_margin(model.liveliest(), pid),
            kept: limits.control_gain_margin.value.high(),
            overshoot: facts.protection(heating).and_then(Protection::overshoot),
            allowed: limits.control_overshoot.value.low(),
            fall: model.fall(pid, lost(heating, limits.control_load_step.value.high())),
            healthy: limits.control_load_fall.value.low(),
        };
        let verdict = if held.calm() && held.arrives() && held.makes_up() {
            Verdict::Pass
        } else {
            Verdict::Caution
        };
        judge.say(verdict, || words(heating, (model, pid), &held));
    }
}

/// How a setting holds its part.
struct Held {
    margin: Ratio,
    kept: Ratio,
    /// Of the healthy heat-up that overshoots most; `None` where none is known.
    overshoot: Option<TemperatureInterval>,
    allowed: TemperatureInterval,
    /// Once a part fan starts; `None` where it cannot be stepped.
    fall: Option<TemperatureInterval>,
    /// What the watch of the holding leaves alone.
    healthy: TemperatureInterval,
}

/// What is lost more all at once, as a share of full power: so large a share of what it holds its goal with, at the worst corner.
fn lost(heating: &Heating<'_>, step: Ratio) -> Ratio {
    let above = heating.working().high().base() - heating.room.low().base();
    let loss = heating.whole_loss().map_or(0.0, |loss| loss.high().base());
    Ratio::from_base(step.base() * loss * above / heating.power_when_hot().low().base())
}

impl Held {
    fn calm(&self) -> bool {
        // A hair below is the rounding of the proposal.
        self.margin.base() >= self.kept.base() * (1.0 - 1e-3)
    }
    fn arrives(&self) -> bool {
        self.overshoot.is_none_or(|overshoot| overshoot <= self.allowed)
    }
    fn makes_up(&self) -> bool {
        self.fall.is_none_or(|fall| fall <= self.healthy)
    }
    /// What is left to the nearer of both limits, as a share of it.
    fn left(&self) -> f64 {
        let margin = (self.margin / self.kept).base().min(100.0) - 1.0;
        let over = self
            .overshoot
            .map(|overshoot| overshoot.base() / self.allowed.base());
        let fallen = self.fall.map(|fall| fall.base() / self.healthy.base());
        let used = [over, fallen].into_iter().flatten();
        used.fold(margin, |left, used| left.min(1.0 - used))
    }
}

fn words(heating: &Heating<'_>, (model, pid): (&Model, Pid), held: &Held) -> Finding {
    let nominal = model.nominal();
    let integral = pid.integral.map_or_else(String::new, |time| {
        format!(" and {} of integral time", brief(time))
    });
    let name = heating.name();
    let setting = format!("{} of full power per kelvin{integral} (PI)", percent(pid.gain));
    let part = format!(
        "Full power raises it by {}, with a time constant of {} and {} of dead time",
        brief(nominal.gain),
        brief(nominal.lag),
        brief(nominal.delay),
    );
    let overshoot = held.overshoot.map(brief);
    let step = heating.pair.limits().control_load_step.value.high();
    let step = format!("{:.0} %", step.base() * 100.0);
    let headline = match (overshoot, held.arrives()) {
        _ if !held.makes_up() => format!(
            "{name} falls by {} once a part fan takes {step} more heat. Its monitoring allows {}. {part}. It starts with {setting}",
            held.fall.map_or_else(String::new, brief),
            brief(held.healthy),
        ),
        (Some(overshoot), false) => format!(
            "{name} overshoots by {overshoot} in the worst case; {} is allowed. No setting tried is calmer. {part}. It starts with {setting}",
            brief(held.allowed),
        ),
        (overshoot, _) => format!(
            "{name} starts with {setting}. {part}. Its loop gain may grow {:.1} times in the worst case{}{}{}",
            held.margin.base(),
            if heating.heater.element == Element::Copper {
                " (track still cold)"
            } else {
                ""
            },
            overshoot.map_or_else(String::new, |overshoot| format!(
                ". No heat-up overshoots by more than {overshoot}"
            )),
            held.fall.map_or_else(String::new, |fall| format!(
                ". {step} more loss makes it fall by {}",
                brief(fall)
            )),
        ),
    };
    let mut finding = Finding::new(headline, "skogestad-2003");
    finding.margin = Some(held.left());
    if let Some((loss, own)) = heating.whole_loss().zip(heating.capacity) {
        let capacity = heating.second.map_or(own, |second| own + second.capacity);
        let inputs = (
            named("C", "heat capacity", capacity),
            named("G", "heat lost per kelvin above the room", loss),
        );
        finding = finding.working(
            work(&heat::TIME_CONSTANT, "τ", inputs, |(c, g)| {
                heat::time_constant(c, g)
            })
            .working,
        );
    }
    finding
        .working(model.working(pid))
        .working(heating.power_when_cold_working())
        .about(about(heating, None))
        .at(heating.heater.power.place)
        .remedy(
            "bring the sensor nearer to the heater, or give the heater less of its power. Approach the setpoint in steps; tune at the bring-up, with a \
             person at the machine",
        )
}

fn percent(gain: TemperatureCoefficient) -> String {
    format!("{:.2} %", gain.base() * 100.0)
}
