//! Whether a heater reaches the temperature that is asked of it, and how much of its power holds it there.

use model::Zone;
use physics::{heat, named, work};
use quantity::Value;
use quantity::si::{ElectricPotential, ThermodynamicTemperature};

use crate::rules::judging::finding::{Finding, Subject, brief};
use crate::rules::judging::verdict::Verdict;
use crate::facts::heating::Heating;
use crate::rules::judging::judge::Judge;
use crate::facts::of_whole::WholeFacts;

pub(crate) const ID: &str = "heater-reach";

/// Out of reach with every value as it is named is a blocker; out of reach at the worst corner a caution. A high duty is a note.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for heating in facts.heated() {
        let at = voltage_and_end(heating);
        let Some((voltage, end)) = at else {
            judge.say(Verdict::Note, || unknown(heating));
            continue;
        };
        let working = heating.working();
        let broken = if end.value.nominal() < working.nominal() {
            Verdict::Blocker
        } else {
            Verdict::Caution
        };
        judge.at_least(end.value, working, broken, || {
            let mut finding = reach(heating, end.value).working(voltage.working.clone());
            if let Some(whole) = heating.whole_loss() {
                finding = finding.working(whole.working);
            }
            finding.working(end.working)
        });
        duty(heating, voltage.value, judge);
    }
}

type At = (
    physics::Worked<ElectricPotential>,
    physics::Worked<ThermodynamicTemperature>,
);

fn voltage_and_end(heating: &Heating<'_>) -> Option<At> {
    let voltage = heating.voltage();
    let end = heating.end(voltage.value)?;
    Some((voltage, end))
}

fn duty(heating: &Heating<'_>, voltage: Value<ElectricPotential>, judge: &mut Judge) {
    let loss = heating.whole_loss();
    let Some(g) = loss.as_ref().map(|whole| whole.value).or(heating.loss) else {
        return;
    };
    let power = heating.power(voltage, heating.working(), "hot");
    let inputs = (
        named("ϑ", "highest temperature that is asked of it", heating.working()),
        named("ϑₐ", "room", heating.room),
        named("G", "heat lost per kelvin above the room", g),
        named("P", "power of the hot heater", power.value),
    );
    let duty = work(&heat::HOLD_DUTY, "d", inputs, |(at, air, loss, power)| {
        heat::hold_duty(at, air, loss, power)
    });
    let limit = heating.pair.limits().heater_duty_caution.value;
    judge.at_most(duty.value, limit, Verdict::Note, || {
        let headline = format!(
            "{} holds {} with {} of its power, at the worst corner with {}",
            heating.pair.device_name(),
            Value::exact(heating.working().nominal()),
            brief(duty.value.nominal()),
            brief(duty.value.high()),
        );
        Finding::new(headline, "common-practice")
            .about(about(heating, "duty"))
            .at(heating.heater.power.place)
            .working(power.working)
            .working(duty.working)
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
        .about(about(heating, "reach"))
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
        .about(about(heating, "reach"))
        .at(heating.pair.device().place)
        .remedy(
            "hold a temperature for some minutes and read the share of full power: that share times the power, over the kelvins above the \
             room, is `heat_loss`",
        )
}

/// The heater, and which of several findings about it.
pub(crate) fn about(heating: &Heating<'_>, what: &str) -> Subject {
    Subject {
        device: Some(heating.pair.device().tag.value.clone()),
        port: None,
        other: Some(what.to_owned()),
    }
}
