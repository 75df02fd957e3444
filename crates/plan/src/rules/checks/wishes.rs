//! What the owner wants beyond what the machine had: served by this board or not.

use crate::decisions::assign::spoils_wish;
use crate::rules::judging::finding::{Finding, Subject, Verdict};
use crate::rules::judging::judge::Judge;
use crate::facts::setup::{Setup, name_of};
use model::Wish;

pub(crate) const ID: &str = "wish";

/// A wish that is not served is a note: the machine works without it.
pub(crate) fn check(setup: &Setup<'_>, judge: &mut Judge) {
    for wish in &setup.swap.wishes {
        let served = is_served(setup, wish);
        judge.say(if served { Verdict::Pass } else { Verdict::Note }, || {
            let state = if served { "is served" } else { "is not served" };
            let finding = Finding::new(
                format!("the wish `{}` (worth {}) {state}", wish.name, wish.value),
                "common-practice",
            )
            .about(Subject::wish(wish))
            .at(wish.place);
            if served {
                finding
            } else {
                finding.remedy(spoiler(setup, wish))
            }
        });
    }
}

/// Whether an assignment serves a wish.
pub(crate) fn is_served(setup: &Setup<'_>, wish: &Wish) -> bool {
    let connected = wish.devices.iter().all(|id| setup.ways[id.0].is_some());
    connected && !setup.pairs().any(|pair| spoils_wish(&pair, wish))
}

fn spoiler(setup: &Setup<'_>, wish: &Wish) -> String {
    let machine = &setup.swap.machine;
    if let Some(left) = wish.devices.iter().find(|id| setup.ways[id.0].is_none()) {
        return format!(
            "{} found no port; ask `why` with its tag and a port for the reason",
            name_of(machine.device(*left))
        );
    }
    let spoiler = setup.pairs().find(|pair| spoils_wish(pair, wish));
    spoiler.map_or_else(String::new, |pair| {
        format!("{} at {} cannot give it", pair.device_name(), pair.port_name())
    })
}
