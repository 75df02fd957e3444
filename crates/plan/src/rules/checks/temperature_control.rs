//! How a heated part answers to its heater, and a setting of the control that holds at the liveliest corner of its tolerances.

use model::Element;
use physics::control::{Pid, pi_gain_margin};
use physics::{heat, named, work};
use quantity::Number;
use quantity::si::{Ratio, TemperatureCoefficient};

use crate::facts::WholeFacts;
use crate::facts::control::Model;
use crate::facts::heating::Heating;
use crate::rules::checks::attainable_temperature::about;
use crate::rules::judging::{Finding, Judge, Verdict, brief};

pub(crate) const ID: &str = "temperature-control";

/// A proposal that keeps its gain margin passes. Where the dead time is so long that none does, on and off serves better than a PID: a caution.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for heating in facts.heated() {
        let Some((model, pid)) = facts.control(heating).zip(facts.proposed(heating)) else {
            continue;
        };
        let margin = pi_gain_margin(model.liveliest(), pid);
        let kept = heating.pair.limits().control_gain_margin.value.high();
        // A hair below is the rounding of the proposal.
        let holds = margin.base() >= kept.base() * (1.0 - 1e-3);
        let verdict = if holds { Verdict::Pass } else { Verdict::Caution };
        judge.say(verdict, || words(heating, (model, pid), margin, kept));
    }
}

fn words(heating: &Heating<'_>, (model, pid): (&Model, Pid), margin: Ratio, kept: Ratio) -> Finding {
    let nominal = model.nominal();
    let integral = pid
        .integral
        .map_or_else(String::new, |time| format!(" and {}", brief(time)));
    let headline = format!(
        "{} rises by {} at full power with a time constant of {} and {} of dead time: to begin with {} of full power per kelvin{integral} of \
         integral time (PI); at the liveliest corner{} its gain may grow {:.1} times",
        heating.pair.device_name(),
        brief(nominal.gain),
        brief(nominal.lag),
        brief(nominal.delay),
        percent(pid.gain),
        if heating.heater.element == Element::Copper {
            ", the track still cold,"
        } else {
            ""
        },
        margin.base()
    );
    let mut finding = Finding::new(headline, "skogestad-2003");
    finding.margin = Some((margin / kept).base().min(100.0) - 1.0);
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
            "switch on and off around the goal (a band of some kelvins) instead, or bring the thermometer nearer to the heater; tune at the \
             bring-up, under watch",
        )
}

fn percent(gain: TemperatureCoefficient) -> String {
    format!("{:.2} %", gain.base() * 100.0)
}
