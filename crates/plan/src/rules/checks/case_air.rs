//! The air around the board, warmed by all that the board turns into heat, against what the other checks reckon with.

use physics::{Worked, electrics, heat, named, work, work_many};
use quantity::Value;
use quantity::si::{Power, ThermodynamicTemperature};

use crate::facts::air;
use crate::rules::judging::finding::{Finding, Subject, brief};
use crate::rules::judging::verdict::Verdict;
use crate::rules::judging::judge::Judge;
use crate::facts::of_whole::WholeFacts;

pub(crate) const ID: &str = "case-air";

/// What leaves the case is known to a factor of two at best where it is not stated, and the worst corner decides all the same.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let lines = facts.losses();
    if lines.is_empty() {
        return;
    }
    let total = work_many(&electrics::POWER_SUM, "P", lines.to_vec(), electrics::power_sum);
    let fan = air::board_fan(facts.swap);
    let reckoned = facts.site.air();
    let now = Aired::of(facts, &total, fan.is_some());
    let bound = Value::exact(reckoned.high());
    judge.at_most(now.air.value, bound, Verdict::Caution, || {
        warmer(facts, &total, &now, reckoned, fan.is_some())
    });
    let hottest = facts.limits().ambient_bay.value.high();
    match fan {
        None => judge.at_most(now.air.value, Value::exact(hottest), Verdict::Caution, || {
            let headline = format!(
                "without a fan the air around the board comes to {}, at the worst corner to {}",
                brief(now.air.value.nominal()),
                brief(now.air.value.high())
            );
            finished(facts, "fan", &total, &now, headline)
                .remedy("let a fan blow through the place of the board, on an output that is always on")
        }),
        Some((tag, _)) => {
            let still = Aired::of(facts, &total, false);
            judge.at_most(still.air.value, Value::exact(hottest), Verdict::Note, || {
                let headline = format!(
                    "should the board fan {tag} stop, the air around the board comes to {}, at the worst corner to {}",
                    brief(still.air.value.nominal()),
                    brief(still.air.value.high())
                );
                finished(facts, "fan", &total, &still, headline)
                    .remedy("look at it before each long print, and clean its grille; drivers that lose steps after some minutes tell that it stands")
            });
        }
    }
}

struct Aired {
    leaves: air::Leaves,
    air: Worked<ThermodynamicTemperature>,
}

impl Aired {
    fn of(facts: &WholeFacts<'_>, total: &Worked<Power>, fan: bool) -> Self {
        let leaves = air::conductance(facts.swap, fan);
        let inputs = (
            named("ϑₐ", "room", facts.swap.ambient.temperature.value),
            named("P", "all that the board turns into heat", total.value),
            named(
                "G",
                if fan {
                    "heat that leaves the case, with its fan"
                } else {
                    "heat that leaves the case"
                },
                leaves.value,
            ),
        );
        let air = work(&heat::FINAL_TEMPERATURE, "ϑ", inputs, |(room, power, leaves)| {
            heat::final_temperature(room, power, leaves)
        });
        Self { leaves, air }
    }
}

fn warmer(
    facts: &WholeFacts<'_>,
    total: &Worked<Power>,
    now: &Aired,
    reckoned: Value<ThermodynamicTemperature>,
    fan: bool,
) -> Finding {
    let stated = facts.swap.machine.case.air;
    let headline = format!(
        "the board turns up to {} into heat, which warms the air around it to {}{}; {} up to {}",
        brief(total.value.high()),
        brief(now.air.value.nominal()),
        if fan { " with its fan" } else { "" },
        if stated.is_some() {
            "the machine's file states"
        } else {
            "the other checks reckon with"
        },
        brief(reckoned.high())
    );
    finished(facts, "air", total, now, headline)
        .remedy("measure the air at the board in a long print and state it as `air`; lower run currents, or let a fan blow through")
}

fn finished(facts: &WholeFacts<'_>, what: &str, total: &Worked<Power>, now: &Aired, headline: String) -> Finding {
    let place = facts
        .swap
        .machine
        .case
        .air
        .map_or(facts.swap.machine.case.size.place, |air| air.place);
    let finding = Finding::new(headline, "heat-transfer-textbook")
        .about(Subject::named(what))
        .at(place)
        .working(total.working.clone());
    let finding = now
        .leaves
        .workings
        .iter()
        .cloned()
        .fold(finding, Finding::working);
    finding.working(now.air.working.clone())
}
