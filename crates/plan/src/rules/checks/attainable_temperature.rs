//! Whether a heater reaches the temperature that is asked of it, and how much of its power holds it there.

use model::Zone;
use physics::{heat, interval, named, work};
use quantity::Value;
use quantity::si::ThermodynamicTemperature;

use crate::facts::WholeFacts;
use crate::facts::heating::Heating;
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "attainable-temperature";

/// Out of reach with every value as it is named is a blocker; out of reach at the worst corner a caution. A high duty is a note.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for heating in facts.heated() {
        let Some(end) = heating.end() else {
            judge.say(Verdict::Note, || unknown(heating));
            continue;
        };
        let working = heating.working();
        let broken = if end.nominal() < working.nominal() {
            Verdict::Blocker
        } else {
            Verdict::Caution
        };
        judge.at_least(end, working, broken, || {
            reach(heating, end)
                .working(heating.voltage_working())
                .workings(heating.whole_loss_working())
                .workings(heating.end_working())
        });
        duty(heating, judge);
    }
}

fn duty(heating: &Heating<'_>, judge: &mut Judge) {
    let Some(loss) = heating.whole_loss() else {
        return;
    };
    let power = heating.power_when_hot();
    let hold = |(at, air, loss, power)| heat::hold_duty(at, air, loss, power);
    let duty = interval((heating.working(), heating.room, loss, power), hold);
    let limit = heating.pair.limits().heater_duty_caution.value;
    judge.at_most(duty, limit, Verdict::Note, || {
        let inputs = (
            named("ϑ", "highest temperature that is asked of it", heating.working()),
            named("ϑₐ", "room", heating.room),
            named("G", "heat lost per kelvin above the room", loss),
            named("P", "power of the hot heater", power),
        );
        let headline = format!(
            "{} holds {} with {} of its power, at the worst corner with {}",
            heating.pair.device_name(),
            Value::exact(heating.working().nominal()),
            brief(duty.nominal()),
            brief(duty.high()),
        );
        Finding::new(headline, "common-practice")
            .about(about(heating, Some("duty")))
            .at(heating.heater.power.place)
            .working(heating.power_when_hot_working())
            .working(work(&heat::HOLD_DUTY, "d", inputs, hold).working)
            .remedy("insulate the part, keep draught off it, or ask for less: the control needs something left to act with")
    });
}

fn reach(heating: &Heating<'_>, end: Value<ThermodynamicTemperature>) -> Finding {
    let asked = heating.working();
    let headline = format!(
        "{} ends at {} at the lowest voltage and the highest loss, {} as it is named; {} is asked of it",
        heating.pair.device_name(),
        brief(end.low()),
        brief(end.nominal()),
        Value::exact(asked.high()),
    );
    let remedy = match heating.heater.zone {
        Zone::HotEnd => {
            "fit a stronger heater or a sleeve over the block, keep the part fan off it, or ask for less"
        }
        Zone::Bed | Zone::Chamber => {
            "insulate the bed from below and close the machine, use a thicker lead, or ask for less; where loss and power were guessed, \
             measure them: they are half of this interval"
        }
    };
    Finding::new(headline, "heat-transfer-textbook")
        .about(about(heating, None))
        .at(heating.heater.working_temperature.place)
        .remedy(remedy)
}

fn unknown(heating: &Heating<'_>) -> Finding {
    let headline = format!(
        "whether {} reaches {} was not checked: the machine's file does not tell the heat that it loses",
        heating.pair.device_name(),
        heating.working(),
    );
    Finding::new(headline, "own-statement")
        .about(about(heating, None))
        .at(heating.pair.device().place)
        .remedy(
            "hold a temperature for some minutes and read the share of full power: that share times the power, over the kelvins above the \
             room, is `thermal_conductance`",
        )
}

/// The heater, and which of several findings about it.
pub(crate) fn about(heating: &Heating<'_>, what: Option<&str>) -> Subject {
    Subject {
        device: Some(heating.pair.device().tag.value.clone()),
        port: None,
        other: what.map(ToOwned::to_owned),
    }
}
