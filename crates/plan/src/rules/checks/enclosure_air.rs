//! The air around the board, warmed by all that the board turns into heat, against what the other checks reckon with.

use model::Swap;
use physics::{Working, electrics, heat, interval, named, work, work_many};
use quantity::Value;
use quantity::si::{Power, ThermalConductance, ThermodynamicTemperature};

use crate::facts::losses::Loser;
use crate::facts::{WholeFacts, air};
use crate::rules::judging::{Finding, Judge, Subject, Verdict, brief};

pub(crate) const ID: &str = "enclosure-air";

/// What leaves the case is known to a factor of two at best where it is not stated, and the worst corner decides all the same.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    let lines = facts.losses();
    if lines.is_empty() {
        return;
    }
    let fan = air::board_fan(facts.swap);
    let reckoned = facts.site.air();
    let now = Aired::of(facts.swap, &lines, fan.is_some());
    let bound = Value::exact(reckoned.high());
    // Without a stated air the other checks reckon with one that is made of the same losses, as the worst assignment has them.
    if facts.swap.machine.case.air.is_some() {
        judge.at_most(now.air, bound, Verdict::Caution, || warmer(&now, reckoned));
    }
    let hottest = facts.limits().ambient_bay.value.high();
    match fan {
        None if facts.site.air_is_guessed() && now.air.high() <= hottest => judge.say(Verdict::Caution, || {
            let headline = format!(
                "how warm the air around the board gets is open: neither `air` nor `thermal_conductance` of the case is stated. Guessed from its walls it reaches {}",
                brief(now.air.high())
            );
            now.finished(Subject::named("without fan"), headline)
                .asking()
                .remedy("measure the air at the board in a long print and state it as `air` of [case]")
        }),
        None => judge.at_most(now.air, Value::exact(hottest), Verdict::Caution, || {
            let headline = format!(
                "without a fan the air around the board reaches {}, in the worst case {}",
                brief(now.air.nominal()),
                brief(now.air.high())
            );
            now.finished(Subject::named("without fan"), headline)
                .remedy("let a fan blow through the place of the board, on an output that is always on")
        }),
        Some((tag, _)) => {
            let still = Aired::of(facts.swap, &lines, false);
            judge.at_most(still.air, Value::exact(hottest), Verdict::Caution, || {
                let headline = format!(
                    "if the board fan {tag} stops, the air around the board reaches {}, in the worst case {}",
                    brief(still.air.nominal()),
                    brief(still.air.high())
                );
                still.finished(Subject::named("without fan"), headline)
                    .remedy("check the fan before each long print, and clean its grille. Lost steps after some minutes mean that it has stopped")
            });
        }
    }
}

/// The air with what warms it.
struct Aired<'f> {
    swap: &'f Swap,
    lines: &'f [(Loser<'f>, Value<Power>)],
    fan: bool,
    total: Value<Power>,
    leaves: Value<ThermalConductance>,
    air: Value<ThermodynamicTemperature>,
}

impl<'f> Aired<'f> {
    fn of(swap: &'f Swap, lines: &'f [(Loser<'f>, Value<Power>)], fan: bool) -> Self {
        // As the working sums them: end by end, without rounding outwards, so that a tie stays one.
        let sum = |end: fn(&Value<Power>) -> Power| {
            let losses: Vec<Power> = lines.iter().map(|(_, loss)| end(loss)).collect();
            electrics::power_sum(&losses)
        };
        let total = Value::between(sum(Value::low), sum(Value::nominal), sum(Value::high));
        let leaves = air::conductance(swap, fan);
        let inputs = (swap.ambient.temperature.value, total, leaves);
        Self {
            swap,
            lines,
            fan,
            total,
            leaves,
            air: interval(inputs, |(room, power, leaves)| {
                heat::final_temperature(room, power, leaves)
            }),
        }
    }

    /// How the air comes about: what is lost, what leaves the case, where that ends.
    fn workings(&self) -> impl Iterator<Item = Working> + use<> {
        let lines = self.lines.iter();
        let lines = lines
            .map(|(what, loss)| named("Pₙ", what.words(), *loss))
            .collect();
        let total = work_many(&electrics::POWER_SUM, "P", lines, electrics::power_sum);
        let inputs = (
            named("ϑₐ", "room", self.swap.ambient.temperature.value),
            named("P", "all that the board turns into heat", self.total),
            named(
                "G",
                if self.fan {
                    "heat that leaves the case, with its fan"
                } else {
                    "heat that leaves the case"
                },
                self.leaves,
            ),
        );
        let air = work(&heat::FINAL_TEMPERATURE, "ϑ", inputs, |(room, power, leaves)| {
            heat::final_temperature(room, power, leaves)
        });
        [total.working]
            .into_iter()
            .chain(air::conductance_workings(self.swap, self.fan))
            .chain([air.working])
    }

    fn finished(&self, about: Subject, headline: String) -> Finding {
        let case = &self.swap.machine.case;
        Finding::new(headline, "heat-transfer-textbook")
            .about(about)
            .at(case.air.map_or(case.size.place, |air| air.place))
            .workings(self.workings())
    }
}

fn warmer(now: &Aired<'_>, reckoned: Value<ThermodynamicTemperature>) -> Finding {
    let headline = format!(
        "the air around the board reaches {1}{2}. The machine's file states up to {3}. The board turns up to {0} into heat",
        brief(now.total.high()),
        brief(now.air.nominal()),
        if now.fan { " with its fan" } else { "" },
        brief(reckoned.high())
    );
    now.finished(Subject::named("stated"), headline)
        .remedy("measure the air at the board in a long print and state it as `air`. Lower run currents, or let a fan blow through")
}
