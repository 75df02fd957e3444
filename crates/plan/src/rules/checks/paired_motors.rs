//! Whether the motors of one axis pull the same way.

use model::machine::AxisId;

use crate::facts::{WholeFacts, axes, kinematics};
use crate::rules::judging::{Finding, Handling, Judge, Subject, Verdict};

pub(crate) const ID: &str = "paired-motors";

/// Motors that pull against each other bend the axis: the same setting must suit all of them, or each needs a setting of its own.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for (at, axis) in facts.swap.machine.axes.iter().enumerate() {
        let motors = || {
            facts.pairs().filter(move |pair| {
                axes::motor(&pair.device().detail).is_some_and(|motor| motor.axis == AxisId(at))
            })
        };
        if motors().count() < 2 || kinematics::carries_each(&facts.swap.machine, axis) {
            continue;
        }
        let subject = || Subject::named(axis.name.value.clone());
        let turns = || motors().map(|pair| pair.direction().map(|change| change.new));
        let shared = motors().any(|pair| pair.way.second);
        if turns().any(|turn| turn.is_none()) {
            judge.say(Verdict::Caution, || {
                let headline = format!("whether the motors of {} turn the same way is open", axis.name);
                let finding = Finding::new(headline, "stepping-motors-book").about(subject()).at(axis.place).remedy(
                    "try each alone at low current before both move together. Against each other they bend the axis",
                );
                // On one driver they cannot be tried alone, nor be told different directions.
                if shared {
                    finding
                } else {
                    finding.handled_by(Handling::step("direction", &axis.name.value))
                }
            });
            continue;
        }
        let first = turns().next().flatten();
        let agree = turns().all(|turn| turn == first);
        judge.say(if agree { Verdict::Pass } else { Verdict::Caution }, || {
            let names: Vec<&str> = motors().map(|pair| pair.device().tag.value.as_str()).collect();
            let names = names.join(" and ");
            let headline = if agree {
                format!("{names} turn {} the same way", axis.name)
            } else {
                format!(
                    "{names} would pull {} against each other with one direction setting",
                    axis.name
                )
            };
            let finding = Finding::new(headline, "stepping-motors-book")
                .about(subject())
                .at(axis.place);
            let own = motors().filter(|_| !shared);
            let own = own.map(|pair| Handling::setting("direction", &pair.device().tag.value));
            own.fold(finding, Finding::handled_by).remedy(if shared {
                "exchange the two contacts of one coil in the plug of one of them, before both move together"
            } else {
                "give each driver its own direction setting, or exchange the contacts of one coil in one plug"
            })
        });
    }
}
