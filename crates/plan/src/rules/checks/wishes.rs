//! What the owner wants beyond what the machine had: served by this board or not.

use model::board::PortKind;
use model::machine::{Detail, DeviceId};
use model::{Wish, WishKind};

use crate::facts::needs::is_needed;
use crate::facts::{PairFacts, WholeFacts, name_of};
use crate::rules::checks::load_homing::load_homing_works;
use crate::rules::judging::{Finding, Judge, Subject, Verdict};

/// Its identifier.
pub const ID: &str = "wish";

/// A wish that is not served is a note: the machine works without it.
pub(crate) fn check(facts: &WholeFacts<'_>, judge: &mut Judge) {
    for wish in &facts.swap.wishes {
        let served = is_served(facts, wish);
        judge.say(if served { Verdict::Pass } else { Verdict::Note }, || {
            let state = if served {
                "is served".to_owned()
            } else {
                format!("is not served: {}", reason(facts, wish))
            };
            let finding = Finding::new(
                format!("the wish `{}` (worth {}) {state}", wish.name, wish.weight),
                "common-practice",
            )
            .about(Subject::wish(wish))
            .at(wish.place);
            if served {
                finding
            } else {
                finding.remedy(
                    "correct the file where the reason is not right. Else choose another board, or do without it",
                )
            }
        });
    }
    for (id, device) in facts.swap.machine.device_ids() {
        let wished = facts.swap.wishes.iter().any(|wish| wish.devices.contains(&id));
        if facts.ways[id.0].is_some() || wished || is_needed(facts.swap, id) || device.plug().is_some() {
            continue;
        }
        judge.say(Verdict::Note, || {
            let headline = format!("{} is left off: {}", name_of(device), left_off(facts, id));
            Finding::new(headline, "common-practice")
                .about(Subject::device(device.tag.value.clone()))
                .at(device.tag.place)
                .remedy("correct the file where the reason is not right. Else choose another board, or do without it")
        });
    }
}

fn left_off(facts: &WholeFacts<'_>, id: DeviceId) -> String {
    let clash = facts.clash;
    clash.map_or_else(
        || "it found no port".to_owned(),
        |clash| (clash.of_one)(facts, id),
    )
}

/// Whether an assignment serves a wish.
pub(crate) fn is_served(facts: &WholeFacts<'_>, wish: &Wish) -> bool {
    let connected = wish.devices.iter().all(|id| facts.ways[id.0].is_some());
    connected && !facts.pairs().any(|pair| spoils_wish(pair, wish))
}

/// Why an assignment does not serve a wish, in a clause.
fn reason(facts: &WholeFacts<'_>, wish: &Wish) -> String {
    let machine = &facts.swap.machine;
    if let Some(left) = wish.devices.iter().find(|id| facts.ways[id.0].is_none()) {
        let why = left_off(facts, *left);
        return format!("{} is left off, since {why}", name_of(machine.device(*left)));
    }
    let spoiler = facts.pairs().find(|pair| spoils_wish(pair, wish));
    spoiler.map_or_else(
        || "nothing gives it".to_owned(),
        |pair| format!("{} at {} cannot give it", pair.device_name(), pair.port_name()),
    )
}

/// Whether connecting a device in this way makes a wish impossible.
#[must_use]
pub fn spoils_wish(pair: &PairFacts<'_>, wish: &Wish) -> bool {
    let named = wish.devices.contains(&pair.id);
    match wish.kind {
        WishKind::Connect => false,
        // A second motor of the same axis on the driver spoils it, whichever of the two is named.
        WishKind::OwnDriver => pair.way.second && (named || same_axis(pair, wish)),
        WishKind::SilentStandstill => {
            named && pair.driver().is_some_and(|driver| !driver.silent_at_standstill)
        }
        WishKind::SwitchedFan => named && matches!(pair.port().kind, PortKind::Permanent),
        WishKind::StallDetectionHoming => named && !load_homing_works(pair),
    }
}

fn same_axis(pair: &PairFacts<'_>, wish: &Wish) -> bool {
    let Detail::Motor(motor) = &pair.device().detail else {
        return false;
    };
    let primary = pair.swap.machine.motors_of(motor.axis).next();
    wish.devices.iter().any(|id| primary == Some(*id))
}
