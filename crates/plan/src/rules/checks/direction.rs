//! Which way a motor turns at its new port, from the order of its coils, the socket and the driver.

use model::Direction;

use crate::facts::harness::ActionKind;
use crate::facts::harness::turn_as_it_is;
use crate::facts::{PairFacts, axes};
use crate::rules::judging::{Finding, Handling, Judge, Verdict};

pub(crate) const ID: &str = "direction";

/// A direction that turns round is a setting; coils that do not meet one phase each need their contacts moved.
pub(crate) fn check(pair: &PairFacts<'_>, judge: &mut Judge) {
    let Some(motor) = axes::motor(&pair.device().detail) else {
        return;
    };
    let axis = pair.swap.machine.axis(motor.axis);
    // Where the plug is made anew anyway, its contacts follow the socket.
    if crossed(pair) && pair.job().re_pin {
        judge.dealt(true).say(Verdict::Caution, || {
            let headline = format!(
                "{} must not be plugged into {} as it is: its coils would lie across two phases. The motor then hums, and the driver can be destroyed. The plan moves its contacts",
                pair.device_name(),
                pair.port_name()
            );
            let tag = &pair.device().tag.value;
            at(pair, headline)
                .remedy(
                    "move the contacts in its plug as the row of this cable says. Measure with the power off: one coil between each pair of pins",
                )
                .handled_by(Handling::wiring(tag, ActionKind::RePin))
                .handled_by(Handling::step("coils", tag))
        });
    }
    let Some(change) = pair.direction() else {
        judge.say(Verdict::Note, || {
            let headline = format!(
                "the direction of {} at {} is open: {}",
                pair.device_name(),
                pair.port_name(),
                match (axis.old_direction.is_some(), pair.old_port().is_some()) {
                    (_, false) if pair.device().cable.old_port.is_some() => "the old board is not described",
                    (_, false) => "the motor is new",
                    (false, true) => "the old direction setting is not stated",
                    (true, true) => "the order of its coils or of a socket is not stated",
                }
            );
            at(pair, headline)
                .remedy(
                    "find out with a short move at low current, away from both ends. Keep one hand on the power switch",
                )
                .handled_by(Handling::step("direction", &axis.name.value))
        });
        return;
    };
    let turned = change.old != change.new;
    judge.say(if turned { Verdict::Note } else { Verdict::Pass }, || {
        let why = match (change.old_sense == change.new_sense, turned) {
            (true, _) => "Coils, socket and driver turn it as before",
            (false, _) => "Coils, socket and driver turn it the other way round",
        };
        let headline = if turned {
            format!(
                "the direction of {} becomes {} (was {}). {why}",
                pair.device_name(),
                word(change.new),
                word(change.old)
            )
        } else {
            format!("the direction of {} stays {}. {why}", pair.device_name(), word(change.new))
        };
        let finding = at(pair, headline);
        if turned {
            // A second motor on one driver has no setting of its own.
            let setting = if pair.way.second {
                None
            } else {
                Some(Handling::setting("direction", &pair.device().tag.value))
            };
            setting
                .into_iter()
                .chain([Handling::step("direction", &axis.name.value)])
                .fold(finding, Finding::handled_by)
                .remedy("change the setting before the first move. Then try a short move at low current, away from both ends")
        } else {
            finding
        }
    });
}

/// Whether a phase of the driver would lie between two coils.
fn crossed(pair: &PairFacts<'_>) -> bool {
    matches!(
        turn_as_it_is(&pair.device().cable.pins, &pair.port().pins),
        Some(Err(_))
    )
}

fn at(pair: &PairFacts<'_>, headline: String) -> Finding {
    let pins = &pair.port().pins;
    let place = pins.first().map_or(pair.port().place, |pin| pin.place);
    Finding::new(headline, "stepping-motors-book").at(place)
}

fn word(turn: Direction) -> &'static str {
    match turn {
        Direction::Normal => "normal",
        Direction::Reversed => "reversed",
    }
}
